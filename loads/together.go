package loads

import (
	"cmp"
	"slices"
)

// A together finds what the interlocks may add when everything starts at once, by how long that lasts. It
// remembers, because many slots share a state.
type together struct {
	set    *Set
	starts []draw
	known  map[togetherKey][]startChoice
}

type togetherKey struct {
	state   int
	seconds float64 // the longest start of the loads without interlock
}

// A startChoice is all choices of the interlocks whose longest start, together with that of the loads
// without interlock, lasts equally long: the sums that may be the largest, by lane.
type startChoice struct {
	seconds  float64 // 0: nothing starts
	vertices [maxLanes][]draw
}

func (s *Set) together(starts []draw) *together {
	return &together{s, starts, map[togetherKey][]startChoice{}}
}

// startSeconds returns how long the start of load i lasts; 0 if it has none.
func (s *Set) startSeconds(i int) float64 {
	if l := &s.loads[i]; l.starts() {
		return l.Start.Seconds
	}
	return 0
}

// choices returns the choices of a slot, the shortest first.
//
// One pass over all members would compare the largest start with the rating for the longest one, though
// no choice may hold both.
func (t *together) choices(sl *slot) []startChoice {
	s := t.set
	alone, longest := 0.0, 0.0
	for _, i := range sl.on {
		longest = max(longest, s.startSeconds(int(i)))
		if s.group[i] < 0 {
			alone = max(alone, s.startSeconds(int(i)))
		}
	}
	key := togetherKey{sl.state, alone}
	if list, known := t.known[key]; known {
		return list
	}
	members := s.states[sl.state].members
	var list []startChoice
	if alone == longest {
		list = append(list, t.sums(alone, members))
	} else {
		durations := []float64{alone}
		for _, group := range members {
			for _, i := range group {
				durations = append(durations, s.startSeconds(i))
			}
		}
		slices.SortFunc(durations, cmp.Compare[float64])
		for _, seconds := range slices.Compact(durations) {
			if seconds < alone {
				continue
			}
			list = append(list, t.lasting(seconds, alone, members)...)
		}
	}
	t.known[key] = list
	return list
}

// lasting returns the choices whose longest start is seconds long: where the loads without interlock don't
// last that long, some interlock must.
func (t *together) lasting(seconds, alone float64, members [][]int) []startChoice {
	upTo := make([][]int, len(members))
	for g := range members {
		upTo[g] = t.members(members[g], func(s float64) bool { return s <= seconds })
		if upTo[g] == nil {
			return nil
		}
	}
	if alone == seconds {
		return []startChoice{t.sums(seconds, upTo)}
	}
	var list []startChoice
	for g := range members {
		if is := t.members(members[g], func(s float64) bool { return s == seconds }); is != nil {
			forced := slices.Clone(upTo)
			forced[g] = is
			list = append(list, t.sums(seconds, forced))
		}
	}
	return list
}

// members returns those whose start lasts as wanted; nil if none does.
func (t *together) members(group []int, wanted func(seconds float64) bool) []int {
	var kept []int
	for _, i := range group {
		if wanted(t.set.startSeconds(i)) {
			kept = append(kept, i)
		}
	}
	return kept
}

func (t *together) sums(seconds float64, members [][]int) startChoice {
	c := startChoice{seconds: seconds}
	for lane := range t.set.lanes {
		groups := make([][]draw, len(members))
		for g := range members {
			for _, i := range members[g] {
				groups[g] = append(groups[g], t.set.inLane(i, lane, t.starts[i]))
			}
		}
		c.vertices[lane] = vertices(groups)
	}
	return c
}
