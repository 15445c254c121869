package loads

import (
	"cmp"
	"slices"
)

// A RestartDay is an order in which everything of a set is switched on, whatever the time of the day: at each minute the loads that are
// scheduled then are switched on in this order, the others are passed over.
type RestartDay struct {
	// Steps holds for each place the loads that may take it: one, or the members of an interlock, those with the largest start first.
	// No load of the set is missing. It is nil if no order does for every minute, though each minute may have its own.
	Steps [][]string
	// First is how many of the steps must keep to their order. Each of those behind them can start while all else runs: they may
	// follow in any order.
	First int
}

// RestartDay looks for an order in which everything can be switched on, with the ratings of [Set.Restart].
//
// It works as the order of one minute does ([sequencer]): what can be switched on while everything that has no place yet runs, at every
// minute at which it is scheduled, may be given the last place. The choice is never regretted, for the same reason: what fits on top of a
// set fits on top of every subset. First those are put to the end that fit on top of everything.
func (s *Set) RestartDay(ratingVA func(seconds float64) float64) RestartDay {
	q := newSequencer(s, ratingVA)
	steps := q.steps()
	var day RestartDay
	last := func(i int) {
		step := steps[i]
		for k, e := range step.at {
			step.moments[k].remove(e)
		}
		day.Steps = append(day.Steps, step.names(q))
		steps = slices.Delete(steps, i, i+1)
	}
	var free []*dayStep
	for _, step := range steps {
		if step.fits() {
			free = append(free, step)
		}
	}
	for _, step := range free {
		last(slices.Index(steps, step))
	}
	for len(steps) > 0 {
		i := slices.IndexFunc(steps, (*dayStep).fits)
		if i < 0 {
			return RestartDay{}
		}
		last(i)
	}
	slices.Reverse(day.Steps)
	day.First = len(day.Steps) - len(free)
	return day
}

// A dayStep is a load, or an interlock, at all the moments at which it is switched on.
type dayStep struct {
	members []int // by size of their start, the largest first
	moments []*moment
	at      []*entry // its place at each moment
}

func (d *dayStep) fits() bool {
	for k, e := range d.at {
		if !d.moments[k].fits(e) {
			return false
		}
	}
	return true
}

func (d *dayStep) names(q *sequencer) []string {
	var out []string
	for _, i := range d.members {
		out = append(out, q.set.loads[i].Name)
	}
	return out
}

// steps are the loads and the interlocks of the day, the smallest start first, as they are ranked. Moments whose loads are all on at
// another one too ask nothing of their own.
func (q *sequencer) steps() []*dayStep {
	s := q.set
	byKey := map[int]*dayStep{} // loads by their place, interlocks behind them
	var out []*dayStep
	for _, i := range q.ranked {
		key := i
		if s.group[i] >= 0 {
			key = len(s.loads) + s.group[i]
		}
		if byKey[key] == nil {
			byKey[key] = &dayStep{}
			out = append(out, byKey[key])
		}
		byKey[key].members = append([]int{i}, byKey[key].members...)
	}
	// An interlock stands where its largest start does, as in the order of a minute.
	place := make([]int, len(s.loads))
	for at, i := range q.ranked {
		place[i] = at
	}
	slices.SortStableFunc(out, func(a, b *dayStep) int { return cmp.Compare(place[a.members[0]], place[b.members[0]]) })

	var fullest []int
	for k := range s.slots {
		if !slices.ContainsFunc(fullest, func(o int) bool { return s.slots[k].within(&s.slots[o]) }) {
			fullest = slices.DeleteFunc(fullest, func(o int) bool { return s.slots[o].within(&s.slots[k]) })
			fullest = append(fullest, k)
		}
	}
	for _, k := range fullest {
		m := q.moment(k)
		for _, e := range m.entries {
			key := e.members[0]
			if e.group >= 0 {
				key = len(s.loads) + s.group[e.members[0]]
			}
			byKey[key].moments, byKey[key].at = append(byKey[key].moments, m), append(byKey[key].at, e)
		}
	}
	return out
}
