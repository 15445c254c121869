package outage

import (
	"cmp"
	"errors"
	"slices"
	"time"
)

// Starts holds what became of an outage from each start hour of a year.
type Starts struct {
	Hours []int // whole hours survived from hour 0, 1, ... of the year, at most MaxH
	MaxH  int   // longest outage that was followed: Hours of MaxH means "MaxH or more"
}

// Curve returns the survival curve: element d is the share of the starts that outlast an outage of d hours, for d from
// 0 to MaxH. It begins with 1 and never rises.
func (s Starts) Curve() []float64 {
	count := make([]int, s.MaxH+1)
	for _, h := range s.Hours {
		count[h]++
	}
	curve := make([]float64, s.MaxH+1)
	lasting := 0
	for d := s.MaxH; d >= 0; d-- {
		lasting += count[d]
		curve[d] = float64(lasting) / float64(len(s.Hours))
	}
	return curve
}

// Chance returns the share of the starts that outlast an outage of d whole hours, 0 to MaxH.
func (s Starts) Chance(d int) (float64, error) {
	if d < 0 || d > s.MaxH {
		return 0, errs.Errorf("chance to outlast %d h, want 0 to %d, the longest that was followed", d, s.MaxH)
	}
	lasting := 0
	for _, h := range s.Hours {
		if h >= d {
			lasting++
		}
	}
	return float64(lasting) / float64(len(s.Hours)), nil
}

// MeanH is the mean of the hours survived; hours beyond MaxH do not count.
func (s Starts) MeanH() float64 {
	sum := 0
	for _, h := range s.Hours {
		sum += h
	}
	return float64(sum) / float64(len(s.Hours))
}

// A Start is one start hour and what became of it.
type Start struct {
	Index     int // hour of the year, from 0
	SurvivedH int // whole hours
}

// Worst returns the n starts that survive least, the shortest first and of equal ones the earliest first; all starts if
// there are no more than n.
func (s Starts) Worst(n int) []Start {
	all := make([]Start, len(s.Hours))
	for i, h := range s.Hours {
		all[i] = Start{Index: i, SurvivedH: h}
	}
	slices.SortFunc(all, func(a, b Start) int {
		return cmp.Or(cmp.Compare(a.SurvivedH, b.SurvivedH), cmp.Compare(a.Index, b.Index))
	})
	return all[:min(max(n, 0), len(all))]
}

// A Cell sums up the starts of one month at one hour of the day.
type Cell struct {
	Starts int     // days of the month
	MeanH  float64 // mean hours survived
	LeastH int     // fewest hours survived
	Chance float64 // share that outlasts the wished hours
}

// MonthHour returns a table of the starts by month (January is 0) and hour of the day. Chance is that to outlast d
// hours, 0 to MaxH. The year must be a calendar year of 8,760 or 8,784 hours that begins on 1 January at midnight.
func (s Starts) MonthHour(d int) (table [12][24]Cell, err error) {
	if d < 0 || d > s.MaxH {
		return table, errs.Errorf("chance to outlast %d h, want 0 to %d, the longest that was followed", d, s.MaxH)
	}
	month, err := months(len(s.Hours))
	if err != nil {
		return table, err
	}
	for i, h := range s.Hours {
		c := &table[month[i/24]][i%24]
		if c.Starts == 0 || h < c.LeastH {
			c.LeastH = h
		}
		c.Starts++
		c.MeanH += float64(h)
		if h >= d {
			c.Chance++
		}
	}
	for m := range table {
		for h := range table[m] {
			c := &table[m][h]
			c.MeanH /= float64(c.Starts)
			c.Chance /= float64(c.Starts)
		}
	}
	return table, nil
}

var errNoCalendar = errors.New("want a calendar year of 8760 or 8784 hours")

// months returns the month, 0 to 11, of each day of a calendar year of that many hours.
func months(hours int) ([]int, error) {
	year := 2001 // any common year; 2004 any leap year
	switch hours {
	case 8760:
	case 8784:
		year = 2004
	default:
		return nil, errs.Errorf("%d hours: %w", hours, errNoCalendar)
	}
	days := make([]int, hours/24)
	for d := range days {
		days[d] = int(time.Date(year, time.January, 1+d, 0, 0, 0, 0, time.UTC).Month()) - 1
	}
	return days, nil
}
