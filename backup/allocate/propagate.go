package allocate

// propagate forbids columns that don't fit and settles sets that have one column left, in whole numbers, until nothing
// changes. It returns false if no choice is left for some set or some row is broken in any case. As every set has a
// column with coefficient 0 in each row (see normalise), what the settled sets leave is there for each column.
func (s *search) propagate(f *frame) bool {
	rows := len(s.rows)
	for {
		for k := range s.rows {
			s.slack[k] = s.rows[k].limit - f.used[k] - f.extra[k]
			if s.slack[k] < 0 {
				return false
			}
		}
		settled := false
		kept := f.active[:0]
		for _, g := range f.active {
			count, only := 0, int32(0)
			for j := s.first[g]; j < s.first[g+1]; j++ {
				if !f.allowed[j] {
					continue
				}
				if s.heavy[j] && !s.fits(f, s.byColumn[int(j)*rows:int(j+1)*rows], j) {
					f.allowed[j] = false
					continue
				}
				count++
				only = j
			}
			switch {
			case count == 0:
				return false
			case count > 1 || s.hasBasic(f, g): // columns in the basis have to leave it first
				kept = append(kept, g)
			default:
				f.key[g] = only
				s.settleSet(f, only)
				settled = settled || s.heavy[only]
			}
		}
		f.active = kept
		if !settled {
			return true
		}
	}
}

// fits tells whether column j, whose coefficients are given, fits into what the settled sets leave.
func (s *search) fits(f *frame, coef []int64, j int32) bool {
	for k, c := range coef {
		if c > s.slack[k] {
			return false
		}
	}
	for _, k := range s.extraRows {
		if over := s.rows[k].extra[j] - f.extra[k]; over > 0 && coef[k]+over > s.slack[k] {
			return false
		}
	}
	return true
}

// settleSet counts the one column that is left of a set.
func (s *search) settleSet(f *frame, j int32) {
	f.cost += s.cost[j]
	rows := len(s.rows)
	for k, c := range s.byColumn[int(j)*rows : int(j+1)*rows] {
		f.used[k] += c
	}
	for _, k := range s.extraRows {
		f.extra[k] = max(f.extra[k], s.rows[k].extra[j])
	}
}

func (s *search) hasBasic(f *frame, g int32) bool {
	for _, j := range f.basis {
		if j >= 0 && s.colSet[j] == g {
			return true
		}
	}
	return false
}
