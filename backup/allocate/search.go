package allocate

import (
	"math"
	"slices"
)

// A search looks for the best columns for one objective. A node is dropped only when whole numbers
// or a proven bound (see settle) show that nothing below it can be better; whether a candidate is good is decided
// by whole numbers alone. So the answer doesn't depend on the precision of the relaxation, only the speed does.
type search struct {
	*model
	relaxation
	cost  []int64 // by column: the objective
	grain int64   // all sums of cost differ by multiples of this
	unit  float64 // scaled cost 1
	group [][]int // by row of the relaxation: rows with the same coefficients, of which the tightest counts
	root  *frame
	queue queue

	best   []int32   // by set: the best columns so far; nil if there are none
	value  int64     // of best, or less than anything if there are none
	cutoff float64   // bounds below this are of no use
	reach  []float64 // by column: proven bound of all choices with this column, from the root
	open   float64   // when ended: the largest bound of what was not looked at
	nodes  int

	byColumn  []int64 // by column and row: the coefficients
	heavy     []bool  // by column: takes something of some row
	extraRows []int   // rows with extras

	judge func(cols []int32) bool // the caller's check of a set that meets all rows
	halt  func() bool             // counts a node, and tells whether to stop before it
	any   bool                    // the first improvement ends the search
	// unique: no other choice is as good as best. Looking for a second one costs little, and if there is none, the
	// objectives that come later have nothing to decide.
	unique bool
	ended  bool // by halt, by judge or because of any

	// Scratch.
	sum, top []int64   // by row: of the candidate
	cand     []int32   // by set
	slack    []int64   // by row: what the settled sets leave
	fraction []float64 // by set
	order    []int32
	want     []int32
	levels   []int64
}

// newSearch prepares a search among the allowed columns that improves on the incumbent (nil if there is none).
func newSearch(m *model, cost []int64, allowed []bool, incumbent []int32) *search {
	s := &search{model: m, cost: cost, grain: max(gcd(cost...), 1), unit: 1, open: math.Inf(-1)}
	for _, c := range cost {
		s.unit = max(s.unit, math.Abs(float64(c)))
	}
	s.group = m.groups()
	s.relaxation = s.relax()
	n := len(m.sets)
	s.sum, s.top = make([]int64, len(m.rows)), make([]int64, len(m.rows))
	s.cand, s.slack, s.fraction = make([]int32, n), make([]int64, len(m.rows)), make([]float64, n)
	s.columns()
	s.reach = make([]float64, len(cost))

	f := s.fresh()
	s.root = f
	f.allowed = slices.Clone(allowed)
	f.key = make([]int32, n)
	f.used, f.extra = make([]int64, len(m.rows)), make([]int64, len(m.rows))
	rows := s.relaxation.m
	f.basis, f.inverse, f.y = make([]int32, rows), make([]float64, rows*rows), make([]float64, rows)
	var low, high int64
	for g := range m.sets {
		f.active = append(f.active, int32(g))
		mine := cost[m.first[g]:m.first[g+1]]
		low += slices.Min(mine)
		high += slices.Max(mine)
	}
	f.bound = float64(high)/s.unit + proofTol*float64(n)
	s.slackBasis(f)
	// A capped interlock can be capped in several ways for one choice; so then nothing is said about uniqueness.
	s.unique = len(m.capSets) == 0
	if incumbent == nil {
		s.setValue(low - s.grain)
	} else {
		s.best = slices.Clone(incumbent)
		s.setValue(m.total(cost, incumbent))
	}
	for j := range s.reach {
		s.reach[j] = math.Inf(1)
	}
	return s
}

// columns lays the rows out by column.
func (s *search) columns() {
	rows := len(s.rows)
	s.byColumn = make([]int64, rows*len(s.cost))
	s.heavy = make([]bool, len(s.cost))
	for k := range s.rows {
		w := &s.rows[k]
		for j, c := range w.coef {
			s.byColumn[j*rows+k] = c
			s.heavy[j] = s.heavy[j] || c > 0 || w.extra != nil && w.extra[j] > 0
		}
		if w.extra != nil {
			s.extraRows = append(s.extraRows, k)
		}
	}
}

// setValue sets the value to improve on. As long as the best choice may be unique, its equals are of interest too.
func (s *search) setValue(value int64) {
	s.value = value
	s.cutoff = float64(value) / s.unit
	if !s.unique {
		s.cutoff = (float64(value) + float64(s.grain)) / s.unit
	}
}

// maxCuts is how many cuts, the latest, the relaxation knows; the others are left to propagate.
const maxCuts = 24

// groups puts rows with equal coefficients together: they differ only in their limits and extras.
func (m *model) groups() [][]int {
	var groups [][]int
	cuts := 0
	for i := range m.rows {
		if m.rows[i].cut {
			cuts++
		}
	}
next:
	for i := range m.rows {
		if m.rows[i].cut {
			if cuts--; cuts >= maxCuts {
				continue
			}
		}
		for g := range groups {
			if slices.Equal(m.rows[groups[g][0]].coef, m.rows[i].coef) {
				groups[g] = append(groups[g], i)
				continue next
			}
		}
		groups = append(groups, []int{i})
	}
	return groups
}

