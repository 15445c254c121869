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
				t.Errorf("item %q: %v on %d, in another order %v on %d", p.Items[i].ID, a.Selected[i], a.Phase[i],
					b.Selected[to], b.Phase[to])
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
	wild := rapid.OneOf(rapid.Float64(), rapid.SampledFrom([]float64{0, 1e-7, 4e12, 4e12 + 1, 1e300, math.Inf(1),
		math.NaN(), -1}))
	scale := rapid.SampledFrom([]float64{1, 1e-6, 1e-3, 1e6, 1e10}).Draw(t, "scale")
	pick := func(top float64, what string) float64 {
		if rapid.IntRange(0, 99).Draw(t, what+" wild") == 99 {
			return wild.Draw(t, what)
		}
		return top * scale * rapid.Float64Range(0, 1).Draw(t, what)
	}
	p := Problem{Limits: Limits{ContinuousVA: pick(9, "continuous"), SurgeVA: pick(12, "surge"),
		PhaseVA:  []float64{pick(9, "phase"), pick(9, "phase")},
		UsableWh: pick(20, "usable"), Days: pick(2/scale, "days"), IdleWhPerDay: pick(1, "idle"),
		Ways: pick(20/scale, "ways")}}
	for i := range rapid.IntRange(0, 8).Draw(t, "items") {
		it := Item{ID: string(rune('a' + i)), Values: []float64{pick(2, "value")}, DemandVA: pick(2, "demand"),
			SurgeExtraVA: pick(6, "extra"), EnergyWhPerDay: pick(2, "energy"), PassA: pick(2, "pass"),
			Ways:   rapid.IntRange(0, 3).Draw(t, "ways"),
			Phases: rapid.SampledFrom([][]int{nil, {1}, {2, 0}, {1, 2}}).Draw(t, "phases"),
			Rule:   rapid.SampledFrom([]Rule{Either, Either, Either, Either, Include, Exclude}).Draw(t, "rule")}
		if rapid.IntRange(0, 99).Draw(t, "odd") == 99 {
			it.Ways, it.Phases, it.Rule = -1, []int{3}, 7
		}
		p.Items = append(p.Items, it)
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

// TestScale: the same problem in other units of the same numbers, tenths that no double holds exactly among them, has
// the same answer.
func TestScale(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := draw(t)
		factor := rapid.SampledFrom([]float64{0.1, 0.001, 1.7, 1000, 1e6}).Draw(t, "factor")
		scaled := func(list []float64) []float64 {
			if list == nil {
				return nil
			}
			out := make([]float64, len(list))
			for i, x := range list {
				out[i] = factor * x
			}
			return out
		}
		q := p
		q.Limits.ContinuousVA *= factor
		q.Limits.SurgeVA *= factor
		q.Limits.PhaseVA, q.Limits.PassA = scaled(p.Limits.PhaseVA), scaled(p.Limits.PassA)
		q.Limits.UsableWh *= factor
		q.Limits.IdleWhPerDay *= factor
		q.Items, q.Interlocks, q.Rows = nil, nil, nil
		for _, it := range p.Items {
			it.Values = scaled(it.Values)
			it.DemandVA *= factor
			it.SurgeExtraVA *= factor
			it.EnergyWhPerDay *= factor
			it.PassA *= factor
			q.Items = append(q.Items, it)
		}
		for _, lock := range p.Interlocks {
			lock.DemandVA, lock.PassA = scaled(lock.DemandVA), scaled(lock.PassA)
			q.Interlocks = append(q.Interlocks, lock)
		}
		for _, r := range p.Rows {
			r.Limit *= factor
			r.Amount, r.Extra = scaled(r.Amount), scaled(r.Extra)
			parts := r.Parts
			r.Parts = nil
			for _, list := range parts {
				r.Parts = append(r.Parts, scaled(list))
			}
			q.Rows = append(q.Rows, r)
		}
		a, errA := Solve(p, Options{})
		b, errB := Solve(q, Options{})
		if errA != nil || errB != nil {
			t.Fatal(errA, errB)
		}
		if diff := gocmp.Diff(a.Selected, b.Selected); diff != "" || a.Status != b.Status {
			t.Errorf("%v, times %g %v:\n%s", a.Status, factor, b.Status, diff)
		}
		if diff := gocmp.Diff(a.Phase, b.Phase); diff != "" {
			t.Errorf("phases, times %g:\n%s", factor, diff)
		}
	})
}
