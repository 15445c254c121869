package study

import (
	"cmp"
	"math"
	"slices"

	"outlast/backup/calendar"
	"outlast/backup/facts"
	"outlast/backup/split"
	"outlast/backup/verdict"
	"outlast/loads"
)

// A Level is how long the bank carries the backup board when only loads up to a priority are used.
type Level struct {
	Priority       int // the highest number that is used; medical loads always are
	Loads          int
	EnergyWhPerDay float64
	Hours          float64 // at the end of the bank's life, from the start that is worst for it
	StartMin       float64
	Capped         bool // Hours is where the simulation was ended
}

// Levels lists what stays on how long: with the loads of priority 1 alone, with those of 1 and 2, and so on, as far as
// each adds something; the last one is all of them.
func Levels(p *facts.Facts) ([]Level, error) {
	var out []Level
	for priority := 1; priority <= split.Levels; priority++ {
		used := slices.DeleteFunc(p.InOutage(), func(l loads.Load) bool { return l.Priority > priority && !l.Medical })
		if len(used) == 0 || len(out) > 0 && len(used) == out[len(out)-1].Loads {
			continue
		}
		set := loads.NewSet(p.Site.Phases, used)
		level := Level{Priority: priority, Loads: len(used), EnergyWhPerDay: set.EnergyWhPerDay()}
		var err error
		if level.Hours, level.StartMin, level.Capped, err = p.Least(set, facts.LongestLevelH); err != nil {
			return nil, err
		}
		out = append(out, level)
	}
	return out, nil
}

// A Shedding is which loads to switch off from the beginning of an outage, so that the bank lasts for a wished time.
type Shedding struct {
	WishedH, NowH float64
	Reached       bool // else the bank is too small even with all of them off
	Drops         []Drop
}

// A Drop is one load that is switched off.
type Drop struct {
	Load           string
	CircuitID      string
	Priority       int
	EnergyWhPerDay float64
	Hours          float64 // that the bank lasts with this one and all before it off
	Capped         bool
}

// Shed finds the loads to switch off so that the bank lasts for wishedH hours (above 0) at the end of its life, from
// whatever start: as few as possible of the most important, then of the next, and so on. They are listed in the order
// in which people would do without them: the least important first, of those the one that takes most. Medical loads are
// never among them.
func Shed(p *facts.Facts, wishedH float64) (Shedding, error) {
	s := shedder{plan: p, hours: wishedH, off: map[string]bool{}, byLevel: map[int][]loads.Load{}}
	out := Shedding{WishedH: wishedH}
	now, _, _, err := s.lasting(facts.LongestWalkH)
	if err != nil {
		return out, err
	}
	if out.NowH, out.Reached = now, s.reached(); out.Reached {
		return out, s.err
	}
	out.Reached = s.choose()
	for _, l := range s.candidates() {
		if s.off[l.Name] {
			out.Drops = append(out.Drops, Drop{Load: l.Name, CircuitID: l.CircuitID, Priority: l.Priority,
				EnergyWhPerDay: l.EnergyWhPerDay()})
		}
	}
	s.off = map[string]bool{}
	for i := range out.Drops {
		d := &out.Drops[i]
		s.off[d.Load] = true
		if d.Hours, _, d.Capped, err = s.lasting(max(facts.LongestLevelH, wishedH)); err != nil {
			return out, err
		}
	}
	return out, s.err
}

type shedder struct {
	plan    *facts.Facts
	hours   float64
	off     map[string]bool // by the load's name
	byLevel map[int][]loads.Load
	tries   int
	err     error
}

// candidates are the loads that may go, in the order in which they are named.
func (s *shedder) candidates() []loads.Load {
	out := slices.DeleteFunc(s.plan.InOutage(), func(l loads.Load) bool { return l.Medical || l.EnergyWhPerDay() == 0 })
	slices.SortFunc(out, func(a, b loads.Load) int {
		return cmp.Or(cmp.Compare(b.Priority, a.Priority), cmp.Compare(b.EnergyWhPerDay(), a.EnergyWhPerDay()),
			cmp.Compare(a.Name, b.Name))
	})
	return out
}

func (s *shedder) left() *loads.Set {
	return loads.NewSet(s.plan.Site.Phases, slices.DeleteFunc(s.plan.InOutage(),
		func(l loads.Load) bool { return s.off[l.Name] }))
}

