package allocate

import (
	"fmt"
	"math"

	"outlast/backup/fault"
)

// errs makes the errors of this package.
const errs = fault.In("allocate")

// maxTotal is the largest number, and the largest sum of one kind of number, that a problem may hold. In
// millionths that is 4e18, so that no sum of two such totals overflows an int64.
const maxTotal = 4e12

// A totals sums up numbers of one kind and remembers the first one that can't be used.
type totals struct {
	err error
}

// amounts checks n numbers of one kind and their sum.
func (t *totals) amounts(what, unit string, n int, at func(i int) float64) {
	var sum float64
	for i := range n {
		x := at(i)
		if !(x >= 0) || math.IsInf(x, 1) {
			t.fail("%s %d: %g%s, want a finite number of at least 0", what, i, x, unit)
			return
		}
		sum += x
	}
	if sum > maxTotal {
		t.fail("%s: %g%s in total, want at most %g", what, sum, unit, float64(maxTotal))
	}
}

// limit checks a number that may be infinite.
func (t *totals) limit(what, unit string, x float64) {
	if !(x >= 0) {
		t.fail("%s %g%s, want at least 0", what, x, unit)
	}
}

func (t *totals) fail(format string, args ...any) {
	if t.err == nil {
		t.err = errs.Errorf(""+format, args...)
	}
}

// validate returns the first thing wrong with the problem.
func (p *Problem) validate() error {
	var t totals
	p.validateItems(&t)
	n := len(p.Items)
	t.amounts("demand of item", " VA", n, func(i int) float64 { return p.Items[i].DemandVA })
	t.amounts("surge extra of item", " VA", n, func(i int) float64 { return p.Items[i].SurgeExtraVA })
	t.amounts("energy of item", " Wh", n, func(i int) float64 { return p.Items[i].EnergyWhPerDay })
	t.amounts("pass-through of item", " A", n, func(i int) float64 { return p.Items[i].PassA })
	t.amounts("ways of item", "", n, func(i int) float64 { return float64(p.Items[i].Ways) })
	for l := range p.levels() {
		t.amounts(fmt.Sprintf("value %d of item", l+1), "", n, func(i int) float64 { return p.Items[i].value(l) })
	}
	p.validateInterlocks(&t)
	p.validateLimits(&t)
	for r := range p.Rows {
		p.Rows[r].validate(p, &t)
	}
	return t.err
}

func (p *Problem) validateItems(t *totals) {
	seen := make(map[string]bool, len(p.Items))
	for i := range p.Items {
		it := &p.Items[i]
		switch {
		case it.ID == "":
			t.fail("item %d has no id", i)
		case seen[it.ID]:
			t.fail("item %d: id %q is taken", i, it.ID)
		case it.Rule > Exclude:
			t.fail("item %q: unknown rule %d", it.ID, it.Rule)
		}
		seen[it.ID] = true
		phases := p.Limits.phases()
		for k, ph := range it.Phases {
			if ph < 0 || phases > 0 && ph > phases {
				t.fail("item %q: phase %d, want 0 to %d", it.ID, ph, phases)
			}
			for _, other := range it.Phases[:k] {
				if other == ph {
					t.fail("item %q: phase %d is listed twice", it.ID, ph)
				}
			}
		}
	}
}

func (p *Problem) validateInterlocks(t *totals) {
	n := len(p.Items)
	underDemand, underPass := make([]float64, n), make([]float64, n)
	for k, lock := range p.Interlocks {
		if len(lock.Items) < 2 {
			t.fail("interlock %d has %d items, want at least 2", k, len(lock.Items))
		}
		if lock.DemandVA != nil && len(lock.DemandVA) != len(lock.Items) ||
			lock.PassA != nil && len(lock.PassA) != len(lock.Items) {
			t.fail("interlock %d: want one part for each of its %d items", k, len(lock.Items))
			return
		}
		seen := map[int]bool{}
		for j, i := range lock.Items {
			if i < 0 || i >= n || seen[i] {
				t.fail("interlock %d: item %d is out of range or stands in it twice", k, i)
				return
			}
			seen[i] = true
			underDemand[i] += part(lock.DemandVA, j, p.Items[i].DemandVA)
			underPass[i] += part(lock.PassA, j, p.Items[i].PassA)
		}
		t.amounts(fmt.Sprintf("demand part in interlock %d of member", k), " VA", len(lock.Items),
			func(j int) float64 { return part(lock.DemandVA, j, 0) })
		t.amounts(fmt.Sprintf("pass-through part in interlock %d of member", k), " A", len(lock.Items),
			func(j int) float64 { return part(lock.PassA, j, 0) })
	}
	for i := range p.Items {
		within(t, "demand", underDemand[i], p.Items[i].DemandVA, p.Items[i].ID)
		within(t, "pass-through", underPass[i], p.Items[i].PassA, p.Items[i].ID)
	}
}

