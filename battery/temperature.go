package battery

import (
	"outlast/backup/phrase"
	"outlast/backup/working"
)

// referenceC is the temperature of rated capacities and of charge voltages in data sheets.
const referenceC = 25

// capacityFloor is the least share of capacity that a temperature leaves: colder than any table the extrapolated line
// would cross zero, and a plan for such cold needs a data sheet, not a line.
const capacityFloor = 0.05

var (
	worksheet = working.From(phrase.Of("stand-alone PV worksheet, multiplier of the required Ah"), working.Read)
	agmTable  = working.From(phrase.Of("maker's data sheet of a 12 V 55 Ah AGM block"), working.Read)
	lfpRange  = working.From(phrase.Of("common range of data sheets, low end"), working.Memory)
)

// Multipliers of the required capacity by temperature in C, coldest first. The worksheet prints 1.00 at 80 F and
// nothing at 77 F.
var worksheetMultiplier = []point{
	{fromF(20), 1.59, worksheet},
	{fromF(30), 1.40, worksheet},
	{fromF(40), 1.30, worksheet},
	{fromF(50), 1.19, worksheet},
	{fromF(60), 1.11, worksheet},
	{fromF(70), 1.04, worksheet},
	{fromF(77), 1.00, definition},
}

var floodedMultiplier = append([]point{
	{-18, 1 / 0.40, working.TM10.At(phrase.Of("capacity 40 %% at 0 F (-18 C)"), working.Read)},
}, worksheetMultiplier...)

// Shares of capacity by temperature in C, coldest first.
var (
	agmShare = []point{
		{-15, 0.65, agmTable},
		{0, 0.86, agmTable},
		{referenceC, 1.00, agmTable},
		{40, 1.03, agmTable}, // no credit is taken for it
	}
	lfpShare = []point{
		{-20, 0.55, lfpRange},
		{-10, 0.75, lfpRange},
		{0, 0.85, lfpRange},
		{referenceC, 1.00, definition},
	}
)

// temperatureTable is the published table of a chemistry: shares of capacity, or multipliers of the required one.
func temperatureTable(c Chemistry) (points []point, multiplier bool) {
	switch c {
	case Flooded:
		return floodedMultiplier, true
	case AGM:
		return agmShare, false
	case LFP, NMC: // no table for NMC was found: the one for LFP, memory
		return lfpShare, false
	default: // gel; an unknown chemistry gets the table with the widest use
		return worksheetMultiplier, true
	}
}

// TemperatureFactor returns the share of its 25 C capacity that a battery gives when its cells are at tempC: 1 at 25 C
// and above, falling below, never under 0.05. inTable is false where tempC is colder than the published table, whose
// last segment is then drawn on. Flooded and gel follow the multipliers of the stand-alone PV worksheet (linear in the
// multiplier, its reciprocal), AGM a data sheet, lithium a common range from memory (linear in the share). See
// [TemperatureSource].
func TemperatureFactor(c Chemistry, tempC float64) (k float64, inTable bool) {
	if tempC >= referenceC { // no credit above the reference: common practice with IEEE 485
		return 1, true
	}
	points, multiplier := temperatureTable(c)
	k, inTable = interpolate(points, tempC)
	if multiplier {
		k = 1 / k
	}
	if !(k > capacityFloor) { // also a NaN temperature
		return capacityFloor, false
	}
	return k, inTable
}

// TemperatureSource returns where [TemperatureFactor] at that temperature comes from: the sources of the two points of
// the table between which it lies.
func TemperatureSource(c Chemistry, tempC float64) []working.Source {
	if tempC >= referenceC {
		return []working.Source{working.IEEE485.At(phrase.Of("no credit at 25 C and above"), working.Practice)}
	}
	points, _ := temperatureTable(c)
	a, b := bracket(points, tempC)
	out := []working.Source{a.Source}
	if b.Source.Basis != working.Definition && b.Source != a.Source {
		out = append(out, b.Source)
	}
	if c == NMC {
		out = append(out, working.From(phrase.Of("for NMC as for LFP"), working.Memory))
	}
	return out
}
