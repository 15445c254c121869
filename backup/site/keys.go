package site

import (
	"slices"
	"strings"

	"outlast/catalog"
	"outlast/catalog/strict"
	"outlast/loads"
)

// The keys of a site file: names, types, ranges and defaults. The ranges refuse slips of the keyboard, not unusual
// homes, and figures so small that dividing by them would end in infinity; every number has one. Equipment keys stand in package catalog.

// Keys are written in few words.
var (
	number, above, whole = strict.NumberKey, strict.AboveKey, strict.WholeKey
	text, flag, choice   = strict.TextKey, strict.SwitchKey, strict.ChoiceKey
	required, or         = strict.Needed, strict.Or
)

var useKey = text("use", "id in the catalog; keys given beside it override")

var siteKeys = strict.Keys{Name: "[site]", List: []strict.Key{
	required(text("name", "what the home is called")),
	required(number("nominal_v", 10, 1000, "V", "line to neutral")),
	or(whole("phases", 1, 3, "1, 2 (split-phase) or 3"), 1),
	or(number("frequency_hz", 40, 70, "Hz", "of the grid"), 50.0),
	or(strict.Key{Name: "altitude_m", Kind: strict.Number, Min: -500, Max: 6000, Unit: "m", Coarse: true, Doc: "above sea level"}, 0.0),
	or(number("coldest_c", -60, 60, "C", "battery space, design winter"), 20.0),
	or(number("hottest_c", -40, 80, "C", "inverter space, design summer"), 30.0),
	number("latitude", -90, 90, "degrees", "north is positive"),
	number("longitude", -180, 180, "degrees", "east is positive"),
	number("utc_offset_h", -12, 14, "h", "standard time less universal time"),
	or(choice("units", "of the papers; us: Fahrenheit, feet, pounds and AWG, in American English", "metric", "us"), "metric"),
}}

var outageKeys = strict.Keys{Name: "[outage]", List: []strict.Key{
	required(number("autonomy_h", 0.01, 8760, "h", "how long the bank alone must supply the backup circuits")),
	or(text("start", `"worst", or a time of day such as "18:30"`), "worst"),
	{Name: "month", Kind: strict.Whole, Min: 1, Max: 12, Spelled: loads.SpelledMonth, Doc: "month of the outage; default the one with the highest daily energy"},
	or(above("reserve", 0, 1, "", "state of charge when the grid fails"), 1.0),
}}

var practiceKeys = strict.Keys{Name: "[practice]", List: append([]strict.Key{
	or(number("margin", 0, 2, "", "design margin on capacity"), 0.10),
	or(number("growth", -0.9, 5, "", "growth of the energy, on the bank; leave power free with headroom"), 0.0),
	or(number("headroom", 0, 0.9, "", "share of the inverter's ratings that is kept free"), 0.0),
	or(number("end_of_life", 0.1, 1, "", "capacity left when the autonomy must still be met"), 0.80),
	number("max_dod", 0.01, 1, "", "deepest discharge; never above one that the unit gives"),
	or(above("confidence", 0, 1, "", "for the probable demand"), 0.999),
}, wiringPracticeKeys...)}

var inverterKeys = strict.Keys{Name: "[inverter]", List: append([]strict.Key{
	useKey,
	or(whole("count", 1, 100, "equal units"), 1),
}, catalog.InverterKeys...)}

var bankKeys = strict.Keys{Name: "[bank]", List: append([]strict.Key{
	useKey,
	or(whole("strings", 0, 1000, "parallel strings; 0: sized by the planner"), 0),
	above("vent_cm2", 0, 1e6, "cm2", "ventilation opening of the battery space, inlet and outlet each"),
	or(choice("vent_rule", "ventilation rule: the standard's, or the larger of it and Australia's", "iec", AustralianVent), "iec"),
}, catalog.BatteryKeys...), AtMostOne: catalog.BatteryExclusive}

var boardKeys = strict.Keys{Name: "[board]", List: []strict.Key{
	whole("ways", 1, 1000, "ways: circuits that the backup board has room for; default unlimited"),
}}

// anyPhase lets the planner pick a circuit's phase.
const anyPhase = "any"

func phaseKey() strict.Key {
	k := or(whole("phase", 0, 3, "0: all phases; \"any\": the planner picks one"), 1)
	k.Words = []string{anyPhase}
	return k
}

