package allocate

import "math"

// use returns what the choice takes of the limit. Energy is reported with the equipment's own use, as the limit is.
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
	chosen []int // by item: phase or out
	musts  []int // the same, items that must be in only
	fixed  bool  // musts have no other phases
}

func (v *solver) explainer(status Status, chosen []int) *explainer {
	e := &explainer{solver: v, status: status, chosen: chosen}
	e.musts, e.fixed = v.mustPhases()
	return e
}

// explain says why item i, which is not chosen, is left out.
func (e *explainer) explain(i int) LeftOut {
	if e.options[i] == nil {
		return LeftOut{Item: i, Reason: Excluded}
	}
	added, fits := e.broken(e.chosen, i, nil)
	if fits {
		if e.status != Optimal {
			return LeftOut{Item: i, Reason: Unproven}
		}
		return LeftOut{Item: i, Reason: NoGain}
	}
	// Limits of one phase prove nothing if items that must be in could move to another.
	alone, fits := e.broken(e.musts, i, func(r *rule) bool { return e.fixed || r.phase == 0 })
	if !fits {
		return LeftOut{Item: i, Reason: NeverFits, Broken: alone}
	}
	return LeftOut{Item: i, Reason: Displaces, Broken: added}
}

// broken returns the first limit that breaks when item i is added to base, on the phase where that is least bad, and
// whether it fits on some phase after all. proves tells which rules count; nil counts all.
func (e *explainer) broken(base []int, i int, proves func(r *rule) bool) (worst Excess, fits bool) {
	least := math.Inf(1)
	defer func(was int) { base[i] = was }(base[i])
	for _, ph := range e.options[i] {
		base[i] = ph
		excess, share, broken := e.first(base, proves)
		if !broken {
			return Excess{}, true
		}
		if share < least {
			worst, least = excess, share
		}
	}
	return worst, false
}

// first returns the first limit that the choice breaks, and the excess as a share of the limit.
func (e *explainer) first(phase []int, proves func(r *rule) bool) (excess Excess, share float64, broken bool) {
	for r := range e.rules {
		rule := &e.rules[r]
		if proves != nil && !proves(rule) {
			continue
		}
		if excess, broken := e.excess(rule, phase); broken {
			return excess, excess.By / max(units(rule.limit), 1/float64(perUnit)), true
		}
	}
	if e.opts.Check == nil || proves != nil && !e.fixed {
		return Excess{}, 0, false
	}
	verdict := e.ask(phase)
	if verdict.OK || proves != nil && verdict.Exact {
		return Excess{}, 0, false
	}
	return Excess{Limit: verdict.Limit, Unit: verdict.Unit, By: verdict.Excess}, math.MaxFloat64, true
}
