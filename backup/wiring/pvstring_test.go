package wiring

import (
	"strings"
	"testing"
)

func sizePV(t *testing.T, s PVString) PVResult {
	t.Helper()
	r, err := SizePV(s)
	if err != nil {
		t.Fatal(err)
	}
	return r
}

// Isc 11.2 A, one string per circuit; 10 AWG 90 C wire (40 A), 45 C ambient: 14.0 A, 17.5 A; 34.8 A is acceptable; next
// standard fuse 20 A, if it does not exceed the module's maximum series fuse. Source: open electrician course, lesson
// PV System Components, Worked Example 2 (SEEN-P). The lesson's fuse is that of three strings or more (course page,
// SEEN-S), so three strings stand here.
func TestSourceCircuit(t *testing.T) {
	s := PVString{Laying: Laying{Tables: US, InsulationC: 90, AmbientC: 45}, ShortCircuitA: 11.2, MaxPowerA: 10.5,
		MaxPowerV: 380, ColdOpenCircuitV: 540,
		Strings: 3, MaxSeriesFuseA: 20, LengthM: 15, CableMM2: 5.26}
	r := sizePV(t, s)
	near(t, "highest current, A", r.MaximumA, 14.0, 1e-9)
	near(t, "rating, A", r.RatingA, 17.5, 1e-9)
	near(t, "10 AWG as laid, A", r.Choice.Ampacity.A, 34.8, 1e-9)
	if !r.Choice.Found || r.FuseA != 20 {
		t.Errorf("found %t, fuse %g A, want true and 20", r.Choice.Found, r.FuseA)
	}
	wantStatus(t, r.Checks, OfModuleFuse, Pass)
	s.MaxSeriesFuseA = 15
	wantStatus(t, sizePV(t, s).Checks, OfModuleFuse, Fail)
	s.MaxSeriesFuseA = 0
	wantStatus(t, sizePV(t, s).Checks, OfModuleFuse, Caution)
}

// NEC 690.8 (SEEN-S): 1.25 and 1.25, commonly written 1.56; the second is for ratings, not for the conductor under its
// conditions.
func TestPVFactors(t *testing.T) {
	s := PVString{Laying: Laying{Tables: US, AmbientC: 30}, ShortCircuitA: 16, MaxPowerA: 15, MaxPowerV: 300,
		ColdOpenCircuitV: 400, LengthM: 1}
	r := sizePV(t, s)
	near(t, "rating over Isc", r.RatingA/16, 1.5625, 1e-12)
	// 25 A in the table and 20 A as laid: 12 AWG. In 45 C (0.82) it carries 20.5 A and still does, in 50 C (0.75) it
	// does not.
	for ambientC, want := range map[float64]string{30: "12 AWG", 45: "12 AWG", 50: "10 AWG"} {
		s.Laying.AmbientC = ambientC
		if got := sizePV(t, s).Choice.Size.Name; got != want {
			t.Errorf("at %g C %s, want %s", ambientC, got, want)
		}
	}
}

func TestStringsInParallel(t *testing.T) {
	s := PVString{Laying: Laying{Tables: IEC, AmbientC: 30}, ShortCircuitA: 12, MaxPowerA: 11, MaxPowerV: 300,
		ColdOpenCircuitV: 410, MaxSeriesFuseA: 25, LengthM: 10}
	one := sizePV(t, s)
	if one.FuseA != 0 {
		t.Errorf("one string: fuse %g A, want none", one.FuseA)
	}
	s.Strings = 2
	two := sizePV(t, s)
	if two.FuseA != 0 {
		t.Errorf("two strings: fuse %g A, want none (course page, SEEN-S)", two.FuseA)
	}
	near(t, "fed back, A", find(t, two.Checks, OfReverse).Demand, 15, 0)
	s.MaxSeriesFuseA = 14
	wantStatus(t, sizePV(t, s).Checks, OfReverse, Fail)
	s.Strings, s.MaxSeriesFuseA = 3, 25
	if three := sizePV(t, s); three.FuseA != 20 { // 18.75 A
		t.Errorf("three strings: fuse %g A, want 20", three.FuseA)
	}
	s.StringsInCable = 3
	joined := sizePV(t, s)
	if joined.MaximumA != 45 || joined.FuseA != 0 || joined.IsolatorA != 45 {
		t.Errorf("joined: %g A, fuse %g A, isolator %g A, want 45, 0, 45", joined.MaximumA, joined.FuseA,
			joined.IsolatorA)
	}
	s.StringsInCable, s.Fuse = 1, Device{RatedA: 16, RatedV: 1000}
	given := sizePV(t, s)
	wantStatus(t, given.Checks, OfFuse, Fail)
	wantStatus(t, given.Checks, OfFuseVolts, Pass)
}