var circuitKeys = strict.Keys{Name: "[[circuit]]", List: []strict.Key{
	required(text("id", "name by which loads refer to it")),
	text("label", "words for people; the id where none are given"),
	above("breaker_a", 0, 10000, "A", "rating of its circuit breaker"),
	phaseKey(),
	above("cable_mm2", 0, 1000, "mm2", "conductor"),
	above("length_m", 0, 10000, "m", "one way"),
	required(choice("board", "the board that it is on", "backup", "main", "either")),
}}

// loadKeys: what a class of appliances may give stands in package catalog. Without a class the figures that must be known are required,
// and so are name and circuit.
var loadKeys = strict.Keys{Name: "[[load]]", List: append([]strict.Key{
	text("name", "of the appliance, or the group of equal ones; with `use`, that of the class"),
	text("circuit", "id of its circuit; with `use`, one of its own on the backup board"),
	text("use", "id of a class of appliances in the catalog, for every key that is not given"),
}, catalog.LoadKeys...), AtMostOne: catalog.LoadExclusive}

var arrayKeys = strict.Keys{Name: "[[array]]", List: append([]strict.Key{
	useKey,
	required(whole("modules_per_string", 1, 200, "modules in series")),
	or(whole("strings", 1, 1000, "strings in parallel"), 1),
	required(number("tilt_deg", 0, 90, "degrees", "0 lies flat")),
	required(number("azimuth_deg", 0, 360, "degrees", "clockwise from north")),
	or(whole("input", 1, 64, "tracker input of the inverter"), 1),
	{Name: "monthly_kwh_m2_day", Kind: strict.Numbers, Min: 0, Max: 15, Unit: "kWh/m2", MinLen: 12, MaxLen: 12, Doc: "mean daily irradiation on the horizontal, not in the plane of the array, January first"},
	text("weather", "a weather file"),
}, catalog.ModuleKeys...), AtMostOne: [][]string{{"monthly_kwh_m2_day", "weather"}}}

var generatorKeys = strict.Keys{Name: "[generator]", List: append([]strict.Key{
	useKey,
	number("start_soc", 0, 1, "", "state of charge at which it starts"),
	or(number("stop_soc", 0, 1, "", "state of charge at which it stops"), 0.8),
}, catalog.GeneratorKeys...)}

var optionKeys = strict.Keys{Name: "[[option]]", List: []strict.Key{
	required(text("name", "of the variant")),
	{Name: "inverter", Kind: strict.Group, Keys: loose(&inverterKeys)},
	{Name: "bank", Kind: strict.Group, Keys: loose(&bankKeys)},
	{Name: "outage", Kind: strict.Group, Keys: loose(&outageKeys)},
	{Name: "practice", Kind: strict.Group, Keys: loose(&practiceKeys)},
}}

// loose is a table's keys with none of them required: an option gives only what it changes.
func loose(ks *strict.Keys) *strict.Keys {
	out := *ks
	out.List = slices.Clone(ks.List)
	out.Name = strings.Trim(ks.Name, "[]") + " of [[option]]"
	for i := range out.List {
		out.List[i].Required = false
	}
	return &out
}

var fileKeys = strict.Keys{List: []strict.Key{
	{Name: "site", Kind: strict.Group, Keys: &siteKeys, Required: true},
	{Name: "outage", Kind: strict.Group, Keys: &outageKeys, Required: true},
	{Name: "practice", Kind: strict.Group, Keys: &practiceKeys},
	{Name: "inverter", Kind: strict.Group, Keys: &inverterKeys, Required: true},
	{Name: "bank", Kind: strict.Group, Keys: &bankKeys, Required: true},
	{Name: "board", Kind: strict.Group, Keys: &boardKeys},
	{Name: "wiring", Kind: strict.Group, Keys: &wiringKeys},
	{Name: "circuit", Kind: strict.Groups, Keys: &circuitKeys, MaxLen: 1000},
	{Name: "load", Kind: strict.Groups, Keys: &loadKeys, MaxLen: 2000},
	{Name: "array", Kind: strict.Groups, Keys: &arrayKeys, MaxLen: 64},
	{Name: "generator", Kind: strict.Group, Keys: &generatorKeys},
	{Name: "option", Kind: strict.Groups, Keys: &optionKeys, MaxLen: 32},
}}

// FileKeys are the keys of a site file: its tables, and theirs, in the order in which people read them.
func FileKeys() *strict.Keys { return &fileKeys }
