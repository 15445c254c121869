package battery

// A Curve is a published table of one variable, for who lays a plan out in full: straight between its points, which
// stand in ascending X.
type Curve struct{ X, Y []float64 }

func curveOf(points []point) (c Curve) {
	for _, p := range points {
		c.X, c.Y = append(c.X, p.X), append(c.Y, p.Y)
	}
	return c
}

// TemperatureCurve returns what [TemperatureFactor] reads: shares of capacity by degrees C or, where multiplier says
// so, multipliers of the required capacity. Below the first point its first segment goes on, down to least; from 25 C
// on the factor is 1.
func TemperatureCurve(c Chemistry) (curve Curve, multiplier bool, least float64) {
	points, multiplier := temperatureTable(c)
	return curveOf(points), multiplier, capacityFloor
}

// ColdResistanceCurve returns by what the resistance of a full battery grows, by degrees C, as [Bank.ResistanceOhmAt]
// counts it, and by what more it grows while it is emptied: in a straight line from 1 at kneeSoC, and above, to empty
// at a charge of 0.
func ColdResistanceCurve(c Chemistry) (curve Curve, empty, kneeSoC float64) {
	if c.LeadAcid() {
		return curveOf(leadColdResistance), leadEmptyResistance, 1
	}
	return curveOf(lithiumColdResistance), lithiumEmptyResistance, lithiumKneeSoC
}

// RestCurve returns the volts of one cell at rest by state of charge, as [Bank.SourceV] reads them at a temperature of
// the cells in degrees C.
func RestCurve(c Chemistry, tempC float64) Curve {
	switch c {
	case LFP:
		return curveOf(lfpRest)
	case NMC:
		return curveOf(nmcRest)
	}
	one := Bank{Unit: Unit{Chemistry: c, NominalV: c.CellV()}, Series: 1, Strings: 1}
	curve := Curve{X: []float64{0, 0.25, 0.5, 0.75, 1}}
	for _, soc := range curve.X {
		curve.Y = append(curve.Y, one.SourceV(soc, tempC))
	}
	return curve
}

// SagCurves returns by how much the volts of one cell fall under currents that last, by state of charge, at 25 C: a
// curve for each of rates, in parts of the capacity per hour, of which the first is 0. Beyond its ends a curve is held.
// ok is false for chemistries of which no table is known.
func SagCurves(c Chemistry) (rates []float64, curves []Curve, ok bool) {
	table := c.sagTable()
	if table == nil {
		return nil, nil, false
	}
	curves = make([]Curve, len(sagRates))
	for i := len(table) - 1; i >= 0; i-- {
		for k := range curves {
			curves[k].X, curves[k].Y = append(curves[k].X, table[i].soc), append(curves[k].Y, table[i].sagV[k])
		}
	}
	return sagRates[:], curves, true
}

// AcidCurves returns what [FreezingC] and [WeakAcidFreezingC] read: the specific gravity by state of charge of both
// acids, and the freezing point in degrees F by specific gravity. The end points of each are held.
func AcidCurves() (gravity, weakGravityBySoC, freezingF Curve) {
	return curveOf(chargeGravity), curveOf(weakGravity), curveOf(acidFreezing)
}

// What [Bank.Ventilation] counts with.
const (
	AirFactor              = ventilationFactor   // flow in m3/h for each A of gas and cell
	AirOpeningCM2          = openingCM2          // for each m3/h
	GasDoublesK            = gasDoublesK         // above [TableHottestC]
	CellVRounding          = cellVRounding       // of the volts of the table
	HydrogenOfAh           = hydrogenM3PerAh     // of one cell, at 0 C
	FullGasShare           = fullGasShare        // hydrogen in the air where all of the current turns into gas
	FullGasC               = fullGasC            // temperature of that air
	AustralianLPerS        = australianLPerS     // for each cell and A
	AustralianSealedAPerAh = australianSealedAAh // valve-regulated
	AustralianCM2          = australianCM2       // for each l/s
	C10H                   = c10H                // hours of the capacity that gas rates are of
)
