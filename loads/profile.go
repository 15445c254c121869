package loads

import (
	"math"
	"slices"
)

// A Step is a mean power that holds from StartMin until EndMin.
type Step struct {
	StartMin, EndMin int
	W                float64
}

// A Profile is the mean power through one day: steps in order, from minute 0 to 1440 without gaps. Days
// repeat.
type Profile []Step

// Profile returns the mean power of the set through the day, each load's energy spread evenly over its
// windows.
func (s *Set) Profile() Profile {
	p := make(Profile, len(s.bounds))
	for i, start := range s.bounds {
		end := minutesPerDay
		if i+1 < len(s.bounds) {
			end = s.bounds[i+1]
		}
		p[i] = Step{StartMin: start, EndMin: end, W: s.slots[s.slotOf[i]].meanW}
	}
	return p
}

// EnergyWhPerDay returns the energy of the set in a day. All members of an interlock count: they take
// turns.
func (s *Set) EnergyWhPerDay() float64 {
	wh := 0.0
	for i := range s.loads {
		wh += s.loads[i].EnergyWhPerDay()
	}
	return wh
}

// HourlyW returns the mean power of each hour of the day.
func (p Profile) HourlyW() [24]float64 {
	var hours [24]float64
	for _, st := range p {
		for h := st.StartMin / 60; h*60 < st.EndMin; h++ {
			minutes := min(st.EndMin, h*60+60) - max(st.StartMin, h*60)
			hours[h] += st.W * float64(minutes) / 60
		}
	}
	return hours
}

// EnergyWh returns the energy of hours (0 or more) from startMin on, in Wh. Days repeat; startMin may be
// any minute, a part of one too.
func (p Profile) EnergyWh(startMin, hours float64) float64 {
	return p.sums().energyWh(startMin, hours)
}

// WorstStart returns the start, in minutes from midnight, from which the given hours (0 or more) take the
// largest energy, and that energy in Wh. Of equal ones the earliest counts.
//
// The energy is piecewise linear in the start: it bends where the start or the end crosses a step, so
// those minutes are all that need be tried.
func (p Profile) WorstStart(hours float64) (startMin, wh float64) {
	sums := p.sums()
	rest := math.Mod(hours*60, minutesPerDay)
	starts := []float64{0}
	for _, st := range p {
		at := float64(st.StartMin)
		starts = append(starts, at)
		if at -= rest; at < 0 {
			at += minutesPerDay
		}
		// A rest below half an ulp of a day rounds up to 1440, which is minute 0 again.
		starts = append(starts, math.Mod(at, minutesPerDay))
	}
	slices.Sort(starts)
	var best worst
	for _, at := range slices.Compact(starts) {
		best.offer(sums.energyWh(at, hours), at)
	}
	return best.at, best.value
}

// daySums is a profile with the energy before each step.
type daySums struct {
	steps    Profile
	beforeWh []float64 // energy from minute 0 to the start of each step
	dayWh    float64
}

func (p Profile) sums() daySums {
	d := daySums{steps: p, beforeWh: make([]float64, len(p))}
	for i, st := range p {
		d.beforeWh[i] = d.dayWh
		d.dayWh += st.W * float64(st.EndMin-st.StartMin) / 60
	}
	return d
}

// before returns the energy from minute 0 to minute at of one day, at in [0, 1440].
func (d daySums) before(at float64) float64 {
	i, found := slices.BinarySearchFunc(d.steps, at, func(st Step, at float64) int {
		switch {
		case float64(st.StartMin) < at:
			return -1
		case float64(st.StartMin) > at:
			return 1
		}
		return 0
	})
	if found {
		return d.beforeWh[i]
	}
	i-- // the step that at lies in
	if i < 0 {
		return 0
	}
	return d.beforeWh[i] + d.steps[i].W*(at-float64(d.steps[i].StartMin))/60
}

func (d daySums) energyWh(startMin, hours float64) float64 {
	start := math.Mod(startMin, minutesPerDay)
	if start < 0 {
		start += minutesPerDay
	}
	days, rest := math.Floor(hours/24), math.Mod(hours, 24)*60
	wh := days * d.dayWh
	if end := start + rest; end > minutesPerDay {
		return wh + (d.dayWh - d.before(start)) + d.before(end-minutesPerDay)
	}
	return wh + d.before(start+rest) - d.before(start)
}
