package battery

import (
	"math"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
)

func TestCells(t *testing.T) {
	for _, tt := range []struct {
		c    Chemistry
		v    float64
		want int
	}{
		{Flooded, 2, 1}, {Flooded, 6, 3}, {AGM, 12, 6}, {Gel, 12, 6}, {LFP, 12.8, 4}, {LFP, 25.6, 8}, {LFP, 51.2, 16},
		{LFP, 48, 15},
		{NMC, 51.1, 14}, {NMC, 48, 13}, {LFP, 0, 1}, {"", 12, 1}, {AGM, 1e300, maxCells},
	} {
		if n := (Unit{Chemistry: tt.c, NominalV: tt.v}).Cells(); n != tt.want {
			t.Errorf("%g V %q: %d cells, want %d", tt.v, tt.c, n, tt.want)
		}
	}
}

func TestWithDefaultsFillsOnlyWhatIsMissing(t *testing.T) {
	u, used := Unit{Chemistry: Flooded, NominalV: 12, RatedAh: 100, MinV: 10.8, MaxDoD: 0.6}.WithDefaults()
	var keys []string
	for _, d := range used {
		keys = append(keys, d.Key)
		if d.Source.Place.Empty() || d.Value == 0 {
			t.Errorf("%s: value %g from %q, want both", d.Key, d.Value, d.Source)
		}
	}
	want := []string{"rated_h", "peukert", "charge_v", "float_v", "equalise_v", "charge_mv_per_cell_c", "max_parallel",
		"round_trip"}
	if diff := cmp.Diff(want, keys); diff != "" {
		t.Errorf("keys (-want +got):\n%s", diff)
	}
	// Maker's data sheet of a flooded deep-cycle unit, SEEN: 14.8, 13.2 and 15.5 V for 12 V, 0.028 V per cell and 5.55
	// C.
	if !near(u.ChargeV, 14.8, 1e-9) || !near(u.FloatV, 13.2, 1e-9) || !near(u.EqualiseV, 15.5, 1e-9) ||
		!near(u.CompensationMV(), 5.05, 0.005) {
		t.Errorf("voltages %g %g %g V, %g mV/K", u.ChargeV, u.FloatV, u.EqualiseV, u.CompensationMV())
	}
	if u.MinV != 10.8 || u.MaxDoD != 0.6 {
		t.Errorf("given values changed: %+v", u)
	}
	if _, again := u.WithDefaults(); len(again) != 0 {
		t.Errorf("a second call fills %v", again)
	}
}

func TestWithDefaultsByChemistry(t *testing.T) {
	for _, tt := range []struct {
		c                          Chemistry
		ratedH, peukert, dod, minV float64
		parallel                   int
		equalised                  bool
	}{
		{Flooded, 20, 1.25, 0.5, 1.75, 4, true},
		{AGM, 20, 1.15, 0.5, 1.75, 4, false},
		{Gel, 20, 1.15, 0.5, 1.75, 4, false},
		{LFP, 5, 1, 0.8, 3.0, 16, false},
		{NMC, 5, 1, 0.8, 3.3, 16, false},
	} {
		raw := Unit{Chemistry: tt.c, NominalV: tt.c.CellV(), RatedAh: 1}
		u, _ := raw.WithDefaults()
		if u.RatedH != tt.ratedH || u.Peukert != tt.peukert || u.MaxDoD != tt.dod || u.MinV != tt.minV ||
			u.MaxParallel != tt.parallel || (u.EqualiseV > 0) != tt.equalised {
			t.Errorf("%s: %+v", tt.c, u)
		}
		if faults := u.Check(); len(faults) > 0 {
			t.Errorf("%s: its own defaults contradict each other: %v", tt.c, faults)
		}
	}
}

func TestDoD(t *testing.T) {
	u := Unit{Chemistry: AGM, MaxDoD: 0.6}
	for _, tt := range []struct {
		u        Unit
		practice float64
		dod      float64
		clamped  bool
	}{
		{u, 0, 0.6, false}, {u, 0.5, 0.5, false}, {u, 0.6, 0.6, false}, {u, 0.7, 0.6, true},
		{Unit{Chemistry: AGM}, 0, 0.5, false}, {Unit{Chemistry: AGM}, 0.7, 0.7, false},
		// What is only usual for the chemistry is no ceiling.
		{filled(Unit{Chemistry: AGM}), 0, 0.5, false}, {filled(Unit{Chemistry: AGM}), 0.7, 0.7, false},
		{filled(filled(Unit{Chemistry: LFP})), 0.9, 0.9, false},
		{filled(u), 0.7, 0.6, true}, {filled(u), 0, 0.6, false},
	} {
		if dod, clamped := tt.u.DoD(tt.practice); dod != tt.dod || clamped != tt.clamped {
			t.Errorf("DoD(%g) with %g = %g, %v, want %g, %v", tt.practice, tt.u.MaxDoD, dod, clamped, tt.dod,
				tt.clamped)
		}
	}
}

