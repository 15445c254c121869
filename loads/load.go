package loads

import "slices"

// A Cycle is the rhythm in which a load switches itself on and off, in minutes. Simulations use it; the
// demand, the energy and the probability follow HoursPerDay.
type Cycle struct{ OnMin, OffMin float64 }

// A Start is the total power of one unit of a load while it starts.
//
// Either Power is used, or PlainVA: an apparent power of unknown angle, which adds to a vector sum as a
// plain number and counts as watts altogether (the safe side for both).
type Start struct {
	Power   Power
	PlainVA float64
	Seconds float64 // how long the start lasts
	// PFAssumed says that nobody gave the angle of Power. The watts are on the safe side then; where another angle
	// would be worse, as for the drop along a cable, count with that.
	PFAssumed bool
}

// PFKnown says whether the angle of the start is known.
func (s Start) PFKnown() bool { return s.PlainVA == 0 && !s.PFAssumed }

// VA returns the apparent power of the start.
func (s Start) VA() float64 { return s.Power.VA() + s.PlainVA }

// Watts returns the watts of the start; a plain VA counts as watts.
func (s Start) Watts() float64 { return s.Power.W + s.PlainVA }

// A Load is one appliance, or a group of equal ones, on one circuit.
type Load struct {
	Name           string
	CircuitID      string
	Phase          int      // of its circuit, from 1; 0 spreads over all phases equally
	Quantity       int      // units
	RunningW       float64  // of one unit
	PowerFactor    float64  // of one unit while it runs, in (0, 1]; 0 means 1
	Start          *Start   // of one unit; nil: it draws no more while it starts
	Motor          *Motor   // whose start it is; nil: the start was given as such
	HoursPerDay    float64  // hours on in a day, of each unit; at most WindowHours
	Windows        []Window // when it may be on; empty: any time
	Cycle          *Cycle
	Priority       int  // 1 (must stay on) to 5
	HeldOff        bool // people promise not to use it in an outage
	Interlock      string
	Months         Months
	RidesThroughMs *float64 // the longest break that it rides through; nil: not known
	Medical        bool
	DropBelow      float64  // state of charge under which it is switched off; 0: never
	Typical        *Typical // nil: all its figures are its own
}

// Running returns the steady power of one unit.
func (l Load) Running() Power {
	if l.PowerFactor == 0 {
		return Power{W: l.RunningW}
	}
	return FromPF(l.RunningW, l.PowerFactor)
}

// RunningAll returns the steady power of all units.
func (l Load) RunningAll() Power { return l.Running().Scale(float64(l.Quantity)) }

// WindowHours returns the hours of the day in which the load may be on: 24 without windows.
func (l Load) WindowHours() float64 {
	if len(l.Windows) == 0 {
		return 24
	}
	minutes := 0
	for _, w := range l.Windows {
		minutes += w.Minutes()
	}
	return float64(minutes) / 60
}

// hoursRounding is what hours may lie above whole minutes, as a share: see [Load.OverWindows].
const hoursRounding = 1e-9

// OverWindows tells the hours of a load's windows, and whether its hours a day are more than they hold. Hours are typed
// with some ten digits and windows are whole minutes: 3.866666667 h in 232 min is no mistake, 0.334 h in 20 min is.
func (l Load) OverWindows() (hours float64, over bool) {
	hours = l.WindowHours()
	return hours, l.HoursPerDay > hours*(1+hoursRounding)
}

// Share returns the probability that a unit is on at a minute of its windows: hours on over hours of the
// windows, 0 to 1.
func (l Load) Share() float64 {
	hours := l.WindowHours()
	if !(hours > 0) {
		return 0
	}
	return max(0, min(1, l.HoursPerDay/hours))
}

// ActiveAt tells whether the load may be on at minute, 0 to 1439.
func (l Load) ActiveAt(minute int) bool {
	for _, w := range l.Windows {
		if w.Holds(minute) {
			return true
		}
	}
	return len(l.Windows) == 0
}

// EnergyWhPerDay returns the energy of all units in a day.
func (l Load) EnergyWhPerDay() float64 {
	return float64(l.Quantity) * l.RunningW * l.HoursPerDay
}

// Where returns a list of the loads that keep says yes to, in their order. A load is large: they are counted before they
// are copied.
func Where(ls []Load, keep func(l *Load) bool) []Load {
	n := 0
	for i := range ls {
		if keep(&ls[i]) {
			n++
		}
	}
	if n == 0 {
		return nil
	}
	kept := make([]Load, 0, n)
	for i := range ls {
		if keep(&ls[i]) {
			kept = append(kept, ls[i])
		}
	}
	return kept
}

// Among returns the loads that keep says yes to, in their order, to be read only: where that is all of them it is the
// list that was given, as a load is large.
func Among(ls []Load, keep func(l *Load) bool) []Load {
	for i := range ls {
		if !keep(&ls[i]) {
			return Where(ls, keep)
		}
	}
	return slices.Clip(ls)
}

// InMonth returns the loads that are used in month, 1 to 12, as [Among] does.
func InMonth(ls []Load, month int) []Load {
	return Among(ls, func(l *Load) bool { return l.Months.Has(month) })
}

// A Board says where a circuit lives.
type Board string

// The boards: the backup board is fed by the inverter; a circuit on either goes where the planner says.
const (
	BoardBackup Board = "backup"
	BoardMain   Board = "main"
	BoardEither Board = "either"
)

// A Circuit is one final subcircuit with its breaker.
type Circuit struct {
	ID       string
	Label    string
	BreakerA float64 // 0: not given
	Phase    int     // from 1; 0: all phases
	AnyPhase bool    // the planner picks the phase; until then it is 1
	CableMM2 float64 // 0: not given
	LengthM  float64 // 0: not given
	Board    Board
	Assumed  bool // by the planner: the site file names no circuit for its load
}
