package loads

import "slices"

// Typical tells what of a load's figures is not known of it, but taken from its class of appliances.
type Typical struct {
	Class     string   // id of the class in the catalog
	Label     string   // words of the class with which the planner named the load; "": the site file names it
	Keys      []string // of the site file that the class filled, in the order of the table of keys
	Low, High Ends     // of what is met in homes; equal to the load's own figures where the site file gives them
}

// Ends are the figures of one unit that spread most within a class, at one end of their spread.
type Ends struct {
	RunningW    float64
	Start       *Start // nil: it draws no more while it starts
	HoursPerDay float64
}

// AtHigh returns the load with the figures at the high end of its class; a load without a class as it is.
func (l Load) AtHigh() Load {
	if l.Typical == nil {
		return l
	}
	high := l.Typical.High
	l.RunningW, l.Start, l.HoursPerDay = high.RunningW, high.Start, high.HoursPerDay
	return l
}

// figureKeys are the keys of a site file that tell how much a load takes and for how long.
var figureKeys = []string{"running_w", "power_factor", "starting_va", "starting_w", "starting_pf", "starting_s",
	"motor", "hours_per_day"}

// RestsOnClass tells whether any figure of what the load takes is that of its class. When it is used, and what it is
// worth to the home, are no such figures.
func (l *Load) RestsOnClass() bool {
	return l.Typical != nil && slices.ContainsFunc(l.Typical.Keys,
		func(key string) bool { return slices.Contains(figureKeys, key) })
}

// Between returns the load with figures between the ends of its class: at its low end with share 0, at its high end
// with 1; uses is the share of what it runs with and for how long, starts that of its start. A start that the low end
// does not have grows from what the load runs with; its seconds are those of the longer one. A load without a class
// stays as it is.
func (l Load) Between(uses, starts float64) Load {
	if l.Typical == nil {
		return l
	}
	low, high := l.Typical.Low, l.Typical.High
	mix := func(share, a, b float64) float64 { return a + share*(b-a) }
	l.RunningW, l.HoursPerDay = mix(uses, low.RunningW, high.RunningW), mix(uses, low.HoursPerDay, high.HoursPerDay)
	l.Start = nil
	from, to := low.Start, high.Start
	if from == nil && to == nil || starts == 0 && from == nil {
		return l
	}
	runs := l.Running()
	at := func(s *Start) Start {
		if s == nil {
			return Start{Power: runs}
		}
		return *s
	}
	a, b := at(from), at(to)
	l.Start = &Start{
		Power:   a.Power.Scale(1 - starts).Add(b.Power.Scale(starts)),
		PlainVA: mix(starts, a.PlainVA, b.PlainVA), Seconds: max(a.Seconds, b.Seconds),
		PFAssumed: a.PFAssumed || b.PFAssumed,
	}
	return l
}
