package solar

import (
	"math"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

// testModule is an invented module of common size.
var testModule = Module{
	ID: "test-440", RatedW: 440, VocV: 52.0, IscA: 10.8, VmpV: 43.6, ImpA: 10.1,
	VocPerC: -0.0027, PmaxPerC: -0.0035, IscPerC: 0.0005, NOCTC: 44,
}

func TestCellTemperature(t *testing.T) {
	// pvlib-python, test_temperature.py (SEEN-P): 1000 W/m2, 30 C, NOCT 50 C.
	near(t, "cell", cellC(1000, 30, 50), 67.5, 1e-12)
	// The definition: at 800 W/m2 and 20 C the cell is at NOCT.
	near(t, "at NOCT conditions", cellC(800, 20, 46), 46, 0)
}

func TestHotModule(t *testing.T) {
	// Derived from Ross's formula: 40 C, 1000 W/m2, NOCT 46, -0.40 %/C: the cells are at 72.5 C, the module gives 0.81
	// of its rating. The saying that a hot array gives 80 % of its nameplate has no published source.
	m := testModule
	m.NOCTC, m.PmaxPerC = 46, -0.0040
	cell := cellC(1000, 40, m.NOCTC)
	near(t, "cell", cell, 72.5, 1e-12)
	near(t, "share of nameplate", m.dcW(1000, cell)/m.RatedW, 0.81, 1e-12)
	// At 1000 W/m2 and cells at 25 C it gives its rating.
	near(t, "standard test conditions", m.dcW(1000, 25), 440, 1e-12)
}

func TestLosses(t *testing.T) {
	// pvlib-python, test_pvsystem.py, and NREL TP-6A20-62641 (SEEN-P): the ten defaults take 14.0757 %.
	got, err := CombineLosses(DefaultLosses())
	if err != nil {
		t.Fatal(err)
	}
	near(t, "losses, %", got*100, 14.075660688264469, 1e-12)
	if _, err := CombineLosses([]Loss{{"soiling", 2}}); err == nil ||
		err.Error() != "solar: loss by soiling 2, want 0 to 1" {
		t.Errorf("2 as a share: %v", err)
	}
}

func TestModuleDefaults(t *testing.T) {
	m, used := Module{RatedW: 440, VocV: 52, IscA: 10.8, VmpV: 43.6, ImpA: 10.1}.WithDefaults()
	if m.NOCTC != 45 || m.PmaxPerC != -0.0040 || m.VocPerC != 0 || len(used) != 4 {
		t.Errorf("%+v by %v", m, used)
	}
	// Derived: P = V*I, so the coefficients add to first order.
	near(t, "VmpPerC", m.VmpPerC, -0.0045, 1e-15)
	if again, used := m.WithDefaults(); again != m || used != nil {
		t.Errorf("a second time fills %v", used)
	}
}

func TestModuleCheck(t *testing.T) {
	if err := testModule.Check(); err != nil {
		t.Fatal(err)
	}
	for want, spoil := range map[string]func(*Module){
		"rated power 0 W":                             func(m *Module) { m.RatedW = 0 },
		"open-circuit voltage NaN V":                  func(m *Module) { m.VocV = math.NaN() },
		"at rated power 52 V, want below":             func(m *Module) { m.VmpV = 52 },
		"at rated power 11 A, want below":             func(m *Module) { m.ImpA = 11 },
		"voltage -0.27 a kelvin (a fraction, not per": func(m *Module) { m.VocPerC = -0.27 },
		"power 0.0035 a kelvin":                       func(m *Module) { m.PmaxPerC = 0.0035 },
		"cell temperature 10 C":                       func(m *Module) { m.NOCTC = 10 },
		"mass -1 kg":                                  func(m *Module) { m.MassKg = -1 },
	} {
		m := testModule
		spoil(&m)
		if err := m.Check(); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("error %v, want one with %q", err, want)
		}
	}
}

func TestMoreSunNeverGivesLess(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		m, _ := moduleGen.Draw(t, "module").WithDefaults()
		cell := rapid.Float64Range(-90, 140).Draw(t, "cell")
		less := rapid.Float64Range(0, 2000).Draw(t, "less")
		more := rapid.Float64Range(less, 2000).Draw(t, "more")
		if a, b := m.dcW(less, cell), m.dcW(more, cell); !(a >= 0 && b >= a) {
			t.Fatalf("%g W/m2 give %g W, %g give %g", less, a, more, b)
		}
	})
}

