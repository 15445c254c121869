package loads

import (
	"encoding/json"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"testing"

	"gonum.org/v1/gonum/stat/distuv"
	"pgregory.net/rapid"
)

// An instance is a set of loads of one unit each that may be on at any time. Synthetic, own; the expected
// quantiles were found with exact rational numbers.
type instance struct {
	Name  string       `json:"name"`
	Loads [][2]float64 `json:"loads_w_p"` // watts and probability
	P95   float64      `json:"p95"`
	P99   float64      `json:"p99"`
	P999  float64      `json:"p999"`
}

func instances(t testing.TB) []instance {
	t.Helper()
	read := func(name string) []instance {
		text, err := os.ReadFile(filepath.Join("testdata", "demand", name))
		if err != nil {
			t.Fatal(err)
		}
		var list []instance
		if err := json.Unmarshal(text, &list); err != nil {
			t.Fatal(err)
		}
		return list
	}
	list, expected := read("instances.json"), read("expected.json")
	if len(list) != len(expected) || len(list) == 0 {
		t.Fatalf("%d instances, %d expectations", len(list), len(expected))
	}
	for i, e := range expected {
		if list[i].Name != e.Name {
			t.Fatalf("instance %s beside expectation %s", list[i].Name, e.Name)
		}
		list[i].P95, list[i].P99, list[i].P999 = e.P95, e.P99, e.P999
	}
	return list
}

func (in instance) set() *Set {
	ls := make([]Load, len(in.Loads))
	for i, wp := range in.Loads {
		ls[i] = likely(fmt.Sprintf("%03d", i), wp[0], wp[1])
	}
	return NewSet(1, ls)
}

func TestProbableInstances(t *testing.T) {
	for _, in := range instances(t) {
		s := in.set()
		check(t, []fact{
			{in.Name + " 95 %", "synthetic, own, exact rationals", probable(t, s, 0.95), in.P95, 0},
			{in.Name + " 99 %", "synthetic, own, exact rationals", probable(t, s, 0.99), in.P99, 0},
			{in.Name + " 99.9 %", "synthetic, own, exact rationals", probable(t, s, 0.999), in.P999, 0},
		})
	}
}

func TestProbableIsBinomial(t *testing.T) {
	for _, n := range []int{1, 2, 7, 40, 500, 10000} {
		for _, p := range []float64{0.001, 0.1, 1.0 / 3, 0.5, 0.9, 0.999} {
			l := likely("x", 60, p)
			l.Quantity = n
			s := NewSet(1, []Load{l})
			b := distuv.Binomial{N: float64(n), P: l.Share()}
			for _, confidence := range []float64{1e-7, 1e-3, 0.05, 0.5, 0.95, 0.999, 0.9999999} {
				units := probable(t, s, confidence) / 60
				// The two computations differ by rounding; a step of the distribution may lie that near.
				if at := b.CDF(units); at < confidence-1e-9 {
					t.Errorf("n=%d p=%g confidence %g: %g units, P = %g", n, p, confidence, units, at)
				}
				if below := b.CDF(units - 1); units > 0 && below >= confidence+1e-9 {
					t.Errorf("n=%d p=%g confidence %g: %g units, but P = %g one lower", n, p, confidence, units, below)
				}
			}
		}
	}
}

func TestProbableManyLoads(t *testing.T) {
	// One by one, and so many that their probabilities must be rescaled on the way.
	var ls []Load
	for i := range 1200 {
		ls = append(ls, likely(fmt.Sprint(i), 40, 0.7))
	}
	b := distuv.Binomial{N: 1200, P: ls[0].Share()}
	for _, confidence := range []float64{0.01, 0.5, 0.999} {
		units := probable(t, NewSet(1, ls), confidence) / 40
		if at, below := b.CDF(units), b.CDF(units-1); at < confidence || below >= confidence {
			t.Errorf("confidence %g: %g units, P = %g, one lower %g", confidence, units, at, below)
		}
	}
}

// A bruteDraw is one draw of an enumeration: sums and their probabilities.
type bruteDraw struct{ w, p []float64 }

// bruteQuantile enumerates every outcome of all draws.
func bruteQuantile(draws []bruteDraw, confidence float64) float64 {
	sums := map[float64]float64{0: 1}
	for _, d := range draws {
		next := map[float64]float64{}
		for w, p := range sums {
			for k := range d.w {
				if d.p[k] > 0 {
					next[w+d.w[k]] += p * d.p[k]
				}
			}
		}
		sums = next
	}
	var at []float64
	for w := range sums {
		at = append(at, w)
	}
	slices.Sort(at)
	total := 0.0
	for _, w := range at {
		if total += sums[w]; total >= confidence-1e-12 {
			return w
		}
	}
	return at[len(at)-1]
}

