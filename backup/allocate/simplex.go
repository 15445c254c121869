package allocate

import "math"

// start prepares the working arrays for the frame.
func (s *search) start(f *frame) {
	r := &s.relaxation
	for i := range r.slackIn {
		r.slackIn[i] = false
	}
	for _, g := range f.active {
		r.basics[g] = 0
		for j := s.first[g]; j < s.first[g+1]; j++ {
			r.inBasis[j] = false
		}
	}
	for _, j := range f.basis {
		if j < 0 {
			r.slackIn[^j] = true
			continue
		}
		r.inBasis[j] = true
		r.basics[s.colSet[j]]++
	}
	f.bound = s.prove(f, f.y)
	for _, g := range f.active {
		if !f.allowed[f.key[g]] && r.basics[g] == 0 {
			s.newKey(f, g)
		}
	}
	s.values(f)
}

// newKey replaces the key of a set that has no column in the basis by the best allowed one, which keeps the duals
// feasible.
func (s *search) newKey(f *frame, g int32) {
	f.key[g] = -1
	for j := s.first[g]; j < s.first[g+1]; j++ {
		if f.allowed[j] && (f.key[g] < 0 || s.t[j] > s.t[f.key[g]]) {
			f.key[g] = j
		}
	}
}

// values computes the values of the basis from the keys.
func (s *search) values(f *frame) {
	r := &s.relaxation
	for i := range r.m {
		r.rhs[i] = float64(s.left(f, i)) / r.scale[i]
	}
	for _, g := range f.active {
		k := int(f.key[g]) * r.m
		for i, a := range r.coef[k : k+r.m] {
			r.rhs[i] -= a
		}
	}
	for i := range r.m {
		var v float64
		for c, b := range f.inverse[i*r.m : (i+1)*r.m] {
			v += b * r.rhs[c]
		}
		r.x[i] = v
	}
}

// keyValues computes what is left of the one for the key of each set with columns in the basis.
func (s *search) keyValues(f *frame) {
	for _, j := range f.basis {
		if j >= 0 {
			s.keyValue[s.colSet[j]] = 1
		}
	}
	for i, j := range f.basis {
		if j >= 0 {
			s.keyValue[s.colSet[j]] -= s.x[i]
		}
	}
}

// leaving picks the row of the basis that breaks its bounds worst, measured against the length of its row of the
// inverse (steepest edge), and whether it must come down from above. It returns -1 if none does. A key that
// breaks its bounds changes places with a basic column of its set first.
func (s *search) leaving(f *frame) (leave int, above bool) {
	r := &s.relaxation
	s.keyValues(f)
	leave = -1
	var worst float64
	var swap bool
	for i, j := range f.basis {
		broken, fromAbove, isKey := -r.x[i], false, false
		if j >= 0 {
			k := f.key[s.colSet[j]]
			v := r.keyValue[s.colSet[j]]
			if !f.allowed[j] && r.x[i] > broken {
				broken, fromAbove = r.x[i], true
			}
			if -v > broken && v < 0 {
				broken, fromAbove, isKey = -v, false, true
			}
			if !f.allowed[k] && v > broken && v > 0 {
				broken, fromAbove, isKey = v, true, true
			}
		}
		if broken <= primalTol {
			continue
		}
		var length float64
		for _, b := range f.inverse[i*r.m : (i+1)*r.m] {
			length += b * b
		}
		if score := broken * broken / length; score > worst {
			leave, worst, above, swap = i, score, fromAbove, isKey
		}
	}
	if leave >= 0 && swap {
		s.swapKey(f, leave)
	}
	return leave, above
}

// swapKey makes the basic column of row i the key of its set, and puts the former key in its place.
func (s *search) swapKey(f *frame, i int) {
	r := &s.relaxation
	j := f.basis[i]
	g := s.colSet[j]
	k := f.key[g]
	mine := f.inverse[i*r.m : (i+1)*r.m]
	if r.basics[g] > 1 {
		for o, other := range f.basis {
			if o != i && other >= 0 && s.colSet[other] == g {
				for c, b := range f.inverse[o*r.m : (o+1)*r.m] {
					mine[c] += b
				}
			}
		}
	}
	for c := range mine {
		mine[c] = -mine[c]
	}
	for c := range r.m {
		r.rhs[c] += r.coef[int(k)*r.m+c] - r.coef[int(j)*r.m+c]
	}
	r.x[i] = r.keyValue[g]
	f.basis[i], f.key[g] = k, j
	r.inBasis[j], r.inBasis[k] = false, true
}

