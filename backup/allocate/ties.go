package allocate

// ties picks among the choices that are equal in all values and in energy: the one with the smallest ids, then
// the lowest phases. It asks for each item in the order of ids whether some choice holds it, given what is settled,
// so that the answer never depends on which of several equal choices the search met first. cost is the last
// objective, which rules out most items at once.
func (v *solver) ties(cost []int64) {
	t := &tieBreaker{solver: v, cost: cost}
	for _, i := range v.byID {
		if v.pick(v.best, i) == out && !t.prefer(i, func(pick int) bool { return pick != out }) {
			return
		}
		chosen := v.pick(v.best, i) != out
		t.settle(i, func(pick int) bool { return (pick != out) == chosen })
	}
	for _, i := range v.byID {
		if len(v.options[i]) < 2 {
			continue
		}
		for _, ph := range v.options[i] {
			if v.pick(v.best, i) <= ph { // or out
				break
			}
			if !t.prefer(i, func(pick int) bool { return pick == ph }) {
				return
			}
		}
		chosen := v.pick(v.best, i)
		t.settle(i, func(pick int) bool { return pick == chosen })
	}
}

// pick returns the phase of item i, or out, in a choice.
func (m *model) pick(cols []int32, i int) int {
	return int(m.colPick[cols[m.setOf[i]]][m.slot[i]])
}

// A tieBreaker asks which choices are as good as the best one. Its search keeps the root solved between questions.
type tieBreaker struct {
	*solver
	cost   []int64
	search *search
}

// prefer replaces the best choice by an equally good one in which the pick of item i is wanted, if there is one. It
// returns false if it was stopped.
func (t *tieBreaker) prefer(i int, wanted func(pick int) bool) bool {
	for {
		s := t.root()
		if s == nil {
			return t.err == nil && !t.halted
		}
		f := s.fresh()
		f.copyFrom(s.root)
		t.narrow(f.allowed, i, wanted)
		s.best, s.ended, s.unique = nil, false, false
		s.setValue(t.total(t.cost, t.best) - s.grain)
		if s.propagate(f) {
			s.explore(f)
		}
		switch {
		case t.halted || t.err != nil:
			return false
		case s.best != nil:
			t.best = append(t.best[:0], s.best...)
			return true
		case !s.ended:
			return true
		}
		t.search = nil // for new cuts
	}
}

// root returns the search with its root solved.
func (t *tieBreaker) root() *search {
	if t.search != nil {
		return t.search
	}
	s := t.solver.search(t.cost)
	s.any, s.unique = true, false
	s.setValue(t.total(t.cost, t.best) - s.grain)
	f := s.root
	if !s.propagate(f) || !s.solve(f) {
		return nil
	}
	s.fix(f)
	if !s.propagate(f) {
		return nil
	}
	t.search = s
	return s
}

// settle allows for item i nothing but what is wanted, from now on.
func (t *tieBreaker) settle(i int, wanted func(pick int) bool) {
	t.narrow(t.allowed, i, wanted)
	if t.search != nil {
		t.narrow(t.search.root.allowed, i, wanted)
	}
}

// narrow forbids the columns of item i whose pick isn't wanted.
func (m *model) narrow(allowed []bool, i int, wanted func(pick int) bool) {
	if m.options[i] == nil {
		return
	}
	g := m.setOf[i]
	for j := m.first[g]; j < m.first[g+1]; j++ {
		if !wanted(int(m.colPick[j][m.slot[i]])) {
			allowed[j] = false
		}
	}
}
