package solar

import (
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

// sheet makes a module of the figures that an example gives; the others are invented and do not matter to it.
func sheet(voc, vmp float64, spoil func(*Module)) Module {
	m := testModule
	m.VocV, m.VmpV = voc, vmp
	if spoil != nil {
		spoil(&m)
	}
	return m
}

func voltages(t *testing.T, s StringSet, climate Climate) StringVoltages {
	t.Helper()
	v, err := s.Voltages(climate)
	if err != nil {
		t.Fatal(err)
	}
	return v
}

func TestLongestString(t *testing.T) {
	tests := []struct {
		name     string
		module   Module
		coldestC float64
		maxV     float64
		coldVocV float64 // of one module
		want     int
	}{
		// Open electrician course, "PV System Components, Voltage, and Current Calculations", Worked Example 1,
		// coefficient method of NEC 690.7(A)(1) (SEEN-P): 54.18 V, 600/54.18 = 11.07.
		{"coefficient", sheet(49.5, 41, func(m *Module) { m.VocPerC = -0.0027 }), -10, 600, 54.18, 11},
		// Same lesson, NEC Table 690.7(A) (SEEN-P): factor 1.14, 56.43 V, 600/56.43 = 10.63.
		{"table", sheet(49.5, 41, func(m *Module) { m.VocPerC = 0 }), -10, 600, 56.43, 10},
		// Training page on string sizing (SEEN-P): -0.28 %/C, -5 C, 1000 V; 53.66 V, 1000/53.66 = 18.6.
		{"550 W module", sheet(49.5, 41.2, func(m *Module) { m.VocPerC = -0.0028 }), -5, 1000, 53.66, 18},
	}
	for _, tt := range tests {
		climate := Climate{tt.coldestC, 45}
		v := voltages(t, StringSet{tt.module, 1, 1}, climate)
		near(t, tt.name+", cold Voc", v.VocColdV, tt.coldVocV, 0.01)
		c := window(t, Input{MaxV: tt.maxV}, climate, StringSet{tt.module, 20, 1})["string-voc-cold"]
		if c.Modules != tt.want || c.OK {
			t.Errorf("%s: a string of 20 is %t, longest %d; want %d", tt.name, c.OK, c.Modules, tt.want)
		}
	}
	// Worked Example 1, continued: the string of 11 has 596 V.
	near(t, "string of 11", voltages(t, StringSet{tests[0].module, 11, 1}, Climate{-10, 45}).VocColdV, 596, 0.5)
}

func TestHotCheckOfThePublishedExample(t *testing.T) {
	// The training page's hot check puts the AIR's 45 C and the open-circuit coefficient on Vmp: 38.9 V a module, 700 V
	// for 18. Published error, both optimistic: kept for the arithmetic only. A NOCT of 20 C makes the cells as cold as
	// air.
	published := sheet(49.5, 41.2, func(m *Module) { m.VocPerC, m.VmpPerC, m.NOCTC = -0.0028, -0.0028, 20 })
	v := voltages(t, StringSet{published, 18, 1}, Climate{-5, 45})
	near(t, "hot Vmp as published, V", v.VmpHotV/18, 38.9, 0.05)
	near(t, "string as published, V", v.VmpHotV, 700, 0.5)
	c := window(t, Input{TrackMinV: 200}, Climate{-5, 45}, StringSet{published, 18, 1})["string-vmp-hot"]
	if c.Modules != 6 { // computed: 200/38.89 = 5.14
		t.Errorf("shortest as published %d, want 6", c.Modules)
	}
	// Right: cells at 45 + 25*1000/800 = 76.25 C with NOCT 45, -0.40 %/C (own arithmetic): 41.2*(1 - 0.205) = 32.75 V.
	right := sheet(49.5, 41.2, func(m *Module) { m.VmpPerC, m.NOCTC = -0.0040, 45 })
	v = voltages(t, StringSet{right, 1, 1}, Climate{-5, 45})
	near(t, "hot cells", v.CellHotC, 76.25, 1e-9)
	near(t, "hot Vmp", v.VmpHotV, 32.754, 1e-9)
}

func TestShortestString(t *testing.T) {
	// Pacific guideline for grid-connected PV (2012), after the Australian one (memory): window from 140 V, module 35.4
	// V,
	// -0.177 V/K, cells at 70 C, 3 % cable drop, 10 % margin: 27.4 V, 26.6 V, 154 V, 5.79, so 6 modules. Drop and margin
	// come in through the caller's figures; NOCT 60 at 20 C air puts the cells at 70 C.
	m := sheet(44, 35.4*0.97, func(m *Module) { m.VmpPerC, m.NOCTC = -0.177/35.4, 60 })
	climate := Climate{-5, 20}
	near(t, "hot Vmp", voltages(t, StringSet{m, 1, 1}, climate).VmpHotV, 26.6, 0.05)
	for _, in := range []Input{{TrackMinV: 1.1 * 140}, {StartV: 1.1 * 140}} {
		checks := window(t, in, climate, StringSet{m, 5, 1})
		if c := max(checks["string-vmp-hot"].Modules, checks["string-start"].Modules); c != 6 {
			t.Errorf("%+v: shortest %d, want 6", in, c)
		}
	}
}

func TestStringCurrent(t *testing.T) {
	// Open electrician course, same lesson, Worked Example 2 (SEEN-P): Isc 11.2 A, 1.25 * 11.2 = 14.0 A.
	m := sheet(49.5, 41, func(m *Module) { m.IscA = 11.2 })
	for limit, ok := range map[float64]bool{14: true, math.Nextafter(14, 0): false, 17.5: true} {
		c := window(t, Input{MaxShortCircuitA: limit}, Climate{0, 35}, StringSet{m, 8, 1})["string-short-circuit"]
		near(t, "1.25*Isc", c.Demand, 14.0, 1e-12)
		if c.OK != ok || c.Missing != "" {
			t.Errorf("%+v, want ok %t", c, ok)
		}
	}
}

func TestVocFactor(t *testing.T) {
	// NEC Table 690.7(A) (memory; the rows of 20, 0, -5, -10, -20, -30 and -40 SEEN-S), with the places between rows.
	for ambient, want := range map[float64]float64{
		60: 1, 25: 1, 24.9: 1.02, 24: 1.02, 20: 1.02, 19.5: 1.04, 15: 1.04, 10: 1.06, 5: 1.08, 4: 1.10, 0: 1.10,
		-0.5: 1.12,
		-5:   1.12, -6: 1.14, -10: 1.14, -15: 1.16, -20: 1.18, -25: 1.20, -30: 1.21, -35: 1.23, -40: 1.25,
	} {
		if got, err := VocFactor(ambient); err != nil || got != want {
			t.Errorf("at %g C: %g, %v; want %g", ambient, got, err, want)
		}
	}
	for _, ambient := range []float64{-40.1, math.NaN(), math.Inf(-1)} {
		if got, err := VocFactor(ambient); err == nil {
			t.Errorf("at %g C: %g, want an error", ambient, got)
		}
	}
}

func window(t *testing.T, in Input, climate Climate, sets ...StringSet) map[string]WindowCheck {
	t.Helper()
	checks, err := StringWindow(in, climate, sets...)
	if err != nil {
		t.Fatal(err)
	}
	byID := map[string]WindowCheck{}
	for _, c := range checks {
		byID[c.ID] = c
	}
	if len(byID) != len(checks) {
		t.Fatalf("an id comes twice: %+v", checks)
	}
	return byID
}

func TestStringWindow(t *testing.T) {
	in := Input{MaxV: 500, StartV: 150, TrackMinV: 120, TrackMaxV: 430, MaxA: 26, MaxShortCircuitA: 34, MaxW: 6000}
	climate := Climate{-10, 40}
	set := StringSet{testModule, 8, 2}
	// Own arithmetic on testModule: VmpPerC is -0.0035 - 0.0005; cells at 40 + 24*1.25 = 70 C.
	want := []WindowCheck{
		{ID: "string-voc-cold", Demand: 8 * 52 * 1.0945, Limit: 500, Unit: "V", OK: true},
		{ID: "string-vmp-cold", Demand: 8 * 43.6 * 1.14, Limit: 430, Unit: "V", Clips: true, OK: true},
		{ID: "string-vmp-hot", Demand: 8 * 43.6 * 0.82, Limit: 120, Unit: "V", AtLeast: true, Clips: true, OK: true},
		{ID: "string-start", Demand: 8 * 43.6 * 0.82, Limit: 150, Unit: "V", AtLeast: true, Clips: true, OK: true},
		{ID: "string-current", Demand: 20.2, Limit: 26, Unit: "A", Clips: true, OK: true},
		{ID: "string-short-circuit", Demand: 27, Limit: 34, Unit: "A", OK: true},
		{ID: "string-power", Demand: 7040, Limit: 6000, Unit: "W", Clips: true, OK: false},
	}
	// 500 / 56.914 = 8.79, 430 / 49.704 = 8.65; 120 / 35.752 = 3.36, 150 / 35.752 = 4.20. Currents and power are of no
	// string's length.
	modules := []int{8, 8, 4, 5, 0, 0, 0}
	got, err := StringWindow(in, climate, set)
	if err != nil || len(got) != len(want) {
		t.Fatalf("%d checks, %v; want %d", len(got), err, len(want))
	}
	for i, w := range want {
		near(t, w.ID, got[i].Demand, w.Demand, 1e-9)
		w.Demand, w.Modules = got[i].Demand, modules[i]
		if got[i] != w {
			t.Errorf("%+v, want %+v", got[i], w)
		}
	}
	// Each limit in turn just at the demand, and just beyond.
	for i, c := range got {
		for _, step := range []struct {
			limit float64
			ok    bool
		}{{c.Demand, true}, {math.Nextafter(c.Demand, 0), c.AtLeast}, {math.Nextafter(c.Demand, 1e6), !c.AtLeast}} {
			tight := [7]Input{{MaxV: step.limit}, {TrackMaxV: step.limit}, {TrackMinV: step.limit},
				{StartV: step.limit},
				{MaxA: step.limit}, {MaxShortCircuitA: step.limit}, {MaxW: step.limit}}[i]
			if c := window(t, tight, climate, set)[c.ID]; c.OK != step.ok {
				t.Errorf("%s: %g against %g is %t, want %t", c.ID, c.Demand, c.Limit, c.OK, step.ok)
			}
		}
	}
}

func TestStringWindowNamesWhatIsMissing(t *testing.T) {
	checks := window(t, Input{}, Climate{0, 35}, StringSet{testModule, 8, 1})
	for id, key := range map[string]string{
		"string-voc-cold": "max_v", "string-vmp-cold": "track_max_v", "string-vmp-hot": "track_min_v",
		"string-start":   "start_v",
		"string-current": "max_a", "string-short-circuit": "max_short_circuit_a", "string-power": "max_w",
	} {
		if c := checks[id]; c.OK || c.Missing != key || c.Demand <= 0 {
			t.Errorf("%s: %+v, want key %s missing", id, c, key)
		}
	}
	if len(checks) != 7 {
		t.Errorf("%d checks", len(checks))
	}
}

func TestStringsOfTwoRoofsOnOneInput(t *testing.T) {
	east, west := StringSet{testModule, 8, 1}, StringSet{testModule, 8, 1}
	in := Input{MaxA: 20, MaxV: 500, MaxW: 7040}
	checks := window(t, in, Climate{0, 35}, east, west)
	near(t, "currents add", checks["string-current"].Demand, 20.2, 1e-9)
	near(t, "powers add", checks["string-power"].Demand, 7040, 1e-9)
	if c := checks["string-parallel"]; !c.OK || c.Missing != "" {
		t.Errorf("equal strings: %+v", c)
	}
	west.PerString = 9
	checks = window(t, in, Climate{0, 35}, east, west)
	if c := checks["string-parallel"]; c.OK {
		t.Errorf("8 beside 9 modules: %+v", c)
	}
	if c := checks["string-voc-cold"]; c.Modules != 9 { // 500 / 55.51 = 9.01
		t.Errorf("at most %d modules, want 9", c.Modules)
	}
	near(t, "the longer one rules", checks["string-voc-cold"].Demand, 9*52*1.0675, 1e-9)
	near(t, "the shorter one rules", checks["string-vmp-hot"].Demand, 8*43.6*(1-0.004*40), 1e-9)
}

func TestLongerStringNeverLowersTheVoltage(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		m := moduleGen.Draw(t, "module")
		coldest := rapid.Float64Range(-40, 30).Draw(t, "coldest")
		climate := Climate{coldest, rapid.Float64Range(coldest, 60).Draw(t, "hottest")}
		n := rapid.IntRange(1, 999).Draw(t, "n")
		a, err := StringSet{m, n, 1}.Voltages(climate)
		if err != nil {
			t.Fatal(err)
		}
		b, err := StringSet{m, n + 1, 1}.Voltages(climate)
		if err != nil {
			t.Fatal(err)
		}
		if b.VocColdV < a.VocColdV || b.VmpColdV < a.VmpColdV || b.VmpHotV < a.VmpHotV || a.VmpHotV > a.VmpColdV {
			t.Fatalf("%d modules %+v, one more %+v", n, a, b)
		}
	})
}