func TestProbableEqualsEnumeration(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		ls := genLoads(3, 0, 7).Draw(t, "loads")
		confidence := rapid.SampledFrom([]float64{0.03, 0.5, 0.9, 0.99, 0.999, 1}).Draw(t, "confidence")
		want := 0.0
		for minute := 0; minute < minutesPerDay; minute += 60 { // windows begin and end on the hour
			locks := map[string]*bruteDraw{}
			var draws []bruteDraw
			for _, l := range ls {
				p := l.Share()
				switch {
				case !l.ActiveAt(minute):
				case l.Interlock == "":
					for range l.Quantity {
						draws = append(draws, bruteDraw{[]float64{0, l.RunningW}, []float64{1 - p, p}})
					}
				default:
					if locks[l.Interlock] == nil {
						locks[l.Interlock] = &bruteDraw{}
					}
					lock := locks[l.Interlock]
					lock.w, lock.p = append(lock.w, l.RunningAll().W), append(lock.p, p)
				}
			}
			for _, lock := range locks {
				sum := 0.0
				for _, p := range lock.p {
					sum += p
				}
				for k := range lock.p {
					lock.p[k] /= max(1, sum)
				}
				draws = append(draws, bruteDraw{append(lock.w, 0), append(lock.p, max(0, 1-sum))})
			}
			want = max(want, bruteQuantile(draws, confidence))
		}
		got, err := NewSet(3, ls).Probable(confidence)
		if err != nil || got != want {
			t.Fatalf("Probable(%g) = %g, %v, want %g", confidence, got, err, want)
		}
	})
}

func TestProbableInterlock(t *testing.T) {
	lock := func(l Load) Load { l.Interlock = "heat"; return l }
	two := NewSet(1, []Load{lock(likely("kettle", 2000, 0.3)), lock(likely("oven", 3000, 0.2))})
	full := NewSet(1, []Load{lock(likely("kettle", 2000, 0.9)), lock(likely("oven", 3000, 0.9))})
	const own = "own, by hand"
	check(t, []fact{
		{"none on", own, probable(t, two, 0.5), 0, 0},
		{"the smaller on", own, probable(t, two, 0.8), 2000, 0},
		{"the larger on", own, probable(t, two, 0.81), 3000, 0},
		{"never both", own, probable(t, two, 1), 3000, 0},
		{"scaled to 1: half each", own, probable(t, full, 0.5), 2000, 0},
		{"scaled to 1: never none", own, probable(t, full, 1e-6), 2000, 0},
		{"scaled to 1: above half", own, probable(t, full, 0.51), 3000, 0},
	})
}

func TestProbableDecimals(t *testing.T) {
	const own = "own, by hand"
	third := likely("third", 1.0/3, 0.5)
	third.Quantity = 3
	check(t, []fact{
		{"tenths add up", own, probable(t, NewSet(1, []Load{likely("a", 0.1, 0.5), likely("b", 0.2, 0.5)}), 1), 0.3, 0},
		{"equal sums by two ways", own, // 0.1 + 0.2 = 0.3 at P = 1/2 + 1/4
			probable(t, NewSet(1, []Load{likely("a", 0.1, 1), likely("b", 0.2, 1), likely("c", 0.3, 0.5)}), 0.5),
			0.3, 0},
		{"nano-watts", own, probable(t, NewSet(1, []Load{likely("a", 1e-9, 0.5), likely("b", 1000, 0.5)}), 0.999),
			1000.000000001, 0},
		{"no decimals at all", own, probable(t, NewSet(1, []Load{third}), 0.9), 1, 3e-9},
		{"one of three", own, probable(t, NewSet(1, []Load{third}), 0.5), 1.0 / 3, 1e-9},
		{"large and small", own, probable(t, NewSet(1, []Load{likely("a", 1e7, 0.5), likely("b", 0.25, 0.5)}), 0.75),
			1e7, 0},
	})
}

