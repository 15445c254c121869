package catalog

import (
	"slices"

	"outlast/battery"
	"outlast/catalog/strict"
)

// A Default is a value that stands for a key which an inverter's data sheet leaves out, by common practice.
type Default struct {
	Key   string // as in equipment files, such as "derate_per_c"
	Value float64
	Unit  string
}

// OverloadPoint is a power that may be drawn for some time.
type OverloadPoint struct{ Seconds, VA float64 }

// EfficiencyPoint is the conversion efficiency at a share of the rated power, without the idle power.
type EfficiencyPoint struct{ Load, Efficiency float64 }

// TrackerInput is one PV input of an inverter. Zero: not given.
type TrackerInput struct {
	MaxV, StartV, TrackMinV, TrackMaxV, MaxA, MaxShortCircuitA, MaxW float64
}

// Inverter is the data sheet of one inverter unit.
type Inverter struct {
	ID, Label                  string
	RatedW, RatedVA            float64
	Overload                   []OverloadPoint // ascending in time
	Phases                     int
	OutputV                    float64 // line to neutral; 0: not given
	NominalDCV                 float64
	PassThroughA, ACInputA     float64 // per phase; 0: not given
	ChargerA                   float64 // 0: not given
	DCMinV, DCMaxV             float64
	MaxChargeA                 float64 // 0: not given
	MaxDischargeA              float64
	IdleW, Efficiency          float64
	EfficiencyCurve            []EfficiencyPoint // ascending in load; empty: Efficiency holds at every load
	DerateFromC, DeratePerC    float64
	DerateFromM, DeratePer100M float64
	TransferMs                 *float64
	Chemistries                []battery.Chemistry // empty: not given
	Equalises                  bool
	Inputs                     []TrackerInput
	Price                      *float64
	MassKg                     float64
	Defaults                   []Default // taken for keys that were not given
}

// inverterDefaults are the keys that have a default.
var inverterDefaults = []struct {
	key   string
	value float64
	unit  string
	field func(*Inverter) *float64
}{
	{"derate_from_c", 45, "C", func(v *Inverter) *float64 { return &v.DerateFromC }},
	{"derate_per_c", 0.02, "per K", func(v *Inverter) *float64 { return &v.DeratePerC }},
	{"derate_from_m", 1000, "m", func(v *Inverter) *float64 { return &v.DerateFromM }},
	{"derate_per_100m", 0.01, "per 100 m", func(v *Inverter) *float64 { return &v.DeratePer100M }},
}

// DecodeInverter reads an inverter's keys from t, over base where there is one. ok is false when a key that is needed
// is missing or wrong; the table then holds the problems.
func DecodeInverter(t *strict.Table, base *Inverter) (v Inverter, ok bool) {
	ok = true
	if base != nil {
		v = *base
	} else {
		ok = t.RequireAlone(orUse(t))
	}
	setText(t, "id", &v.ID)
	setText(t, "label", &v.Label)
	for key, field := range map[string]*float64{
		"rated_w": &v.RatedW, "rated_va": &v.RatedVA, "output_v": &v.OutputV, "nominal_dc_v": &v.NominalDCV,
		"pass_through_a": &v.PassThroughA, "ac_input_a": &v.ACInputA, "charger_a": &v.ChargerA,
		"dc_min_v": &v.DCMinV, "dc_max_v": &v.DCMaxV, "max_charge_a": &v.MaxChargeA,
		"max_discharge_a": &v.MaxDischargeA,
		"idle_w":          &v.IdleW, "mass_kg": &v.MassKg,
	} {
		setNumber(t, key, field)
	}
	setOptional(t, "transfer_ms", &v.TransferMs)
	setOptional(t, "price", &v.Price)
	switch {
	case t.Given("phases"):
		v.Phases, _ = t.Whole("phases")
		v.Defaults = without(v.Defaults, "phases")
	case !t.Sound("phases"):
		v.Phases = 0
	case base == nil:
		v.Phases = 1
		v.Defaults = append(v.Defaults, Default{Key: "phases", Value: 1})
	}
	if t.Given("equalises") {
		v.Equalises, _ = t.Switch("equalises")
	}
	decodeEfficiency(t, &v)
	for _, d := range inverterDefaults {
		switch {
		case t.Given(d.key):
			setNumber(t, d.key, d.field(&v))
			v.Defaults = without(v.Defaults, d.key)
		case base == nil:
			*d.field(&v) = d.value
			v.Defaults = append(v.Defaults, Default{Key: d.key, Value: d.value, Unit: d.unit})
		}
	}
	if t.Given("chemistries") {
		names, _ := t.Texts("chemistries")
		v.Chemistries = nil
		for _, name := range names {
			v.Chemistries = append(v.Chemistries, battery.Chemistry(name))
		}
	}
	if t.Given("overload") {
		v.Overload = decodeOverload(t)
	}
	if t.Given("input") {
		v.Inputs = decodeInputs(t)
	}
	return v, checkInverter(t, v) && ok && !t.Faulty()
}

