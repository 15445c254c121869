package allocate

import (
	"cmp"
	"slices"
)

// maxStates is how many ways of choosing from one cluster of interlocked items are written out. 128 holds
// interlocks of seven circuits; above that see caps.
const maxStates = 128

// A row is a limit on the columns: the sum of coef, plus the largest extra, of the columns chosen is at most limit.
type row struct {
	limit int64
	coef  []int64
	extra []int64 // or nil
	cut   bool    // it came from a check
}

// A model is the problem as sets and columns of whole numbers. A set is a group of items that can't be looked at
// one by one, mostly a single item, and exactly one of its columns is chosen. Writing an interlock out as columns
// ("none", "only a", "only b", "both") makes every limit a plain sum over sets, and the relaxation (see relax.go) as
// tight as it can be for one cluster.
type model struct {
	p       *Problem
	rules   []rule
	values  [][]int64 // by level and item
	energy  []int64   // by item
	byID    []int     // items in the order of their ids
	options [][]int   // by item: phases that it may be put on; none if excluded

	large   []bool // by interlock: its cluster is too large to be written out
	capSets []capSet
	sets    [][]int32 // the items of each set; none for a cap set
	first   []int32   // by set: its first column; one more entry at the end
	setOf   []int32   // by item
	slot    []int32   // by item: its place in its set
	colSet  []int32   // by column
	colPick [][]int32 // by column and place in the set: phase or out
	rows    []row
}

// newModel builds the model. keepPhases says that the phase of an item matters even if no limit asks for it.
func newModel(p *Problem, keepPhases bool) *model {
	m := &model{p: p, rules: p.rules(), first: []int32{0}}
	m.energy = p.perItem(func(i int) float64 { return p.Items[i].EnergyWhPerDay })
	n := len(p.Items)
	m.byID = make([]int, n)
	m.options = make([][]int, n)
	for i := range p.Items {
		it := &p.Items[i]
		m.byID[i] = i
		if it.Rule == Exclude {
			continue
		}
		m.options[i] = []int{1}
		if len(it.Phases) > 0 {
			m.options[i] = slices.Sorted(slices.Values(it.Phases))
		}
		if !keepPhases && p.Limits.phases() == 0 {
			m.options[i] = m.options[i][:1] // all alike: the lowest is the answer
		}
	}
	slices.SortFunc(m.byID, func(a, b int) int { return cmp.Compare(p.Items[a].ID, p.Items[b].ID) })
	for l := range p.levels() {
		m.values = append(m.values, p.perItem(func(i int) float64 { return p.Items[i].value(l) }))
	}
	m.clusters()
	for r := range m.rules {
		rule := &m.rules[r]
		if rule.limit != noLimit {
			w := m.rowOf(rule, func(w *row, k int) { m.caps(rule, w, k) })
			w.pad(len(m.colSet))
			m.rows = append(m.rows, w)
		}
	}
	for i := range m.rows {
		m.rows[i].normalise(m.first)
	}
	return m
}

// clusters forms the sets: items joined by interlocks go together, in the order of their ids, so that nothing
// later depends on the order of the input. The items of a cluster that is too large to be written out stay single.
func (m *model) clusters() {
	n := len(m.p.Items)
	root := make([]int, n)
	for i := range root {
		root[i] = i
	}
	find := func(i int) int {
		for root[i] != i {
			root[i] = root[root[i]]
			i = root[i]
		}
		return i
	}
	for _, lock := range m.p.Interlocks {
		first := -1
		for _, i := range lock.Items {
			switch {
			case m.options[i] == nil:
			case first < 0:
				first = i
			default:
				root[find(i)] = find(first)
			}
		}
	}
	members := make([][]int32, n)
	states := make([]int, n)
	for _, i := range m.byID {
		r := find(i)
		members[r] = append(members[r], int32(i))
		states[r] = min(max(states[r], 1)*(len(m.options[i])+1), maxStates+1)
	}
	m.large = make([]bool, len(m.p.Interlocks))
	for k, lock := range m.p.Interlocks {
		for _, i := range lock.Items {
			m.large[k] = m.large[k] || m.options[i] != nil && states[find(i)] > maxStates
		}
	}
	m.setOf, m.slot = make([]int32, n), make([]int32, n)
	for _, i := range m.byID {
		r := find(i)
		switch {
		case states[r] > maxStates:
			m.addSet([]int32{int32(i)})
		case members[r][0] == int32(i): // the whole cluster with its first member
			m.addSet(members[r])
		}
	}
}

