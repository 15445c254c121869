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
)

func chemistryNames() []string {
	var names []string
	for _, c := range battery.Chemistries() {
		names = append(names, string(c))
	}
	return names
}

func list(name string, keys *strict.Keys, doc string) strict.Key {
	return strict.Key{Name: name, Kind: strict.Groups, Keys: keys, MinLen: 1, MaxLen: 64, Doc: doc}
}

var (
	idKey    = strict.TextKey("id", "name by which a site file uses the entry")
	labelKey = strict.TextKey("label", "words for people")
	basisKey = strict.TextKey("basis", "what the figures rest on")
	priceKey = number("price", 0, 1e9, "", "of one unit, in whatever money the site thinks in")
	massKey  = above("mass_kg", 0, 1e5, "kg", "of one unit")
)

// InverterKeys are the keys of an inverter.
var InverterKeys = []strict.Key{
	labelKey,
	above("rated_w", 0, 1e7, "W", "continuous power of one unit at 25 C and sea level"),
	above("rated_va", 0, 1e7, "VA", "continuous apparent power of one unit at 25 C and sea level"),
	list("overload", &strict.Keys{Name: "overload", List: []strict.Key{
		required(above("seconds", 0, 86400, "s", "how long the power may be drawn")),
		required(above("va", 0, 1e8, "VA", "apparent power of one unit")),
	}}, "short-time ratings"),
	whole("phases", 1, 3, "phases of one unit"),
	above("output_v", 0, 1000, "V", "output, line to neutral"),
	number("nominal_dc_v", 1, 1500, "V", "battery side"),
	above("pass_through_a", 0, 1e5, "A", "grid current to the backup output, per phase"),
	above("ac_input_a", 0, 1e5, "A", "grid current into the unit altogether, charger included, per phase"),
	above("charger_a", 0, 1e5, "A", "battery current of the grid charger"),
	above("dc_min_v", 0, 1500, "V", "lowest battery voltage at which it runs"),
	above("dc_max_v", 0, 1500, "V", "highest permitted battery voltage"),
	above("max_charge_a", 0, 1e5, "A", "into the battery, all sources"),
	above("max_discharge_a", 0, 1e5, "A", "from the battery"),
	number("idle_w", 0, 1e5, "W", "standby consumption, at no load"),
	number("efficiency", 0.1, 1, "", "conversion without the idle power"),
	list("efficiency_curve", &strict.Keys{Name: "efficiency_curve", List: []strict.Key{
		required(number("load", 0, 2, "", "share of rated_w")),
		required(number("efficiency", 0.1, 1, "", "at that load, without the idle power")),
	}}, "conversion efficiency by load"),
	number("derate_from_c", -20, 100, "C", "ambient temperature above which the rating falls; default 45"),
	number("derate_per_c", 0, 1, "", "share of the rating lost per kelvin; default 0.02"),
	number("derate_from_m", -500, 9000, "m", "altitude above which the rating falls; default 1000"),
	number("derate_per_100m", 0, 1, "", "share of the rating lost per 100 m; default 0.01"),
	number("transfer_ms", 0, 1e5, "ms", "transfer time"),
	{Name: "chemistries", Kind: strict.Texts, Choices: chemistryNames(), MinLen: 1, MaxLen: 5, Doc: "batteries that it can charge"},
	{Name: "equalises", Kind: strict.Switch, Doc: "true if it can equalise"},
	list("input", &strict.Keys{Name: "input", List: []strict.Key{
		above("max_v", 0, 2000, "V", "highest open-circuit voltage"),
		above("start_v", 0, 2000, "V", "voltage at which it starts"),
		above("track_min_v", 0, 2000, "V", "lower end of the tracking range"),
		above("track_max_v", 0, 2000, "V", "upper end of the tracking range"),
		above("max_a", 0, 1000, "A", "operating current"),
		above("max_short_circuit_a", 0, 1000, "A", "short-circuit current"),
		above("max_w", 0, 1e7, "W", "array power"),
	}}, "tracker inputs"),
	priceKey, massKey,
}