// without leaves the entry's own list as it is.
func without(defaults []Default, key string) []Default {
	return slices.DeleteFunc(slices.Clone(defaults), func(d Default) bool { return d.Key == key })
}

func decodeEfficiency(t *strict.Table, v *Inverter) {
	setNumber(t, "efficiency", &v.Efficiency)
	if t.Has("efficiency") {
		v.EfficiencyCurve = nil
	}
	if !t.Given("efficiency_curve") {
		return
	}
	v.EfficiencyCurve = nil
	for _, s := range tables(t, "efficiency_curve") {
		load, _ := s.Number("load")
		eff, _ := s.Number("efficiency")
		if n := len(v.EfficiencyCurve); n > 0 && load <= v.EfficiencyCurve[n-1].Load {
			s.Report("load", "", "found %g after %g, want loads in ascending order", load, v.EfficiencyCurve[n-1].Load)
		}
		v.EfficiencyCurve = append(v.EfficiencyCurve, EfficiencyPoint{load, eff})
	}
	if v.Efficiency == 0 && len(v.EfficiencyCurve) > 0 {
		// A figure for what asks for one number only: the curve's best point, never used where the curve is.
		for _, p := range v.EfficiencyCurve {
			v.Efficiency = max(v.Efficiency, p.Efficiency)
		}
	}
}

func decodeOverload(t *strict.Table) []OverloadPoint {
	var points []OverloadPoint
	for _, s := range tables(t, "overload") {
		seconds, _ := s.Number("seconds")
		va, _ := s.Number("va")
		if slices.ContainsFunc(points, func(p OverloadPoint) bool { return p.Seconds == seconds }) {
			s.Report("seconds", "", "found %g a second time, want each time once", seconds)
		}
		points = append(points, OverloadPoint{seconds, va})
	}
	slices.SortStableFunc(points, func(a, b OverloadPoint) int {
		switch {
		case a.Seconds < b.Seconds:
			return -1
		case a.Seconds > b.Seconds:
			return 1
		}
		return 0
	})
	return points
}

func decodeInputs(t *strict.Table) []TrackerInput {
	var inputs []TrackerInput
	for _, s := range t.Tables("input") {
		var in TrackerInput
		setNumber(s, "max_v", &in.MaxV)
		setNumber(s, "start_v", &in.StartV)
		setNumber(s, "track_min_v", &in.TrackMinV)
		setNumber(s, "track_max_v", &in.TrackMaxV)
		setNumber(s, "max_a", &in.MaxA)
		setNumber(s, "max_short_circuit_a", &in.MaxShortCircuitA)
		setNumber(s, "max_w", &in.MaxW)
		below(s, "track_min_v", in.TrackMinV, "track_max_v", in.TrackMaxV, "V", false)
		inputs = append(inputs, in)
	}
	return inputs
}

// checkInverter reports contradictions between keys that are right one by one.
func checkInverter(t *strict.Table, v Inverter) bool {
	ok := below(t, "dc_min_v", v.DCMinV, "dc_max_v", v.DCMaxV, "V", false) &&
		below(t, "dc_min_v", v.DCMinV, "nominal_dc_v", v.NominalDCV, "V", true) &&
		below(t, "nominal_dc_v", v.NominalDCV, "dc_max_v", v.DCMaxV, "V", true)
	return below(t, "rated_w", v.RatedW, "rated_va", v.RatedVA, "W", true) && ok
}
