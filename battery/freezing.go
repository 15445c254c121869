package battery

import (
	"outlast/backup/phrase"
	"outlast/backup/working"
)

var (
	chargeManual   = working.TM10.At(working.InTable("1-1"), working.Read)
	ordnanceManual = working.OD1002.At(phrase.Phrase{}, working.Read)
	engineerManual = working.TM5.At(working.InTable("III"), working.Read)
	ownersManual   = working.From(phrase.Of("vehicle owner's manual, storage of the battery"), working.Read)
	tractorManual  = working.From(phrase.Of("tractor service manual, acid of a temperate climate"), working.Read)
	restDataset    = working.From(phrase.Of("acid of 1.265 when full, open data set on 12 V lead-acid batteries"),
		working.Read)
)

// acidFreezing is the freezing point in degrees F of sulphuric acid by its specific gravity at 80 F. The texts agree
// within 5 F; where two give a gravity the warmer figure stands here.
var acidFreezing = []point{
	{1.000, 32, ordnanceManual},
	{1.050, 27, ownersManual},
	{1.100, 19, engineerManual},
	{1.150, 5, engineerManual},
	{1.160, 1, chargeManual},
	{1.200, -16, engineerManual},
	{1.220, -31, chargeManual},
	{1.225, -35, ownersManual},
	{1.250, -62, chargeManual},
	{1.265, -75, ownersManual},
	{1.280, -90, engineerManual},
}

// chargeGravity is the specific gravity by state of charge of the batteries whose volts at rest are used here
// (floodedRestV): 1.265 when full. The army manual of the freezing points has a stronger acid (1.280, 1.250, 1.220
// and 1.160 for full to a quarter), which freezes 11 K later at half charge. Which of them a battery holds is seldom
// known, so the weaker one counts.
var chargeGravity = []point{
	{0, 1.120, restDataset},
	{0.25, 1.155, restDataset},
	{0.50, 1.190, restDataset},
	{0.75, 1.225, restDataset},
	{1, 1.265, restDataset},
}

// weakGravity is the weakest acid that a source gives for deep discharges: a battery filled for a temperate climate,
// which loses more of its acid until it is empty. Straight from half charge to empty.
var weakGravity = []point{
	{0, 1.070, tractorManual},
	{0.50, 1.170, tractorManual},
	{0.75, 1.215, tractorManual},
	{1, 1.260, tractorManual},
}

// FreezingOfAcidC returns the temperature in C at which electrolyte of a specific gravity (at 80 F, as a hydrometer
// reads) freezes, straight between published points; outside 1.000 to 1.280 the end points are held, since stronger
// acid freezes warmer again.
func FreezingOfAcidC(gravity float64) float64 {
	least, most := acidFreezing[0].X, acidFreezing[len(acidFreezing)-1].X
	f, _ := interpolate(acidFreezing, min(max(gravity, least), most))
	return fromF(f)
}

// GravityAt returns the specific gravity at 80 F of a lead-acid battery's electrolyte at a state of charge of 0 to 1,
// when it is 1.265 full: the weaker of the scales that give charge and freezing point.
func GravityAt(soc float64) float64 {
	sg, _ := interpolate(chargeGravity, fraction(soc))
	return sg
}

// FreezingC returns the temperature in C at which the electrolyte of a lead-acid battery of [GravityAt] freezes at a
// state of charge of 0 to 1.
func FreezingC(soc float64) float64 { return FreezingOfAcidC(GravityAt(soc)) }

// WeakAcidFreezingC is [FreezingC] for a battery filled with the weaker acid of temperate climates: the worst that is
// usual.
func WeakAcidFreezingC(soc float64) float64 {
	sg, _ := interpolate(weakGravity, fraction(soc))
	return FreezingOfAcidC(sg)
}

// AcidSource says where [FreezingC] comes from: the scale of the acid and the freezing points.
func AcidSource() []working.Source {
	return append([]working.Source{restDataset}, forFigure(phrase.Of("freezing point"), chargeManual, engineerManual,
		ordnanceManual, ownersManual)...)
}

// forFigure says of which figure of a step sources are.
func forFigure(figure phrase.Phrase, sources ...working.Source) []working.Source {
	for i := range sources {
		sources[i] = sources[i].For(figure)
	}
	return sources
}

// LeastSoCInCold returns the state of charge under which a lead-acid battery at tempC freezes: 0 where even an empty
// one does not, 1 with ok false where even a full one does. See also [FloodedColdSoC].
func LeastSoCInCold(tempC float64) (soc float64, ok bool) {
	switch {
	case tempC >= FreezingC(0):
		return 0, true
	case !(tempC >= FreezingC(1)):
		return 1, false
	}
	return solve(chargeGravity, solve(acidFreezing, toF(tempC))), true
}

// FloodedColdSoC is the state of charge that a flooded battery should keep below 0 C: maker's data sheet of a 6 V
// flooded deep-cycle unit, 2014, SEEN.
const FloodedColdSoC = 0.60
