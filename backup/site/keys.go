package site

import (
	"slices"
	"strings"

	"outlast/catalog"
	"outlast/catalog/strict"
	"outlast/loads"
)

// The keys of a site file: names, types, ranges and defaults. The ranges refuse slips of the keyboard, not unusual
// homes, and figures so small that dividing by them would end in infinity; every number has one. Equipment keys stand
// in package catalog.

// Keys are written in few words.
var (
	number, above, whole = strict.NumberKey, strict.AboveKey, strict.WholeKey
	text, flag, choice   = strict.TextKey, strict.SwitchKey, strict.ChoiceKey
	required, or         = strict.Needed, strict.Or
	alone                = strict.NeededAlone
)

func useKey(example string) strict.Key {
	return text("use", "id in the catalog; keys given beside it override").Else("none: the keys of its own tell").Eg(
		example)
}

var siteKeys = strict.Keys{Name: "[site]", List: []strict.Key{
	required(text("name", "what the home is called").Eg(`"Wattle Bend cottage"`)),
	required(number("nominal_v", 10, 1000, "V", "nominal voltage of the grid, line to neutral").Eg("230")),
	or(whole("phases", 1, 3, "phases of the supply: 1, 2 (split-phase) or 3").Eg("3"), 1),
	or(number("frequency_hz", 40, 70, "Hz", "frequency of the grid").Eg("50"), 50.0),
	or(strict.Key{Name: "altitude_m", Kind: strict.Number, Min: -500, Max: 6000, Unit: "m", Coarse: true,
		Doc: "height above sea level", Example: "310"}, 0.0),
	or(number("coldest_c", -60, 60, "C", "temperature of the battery space in the design winter").Eg("4"), 20.0),
	or(number("hottest_c", -40, 80, "C", "temperature of the inverter space in the design summer").Eg("38"), 30.0),
	number("coldest_air_c", -60, 50, "C", "coldest air outdoors, a record rather than a mean, for the strings of arrays").Else(
		"with an [[array]]: 5 K below the coldest hour of its weather; without weather by latitude, with a caution").Eg("-12"),
	number("latitude", -90, 90, "degrees", "latitude; north is positive").Else(
		"not known; with an [[array]] it must be given").Eg("-37.9"),
	number("longitude", -180, 180, "degrees", "longitude; east is positive").Else(
		"none: the sun is highest at 12:00").Eg("145.2"),
	number("utc_offset_h", -12, 14, "h", "standard time less universal time").Else(
		"none: the sun is highest at 12:00").Eg("10"),
	text("meter", "a file of the meter's interval data, set beside the list of loads").Else("none").Eg(`"meter.csv"`),
	or(choice("units", "units of the papers; us: Fahrenheit, feet, pounds and AWG, in American English", "metric",
		"us").Eg(`"us"`), "metric"),
}}

var outageKeys = strict.Keys{Name: "[outage]", List: []strict.Key{
	required(number("autonomy_h", 0.01, 8760, "h", "how long the bank alone must supply the backup circuits").Eg("24")),
	or(text("start", `"worst", or a time of day such as "18:30"`).Eg(`"18:30"`), "worst"),
	{Name: "month", Kind: strict.Whole, Min: 1, Max: 12, Spelled: loads.SpelledMonth,
		Doc: "month of the outage", Otherwise: "the one with the highest daily energy", Example: "7"},
	or(above("reserve", 0, 1, "", "state of charge of the bank when the grid fails").Eg("0.95"), 1.0),
}}

var practiceKeys = strict.Keys{Name: "[practice]", List: append([]strict.Key{
	or(number("margin", 0, 2, "", "design margin on capacity").Eg("0.10"), 0.10),
	or(number("growth", -0.9, 5, "", "growth of the energy, on the bank; leave power free with headroom").Eg(
		"0.05"), 0.0),
	or(number("headroom", 0, 0.9, "", "share of the inverter's ratings that is kept free").Eg("0.0"), 0.0),
	or(number("end_of_life", 0.1, 1, "", "capacity left when the autonomy must still be met").Eg("0.80"), 0.80),
	number("max_dod", 0.01, 1, "", "deepest discharge; never above one that the unit gives").Else(
		"that of the unit").Eg("0.5"),
	or(above("confidence", 0, 1, "", "confidence of the probable demand").Eg("0.999"), 0.999),
}, wiringPracticeKeys...)}

