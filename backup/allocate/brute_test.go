package allocate

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"testing"

	"github.com/google/go-cmp/cmp/cmpopts"
	"pgregory.net/rapid"

	gocmp "github.com/google/go-cmp/cmp"
)

// brute tries every choice and every phase. It shares no code with the solver: limits are evaluated in plain
// floating point, exact here because the generated numbers are small whole ones.
type brute struct {
	p     Problem
	pass  func(phase []int) bool // the caller's check
	best  []int                  // phase by item, -1 for out; nil if nothing fits
	ids   []int                  // items by id
	tried int
}

func (b *brute) run() {
	for i := range b.p.Items {
		b.ids = append(b.ids, i)
	}
	slices.SortFunc(b.ids, func(x, y int) int { return cmp.Compare(b.p.Items[x].ID, b.p.Items[y].ID) })
	phase := make([]int, len(b.p.Items))
	b.from(0, phase)
}

func (b *brute) from(i int, phase []int) {
	if i == len(phase) {
		b.tried++
		if (b.best == nil || b.better(phase)) && fits(&b.p, phase) && (b.pass == nil || b.pass(phase)) {
			b.best = slices.Clone(phase)
		}
		return
	}
	it := &b.p.Items[i]
	if it.Rule != Include {
		phase[i] = -1
		b.from(i+1, phase)
	}
	if it.Rule != Exclude {
		phases := it.Phases
		if phases == nil {
			phases = []int{1}
		}
		for _, ph := range phases {
			phase[i] = ph
			b.from(i+1, phase)
		}
	}
}

// better compares two choices in the canonical order.
func (b *brute) better(phase []int) bool {
	for l := range 3 {
		var x, y float64
		for i, it := range b.p.Items {
			if l < len(it.Values) {
				if phase[i] >= 0 {
					x += it.Values[l]
				}
				if b.best[i] >= 0 {
					y += it.Values[l]
				}
			}
		}
		if x != y {
			return x > y
		}
	}
	var x, y float64
	for i, it := range b.p.Items {
		if phase[i] >= 0 {
			x += it.EnergyWhPerDay
		}
		if b.best[i] >= 0 {
			y += it.EnergyWhPerDay
		}
	}
	if x != y {
		return x < y
	}
	for _, i := range b.ids {
		if in, was := phase[i] >= 0, b.best[i] >= 0; in != was {
			return in
		}
	}
	for _, i := range b.ids {
		if phase[i] != b.best[i] {
			return phase[i] < b.best[i]
		}
	}
	return false
}

// onPhase is the share of an item on phase ph that lies on phase want, of n.
func onPhase(ph, want, n int) float64 {
	switch ph {
	case want:
		return 1
	case 0:
		return 1 / float64(n)
	}
	return 0
}

// fits tells whether a choice breaks no limit.
func fits(p *Problem, phase []int) bool { return len(broken(p, phase)) == 0 }

// broken lists the limits that a choice breaks, in the order of their names in the docs.
func broken(p *Problem, phase []int) (list []Excess) {
	l := &p.Limits
	check := func(name string, used, limit float64) {
		if used > limit {
			list = append(list, Excess{Limit: name, By: used - limit})
		}
	}
	total := func(at func(i int) float64, parts func(k, j int) float64) float64 {
		var sum float64
		for i, ph := range phase {
			if ph >= 0 {
				sum += at(i)
			}
		}
		for k, lock := range p.Interlocks {
			var all, largest float64
			for j, i := range lock.Items {
				if phase[i] >= 0 {
					all += parts(k, j)
					largest = max(largest, parts(k, j))
				}
			}
			sum += largest - all
		}
		return sum
	}
	whole := func(parts []float64, j int, x float64) float64 {
		if parts == nil {
			return x
		}
		return parts[j]
	}
	demandPart := func(k, j int) float64 {
		return whole(p.Interlocks[k].DemandVA, j, p.Items[p.Interlocks[k].Items[j]].DemandVA)
	}
	passPart := func(k, j int) float64 {
		return whole(p.Interlocks[k].PassA, j, p.Items[p.Interlocks[k].Items[j]].PassA)
	}
	demand := total(func(i int) float64 { return p.Items[i].DemandVA }, demandPart)
	check("continuous", demand, l.ContinuousVA)
	var extra, energy, ways float64
	for i, ph := range phase {
		if ph >= 0 {
			extra = max(extra, p.Items[i].SurgeExtraVA)
			energy += p.Items[i].EnergyWhPerDay
			ways += float64(p.Items[i].Ways)
		}
	}
	check("surge", demand+extra, l.SurgeVA)
	for q, limit := range l.PassA {
		on := func(i int) float64 { return onPhase(phase[i], q+1, len(l.PassA)) }
		check(fmt.Sprint("pass-through ", q+1), total(func(i int) float64 { return p.Items[i].PassA * on(i) },
			func(k, j int) float64 { return passPart(k, j) * on(p.Interlocks[k].Items[j]) }), limit)
	}
	for q, limit := range l.PhaseVA {
		on := func(i int) float64 { return onPhase(phase[i], q+1, len(l.PhaseVA)) }
		check(fmt.Sprint("phase ", q+1), total(func(i int) float64 { return p.Items[i].DemandVA * on(i) },
			func(k, j int) float64 { return demandPart(k, j) * on(p.Interlocks[k].Items[j]) }), limit)
	}
	check("ways", ways, l.Ways)
	check("energy", l.Days*(energy+l.IdleWhPerDay), l.UsableWh)
	for _, r := range p.Rows {
		sum := total(func(i int) float64 { return r.Amount[i] }, func(k, j int) float64 {
			if r.Parts == nil {
				return 0
			}
			return r.Parts[k][j]
		})
		var extra float64
		for i, ph := range phase {
			if ph >= 0 && r.Extra != nil {
				extra = max(extra, r.Extra[i])
			}
		}
		check(r.Name, sum+extra, r.Limit)
	}
	return list
}

