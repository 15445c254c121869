package allocate

import (
	"fmt"
	"math"
)

// perUnit is the grain of all arithmetic: numbers are whole millionths of their unit.
const perUnit = 1_000_000

// noLimit stands for an infinite limit. No sum reaches it.
const noLimit = math.MaxInt64

// out, in place of a phase, says that an item is not chosen.
const out = -1

// quanta returns x, which is at most maxTotal, in millionths.
func quanta(x float64) int64 { return int64(math.Round(x * perUnit)) }

// limitQuanta is quanta for a limit; what no total can reach is no limit.
func limitQuanta(x float64) int64 {
	if x > maxTotal {
		return noLimit
	}
	return quanta(x)
}

// A rule is one limit as the problem defines it, in millionths.
type rule struct {
	name, unit string
	limit      int64
	phase      int       // 0: items count wherever they are; else only what lies on this phase
	amount     []int64   // by item
	share      []int64   // by item that is spread over all phases: what lies on one of them
	parts      [][]int64 // by interlock and member, or nil: the interlocked part of amount
	partShare  [][]int64 // the same of share
	extra      []int64   // by item, or nil
	idle       int64     // taken off the limit beforehand
}

// rules puts the limits and rows of the problem into the order in which they are reported.
func (p *Problem) rules() []rule {
	n, l := len(p.Items), &p.Limits
	column := func(at func(it *Item) float64) []int64 {
		q := make([]int64, n)
		for i := range p.Items {
			q[i] = quanta(at(&p.Items[i]))
		}
		return q
	}
	demand := column(func(it *Item) float64 { return it.DemandVA })
	pass := column(func(it *Item) float64 { return it.PassA })
	demandParts := p.parts(demand, 1, func(k int) []float64 { return p.Interlocks[k].DemandVA })
	passParts := p.parts(pass, 1, func(k int) []float64 { return p.Interlocks[k].PassA })

	rules := []rule{{name: "continuous", unit: "VA", limit: limitQuanta(l.ContinuousVA), amount: demand, parts: demandParts}}
	rules = append(rules, rule{name: "surge", unit: "VA", limit: limitQuanta(l.SurgeVA), amount: demand, parts: demandParts,
		extra: column(func(it *Item) float64 { return it.SurgeExtraVA })})
	spread := max(l.phases(), 1)
	byPhase := func(name, unit string, limits []float64, amount []int64, parts [][]int64, at func(it *Item) float64, of func(k int) []float64) {
		if limits == nil {
			return
		}
		share := column(func(it *Item) float64 { return at(it) / float64(spread) })
		partShare := p.parts(share, spread, of)
		for ph, limit := range limits {
			rules = append(rules, rule{name: fmt.Sprintf("%s %d", name, ph+1), unit: unit, limit: limitQuanta(limit), phase: ph + 1,
				amount: amount, share: share, parts: parts, partShare: partShare})
		}
	}
	byPhase("pass-through", "A", l.PassA, pass, passParts, func(it *Item) float64 { return it.PassA },
		func(k int) []float64 { return p.Interlocks[k].PassA })
	byPhase("phase", "VA", l.PhaseVA, demand, demandParts, func(it *Item) float64 { return it.DemandVA },
		func(k int) []float64 { return p.Interlocks[k].DemandVA })
	rules = append(rules, rule{name: "ways", limit: limitQuanta(l.Ways), amount: column(func(it *Item) float64 { return float64(it.Ways) })})
	energy := rule{name: "energy", unit: "Wh", limit: noLimit}
	if !math.IsInf(l.UsableWh, 1) {
		energy.amount = column(func(it *Item) float64 { return l.Days * it.EnergyWhPerDay })
		energy.limit = limitQuanta(l.UsableWh)
		if energy.limit != noLimit {
			energy.idle = quanta(l.Days * l.IdleWhPerDay)
			energy.limit -= energy.idle
		}
	} else {
		energy.amount = make([]int64, n)
	}
	rules = append(rules, energy)
	for r := range p.Rows {
		rules = append(rules, p.rowRule(&p.Rows[r]))
	}
	return rules
}

// rowRule turns a row of the caller into a rule.
func (p *Problem) rowRule(r *Row) rule {
	out := rule{name: r.Name, unit: r.Unit, limit: limitQuanta(r.Limit), amount: make([]int64, len(r.Amount))}
	for i, x := range r.Amount {
		out.amount[i] = quanta(x)
	}
	if r.Extra != nil {
		out.extra = make([]int64, len(r.Extra))
		for i, x := range r.Extra {
			out.extra[i] = quanta(x)
		}
	}
	if r.Parts != nil {
		out.parts = p.parts(out.amount, 1, func(k int) []float64 { return r.Parts[k] })
	}
	return out
}

// parts returns the interlocked parts, divided by spread and never above the member's whole. nil parts of an
// interlock mean all of it.
func (p *Problem) parts(whole []int64, spread int, of func(k int) []float64) [][]int64 {
	parts := make([][]int64, len(p.Interlocks))
	left := append([]int64(nil), whole...) // by item: rounding may not make the parts more than the whole
	for k, lock := range p.Interlocks {
		parts[k] = make([]int64, len(lock.Items))
		given := of(k)
		for j, i := range lock.Items {
			parts[k][j] = left[i]
			if given != nil {
				parts[k][j] = min(left[i], quanta(given[j]/float64(spread)))
			}
			left[i] -= parts[k][j]
		}
	}
	return parts
}

// at returns what item i counts when it is on the phase, interlocks aside.
func (r *rule) at(i, phase int) int64 {
	switch {
	case phase == out:
		return 0
	case r.phase == 0 || phase == r.phase:
		return r.amount[i]
	case phase == AllPhases:
		return r.share[i]
	}
	return 0
}

// partAt is at for the part of member j, which is item i, that falls under interlock k.
func (r *rule) partAt(k, j, phase int) int64 {
	switch {
	case phase == out || r.parts == nil:
		return 0
	case r.phase == 0 || phase == r.phase:
		return r.parts[k][j]
	case phase == AllPhases:
		return r.partShare[k][j]
	}
	return 0
}

// used returns what the phases picked (or out) take of the limit: the sum with interlocks, and the largest extra.
func (r *rule) used(p *Problem, phase []int) (sum, extra int64) {
	for i, ph := range phase {
		if ph != out {
			sum += r.at(i, ph)
			if r.extra != nil {
				extra = max(extra, r.extra[i])
			}
		}
	}
	if r.parts == nil {
		return sum, extra
	}
	for k := range p.Interlocks {
		var largest int64
		for j, i := range p.Interlocks[k].Items {
			part := r.partAt(k, j, phase[i])
			sum -= part
			largest = max(largest, part)
		}
		sum += largest
	}
	return sum, extra
}