var inverterKeys = strict.Keys{Name: "[inverter]", List: append([]strict.Key{
	useKey(`"hybrid-5k-48"`),
	or(whole("count", 1, 100, "how many equal units").Eg("3"), 1),
}, catalog.InverterKeys...)}

var bankKeys = strict.Keys{Name: "[bank]", List: append([]strict.Key{
	useKey(`"lfp-51-100"`),
	or(whole("strings", 0, 1000, "parallel strings").Means0("sized by the planner").Eg("4"), 0),
	above("vent_cm2", 0, 1e6, "cm2", "ventilation opening of the battery space, inlet and outlet each").Else(
		"not known").Eg("200"),
	or(choice("vent_rule", "ventilation rule: the standard's, or the larger of it and Australia's", "iec",
		AustralianVent).Eg(`"au"`), "iec"),
}, catalog.BatteryKeys...), AtMostOne: catalog.BatteryExclusive}

var boardKeys = strict.Keys{Name: "[board]", List: []strict.Key{
	whole("ways", 1, 1000, "circuits that the backup board has room for").Else("unlimited").Eg("12"),
}}

// anyPhase lets the planner pick a circuit's phase.
const anyPhase = "any"

func phaseKey() strict.Key {
	k := or(whole("phase", 0, 3, "phase that it is on; 0: all phases; \"any\": the planner picks one").Eg("2"), 1)
	k.Words = []string{anyPhase}
	return k
}

var circuitKeys = strict.Keys{Name: "[[circuit]]", List: []strict.Key{
	required(text("id", "name by which loads refer to it").Eg(`"water"`)),
	text("label", "words for people").Else("the id").Eg(`"Bore and pressure pump"`),
	above("breaker_a", 0, 10000, "A", "rating of its circuit breaker").Else("not known").Eg("20"),
	phaseKey(),
	above("cable_mm2", 0, 1000, "mm2", "cross-section of its conductors").Else("the planner picks it").Eg("2.5"),
	above("length_m", 0, 10000, "m", "length of its cable, one way").Else("not known").Eg("40"),
	required(choice("board", "the board that it is on", "backup", "main", "either").Eg(`"backup"`)),
}}

// loadKeys: what a class of appliances may give stands in package catalog. Without a class the figures that must be
// known are required, and so are name and circuit.
var loadKeys = strict.Keys{Name: "[[load]]", List: append([]strict.Key{
	alone(text("name", "name of the appliance, or of the group of equal ones").Else("with use, that of the class").Eg(
		`"Bore pump"`)),
	alone(text("circuit", "id of its circuit").Else("with use, one of its own on the backup board").Eg(`"water"`)),
	text("use", "id of a class of appliances in the catalog, for every key that is not given").Else(
		"none: the keys of its own tell").Eg(`"oven"`),
}, catalog.LoadKeys...), AtMostOne: catalog.LoadExclusive}

var arrayKeys = strict.Keys{Name: "[[array]]", List: append([]strict.Key{
	useKey(`"mono-440"`),
	required(whole("modules_per_string", 1, 200, "modules in series").Eg("8")),
	or(whole("strings", 1, 1000, "strings in parallel").Eg("1"), 1),
	required(number("tilt_deg", 0, 90, "degrees", "tilt of the plane; 0 lies flat").Eg("30")),
	required(number("azimuth_deg", 0, 360, "degrees", "direction that the plane faces, clockwise from north").Eg("0")),
	or(whole("input", 1, 64, "tracker input of the inverter").Eg("1"), 1),
	{Name: "monthly_kwh_m2_day", Kind: strict.Numbers, Min: 0, Max: 15, Unit: "kWh/m2", MinLen: 12, MaxLen: 12,
		Doc:       "mean daily irradiation on the horizontal, not in the plane of the array, January first",
		Otherwise: "not known", Example: "[7, 6, 5, 3.5, 2.4, 2, 2.2, 3, 4, 5.2, 6.1, 7]"},
	text("weather", "a weather file").Else("none").Eg(`"town.epw"`),
}, catalog.ModuleKeys...), AtMostOne: [][]string{{"monthly_kwh_m2_day", "weather"}}}

