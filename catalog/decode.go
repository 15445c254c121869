package catalog

import (
	"outlast/battery"
	"outlast/catalog/strict"
)

func setNumber(t *strict.Table, key string, field *float64) {
	if t.Given(key) {
		*field, _ = t.Number(key)
	}
}

func setOptional(t *strict.Table, key string, field **float64) {
	if t.Given(key) {
		v, _ := t.Number(key)
		*field = &v
	}
}

func setText(t *strict.Table, key string, field *string) {
	if t.Knows(key) && t.Given(key) {
		*field, _ = t.Text(key)
	}
}

// DecodeBattery reads a battery unit's keys from t, over base where there is one. Defaults by chemistry are not
// filled in here: see [battery.Unit.WithDefaults].
func DecodeBattery(t *strict.Table, base *battery.Unit) (u battery.Unit, ok bool) {
	ok = true
	if base != nil {
		u = *base
	} else {
		ok = t.Require("chemistry", "nominal_v", "rated_ah")
	}
	setText(t, "id", &u.ID)
	setText(t, "label", &u.Label)
	if t.Given("chemistry") {
		name, _ := t.Text("chemistry")
		u.Chemistry = battery.Chemistry(name)
	}
	for key, field := range map[string]*float64{
		"nominal_v": &u.NominalV, "rated_ah": &u.RatedAh, "rated_h": &u.RatedH,
		"max_charge_a": &u.MaxChargeA, "max_discharge_a": &u.MaxDischargeA, "pulse_a": &u.PulseA, "pulse_s": &u.PulseS,
		"charge_v": &u.ChargeV, "float_v": &u.FloatV, "equalise_v": &u.EqualiseV, "min_v": &u.MinV,
		"resistance_mohm": &u.ResistanceMohm, "max_dod": &u.MaxDoD, "round_trip": &u.RoundTrip, "mass_kg": &u.MassKg,
	} {
		setNumber(t, key, field)
	}
	setNumber(t, "charge_mv_per_cell_c", &u.ChargeMVPerCellC)
	setOptional(t, "charge_min_c", &u.ChargeMinC)
	setOptional(t, "charge_max_c", &u.ChargeMaxC)
	setOptional(t, "discharge_min_c", &u.DischargeMinC)
	setOptional(t, "price", &u.Price)
	if t.Given("max_parallel") {
		u.MaxParallel, _ = t.Whole("max_parallel")
	}
	// A table and an exponent are two ways to say the same; the one given here replaces the entry's.
	if t.Given("peukert") {
		u.Peukert, _ = t.Number("peukert")
		u.Capacity = nil
	}
	if t.Given("capacity") {
		u.Peukert = 0
		u.Capacity = nil
		for _, s := range t.Tables("capacity") {
			hours, _ := s.Number("hours")
			ah, _ := s.Number("ah")
			u.Capacity = append(u.Capacity, battery.RatePoint{Hours: hours, Ah: ah})
		}
	}
	if t.Given("cycles") {
		u.Cycles = nil
		for _, s := range t.Tables("cycles") {
			dod, _ := s.Number("dod")
			cycles, _ := s.Number("cycles")
			u.Cycles = append(u.Cycles, battery.CyclePoint{DoD: dod, Cycles: cycles})
		}
	}
	if !ok || t.Faulty() {
		return u, false
	}
	for _, f := range u.Check() {
		t.Report(f.Key, "", "%s", f.Msg)
		ok = false
	}
	return u, ok
}

// Module is the data sheet of one PV module. Zero: not given.
type Module struct {
	ID, Label                           string
	RatedW, VocV, IscA, VmpV, ImpA      float64
	VocPctPerC, PmaxPctPerC, IscPctPerC float64
	NOCTC, LengthMm, WidthMm            float64
	Price                               *float64
	MassKg                              float64
}

// DecodeModule reads a module's keys from t, over base where there is one.
func DecodeModule(t *strict.Table, base *Module) (m Module, ok bool) {
	ok = true
	if base != nil {
		m = *base
	} else {
		ok = t.Require("rated_w", "voc_v", "isc_a", "vmp_v", "imp_a")
	}
	setText(t, "id", &m.ID)
	setText(t, "label", &m.Label)
	for key, field := range map[string]*float64{
		"rated_w": &m.RatedW, "voc_v": &m.VocV, "isc_a": &m.IscA, "vmp_v": &m.VmpV, "imp_a": &m.ImpA,
		"voc_pct_per_c": &m.VocPctPerC, "pmax_pct_per_c": &m.PmaxPctPerC, "isc_pct_per_c": &m.IscPctPerC,
		"noct_c": &m.NOCTC, "length_mm": &m.LengthMm, "width_mm": &m.WidthMm, "mass_kg": &m.MassKg,
	} {
		setNumber(t, key, field)
	}
	setOptional(t, "price", &m.Price)
	if m.VmpV > 0 && m.VocV > 0 && m.VmpV >= m.VocV {
		t.Report("vmp_v", "", "found %g V, want less than voc_v, which is %g V", m.VmpV, m.VocV)
		ok = false
	}
	if m.ImpA > 0 && m.IscA > 0 && m.ImpA >= m.IscA {
		t.Report("imp_a", "", "found %g A, want less than isc_a, which is %g A", m.ImpA, m.IscA)
		ok = false
	}
	return m, ok
}

// FuelPoint is the fuel that a generator burns at a share of its rated power.
type FuelPoint struct{ Load, LPerH float64 }

// Generator is the data sheet of one generator. Zero: not given.
type Generator struct {
	ID, Label            string
	RatedVA, PowerFactor float64
	Phases               int
	OutputV              float64
	Fuel                 string
	FuelLPerH            []FuelPoint // ascending in load
	FuelL                float64
	Price                *float64
	MassKg               float64
}

// DecodeGenerator reads a generator's keys from t, over base where there is one.
func DecodeGenerator(t *strict.Table, base *Generator) (g Generator, ok bool) {
	ok = true
	if base != nil {
		g = *base
	} else {
		ok = t.Require("rated_va", "power_factor")
		g.Phases = 1
	}
	setText(t, "id", &g.ID)
	setText(t, "label", &g.Label)
	setText(t, "fuel", &g.Fuel)
	for key, field := range map[string]*float64{
		"rated_va": &g.RatedVA, "power_factor": &g.PowerFactor, "output_v": &g.OutputV, "fuel_l": &g.FuelL, "mass_kg": &g.MassKg,
	} {
		setNumber(t, key, field)
	}
	setOptional(t, "price", &g.Price)
	if t.Given("phases") {
		g.Phases, _ = t.Whole("phases")
	}
	if t.Given("fuel_l_per_h") {
		g.FuelLPerH = nil
		for _, s := range t.Tables("fuel_l_per_h") {
			load, _ := s.Number("load")
			lPerH, _ := s.Number("l_per_h")
			if n := len(g.FuelLPerH); n > 0 && load <= g.FuelLPerH[n-1].Load {
				s.Report("load", "", "found %g, want loads in ascending order", load)
				ok = false
			}
			g.FuelLPerH = append(g.FuelLPerH, FuelPoint{load, lPerH})
		}
	}
	return g, ok
}