// within checks that the interlocked parts of an item are not more than the item; a hair is left for rounding.
func within(t *totals, what string, parts, whole float64, id string) {
	if parts > whole*(1+1e-12) {
		t.fail("item %q: interlocks hold %g of its %s, which is %g", id, parts, what, whole)
	}
}

func (p *Problem) validateLimits(t *totals) {
	l := &p.Limits
	t.limit("continuous limit", " VA", l.ContinuousVA)
	t.limit("surge limit", " VA", l.SurgeVA)
	t.limit("usable energy", " Wh", l.UsableWh)
	t.limit("ways", "", l.Ways)
	for i, x := range l.PhaseVA {
		t.limit(fmt.Sprintf("limit of phase %d", i+1), " VA", x)
	}
	for i, x := range l.PassA {
		t.limit(fmt.Sprintf("pass-through limit of phase %d", i+1), " A", x)
	}
	if l.PhaseVA != nil && l.PassA != nil && len(l.PhaseVA) != len(l.PassA) {
		t.fail("limits: %d phases with a demand limit, %d with a pass-through limit, want the same", len(l.PhaseVA),
			len(l.PassA))
	}
	t.amounts("standby consumption, number", " Wh", 1, func(int) float64 { return l.IdleWhPerDay })
	t.amounts("days, number", "", 1, func(int) float64 { return l.Days })
	if !math.IsInf(l.UsableWh, 1) {
		t.amounts("energy over all days of item", " Wh", len(p.Items)+1, func(i int) float64 {
			if i == len(p.Items) {
				return l.Days * l.IdleWhPerDay
			}
			return l.Days * p.Items[i].EnergyWhPerDay
		})
	}
}

// check returns what is wrong with the row.
func (r *Row) check(p *Problem) error {
	var t totals
	r.validate(p, &t)
	return t.err
}

func (r *Row) validate(p *Problem, t *totals) {
	n := len(p.Items)
	if len(r.Amount) != n || r.Extra != nil && len(r.Extra) != n || r.Parts != nil &&
		len(r.Parts) != len(p.Interlocks) {
		t.fail("row %q: want one amount and extra for each of %d items, and parts for each of %d interlocks", r.Name, n,
			len(p.Interlocks))
		return
	}
	t.limit("limit of row "+r.Name, "", r.Limit)
	t.amounts("amount in row "+r.Name+" of item", "", n, func(i int) float64 { return r.Amount[i] })
	if r.Extra != nil {
		t.amounts("extra in row "+r.Name+" of item", "", n, func(i int) float64 { return r.Extra[i] })
	}
	under := make([]float64, n)
	for k, parts := range r.Parts {
		if len(parts) != len(p.Interlocks[k].Items) {
			t.fail("row %q: %d parts for interlock %d, want %d", r.Name, len(parts), k, len(p.Interlocks[k].Items))
			return
		}
		t.amounts("part in row "+r.Name+" of member", "", len(parts), func(j int) float64 { return parts[j] })
		for j, i := range p.Interlocks[k].Items {
			if i >= 0 && i < n { // else reported already
				under[i] += parts[j]
			}
		}
	}
	for i, whole := range r.Amount {
		within(t, "amount in row "+r.Name, under[i], whole, p.Items[i].ID)
	}
}

// levels returns how many values the items have.
func (p *Problem) levels() int {
	n := 0
	for i := range p.Items {
		n = max(n, len(p.Items[i].Values))
	}
	return n
}

// value returns the item's value of a level, 0 where its list is too short.
func (it *Item) value(level int) float64 {
	if level < len(it.Values) {
		return it.Values[level]
	}
	return 0
}

// phases returns how many phases have limits; 0 when phases don't matter.
func (l *Limits) phases() int { return max(len(l.PhaseVA), len(l.PassA)) }

// part returns the interlocked part of member j: all of whole if no parts are given.
func part(parts []float64, j int, whole float64) float64 {
	if parts == nil {
		return whole
	}
	return parts[j]
}
