package solar

import "slices"

// StringVoltages are the voltages of one string at the ends of the climate, in V.
type StringVoltages struct {
	VocColdV float64 // open circuit at the coldest air
	VmpColdV float64 // operating at the coldest air
	VmpHotV  float64 // operating at the hottest air in full sun (1000 W/m2)
	CellHotC float64 // temperature of the cells then, degrees C
}

// Voltages returns the string's voltages.
//
// Cold: cells are at the temperature of the air, as they are at dawn. Source: NEC 690.7(A)(1); without VocPerC the
// factor of [VocFactor]. Hot: cells as warm as the sun makes them, not air, which would promise too many volts.
func (s StringSet) Voltages(climate Climate) (StringVoltages, error) {
	if err := climate.check(); err != nil {
		return StringVoltages{}, err
	}
	if err := s.check(); err != nil {
		return StringVoltages{}, err
	}
	m, _ := s.Module.WithDefaults()
	n := float64(s.PerString)
	cold := 1 + m.VocPerC*(climate.ColdestC-25)
	if m.VocPerC == 0 {
		var err error
		if cold, err = VocFactor(climate.ColdestC); err != nil {
			return StringVoltages{}, err
		}
	}
	hot := cellC(1000, climate.HottestC, m.NOCTC)
	return StringVoltages{
		VocColdV: n * (m.VocV * cold),
		VmpColdV: n * m.vmpV(climate.ColdestC),
		VmpHotV:  n * m.vmpV(hot),
		CellHotC: hot,
	}, nil
}

// vmpV is the operating voltage at a temperature of the cells; never below 0.
func (m *Module) vmpV(cellC float64) float64 {
	return m.VmpV * max(0, 1+m.VmpPerC*(cellC-25))
}

// vocFactors: NEC Table 690.7(A), crystalline and multicrystalline silicon, open-circuit voltage by lowest ambient
// temperature. Whole table from memory; the rows for 20, 0, -5, -10, -20, -30 and -40 SEEN-S.
var vocFactors = [...]struct{ downToC, factor float64 }{
	{20, 1.02}, {15, 1.04}, {10, 1.06}, {5, 1.08}, {0, 1.10}, {-5, 1.12}, {-10, 1.14}, {-15, 1.16}, {-20, 1.18},
	{-25, 1.20}, {-30, 1.21}, {-35, 1.23}, {-40, 1.25},
}

// VocFactor returns by what the open-circuit voltage of a crystalline silicon module is multiplied at the lowest
// air temperature, in degrees C, where its data sheet gives no coefficient. A temperature between two rows takes the
// colder one. Below -40 nothing is tabulated: an error.
//
// Source: NEC Table 690.7(A).
func VocFactor(ambientC float64) (float64, error) {
	if ambientC >= 25 {
		return 1, nil
	}
	for _, row := range vocFactors {
		// Rows read "24 to 20", "19 to 15": -0.5 lies between two and takes -1 to -5.
		if ambientC >= row.downToC {
			return row.factor, nil
		}
	}
	return 0, errs.Errorf("open-circuit factor at %g C, want at least %g (colder is not tabulated)",
		ambientC, vocFactors[len(vocFactors)-1].downToC)
}

// VocFactors returns the table of [VocFactor], coldest row first: down to which air temperature in degrees C each
// factor holds. From 25 C on the factor is 1.
func VocFactors() (downToC, factor []float64) {
	for _, row := range slices.Backward(vocFactors[:]) {
		downToC, factor = append(downToC, row.downToC), append(factor, row.factor)
	}
	return downToC, factor
}
