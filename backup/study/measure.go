package study

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/gonum/stat/combin"

	"outlast/backup/facts"
	"outlast/backup/phrase"
	"outlast/backup/site"
	"outlast/backup/verdict"
	"outlast/backup/wording"
	"outlast/backup/workers"
	"outlast/loads"
)

// Measuring is what the plan is worth as long as figures of its loads are those of classes: whether it holds at both
// ends of them, and else what to measure first. Circuits, phases, equipment and the number of strings stay as planned;
// conductors and devices that the planner chooses follow the loads.
type Measuring struct {
	Loads          []string // that are on the backup board with figures of their class, in the order of the file
	Low, Now, High EndOfClasses

	// Decisive is the smallest set of loads that can settle it: where each of them is found to take no more than it
	// Turns at, nothing of the plan fails, whatever the others take. The one whose measuring settles most comes first.
	// Empty where the ends agree.
	Decisive []DecisiveLoad
	// ByUse and ByStart say which figures have to be known: what the loads run with and for how long, and how they
	// start. What need not be is taken at the high end.
	ByUse, ByStart bool
	// Smallest says that no smaller set can; false: the search was ended before it had tried them all.
	Smallest bool
}

// EndOfClasses is the plan with every figure of a class at one end, or as it is planned.
type EndOfClasses struct {
	ScheduledW     float64
	ScheduledVA    float64
	EnergyWhPerDay float64
	AutonomyH      float64 // of the bank at the end of its life, from the start that is planned with
	Capped         bool    // AutonomyH is where the simulation was ended
	Failing        []string
}

// A DecisiveLoad is one of the loads to measure.
type DecisiveLoad struct {
	Load      string
	CircuitID string
	Low, High loads.Ends
	Turns     loads.Ends // with which the plan still passes, together with those of the other decisive loads
}

// Agrees says whether the ends come to the same verdict: nothing has to be measured for it.
func (m Measuring) Agrees() bool { return (len(m.Low.Failing) == 0) == (len(m.High.Failing) == 0) }

// mostMeasured bounds the search for the smallest set: so many sets are worked through. Homes need a few dozen.
const mostMeasured = 400

// turnSteps halve the span between the ends of a class so often: to a thousandth of it, finer than anybody measures.
const turnSteps = 10

// FirstToMeasure works the plan out at both ends of the classes of its loads. ok is false where no figure rests on a
// class.
func FirstToMeasure(p *facts.Facts) (m Measuring, ok bool, err error) {
	x := &measurer{plan: p, site: p.Planned(), known: map[string]bool{}, byUse: true, byStart: true}
	for i, l := range p.Site.Loads {
		if l.RestsOnClass() && l.Months.Has(p.Month) && l.Quantity > 0 &&
			slices.ContainsFunc(p.Site.Circuits, func(c loads.Circuit) bool {
				return c.ID == l.CircuitID && c.Board == loads.BoardBackup
			}) {
			x.open = append(x.open, i)
			m.Loads = append(m.Loads, l.Name)
		}
	}
	if len(x.open) == 0 {
		return m, false, nil
	}
	if m.Low, err = x.end(0); err != nil {
		return m, true, err
	}
	if m.High, err = x.end(1); err != nil {
		return m, true, err
	}
	m.Now = endOf(p)
	if m.Agrees() {
		return m, true, nil
	}
	set, smallest, err := x.smallest()
	if err != nil {
		return m, true, err
	}
	m.Smallest = smallest
	if m.ByUse, m.ByStart, err = x.decides(set); err != nil {
		return m, true, err
	}
	m.Decisive, err = x.decisive(set)
	return m, true, err
}

// measurer works the plan through with figures between the ends of the classes.
type measurer struct {
	plan  *facts.Facts
	site  *site.Site
	open  []int // indices of the loads whose figures are not known
	tried int
	known map[string]bool // of what was worked through: whether it fails

	byUse, byStart bool // what is looked for; the other stays at the high end
}

// decides finds whether it is enough to know the starts of a set of loads, or all but the starts.
func (x *measurer) decides(set []int) (byUse, byStart bool, err error) {
	for _, only := range []struct{ use, start bool }{{true, false}, {false, true}} {
		x.byUse, x.byStart = only.use, only.start
		fails, err := x.fails(set, 0)
		if err != nil || !fails {
			return only.use, only.start, err
		}
	}
	x.byUse, x.byStart = true, true
	return true, true, nil
}

// between is an open load at a share of the way from the low to the high end of its class, as far as that is looked
// for.
func (x *measurer) between(k int, share float64) loads.Load {
	uses, starts := 1.0, 1.0
	if x.byUse {
		uses = share
	}
	if x.byStart {
		starts = share
	}
	return x.site.Loads[x.open[k]].Between(uses, starts)
}

// at is the site with each open load at a share of the way from the low to the high end of its class.
func (x *measurer) at(share func(k int) float64) *site.Site {
	s := *x.site
	s.Loads = slices.Clone(s.Loads)
	for k, i := range x.open {
		s.Loads[i] = x.between(k, share(k))
	}
	return &s
}

