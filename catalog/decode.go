package catalog

import (
	"slices"
	"strings"

	"outlast/battery"
	"outlast/catalog/strict"
)

// setNumber sets a field from its key. A figure that has been reported counts as not given, so that nothing is compared
// with it: neither with the wrong one nor with the one that it should have overridden.
func setNumber(t *strict.Table, key string, field *float64) {
	if t.Given(key) {
		*field, _ = t.Number(key)
	} else if !t.Sound(key) {
		*field = 0
	}
}

func setOptional(t *strict.Table, key string, field **float64) {
	if t.Given(key) {
		v, _ := t.Number(key)
		*field = &v
	} else if !t.Sound(key) {
		*field = nil
	}
}

// tables gives the tables of a list, but none where something is wrong in one of them: half a curve tells nothing.
func tables(t *strict.Table, key string) []*strict.Table {
	list := t.Tables(key)
	if !t.Sound(key) || slices.ContainsFunc(list, (*strict.Table).Faulty) {
		return nil
	}
	return list
}

// below reports two figures that stand in the wrong order, at the one that the table gives, or at the later one. A
// figure of 0 is not given.
func below(t *strict.Table, lowKey string, low float64, highKey string, high float64, unit string, mayEqual bool) bool {
	if low <= 0 || high <= 0 || low < high || mayEqual && low == high {
		return true
	}
	more, less := "more than", "less than"
	if mayEqual {
		more, less = "at least", "at most"
	}
	atLow := t.Given(lowKey) && (!t.Given(highKey) || t.Pos(highKey).Before(t.Pos(lowKey)))
	if atLow {
		t.Report(lowKey, "", "found %g %s, want %s %s, %g", low, unit, less, highKey, high)
	} else {
		t.Report(highKey, "", "found %g %s, want %s %s, %g", high, unit, more, lowKey, low)
	}
	return false
}

func setText(t *strict.Table, key string, field *string) {
	if t.Knows(key) && t.Given(key) {
		*field, _ = t.Text(key)
	}
}

// orUse tells a site file that lacks keys of equipment of its own what is easier; a catalog knows no `use`.
func orUse(t *strict.Table) string {
	if !t.Knows("use") {
		return ""
	}
	return "or begin from an entry of the catalog with use = \"…\" and give only what differs; outlast catalog lists them"
}

// DecodeBattery reads a battery unit's keys from t, over base where there is one. Defaults by chemistry are not
// filled in here: see [battery.Unit.WithDefaults].
func DecodeBattery(t *strict.Table, base *battery.Unit) (u battery.Unit, ok bool) {
	ok = true
	if base != nil {
		u = *base
	} else {
		ok = t.RequireAlone(orUse(t))
	}
	setText(t, "id", &u.ID)
	setText(t, "label", &u.Label)
	if t.Given("chemistry") {
		name, _ := t.Text("chemistry")
		u.Chemistry = battery.Chemistry(name)
	} else if !t.Sound("chemistry") {
		u.Chemistry = ""
	}
	for key, field := range map[string]*float64{
		"nominal_v": &u.NominalV, "rated_ah": &u.RatedAh, "rated_h": &u.RatedH,
		"max_charge_a": &u.MaxChargeA, "max_discharge_a": &u.MaxDischargeA, "pulse_a": &u.PulseA, "pulse_s": &u.PulseS,
		"charge_v": &u.ChargeV, "float_v": &u.FloatV, "equalise_v": &u.EqualiseV, "min_v": &u.MinV,
		"resistance_mohm": &u.ResistanceMohm, "max_dod": &u.MaxDoD, "round_trip": &u.RoundTrip, "mass_kg": &u.MassKg,
	} {
		setNumber(t, key, field)
	}
	setOptional(t, "charge_mv_per_cell_c", &u.ChargeMVPerCellC)
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
		for _, s := range tables(t, "capacity") {
			hours, _ := s.Number("hours")
			ah, _ := s.Number("ah")
			u.Capacity = append(u.Capacity, battery.RatePoint{Hours: hours, Ah: ah})
		}
	}
	if t.Given("cycles") {
		u.Cycles = nil
		for _, s := range tables(t, "cycles") {
			dod, _ := s.Number("dod")
			cycles, _ := s.Number("cycles")
			u.Cycles = append(u.Cycles, battery.CyclePoint{DoD: dod, Cycles: cycles})
		}
	}
	ok = ok && !t.Faulty()
	if u.Chemistry == "" || u.NominalV == 0 {
		return u, false // volts per cell could not be told
	}
	checked := u
	if t.Sound("rated_h") {
		// The table is compared with rated_ah at rated_h, given or not.
		full, _ := u.WithDefaults()
		checked.RatedH = full.RatedH
	}
	if !t.Sound("pulse_a") {
		checked.PulseS = 0 // which would be found to stand alone
	}
	for _, f := range checked.Check() {
		ok = false
		reportFault(t, f)
	}
	return u, ok
}

