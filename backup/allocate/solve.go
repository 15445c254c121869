package allocate

import (
	"math"
	"slices"
)

// A solver carries a problem through its objectives: each value in turn, then energy, then ids, then phases. What
// has been reached is kept as a row while the next one is sought. One weighted sum of all would need weights beyond
// what a double holds exactly, and its bounds would be worse: "value at least v" as a row tells the relaxation far
// more than a large weight does.
type solver struct {
	*model
	opts    Options
	allowed []bool  // by column
	best    []int32 // by set: the best choice so far; nil if none is known
	pool    []row   // cuts that the running search doesn't hold as rows yet
	choice  Choice  // for the check
	phase   []int   // scratch, by item
	nodes   int
	checks  int
	halted  bool
	cuts    int   // rows that came from the check
	err     error // of a check's row
}

// Solve returns the best set, or what could be found and proven until the search was stopped. An error means that
// the problem, or a row returned by the check, holds a number that can't be used.
func Solve(p Problem, opts Options) (Result, error) {
	if err := p.validate(); err != nil {
		return Result{}, err
	}
	n := len(p.Items)
	v := &solver{model: newModel(&p, opts.Check != nil), opts: opts, phase: make([]int, n)}
	v.choice = Choice{Selected: make([]bool, n), Phase: make([]int, n)}
	v.allowed = make([]bool, len(v.colSet))
	for j := range v.allowed {
		v.allowed[j] = true
	}
	res := v.result()
	if v.musts(&res); res.Status != Infeasible {
		v.optimise(&res)
	}
	if v.err != nil {
		return Result{}, v.err
	}
	v.report(&res)
	return res, nil
}

// musts looks at the items that must be in, alone. If they fit they are the first choice; else nothing does.
func (v *solver) musts(res *Result) {
	phase, fixed := v.mustPhases()
	if !fixed {
		v.brokenAnyway(res)
		return
	}
	for r := range v.rules {
		if e, broken := v.excess(&v.rules[r], phase); broken {
			res.Broken = append(res.Broken, e)
		}
	}
	if len(res.Broken) > 0 {
		res.Status = Infeasible
		return
	}
	if v.opts.Check != nil {
		switch verdict := v.ask(phase); {
		case verdict.OK:
		case verdict.Exact:
			return // others may pass
		default:
			res.Status = Infeasible
			res.Broken = []Excess{{Limit: verdict.Limit, Unit: verdict.Unit, By: verdict.Excess}}
			return
		}
	}
	v.best = make([]int32, len(v.sets))
	copy(v.best, v.first) // out, where that is allowed
	if !v.meets(v.best) { // an interlock that is capped (see caps) needs a search even for that
		v.best = nil
	}
}

// mustPhases returns the items that must be in on their lowest phases, all others out, and whether they have no
// other phases.
func (v *solver) mustPhases() (phase []int, fixed bool) {
	phase, fixed = make([]int, len(v.p.Items)), true
	for i := range phase {
		phase[i] = out
		if v.p.Items[i].Rule == Include {
			phase[i] = v.options[i][0]
			fixed = fixed && len(v.options[i]) == 1
		}
	}
	return phase, fixed
}

// brokenAnyway reports the limits that break on whatever phases the items that must be in are put.
func (v *solver) brokenAnyway(res *Result) {
	phase, _ := v.mustPhases()
	for r := range v.rules {
		if v.rules[r].phase == 0 { // the same on all phases
			if e, broken := v.excess(&v.rules[r], phase); broken {
				res.Broken = append(res.Broken, e)
				res.Status = Infeasible
			}
		}
	}
}

// optimise runs through the objectives, until only one choice is left.
func (v *solver) optimise(res *Result) {
	objectives := make([][]int64, 0, len(v.values)+1)
	for _, values := range v.values {
		objectives = append(objectives, v.sum(values))
	}
	energy := v.sum(v.energy)
	for j := range energy {
		energy[j] = -energy[j]
	}
	for l, cost := range append(objectives, energy) {
		open, unique, ok := v.stage(cost)
		switch {
		case !ok:
			v.bound(res, l, open)
			return
		case v.best == nil:
			res.Status = Infeasible
			return
		case unique:
			v.bound(res, len(v.values), 0)
			return
		}
		v.keep(cost)
	}
	v.ties(energy)
	v.bound(res, len(v.values), 0)
}

// stage maximises cost. It tells whether the best choice is the only one that is as good, and returns ok false if it
// was stopped, with the largest bound that is left open.
func (v *solver) stage(cost []int64) (open int64, unique, ok bool) {
	for {
		if v.best != nil && !slices.ContainsFunc(cost, func(c int64) bool { return c != 0 }) {
			return 0, false, true // nothing to gain
		}
		s := v.search(cost)
		s.run()
		v.best = s.best
		if v.halted || v.err != nil {
			return s.openValue(), false, false
		}
		if s.ended { // for new cuts
			continue
		}
		for j, reach := range s.reach { // later objectives may not lose anything of this one
			if s.best != nil && reach < float64(s.value)/s.unit {
				v.allowed[j] = false
			}
		}
		return 0, s.unique, true
	}
}

// openValue returns the largest value that an ended search may have missed.
func (s *search) openValue() int64 {
	open := math.Floor(s.open * s.unit)
	if open >= math.MaxInt64/2 {
		return math.MaxInt64 / 2
	}
	if open <= float64(s.value) {
		return s.value
	}
	rest := int64(open) % s.grain
	if rest < 0 {
		rest += s.grain
	}
	return max(int64(open)-rest, s.value)
}

// search prepares a search for cost among the columns that are allowed, with all cuts known so far.
func (v *solver) search(cost []int64) *search {
	v.absorb()
	s := newSearch(v.model, cost, v.allowed, v.best)
	s.halt = v.halt
	if v.opts.Check != nil {
		s.judge = func(cols []int32) bool {
			ok := v.judge(cols)
			// A cut helps most as a row of the relaxation; so start again, at once for the first few and
			// then for every quarter more.
			s.ended = s.ended || v.err != nil || len(v.pool) > v.cuts/4
			return ok
		}
	}
	return s
}

// halt counts a node and tells whether the search must stop before it.
func (v *solver) halt() bool {
	if v.opts.MaxNodes > 0 && v.nodes >= v.opts.MaxNodes || v.nodes%64 == 0 && v.opts.Stop != nil && v.opts.Stop() {
		v.halted = true
	}
	if !v.halted {
		v.nodes++
	}
	return v.halted
}

// keep makes what has been reached of cost a row.
func (v *solver) keep(cost []int64) {
	w := row{limit: -v.total(cost, v.best), coef: make([]int64, len(cost))}
	for j, c := range cost {
		w.coef[j] = -c
	}
	w.normalise(v.first)
	v.rows = append(v.rows, w)
}

// bound reports a bound of open for level l, exact values before it and the trivial bound after it.
func (v *solver) bound(res *Result, l int, open int64) {
	if v.halted {
		res.Status = Stopped
	}
	for k := range res.Bound {
		switch {
		case k < l:
			res.Bound[k] = units(v.total(v.sum(v.values[k]), v.best))
		case k == l:
			res.Bound[k] = units(open)
		}
	}
}