// An isolator stands the open-circuit voltage of the coldest morning, not that of the data sheet.
func TestIsolator(t *testing.T) {
	s := PVString{Laying: Laying{Tables: IEC, AmbientC: 30}, ShortCircuitA: 12, MaxPowerA: 11, MaxPowerV: 300,
		ColdOpenCircuitV: 596, LengthM: 10}
	r := sizePV(t, s)
	wantStatus(t, r.Checks, OfIsolatorVolts, Caution)
	wantStatus(t, r.Checks, OfIsolatorA, Caution)
	if r.IsolatorV != 596 || r.IsolatorA != 15 {
		t.Errorf("isolator %g V, %g A, want 596, 15", r.IsolatorV, r.IsolatorA)
	}
	s.Isolator = Device{RatedA: 15, RatedV: 596}
	r = sizePV(t, s)
	wantStatus(t, r.Checks, OfIsolatorVolts, Pass)
	wantStatus(t, r.Checks, OfIsolatorA, Pass)
	s.Isolator = Device{RatedA: 14.9, RatedV: 595}
	r = sizePV(t, s)
	wantStatus(t, r.Checks, OfIsolatorVolts, Fail)
	wantStatus(t, r.Checks, OfIsolatorA, Fail)
}

// 1000 A a module, out of any catalogue: the list of fuses ends at 1250 A (IEC 60269-1, memory).
func TestNoFuseIsLargeEnough(t *testing.T) {
	r := sizePV(t, PVString{Laying: Laying{Tables: IEC, AmbientC: 30}, ShortCircuitA: 1000, MaxPowerA: 900,
		MaxPowerV: 300, ColdOpenCircuitV: 400, Strings: 3})
	wantStatus(t, r.Checks, OfFuse, Fail)
	if r.FuseA != 0 || r.Choice.Found {
		t.Errorf("fuse %g A, found %t, want none", r.FuseA, r.Choice.Found)
	}
}

func TestPVErrors(t *testing.T) {
	good := PVString{Laying: Laying{Tables: IEC, AmbientC: 30}, ShortCircuitA: 12, MaxPowerA: 11, MaxPowerV: 300,
		ColdOpenCircuitV: 410}
	for _, tt := range []struct {
		change func(*PVString)
		want   string
	}{
		{func(s *PVString) { s.MaxPowerA = 13 }, "current at maximum power 13 A, want 0 to 12 A"},
		{func(s *PVString) { s.ColdOpenCircuitV = 299 }, "cold open-circuit voltage 299 V, want 300 to 10000 V"},
		{func(s *PVString) { s.StringsInCable = 2 }, "strings in the cable 2, want 1 to 1"},
		{func(s *PVString) { s.Isolator.RatedA = -1 }, "device -1 A"},
		{func(s *PVString) { s.Practice.PVFactor = 0.5 }, "PV factor 0.5"},
	} {
		s := good
		tt.change(&s)
		if _, err := SizePV(s); err == nil || !strings.Contains(err.Error(), tt.want) {
			t.Errorf("%+v: error %v, want %q", s, err, tt.want)
		}
	}
}
