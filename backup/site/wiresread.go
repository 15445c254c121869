package site

import (
	"fmt"

	"outlast/backup/wiring"
	"outlast/backup/wording"
	"outlast/catalog/strict"
)

// Wiring is what the site file says of the conductors and their devices. 0: not given.
type Wiring struct {
	Tables   wiring.Tables
	Method   wiring.Method // "": B2, for bank and array C
	AmbientC float64
	Grouped  int

	Bank, Feeder, Input, Array    Cable
	BankKind                      wiring.DeviceKind
	BankDevice, Isolator          wiring.Device
	FeederBreakerA, InputBreakerA float64
}

// A Cable is a conductor as the site file has it. 0: not given.
type Cable struct{ LengthM, MM2 float64 }

// usBelowV is the voltage, line to neutral, under which the US tables are taken where the file does not say: 100, 120
// and 127 V belong to the Americas and Japan, 220 V and more to the rest.
const usBelowV = 150.0

func (r *reader) readWiring() {
	t, s := r.root.Table("wiring"), r.site
	if t == nil {
		t = strict.Empty(&wiringKeys)
	}
	r.wiring = t
	w := &s.Wiring
	tables, given := t.Text("tables")
	w.Tables = wiring.Tables(tables)
	if !given && t.Sound("tables") && s.NominalV > 0 {
		w.Tables = wiring.IEC
		if s.NominalV < usBelowV {
			w.Tables = wiring.US
		}
		t.NoteDefault("tables", string(w.Tables))
	}
	method, laid := t.Text("method")
	w.Method = wiring.Method(method)
	switch {
	case laid && w.Tables == wiring.US:
		t.Report("method", "leave it out, or take the iec tables", "the us tables know one way of laying only")
	case !laid && w.Tables == wiring.IEC:
		t.NoteDefault("method", fmt.Sprintf("%s, bank and array %s", wiring.InConduit, wiring.OnWall))
	}
	if w.AmbientC, given = t.Number("ambient_c"); !given {
		w.AmbientC = s.HottestC
		t.NoteDefault("ambient_c", string(wording.WithUnit(s.HottestC, "C")))
	}
	w.Grouped, _ = t.Whole("grouped")
	for key, field := range map[string]*float64{
		"bank_m": &w.Bank.LengthM, "bank_mm2": &w.Bank.MM2, "feeder_m": &w.Feeder.LengthM, "feeder_mm2": &w.Feeder.MM2,
		"input_m": &w.Input.LengthM, "input_mm2": &w.Input.MM2, "array_m": &w.Array.LengthM, "array_mm2": &w.Array.MM2,
		"bank_device_a": &w.BankDevice.RatedA, "bank_device_v": &w.BankDevice.RatedV,
		"bank_device_breaking_a": &w.BankDevice.BreakingA,
		"feeder_breaker_a":       &w.FeederBreakerA, "input_breaker_a": &w.InputBreakerA,
		"array_isolator_a": &w.Isolator.RatedA, "array_isolator_v": &w.Isolator.RatedV,
	} {
		*field, _ = t.Number(key)
	}
	kind, given := t.Text("bank_device")
	if w.BankKind = wiring.DeviceKind(kind); !given {
		w.BankKind = wiring.Fuse
	}
	for _, key := range []string{"bank_mm2", "feeder_mm2", "input_mm2", "array_mm2"} {
		w.standardSize(t, key)
	}
	for _, c := range r.root.Tables("circuit") {
		w.standardSize(c, "cable_mm2")
	}
}

// standardSize reports a cross-section that the tables do not have: nothing is known of what it carries.
func (w *Wiring) standardSize(t *strict.Table, key string) {
	if !t.Given(key) || w.Tables == "" {
		return
	}
	mm2, _ := t.Number(key)
	near, err := wiring.SizeOf(w.Tables, mm2)
	if err == nil {
		return
	}
	hint := ""
	switch {
	case near.Name == "":
	case w.Tables == wiring.US:
		hint = fmt.Sprintf("the nearest is %.3g, %s", near.MM2, near.Name)
	default:
		hint = fmt.Sprintf("the nearest is %g", near.MM2)
	}
	t.Report(key, hint, "found %g mm2, want a standard size of the %s tables", mm2, w.Tables)
}

// A WiringFactor ties a practice key to its field. matters says whether the plan of a site makes use of it: only then
// is a default that stands in for it worth a line.
type WiringFactor struct {
	Key     string
	Field   func(*wiring.Practice) *float64
	matters func(*Site) bool
}

