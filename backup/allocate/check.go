package allocate

// A Choice is a set of items that is put before a check.
type Choice struct {
	// Selected tells for each item whether it is chosen. The check may keep neither slice.
	Selected []bool
	// Phase is the phase picked for each chosen item (AllPhases included); it means nothing for the others.
	Phase []int
}

// A Verdict is what a check says about a choice.
//
// A refusal is taken to be monotone: adding items never makes a failing set pass. Every set that contains the
// failing items is then cut off at once, and if the check can't name them, the search finds a smallest failing
// part of the set by asking again with single items taken away (about one more call for each chosen item).
// A check for which this is not true must say Exact, and then only that very choice is cut off.
type Verdict struct {
	OK bool
	// Limit names the limit that is broken, and Excess and Unit by how much; for the reasons of the result.
	Limit  string
	Excess float64
	Unit   string
	// Items are chosen items that fail together, whatever else is chosen; nil: let the search find out.
	Items []int
	// AnyPhase: they fail on whatever phases they are put. Else the cut holds for the phases of the choice.
	AnyPhase bool
	// Exact: only this very choice fails, and other sets that contain it may pass.
	Exact bool
	// Row, if not nil, is a limit that every passing choice meets and that this one breaks, such as the
	// demand in the minute that failed. It cuts off far more than the set itself. It holds on any phase. A row
	// that the choice doesn't break is ignored, and the set is cut off as if there were none.
	Row *Row
}