// BatteryKeys are the keys of a battery unit.
var BatteryKeys = []strict.Key{
	labelKey,
	{Name: "chemistry", Kind: strict.Text, Choices: chemistryNames(), Doc: "what it is made of"},
	number("nominal_v", 1, 1500, "V", "of one unit"),
	number("rated_ah", 0.1, 1e5, "Ah", "of one unit at rated_h"),
	number("rated_h", 0.1, 1000, "h", "discharge time to which rated_ah belongs; default 20, of lithium 5"),
	list("capacity", &strict.Keys{Name: "capacity", List: []strict.Key{
		required(number("hours", 0.01, 1000, "h", "discharge time")),
		required(above("ah", 0, 1e5, "Ah", "capacity at that time, to one end voltage")),
	}}, "capacity by discharge time"),
	number("peukert", 1, 2, "", "exponent, in place of capacity; default by chemistry"),
	above("max_charge_a", 0, 1e5, "A", "of one unit"),
	above("max_discharge_a", 0, 1e5, "A", "of one unit"),
	above("pulse_a", 0, 1e6, "A", "of one unit, for pulse_s"),
	above("pulse_s", 0, 3600, "s", "how long pulse_a may flow"),
	above("charge_v", 0, 2000, "V", "of one unit at 25 C; default by chemistry"),
	above("float_v", 0, 2000, "V", "of one unit at 25 C; default by chemistry"),
	above("equalise_v", 0, 2000, "V", "of one unit at 25 C; default by chemistry"),
	above("min_v", 0, 2000, "V", "of one unit, end of discharge; default by chemistry"),
	number("charge_mv_per_cell_c", -20, 20, "mV", "charge voltage per cell and kelvin below 25 C; the sign does not matter; default by chemistry"),
	above("resistance_mohm", 0, 1e6, "mohm", "internal resistance of one unit, charged, 25 C"),
	whole("max_parallel", 1, 1000, "parallel strings permitted; default 4, of lithium 16"),
	list("cycles", &strict.Keys{Name: "cycles", List: []strict.Key{
		required(above("dod", 0, 1, "", "depth of discharge")),
		required(above("cycles", 0, 1e6, "", "until end of life")),
	}}, "cycle life by depth"),
	number("charge_min_c", -60, 80, "C", "coldest for charging"),
	number("charge_max_c", -60, 100, "C", "hottest for charging"),
	number("discharge_min_c", -60, 80, "C", "coldest for discharging"),
	number("max_dod", 0.01, 1, "", "deepest discharge; default by chemistry"),
	number("round_trip", 0.1, 1, "", "energy out over energy in; default by chemistry"),
	priceKey, massKey,
}

// ModuleKeys are the keys of a PV module. Temperature coefficients are in percent of the rated value per kelvin.
var ModuleKeys = []strict.Key{
	labelKey,
	above("rated_w", 0, 5000, "W", "at standard test conditions"),
	above("voc_v", 0, 1000, "V", "open circuit"),
	above("isc_a", 0, 100, "A", "short circuit"),
	above("vmp_v", 0, 1000, "V", "at rated power"),
	above("imp_a", 0, 100, "A", "at rated power"),
	number("voc_pct_per_c", -2, 0, "%", "of voc_v per kelvin, negative"),
	number("pmax_pct_per_c", -2, 0, "%", "of rated_w per kelvin, negative"),
	number("isc_pct_per_c", -0.5, 1, "%", "of isc_a per kelvin"),
	above("max_fuse_a", 0, 200, "A", "maximum series fuse"),
	number("noct_c", 20, 90, "C", "nominal operating cell temperature"),
	above("length_mm", 0, 10000, "mm", "of the frame"),
	above("width_mm", 0, 10000, "mm", "of the frame"),
	priceKey, massKey,
}

// GeneratorKeys are the keys of a generator.
var GeneratorKeys = []strict.Key{
	labelKey,
	above("rated_va", 0, 1e7, "VA", "continuous, at 25 C and sea level"),
	number("power_factor", 0.01, 1, "", "at which rated_va holds"),
	whole("phases", 1, 3, "phases"),
	above("output_v", 0, 1000, "V", "line to neutral"),
	{Name: "fuel", Kind: strict.Text, Choices: []string{"petrol", "diesel", "gas"}, Doc: "what it burns"},
	{Name: "turbo", Kind: strict.Switch, Doc: "true: a turbocharged diesel engine"},
	list("fuel_l_per_h", &strict.Keys{Name: "fuel_l_per_h", List: []strict.Key{
		required(number("load", 0, 1.2, "", "share of the rated power")),
		required(above("l_per_h", 0, 1e4, "l/h", "litres an hour")),
	}}, "fuel by load"),
	above("fuel_l", 0, 1e6, "l", "what the tank holds"),
	priceKey, massKey,
}