// moduleGen draws modules that pass Module.Check.
var moduleGen = rapid.Custom(func(t *rapid.T) Module {
	voc := rapid.Float64Range(1, 200).Draw(t, "voc")
	isc := rapid.Float64Range(0.1, 30).Draw(t, "isc")
	optional := func(lo, hi float64) *rapid.Generator[float64] {
		return rapid.OneOf(rapid.Just(0.0), rapid.Float64Range(lo, hi))
	}
	m := Module{
		VocV: voc, VmpV: voc * rapid.Float64Range(0.6, 0.95).Draw(t, "vmp"),
		IscA: isc, ImpA: isc * rapid.Float64Range(0.6, 0.98).Draw(t, "imp"),
		VocPerC: optional(-0.005, 0).Draw(t, "voc/K"), PmaxPerC: optional(-0.006, 0).Draw(t, "pmax/K"),
		IscPerC: optional(0, 0.001).Draw(t, "isc/K"), NOCTC: optional(35, 60).Draw(t, "noct"),
	}
	m.RatedW = min(5000, m.VmpV*m.ImpA)
	return m
})

var arrayGen = rapid.Custom(func(t *rapid.T) Array {
	return Array{
		StringSet: StringSet{moduleGen.Draw(t, "module"), rapid.IntRange(1, 20).Draw(t, "per string"),
			rapid.IntRange(1, 10).Draw(t, "strings")},
		Plane:  Plane{rapid.Float64Range(0, 90).Draw(t, "tilt"), rapid.Float64Range(0, 360).Draw(t, "azimuth")},
		Albedo: rapid.Float64Range(0, 1).Draw(t, "albedo"),
	}
})

func TestOneHourByHand(t *testing.T) {
	// Own arithmetic. Sun at zenith 60 in the south, plane 30 to the south: cos incidence 0.866025; sky (1+0.866025)/2,
	// ground 0.2*(1-0.866025)/2: 500*0.866025 + 150*0.933013 + 400*0.0133975 = 578.324 W/m2. Cells 10 + 24*578.324/800
	// = 27.3497 C, factor 1 - 0.0035*2.3497 = 0.991776. Two modules of 440 W, losses 14.0757 %.
	w := Weather{Hours: make([]Hour, HoursPerYear)}
	w.Hours[100] = Hour{Irradiance{400, 500, 150}, 10, Sun{ZenithDeg: 60, AzimuthDeg: 180}}
	a := Array{StringSet: StringSet{testModule, 2, 1}, Plane: Plane{30, 180}}
	want := 880 * 0.578324 * 0.991776
	for _, tt := range []struct {
		name   string
		losses []Loss
		want   float64
	}{{"lossless", []Loss{}, want}, {"default losses", nil, want * 0.859243},
		{"half", []Loss{{"shade", 0.5}}, want / 2}} {
		a.Losses = tt.losses
		dc, err := dcOf(a, w)
		if err != nil {
			t.Fatal(err)
		}
		near(t, tt.name, dc[100], tt.want, 0.001)
		near(t, tt.name+", year", sum(dc), tt.want, 0.001)
	}
}

func TestFlatLosslessColdArrayIsGlobal(t *testing.T) {
	// With a power coefficient of next to nothing, no losses and no tilt, kW per kW rated are the global kWh/m2.
	m := testModule
	m.PmaxPerC = -1e-12
	w, err := yearOf(melbourne, OrderedDays, 0)
	if err != nil {
		t.Fatal(err)
	}
	dc, err := dcOf(Array{StringSet: StringSet{m, 10, 2}, Losses: []Loss{}}, w)
	if err != nil {
		t.Fatal(err)
	}
	global := w.MonthlyKWhM2()
	for i, kWh := range monthlyKWh(dc) {
		near(t, "month", kWh/8.8, global[i], 1e-6)
	}
	near(t, "year", sum(dc)/8800, sum(global[:]), 1e-6)
}

