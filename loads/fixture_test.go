package loads

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/floats/scalar"
	"pgregory.net/rapid"
)

// A fact is one published number beside the call that must give it.
type fact struct {
	name      string
	source    string // with its mark
	got, want float64
	tol       float64 // half of the last printed digit, unless the row says otherwise
}

func check(t *testing.T, facts []fact) {
	t.Helper()
	for _, f := range facts {
		if !scalar.EqualWithinAbs(f.got, f.want, f.tol) {
			t.Errorf("%s (%s): %g, want %g within %g", f.name, f.source, f.got, f.want, f.tol)
		}
	}
}

// steady is a load that may be on at any time, at unity power factor.
func steady(name string, w float64) Load {
	return Load{Name: name, Quantity: 1, RunningW: w, Months: AllMonths, HoursPerDay: 1}
}

// starting is steady with a start of the given watts, for 3 s.
func starting(name string, startW, runW float64) Load {
	l := steady(name, runW)
	l.Start = &Start{Power: Power{W: startW}, Seconds: 3}
	return l
}

// likely is one unit that is on with probability p at any time.
func likely(name string, w, p float64) Load {
	l := steady(name, w)
	l.HoursPerDay = 24 * p
	return l
}

func probable(t *testing.T, s *Set, confidence float64) float64 {
	t.Helper()
	w, err := s.Probable(confidence)
	if err != nil {
		t.Fatalf("Probable(%g): %v", confidence, err)
	}
	return w
}

// constant is a rating that does not depend on time.
func constant(va float64) func(float64) float64 {
	return func(float64) float64 { return va }
}

// twoStep carries surge VA for up to 10 s and less for ever.
func twoStep(surge, continuous float64) func(float64) float64 {
	return func(seconds float64) float64 {
		if seconds <= 10 {
			return surge
		}
		return continuous
	}
}

func near(a, b float64) bool { return scalar.EqualWithinAbsOrRel(a, b, 1e-9, 1e-9) }

// genLoads draws some loads on a supply of the given phases: whole watts, few windows, now and then an
// interlock, a start, several units.
func genLoads(phases, least, most int) *rapid.Generator[[]Load] {
	return rapid.Custom(func(t *rapid.T) []Load {
		ls := make([]Load, rapid.IntRange(least, most).Draw(t, "n"))
		for i := range ls {
			ls[i] = genLoad(phases).Draw(t, "load")
			ls[i].Name = fmt.Sprintf("%c%d", 'a'+rune(i*7%26), i)
		}
		return ls
	})
}

func genLoad(phases int) *rapid.Generator[Load] {
	return rapid.Custom(func(t *rapid.T) Load {
		l := Load{
			Phase:       rapid.IntRange(0, phases).Draw(t, "phase"),
			Quantity:    rapid.SampledFrom([]int{1, 1, 1, 2, 5}).Draw(t, "quantity"),
			RunningW:    float64(rapid.IntRange(0, 3000).Draw(t, "w")),
			PowerFactor: rapid.SampledFrom([]float64{0, 1, 0.95, 0.8, 0.6, 0.31}).Draw(t, "pf"),
			Interlock:   rapid.SampledFrom([]string{"", "", "", "x", "y", "z"}).Draw(t, "interlock"),
			Months:      AllMonths,
		}
		if rapid.Bool().Draw(t, "windowed") {
			start := 60 * rapid.IntRange(0, 23).Draw(t, "start")
			length := 60 * rapid.IntRange(1, 23).Draw(t, "length")
			l.Windows = []Window{{start, (start + length) % minutesPerDay}}
		}
		l.HoursPerDay = l.WindowHours() * rapid.SampledFrom([]float64{0, 0.1, 0.3, 0.5, 1}).Draw(t, "share")
		switch rapid.IntRange(0, 3).Draw(t, "start kind") {
		case 1:
			l.Start = &Start{
				Power: FromPF(l.RunningW*rapid.Float64Range(1, 7).Draw(t, "times"),
					rapid.SampledFrom([]float64{1, 0.4}).Draw(t, "start pf")),
				Seconds: rapid.SampledFrom([]float64{1, 3, 60}).Draw(t, "seconds"),
			}
		case 2:
			l.Start = &Start{
				PlainVA: l.Running().VA() * rapid.Float64Range(1, 7).Draw(t, "times"),
				Seconds: rapid.SampledFrom([]float64{1, 3, 60}).Draw(t, "seconds"),
			}
		}
		return l
	})
}

// farm is an invented property with 60 circuits and 300 loads in several hundred intervals, whose running
// powers are multiples of step W.
func farm(seed uint64, step int) []Load {
	r := rand.New(rand.NewPCG(seed, 1))
	ls := make([]Load, 300)
	for i := range ls {
		circuit := i % 60
		l := Load{
			Name: fmt.Sprintf("load %03d", i), CircuitID: fmt.Sprint(circuit), Phase: circuit % 4,
			Quantity: 1 + r.IntN(3), RunningW: float64(step * (1 + r.IntN(1000/step))),
			PowerFactor: 0.7 + 0.3*r.Float64(), Months: AllMonths,
		}
		if r.IntN(3) > 0 {
			start := r.IntN(minutesPerDay)
			l.Windows = []Window{{start, (start + 30 + r.IntN(700)) % minutesPerDay}}
		}
		l.HoursPerDay = l.WindowHours() * r.Float64() * 0.6
		switch r.IntN(6) {
		case 0:
			l.Start = &Start{PlainVA: l.RunningW * 6, Seconds: float64(1 + r.IntN(5))}
		case 1:
			l.Start = &Start{Power: FromPF(l.RunningW*3, 0.5), Seconds: float64(1 + r.IntN(5))}
		}
		if r.IntN(8) == 0 {
			l.Interlock = fmt.Sprint("lock ", r.IntN(12))
		}
		ls[i] = l
	}
	return ls
}

// bruteVA is the largest VA over every combination of one draw of each group, on top of base.
func bruteVA(base draw, groups [][]draw) float64 {
	if len(groups) == 0 {
		return base.va()
	}
	largest := math.Inf(-1)
	for _, d := range groups[0] {
		largest = max(largest, bruteVA(base.add(d), groups[1:]))
	}
	return largest
}
