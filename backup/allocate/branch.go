package allocate

import (
	"math"
	"slices"
)

// A branch divides a node in two. Side 0 is searched first.
type branch struct {
	// By the extras of a row: on the low side only columns below level, on the high side at least level is lost.
	row   int // -1: by a set
	level int64
	// By a set: on the low side the columns with the same pick at slot as column; without items, those up to column.
	set, column, slot int32
	flip              bool    // side 0 is the high one
	loss              float64 // estimate of how much the bound falls on side 1
}

// inPart tells whether column j of the branch's set is on the low side.
func (b *branch) inPart(m *model, j int32) bool {
	if m.colPick[j] == nil {
		return j <= b.column
	}
	return m.colPick[j][b.slot] == m.colPick[b.column][b.slot]
}

// apply narrows the child to one side.
func (b *branch) apply(s *search, child *frame, side int) {
	low := (side == 0) != b.flip
	if b.row < 0 {
		for j := s.first[b.set]; j < s.first[b.set+1]; j++ {
			if b.inPart(s.model, j) != low {
				child.allowed[j] = false
			}
		}
		return
	}
	if !low {
		child.extra[b.row] = max(child.extra[b.row], b.level)
		return
	}
	extra := s.rows[b.row].extra
	for _, g := range child.active {
		for j := s.first[g]; j < s.first[g+1]; j++ {
			if extra[j] >= b.level {
				child.allowed[j] = false
			}
		}
	}
}

// branch says how to divide a node whose relaxation is solved. It returns false if every set has one column left.
func (s *search) branch(f *frame) (branch, bool) {
	s.keyValues(f)
	if b, ok := s.branchExtra(f); ok {
		return b, true
	}
	if b, ok := s.branchFraction(f); ok {
		return b, true
	}
	// The relaxation is whole, but its candidate was refused or is not the best of this node.
	for _, g := range f.active {
		k := f.key[g]
		for j := s.first[g]; j < s.first[g+1]; j++ {
			if !f.allowed[j] || j == k {
				continue
			}
			if !f.allowed[k] {
				k = j
				continue
			}
			b := branch{row: -1, set: g}
			s.divide(&b, k, j)
			return b, true
		}
	}
	return branch{}, false
}

// divide sets column and slot so that columns a and c come to lie on different sides.
func (s *search) divide(b *branch, a, c int32) {
	b.column = c
	if s.colPick[a] == nil {
		b.column = min(a, c)
		return
	}
	for k, pick := range s.colPick[c] {
		if pick != s.colPick[a][k] {
			b.slot = int32(k)
			return
		}
	}
}

// branchExtra looks for a row with extras that the relaxation breaks, because it counts only the extra that is
// there in any case.
func (s *search) branchExtra(f *frame) (branch, bool) {
	for i, group := range s.group {
		for _, k := range group {
			if s.rows[k].extra == nil {
				continue
			}
			s.tooLarge(f, s.rows[k].extra, s.roomForExtra(f, i, k))
			if len(s.levels) == 0 {
				continue
			}
			slices.Sort(s.levels)
			if level := s.levels[len(s.levels)/2]; level > f.extra[k] {
				return branch{row: k, level: level}, true
			}
		}
	}
	return branch{}, false
}

// roomForExtra is what the relaxation leaves of row k, one of group i, for its extra.
func (s *search) roomForExtra(f *frame, i, k int) float64 {
	room := float64(s.rows[k].limit - f.used[k])
	for _, g := range f.active {
		room -= s.coefAt(f.key[g], i) * s.scale[i]
	}
	for at, j := range f.basis {
		if j >= 0 {
			room -= s.x[at] * (s.coefAt(j, i) - s.coefAt(f.key[s.colSet[j]], i)) * s.scale[i]
		}
	}
	return room + primalTol*s.scale[i]
}

// tooLarge collects the extras of the columns that the relaxation takes, whole or in part, for which there is no room.
func (s *search) tooLarge(f *frame, extra []int64, room float64) {
	s.levels = s.levels[:0]
	for _, g := range f.active {
		if j := f.key[g]; f.allowed[j] && float64(extra[j]) > room && (s.basics[g] == 0 || s.keyValue[g] > primalTol) {
			s.levels = append(s.levels, extra[j])
		}
	}
	for at, j := range f.basis {
		if j >= 0 && f.allowed[j] && float64(extra[j]) > room && s.x[at] > primalTol {
			s.levels = append(s.levels, extra[j])
		}
	}
}

func (s *search) coefAt(j int32, i int) float64 { return s.coef[int(j)*s.relaxation.m+i] }

// branchFraction picks the fraction whose two sides lower the bound most, by the first step that the dual
// simplex method would take on each. The side that keeps more goes first.
func (s *search) branchFraction(f *frame) (branch, bool) {
	best, bestScore := branch{row: -1}, -1.0
	for i, j := range f.basis {
		if j < 0 || s.x[i] < 1e-6 || s.x[i] > 1-1e-6 || !f.allowed[j] || !f.allowed[f.key[s.colSet[j]]] {
			continue
		}
		down, up := s.penalties(f, i)
		if score := max(down, 1e-9) * max(up, 1e-9); score > bestScore {
			g := s.colSet[j]
			best = branch{row: -1, set: g}
			s.divide(&best, f.key[g], j)
			best.flip = (down < up) == best.inPart(s.model, j)
			best.loss = min(max(down, up), 1e9)
			bestScore = score
		}
	}
	return best, bestScore >= 0
}

// penalties returns by how much the bound falls at least when the column in row i of the basis is
// driven to 0 and to 1.
func (s *search) penalties(f *frame, i int) (down, up float64) {
	s.entries(f, i)
	minDown, minUp := math.Inf(1), math.Inf(1)
	for _, e := range s.nonzero {
		switch {
		case s.slackIn[e.at]:
		case e.value > pivotTol:
			minDown = min(minDown, f.y[e.at]/e.value)
		case e.value < -pivotTol:
			minUp = min(minUp, f.y[e.at]/-e.value)
		}
	}
	for _, g := range f.active {
		k := f.key[g]
		for j := s.first[g]; j < s.first[g+1]; j++ {
			if !f.allowed[j] || j == k || s.inBasis[j] {
				continue
			}
			d := max(0, s.t[k]-s.t[j])
			if a := s.tau[j] - s.tau[k]; a > pivotTol {
				minDown = min(minDown, d/a)
			} else if a < -pivotTol {
				minUp = min(minUp, d/-a)
			}
		}
	}
	return s.x[i] * minDown, (1 - s.x[i]) * minUp
}