var generatorKeys = strict.Keys{Name: "[generator]", List: append([]strict.Key{
	useKey(`"diesel-20k-3"`),
	number("start_soc", 0, 1, "", "state of charge at which it starts").Else(
		"0.3, or as much higher as the bank wants").Eg("0.55"),
	or(number("stop_soc", 0, 1, "", "state of charge at which it stops").Eg("0.85"), 0.8),
}, catalog.GeneratorKeys...)}

// theSites is what holds for a table of an option, and for each of its keys, that is not given.
const theSites = "as without the option"

var optionKeys = strict.Keys{Name: "[[option]]", List: []strict.Key{
	required(text("name", "name of the variant").Eg(`"Lithium"`)),
	{Name: "inverter", Kind: strict.Group, Keys: loose(&inverterKeys), Doc: "any keys of [inverter]",
		Otherwise: theSites, Example: "{ count = 6 }"},
	{Name: "bank", Kind: strict.Group, Keys: loose(&bankKeys),
		Doc: "any keys of [bank]", Otherwise: theSites, Example: `{ use = "lfp-51-100", strings = 3 }`},
	{Name: "outage", Kind: strict.Group, Keys: loose(&outageKeys), Doc: "any keys of [outage]", Otherwise: theSites,
		Example: "{ autonomy_h = 48 }"},
	{Name: "practice", Kind: strict.Group, Keys: loose(&practiceKeys),
		Doc: "any keys of [practice]", Otherwise: theSites, Example: "{ max_dod = 0.7 }"},
}}

// OfOption ends the names of the tables of an option.
const OfOption = " of [[option]]"

// loose is a table's keys with none of them required: an option gives only what it changes.
func loose(ks *strict.Keys) *strict.Keys {
	out := *ks
	out.List = slices.Clone(ks.List)
	out.Name = strings.Trim(ks.Name, "[]") + OfOption
	for i := range out.List {
		k := &out.List[i]
		k.Required, k.Alone = false, false
		if k.Default == nil {
			k.Otherwise = theSites
		}
	}
	return &out
}

var fileKeys = strict.Keys{List: []strict.Key{
	{Name: "site", Kind: strict.Group, Keys: &siteKeys, Doc: "the home", Required: true},
	{Name: "outage", Kind: strict.Group, Keys: &outageKeys, Doc: "the outage that is planned for", Required: true},
	{Name: "practice", Kind: strict.Group, Keys: &practiceKeys, Doc: "margins and factors of the trade"},
	{Name: "inverter", Kind: strict.Group, Keys: &inverterKeys, Doc: "the inverters", Required: true},
	{Name: "bank", Kind: strict.Group, Keys: &bankKeys, Doc: "the battery bank", Required: true},
	{Name: "board", Kind: strict.Group, Keys: &boardKeys, Doc: "the backup board"},
	{Name: "wiring", Kind: strict.Group, Keys: &wiringKeys, Doc: "cables and protective devices"},
	{Name: "circuit", Kind: strict.Groups, Keys: &circuitKeys, Doc: "a circuit of the home", MaxLen: 1000},
	{Name: "load", Kind: strict.Groups, Keys: &loadKeys, Doc: "an appliance, or a group of equal ones", MaxLen: 2000},
	{Name: "array", Kind: strict.Groups, Keys: &arrayKeys, Doc: "a PV array", MaxLen: 64},
	{Name: "generator", Kind: strict.Group, Keys: &generatorKeys, Doc: "the generator"},
	{Name: "option", Kind: strict.Groups, Keys: &optionKeys, Doc: "a variant to compare with", MaxLen: 32},
}}

// FileKeys are the keys of a site file: its tables, and theirs, in the order in which people read them.
func FileKeys() *strict.Keys { return &fileKeys }
