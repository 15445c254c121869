package wiring

import (
	"fmt"
	"math"
	"reflect"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"outlast/backup/working"
)

func choose(t *testing.T, r run) Choice {
	t.Helper()
	c, err := r.choose(InConduit)
	if err != nil {
		t.Fatal(err)
	}
	return c
}

// Each case is decided by another rule; all figures are of the published tables, the products derived.
func TestChooseByEachRule(t *testing.T) {
	base := run{Laying: Laying{Tables: IEC, System: SinglePhase, Method: OnWall, AmbientC: 30},
		VoltageV: 230, LengthM: 5, LoadA: 16,
		Practice: Practice{ContinuousFactor: 1.25}}
	for _, tt := range []struct {
		name     string
		change   func(*run)
		want     string
		decides  Comparison // what the size before it fails; 0: there is none
		wantBest bool
	}{
		{"ampacity: 1.25 x 16 = 20 A is above 19.5", func(*run) {}, "2.5 mm2", OfAmpacity, true},
		{"ampacity without a factor: 16 A is below 19.5", func(r *run) { r.Practice.ContinuousFactor = 0 }, "1.5 mm2",
			0, true},
		{"given need", func(r *run) { r.NeedA = 16 }, "1.5 mm2", 0, true},
		{"heat: 27 x 0.87 x 0.70 = 16.4 A", func(r *run) { r.Laying.AmbientC, r.Laying.Grouped, r.NeedA = 40, 3, 17 },
			"4 mm2", OfAmpacity, true},
		{"device of 25 A on 27 A", func(r *run) { r.NeedA, r.DeviceA = 16, 25 }, "2.5 mm2", OfProtection, true},
		{"before factors: at least 40 A in the table", func(r *run) { r.NeedTableA = 40 }, "6 mm2", OfTable,
			true},
		{"drop: 2 x 40 m x 16 A x 4.61 ohm/km x 1.196 / 230 = 3.1 %", func(r *run) { r.LengthM = 40 }, "6 mm2",
			OfDrop, true},
		{"drop of the whole way: 5 - 4.5 % leaves 0.5", func(r *run) { r.LengthM, r.Upstream = 16, 0.045 }, "10 mm2",
			OfTotalDrop, true},
		{"start: 200 A over 15 m", func(r *run) { r.LengthM, r.StartA = 15, 200 }, "4 mm2", OfStartDrop, true},
		{"start at a power factor of 0.4", func(r *run) { r.LengthM, r.StartA, r.StartPowerFactor = 15, 200, 0.4 },
			"2.5 mm2", OfAmpacity, true},
		{"surge: 40.6 A s^0.5 per mm2", func(r *run) { r.SurgeA, r.SurgeS = 150, 1 }, "4 mm2", OfSurge, true},
		{"nothing is thick enough", func(r *run) { r.NeedA = 500 }, "240 mm2", OfAmpacity, false},
	} {
		t.Run(tt.name, func(t *testing.T) {
			r := base
			tt.change(&r)
			c := choose(t, r)
			if c.Size.Name != tt.want || c.Found != tt.wantBest {
				t.Fatalf("%s, found %t, want %s, %t; %+v", c.Size.Name, c.Found, tt.want, tt.wantBest, c.Rejected)
			}
			if tt.decides == 0 {
				if len(c.Rejected) != 0 {
					t.Fatalf("rejected %v, want none", c.Rejected)
				}
				return
			}
			wantStatus(t, c.Rejected[len(c.Rejected)-1].Failed(), tt.decides, Fail)
		})
	}
}

func TestChosenIsTheSmallestThatPasses(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		r := runGen(t)
		c, err := r.choose(InConduit)
		if err != nil {
			t.Fatal(err)
		}
		passed := false
		for i, s := range Sizes(r.Laying.Tables) {
			a, err := r.assess(InConduit, s.MM2)
			if err != nil {
				t.Fatal(err)
			}
			if passed && !a.Found {
				t.Fatalf("%s fails although a smaller size passes: %v", s.Name, a.Checks)
			}
			if a.Found && !passed && (!c.Found || c.Size != s) {
				t.Fatalf("chosen %s (found %t), but %s passes", c.Size.Name, c.Found, s.Name)
			}
			passed = passed || a.Found
			if i < len(c.Rejected) {
				if c.Rejected[i].Size != s || a.Found || !reflect.DeepEqual(c.Rejected[i].Failed(), failed(a.Checks)) {
					t.Fatalf("rejection %d is %+v, want the failures of %s: %v", i, c.Rejected[i], s.Name, a.Checks)
				}
			}
			if s == c.Size {
				if i != len(c.Rejected) {
					t.Fatalf("%d rejections below %s, want %d", len(c.Rejected), s.Name, i)
				}
				if !reflect.DeepEqual(a.Checks, c.Checks) || !reflect.DeepEqual(ofChosen(a.Working(nil)),
					ofChosen(c.Working(nil))) {
					t.Fatalf("chosen and assessed %s differ", s.Name)
				}
			}
		}
		if passed != c.Found {
			t.Fatalf("found %t, but a size passes: %t", c.Found, passed)
		}
	})
}