var WiringFactors = []WiringFactor{
	// its default depends on the tables
	{"continuous_factor", func(p *wiring.Practice) *float64 { return &p.ContinuousFactor }, always},
	{"dc_fuse_factor", func(p *wiring.Practice) *float64 { return &p.DCFuseFactor }, always},
	{"pv_factor", func(p *wiring.Practice) *float64 { return &p.PVFactor }, (*Site).hasArray},
	{"dc_drop", func(p *wiring.Practice) *float64 { return &p.DCDropLimit }, (*Site).hasDCLength},
	{"ac_drop", func(p *wiring.Practice) *float64 { return &p.ACDropLimit }, (*Site).hasACLength},
	{"total_drop", func(p *wiring.Practice) *float64 { return &p.TotalDropLimit }, (*Site).hasFeederLength},
	{"start_drop", func(p *wiring.Practice) *float64 { return &p.StartDropLimit },
		func(s *Site) bool { return s.hasDCLength() || s.hasACLength() }},
	{"long_run_per_m", func(p *wiring.Practice) *float64 { return &p.LongRunPerM }, (*Site).hasLongRun},
	{"surge_rise_k", func(p *wiring.Practice) *float64 { return &p.SurgeRiseK }, always},
	{"generator_share", func(p *wiring.Practice) *float64 { return &p.GeneratorShare }, (*Site).hasGenerator},
	{"generator_start", func(p *wiring.Practice) *float64 { return &p.GeneratorStart }, (*Site).hasGenerator},
	{"generator_dip", func(p *wiring.Practice) *float64 { return &p.GeneratorDip }, (*Site).hasGenerator},
	{"generator_reactance", func(p *wiring.Practice) *float64 { return &p.GeneratorReactance }, (*Site).hasGenerator},
}

func always(*Site) bool            { return true }
func (s *Site) hasArray() bool     { return len(s.Arrays) > 0 }
func (s *Site) hasGenerator() bool { return s.Generator != nil }
func (s *Site) hasDCLength() bool {
	return s.Wiring.Bank.LengthM > 0 || s.hasArray() && s.Wiring.Array.LengthM > 0
}
func (s *Site) hasFeederLength() bool {
	return s.Wiring.Feeder.LengthM > 0 || s.Wiring.Input.LengthM > 0
}
func (s *Site) hasACLength() bool { return s.longestACM() > 0 }
func (s *Site) hasLongRun() bool  { return s.longestACM() > 100 }

func (s *Site) longestACM() float64 {
	m := max(s.Wiring.Feeder.LengthM, s.Wiring.Input.LengthM)
	for _, c := range s.Circuits {
		m = max(m, c.LengthM)
	}
	return m
}

// Wires is the practice of the wiring with its defaults filled in.
func (p Practice) Wires() wiring.Practice {
	filled, err := p.Wiring.Filled()
	if err != nil {
		panic(err) // the keys have the ranges of package wiring
	}
	return filled
}

// readWiringPractice reads the factors of the wiring. It comes last: which of them matter depends on the rest of the
// site.
func readWiringPractice(s *Site, t *strict.Table) {
	p := &s.Practice.Wiring
	for _, f := range WiringFactors {
		if t.Has(f.Key) || f.matters(s) {
			*f.Field(p), _ = t.Number(f.Key)
		}
	}
	if !t.Has("continuous_factor") {
		p.ContinuousFactor = wiring.ContinuousFactor(s.Wiring.Tables)
		t.NoteDefault("continuous_factor", fmt.Sprint(p.ContinuousFactor))
	}
	p.NextSizeUp, _ = t.Switch("next_size_up")
	var given bool
	if p.UnfusedStrings, given = t.Whole("unfused_strings"); !given && s.Unit.Chemistry.Valid() {
		bank, array := wiring.UnfusedOf(s.Unit.Chemistry), wiring.UnfusedOfArray()
		switch {
		case s.Strings == 1 && s.hasArray():
			t.NoteDefault("unfused_strings", fmt.Sprint(array))
		case s.Strings != 1 && s.hasArray() && bank != array:
			t.NoteDefault("unfused_strings", fmt.Sprintf("%d, %d", bank, array))
		case s.Strings != 1:
			t.NoteDefault("unfused_strings", fmt.Sprint(bank))
		}
	}
	if p.FaultPerAh, given = t.Number("fault_a_per_ah"); !given && s.Unit.ResistanceMohm == 0 {
		if perAh, ok := wiring.FaultPerAhOf(s.Unit.Chemistry); ok {
			t.NoteDefault("fault_a_per_ah", string(wording.WithUnit(perAh, "A/Ah")))
		}
	}
	rule, given := t.Text("generator_rule")
	s.Practice.GeneratorRule = wiring.DeratingRule(rule)
	if !given && s.hasGenerator() {
		rules := wiring.DeratingRulesOf(s.Generator.Fuel, s.Generator.Turbo)
		t.NoteDefault("generator_rule", fmt.Sprintf("%s, %s", rules[0], rules[1]))
	}
}
