package allocate

import (
	"fmt"
	"math"
	"slices"
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
	quantity
	name, unit string
	limit      int64
	phase      int     // 0: items count wherever they are; else only what lies on this phase
	extra      []int64 // by item, or nil
	idle       int64   // taken off the limit beforehand
}

// A quantity is what the items count in a rule.
type quantity struct {
	amount    []int64   // by item
	parts     [][]int64 // by interlock and member, or nil: the interlocked part of amount
	share     []int64   // by item that is spread over all phases: what lies on one of them; nil if phases don't count
	partShare [][]int64 // the interlocked part of share
}

// rules puts the limits and rows of the problem into the order in which they are reported.
func (p *Problem) rules() []rule {
	l := &p.Limits
	demand := p.quantity(func(i int) float64 { return p.Items[i].DemandVA },
		func(k int) []float64 { return p.Interlocks[k].DemandVA })
	pass := p.quantity(func(i int) float64 { return p.Items[i].PassA },
		func(k int) []float64 { return p.Interlocks[k].PassA })
	rules := []rule{
		{quantity: demand, name: "continuous", unit: "VA", limit: limitQuanta(l.ContinuousVA)},
		{quantity: demand, name: "surge", unit: "VA", limit: limitQuanta(l.SurgeVA),
			extra: p.perItem(func(i int) float64 { return p.Items[i].SurgeExtraVA })},
	}
	for ph, limit := range l.PassA {
		rules = append(rules, rule{quantity: pass, name: fmt.Sprint("pass-through ", ph+1), unit: "A",
			limit: limitQuanta(limit), phase: ph + 1})
	}
	for ph, limit := range l.PhaseVA {
		rules = append(rules, rule{quantity: demand, name: fmt.Sprint("phase ", ph+1), unit: "VA",
			limit: limitQuanta(limit), phase: ph + 1})
	}
	ways := p.perItem(func(i int) float64 { return float64(p.Items[i].Ways) })
	rules = append(rules, rule{quantity: quantity{amount: ways}, name: "ways", limit: limitQuanta(l.Ways)},
		p.energyRule())
	for r := range p.Rows {
		rules = append(rules, p.rowRule(&p.Rows[r]))
	}
	return rules
}

// energyRule is the limit of energy over all days, less what the equipment uses itself.
func (p *Problem) energyRule() rule {
	l := &p.Limits
	r := rule{name: "energy", unit: "Wh", limit: limitQuanta(l.UsableWh)}
	if r.limit == noLimit { // the days may be anything then
		r.amount = make([]int64, len(p.Items))
		return r
	}
	r.amount = p.perItem(func(i int) float64 { return l.Days * p.Items[i].EnergyWhPerDay })
	r.idle = quanta(l.Days * l.IdleWhPerDay)
	r.limit -= r.idle
	return r
}

// rowRule turns a row of the caller into a rule.
func (p *Problem) rowRule(r *Row) rule {
	rule := rule{name: r.Name, unit: r.Unit, limit: limitQuanta(r.Limit)}
	rule.amount = p.perItem(func(i int) float64 { return r.Amount[i] })
	if r.Extra != nil {
		rule.extra = p.perItem(func(i int) float64 { return r.Extra[i] })
	}
	if r.Parts != nil {
		rule.parts = p.parts(rule.amount, 1, func(k int) []float64 { return r.Parts[k] })
	}
	return rule
}

// quantity gathers what the items count by phase and in all. nil parts of an interlock mean all of it.
func (p *Problem) quantity(at func(i int) float64, parts func(k int) []float64) quantity {
	spread := max(p.Limits.phases(), 1)
	q := quantity{amount: p.perItem(at), share: p.perItem(func(i int) float64 { return at(i) / float64(spread) })}
	q.parts, q.partShare = p.parts(q.amount, 1, parts), p.parts(q.share, spread, parts)
	return q
}

// perItem returns a number of each item in millionths.
func (p *Problem) perItem(at func(i int) float64) []int64 {
	list := make([]int64, len(p.Items))
	for i := range list {
		list[i] = quanta(at(i))
	}
	return list
}

// parts returns the interlocked parts, divided by spread.
func (p *Problem) parts(whole []int64, spread int, of func(k int) []float64) [][]int64 {
	parts := make([][]int64, len(p.Interlocks))
	left := slices.Clone(whole) // by item: rounding may not make the parts more than the whole
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
