package catalog

import (
	"slices"
	"strings"

	"outlast/battery"
	"outlast/catalog/strict"
	"outlast/loads"
)

// The keys of the equipment tables, the same in a catalog and in a site file. The ranges refuse slips of the keyboard
// (a misplaced decimal point) and figures so small that dividing by them would end in infinity, not unusual equipment.

// Keys are written in few words.
var (
	number, above, whole = strict.NumberKey, strict.AboveKey, strict.WholeKey
	flag, choice         = strict.SwitchKey, strict.ChoiceKey
	required, or         = strict.Needed, strict.Or
	alone                = strict.NeededAlone
)

func chemistryNames() []string {
	var names []string
	for _, c := range battery.Chemistries() {
		names = append(names, string(c))
	}
	return names
}

// unless is a key that must be given alone, but for a table that gives another.
func unless(k strict.Key, other string) strict.Key {
	k.Unless = other
	return k
}

func list(name string, keys *strict.Keys, doc string) strict.Key {
	return strict.Key{Name: name, Kind: strict.Groups, Keys: keys, MinLen: 1, MaxLen: 64, Doc: doc}
}

// unknown stands for a figure that a plan does without; what rests on it is told as a caution.
const unknown = "not known"

var (
	idKey    = required(strict.TextKey("id", "name by which a site file uses the entry").Eg(`"own-5k-48"`))
	labelKey = strict.TextKey("label", "words for people").Else("the id").Eg(`"Own unit, 5 kVA"`)
	basisKey = strict.TextKey("basis", "what the figures rest on").Eg(`"data sheet of the unit"`)
	priceKey = number("price", 0, 1e9, "", "price of one unit, in whatever money the site thinks in").Else(unknown).Eg(
		"900")
	massKey = above("mass_kg", 0, 1e5, "kg", "mass of one unit").Else(unknown).Eg("30")
)