// end works out one end of all classes.
func (x *measurer) end(share float64) (EndOfClasses, error) {
	f, err := x.work(x.at(func(int) float64 { return share }),
		facts.Effort{WalkH: followedH(max(x.plan.Bank.AutonomyH, x.site.Outage.AutonomyH))})
	if err != nil {
		return EndOfClasses{}, err
	}
	return endOf(f), nil
}

func endOf(f *facts.Facts) EndOfClasses {
	d := f.Demand
	out := EndOfClasses{ScheduledW: d.Scheduled.W, ScheduledVA: d.Scheduled.VA, EnergyWhPerDay: d.EnergyWhPerDay,
		AutonomyH: f.Bank.AutonomyH, Capped: f.Bank.AutonomyCap}
	for _, c := range f.With(verdict.Fail) {
		out.Failing = append(out.Failing, c.ID)
	}
	return out
}

func (x *measurer) work(s *site.Site, e facts.Effort) (*facts.Facts, error) {
	return x.shared().Full(s, e)
}

func (x *measurer) shared() *facts.Shared { return x.plan.Shared.ForOtherLoads(x.plan.Shared.Ctx) }

// with is the site with the loads of a set at a share and all others at their high end.
func (x *measurer) with(set []int, share float64) *site.Site {
	return x.at(func(k int) float64 {
		if slices.Contains(set, k) {
			return share
		}
		return 1
	})
}

// fails says whether the plan fails with the loads of a set at a share and all others at their high end.
func (x *measurer) fails(set []int, share float64) (bool, error) {
	fails, err := x.failing([][]int{set}, share)
	return err == nil && fails[0], err
}

// failing says of each of some sets whether the plan fails with its loads at a share and all others at their high end.
// What is not known yet is worked through side by side.
func (x *measurer) failing(sets [][]int, share float64) ([]bool, error) {
	x.tried += len(sets)
	out, keys := make([]bool, len(sets)), make([]string, len(sets))
	var open []int
	for i, set := range sets {
		keys[i] = fmt.Sprint(slices.Sorted(slices.Values(set)), share, x.byUse, x.byStart)
		var known bool
		if out[i], known = x.known[keys[i]]; !known {
			open = append(open, i)
		}
	}
	if err := workers.Each(len(open), func(n int) (err error) {
		s := x.with(sets[open[n]], share)
		out[open[n]], err = x.shared().Fails(s, facts.Trial(s))
		return err
	}); err != nil {
		return nil, err
	}
	for _, i := range open {
		x.known[keys[i]] = out[i]
	}
	return out, nil
}

// missing is by how much the plan fails with the loads of a set at a share and all others at their high end: the sum of
// what is missing in its checks, as shares of their limits; 0: it passes.
func (x *measurer) missing(set []int, share float64) (float64, error) {
	s := x.with(set, share)
	f, err := x.work(s, facts.Trial(s))
	if err != nil {
		return 0, err
	}
	sum := 0.0
	for _, c := range f.With(verdict.Fail) {
		sum += max(verdict.Slack, math.Abs(c.Margin))
	}
	return sum, nil
}

// smallest finds the smallest set of open loads with which, at their low ends, the plan passes whatever the others
// take; of several the one that may be found highest. Loads without which it fails though all others are low belong to
// every set, so only what is added to them is searched. Where too many sets would have to be tried, loads that are not
// needed are left out of all of them instead.
func (x *measurer) smallest() (set []int, proven bool, err error) {
	var needed, others []int
	var allBut [][]int
	for _, k := range x.all() {
		allBut = append(allBut, without(x.all(), k))
	}
	fails, err := x.failing(allBut, 0)
	if err != nil {
		return nil, false, err
	}
	for k := range allBut {
		if fails[k] {
			needed = append(needed, k)
		} else {
			others = append(others, k)
		}
	}
	for more := range len(others) + 1 {
		if combin.Binomial(len(others), more) > mostMeasured-x.tried {
			set, err = x.thinned(needed, others)
			return set, false, err
		}
		var tries, passing [][]int
		for _, some := range combin.Combinations(len(others), more) {
			try := slices.Clone(needed)
			for _, j := range some {
				try = append(try, others[j])
			}
			tries = append(tries, try)
		}
		fails, err := x.failing(tries, 0)
		if err != nil {
			return nil, false, err
		}
		for i, try := range tries {
			if !fails[i] {
				passing = append(passing, try)
			}
		}
		if len(passing) > 0 {
			set, err = x.highest(passing)
			return set, true, err
		}
	}
	return x.all(), true, nil
}

// mostCompared is of how many sets of one size it is looked for which may be found highest.
const mostCompared = 8

// highest is the set whose loads may be found highest. The others are followed no further than that they do not come as
// high.
func (x *measurer) highest(sets [][]int) (best []int, err error) {
	const step = 1.0 / (1 << turnSteps)
	most := -step
	for _, set := range sets[:min(len(sets), mostCompared)] {
		if len(sets) == 1 {
			return set, nil
		}
		fails, err := x.fails(set, most+step)
		if err != nil {
			return nil, err
		}
		if fails {
			continue
		}
		if most, err = x.turn(set); err != nil {
			return nil, err
		}
		best = set
	}
	return best, nil
}

