package allocate

import "math"

// Tolerances of the relaxation. None of them decides what is cut off: see settle.
const (
	primalTol = 1e-7 // rows are scaled so that their numbers are at most about 1
	pivotTol  = 1e-9
	proofTol  = 1e-12 // relative rounding error granted to a bound: sums of some thousand terms in double precision
)

// A relaxation is the linear program behind the bounds: columns may be chosen in fractions, one in all for each
// set. It is solved by the dual simplex method with generalised upper bounding (Dantzig and Van Slyke, "Generalized
// upper bounding techniques", J. Computer and System Sciences 1, 1967; memory): the condition of a set costs no row,
// because one of its columns, the key, takes up what the others leave of the one. So the basis has only as many rows
// as there are limits, about ten, however many circuits there are.
type relaxation struct {
	m        int       // rows
	coef     []float64 // by column and row, scaled
	cost     []float64 // by column, scaled
	scale    []float64 // by row: what one unit of it is in millionths
	rhs      []float64 // by row: what the settled sets and the keys leave of the limit
	x        []float64 // by row: value of its basic column or slack
	t        []float64 // by column: cost less the duals' price of it
	tau      []float64 // by column: the leaving row's entries
	w        []float64 // entering column in terms of the basis
	rho      []float64 // the leaving row of the inverse
	nonzero  []entry   // what is not zero of rho, or of the duals
	zero     []bool    // by column: all coefficients are 0
	inBasis  []bool    // by column
	basics   []int32   // by set: number of its columns in the basis
	keyValue []float64 // by set with columns in the basis
	slackIn  []bool    // by row: its slack is basic
	work     []float64 // for refactoring
}

// A frame is a node of the search tree: what is still allowed, and the basis to start from.
type frame struct {
	bound   float64 // proven: no set below this node is worth more; in scaled cost
	promise float64 // an estimate of the same, for the order of search
	number  int     // in order of filing
	allowed []bool  // by column
	key     []int32 // by set
	active  []int32 // sets that are not settled
	used    []int64 // by row of the search: what the settled sets take
	cost    int64   // of the settled sets
	extra   []int64 // by row of the search: the largest extra is at least this
	basis   []int32 // by row of the relaxation: column, or ^row for a slack
	inverse []float64
	y       []float64 // duals
	age     int       // pivots since the inverse was made afresh
}

// solve solves the relaxation of a node from the basis that its frame holds. It returns false if the node
// can be dropped; else x, t and the frame's basis and bound describe the optimum (or, should numbers go astray, at
// least a proven bound).
func (s *search) solve(f *frame) bool {
	r := &s.relaxation
	s.start(f)
	for range 200 + 20*len(f.active) {
		leave, above := s.leaving(f)
		if leave < 0 {
			break
		}
		enter, along := s.entering(f, leave, above)
		if enter == none {
			// Along this row the duals can go on without end, unless rounding fooled us.
			step := 1.0
			if above {
				step = -1
			}
			for range 60 {
				step *= 4
				for i := range r.m {
					r.w[i] = max(0, f.y[i]+step*r.rho[i])
				}
				if s.prove(f, r.w) < s.cutoff {
					return false
				}
			}
			break
		}
		gain := s.pivot(f, leave, enter, along)
		if f.bound -= gain; f.bound < s.cutoff && s.settle(f) {
			return false
		}
		if f.age >= 24 && !s.refactor(f) {
			s.restart(f)
		}
	}
	return !s.settle(f)
}

// settle replaces the bound by one that is proven, whatever the simplex method did: any duals that are not
// negative give one, and its rounding error is added. It tells whether the node can be dropped.
func (s *search) settle(f *frame) bool {
	for i, y := range f.y {
		if !(y > 0) { // NaN as well
			f.y[i] = 0
		}
	}
	f.bound = s.prove(f, f.y)
	return f.bound < s.cutoff
}

// prove returns the Lagrangian bound of the duals y, rounding error included, and leaves the prices in t. No
// coefficient and no cost is above 1, so that the sizes of all terms are easily bounded.
func (s *search) prove(f *frame, y []float64) float64 {
	r := &s.relaxation
	bound := float64(f.cost) / s.unit
	size := math.Abs(bound)
	var sum float64
	r.nonzero = r.nonzero[:0]
	for i, yi := range y {
		if yi != 0 {
			r.nonzero = append(r.nonzero, entry{int32(i), yi})
			v := yi * (float64(s.left(f, i)) / r.scale[i])
			bound += v
			size += math.Abs(v)
			sum += yi
		}
	}
	for _, g := range f.active {
		best := math.Inf(-1)
		for j := s.first[g]; j < s.first[g+1]; j++ {
			t := r.cost[j]
			if !r.zero[j] {
				if !f.allowed[j] && !r.inBasis[j] && j != f.key[g] {
					continue
				}
				t -= r.dot(j)
			}
			r.t[j] = t
			if f.allowed[j] && t > best {
				best = t
			}
		}
		bound += best
	}
	return bound + proofTol*(size+float64(len(f.active))*(1+sum))
}

// An entry is one number of a sparse vector.
type entry struct {
	at    int32
	value float64
}

// dot returns the product of the entries in nonzero with column j.
func (r *relaxation) dot(j int32) (v float64) {
	coef := r.coef[int(j)*r.m : int(j+1)*r.m]
	for _, e := range r.nonzero {
		v += e.value * coef[e.at]
	}
	return v
}

// copyFrom makes f a copy of the parent.
func (f *frame) copyFrom(parent *frame) {
	f.bound, f.cost, f.age = parent.bound, parent.cost, parent.age
	f.allowed = append(f.allowed[:0], parent.allowed...)
	f.key = append(f.key[:0], parent.key...)
	f.active = append(f.active[:0], parent.active...)
	f.used = append(f.used[:0], parent.used...)
	f.extra = append(f.extra[:0], parent.extra...)
	f.basis = append(f.basis[:0], parent.basis...)
	f.inverse = append(f.inverse[:0], parent.inverse...)
	f.y = append(f.y[:0], parent.y...)
}