// addSet adds a set with a column for every way of choosing from the items that their rules allow.
func (m *model) addSet(items []int32) {
	for k, i := range items {
		m.setOf[i], m.slot[i] = int32(len(m.sets)), int32(k)
	}
	pick := make([]int32, len(items))
	var fill func(k int)
	fill = func(k int) {
		if k == len(items) {
			m.colSet = append(m.colSet, int32(len(m.sets)))
			m.colPick = append(m.colPick, slices.Clone(pick))
			return
		}
		if m.p.Items[items[k]].Rule != Include {
			pick[k] = out
			fill(k + 1)
		}
		for _, ph := range m.options[items[k]] {
			pick[k] = int32(ph)
			fill(k + 1)
		}
	}
	fill(0)
	m.sets = append(m.sets, items)
	m.first = append(m.first, int32(len(m.colSet)))
}

// sum returns the sum of by-item numbers for every column.
func (m *model) sum(byItem []int64) []int64 {
	coef := make([]int64, len(m.colSet))
	for j := range coef {
		for k, i := range m.sets[m.colSet[j]] {
			if m.colPick[j][k] != out {
				coef[j] += byItem[i]
			}
		}
	}
	return coef
}

// rowOf returns the row of a rule. Interlocks that are not large lie within one set; what is done with the others
// is up to the caller.
func (m *model) rowOf(r *rule, large func(w *row, k int)) row {
	w := row{limit: r.limit, coef: make([]int64, len(m.colSet))}
	if r.extra != nil {
		w.extra = make([]int64, len(m.colSet))
	}
	for j := range w.coef {
		for k, i := range m.sets[m.colSet[j]] {
			ph := int(m.colPick[j][k])
			if ph == out {
				continue
			}
			w.coef[j] += r.at(int(i), ph)
			if r.extra != nil {
				w.extra[j] = max(w.extra[j], r.extra[i])
			}
		}
	}
	if r.parts != nil {
		for k := range m.p.Interlocks {
			if m.large[k] {
				large(&w, k)
			} else {
				m.fold(r, &w, k)
			}
		}
	}
	return w
}

// fold makes of interlock k only the largest part count, in every column of its cluster.
func (m *model) fold(r *rule, w *row, k int) {
	lock := m.p.Interlocks[k].Items
	for _, i := range lock {
		if m.options[i] == nil {
			continue
		}
		g := m.setOf[i]
		for j := m.first[g]; j < m.first[g+1]; j++ {
			var sum, largest int64
			for at, i := range lock {
				if m.setOf[i] == g {
					part := r.partAt(k, at, int(m.colPick[j][m.slot[i]]))
					sum += part
					largest = max(largest, part)
				}
			}
			w.coef[j] += largest - sum
		}
		return // the cluster is one set
	}
}

// pad lengthens the row to n columns.
func (w *row) pad(n int) {
	w.coef = append(w.coef, make([]int64, n-len(w.coef))...)
	if w.extra != nil {
		w.extra = append(w.extra, make([]int64, n-len(w.extra))...)
	}
}

// met tells whether the columns, one a set, meet the row.
func (w *row) met(cols []int32) bool {
	var sum, extra int64
	for _, j := range cols {
		sum += w.coef[j]
		if w.extra != nil {
			extra = max(extra, w.extra[j])
		}
	}
	return sum+extra <= w.limit
}

// normalise takes off what the row loses in any case, so that every set has a column with coefficient 0, and lowers
// the limit to the next multiple of the greatest common divisor of the row's numbers.
func (w *row) normalise(first []int32) {
	for g := range len(first) - 1 {
		coef := w.coef[first[g]:first[g+1]]
		least := slices.Min(coef)
		w.limit -= least
		for j := range coef {
			coef[j] -= least
		}
	}
	g := gcd(w.coef...)
	if w.extra != nil {
		g = gcd(append([]int64{g}, w.extra...)...)
	}
	if g > 1 {
		rest := w.limit % g
		if rest < 0 {
			rest += g
		}
		w.limit -= rest
	}
}

// gcd returns the greatest common divisor of the numbers, 0 if all are 0.
func gcd(numbers ...int64) int64 {
	var g int64
	for _, x := range numbers {
		for x != 0 {
			g, x = x, g%x
		}
		if g == 1 || g == -1 {
			return 1
		}
	}
	return max(g, -g)
}

// phases writes the phases picked by the columns (one a set) into phase, by item.
func (m *model) phases(cols []int32, phase []int) {
	for g, j := range cols {
		for k, i := range m.sets[g] {
			phase[i] = int(m.colPick[j][k])
		}
	}
}