// A harder run never gets a thinner conductor.
func TestHarderRunNeverTakesLess(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		r := runGen(t)
		r.LengthM += 0.1 // a length of 0 is an unknown one, and switches the drop off
		hard := r
		hard.LengthM *= rapid.Float64Range(1, 3).Draw(t, "longer")
		hard.LoadA *= rapid.Float64Range(1, 3).Draw(t, "heavier")
		hard.SurgeS = rapid.Float64Range(r.SurgeS, 300).Draw(t, "lasting")
		hard.Laying.AmbientC = rapid.Float64Range(r.Laying.AmbientC, 55).Draw(t, "hotter")
		hard.Laying.Grouped = rapid.IntRange(r.Laying.Grouped, maxGrouped).Draw(t, "fuller")
		a, err := r.choose(InConduit)
		if err != nil {
			t.Fatal(err)
		}
		b, err := hard.choose(InConduit)
		if err != nil {
			t.Fatal(err)
		}
		if b.Size.MM2 < a.Size.MM2 || (b.Found && !a.Found) {
			t.Fatalf("%s (found %t) for %+v, but %s (found %t) for the harder %+v", a.Size.Name, a.Found, r,
				b.Size.Name, b.Found, hard)
		}
	})
}

// At the limit a run still passes, a hair beyond it fails.
func TestLimitsMayBeUsedInFull(t *testing.T) {
	r := run{Laying: Laying{Tables: IEC, System: SinglePhase, Method: OnWall, AmbientC: 30}, VoltageV: 230,
		LoadA: 10, NeedA: 19.5}
	if c := choose(t, r); c.Size.Name != "1.5 mm2" {
		t.Errorf("19.5 A: %s, want 1.5 mm2", c.Size.Name)
	}
	r.NeedA = math.Nextafter(19.5, 20) // rounding is forgiven
	if c := choose(t, r); c.Size.Name != "1.5 mm2" {
		t.Errorf("a bit above 19.5 A: %s, want 1.5 mm2", c.Size.Name)
	}
	r.NeedA = 19.5 * (1 + 2*slack)
	if c := choose(t, r); c.Size.Name != "2.5 mm2" {
		t.Errorf("above 19.5 A: %s, want 2.5 mm2", c.Size.Name)
	}
}

// A surge as long as 300 s heats little more than the current that the conductor carries for ever: 1.5 mm2 stands 19.5
// A however long, although 40.6 A s^0.5 per mm2 would leave it 3.5 A.
func TestLongSurge(t *testing.T) {
	r := run{Laying: Laying{Tables: IEC, System: SinglePhase, Method: OnWall, AmbientC: 30}, VoltageV: 230,
		LoadA: 10, SurgeA: 19.5, SurgeS: 300}
	if c := choose(t, r); c.Size.Name != "1.5 mm2" {
		t.Errorf("%s, want 1.5 mm2", c.Size.Name)
	}
	// For 1 s: 226 x sqrt(ln(1 + 10 / 304.5)) x 1.5 = 60.9 A (IEC 60364-5-54 Annex A, memory; derived).
	r.SurgeS = 1
	near(t, "1 s, A", find(t, choose(t, r).Checks, OfSurge).Limit, 60.9, 0.1)
}

func TestUnknownLengthIsACaution(t *testing.T) {
	c := choose(t, run{Laying: Laying{Tables: IEC, System: DC, AmbientC: 30}, VoltageV: 48, LoadA: 10,
		StartA: 20})
	wantStatus(t, c.Checks, OfDrop, Caution)
	if got := find(t, c.Checks, OfDrop).Wants; got != "length" {
		t.Errorf("wants %q, want length", got)
	}
	if !c.Found || worst(c.Checks) != Caution {
		t.Errorf("found %t with %s, want true with caution", c.Found, worst(c.Checks))
	}
}