func TestProbableWorstInterval(t *testing.T) {
	at := func(l Load, start, end int, p float64) Load {
		l.Windows = []Window{{start, end}}
		l.HoursPerDay = p * l.WindowHours()
		return l
	}
	s := NewSet(1, []Load{
		at(likely("evening", 3000, 0), 1080, 1320, 0.01), // seldom on: not among the probable 99 %
		at(likely("noon", 500, 0), 600, 840, 0.5),
		at(likely("night", 400, 0), 1380, 300, 1),
		likely("always", 100, 1),
	})
	const own = "own, by hand"
	check(t, []fact{
		{"99 %: noon, not the evening", own, probable(t, s, 0.99), 600, 0},
		{"99.1 %: the evening", own, probable(t, s, 0.991), 3100, 0},
		{"half: the night", own, probable(t, s, 0.5), 500, 0},
		{"above half: noon", own, probable(t, s, 0.51), 600, 0},
	})
}

func TestProbableEdges(t *testing.T) {
	empty := NewSet(1, nil)
	for _, confidence := range []float64{1e-300, 0.5, 1 - 0x1p-53, 1} {
		if w := probable(t, empty, confidence); w != 0 {
			t.Errorf("no loads, confidence %g: %g W, want 0", confidence, w)
		}
	}
	s := NewSet(1, []Load{likely("a", 100, 0.5), likely("b", 10, 0.5), likely("off", 5000, 0)})
	const own = "own, by hand"
	check(t, []fact{
		{"hardly any confidence", own, probable(t, s, 1e-300), 0, 0},
		{"hardly any, but what is always on", own,
			probable(t, NewSet(1, []Load{likely("a", 100, 1), likely("b", 10, 0.5)}), 1e-300), 100, 0},
		{"all but certain", own, probable(t, s, 1-0x1p-53), 110, 0},
		{"certain: what is never on does not count", own, probable(t, s, 1), 110, 0},
	})
	for _, bad := range []float64{0, -1, 1.0001, math.NaN(), math.Inf(1)} {
		if w, err := s.Probable(bad); err == nil || w != 0 {
			t.Errorf("confidence %g: %g W and error %v, want an error", bad, w, err)
		}
	}
}

// TestProbableManyTimes compares the whole day, where bounds spare most of the work, with each interval on
// its own.
func TestProbableManyTimes(t *testing.T) {
	for seed := range uint64(2) {
		ls := farm(seed, 10)
		s := NewSet(3, ls)
		if len(s.slots) < 300 {
			t.Fatalf("seed %d: %d slots, want several hundred", seed, len(s.slots))
		}
		want := 0.0
		for k := 0; k < len(s.slots); k++ {
			var on []Load
			for _, i := range s.slots[k].on {
				l := s.loads[i]
				l.HoursPerDay = 24 * l.Share()
				l.Windows = nil
				on = append(on, l)
			}
			want = max(want, probable(t, NewSet(3, on), 0.999))
		}
		if got := probable(t, s, 0.999); got != want {
			t.Errorf("seed %d: %g W, want %g", seed, got, want)
		}
	}
}

// TestProbableBeyondWork shows that a set too large to be computed gets a close upper bound.
func TestProbableBeyondWork(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 2))
	var odd, down, up, many []Load
	for i := range 60 {
		l := likely(fmt.Sprint(i), 1000*r.Float64(), 0.1+0.5*r.Float64())
		odd = append(odd, l)
		l.RunningW = math.Floor(l.RunningW)
		down = append(down, l)
		l.RunningW++
		up = append(up, l)
		l.Quantity = 10000
		many = append(many, l)
	}
	got, low, high := probable(t, NewSet(1, odd), 0.999), probable(t, NewSet(1, down), 0.999),
		probable(t, NewSet(1, up), 0.999)
	if got < low || got > high {
		t.Errorf("odd watts: %g W, want %g (all rounded down) to %g (all rounded up)", got, low, high)
	}

	// So many units are as good as normal: skew and steps are far below the 0.5 % that is left for the
	// coarser count and for the tail.
	mean, variance := 0.0, 0.0
	for _, l := range many {
		n, p := float64(l.Quantity), l.Share()
		mean += n * p * l.RunningW
		variance += n * p * (1 - p) * l.RunningW * l.RunningW
	}
	want := mean + math.Sqrt(variance)*distuv.UnitNormal.Quantile(0.999)
	if got := probable(t, NewSet(1, many), 0.999); got < want*(1-1e-4) || got > want*1.005 {
		t.Errorf("60 x 10000 units: %g W, want %g or up to 0.5 %% more", got, want)
	}
}