// InverterKeys are the keys of an inverter.
var InverterKeys = []strict.Key{
	labelKey,
	alone(above("rated_w", 0, 1e7, "W", "continuous power of one unit at 25 C and sea level").Eg("4000")),
	alone(above("rated_va", 0, 1e7, "VA", "continuous apparent power of one unit at 25 C and sea level").Eg("5000")),
	list("overload", &strict.Keys{Name: "overload", List: []strict.Key{
		required(above("seconds", 0, 86400, "s", "how long the power may be drawn").Eg("10")),
		required(above("va", 0, 1e8, "VA", "apparent power of one unit").Eg("9000")),
	}}, "short-time ratings").Else("none: no more than rated_va").Eg(
		"[{ seconds = 10, va = 9000 }, { seconds = 60, va = 7000 }]"),
	whole("phases", 1, 3, "phases of one unit").Else("1").Eg("1"),
	above("output_v", 0, 1000, "V", "output voltage, line to neutral").Else("that of the site").Eg("230"),
	alone(number("nominal_dc_v", 1, 1500, "V", "nominal voltage of the battery side").Eg("48")),
	above("pass_through_a", 0, 1e5, "A", "grid current to the backup output, per phase").Else(unknown).Eg("50"),
	above("ac_input_a", 0, 1e5, "A", "grid current into the unit altogether, charger included, per phase").Else(
		unknown).Eg("50"),
	above("charger_a", 0, 1e5, "A", "battery current of the grid charger").Else(unknown).Eg("60").Not0(
		"give the current of the charger that stands beside the inverter; where there is none, leave charger_a out, " +
			"and take no entry of a catalog that has it"),
	alone(above("dc_min_v", 0, 1500, "V", "lowest battery voltage at which it runs").Eg("38")),
	alone(above("dc_max_v", 0, 1500, "V", "highest permitted battery voltage").Eg("66")),
	above("max_charge_a", 0, 1e5, "A", "largest current into the battery, all sources").Else(unknown).Eg("100"),
	alone(above("max_discharge_a", 0, 1e5, "A", "largest current from the battery").Eg("140")),
	alone(number("idle_w", 0, 1e5, "W", "standby consumption, at no load").Eg("30")),
	unless(alone(number("efficiency", 0.1, 1, "", "efficiency of the conversion, without the idle power").Eg("0.93")),
		"efficiency_curve"),
	list("efficiency_curve", &strict.Keys{Name: "efficiency_curve", List: []strict.Key{
		required(number("load", 0, 2, "", "load as a share of rated_w").Eg("0.5")),
		required(number("efficiency", 0.1, 1, "", "efficiency at that load, without the idle power").Eg("0.95")),
	}}, "conversion efficiency by load; gives efficiency too").Else("efficiency at every load").Eg(
		"[{ load = 0.5, efficiency = 0.95 }]"),
	number("derate_from_c", -20, 100, "C", "ambient temperature above which the rating falls").Else("45 C").Eg("40"),
	number("derate_per_c", 0, 1, "", "share of the rating lost per kelvin").Else("0.02").Eg("0.02"),
	number("derate_from_m", -500, 9000, "m", "altitude above which the rating falls").Else("1000 m").Eg("1000"),
	number("derate_per_100m", 0, 1, "", "share of the rating lost per 100 m").Else("0.01").Eg("0.01"),
	number("transfer_ms", 0, 1e5, "ms", "transfer time").Else(unknown).Eg("20"),
	{Name: "chemistries", Kind: strict.Texts, Choices: chemistryNames(), MinLen: 1, MaxLen: 5,
		Doc: "batteries that it can charge", Otherwise: unknown, Example: `["flooded", "agm"]`},
	{Name: "equalises", Kind: strict.Switch, Doc: "true if it can equalise", Otherwise: "false", Example: "true"},
	list("input", &strict.Keys{Name: "input", List: []strict.Key{
		above("max_v", 0, 2000, "V", "highest open-circuit voltage").Else(unknown).Eg("450"),
		above("start_v", 0, 2000, "V", "voltage at which it starts").Else(unknown).Eg("120"),
		above("track_min_v", 0, 2000, "V", "lower end of the tracking range").Else(unknown).Eg("90"),
		above("track_max_v", 0, 2000, "V", "upper end of the tracking range").Else(unknown).Eg("400"),
		above("max_a", 0, 1000, "A", "operating current").Else(unknown).Eg("18"),
		above("max_short_circuit_a", 0, 1000, "A", "short-circuit current").Else(unknown).Eg("22"),
		above("max_w", 0, 1e7, "W", "array power").Else(unknown).Eg("5000"),
	}}, "tracker inputs").Else("none").Eg("[{ max_v = 450, track_min_v = 90, track_max_v = 400, max_a = 18 }]"),
	priceKey, massKey,
}