// BS 7671 Appendix 4 Table 4Ab (SEEN-S): beyond 100 m 0.005 % more a metre, at most 0.5 %.
func TestLongRunAllowance(t *testing.T) {
	p := Practice{LongRunPerM: BS7671LongRunPerM}
	for lengthM, more := range map[float64]float64{50: 0, 100: 0, 150: 0.0025, 200: 0.005, 500: 0.005} {
		near(t, "allowance", p.longRun(lengthM), more, 1e-15)
		r := run{Laying: Laying{Tables: IEC, System: SinglePhase, AmbientC: 30}, VoltageV: 230,
			LengthM: lengthM, LoadA: 1, Upstream: 0.01, Practice: p}
		near(t, "limit, %", find(t, choose(t, r).Checks, OfDrop).Limit, 3+100*more, 1e-12)
		near(t, "limit of the whole way, %", find(t, choose(t, r).Checks, OfTotalDrop).Limit, 5+100*more,
			1e-12)
	}
}

// Working is that of the conductor alone.
func (c Choice) Working(origins working.Origins) []Step { return written(origins, c.steps) }

// ofChosen leaves out what tells of a smaller size, and the numbers that shift by it.
func ofChosen(steps []Step) (out []string) {
	for _, s := range steps {
		if !strings.HasPrefix(s.Title.String(), "Too small") {
			out = append(out, fmt.Sprint(s.Title, s.Expr, s.Value, s.Unit, s.Cited()))
		}
	}
	return out
}

func TestRejectionStep(t *testing.T) {
	c := choose(t, run{Laying: Laying{Tables: IEC, System: SinglePhase, Method: OnWall, AmbientC: 30},
		VoltageV: 230, LengthM: 5, LoadA: 16,
		Practice: Practice{ContinuousFactor: 1.25}})
	if len(c.Rejected) != 1 {
		t.Fatalf("rejected %v, want 1.5 mm2", c.Rejected)
	}
	want := "Too small: 1.5 mm2; current-carrying capacity of 1.5 mm2 as installed: demand 20 A, limit 19.5 A; " +
		"tabulated_a * ambient_factor * group_factor = 19.5 A; IEC 60364-5-52, Table B.52.2, method C [quoted]"
	for _, s := range c.Working(nil) {
		if strings.HasPrefix(s.Title.String(), "Too small") {
			if got := fmt.Sprintf("%s; %s; %s = %g %s; %s", s.Title, s.Formula, s.Expr, s.Value, s.Unit,
				s.Cited()); got != want {
				t.Errorf("step %s, want %s", got, want)
			}
			return
		}
	}
	t.Error("no step tells of 1.5 mm2")
}

func TestRunErrors(t *testing.T) {
	good := run{Laying: Laying{Tables: US, System: DC, AmbientC: 30}, VoltageV: 48, LengthM: 2, LoadA: 100}
	for _, tt := range []struct {
		change func(*run)
		want   string
	}{
		{func(r *run) { r.LengthM = -3 }, "wiring: length -3 m, want 0 to 10000 m"},
		{func(r *run) { r.LoadA = math.Inf(1) }, "load +Inf A, want 0 to 100000 A"},
		{func(r *run) { r.LoadA = math.NaN() }, "load NaN A"},
		{func(r *run) { r.VoltageV = 0 }, "voltage 0 V, want 1 to 10000 V"},
		{func(r *run) { r.SurgeA, r.SurgeS = 10, 0 }, "starting current of 10 A for 0 s"},
		{func(r *run) { r.SurgeA, r.SurgeS = 10, 301 }, "starting time 301 s, want 0 to 300 s"},
		{func(r *run) { r.PowerFactor = 1.1 }, "power factor 1.1, want 0.01 to 1"},
		{func(r *run) { r.Upstream = 2 }, "drop before the run 2, want 0 to 1"},
		{func(r *run) { r.Laying.AmbientC = 80 }, "ambient temperature 80 C"},
		{func(r *run) { r.Practice.DCDropLimit = 3 }, "DC drop limit 3, want 0.0001 to 0.5"},
	} {
		r := good
		tt.change(&r)
		if _, err := r.choose(InConduit); err == nil || !strings.Contains(err.Error(), tt.want) {
			t.Errorf("%+v: error %v, want %q", r, err, tt.want)
		}
	}
	if _, err := good.assess(InConduit, 7); err == nil || !strings.Contains(err.Error(), "the nearest is 8 AWG") {
		t.Errorf("given 7 mm2: error %v, want the nearest size", err)
	}
}
