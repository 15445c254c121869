package allocate

import (
	"math"
	"testing"

	gocmp "github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"
)

// TestOrderOfInput: neither value nor selection follow the order of the items, not even when the search is stopped.
func TestOrderOfInput(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := draw(t)
		order := make([]int, len(p.Items))
		for i := range order {
			order[i] = i
		}
		order = rapid.Permutation(order).Draw(t, "order") // new place of each item
		q := Problem{Items: make([]Item, len(p.Items)), Limits: p.Limits}
		for i, to := range order {
			q.Items[to] = p.Items[i]
		}
		for _, lock := range p.Interlocks {
			moved := lock
			moved.Items = nil
			for _, i := range lock.Items {
				moved.Items = append(moved.Items, order[i])
			}
			q.Interlocks = append(q.Interlocks, moved)
		}
		for _, r := range p.Rows {
			moved := r
			moved.Amount = make([]float64, len(r.Amount))
			for i, to := range order {
				moved.Amount[to] = r.Amount[i]
			}
			if r.Extra != nil {
				moved.Extra = make([]float64, len(r.Extra))
				for i, to := range order {
					moved.Extra[to] = r.Extra[i]
				}
			}
			q.Rows = append(q.Rows, moved)
		}
		opts := Options{MaxNodes: rapid.IntRange(0, 9).Draw(t, "most nodes")}
		a, errA := Solve(p, opts)
		b, errB := Solve(q, opts)
		if errA != nil || errB != nil {
			t.Fatal(errA, errB)
		}
		for i, to := range order {
			if a.Selected[i] != b.Selected[to] || a.Phase[i] != b.Phase[to] {
				t.Errorf("item %q: %v on %d, in another order %v on %d", p.Items[i].ID, a.Selected[i], a.Phase[i], b.Selected[to], b.Phase[to])
			}
		}
		if diff := gocmp.Diff(a.Value, b.Value); diff != "" || a.Status != b.Status {
			t.Errorf("%v, in another order %v:\n%s", a.Status, b.Status, diff)
		}
	})
}

// TestLargerLimit: a larger limit never lowers the value.
func TestLargerLimit(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := draw(t)
		before, err := Solve(p, Options{})
		if err != nil {
			t.Fatal(err)
		}
		more := float64(rapid.IntRange(1, 200).Draw(t, "more"))
		l := &p.Limits
		limits := []*float64{&l.ContinuousVA, &l.SurgeVA, &l.UsableWh, &l.Ways}
		for i := range l.PhaseVA {
			limits = append(limits, &l.PhaseVA[i], &l.PassA[i])
		}
		for r := range p.Rows {
			limits = append(limits, &p.Rows[r].Limit)
		}
		*rapid.SampledFrom(limits).Draw(t, "limit") += more
		after, err := Solve(p, Options{})
		if err != nil {
			t.Fatal(err)
		}
		if before.Found && !after.Found {
			t.Fatal("nothing fits any more")
		}
		for l := range before.Value {
			if x, y := before.Value[l], after.Value[l]; x != y {
				if y < x && before.Found {
					t.Errorf("value %d falls from %g to %g", l, x, y)
				}
				break
			}
		}
	})
}

// TestAnyNumbers: whatever numbers come in, an answer or an error comes out, and no NaN.
func TestAnyNumbers(t *testing.T) { rapid.Check(t, propAnyNumbers) }

func FuzzAnyNumbers(f *testing.F) { f.Fuzz(rapid.MakeFuzz(propAnyNumbers)) }

func propAnyNumbers(t *rapid.T) {
	number := rapid.OneOf(rapid.Float64(), rapid.Float64Range(0, 1e12), rapid.Float64Range(0, 10),
		rapid.SampledFrom([]float64{0, 1e-7, 0.1, 4e12, 4e12 + 1, 1e300, math.MaxFloat64, math.Inf(1), math.NaN(), -1}))
	usable := rapid.Map(number, func(x float64) float64 { // mostly: else nearly all problems are refused
		if x = math.Abs(x); x <= 1e11 {
			return x
		}
		return 1
	})
	pick := func(what string) float64 {
		if rapid.IntRange(0, 40).Draw(t, what+" wild") == 40 {
			return number.Draw(t, what)
		}
		return usable.Draw(t, what)
	}
	p := Problem{Limits: Limits{ContinuousVA: pick("continuous"), SurgeVA: pick("surge"), PhaseVA: []float64{pick("phase"), pick("phase")},
		UsableWh: pick("usable"), Days: pick("days"), IdleWhPerDay: pick("idle"), Ways: pick("ways")}}
	for i := range rapid.IntRange(0, 8).Draw(t, "items") {
		p.Items = append(p.Items, Item{ID: string(rune('a' + i)), Values: []float64{pick("value")}, DemandVA: pick("demand"),
			SurgeExtraVA: pick("extra"), EnergyWhPerDay: pick("energy"), PassA: pick("pass"), Ways: rapid.IntRange(-1, 9).Draw(t, "ways"),
			Phases: rapid.SampledFrom([][]int{nil, {1}, {2, 0}, {1, 2}, {3}}).Draw(t, "phases"),
			Rule:   rapid.SampledFrom([]Rule{Either, Either, Either, Include, Exclude, 7}).Draw(t, "rule")})
	}
	if len(p.Items) > 1 {
		p.Interlocks = []Interlock{{Items: []int{0, 1}}}
	}
	res, err := Solve(p, Options{MaxNodes: 1000})
	if err != nil {
		return
	}
	numbers := append([]float64{res.EnergyWhPerDay}, append(res.Value, res.Bound...)...)
	for _, u := range res.Uses {
		numbers = append(numbers, u.Used)
		if u.Used > u.Of*(1+1e-15) {
			t.Errorf("%v is broken", u)
		}
	}
	for _, why := range res.LeftOut {
		numbers = append(numbers, why.Broken.By)
	}
	for _, x := range numbers {
		if math.IsNaN(x) || math.IsInf(x, 0) {
			t.Errorf("%v holds %g", res, x)
		}
	}
	for i, in := range res.Selected {
		if res.Found && (p.Items[i].Rule == Include && !in || p.Items[i].Rule == Exclude && in) {
			t.Errorf("item %d: rule %v, chosen %v", i, p.Items[i].Rule, in)
		}
	}
}