// BatteryKeys are the keys of a battery unit.
var BatteryKeys = []strict.Key{
	labelKey,
	{Name: "chemistry", Kind: strict.Text, Choices: chemistryNames(), Doc: "what it is made of", Alone: true,
		Example: `"agm"`},
	alone(number("nominal_v", 1, 1500, "V", "nominal voltage of one unit").Eg("12")),
	alone(number("rated_ah", 0.1, 1e5, "Ah", "capacity of one unit at rated_h").Eg("100")),
	number("rated_h", 0.1, 1000, "h", "discharge time to which rated_ah belongs").Else("20 h, of lithium 5 h").Eg("20"),
	list("capacity", &strict.Keys{Name: "capacity", List: []strict.Key{
		required(number("hours", 0.01, 1000, "h", "discharge time").Eg("1")),
		required(above("ah", 0, 1e5, "Ah", "capacity at that time, to one end voltage").Eg("58")),
	}}, "capacity by discharge time").Else("by peukert").Eg("[{ hours = 1, ah = 58 }, { hours = 20, ah = 100 }]"),
	number("peukert", 1, 2, "", "exponent after Peukert, in place of capacity").Else(
		"by chemistry, where there is no capacity").Eg("1.15"),
	above("max_charge_a", 0, 1e5, "A", "largest charge current of one unit").Else(unknown).Eg("25"),
	above("max_discharge_a", 0, 1e5, "A", "largest discharge current of one unit").Else(unknown).Eg("100"),
	above("pulse_a", 0, 1e6, "A", "largest current of one unit for pulse_s").Else(unknown).Eg("400"),
	above("pulse_s", 0, 3600, "s", "how long pulse_a may flow").Else(unknown).Eg("5"),
	above("charge_v", 0, 2000, "V", "charge voltage (absorption) of one unit at 25 C").Else("by chemistry").Eg("14.4"),
	above("float_v", 0, 2000, "V", "float voltage of one unit at 25 C").Else("by chemistry").Eg("13.6"),
	above("equalise_v", 0, 2000, "V", "equalisation voltage of one unit at 25 C").Else("by chemistry").Eg("14.8"),
	above("min_v", 0, 2000, "V", "voltage of one unit at the end of discharge").Else("by chemistry").Eg("10.5"),
	number("charge_mv_per_cell_c", -20, 20, "mV",
		"charge voltage per cell and kelvin below 25 C; the sign does not matter").
		Else("by chemistry").Eg("-4"),
	above("resistance_mohm", 0, 1e6, "mohm", "internal resistance of one unit, charged, 25 C").Else(unknown).Eg("5"),
	whole("max_parallel", 1, 1000, "parallel strings permitted").Else("4, of lithium 16").Eg("4"),
	list("cycles", &strict.Keys{Name: "cycles", List: []strict.Key{
		required(above("dod", 0, 1, "", "depth of discharge").Eg("0.3")),
		required(above("cycles", 0, 1e6, "", "cycles until end of life").Eg("1500")),
	}}, "cycle life by depth").Else(unknown).Eg("[{ dod = 0.3, cycles = 1500 }, { dod = 0.5, cycles = 800 }]"),
	number("charge_min_c", -60, 80, "C", "coldest temperature for charging").Else("by chemistry").Eg("0"),
	number("charge_max_c", -60, 100, "C", "hottest temperature for charging").Else(unknown).Eg("40"),
	number("discharge_min_c", -60, 80, "C", "coldest temperature for discharging").Else(unknown).Eg("-15"),
	number("max_dod", 0.01, 1, "", "deepest discharge").Else("by chemistry").Eg("0.6"),
	number("round_trip", 0.1, 1, "", "energy out over energy in").Else("by chemistry").Eg("0.82"),
	priceKey, massKey,
}

// ModuleKeys are the keys of a PV module. Temperature coefficients are in percent of the rated value per kelvin.
var ModuleKeys = []strict.Key{
	labelKey,
	alone(above("rated_w", 0, 5000, "W", "power at standard test conditions").Eg("440")),
	alone(above("voc_v", 0, 1000, "V", "open-circuit voltage").Eg("39")),
	alone(above("isc_a", 0, 100, "A", "short-circuit current").Eg("14")),
	alone(above("vmp_v", 0, 1000, "V", "voltage at rated power").Eg("33")),
	alone(above("imp_a", 0, 100, "A", "current at rated power").Eg("13.3")),
	number("voc_pct_per_c", -2, 0, "%", "change of voc_v per kelvin, negative").Else(
		"by the temperature table of the electrical code").Eg("-0.27"),
	number("pmax_pct_per_c", -2, 0, "%", "change of rated_w per kelvin, negative").Else("-0.4 %").Eg("-0.35"),
	number("isc_pct_per_c", -0.5, 1, "%", "change of isc_a per kelvin").Else("0.05 %").Eg("0.05"),
	above("max_fuse_a", 0, 200, "A", "maximum series fuse").Else(unknown).Eg("25"),
	number("noct_c", 20, 90, "C", "nominal operating cell temperature").Else("45 C").Eg("45"),
	above("length_mm", 0, 10000, "mm", "length of the frame").Else(unknown).Eg("1760"),
	above("width_mm", 0, 10000, "mm", "width of the frame").Else(unknown).Eg("1130"),
	priceKey, massKey,
}