// relax builds the arrays of the relaxation.
func (s *search) relax() relaxation {
	n, rows := len(s.colSet), len(s.group)
	r := relaxation{
		m: rows, coef: make([]float64, n*rows), cost: make([]float64, n), scale: make([]float64, rows),
		rhs: make([]float64, rows), x: make([]float64, rows), w: make([]float64, rows), rho: make([]float64, rows),
		zero: make([]bool, n), t: make([]float64, n), tau: make([]float64, n), inBasis: make([]bool, n),
		slackIn: make([]bool, rows),
		basics:  make([]int32, len(s.sets)), keyValue: make([]float64, len(s.sets)), work: make([]float64, 2*rows*rows),
	}
	for j, c := range s.cost {
		r.cost[j] = float64(c) / s.unit
	}
	for i, group := range s.group {
		w := &s.rows[group[0]]
		r.scale[i] = 1
		for _, a := range w.coef {
			r.scale[i] = max(r.scale[i], math.Abs(float64(a)))
		}
		for j, a := range w.coef {
			r.coef[j*rows+i] = float64(a) / r.scale[i]
		}
	}
	for j := range r.zero {
		r.zero[j] = !slices.ContainsFunc(r.coef[j*rows:(j+1)*rows], func(a float64) bool { return a != 0 })
	}
	return r
}

// left returns what the settled sets leave of row i of the relaxation.
func (s *search) left(f *frame, i int) int64 {
	least := int64(math.MaxInt64)
	for _, k := range s.group[i] {
		least = min(least, s.rows[k].limit-f.extra[k]-f.used[k])
	}
	return least
}

// total returns the sum of cost over the columns chosen.
func (m *model) total(cost []int64, cols []int32) int64 {
	var sum int64
	for _, j := range cols {
		sum += cost[j]
	}
	return sum
}

// run searches from the root.
func (s *search) run() {
	if s.propagate(s.root) {
		s.explore(s.root)
	}
}

// explore searches below a frame, which it takes over. It follows the more promising side of each branch down, and
// goes on with the most promising open node from anywhere: so the tree hardly grows beyond what the proof needs,
// even if the first good set is found late. With too many nodes open it goes depth first, to bound the memory.
func (s *search) explore(f *frame) {
	for {
		if f == nil {
			if f = s.take(); f == nil {
				return
			}
		}
		if s.ended = s.ended || s.halt(); s.ended {
			s.open = math.Inf(-1)
			for ; f != nil; f = s.take() {
				s.open = max(s.open, f.bound)
				s.drop(f)
			}
			return
		}
		f = s.expand(f)
	}
}

// expand solves a node and divides it. It returns the side to go on with, or nil, and files the other side.
func (s *search) expand(f *frame) *frame {
	s.nodes++
	if !s.solve(f) {
		return s.drop(f)
	}
	s.candidates(f)
	if s.nodes == 1 {
		s.noteReach(f)
	}
	if s.ended {
		s.file(f, f.bound)
		return nil
	}
	if f.bound < s.cutoff {
		return s.drop(f)
	}
	s.fix(f)
	if !s.propagate(f) {
		return s.drop(f)
	}
	b, ok := s.branch(f)
	if !ok {
		s.only(f)
		s.offer(s.cand)
		return s.drop(f)
	}
	other := s.fresh()
	other.copyFrom(f)
	if b.apply(s, other, 1); s.propagate(other) {
		s.file(other, f.bound-b.loss)
	} else {
		s.drop(other)
	}
	if b.apply(s, f, 0); s.propagate(f) {
		return f
	}
	return s.drop(f)
}

// noteReach keeps the bound of each column at the root, to forbid columns when the value is known.
func (s *search) noteReach(f *frame) {
	for _, g := range f.active {
		for j := s.first[g]; j < s.first[g+1]; j++ {
			if f.allowed[j] {
				s.reach[j] = s.with(f, j)
			}
		}
	}
}

// with returns a proven bound of the choices below the node that hold column j: its reduced cost is lost, and what
// its extra takes off the limits.
func (s *search) with(f *frame, j int32) float64 {
	k := f.key[s.colSet[j]]
	if j == k || s.inBasis[j] {
		return f.bound
	}
	bound := f.bound + proofTol*(1+math.Abs(s.t[j])+math.Abs(s.t[k])) + min(0, s.t[j]-s.t[k])
	for i, y := range f.y {
		if y > 0 {
			bound -= y * s.squeeze(f, i, j)
		}
	}
	return bound
}

// fix forbids the columns that the bound rules out.
func (s *search) fix(f *frame) {
	for _, g := range f.active {
		for j := s.first[g]; j < s.first[g+1]; j++ {
			if f.allowed[j] && s.with(f, j) < s.cutoff {
				f.allowed[j] = false
			}
		}
	}
}

// squeeze returns by how much choosing column j lowers the limit of row i of the relaxation through its extra, scaled.
func (s *search) squeeze(f *frame, i int, j int32) float64 {
	now, then := int64(math.MaxInt64), int64(math.MaxInt64)
	for _, k := range s.group[i] {
		w := &s.rows[k]
		now = min(now, w.limit-f.extra[k]-f.used[k])
		extra := f.extra[k]
		if w.extra != nil {
			extra = max(extra, w.extra[j])
		}
		then = min(then, w.limit-extra-f.used[k])
	}
	return float64(now-then) / s.scale[i]
}