// none is no entering column; slacks are ^row.
const none = math.MinInt32

// entering picks what takes the place of the leaving row so that the duals stay feasible (of equals the largest
// entry, for precision), and how far they move along that row. It leaves the row in rho and its entries in tau.
func (s *search) entering(f *frame, leave int, above bool) (enter int32, step float64) {
	r := &s.relaxation
	sign := 1.0
	if above {
		sign = -1
	}
	s.entries(f, leave)
	enter = none
	ratio, alpha := math.Inf(1), 0.0
	for _, e := range r.nonzero {
		if a := e.value * sign; a < -pivotTol && !r.slackIn[e.at] {
			if q := f.y[e.at] / -a; q < ratio-1e-12 || q <= ratio+1e-12 && a < alpha {
				enter, alpha, ratio = ^e.at, a, min(q, ratio)
			}
		}
	}
	for _, g := range f.active {
		k := f.key[g]
		tk, tauk := r.t[k], r.tau[k]
		for j := s.first[g]; j < s.first[g+1]; j++ {
			a := (r.tau[j] - tauk) * sign
			if a > -pivotTol || !f.allowed[j] || j == k || r.inBasis[j] {
				continue
			}
			if q := max(0, tk-r.t[j]) / -a; q < ratio-1e-12 || q <= ratio+1e-12 && a < alpha {
				enter, alpha, ratio = j, a, min(q, ratio)
			}
		}
	}
	return enter, ratio * sign
}

// entries puts row i of the inverse into rho and nonzero, and rho times each column that matters into tau.
func (s *search) entries(f *frame, i int) {
	r := &s.relaxation
	copy(r.rho, f.inverse[i*r.m:(i+1)*r.m])
	r.nonzero = r.nonzero[:0]
	for c, v := range r.rho {
		if v > 1e-13 || v < -1e-13 {
			r.nonzero = append(r.nonzero, entry{int32(c), v})
		}
	}
	for _, g := range f.active {
		for j := s.first[g]; j < s.first[g+1]; j++ {
			if !r.zero[j] && (f.allowed[j] || r.inBasis[j] || j == f.key[g]) {
				r.tau[j] = r.dot(j)
			}
		}
	}
}

// pivot puts enter in the place of the leaving row. step is how far the duals move along rho. It returns by how
// much the bound falls.
func (s *search) pivot(f *frame, leave int, enter int32, step float64) float64 {
	s.column(f, enter)
	gain := -step * s.x[leave]
	s.eliminate(f, leave)
	if step != 0 {
		s.moveDuals(f, step)
	}
	s.swap(f, leave, enter)
	f.age++
	return gain
}

// column puts the inverse times the entering column into w.
func (s *search) column(f *frame, enter int32) {
	r := &s.relaxation
	m := r.m
	if enter < 0 {
		for i := range m {
			r.w[i] = f.inverse[i*m+int(^enter)]
		}
		return
	}
	k := int(f.key[s.colSet[enter]]) * m
	a, b := r.coef[int(enter)*m:int(enter+1)*m], r.coef[k:k+m]
	for i := range m {
		var v float64
		for c, inv := range f.inverse[i*m : (i+1)*m] {
			v += inv * (a[c] - b[c])
		}
		r.w[i] = v
	}
}

// eliminate makes the column in w a unit column of the leaving row, in the inverse and in the values.
func (s *search) eliminate(f *frame, leave int) {
	r := &s.relaxation
	m := r.m
	alpha := r.w[leave]
	moved := r.x[leave] / alpha
	mine := f.inverse[leave*m : (leave+1)*m]
	for c := range mine {
		mine[c] /= alpha
	}
	for i, w := range r.w {
		if i == leave || w == 0 {
			continue
		}
		r.x[i] -= moved * w
		row := f.inverse[i*m : (i+1)*m]
		for c, b := range mine {
			row[c] -= w * b
		}
	}
	r.x[leave] = moved
}

// moveDuals moves the duals along rho, and with them what each column costs. Columns that do not matter hold old
// numbers, which are never read.
func (s *search) moveDuals(f *frame, step float64) {
	r := &s.relaxation
	for _, e := range r.nonzero {
		f.y[e.at] += step * e.value
	}
	for _, g := range f.active {
		for j := s.first[g]; j < s.first[g+1]; j++ {
			r.t[j] -= step * r.tau[j]
		}
	}
}