// GeneratorKeys are the keys of a generator.
var GeneratorKeys = []strict.Key{
	labelKey,
	alone(above("rated_va", 0, 1e7, "VA", "continuous apparent power at 25 C and sea level").Eg("6500")),
	alone(number("power_factor", 0.01, 1, "", "power factor at which rated_va holds").Eg("0.8")),
	whole("phases", 1, 3, "phases").Else("1").Eg("1"),
	above("output_v", 0, 1000, "V", "output voltage, line to neutral").Else("that of the site").Eg("230"),
	{Name: "fuel", Kind: strict.Text, Choices: []string{"petrol", "diesel", "gas"}, Doc: "what it burns",
		Otherwise: unknown, Example: `"diesel"`},
	{Name: "turbo", Kind: strict.Switch, Doc: "true: a turbocharged diesel engine", Otherwise: "false",
		Example: "true"},
	list("fuel_l_per_h", &strict.Keys{Name: "fuel_l_per_h", List: []strict.Key{
		required(number("load", 0, 1.2, "", "load as a share of the rated power").Eg("0.5")),
		required(above("l_per_h", 0, 1e4, "l/h", "litres an hour").Eg("1.6")),
	}}, "fuel by load").Else("by a chart of diesel sets").Eg(
		"[{ load = 0.5, l_per_h = 1.6 }, { load = 1, l_per_h = 2.6 }]"),
	above("fuel_l", 0, 1e6, "l", "what the tank holds").Else(unknown).Eg("40"),
	priceKey, massKey,
}

var motorKeys = strict.Keys{Name: "motor", List: []strict.Key{
	above("hp", 0, 10000, "hp", "rated output").Else("not wanted without code").Eg("0.75"),
	above("kw", 0, 10000, "kW", "rated output").Else("not wanted without code").Eg("0.55"),
	choice("code", "code letter of the plate", strings.Fields("A B C D E F G H J K L M N P R S T U V")...).
		Else("one of code, locked_rotor_a and times must be given").Eg(`"G"`),
	above("locked_rotor_a", 0, 1e5, "A", "line current while it stands still").Else(
		"one of code, locked_rotor_a and times must be given").Eg("28"),
	number("times", 1, 20, "", "locked-rotor over full-load current").Else(
		"one of code, locked_rotor_a and times must be given").Eg("6"),
	or(choice("method", "how it is started", "direct", "star-delta", "soft", "drive").Eg(`"soft"`), "direct"),
}, AtMostOne: [][]string{{"hp", "kw"}}, OneOf: [][]string{{"code", "locked_rotor_a", "times"}}}

var (
	runningKey    = alone(number("running_w", 0, 1e7, "W", "power of one unit while it runs").Eg("1100"))
	startingVAKey = above("starting_va", 0, 1e8, "VA", "apparent power of one unit while it starts").
			Else("none: it draws no more while it starts").Eg("5200")
	hoursKey = alone(number("hours_per_day", 0, 24, "h", "how long each unit is on in an outage day").Eg("1.5"))
)

// LoadKeys are the keys of a load that its class may give as well: all but those that tell one load from another.
var LoadKeys = []strict.Key{
	or(whole("quantity", 1, 10000, "how many equal units").Eg("1"), 1),
	runningKey,
	or(number("power_factor", 0.01, 1, "", "power factor while it runs").Eg("0.80"), 1.0),
	startingVAKey,
	above("starting_w", 0, 1e8, "W", "power of one unit while it starts").Else(
		"none: it draws no more while it starts").Eg("6000"),
	number("starting_pf", 0.01, 1, "", "power factor while it starts").
		Else("of a motor by its power, else none: W and VA of the start are taken as equal").Eg("0.45"),
	or(above("starting_s", 0, 3600, "s", "how long a start lasts").Eg("1.5"), 3.0),
	hoursKey,
	{Name: "when", Kind: strict.Texts, MinLen: 1, MaxLen: 48,
		Doc: "windows such as \"06:00-09:00\"", Otherwise: "any time", Example: `["06:00-09:00", "16:00-20:00"]`},
	{Name: "cycle", Kind: strict.Group, Keys: &strict.Keys{Name: "cycle", List: []strict.Key{
		required(number("on_min", 0.1, 1440, "min", "minutes on").Eg("10")),
		required(number("off_min", 0.1, 1440, "min", "minutes off").Eg("20")),
	}}, Doc: "times on and off", Otherwise: "none: it runs on", Example: "{ on_min = 10, off_min = 20 }"},
	or(whole("priority", 1, 5, "how important it is; 1 must stay on").Eg("2"), 3),
	flag("held_off", "people promise not to use it in an outage").Eg("false"),
	{Name: "interlock", Kind: strict.Text, MayBeNone: true, Default: "",
		Doc: "loads of one interlock never run together", Example: `"water"`},
	{Name: "months", Kind: strict.Wholes, Min: 1, Max: 12, MinLen: 1, MaxLen: 12, Distinct: true,
		Spelled: loads.SpelledMonth,
		Doc:     "in which it is used", Otherwise: "all", Example: "[1, 2, 3, 12]"},
	number("rides_through_ms", 0, 1e6, "ms", "longest interruption that it rides through").Else(
		"any: nothing is asked").Eg("20"),
	flag("medical", "someone depends on it").Eg("false"),
	or(number("drop_below", 0, 1, "", "state of charge under which it is switched off, by people or a relay; "+
		"the plan's autonomy counts it as on, an outage that is followed does not").Eg("0.1"), 0.0),
	{Name: "motor", Kind: strict.Group, Keys: &motorKeys,
		Doc: "instead of starting_va or starting_w", Otherwise: "none",
		Example: `{ hp = 0.75, code = "G", method = "soft" }`},
}

