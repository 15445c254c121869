// Package allocate decides which circuits go on the backup board: the best set that breaks no limit, proven.
//
// Describe the circuits as [Item] values and the equipment as [Limits], put them into a [Problem] and call
// [Solve]. The [Result] holds the best set, what it uses of every limit, and for each item left out the limit
// that keeps it out. When a node limit or [Options.Stop] ends the search early, the result holds the best set
// found so far and a proven bound on what any set could reach.
//
// "Best" is lexicographic: the largest sum of the items' first values, among those the largest sum of the
// second values, and so on; among equals the least energy a day; among equals the set that holds the smallest
// id in which two sets differ; then the lowest phases for the smallest ids. So there is exactly one answer, and
// it does not depend on the order of the input. For "most loads of priority 1, then of priority 2" give each
// item the count of its loads by priority.
//
// Powers are VA, currents A, energies Wh a day, whole numbers of ways. Every number is taken to the nearest
// millionth (see [Problem]) and all sums are exact from there on: a set that uses a limit to the last digit
// fits, in every order of adding up.
//
// The limits are sums, with "of an interlock only the largest counts" and "plus the largest single extra" as
// the only bends. Checks that are not of this form (vector sums, schedules by the minute, a simulated outage)
// go into [Options.Check], which judges each candidate; whatever it refuses is cut off exactly. The package
// knows nothing of files, loads or chemistry, and reads no clock.
package allocate

import "math"

// A Rule says whether the search may decide about an item.
type Rule uint8

// The rules of an item.
const (
	Either  Rule = iota // the search decides
	Include             // must be chosen
	Exclude             // must not be chosen
)

// AllPhases is the phase of an item that is spread evenly over all phases.
const AllPhases = 0

// An Item is one circuit that may go on the backup board. All numbers are finite and at least 0.
type Item struct {
	// ID is unique and not empty. It decides ties, so it must not come from the position in a list.
	ID string
	// Values is what the item is worth, the most important first. A list that is shorter than another
	// item's counts 0 for the rest.
	Values []float64
	// DemandVA counts towards the continuous and surge limits and the limits by phase.
	DemandVA float64
	// SurgeExtraVA is what the item's start adds to the demand. Only the largest one of a set counts.
	SurgeExtraVA float64
	// EnergyWhPerDay counts towards the energy limit and decides between sets of equal value.
	EnergyWhPerDay float64
	// PassA counts towards the pass-through limits of its phase.
	PassA float64
	// Ways is how many ways of the board it takes.
	Ways int
	// Phases lists the phases that it may be put on, from 1, or AllPhases; the search picks one. Empty
	// means phase 1.
	Phases []int
	// Rule is Either, Include or Exclude.
	Rule Rule
}

// An Interlock joins items that never run together: of those chosen only the largest counts. In a limit by
// phase only the members on that phase are compared, so members on two phases count each on its own there.
// An item may stand in several interlocks, each with another part of it.
type Interlock struct {
	// Items are indices into Problem.Items, at least two, none twice.
	Items []int
	// DemandVA and PassA are the parts of each member's numbers that fall under the interlock, in the order
	// of Items; nil means all of it. The rest of the item counts always.
	DemandVA, PassA []float64
}

// Limits are what the equipment carries. math.Inf(1) is no limit; zero is a limit of zero. See Unlimited.
type Limits struct {
	// ContinuousVA limits the sum of the demands.
	ContinuousVA float64
	// SurgeVA limits that sum plus the largest single surge extra.
	SurgeVA float64
	// PhaseVA limits the demand of each phase, PassA the pass-through current of each; the length is the
	// number of phases. nil is no limit; if both are given they are of equal length.
	PhaseVA, PassA []float64
	// UsableWh limits Days times (the energies of a day plus IdleWhPerDay).
	UsableWh, Days, IdleWhPerDay float64
	// Ways limits the sum of the ways.
	Ways float64
}

// Unlimited returns limits that nothing breaks, to be narrowed where a limit is known.
func Unlimited() Limits {
	inf := math.Inf(1)
	return Limits{ContinuousVA: inf, SurgeVA: inf, UsableWh: inf, Days: 1, Ways: inf}
}

// A Row is one more limit: the amounts of the chosen items, plus the largest of their extras, may not exceed
// Limit. Demand in one interval of the day, or a start against the rating for its own seconds, are rows.
type Row struct {
	Name, Unit string
	// Limit is at least 0; math.Inf(1) is no limit.
	Limit float64
	// Amount is one number of at least 0 for each item.
	Amount []float64
	// Extra is one number of at least 0 for each item, or nil for none. Only the largest counts.
	Extra []float64
	// Parts holds, for each interlock of the problem and each of its members, the part of the member's
	// Amount that falls under that interlock; nil means that interlocks don't touch this row.
	Parts [][]float64
}

// A Problem is the question. Numbers are taken to the nearest millionth of their unit, because a double can't
// hold a tenth and a sum of tenths would depend on its order. A number, or the total of one over all items,
// above 4e12 is an error.
type Problem struct {
	Items      []Item
	Interlocks []Interlock
	Limits     Limits
	Rows       []Row
}

// Options say how hard to try, and what the rows can't express. The zero value searches to the end.
type Options struct {
	// MaxNodes ends the search after so many nodes of the search tree; 0 is no limit.
	MaxNodes int
	// Stop is polled every few dozen nodes and ends the search when it returns true. nil never stops. A
	// search that was stopped by a clock may give another answer next time; MaxNodes always gives the same.
	Stop func() bool
	// Check judges a set that meets all limits and rows; nil accepts. It must always say the same about the
	// same choice.
	Check func(Choice) Verdict
}