func without(set []int, k int) []int {
	return slices.DeleteFunc(slices.Clone(set), func(o int) bool { return o == k })
}

func (x *measurer) all() []int {
	out := make([]int, len(x.open))
	for k := range out {
		out[k] = k
	}
	return out
}

// thinned leaves out of all open loads, one after the other, those without which the plan passes too; what is needed
// stays.
func (x *measurer) thinned(needed, others []int) ([]int, error) {
	set := slices.Concat(needed, others)
	for _, k := range others {
		less := without(set, k)
		fails, err := x.fails(less, 0)
		if err != nil {
			return nil, err
		}
		if !fails {
			set = less
		}
	}
	return set, nil
}

// turn is the largest share up to which the loads of a set may be found, all of them, for the plan still to pass
// whatever the others take.
func (x *measurer) turn(set []int) (float64, error) {
	passes, broken := 0.0, 1.0
	for range turnSteps {
		mid := (passes + broken) / 2
		fails, err := x.fails(set, mid)
		if err != nil {
			return 0, err
		}
		if !fails {
			passes = mid
		} else {
			broken = mid
		}
	}
	return passes, nil
}

// decisive tells the loads of a set, the one that settles most by itself first.
func (x *measurer) decisive(set []int) ([]DecisiveLoad, error) {
	turn, err := x.turn(set)
	if err != nil {
		return nil, err
	}
	left := make([]float64, len(x.open))
	if err := workers.Each(len(set), func(i int) (err error) {
		left[set[i]], err = x.missing(set[i:i+1], 0)
		return err
	}); err != nil {
		return nil, err
	}
	slices.SortStableFunc(set, func(a, b int) int { return cmp.Compare(left[a], left[b]) })
	var out []DecisiveLoad
	for _, k := range set {
		l := x.site.Loads[x.open[k]]
		at := x.between(k, turn)
		out = append(out, DecisiveLoad{Load: l.Name, CircuitID: l.CircuitID, Low: l.Typical.Low, High: l.Typical.High,
			Turns: loads.Ends{RunningW: at.RunningW, Start: at.Start, HoursPerDay: at.HoursPerDay}})
	}
	return out, nil
}

// Told gives the figures at which it turns as people read them: rounded down to what a sentence writes, so that what is
// found no higher does pass, but never below the low end of the class.
func (d DecisiveLoad) Told() (runningW, startVA, hoursPerDay float64) {
	power := func(v, low float64) float64 {
		step := 1.0
		for v >= 1000*step { // three digits
			step *= 10
		}
		return max(low, step*math.Floor(v/step*(1+verdict.Slack)))
	}
	if d.Turns.Start != nil {
		low := 0.0
		if d.Low.Start != nil {
			low = d.Low.Start.VA()
		}
		startVA = power(d.Turns.Start.VA(), low)
	}
	return power(d.Turns.RunningW, d.Low.RunningW), startVA,
		max(d.Low.HoursPerDay, math.Floor(10*d.Turns.HoursPerDay*(1+verdict.Slack))/10)
}

// Text says in a sentence or two what the figures of classes are worth, and what to measure first; name gives the words
// for a check's id.
func (m Measuring) Text(name func(id string) phrase.Phrase) phrase.Phrase {
	checkNames := func(ids []string) phrase.Phrase {
		var out []phrase.Phrase
		for _, id := range ids {
			out = append(out, name(id))
		}
		return phrase.List(out)
	}
	switch {
	case m.Agrees() && len(m.High.Failing) == 0:
		return phrase.Of("The plan meets the requirements even with every figure of a class at its high end: nothing has " +
			"to be measured for it.")
	case m.Agrees():
		return phrase.Of("The plan fails even with every figure of a class at its low end (%s): measuring alone does not mend it.",
			checkNames(m.Low.Failing))
	}
	var list []phrase.Phrase
	for _, d := range m.Decisive {
		var upTo []phrase.Phrase
		runningW, startVA, hoursPerDay := d.Told()
		if m.ByUse {
			upTo = append(upTo, phrase.Symbols("%s", wording.Amount(runningW, "W")))
		}
		if m.ByStart && d.Turns.Start != nil {
			upTo = append(upTo, phrase.Of("starting with %s", wording.Amount(startVA, "VA")))
		}
		if m.ByUse && d.Low.HoursPerDay < d.High.HoursPerDay {
			upTo = append(upTo, phrase.Of("%s a day", wording.Amount(hoursPerDay, "h")))
		}
		list = append(list, phrase.Of("%q (up to %s)", d.Load, phrase.Separated(upTo, ", ")))
	}
	return phrase.Of("With figures at the high end of their classes these checks fail: %s. Measure first %s: if found "+
		"no higher, the plan meets the requirements whatever the others take.",
		checkNames(m.High.Failing), phrase.List(list))
}
