package outage

import (
	"bufio"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

var lossless = Path{ChargeEfficiency: 1, DischargeEfficiency: 1}

func mustStudy(t testing.TB, y Year, p Path, maxH int) *Study {
	t.Helper()
	s, err := NewStudy(y, p, maxH)
	if err != nil {
		t.Fatal(err)
	}
	return s
}

func mustSurvive(t testing.TB, s *Study, usableWh, soc float64) Starts {
	t.Helper()
	starts, err := s.Survive(usableWh, soc)
	if err != nil {
		t.Fatal(err)
	}
	return starts
}

// W-3, own toy (mark: own, recomputed): load 1 kW in each of 6 hours, lossless, full start. Whole hours, so no
// tolerance.
func TestSurviveToy(t *testing.T) {
	sunny, sunnier := []float64{0, 0, 2000, 2000, 0, 0}, []float64{0, 0, 3000, 3000, 0, 0}
	const never = 1000 // the longest outage followed
	for _, tt := range []struct {
		name     string
		pvW      []float64
		usableWh float64
		want     []int
	}{
		{"2 kWh", sunny, 2000, []int{6, 5, 4, 3, 2, 2}},
		{"3 kWh", sunny, 3000, []int{7, 6, 5, 4, 3, 7}},
		{"4 kWh and 3 kW", sunnier, 4000, []int{never, never, never, never, never, never}},
		{"a watt-hour short of it", sunnier, 3999, []int{7, 6, 5, 4, 3, 8}},
	} {
		net := balance(slices.Repeat([]float64{1000}, 6), tt.pvW, 1, converter{})
		study := mustStudy(t, Year{StepMin: 60, NetW: net}, lossless, never)
		if got := mustSurvive(t, study, tt.usableWh, 1).Hours; !slices.Equal(got, tt.want) {
			t.Errorf("%s: %v, want %v", tt.name, got, tt.want)
		}
	}
}

// weatherGHI reads the global horizontal irradiance, W/m2 in the hour ending at the stated hour, from the typical year
// of Chicago O'Hare (TMY3 of 2008, US national-laboratory data): column 14 of the rows after 8 heads.
func weatherGHI(t *testing.T) []float64 {
	t.Helper()
	dir := os.Getenv("OUTLAST_DATA")
	if dir == "" {
		t.Skip("OUTLAST_DATA does not name the folder of weather_chicago_tmy3.epw")
	}
	f, err := os.Open(filepath.Join(dir, "weather_chicago_tmy3.epw"))
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	var ghi []float64
	lines := bufio.NewScanner(f)
	for n := 1; lines.Scan(); n++ {
		if n <= 8 {
			continue
		}
		v, err := strconv.ParseFloat(strings.Split(lines.Text(), ",")[13], 64)
		if err != nil {
			t.Fatalf("line %d: %v", n, err)
		}
		ghi = append(ghi, v)
	}
	if err := lines.Err(); err != nil {
		t.Fatal(err)
	}
	return ghi
}

// W-4 and W-5, own (mark: own, recomputed) on the real weather file: array kW = kWp x GHI/1000 x 0.8, 5 kWh usable,
// 0.95 in and 0.95 out, full start. Four decimals of a share and three of a mean are printed: half of the last is the
// tolerance.
func TestSurviveWeather(t *testing.T) {
	ghi := weatherGHI(t)
	pv := make([]float64, len(ghi))
	for i, g := range ghi {
		pv[i] = g * 0.8
	}
	flat := slices.Repeat([]float64{0.2}, 24)
	evening := []float64{0.15, 0.15, 0.15, 0.15, 0.15, 0.15, 0.25, 0.25, 0.20, 0.20, 0.20, 0.20,
		0.25, 0.20, 0.20, 0.20, 0.25, 0.40, 0.45, 0.45, 0.40, 0.35, 0.25, 0.15}
	days := []int{12, 24, 48, 72, 120, 168, 336}
	for _, tt := range []struct {
		name   string
		kWp    float64
		dayKW  []float64
		want   []float64 // S(days)
		leastH int
		meanH  float64
	}{
		{"W-4, no array", 0, flat, []float64{1, 0, 0, 0, 0, 0, 0}, 23, 23},
		{"W-4, 1 kWp", 1, flat, []float64{1, 1, .4895, .3379, .2199, .1484, .0579}, 26, 95.902},
		{"W-4, 2 kWp", 2, flat, []float64{1, 1, .8039, .6235, .5097, .4485, .3587}, 29, 728.243},
		{"W-4, 3 kWp", 3, flat, []float64{1, 1, .9395, .8481, .7291, .6779, .5669}, 32, 1205.717},
		{"W-5", 2, evening, []float64{1, 1, .5840, .4834, .4118, .3745, .3023}, 24, 508.647},
	} {
		t.Run(tt.name, func(t *testing.T) {
			load := make([]float64, len(ghi))
			for i := range load {
				load[i] = tt.dayKW[i%24] * 1000
			}
			net := balance(load, pv, tt.kWp, converter{})
			study := mustStudy(t, Year{60, net}, Path{ChargeEfficiency: 0.95, DischargeEfficiency: 0.95}, 8760)
			got := mustSurvive(t, study, 5000, 1)
			for i, d := range days {
				s, err := got.Chance(d)
				if err != nil {
					t.Fatal(err)
				}
				if !(math.Abs(s-tt.want[i]) <= 0.00005) {
					t.Errorf("S(%d) = %.5f, want %.4f", d, s, tt.want[i])
				}
			}
			worst := got.Worst(1)[0]
			if worst.SurvivedH != tt.leastH {
				t.Errorf("shortest %d h, want %d", worst.SurvivedH, tt.leastH)
			}
			if tt.name == "W-5" && worst.Index != 8008 {
				t.Errorf("shortest from hour %d, want 8008", worst.Index)
			}
			if !(math.Abs(got.MeanH()-tt.meanH) <= 0.0005) {
				t.Errorf("mean %.4f h, want %.3f", got.MeanH(), tt.meanH)
			}
		})
	}
}

// The reference's own remark on its case A6 (mark: own; three decimals): hourly means hide the discharge limit.
func TestMinutesShowThePowerLimit(t *testing.T) {
	c := referenceCases[3]
	for _, tt := range []struct {
		stepMin int
		want    float64
	}{{60, 1}, {1, 0.924}} {
		s, err := mustSurvive(t, mustStudy(t, referenceYear(t, tt.stepMin, c.kWp), c.path, 336), c.usableWh,
			c.soc).Chance(24)
		if err != nil {
			t.Fatal(err)
		}
		if !(math.Abs(s-tt.want) <= 0.0005) {
			t.Errorf("steps of %d min: S(24) = %.4f, want %.3f", tt.stepMin, s, tt.want)
		}
	}
}

func TestSurviveLaws(t *testing.T) { rapid.Check(t, propSurviveLaws) }

// More bank, a fuller start or a longer follow-up never shortens; a longer follow-up only lifts the cap.
func propSurviveLaws(t *rapid.T) {
	y, p := yearGen.Draw(t, "year"), pathGen.Draw(t, "path")
	maxH := rapid.IntRange(1, 60).Draw(t, "longest")
	wh := rapid.Float64Range(0, 20000).Draw(t, "bank")
	soc := rapid.Float64Range(0, 1).Draw(t, "soc")
	study, longer := must(NewStudy(y, p, maxH)), must(NewStudy(y, p, maxH+24))
	base := must(study.Survive(wh, soc))
	bigger := must(study.Survive(wh*1.5, soc))
	fuller := must(study.Survive(wh, min(1, soc+0.2)))
	followed := must(longer.Survive(wh, soc))
	for i, h := range base.Hours {
		if bigger.Hours[i] < h || fuller.Hours[i] < h || min(followed.Hours[i], maxH) != h {
			t.Fatalf("start %d: %d h; with half as much bank again %d h, fuller %d h, followed for longer %d h",
				i, h, bigger.Hours[i], fuller.Hours[i], followed.Hours[i])
		}
	}
	curve := base.Curve()
	for d, s := range curve {
		if one := must(base.Chance(d)); s != one || d > 0 && s > curve[d-1] || d == 0 && s != 1 {
			t.Fatalf("S(%d) = %g in the curve, %g alone, S(%d) = %g", d, s, one, d-1, curve[max(0, d-1)])
		}
	}
}

// must is for calls that a property knows to be right.
func must[T any](v T, err error) T {
	if err != nil {
		panic(err)
	}
	return v
}
