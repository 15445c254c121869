package allocate

import (
	"slices"
)

// ask puts a choice before the caller's check.
func (v *solver) ask(phase []int) Verdict {
	for i, ph := range phase {
		v.choice.Selected[i] = ph != out
		v.choice.Phase[i] = max(ph, 0)
	}
	v.checks++
	return v.opts.Check(v.choice)
}

// judge tells whether a set that meets all rows passes the check. If not, the pool gets a row that it breaks.
func (v *solver) judge(cols []int32) bool {
	for k := range v.pool {
		if !v.pool[k].met(cols) {
			return false
		}
	}
	v.phases(cols, v.phase)
	verdict := v.ask(v.phase)
	if !verdict.OK {
		v.cut(&verdict, cols)
	}
	return verdict.OK
}

// cut adds a row to the pool that the refused columns break and every passing choice meets.
func (v *solver) cut(verdict *Verdict, cols []int32) {
	if verdict.Row != nil {
		if v.err = verdict.Row.check(v.p); v.err != nil {
			return
		}
		r := v.p.rowRule(verdict.Row)
		if r.limit != noLimit { // rounding its amounts may not make the row stricter than it was meant
			r.limit += int64(len(v.p.Items))
		}
		// A large interlock counts nothing in a late row: less than it should, which is safe.
		w := v.rowOf(&r, func(w *row, k int) { v.uncount(&r, w, k) })
		if w.normalise(v.first); !w.met(cols) {
			v.addCut(w)
			return
		}
	}
	phase := slices.Clone(v.phase)
	if verdict.Exact {
		v.addCut(v.exactly(phase))
		return
	}
	failing := verdict.Items
	if failing == nil {
		failing = v.shrink(phase)
	}
	for _, i := range failing {
		if i < 0 || i >= len(phase) || phase[i] == out {
			v.err = errs.Errorf("the check blames item %d, which is not chosen", i)
			return
		}
	}
	v.addCut(v.notAll(failing, phase, verdict.AnyPhase))
}

func (v *solver) addCut(w row) {
	w.cut = true
	w.normalise(v.first)
	v.pool = append(v.pool, w)
}

// absorb makes the pool rows of the model.
func (v *solver) absorb() {
	v.cuts += len(v.pool)
	v.rows = append(v.rows, v.pool...)
	v.pool = v.pool[:0]
}

// notAll returns the row "not all of these items on these phases".
func (v *solver) notAll(items, phase []int, anyPhase bool) row {
	w := row{limit: int64(len(items)) - 1, coef: make([]int64, len(v.colSet))}
	for _, i := range items {
		g := v.setOf[i]
		for j := v.first[g]; j < v.first[g+1]; j++ {
			if pick := int(v.colPick[j][v.slot[i]]); pick == phase[i] || anyPhase && pick != out {
				w.coef[j]++
			}
		}
	}
	return w
}

// exactly returns the row that only this very choice breaks.
func (v *solver) exactly(phase []int) row {
	w := row{limit: -1, coef: make([]int64, len(v.colSet))}
	for i, ph := range phase {
		if v.options[i] == nil {
			continue
		}
		if ph != out {
			w.limit++
		}
		g := v.setOf[i]
		for j := v.first[g]; j < v.first[g+1]; j++ {
			switch pick := int(v.colPick[j][v.slot[i]]); {
			case ph == out && pick != out:
				w.coef[j]--
			case ph != out && pick == ph:
				w.coef[j]++
			}
		}
	}
	return w
}

// shrink takes items away from a failing choice as long as it fails, those with the largest ids first, and returns
// the items that are left. Items that must be in stay in; as every choice holds them they are not part of the answer.
func (v *solver) shrink(phase []int) []int {
	trial := slices.Clone(phase)
	var failing []int
	for _, i := range slices.Backward(v.byID) {
		if trial[i] == out || v.p.Items[i].Rule == Include && len(v.options[i]) == 1 {
			continue
		}
		if v.p.Items[i].Rule == Include { // on another phase it may pass
			failing = append(failing, i)
			continue
		}
		was := trial[i]
		trial[i] = out
		if verdict := v.ask(trial); verdict.OK || verdict.Exact {
			trial[i] = was
			failing = append(failing, i)
		}
	}
	return failing
}