// reportFault reports that two figures of a battery do not go together. Where the table overrides one of them, it is to
// blame, once, even if it goes together with none of the others.
func reportFault(t *strict.Table, f battery.Fault) {
	if t.Has(f.Key) {
		t.Report(f.Key, "", "found %s", f.Msg)
		return
	}
	for i := range BatteryKeys {
		key := BatteryKeys[i].Name
		if !t.Has(key) || !slices.Contains(strings.FieldsFunc(f.Msg, notOfKey), key) {
			continue
		}
		if t.Sound(key) {
			t.Report(key, "", "does not go with %s: found %s", f.Key, f.Msg)
		}
		return
	}
	t.Report(f.Key, "", "found %s", f.Msg)
}

func notOfKey(r rune) bool { return r != '_' && (r < 'a' || r > 'z') }

// Module is the data sheet of one PV module. Zero: not given.
type Module struct {
	ID, Label                           string
	RatedW, VocV, IscA, VmpV, ImpA      float64
	VocPctPerC, PmaxPctPerC, IscPctPerC float64
	MaxFuseA                            float64 // largest series fuse
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
		ok = t.RequireAlone(orUse(t))
	}
	setText(t, "id", &m.ID)
	setText(t, "label", &m.Label)
	for key, field := range map[string]*float64{
		"rated_w": &m.RatedW, "voc_v": &m.VocV, "isc_a": &m.IscA, "vmp_v": &m.VmpV, "imp_a": &m.ImpA,
		"voc_pct_per_c": &m.VocPctPerC, "pmax_pct_per_c": &m.PmaxPctPerC, "isc_pct_per_c": &m.IscPctPerC,
		"max_fuse_a": &m.MaxFuseA, "noct_c": &m.NOCTC, "length_mm": &m.LengthMm, "width_mm": &m.WidthMm,
		"mass_kg": &m.MassKg,
	} {
		setNumber(t, key, field)
	}
	setOptional(t, "price", &m.Price)
	ok = below(t, "vmp_v", m.VmpV, "voc_v", m.VocV, "V", false) && ok
	ok = below(t, "imp_a", m.ImpA, "isc_a", m.IscA, "A", false) && ok
	return m, ok && !t.Faulty()
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
	Turbo                bool        // a turbocharged diesel engine
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
		ok = t.RequireAlone(orUse(t))
		g.Phases = 1
	}
	setText(t, "id", &g.ID)
	setText(t, "label", &g.Label)
	setText(t, "fuel", &g.Fuel)
	for key, field := range map[string]*float64{
		"rated_va": &g.RatedVA, "power_factor": &g.PowerFactor, "output_v": &g.OutputV, "fuel_l": &g.FuelL,
		"mass_kg": &g.MassKg,
	} {
		setNumber(t, key, field)
	}
	setOptional(t, "price", &g.Price)
	if t.Given("phases") {
		g.Phases, _ = t.Whole("phases")
	}
	if t.Given("turbo") {
		g.Turbo, _ = t.Switch("turbo")
	}
	if g.Turbo && g.Fuel != "diesel" && t.Sound("fuel") {
		key, found := "turbo", "no fuel"
		if g.Fuel != "" {
			found = "fuel = " + strict.Quote(g.Fuel)
		}
		if !t.Given("turbo") { // the catalog says so
			key = "fuel"
		}
		t.Report(key, "", "found a turbocharged engine and %s, want fuel = \"diesel\" with turbo = true", found)
	}
	if t.Given("fuel_l_per_h") {
		g.FuelLPerH = nil
		for _, s := range tables(t, "fuel_l_per_h") {
			load, _ := s.Number("load")
			lPerH, _ := s.Number("l_per_h")
			if n := len(g.FuelLPerH); n > 0 && load <= g.FuelLPerH[n-1].Load {
				s.Report("load", "", "found %g after %g, want loads in ascending order", load, g.FuelLPerH[n-1].Load)
			}
			g.FuelLPerH = append(g.FuelLPerH, FuelPoint{load, lPerH})
		}
	}
	return g, ok && !t.Faulty()
}