func filled(u Unit) Unit {
	u, _ = u.WithDefaults()
	return u
}

func TestCheck(t *testing.T) {
	ten, twenty := 10.0, 20.0
	sound := agmBlock(0)
	if faults := sound.Check(); len(faults) > 0 {
		t.Fatalf("a published data sheet is refused: %v", faults)
	}
	for _, tt := range []struct {
		key, msg string
		change   func(*Unit)
	}{
		{"chemistry", "want one of", func(u *Unit) { u.Chemistry = "nicd" }},
		{"rated_ah", "capacity table gives 56 Ah", func(u *Unit) { u.RatedAh = 57 }},
		{"rated_ah", "gives only 2.41", func(u *Unit) {
			u.RatedAh, u.RatedH = 30,
				0.01
			u.Capacity = []RatePoint{{0.1, 2.41}, {20, 30}}
		}},
		{"rated_ah", "in only 20 h", func(u *Unit) { u.RatedAh, u.RatedH = 50, 100 }},
		{"capacity", "at least two", func(u *Unit) { u.Capacity = u.Capacity[:1] }},
		{"capacity", "want hours to rise", func(u *Unit) { u.Capacity = []RatePoint{{20, 56}, {20, 56}} }},
		{"capacity", "want more hours to give no less", func(u *Unit) { u.Capacity = []RatePoint{{10, 57}, {20, 56}} }},
		{"capacity", "take less current", func(u *Unit) { u.Capacity = []RatePoint{{10, 20}, {20, 56}} }},
		{"capacity", "want 1e-09 to 1e+09 of both", func(u *Unit) { u.Capacity = []RatePoint{{0, 20}, {20, 56}} }},
		{"min_v", "want at most nominal_v", func(u *Unit) { u.MinV = 12.1 }},
		{"nominal_v", "want at most charge_v", func(u *Unit) { u.ChargeV = 11.9 }},
		{"float_v", "want at most charge_v", func(u *Unit) { u.FloatV = 14.5 }},
		{"charge_v", "want at most equalise_v", func(u *Unit) { u.EqualiseV = 14.3 }},
		{"pulse_a", "want at least max_discharge_a", func(u *Unit) { u.PulseA, u.MaxDischargeA = 10, 11 }},
		{"pulse_s", "without pulse_a", func(u *Unit) { u.PulseS = 10 }},
		{"charge_min_c", "want it below charge_max_c", func(u *Unit) { u.ChargeMinC, u.ChargeMaxC = &twenty, &ten }},
		{"cycles", "a depth of 0.5 twice, with 1000 and 900 cycles",
			func(u *Unit) { u.Cycles = []CyclePoint{{0.5, 900}, {0.8, 400}, {0.5, 1000}} }},
		{"cycles", "1100 cycles to 0.8 but 1000 to only 0.5",
			func(u *Unit) { u.Cycles = []CyclePoint{{0.8, 1100}, {0.5, 1000}} }},
		{"cycles", "a depth of 0.01 to 1", func(u *Unit) { u.Cycles = []CyclePoint{{0.8, 1100}, {math.NaN(), 1000}} }},
		{"peukert", "want 1 to 2", func(u *Unit) { u.Peukert = 0.9 }},
		{"round_trip", "or 0.01 to 1", func(u *Unit) { u.RoundTrip = 1.1 }},
		{"resistance_mohm", "want 0 (not given) or", func(u *Unit) { u.ResistanceMohm = -1 }},
	} {
		u := sound
		tt.change(&u)
		found := false
		for _, f := range u.Check() {
			found = found || f.Key == tt.key && strings.Contains(f.Msg, tt.msg)
		}
		if !found {
			t.Errorf("faults %v, want one at %s with %q", u.Check(), tt.key, tt.msg)
		}
	}
	// The other side of each limit: one per cent of the rated capacity, equal neighbours, equal voltages.
	u := sound
	u.RatedAh, u.FloatV, u.PulseA, u.MaxDischargeA = 56.5, u.ChargeV, 11, 11
	if faults := u.Check(); len(faults) > 0 {
		t.Errorf("just inside the limits: %v", faults)
	}
}