func (s *shedder) lasting(walkH float64) (hours, startMin float64, capped bool, err error) {
	return s.plan.Least(s.left(), walkH)
}

// reached says whether the bank lasts for the wished hours with what is off now. The start that takes most energy is
// tried first: it mostly tells.
func (s *shedder) reached() bool {
	if s.err == nil {
		s.err = s.plan.Shared.Ctx.Err()
	}
	if s.err != nil {
		return false
	}
	left := s.left()
	profile := left.Profile()
	m, err := s.plan.ModelUnder(left.Scheduled().W, s.plan.Site.Practice.EndOfLife)
	if err != nil {
		s.err = err
		return false
	}
	start, _ := profile.WorstStart(s.hours)
	if _, all := s.plan.Lasts(profile, m, math.Mod(start, calendar.DayMin), s.hours); !all {
		return false
	}
	hours, _, _, err := s.plan.Least(left, s.hours)
	s.err = err
	return err == nil && hours >= s.hours*(1-verdict.Slack)
}

// choose switches loads off until the wish is reached, and says whether it can be. First whole priorities go, the least
// important ones first, until one is decisive; then the best choice from that priority on is looked for.
func (s *shedder) choose() bool {
	for _, l := range s.candidates() {
		s.byLevel[l.Priority] = append(s.byLevel[l.Priority], l)
	}
	decisive := 0
	for level := split.Levels; level >= 1 && decisive == 0; level-- {
		s.set(s.byLevel[level], true)
		if s.reached() {
			decisive = level
		}
	}
	if decisive == 0 {
		return false
	}
	best := s.best(decisive)
	s.off = map[string]bool{}
	s.set(best.off, true)
	return true
}

func (s *shedder) set(list []loads.Load, off bool) {
	for _, l := range list {
		s.off[l.Name] = off
	}
}

// A shed is a choice of loads that are off, from one priority on.
type shed struct {
	off    []loads.Load
	counts []int // by priority, the more important first
}

func (a shed) better(b shed) bool {
	return cmp.Or(slices.Compare(a.counts, b.counts), cmp.Compare(energyOf(a.off), energyOf(b.off))) < 0
}

func energyOf(ls []loads.Load) float64 {
	wh := 0.0
	for _, l := range ls {
		wh += l.EnergyWhPerDay()
	}
	return wh
}

// Bounds of the search: how many choices of so many loads of one priority are compared, and how many in all. Beyond,
// the largest loads go first.
const (
	mostSubsets = 500
	mostSheds   = 3000
)

// best is the best choice from a priority on, when what matters more stays as it is: the fewest of that priority, then
// of the next, and so on; of as many those that take least in a day. All of them off reach the wish.
func (s *shedder) best(level int) shed {
	if level > split.Levels {
		return shed{}
	}
	list := s.byLevel[level]
	for size := range len(list) + 1 {
		var best *shed
		for _, some := range s.choices(list, size) {
			for lower := level + 1; lower <= split.Levels; lower++ {
				s.set(s.byLevel[lower], true)
			}
			s.set(list, false)
			s.set(some, true)
			if s.tries++; !s.reached() {
				continue
			}
			rest := s.best(level + 1)
			full := shed{append(slices.Clone(some), rest.off...), append([]int{len(some)}, rest.counts...)}
			if best == nil || full.better(*best) {
				best = &full
			}
			if len(rest.off) == 0 { // nothing else has to go; the choices that follow take more
				break
			}
		}
		if best != nil {
			return *best
		}
	}
	return shed{list, []int{len(list)}}
}

// choices are the ways of leaving so many loads of a list off, those that take least first; of too many only the
// largest.
func (s *shedder) choices(list []loads.Load, size int) [][]loads.Load {
	if chooses(len(list), size) > mostSubsets || s.tries > mostSheds {
		return [][]loads.Load{list[:size]}
	}
	return lightest(list, size)
}

// lightest lists all choices of so many loads, those that take least in a day first.
func lightest(list []loads.Load, size int) [][]loads.Load {
	out := split.Combinations(list, size)
	slices.SortStableFunc(out, func(a, b []loads.Load) int { return cmp.Compare(energyOf(a), energyOf(b)) })
	return out
}

// chooses is how many ways there are to choose k of n, or more than mostSubsets.
func chooses(n, k int) int {
	out := 1
	for i := range min(k, n-k) {
		if out = out * (n - i) / (i + 1); out > mostSubsets {
			return out
		}
	}
	return out
}