func TestBruteForce(t *testing.T) { rapid.Check(t, propBrute) }

func FuzzBruteForce(f *testing.F) { f.Fuzz(rapid.MakeFuzz(propBrute)) }

func propBrute(t *rapid.T) {
	p := draw(t)
	b := brute{p: p}
	var opts Options
	if n := len(p.Items); rapid.Bool().Draw(t, "check") {
		kind := rapid.IntRange(0, 4).Draw(t, "kind")
		p1, q1 := make([]float64, n), make([]float64, n)
		for i := range n {
			p1[i] = float64(rapid.IntRange(0, 9).Draw(t, "W"))
			q1[i] = float64(rapid.IntRange(0, 9).Draw(t, "VAr"))
		}
		most := float64(rapid.IntRange(0, 40).Draw(t, "VA"))
		b.pass, opts.Check = vectorCheck(kind, p1, q1, most)
	}
	b.run()
	got, err := Solve(p, opts)
	if err != nil {
		t.Fatal(err)
	}
	compare(t, &b, got)
	if opts.Check == nil {
		explained(t, &p, got)
	}
}

// compare checks value, selection and phases against the brute force.
func compare(t *rapid.T, b *brute, got Result) {
	t.Helper()
	if b.best == nil {
		if got.Status != Infeasible || got.Found {
			t.Fatalf("%v, found %v, want infeasible", got.Status, got.Found)
		}
		return
	}
	if got.Status != Optimal || !got.Found {
		t.Fatalf("%v, found %v, want optimal with %v", got.Status, got.Found, b.best)
	}
	phase := make([]int, len(got.Selected))
	for i, in := range got.Selected {
		phase[i] = -1
		if in {
			phase[i] = got.Phase[i]
		}
	}
	if diff := gocmp.Diff(b.best, phase); diff != "" {
		t.Fatalf("phases (-1 is out) (-want +got):\n%s", diff)
	}
	if diff := gocmp.Diff(got.Value, got.Bound, cmpopts.EquateEmpty()); diff != "" {
		t.Errorf("value and bound of an optimum (-value +bound):\n%s", diff)
	}
}

// explained checks each reason by trying it.
func explained(t *rapid.T, p *Problem, got Result) {
	t.Helper()
	if !got.Found {
		return
	}
	var outside []int
	for i, in := range got.Selected {
		if !in {
			outside = append(outside, i)
		}
	}
	var told []int
	for _, why := range got.LeftOut {
		told = append(told, why.Item)
		it := p.Items[why.Item]
		// added lists what breaks when the item is added, by phase.
		added := func(mustOnly bool) (lists [][]Excess) {
			phases := it.Phases
			if phases == nil {
				phases = []int{1}
			}
			for _, ph := range phases {
				phase := make([]int, len(p.Items))
				for i := range phase {
					phase[i] = -1
					if got.Selected[i] && (!mustOnly || p.Items[i].Rule == Include) {
						phase[i] = got.Phase[i]
					}
				}
				phase[why.Item] = ph
				lists = append(lists, broken(p, phase))
			}
			return lists
		}
		free := func(list []Excess) bool { return len(list) == 0 }
		same := func(e Excess) bool { return e.Limit == why.Broken.Limit && math.Abs(e.By-why.Broken.By) < 1e-5 }
		ok := false
		switch lists := added(why.Reason == NeverFits); why.Reason {
		case Excluded:
			ok = it.Rule == Exclude
		case NoGain:
			ok = slices.ContainsFunc(lists, free) && !slices.ContainsFunc(it.Values,
				func(x float64) bool { return x > 0 })
		case NeverFits:
			ok = !slices.ContainsFunc(lists, free) && slices.ContainsFunc(slices.Concat(lists...), same)
		case Displaces:
			ok = !slices.ContainsFunc(lists, free) && slices.ContainsFunc(lists,
				func(list []Excess) bool { return same(list[0]) })
		}
		if !ok {
			t.Errorf("item %d: %v, %+v, but adding it breaks %v", why.Item, why.Reason, why.Broken,
				added(why.Reason == NeverFits))
		}
	}
	if diff := gocmp.Diff(outside, told); diff != "" {
		t.Errorf("explained items (-want +got):\n%s", diff)
	}
}
