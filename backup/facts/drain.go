package facts

import (
	"math"
	"sort"

	"outlast/backup/calendar"
	"outlast/battery"
)

// A drain is a lithium bank under the loads of a day. What was drawn is gone, in whatever order it was: the bank ends in
// the first step by whose end the sum meets the lowest charge that its power may leave. So a start is followed by a
// search instead of a walk.
type drain struct {
	powers    []dcStep
	startWh   float64   // inside
	whPerW    float64   // inside, in a minute, for a watt at the terminals
	drawnWh   []float64 // from midnight to the end of each step
	lowestWh  []float64 // that each step may leave; minus infinity where it asks nothing
	highestWh float64   // of lowestWh
}

// newDrain makes one of a bank as it is; nil where more than the sum decides.
func newDrain(powers []dcStep, m battery.State) *drain {
	bank, ok := m.(*battery.Lithium)
	if !ok {
		return nil
	}
	in := bank.Inside()
	d := &drain{powers: powers, startWh: in.Stored, whPerW: 1 / in.Outward / 60, drawnWh: make([]float64, len(powers)),
		lowestWh: make([]float64, len(powers)), highestWh: math.Inf(-1)}
	minute, drawn := 0, 0.0
	for i, st := range powers {
		if st.w > in.Most {
			return nil
		}
		drawn += st.w * float64(st.endMin-minute) * d.whPerW
		minute, d.drawnWh[i], d.lowestWh[i] = st.endMin, drawn, math.Inf(-1)
		if st.w > 0 {
			d.lowestWh[i] = bank.Lowest(st.w)
		}
		d.highestWh = max(d.highestWh, d.lowestWh[i])
	}
	return d
}

// lasts is [lasts] to some last digits.
func (d *drain) lasts(minute, walkH float64) lasting {
	n, dayWh := len(d.powers), d.drawnWh[len(d.powers)-1]
	first, earlier := sort.Search(n, func(i int) bool { return float64(d.powers[i].endMin) > minute }), 0
	if first == n { // at the very end of the day
		first, minute, earlier = 0, minute-calendar.DayMin, n
	}
	// The sum since the midnight before the start at which the bank would hold nothing.
	emptyWh := d.startWh + d.drawnWh[first] -
		d.powers[first].w*(float64(d.powers[first].endMin)-minute)*d.whPerW
	never := lasting{walkH, true, first, true}
	if dayWh <= 0 {
		return never
	}
	// No step ends it before the sum is near enough to empty for the one that must leave most.
	day := max(0, int((emptyWh-d.highestWh)/dayWh))
	step := sort.Search(n, func(i int) bool { return float64(day)*dayWh+d.drawnWh[i]+d.highestWh > emptyWh })
	if day == 0 {
		step = max(step, first)
	}
	for ; ; step++ {
		if step >= n {
			step, day = step-n, day+1
		}
		before, fromMin := 0.0, 0.0
		if step > 0 {
			before, fromMin = d.drawnWh[step-1], float64(d.powers[step-1].endMin)
		}
		if from := (float64(day)*calendar.DayMin + fromMin - minute) / 60; from >= walkH {
			return never
		}
		if float64(day)*dayWh+d.drawnWh[step]+d.lowestWh[step] <= emptyWh {
			continue
		}
		before += float64(day) * dayWh
		fromMin += float64(day) * calendar.DayMin
		if day == 0 && step == first {
			before, fromMin = emptyWh-d.startWh, minute
		}
		lasts := max(0, (emptyWh-before-d.lowestWh[step])/(d.powers[step].w*d.whPerW)/60)
		if hours := (fromMin-minute)/60 + lasts; hours < walkH {
			return lasting{hours, false, earlier + day*n + step, lasts > 0}
		}
		return never
	}
}
