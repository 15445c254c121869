package allocate

// A Status says in plain words what a result is worth.
type Status string

// The ways in which a search can end.
const (
	Optimal    Status = "optimal"    // the best set, proven
	Infeasible Status = "infeasible" // proven: no set meets all limits
	Stopped    Status = "stopped"    // ended early: the best set found, if any, and a proven bound
)

// A Use is what a choice takes of one limit.
type Use struct {
	Limit string // "continuous", "surge", "pass-through 1", "phase 1", "ways", "energy", or the name of a row
	Unit  string
	Used  float64
	Of    float64 // the limit itself
}

// An Excess says that a limit is broken, and by how much.
type Excess struct {
	Limit string
	Unit  string
	By    float64
}

// A Reason says in plain words why an item was left out.
type Reason string

// The reasons for leaving an item out.
const (
	Excluded  Reason = "excluded"                   // its rule says so
	NeverFits Reason = "never fits"                 // it breaks a limit even together with nothing but the items that must be in
	Displaces Reason = "would displace better ones" // it would fit only by dropping others that are worth more together
	NoGain    Reason = "no gain"                    // it would fit, but is worth nothing and takes energy
	Unproven  Reason = "unproven"                   // the search was stopped before it could tell
)

// LeftOut explains why one item is not in the chosen set.
type LeftOut struct {
	Item   int // index into Problem.Items
	Reason Reason
	// Broken is the first limit that breaks when the item is added: to the chosen set, or, if it NeverFits, to
	// the items that must be in (limits of one phase don't count there if such an item could move to another).
	// Zero if none breaks. Of several phases the one with the smallest excess of its first limit, relative to
	// the limit, is reported.
	Broken Excess
}

// A Result is the answer. Slices by item are in the order of Problem.Items.
type Result struct {
	Status   Status
	Found    bool // Selected holds a set that meets all limits
	Selected []bool
	// Phase is the phase picked for each chosen item (AllPhases included), 0 for the others.
	Phase []int
	// Value holds the sums of the items' values, one a level; nil if nothing was found.
	Value          []float64
	EnergyWhPerDay float64
	// Bound is a proven upper bound of Value in the lexicographic sense: equal to it when the values are
	// proven (which they can be with Status Stopped, if only the ties were left open). Levels after the one
	// at which the search stopped hold what all items together are worth. nil if infeasible.
	Bound []float64
	// Uses lists every limit, the given ones first, then the rows.
	Uses []Use
	// LeftOut explains each item that is not chosen, in the order of the items.
	LeftOut []LeftOut
	// Broken holds, when infeasible, each limit that is broken whatever is done. It is empty when no single
	// limit is to blame, for instance when items that must be in fit on no phases together.
	Broken []Excess
	// Nodes and Checks count search nodes and calls of the check.
	Nodes, Checks int
}