// swap notes that enter is in the basis and what was in the leaving row is not.
func (s *search) swap(f *frame, leave int, enter int32) {
	r := &s.relaxation
	old := f.basis[leave]
	f.basis[leave] = enter
	if old < 0 {
		r.slackIn[^old] = false
	} else {
		r.inBasis[old] = false
		r.basics[s.colSet[old]]--
	}
	if enter < 0 {
		r.slackIn[^enter] = true
	} else {
		r.inBasis[enter] = true
		r.basics[s.colSet[enter]]++
	}
	if old < 0 {
		return
	}
	// A forbidden key that has lost its last partner in the basis would stay for good.
	if g := s.colSet[old]; r.basics[g] == 0 && !f.allowed[f.key[g]] {
		s.newKey(f, g)
		s.values(f)
	}
}

// refactor computes the inverse, the duals and the values afresh from the basis. It returns false if the basis
// is singular.
func (s *search) refactor(f *frame) bool {
	s.basisBesideIdentity(f)
	if !reduce(s.work, s.m) {
		return false
	}
	m := s.m
	for i := range m {
		copy(f.inverse[i*m:(i+1)*m], s.work[i*2*m+m:(i+1)*2*m])
	}
	s.duals(f)
	f.bound = s.prove(f, f.y)
	s.values(f)
	f.age = 0
	return true
}

// basisBesideIdentity fills work with [basis | identity], row by row.
func (s *search) basisBesideIdentity(f *frame) {
	r := &s.relaxation
	m, work := r.m, r.work
	clear(work[:2*m*m])
	for i := range m {
		work[i*2*m+m+i] = 1
	}
	for c, j := range f.basis {
		if j < 0 {
			work[int(^j)*2*m+c] = 1
			continue
		}
		k := f.key[s.colSet[j]]
		for i := range m {
			work[i*2*m+c] = r.coef[int(j)*m+i] - r.coef[int(k)*m+i]
		}
	}
}

// reduce turns [basis | identity] of m rows into [identity | inverse], by Gauss-Jordan elimination with row exchanges.
// It returns false if the basis is singular.
func reduce(work []float64, m int) bool {
	for c := range m {
		best := c
		for i := c + 1; i < m; i++ {
			if math.Abs(work[i*2*m+c]) > math.Abs(work[best*2*m+c]) {
				best = i
			}
		}
		pivot := work[best*2*m+c]
		if !(math.Abs(pivot) > pivotTol) {
			return false
		}
		a, b := work[c*2*m:(c+1)*2*m], work[best*2*m:(best+1)*2*m]
		for q := range a {
			a[q], b[q] = b[q], a[q]
		}
		for q := range a {
			a[q] /= pivot
		}
		for i := range m {
			if i == c || work[i*2*m+c] == 0 {
				continue
			}
			v := work[i*2*m+c]
			row := work[i*2*m : (i+1)*2*m]
			for q := range row {
				row[q] -= v * a[q]
			}
		}
	}
	return true
}

// duals are the cost of the basis times the inverse, none below 0.
func (s *search) duals(f *frame) {
	r := &s.relaxation
	clear(f.y)
	for i, j := range f.basis {
		if j < 0 {
			continue
		}
		v := r.cost[j] - r.cost[f.key[s.colSet[j]]]
		for c, b := range f.inverse[i*r.m : (i+1)*r.m] {
			f.y[c] += v * b
		}
	}
	for c, y := range f.y {
		f.y[c] = max(0, y)
	}
}

// restart goes back to the basis of slacks.
func (s *search) restart(f *frame) {
	s.slackBasis(f)
	s.start(f)
}

// slackBasis makes the slacks the basis and the dearest column of each set its key.
func (s *search) slackBasis(f *frame) {
	m := s.relaxation.m
	clear(f.y)
	clear(f.inverse)
	for i := range m {
		f.basis[i] = int32(^i)
		f.inverse[i*m+i] = 1
	}
	for _, g := range f.active {
		f.key[g] = -1
		for j := s.first[g]; j < s.first[g+1]; j++ {
			if f.allowed[j] && (f.key[g] < 0 || s.cost[j] > s.cost[f.key[g]]) {
				f.key[g] = j
			}
		}
	}
	f.age = 0
}
