package battery

var (
	chargeManual   = say("US Army TM 10-6140-200-14, table 1-1")
	ordnanceManual = say("US Army OD 1002")
	engineerManual = say("US Army TM 5-1185, table III, and OD 1002")
)

// acidFreezing is the freezing point in degrees F of sulphuric acid by its specific gravity at 80 F. The manuals agree within 5 F;
// where two give a gravity the warmer figure stands here.
var acidFreezing = []point{
	{1.000, 32, ordnanceManual},
	{1.100, 19, engineerManual},
	{1.150, 5, engineerManual},
	{1.160, 1, chargeManual},
	{1.200, -16, engineerManual},
	{1.220, -31, chargeManual},
	{1.250, -62, chargeManual},
	{1.280, -90, engineerManual},
}

// chargeGravity is the specific gravity by state of charge, on the scale of the manual that the freezing points of full to a
// quarter come from; other makers fill in stronger or weaker acid. Empty is the scale gone on at its last pace, own.
var chargeGravity = []point{
	{0, 1.100, say("scale continued to empty by this program")},
	{0.25, 1.160, chargeManual},
	{0.50, 1.220, chargeManual},
	{0.75, 1.250, chargeManual},
	{1, 1.280, chargeManual},
}

// FreezingOfAcidC returns the temperature in C at which electrolyte of a specific gravity (at 80 F, as a hydrometer reads) freezes,
// straight between the points of the army manuals; outside 1.000 to 1.280 the end points are held, since stronger acid
// freezes warmer again.
func FreezingOfAcidC(gravity float64) float64 {
	least, most := acidFreezing[0].X, acidFreezing[len(acidFreezing)-1].X
	f, _ := interpolate(acidFreezing, min(max(gravity, least), most))
	return fromF(f)
}

// GravityAt returns the specific gravity at 80 F of a lead-acid battery's electrolyte at a state of charge of 0 to 1.
func GravityAt(soc float64) float64 {
	sg, _ := interpolate(chargeGravity, fraction(soc))
	return sg
}

// FreezingC returns the temperature in C at which the electrolyte of a lead-acid battery freezes at a state of charge of 0 to 1.
func FreezingC(soc float64) float64 { return FreezingOfAcidC(GravityAt(soc)) }

// LeastSoCInCold returns the state of charge under which a lead-acid battery at tempC freezes: 0 where even an empty one does not,
// 1 with ok false where even a full one does. See also [FloodedColdSoC].
func LeastSoCInCold(tempC float64) (soc float64, ok bool) {
	switch {
	case tempC >= FreezingC(0):
		return 0, true
	case !(tempC >= FreezingC(1)):
		return 1, false
	}
	return solve(chargeGravity, solve(acidFreezing, toF(tempC))), true
}

// FloodedColdSoC is the state of charge that a flooded battery should keep below 0 C: maker's data sheet of a 6 V flooded
// deep-cycle unit, 2014, SEEN.
const FloodedColdSoC = 0.60
