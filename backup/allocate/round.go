package allocate

import (
	"cmp"
	"slices"
)

// only puts the one allowed column of each set into the candidate.
func (s *search) only(f *frame) {
	copy(s.cand, f.key)
	for _, g := range f.active {
		s.cand[g] = s.firstAllowed(f, g)
	}
}

// firstAllowed returns the set's first allowed column, which takes the least: see addSet.
func (s *search) firstAllowed(f *frame, g int32) int32 {
	for j := s.first[g]; j < s.first[g+1]; j++ {
		if f.allowed[j] {
			return j
		}
	}
	panic("allocate: a set without an allowed column") // propagate has dropped such nodes
}

// candidates offers what the solved relaxation suggests: itself if it is whole, else a rounding.
func (s *search) candidates(f *frame) {
	copy(s.cand, f.key)
	s.keyValues(f)
	s.order = s.order[:0] // sets with columns in the basis
	for _, j := range f.basis {
		if j >= 0 {
			g := s.colSet[j]
			if !slices.Contains(s.order, g) {
				s.order = append(s.order, g)
			}
			s.fraction[g] = s.keyValue[g]
		}
	}
	for i, j := range f.basis {
		if j >= 0 && s.x[i] > s.fraction[s.colSet[j]] {
			g := s.colSet[j]
			s.cand[g], s.fraction[g] = j, s.x[i]
		}
	}
	whole := true
	for _, g := range s.order {
		whole = whole && s.fraction[g] > 1-1e-6
	}
	for _, g := range f.active { // should the simplex method have given up early
		whole = whole && f.allowed[s.cand[g]]
	}
	switch {
	case whole:
		s.offer(s.cand)
	case s.nodes < 50 || s.nodes%16 == 0:
		s.round(f)
	}
}

// round makes a candidate that fits: what the relaxation chooses whole, then its fractions, the largest first,
// then whatever still fits, the smallest loss in reduced cost first.
func (s *search) round(f *frame) {
	slices.SortFunc(s.order, func(a, b int32) int {
		return cmp.Or(cmp.Compare(s.fraction[b], s.fraction[a]), cmp.Compare(a, b))
	})
	s.want = s.want[:0]
	for _, g := range s.order {
		s.want = append(s.want, s.cand[g])
		s.cand[g] = s.firstAllowed(f, g)
	}
	copy(s.sum, f.used)
	copy(s.top, f.extra)
	for _, g := range f.active {
		if !f.allowed[s.cand[g]] {
			s.cand[g] = s.firstAllowed(f, g)
		}
		s.add(s.cand[g])
	}
	for n, g := range s.order {
		if f.allowed[s.want[n]] {
			s.exchange(g, s.want[n])
		}
	}
	s.order = append(s.order[:0], f.active...)
	for _, g := range f.active {
		loss := 1e300 // of the dearest column that isn't taken yet
		for j := s.first[g]; j < s.first[g+1]; j++ {
			if f.allowed[j] && s.cost[j] > s.cost[s.cand[g]] {
				loss = min(loss, s.t[f.key[g]]-s.t[j])
			}
		}
		s.fraction[g] = loss
	}
	slices.SortFunc(s.order, func(a, b int32) int {
		return cmp.Or(cmp.Compare(s.fraction[a], s.fraction[b]), cmp.Compare(a, b))
	})
	for _, g := range s.order {
		for j := s.first[g]; j < s.first[g+1]; j++ {
			if f.allowed[j] && s.cost[j] > s.cost[s.cand[g]] {
				s.exchange(g, j)
			}
		}
	}
	s.offer(s.cand)
}

// add counts column j in sum and top.
func (s *search) add(j int32) {
	for k := range s.rows {
		w := &s.rows[k]
		s.sum[k] += w.coef[j]
		if w.extra != nil {
			s.top[k] = max(s.top[k], w.extra[j])
		}
	}
}

// exchange puts column j into the candidate if every row still holds. The extra of the column that goes is kept
// in top, which may refuse more than it must.
func (s *search) exchange(g, j int32) {
	old := s.cand[g]
	for k := range s.rows {
		w := &s.rows[k]
		sum := s.sum[k] + w.coef[j] - w.coef[old]
		if w.extra != nil {
			sum += max(s.top[k], w.extra[j])
		}
		if sum > w.limit {
			return
		}
	}
	s.cand[g] = j
	for k := range s.rows {
		s.sum[k] -= s.rows[k].coef[old]
	}
	s.add(j)
}

// offer takes a candidate if it is better than the best one, meets every row and passes the caller's check. One
// that is as good shows that the best one is not unique.
func (s *search) offer(cols []int32) {
	value := s.total(s.cost, cols)
	tie := s.unique && value == s.value && !slices.Equal(cols, s.best)
	if value <= s.value && !tie || !s.meets(cols) || s.judge != nil && !s.judge(cols) {
		return
	}
	if s.unique = !tie; tie {
		s.setValue(value)
		return
	}
	s.best = append(s.best[:0], cols...)
	s.setValue(value)
	s.ended = s.ended || s.any
}

// meets tells whether the columns meet every row, in whole numbers.
func (m *model) meets(cols []int32) bool {
	for k := range m.rows {
		if !m.rows[k].met(cols) {
			return false
		}
	}
	return true
}
