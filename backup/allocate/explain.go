package allocate

import "math"

// use returns what the choice takes of the limit. Energy is reported with the equipment's standby consumption, as the
// limit is.
func (v *solver) use(r *rule, phase []int) Use {
	sum, extra := r.used(v.p, phase)
	u := Use{Limit: r.name, Unit: r.unit, Used: units(sum + extra + r.idle), Of: math.Inf(1)}
	if r.limit != noLimit {
		u.Of = units(r.limit + r.idle)
	}
	return u
}

// An explainer says why items are left out of a choice.
type explainer struct {
	*solver
	status Status
	chosen base
	musts  base // items that must be in only
	fixed  bool // musts have no other phases
}

// A base is a choice that items are added to, one at a time.
type base struct {
	phase      []int   // by item: phase or out
	sum, extra []int64 // by rule: what the choice uses
}

func (v *solver) explainer(status Status, chosen []int) *explainer {
	e := &explainer{solver: v, status: status, chosen: v.base(chosen)}
	musts, fixed := v.mustPhases()
	e.musts, e.fixed = v.base(musts), fixed
	return e
}

func (v *solver) base(phase []int) base {
	b := base{phase: phase}
	for r := range v.rules {
		sum, extra := v.rules[r].used(v.p, phase)
		b.sum, b.extra = append(b.sum, sum), append(b.extra, extra)
	}
	return b
}

// explain says why item i, which is not chosen, is left out.
func (e *explainer) explain(i int) LeftOut {
	if e.options[i] == nil {
		return LeftOut{Item: i, Reason: Excluded}
	}
	added, fits := e.broken(&e.chosen, i, nil)
	if fits {
		if e.status != Optimal {
			return LeftOut{Item: i, Reason: Unproven}
		}
		return LeftOut{Item: i, Reason: NoGain}
	}
	// Limits of one phase prove nothing if items that must be in could move to another.
	alone, fits := e.broken(&e.musts, i, func(r *rule) bool { return e.fixed || r.phase == 0 })
	if !fits {
		return LeftOut{Item: i, Reason: NeverFits, Broken: alone}
	}
	return LeftOut{Item: i, Reason: Displaces, Broken: added}
}

// broken returns the first limit that breaks when item i is added to the base, on the phase where that is least bad,
// and whether it fits on some phase after all. proves tells which rules count; nil counts all.
func (e *explainer) broken(b *base, i int, proves func(r *rule) bool) (worst Excess, fits bool) {
	least := math.Inf(1)
	defer func() { b.phase[i] = out }()
	for _, ph := range e.options[i] {
		b.phase[i] = ph
		excess, share, broken := e.first(b, i, proves)
		if !broken {
			return Excess{}, true
		}
		if share < least {
			worst, least = excess, share
		}
	}
	return worst, false
}

// first returns the first limit that the base breaks with item i, which has been added to its phases, and the excess as
// a share of the limit.
func (e *explainer) first(b *base, i int, proves func(r *rule) bool) (excess Excess, share float64, broken bool) {
	for k := range e.rules {
		r := &e.rules[k]
		extra := b.extra[k]
		if r.extra != nil {
			extra = max(extra, r.extra[i])
		}
		// Interlocks only lower the sum, so most rules need no second look.
		if b.sum[k]+extra+r.at(i, b.phase[i]) <= r.limit || proves != nil && !proves(r) {
			continue
		}
		if excess, broken := e.excess(r, b.phase); broken {
			return excess, excess.By / max(units(r.limit), 1/float64(perUnit)), true
		}
	}
	if e.opts.Check == nil || proves != nil && !e.fixed {
		return Excess{}, 0, false
	}
	verdict := e.ask(b.phase)
	if verdict.OK || proves != nil && verdict.Exact {
		return Excess{}, 0, false
	}
	return Excess{Limit: verdict.Limit, Unit: verdict.Unit, By: verdict.Excess}, math.MaxFloat64, true
}
