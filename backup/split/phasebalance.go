package split

import (
	"cmp"
	"math"
	"slices"

	"outlast/loads"
)

// An evener weighs how evenly the phases carry the backup board when single-phase circuits move from phase to phase. It
// gives the imbalance of the check phase-balance, each phase at its own worst minute, for thousands of arrangements.
type evener struct {
	phases int
	movers []string // ids of the circuits that may move
	rows   []evenRow
	exact  bool // every choice of the interlocked loads is among the rows
	starts bool // rows that only differ in what may start are kept apart
}

// An evenRow is what runs together in one interval of the day with one choice of the interlocked loads.
type evenRow struct {
	fixed  [3]loads.Power // on each phase, of the circuits that stay
	movers []loads.Power
	starts []evenStart
}

// An evenStart is the start of one unit in an interval in which its load runs.
type evenStart struct {
	load    string
	mover   int // -1: on a circuit that stays
	phase   int // of such a circuit, 0 for all
	more    loads.Power
	plainVA float64
	seconds float64
}

// mostInterlockChoices bounds the rows of one interval; beyond, of each interlock the largest load is taken to run.
const mostInterlockChoices = 64

// An evenLoad is a load with what every row asks of it.
type evenLoad struct {
	*loads.Load
	power loads.Power // of all units
	mover int         // -1: on a circuit that stays
}

// newEvener looks at loads in use on a board; movers are the circuits that may change their phase.
func newEvener(phases int, ls []loads.Load, movers []string, starts bool) *evener {
	e := &evener{phases: phases, movers: movers, exact: true, starts: starts}
	all := make([]evenLoad, len(ls))
	for i := range ls {
		all[i] = evenLoad{&ls[i], ls[i].RunningAll(), slices.Index(movers, ls[i].CircuitID)}
	}
	slices.SortFunc(all, func(a, b evenLoad) int { return cmp.Compare(a.Name, b.Name) }) // sums must not follow the file
	for _, at := range loads.Beginnings(ls) {
		var free []evenLoad
		locked := map[string][]evenLoad{}
		for _, l := range all {
			switch {
			case !l.ActiveAt(at):
			case l.Interlock == "":
				free = append(free, l)
			default:
				locked[l.Interlock] = append(locked[l.Interlock], l)
			}
		}
		for _, chosen := range e.choices(locked) {
			e.add(free, chosen)
		}
	}
	e.rows = undominatedRows(e.rows)
	return e
}

// choices are all ways of letting one load of each interlock run.
func (e *evener) choices(locked map[string][]evenLoad) [][]evenLoad {
	names := make([]string, 0, len(locked))
	ways := 1
	for name, members := range locked {
		names = append(names, name)
		ways *= len(members)
	}
	slices.Sort(names)
	out := [][]evenLoad{nil}
	for _, name := range names {
		members := locked[name]
		if ways > mostInterlockChoices {
			e.exact = false
			members = []evenLoad{slices.MaxFunc(members,
				func(a, b evenLoad) int { return cmp.Compare(a.power.VA(), b.power.VA()) })}
		}
		var longer [][]evenLoad
		for _, head := range out {
			for _, l := range members {
				longer = append(longer, append(slices.Clone(head), l))
			}
		}
		out = longer
	}
	return out
}

// add adds the row of loads that run together.
func (e *evener) add(free, chosen []evenLoad) {
	row := evenRow{movers: make([]loads.Power, len(e.movers))}
	for _, list := range [][]evenLoad{free, chosen} {
		for _, l := range list {
			if e.starts && l.Start != nil && l.Quantity > 0 {
				row.starts = append(row.starts, evenStart{l.Name, l.mover, l.Phase, l.Start.Power.Sub(l.Running()),
					l.Start.PlainVA, l.Start.Seconds})
			}
			switch {
			case l.mover >= 0:
				row.movers[l.mover] = row.movers[l.mover].Add(l.power)
			case l.Phase > 0:
				row.fixed[l.Phase-1] = row.fixed[l.Phase-1].Add(l.power)
			default:
				for k := range e.phases {
					row.fixed[k] = row.fixed[k].Add(l.power.Scale(1 / float64(e.phases)))
				}
			}
		}
	}
	e.rows = append(e.rows, row)
}