// LoadExclusive are the keys of a load of which only one may be given: the power of its start.
var LoadExclusive = [][]string{{"starting_va", "starting_w", "motor"}}

// ApplianceKeys are the keys of a class of appliances. The months of a class are those north of the equator.
var ApplianceKeys = slices.Concat([]strict.Key{labelKey}, LoadKeys, []strict.Key{
	{Name: "low", Kind: strict.Group, Keys: spanKeys("low"),
		Doc: "low end of what is met in homes", Otherwise: "the typical figures",
		Example: "{ running_w = 800, hours_per_day = 1 }"},
	{Name: "high", Kind: strict.Group, Keys: spanKeys("high"),
		Doc: "high end of what is met in homes", Otherwise: "the typical figures",
		Example: "{ running_w = 1500, starting_va = 7000, hours_per_day = 3 }"},
})

func spanKeys(name string) *strict.Keys {
	hours := hoursKey.Else("the typical hours")
	hours.Alone = false
	return &strict.Keys{Name: name, List: []strict.Key{required(runningKey), startingVAKey.Else("the typical start"),
		hours}}
}

func entryKeys(name string, basis strict.Key, list []strict.Key) *strict.Keys {
	list = append([]strict.Key{idKey, basis}, list...)
	for i := range list {
		if k := &list[i]; k.Alone && k.Unless == "" { // an entry begins from no other
			k.Alone, k.Required = false, true
		}
	}
	return &strict.Keys{Name: name, List: list, AtMostOne: equipmentPairs[name]}
}

// BatteryExclusive are the keys of a battery of which only one may be given.
var BatteryExclusive = [][]string{{"capacity", "peukert"}}

var equipmentPairs = map[string][][]string{"[[battery]]": BatteryExclusive, "[[appliance]]": LoadExclusive}

var fileKeys = strict.Keys{List: []strict.Key{
	{Name: "inverter", Doc: "inverters", Kind: strict.Groups, Keys: entryKeys("[[inverter]]", basisKey.Else("none"),
		InverterKeys)},
	{Name: "battery", Doc: "battery units", Kind: strict.Groups,
		Keys: entryKeys("[[battery]]", basisKey.Else("none"), BatteryKeys)},
	{Name: "module", Doc: "PV modules", Kind: strict.Groups, Keys: entryKeys("[[module]]", basisKey.Else("none"),
		ModuleKeys)},
	{Name: "generator", Doc: "generators", Kind: strict.Groups,
		Keys: entryKeys("[[generator]]", basisKey.Else("none"), GeneratorKeys)},
	{Name: "appliance", Doc: "classes of appliances", Kind: strict.Groups,
		Keys: entryKeys("[[appliance]]", required(basisKey), ApplianceKeys)},
}}

// FileKeys are the keys of a catalog file.
func FileKeys() *strict.Keys { return &fileKeys }