func TestModulesAgreeWithTheWindow(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		m := moduleGen.Draw(t, "module")
		coldest := rapid.Float64Range(-40, 30).Draw(t, "coldest")
		climate := Climate{coldest, rapid.Float64Range(coldest, 60).Draw(t, "hottest")}
		one, err := StringSet{m, 1, 1}.Voltages(climate)
		if err != nil {
			t.Fatal(err)
		}
		// A limit that a whole number of modules meets exactly is where a division goes wrong.
		limit := func(name string, each float64) float64 {
			return rapid.OneOf(rapid.Float64Range(1, 1500), rapid.Custom(func(t *rapid.T) float64 {
				return float64(rapid.IntRange(1, 40).Draw(t, "modules")) * each
			})).Draw(t, name)
		}
		in := Input{MaxV: limit("max", one.VocColdV), StartV: limit("start", one.VmpHotV),
			TrackMaxV: limit("track max", one.VmpColdV)}
		in.TrackMinV = min(in.TrackMaxV, limit("track min", one.VmpHotV))
		for n := 1; n <= maxModules; n += 1 + n/40 {
			checks, err := StringWindow(in, climate, StringSet{m, n, 1})
			if err != nil {
				t.Fatal(err)
			}
			for _, c := range checks[:4] {
				if suits := c.AtLeast && c.Modules > 0 && n >= c.Modules || !c.AtLeast &&
					n <= c.Modules; c.OK != suits {
					t.Fatalf("%d modules: %+v", n, c)
				}
			}
		}
	})
}

