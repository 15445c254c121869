package allocate

import "slices"

// A capSet is the set of levels that a large interlock may be capped at in one or more rules.
type capSet struct {
	lock   int
	parts  []int64 // by member and option
	levels []int64 // by column, from first
	first  int32
}

// caps does for a large interlock what fold does for a small one, without a column for every subset. The part of
// each member is taken out of the row; a new set of columns, one for each level that the interlock may be capped
// at, counts instead, and a member may be chosen only under a cap of at least its part.
func (m *model) caps(r *rule, w *row, k int) {
	c := m.capSet(r, k)
	w.pad(len(m.colSet))
	for at, level := range c.levels {
		w.coef[int(c.first)+at] = level
	}
	m.uncount(r, w, k)
}

// uncount takes the parts of interlock k out of the row.
func (m *model) uncount(r *rule, w *row, k int) {
	for at, i := range m.p.Interlocks[k].Items {
		if m.options[i] == nil {
			continue
		}
		g := m.setOf[i]
		for j := m.first[g]; j < m.first[g+1]; j++ {
			w.coef[j] -= r.partAt(k, at, int(m.colPick[j][m.slot[i]]))
		}
	}
}

// capSet returns the levels of interlock k under the rule. Rules that see the same parts share them.
func (m *model) capSet(r *rule, k int) *capSet {
	var parts []int64
	lock := m.p.Interlocks[k].Items
	for at, i := range lock {
		for _, ph := range m.options[i] {
			parts = append(parts, r.partAt(k, at, ph))
		}
	}
	for c := range m.capSets {
		if m.capSets[c].lock == k && slices.Equal(m.capSets[c].parts, parts) {
			return &m.capSets[c]
		}
	}
	levels := append([]int64{0}, parts...)
	slices.Sort(levels)
	levels = slices.Compact(levels)
	c := capSet{lock: k, parts: parts, levels: levels, first: int32(len(m.colSet))}
	for range levels {
		m.colSet = append(m.colSet, int32(len(m.sets)))
		m.colPick = append(m.colPick, nil)
	}
	m.sets = append(m.sets, nil)
	m.first = append(m.first, int32(len(m.colSet)))
	for i := range m.rows {
		m.rows[i].pad(len(m.colSet))
	}
	for at, i := range lock {
		if m.options[i] != nil {
			m.link(r, &c, k, at, m.setOf[i])
		}
	}
	m.capSets = append(m.capSets, c)
	return &m.capSets[len(m.capSets)-1]
}

// link adds rows that let a member, whose set is g, be chosen only under a cap of at least its part: chosen with
// this part, less a cap of at least it, is at most 0.
func (m *model) link(r *rule, c *capSet, k, at int, g int32) {
	for l, level := range c.levels[1:] {
		w := row{coef: make([]int64, len(m.colSet))}
		for j := m.first[g]; j < m.first[g+1]; j++ {
			if r.partAt(k, at, int(m.colPick[j][0])) == level {
				w.coef[j] = 1
			}
		}
		if !slices.Contains(w.coef, 1) {
			continue
		}
		for higher := l + 1; higher < len(c.levels); higher++ {
			w.coef[int(c.first)+higher] = -1
		}
		m.rows = append(m.rows, w)
	}
}
