package allocate

import "math"

// propagate forbids columns that don't fit and settles sets that have one column left, in whole numbers, until
// nothing changes. It returns false if no choice is left for some set or some row is broken in any case.
func (s *search) propagate(f *frame) bool {
	for {
		changed := false
		for k := range s.rows {
			w := &s.rows[k]
			if w.extra != nil {
				s.raiseExtra(f, k)
			}
			slack := w.limit - f.used[k] - f.extra[k]
			for _, g := range f.active { // the smallest coefficients are there in any case
				least := int64(math.MaxInt64)
				for j := s.sets[g].first; j < s.sets[g].last; j++ {
					if f.allowed[j] {
						least = min(least, w.coef[j])
					}
				}
				s.least[g] = least
				slack -= least
			}
			if slack < 0 {
				return false
			}
			for _, g := range f.active {
				for j := s.sets[g].first; j < s.sets[g].last; j++ {
					more := w.coef[j] - s.least[g]
					if w.extra != nil {
						more += max(0, w.extra[j]-f.extra[k])
					}
					if more > slack && f.allowed[j] {
						f.allowed[j] = false
						changed = true
					}
				}
			}
		}
		if !s.compact(f) {
			return false
		}
		if !changed {
			return true
		}
	}
}

// raiseExtra raises the extra of row k to what some set brings in any case.
func (s *search) raiseExtra(f *frame, k int) {
	extra := s.rows[k].extra
	for _, g := range f.active {
		least := int64(math.MaxInt64)
		for j := s.sets[g].first; j < s.sets[g].last && least > f.extra[k]; j++ {
			if f.allowed[j] {
				least = min(least, extra[j])
			}
		}
		f.extra[k] = max(f.extra[k], least)
	}
}

// compact moves sets with one allowed column from the active ones to the settled ones. A set with columns in the
// basis has to wait until they have left it. compact returns false if a set has no column left.
func (s *search) compact(f *frame) bool {
	kept := f.active[:0]
	for _, g := range f.active {
		count, only := 0, int32(-1)
		for j := s.sets[g].first; j < s.sets[g].last; j++ {
			if f.allowed[j] {
				count++
				only = j
			}
		}
		if count == 0 {
			return false
		}
		if count > 1 || s.hasBasic(f, g) {
			kept = append(kept, g)
			continue
		}
		f.key[g] = only
		f.cost += s.cost[only]
		for k := range s.rows {
			w := &s.rows[k]
			f.used[k] += w.coef[only]
			if w.extra != nil {
				f.extra[k] = max(f.extra[k], w.extra[only])
			}
		}
	}
	f.active = kept
	return true
}

func (s *search) hasBasic(f *frame, g int32) bool {
	for _, j := range f.basis {
		if j >= 0 && s.colSet[j] == g {
			return true
		}
	}
	return false
}
