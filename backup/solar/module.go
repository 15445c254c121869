package solar

// A Module is the data sheet of one PV module at standard test conditions: 1000 W/m2, cells at 25 C.
type Module struct {
	ID, Label string
	RatedW    float64 // above 0
	VocV      float64 // open circuit, above 0
	IscA      float64 // short circuit, above 0
	VmpV      float64 // at rated power, below VocV
	ImpA      float64 // at rated power, below IscA

	// Temperature coefficients are fractions of the rated value per kelvin with their sign: -0.0027 is what a data
	// sheet prints as -0.27 %/C. Voltages and power fall with heat, current rises a little. 0 means not given.
	VocPerC, VmpPerC, PmaxPerC, IscPerC float64

	NOCTC  float64 // nominal operating cell temperature, 20..90; 0 means not given
	AreaM2 float64 // optional
	Price  *float64
	MassKg float64 // optional
}

// A Default is a value that [Module.WithDefaults] put where the data sheet says nothing.
type Default struct {
	Key    string // field of Module
	Value  float64
	Source string
}

// moduleDefaults stand in for crystalline silicon, on the side that gives less.
var moduleDefaults = struct{ noctC, pmaxPerC, iscPerC float64 }{
	noctC:    45,      // common practice (memory): data sheets print 42 to 48
	pmaxPerC: -0.0040, // worse end of -0.29 to -0.40 %/C in a public array-design note (SEEN-S)
	iscPerC:  0.0005,  // upper end of 0.04 to 0.05 %/C, same note (SEEN-S)
}

// WithDefaults fills what the data sheet leaves out and lists it. VocPerC stays 0: without it the cold voltage is
// taken from the table of [VocFactor], as the electrical code has it.
//
// A VmpPerC that is not given follows from power being volts times amperes: to first order its coefficient is that of
// the power less that of the current (derived, taking Isc's for the current).
func (m Module) WithDefaults() (Module, []Default) {
	var used []Default
	fill := func(field *float64, key string, v float64, source string) {
		if *field == 0 {
			*field = v
			used = append(used, Default{key, v, source})
		}
	}
	fill(&m.NOCTC, "NOCTC", moduleDefaults.noctC, "common practice, 42 to 48 C")
	fill(&m.PmaxPerC, "PmaxPerC", moduleDefaults.pmaxPerC, "crystalline silicon, worse end of the usual range")
	fill(&m.IscPerC, "IscPerC", moduleDefaults.iscPerC, "crystalline silicon, upper end of the usual range")
	fill(&m.VmpPerC, "VmpPerC", m.PmaxPerC-m.IscPerC, "PmaxPerC less IscPerC")
	return m, used
}

// Check returns an error for a data sheet that cannot be one.
func (m Module) Check() error {
	for _, f := range []struct {
		name, unit string
		v, hi      float64
	}{
		{"rated power", "W", m.RatedW, 5000}, {"open-circuit voltage", "V", m.VocV, 1000},
		{"short-circuit current", "A", m.IscA, 100}, {"voltage at rated power", "V", m.VmpV, 1000},
		{"current at rated power", "A", m.ImpA, 100},
	} {
		if err := above0("module "+f.name, f.unit, f.v, f.hi); err != nil {
			return err
		}
	}
	if m.VmpV >= m.VocV {
		return errs.Errorf("module voltage at rated power %g V, want below the open-circuit voltage, %g V", m.VmpV,
			m.VocV)
	}
	if m.ImpA >= m.IscA {
		return errs.Errorf("module current at rated power %g A, want below the short-circuit current, %g A", m.ImpA,
			m.IscA)
	}
	// -0.27 where -0.0027 is meant is the likely slip; 0.02 is beyond any cell.
	for _, f := range []struct {
		name      string
		v, lo, hi float64
	}{
		{"open-circuit voltage", m.VocPerC, -0.02, 0}, {"voltage at rated power", m.VmpPerC, -0.02, 0},
		{"power", m.PmaxPerC, -0.02, 0}, {"short-circuit current", m.IscPerC, -0.005, 0.01},
	} {
		if err := inRange("module coefficient of "+f.name, "a kelvin (a fraction, not per cent)", f.v, f.lo,
			f.hi); err != nil {
			return err
		}
	}
	if m.NOCTC != 0 {
		if err := inRange("module nominal operating cell temperature", "C", m.NOCTC, 20, 90); err != nil {
			return err
		}
	}
	for _, f := range []struct {
		name, unit string
		v, most    float64
	}{{"area", "m2", m.AreaM2, 1000}, {"mass", "kg", m.MassKg, 1e5}} {
		if err := inRange("module "+f.name, f.unit, f.v, 0, f.most); err != nil {
			return err
		}
	}
	return nil
}

// dcW is power in proportion to irradiance, corrected for heat; never below 0.
func (m *Module) dcW(planeWm2, cellC float64) float64 {
	return m.RatedW * planeWm2 / 1000 * max(0, 1+m.PmaxPerC*(cellC-25))
}
