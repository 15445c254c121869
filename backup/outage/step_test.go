package outage

import (
	"math"
	"slices"
	"testing"

	"pgregory.net/rapid"

	"outlast/loads"
)

// plainStore is the energy model stepped in plain floating point: the oracle of the sums in Study. It keeps how near
// its closest decision came to the other side.
type plainStore struct {
	path        Path
	usableWh, e float64
	closestWh   float64
}

func newPlainStore(p Path, usableWh float64) *plainStore {
	return &plainStore{path: p, usableWh: usableWh, closestWh: 1e300}
}

func (s *plainStore) SoC() float64      { return s.e / s.usableWh }
func (s *plainStore) Reset(soc float64) { s.e = soc * s.usableWh }

// Step gives all that is left, or the limit, where more is asked.
func (s *plainStore) Step(powerW, dtH float64) float64 {
	if powerW <= 0 {
		inW := min(-powerW, limitW(s.path.ChargeLimitW))
		if room := s.usableWh - s.e; inW*s.path.ChargeEfficiency*dtH > room {
			s.e = s.usableWh
			return -room / (s.path.ChargeEfficiency * dtH)
		}
		s.e += inW * s.path.ChargeEfficiency * dtH
		return -inW
	}
	s.closestWh = min(s.closestWh, math.Abs(powerW*dtH/s.path.DischargeEfficiency-s.e))
	outW := min(powerW, limitW(s.path.DischargeLimitW))
	if need := outW * dtH / s.path.DischargeEfficiency; need > s.e {
		outW = s.e * s.path.DischargeEfficiency / dtH
		s.e = 0
		return outW
	}
	s.e -= outW * dtH / s.path.DischargeEfficiency
	return outW
}

func TestSurviveSteppingReference(t *testing.T) {
	for _, c := range referenceCases {
		t.Run(c.name, func(t *testing.T) {
			y := referenceYear(t, 60, c.kWp)
			got, err := SurviveStepping(t.Context(), y, func() Bank { return newPlainStore(c.path, c.usableWh) }, c.soc,
				referenceMaxH, nil)
			if err != nil {
				t.Fatal(err)
			}
			if !slices.Equal(got.Hours, readHours(t, "testdata/hourly_"+c.name+".txt")) {
				t.Error("not the hours of the reference")
			}
		})
	}
}

var pathGen = rapid.Custom(func(t *rapid.T) Path {
	return Path{
		ChargeEfficiency:    rapid.SampledFrom([]float64{1, 0.97, 0.9, 0.5}).Draw(t, "in"),
		DischargeEfficiency: rapid.SampledFrom([]float64{1, 0.97, 0.8}).Draw(t, "out"),
		ChargeLimitW:        rapid.SampledFrom([]float64{0, 700, 2500}).Draw(t, "limit in"),
		DischargeLimitW:     rapid.SampledFrom([]float64{0, 1800}).Draw(t, "limit out"),
	}
})

// yearGen draws short years: a few hours, so that outages wrap around them often.
var yearGen = rapid.Custom(func(t *rapid.T) Year {
	stepMin := rapid.SampledFrom([]int{60, 30, 10, 1}).Draw(t, "step")
	hours := rapid.IntRange(1, 30).Draw(t, "hours")
	if stepMin == 1 {
		hours = min(hours, 6)
	}
	high := rapid.SampledFrom([]float64{500, 2000, 4000}).Draw(t, "high")
	return Year{StepMin: stepMin, NetW: rapid.SliceOfN(rapid.Float64Range(-2000, high), hours*60/stepMin,
		hours*60/stepMin).Draw(t, "net")}
})

func TestStudyEqualsStepping(t *testing.T) { rapid.Check(t, propStudyEqualsStepping) }

func propStudyEqualsStepping(t *rapid.T) {
	y, p := yearGen.Draw(t, "year"), pathGen.Draw(t, "path")
	usableWh := rapid.Float64Range(0, 20000).Draw(t, "bank")
	soc := rapid.SampledFrom([]float64{1, 0.7, 0.1, 0}).Draw(t, "soc")
	maxH := rapid.IntRange(1, 100).Draw(t, "longest")
	study, err := NewStudy(y, p, maxH)
	if err != nil {
		t.Fatal(err)
	}
	got, err := study.Survive(usableWh, soc)
	if err != nil {
		t.Fatal(err)
	}
	for i, h := range got.Hours {
		oracle := newPlainStore(p, usableWh)
		oracle.Reset(soc)
		want := (&yearRun{Year: y, bank: oracle}).from(i, maxH)
		// Two ways of rounding may differ where a decision depends on less than a microwatt-hour.
		if h != want && oracle.closestWh > 1e-6 {
			t.Fatalf("start %d: %d h, stepping %d h, closest decision %g Wh", i, h, want, oracle.closestWh)
		}
	}
}

func FuzzStudyEqualsStepping(f *testing.F) { f.Fuzz(rapid.MakeFuzz(propStudyEqualsStepping)) }

// The two-well model through a constant day: every start lasts the whole hours that the simulation of one outage finds,
// and from half full it lasts less.
func TestSurviveSteppingLeadAcid(t *testing.T) {
	y := Year{StepMin: 1, NetW: slices.Repeat([]float64{-300}, minutesPerDay)}
	for _, soc := range []float64{1, 0.75} {
		got, err := SurviveStepping(t.Context(), y, func() Bank { return leadAcid(t, 2) }, soc, 100, nil)
		if err != nil {
			t.Fatal(err)
		}
		r := mustRun(t, Scenario{Loads: []loads.Load{constant("a", 300)}, Inverter: perfect, Bank: leadAcid(t, 2),
			StartSoC: soc}, 100*60)
		want := slices.Repeat([]int{r.FirstDarkMin / 60}, 24)
		if !slices.Equal(got.Hours, want) || want[0] < 5 || want[0] > 40 {
			t.Errorf("from %g: %v, want %v", soc, got.Hours, want)
		}
	}
}