// undominatedRows leaves out what another row exceeds wherever the movers stand: no phase is worst there.
func undominatedRows(rows []evenRow) []evenRow {
	var kept []evenRow
	for i, r := range rows {
		if !slices.ContainsFunc(rows[:i], r.within) && !slices.ContainsFunc(rows[i+1:],
			func(o evenRow) bool { return r.within(o) && !o.within(r) }) {
			kept = append(kept, r)
		}
	}
	return kept
}

// within says that each part of a row is at most as large as in another one.
func (r evenRow) within(other evenRow) bool {
	atMost := func(a, b loads.Power) bool { return a.W <= b.W && a.VAr <= b.VAr }
	for k := range r.fixed {
		if !atMost(r.fixed[k], other.fixed[k]) {
			return false
		}
	}
	for n := range r.movers {
		if !atMost(r.movers[n], other.movers[n]) {
			return false
		}
	}
	for _, st := range r.starts {
		if !slices.ContainsFunc(other.starts, func(o evenStart) bool { return o.load == st.load }) {
			return false
		}
	}
	return true
}

// imbalance is the largest phase less the smallest over their mean, with the movers on the given phases (from 1).
func (e *evener) imbalance(at []int) float64 {
	var most [3]float64 // VA squared
	for _, r := range e.rows {
		sums := r.fixed
		for n, p := range r.movers {
			s := &sums[at[n]-1]
			s.W += p.W
			s.VAr += p.VAr
		}
		for k := range e.phases {
			most[k] = max(most[k], sums[k].W*sums[k].W+sums[k].VAr*sums[k].VAr)
		}
	}
	lo, hi, sum := math.Inf(1), 0.0, 0.0
	for k := range e.phases {
		va := math.Sqrt(most[k])
		lo, hi, sum = min(lo, va), max(hi, va), sum+va
	}
	if sum == 0 {
		return 0
	}
	return (hi - lo) / (sum / float64(e.phases))
}

// An arrangement is where the movers stand, and how uneven that is.
type arrangement struct {
	at        []int
	imbalance float64
}

// compareEven orders arrangements by imbalance, and equal ones by the lowest phases for the first circuits.
func compareEven(a, b arrangement) int {
	return cmp.Or(cmp.Compare(math.Round(a.imbalance*1e9), math.Round(b.imbalance*1e9)), slices.Compare(a.at, b.at))
}

// mostArrangements is how many arrangements are compared one by one; a board with more is improved step by step.
const mostArrangements = 20_000

// all lists every arrangement of the movers, the most even first; nil where there are too many.
func (e *evener) all() []arrangement {
	if math.Pow(float64(e.phases), float64(len(e.movers))) > mostArrangements {
		return nil
	}
	var out []arrangement
	at := make([]int, len(e.movers))
	var place func(n int)
	place = func(n int) {
		if n == len(at) {
			out = append(out, arrangement{slices.Clone(at), e.imbalance(at)})
			return
		}
		for at[n] = 1; at[n] <= e.phases; at[n]++ {
			place(n + 1)
		}
	}
	place(0)
	slices.SortFunc(out, compareEven)
	return out
}

// near lists every arrangement in which so many movers, and no fewer, stand elsewhere, the most even first.
func (e *evener) near(at []int, moves int) []arrangement {
	var out []arrangement
	now := slices.Clone(at)
	var move func(from, left int)
	move = func(from, left int) {
		if left == 0 {
			out = append(out, arrangement{slices.Clone(now), e.imbalance(now)})
			return
		}
		for n := from; n <= len(now)-left; n++ {
			for phase := 1; phase <= e.phases; phase++ {
				if phase != at[n] {
					now[n] = phase
					move(n+1, left-1)
				}
			}
			now[n] = at[n]
		}
	}
	move(0, moves)
	slices.SortFunc(out, compareEven)
	return out
}
