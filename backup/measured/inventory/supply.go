package inventory

import (
	"fmt"
	"math"

	"outlast/backup/draft"
	"outlast/backup/measured/tabular"
)

// lowestMains: what has less than this many volts hangs on an adapter, and may have any.
const lowestMains = 60

// sameVolts says whether two voltages are names of one and the same: 220 and 240 V, 100 and 120 V are, 208 and 240 V,
// too; 120 and 230 V, or 230 and 400 V, are not.
func sameVolts(a, b float64) bool { return math.Abs(a-b) <= 0.2*b }

// supply holds the volts of a row, if it tells any, to those of the home: an appliance between the phases is on all of
// them, and one for another supply is refused; one of fewer volts than those that were told has its own transformer.
func (r *reader) supply(it *item) bool {
	r.threePhase = false
	v, col, there := r.rowVolts()
	neutral, phases := r.o.Volts, r.o.Phases
	if neutral == 0 {
		neutral, phases = r.o.Assumed, 1
	}
	if !there || v < lowestMains || v > 1000 || neutral == 0 || sameVolts(v, neutral) || r.o.Volts > 0 && v < neutral {
		return true
	}
	want := draft.Num(neutral) + " V"
	switch phases {
	case 2:
		if it.allPhases = sameVolts(v, 2*neutral); it.allPhases {
			return true
		}
		want += " or " + draft.Num(2*neutral) + " V between its legs"
	case 3:
		if it.allPhases = sameVolts(v, math.Sqrt(3)*neutral); it.allPhases {
			r.threePhase = true
			return true
		}
		want += fmt.Sprintf(" or %.0f V between its phases", math.Sqrt(3)*neutral)
	}
	r.t.Report(col.Index, `the supply of the home is an answer: --answer supply:120x2, --answer supply:230x3`,
		"found %s V, want what the home has: %s", draft.Num(v), want)
	return false
}

// rowVolts are the volts of a row: beside its power or amps, or in a column of their own.
func (r *reader) rowVolts() (v float64, col tabular.Column, there bool) {
	for _, kind := range []string{kindPower, kindAmps, kindVolts} {
		c, ok := r.cols.Of(kind)
		if !ok {
			continue
		}
		fs, _, ok := r.t.Peek(c.Index)
		if !ok {
			continue
		}
		for _, f := range fs {
			if f.Unit == "v" || f.Unit == "" && kind == kindVolts && len(fs) == 1 {
				return f.Value, c, true
			}
		}
	}
	return 0, tabular.Column{}, false
}

// beyondHead reports the first cell of a row that stands behind the last column of the head: what a decimal comma has
// parted stands in wrong columns.
func (r *reader) beyondHead() bool {
	head := r.cols.Head
	if head == nil {
		return false
	}
	for i, c := range r.t.Cells() {
		if i >= len(head) && c.Text != "" {
			r.t.Report(i, "a figure with a decimal comma needs quotation marks; a column needs a head",
				"found a cell in column %d, want %d columns, as the head has", i+1, len(head))
			return true
		}
	}
	return false
}
