package loads

import (
	"cmp"
	"maps"
	"math/bits"
	"slices"
)

// A Crowd are loads of one interlock whose hours a day are more than their windows hold, as only one runs at a time.
type Crowd struct {
	Names       []string // in the order of the alphabet
	HoursPerDay float64  // of all of them
	Hours       float64  // that the windows of all of them hold
}

// Crowds finds, of each interlock that asks for more hours than there are, the members that lack most. The order of
// the interlocks and of their members is that of their names, so that files that differ in order alone are told the
// same. Which loads are counted is the caller's business.
func Crowds(ls []Load) (out []Crowd) {
	members := map[string][]Load{}
	for _, l := range ls {
		if l.Interlock != "" {
			members[l.Interlock] = append(members[l.Interlock], l)
		}
	}
	for _, name := range slices.Sorted(maps.Keys(members)) {
		slices.SortStableFunc(members[name], func(a, b Load) int { return cmp.Compare(a.Name, b.Name) })
		if c := mostCrowded(members[name]); len(c.Names) > 0 {
			out = append(out, c)
		}
	}
	return out
}

// mostSpans bounds the parts of the day that are tried for one interlock: all of them up to ten members with different
// windows. With more, what lacks may go untold but for all members together.
const mostSpans = 1 << 10

// mostCrowded tries every part of the day that windows of some members make up: whoever may run in it only must find
// room in it. By Hall's theorem the hours fit if they do in each of these.
func mostCrowded(members []Load) (worst Crowd) {
	opens := make([]daySpan, len(members))
	spans, all := []daySpan{{}}, daySpan{}
	for i, l := range members {
		opens[i] = spanOf(l)
		all = all.with(opens[i])
		for _, s := range slices.Clone(spans) {
			if s = s.with(opens[i]); len(spans) < mostSpans && !slices.Contains(spans, s) {
				spans = append(spans, s)
			}
		}
	}
	for _, s := range append(spans, all) {
		c := Crowd{Hours: s.hours()}
		for i, l := range members {
			if s.with(opens[i]) == s && l.HoursPerDay > 0 {
				c.Names, c.HoursPerDay = append(c.Names, l.Name), c.HoursPerDay+l.HoursPerDay
			}
		}
		if over := c.HoursPerDay - c.Hours; over > c.Hours*hoursRounding && over > worst.HoursPerDay-worst.Hours {
			worst = c
		}
	}
	return worst
}

// A daySpan holds some minutes of a day, a bit for each.
type daySpan [(minutesPerDay + 63) / 64]uint64

// spanOf are the minutes at which a load may be on.
func spanOf(l Load) (s daySpan) {
	for m := range minutesPerDay {
		if l.ActiveAt(m) {
			s[m/64] |= 1 << (m % 64)
		}
	}
	return s
}

func (s daySpan) with(other daySpan) daySpan {
	for i := range s {
		s[i] |= other[i]
	}
	return s
}

func (s daySpan) hours() float64 {
	minutes := 0
	for _, word := range s {
		minutes += bits.OnesCount64(word)
	}
	return float64(minutes) / 60
}