func TestHopelessModuleEndsTheSearch(t *testing.T) {
	// So hot, with such a coefficient, that nothing is left: no number helps, and none must be sought for ever. Nor
	// does any where one module is too much.
	m := sheet(49.5, 41.2, func(m *Module) { m.VmpPerC, m.NOCTC = -0.02, 90 })
	checks := window(t, Input{TrackMinV: 120, MaxV: 50}, Climate{0, 50}, StringSet{m, 8, 1})
	if hot, cold := checks["string-vmp-hot"], checks["string-voc-cold"]; hot.Modules != 0 || hot.OK ||
		cold.Modules != 0 || cold.OK {
		t.Errorf("%+v, %+v", hot, cold)
	}
}

func TestStringWindowRefuses(t *testing.T) {
	set := StringSet{testModule, 8, 1}
	table := set
	table.Module.VocPerC = 0
	for want, call := range map[string]func() error{
		"no strings on the input": func() error { _, err := StringWindow(Input{}, Climate{}); return err },
		"hottest air 10 C, want 20 to 70": func() error {
			_, err := StringWindow(Input{}, Climate{20, 10}, set)
			return err
		},
		"input max_v -1 V": func() error { _, err := StringWindow(Input{MaxV: -1}, Climate{0, 30}, set); return err },
		"track_min_v 500 V, want at most track_max_v, 400 V": func() error {
			_, err := StringWindow(Input{TrackMinV: 500, TrackMaxV: 400}, Climate{0, 30}, set)
			return err
		},
		"0 modules in a string": func() error {
			_, err := StringWindow(Input{}, Climate{0, 30}, StringSet{testModule, 0, 1})
			return err
		},
		"colder is not tabulated": func() error {
			_, err := StringWindow(Input{}, Climate{-50, 30},
				table)
			return err
		},
	} {
		if err := call(); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("error %v, want one with %q", err, want)
		}
	}
}
