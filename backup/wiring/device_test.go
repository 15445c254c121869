package wiring

import (
	"regexp"
	"slices"
	"strconv"
	"testing"
)

func TestNextRating(t *testing.T) {
	for _, tt := range []struct {
		tables Tables
		kind   DeviceKind
		needA  float64
		want   float64 // 0: none
	}{
		{US, Breaker, 40, 40},     // NEC 240.6(A) (SEEN-S)
		{US, Breaker, 40.01, 45},  // NEC 240.6(A) (SEEN-S)
		{US, Fuse, 17.5, 20},      // NEC 240.6(A) (SEEN-S)
		{US, Breaker, 7, 10},      // NEC 240.6(A), 2023 edition (MEM)
		{US, Fuse, 5, 6},          // NEC 240.6(A), fuses only (MEM)
		{US, Fuse, 600.5, 601},    // NEC 240.6(A), fuses only (MEM)
		{US, Breaker, 600.5, 700}, // NEC 240.6(A) (SEEN-S)
		{US, Breaker, 6001, 0},    // the list ends
		{IEC, Breaker, 12.5, 13},  // IEC 60898-1 (SEEN-S)
		{IEC, Breaker, 126, 0},    // IEC 60898-1 ends at 125 A (SEEN-S)
		{IEC, Fuse, 126, 160},     // IEC 60269-1 (memory)
		{IEC, Fuse, 0, 2},         // IEC 60269-1 (memory)
		{"metric", Fuse, 1, 0},
		{IEC, "switch", 1, 0},
	} {
		got, ok := NextRating(tt.tables, tt.kind, tt.needA)
		if got != tt.want || ok != (tt.want != 0) {
			t.Errorf("NextRating(%s, %s, %g) = %g, %t, want %g", tt.tables, tt.kind, tt.needA, got, ok, tt.want)
		}
	}
}

func TestRatingsRise(t *testing.T) {
	for _, tables := range AllTables() {
		for _, kind := range []DeviceKind{Fuse, Breaker} {
			r := ratings(tables, kind)
			if len(r) < 10 || !slices.IsSorted(r) || len(slices.Compact(slices.Clone(r))) != len(r) {
				t.Errorf("%s %s: %v", tables, kind, r)
			}
		}
	}
}

// 16 A continuous: 1.25 x 16 = 20 A; conversely 0.8 x 20 = 16 A. 15 A at 120 V gives 1800 W, of continuous load 1440 W.
// Source: electrician's journal (SEEN).
func TestContinuousLoadRule(t *testing.T) {
	for _, tt := range []struct{ continuous, other, want float64 }{{16, 0, 20}, {1440.0 / 120, 0, 15},
		{0, 1800.0 / 120, 15}, {16, 4, 24}} {
		got, err := RequiredDeviceA(tt.continuous, tt.other, Practice{})
		if err != nil || got != tt.want {
			t.Errorf("RequiredDeviceA(%g, %g) = %g, %v, want %g", tt.continuous, tt.other, got, err, tt.want)
		}
	}
	// An assembly that is rated for all of its current (NEC 210.20(A), exception, SEEN).
	if got, err := RequiredDeviceA(16, 0, Practice{ContinuousFactor: 1}); err != nil || got != 16 {
		t.Errorf("fully rated: %g, %v, want 16", got, err)
	}
}

// The next standard size up (NEC 240.4(B), MEM) never lifts the rule for small conductors (NEC 240.4(D), SEEN-S).
func TestNextSizeUp(t *testing.T) {
	r := run{Laying: Laying{Tables: US, System: SinglePhase, AmbientC: 40, Grouped: 2}, VoltageV: 120,
		LoadA: 10, DeviceA: 20}
	plain := choose(t, r)
	r.Practice.NextSizeUp = true
	up := choose(t, r)
	// 12 AWG: 25 x 0.88 x 0.80 = 17.6 A, so 20 A is the next size up, and the most that the small size may have.
	// Without it 10 AWG: 24.6 A.
	if plain.Size.Name != "10 AWG" || up.Size.Name != "12 AWG" || up.Ampacity.DeviceA != 20 {
		t.Errorf("%s without and %s (device up to %g A) with the next size up, want 10 AWG and 12 AWG (20 A)",
			plain.Size.Name, up.Size.Name, up.Ampacity.DeviceA)
	}
	r.Laying.AmbientC, r.Laying.Grouped = 30, 1
	if a := choose(t, r).Ampacity; a.A != 25 || a.DeviceA != 20 {
		t.Errorf("12 AWG alone: %g A, device up to %g A, want 25 and 20", a.A, a.DeviceA)
	}
	// Where the list ends below the conductor, the conductor's own current stands.
	if got := nextSizeUp(IEC, 14, 461); got != 461 {
		t.Errorf("next size up of 461 A: %g, want 461", got)
	}
}

// What a sentence asks for at least passes when it is entered as told.
func TestLeastValuesPassAsTold(t *testing.T) {
	figures := regexp.MustCompile(`at least ([0-9.]+) (A|V)`)
	told := func(checks []Check, of Comparison) float64 {
		t.Helper()
		c := find(t, checks, of)
		said := figures.FindStringSubmatch(c.Reason.String())
		if said == nil || c.Status != Caution {
			t.Fatalf("%s: %q, want a caution with a least value", c.Status, c.Reason)
		}
		v, err := strconv.ParseFloat(said[1], 64)
		if err != nil {
			t.Fatal(err)
		}
		return v
	}
	s := PVString{Laying: Laying{Tables: IEC, AmbientC: 30}, ShortCircuitA: 81.931, MaxPowerA: 80, MaxPowerV: 300,
		ColdOpenCircuitV: 596.24, LengthM: 10, Strings: 2}
	r := sizePV(t, s)
	s.Isolator = Device{RatedA: told(r.Checks, OfIsolatorA), RatedV: told(r.Checks, OfIsolatorVolts)}
	s.MaxSeriesFuseA = told(r.Checks, OfReverse)
	r = sizePV(t, s)
	for _, of := range []Comparison{OfIsolatorA, OfIsolatorVolts, OfReverse} {
		wantStatus(t, r.Checks, of, Pass)
	}
	b := Bank{Laying: Laying{Tables: IEC, AmbientC: 30}, NominalV: 48, HighestV: 57.3333, ContinuousA: 100, LengthM: 1,
		Kind: Fuse, Strings: 1, Source: Source{BankMOhm: 7.001}}
	br := sizeBank(t, b)
	b.Device = Device{RatedV: told(br.Checks, OfDeviceVolts), BreakingA: told(br.Checks, OfBreaking)}
	br = sizeBank(t, b)
	wantStatus(t, br.Checks, OfDeviceVolts, Pass)
	wantStatus(t, br.Checks, OfBreaking, Pass)
}