var motorKeys = strict.Keys{Name: "motor", List: []strict.Key{
	above("hp", 0, 10000, "hp", "rated output"),
	above("kw", 0, 10000, "kW", "rated output"),
	choice("code", "code letter of the plate", strings.Fields("A B C D E F G H J K L M N P R S T U V")...),
	above("locked_rotor_a", 0, 1e5, "A", "line current while it stands still"),
	number("times", 1, 20, "", "locked-rotor over full-load current"),
	or(choice("method", "how it is started", "direct", "star-delta", "soft", "drive"), "direct"),
}, AtMostOne: [][]string{{"hp", "kw"}}, OneOf: [][]string{{"code", "locked_rotor_a", "times"}}}

var (
	runningKey    = number("running_w", 0, 1e7, "W", "of one unit")
	startingVAKey = above("starting_va", 0, 1e8, "VA", "of one unit")
	hoursKey      = number("hours_per_day", 0, 24, "h", "on in an outage day, of each unit")
)

// LoadKeys are the keys of a load that its class may give as well: all but those that tell one load from another.
var LoadKeys = []strict.Key{
	or(whole("quantity", 1, 10000, "equal units"), 1),
	runningKey,
	or(number("power_factor", 0.01, 1, "", "running"), 1.0),
	startingVAKey,
	above("starting_w", 0, 1e8, "W", "of one unit"),
	number("starting_pf", 0.01, 1, "", "while starting"),
	or(above("starting_s", 0, 3600, "s", "how long a start lasts"), 3.0),
	hoursKey,
	{Name: "when", Kind: strict.Texts, MinLen: 1, MaxLen: 48, Doc: "windows such as \"06:00-09:00\"; default any time"},
	{Name: "cycle", Kind: strict.Group, Keys: &strict.Keys{Name: "cycle", List: []strict.Key{
		required(number("on_min", 0.1, 1440, "min", "on")),
		required(number("off_min", 0.1, 1440, "min", "off")),
	}}, Doc: "times on and off"},
	or(whole("priority", 1, 5, "1 must stay on"), 3),
	flag("held_off", "people promise not to use it in an outage"),
	{Name: "interlock", Kind: strict.Text, MayBeNone: true, Default: "", Doc: "loads of one interlock never run together"},
	{Name: "months", Kind: strict.Wholes, Min: 1, Max: 12, MinLen: 1, MaxLen: 12, Distinct: true, Spelled: loads.SpelledMonth, Doc: "default all"},
	number("rides_through_ms", 0, 1e6, "ms", "longest interruption that it rides through"),
	flag("medical", "someone depends on it"),
	or(number("drop_below", 0, 1, "", "state of charge under which it is switched off"), 0.0),
	{Name: "motor", Kind: strict.Group, Keys: &motorKeys, Doc: "instead of starting_va or starting_w"},
}

// LoadExclusive are the keys of a load of which only one may be given: the power of its start.
var LoadExclusive = [][]string{{"starting_va", "starting_w", "motor"}}

// ApplianceKeys are the keys of a class of appliances. The months of a class are those north of the equator.
var ApplianceKeys = slices.Concat([]strict.Key{labelKey}, LoadKeys, []strict.Key{
	{Name: "low", Kind: strict.Group, Keys: spanKeys("low"), Doc: "low end of what is met in homes"},
	{Name: "high", Kind: strict.Group, Keys: spanKeys("high"), Doc: "high end of what is met in homes"},
})

func spanKeys(name string) *strict.Keys {
	return &strict.Keys{Name: name, List: []strict.Key{required(runningKey), startingVAKey, hoursKey}}
}

func entryKeys(name string, list []strict.Key) *strict.Keys {
	return &strict.Keys{Name: name, List: append([]strict.Key{idKey, basisKey}, list...), AtMostOne: equipmentPairs[name]}
}

// BatteryExclusive are the keys of a battery of which only one may be given.
var BatteryExclusive = [][]string{{"capacity", "peukert"}}

var equipmentPairs = map[string][][]string{"[[battery]]": BatteryExclusive, "[[appliance]]": LoadExclusive}

var fileKeys = strict.Keys{List: []strict.Key{
	{Name: "inverter", Kind: strict.Groups, Keys: entryKeys("[[inverter]]", InverterKeys)},
	{Name: "battery", Kind: strict.Groups, Keys: entryKeys("[[battery]]", BatteryKeys)},
	{Name: "module", Kind: strict.Groups, Keys: entryKeys("[[module]]", ModuleKeys)},
	{Name: "generator", Kind: strict.Groups, Keys: entryKeys("[[generator]]", GeneratorKeys)},
	{Name: "appliance", Kind: strict.Groups, Keys: entryKeys("[[appliance]]", ApplianceKeys)},
}}