func TestTiltHelpsWinterOnBothHemispheres(t *testing.T) {
	tests := []struct {
		name    string
		m       Monthly
		azimuth float64
		winter  int // month, from 0
	}{{"Melbourne", melbourne, 0, 5}, {"Greensboro", greensboro, 180, 11}}
	for _, tt := range tests {
		w, err := yearOf(tt.m, EqualDays, 0)
		if err != nil {
			t.Fatal(err)
		}
		month := func(tilt, azimuth float64) float64 {
			dc, err := dcOf(Array{StringSet: StringSet{testModule, 8, 1}, Plane: Plane{tilt, azimuth}}, w)
			if err != nil {
				t.Fatal(err)
			}
			return monthlyKWh(dc)[tt.winter]
		}
		toward, flat, away := month(40, tt.azimuth), month(0, 0), month(40, tt.azimuth+180)
		if toward < 1.2*flat || away > 0.8*flat {
			t.Errorf("%s in winter: %.1f kWh to the equator, %.1f flat, %.1f away from it", tt.name, toward, flat, away)
		}
	}
}

// A receiver keeps the sun's angles to the plane: the second draw of a month comes out as with a receiver of its own,
// to the last bit, and so do hours of another sun, and fewer or more of them. What is added up of its power alone is
// the same power.
func TestReceiverKeepsAngles(t *testing.T) {
	a := Array{StringSet: StringSet{testModule, 8, 1}, Plane: Plane{35, 170}}
	kept, err := a.Receiver()
	if err != nil {
		t.Fatal(err)
	}
	month := func(m Monthly, month int, seed uint64) []Hour {
		sky, err := m.Sky()
		if err != nil {
			t.Fatal(err)
		}
		hours, err := sky.Month(month, DrawnDays, seed)
		if err != nil {
			t.Fatal(err)
		}
		return hours
	}
	for i, hours := range [][]Hour{month(melbourne, 2, 1), month(melbourne, 2, 2), month(melbourne, 7, 1),
		month(greensboro, 7, 3)} {
		want, err := receive(a, hours)
		if err != nil {
			t.Fatal(err)
		}
		if got, err := kept.Receive(hours, nil); err != nil || !slices.Equal(got, want) {
			t.Errorf("draw %d differs from a receiver of its own, %v", i, err)
		}
		sums, wantSums := make([]float64, len(hours)), make([]float64, len(hours))
		for h := range sums {
			sums[h] = float64(h)
			wantSums[h] = sums[h] + want[h].DCWh
		}
		if err := kept.AddDC(hours, sums); err != nil || !slices.Equal(sums, wantSums) {
			t.Errorf("draw %d: its power alone differs from what is received, %v", i, err)
		}
	}
}

func TestReceiveRefuses(t *testing.T) {
	w, err := yearOf(melbourne, EqualDays, 0)
	if err != nil {
		t.Fatal(err)
	}
	good := Array{StringSet: StringSet{testModule, 8, 1}}
	spoilt := w
	spoilt.Hours = append([]Hour(nil), w.Hours...)
	spoilt.Hours[17].AirC = math.NaN()
	bright := w
	bright.Hours = append([]Hour(nil), w.Hours...)
	bright.Hours[8].DiffuseWm2 = math.Inf(1)
	none, ten, steep, white := good, good, good, good
	none.Strings = 0
	ten.Losses = []Loss{{"soiling", 10}}
	steep.Plane.TiltDeg = 91
	white.Albedo = math.NaN()
	for want, call := range map[string]func() ([]Receipt, error){
		"solar: 0 strings, want 1 to 1000": func() ([]Receipt,
			error) {
			return receive(none, w.Hours)
		},
		"solar: loss by soiling 10, want 0 to 1": func() ([]Receipt,
			error) {
			return receive(ten, w.Hours)
		},
		"solar: tilt 91 degrees, want 0 to 90": func() ([]Receipt,
			error) {
			return receive(steep, w.Hours)
		},
		"solar: albedo NaN, want 0 to 1": func() ([]Receipt,
			error) {
			return receive(white, w.Hours)
		},
		"solar: air temperature NaN C, want -90 to 70 (hour 17)": func() ([]Receipt,
			error) {
			return receive(good, spoilt.Hours)
		},
		"solar: diffuse irradiance +Inf W/m2, want 0 to 2000 (hour 8)": func() ([]Receipt,
			error) {
			return receive(good, bright.Hours)
		},
	} {
		if got, err := call(); err == nil || err.Error() != want || got != nil {
			t.Errorf("error %v, want %s", err, want)
		}
	}
	if err := spoilt.check(); err == nil ||
		err.Error() != "solar: air temperature NaN C, want -90 to 70 (hour 17 of the year)" {
		t.Errorf("weather with a hole: %v", err)
	}
	if err := (Weather{}).check(); err == nil || err.Error() != "solar: weather of 0 hours, want 8760" {
		t.Errorf("no weather: %v", err)
	}
}
