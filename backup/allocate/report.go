package allocate

// units returns a number of millionths in units. The quotient of two exact doubles is the double nearest to the
// decimal number, as long as q is below 2^53.
func units(q int64) float64 { return float64(q) / perUnit }

// result returns a result without a choice: optimal, until the search ends otherwise.
func (v *solver) result() Result {
	n := len(v.p.Items)
	res := Result{Status: Optimal, Selected: make([]bool, n), Phase: make([]int, n),
		Value: make([]float64, len(v.values)), Bound: make([]float64, len(v.values))}
	for l, values := range v.values {
		var all int64
		for i, x := range values {
			if v.options[i] != nil {
				all += x
			}
		}
		res.Bound[l] = units(all)
	}
	return res
}

// excess returns by how much the phases picked break the rule.
func (v *solver) excess(r *rule, phase []int) (Excess, bool) {
	sum, extra := r.used(v.p, phase)
	if r.limit == noLimit || sum+extra <= r.limit {
		return Excess{}, false
	}
	return Excess{Limit: r.name, Unit: r.unit, By: units(sum + extra - r.limit)}, true
}

// report fills in the choice, what it uses and why the rest is left out.
func (v *solver) report(res *Result) {
	defer func() { res.Nodes, res.Checks = v.nodes, v.checks }()
	if res.Status == Infeasible {
		res.Value, res.Bound = nil, nil
		return
	}
	if v.best == nil {
		res.Value = nil
		return
	}
	res.Found = true
	phase := make([]int, len(v.p.Items))
	for i := range phase {
		phase[i] = out
	}
	v.phases(v.best, phase)
	var energy int64
	values := make([]int64, len(v.values))
	for i, ph := range phase {
		if ph == out {
			continue
		}
		res.Selected[i], res.Phase[i] = true, ph
		energy += v.energy[i]
		for l := range values {
			values[l] += v.values[l][i]
		}
	}
	res.EnergyWhPerDay = units(energy)
	for l, x := range values {
		res.Value[l] = units(x)
	}
	for r := range v.rules {
		res.Uses = append(res.Uses, v.use(&v.rules[r], phase))
	}
	e := v.explainer(res.Status, phase)
	for i, ph := range phase {
		if ph == out {
			res.LeftOut = append(res.LeftOut, e.explain(i))
		}
	}
}
