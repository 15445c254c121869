package outage

import (
	"context"
	"slices"
)

// An Autonomy is how long the bank alone carries everything.
type Autonomy struct {
	// EvenH is the time with every load spread evenly over its windows.
	EvenH float64
	// P10H, P50H and P90H are exceeded by 90, 50 and 10 % of the draws of the loads' rhythms; equal to EvenH if no load
	// has one. The spread is that of the rhythms alone, not of weather or of habits.
	P10H, P50H, P90H float64
	// Capped says that the bank was not empty at the longest time followed, in some draw or in the even case.
	Capped bool
}

// AutonomyOf returns how long the bank of a scenario alone carries all its loads: array and generator are left out, and
// nothing is dropped by its state of charge. Up to maxH hours are followed, 1 to MaxHours; draws is the number of
// seeded draws of the rhythms, 1 to 10,000, with the seeds s.Seed, s.Seed+1 and so on. Times are whole minutes. When
// ctx is done it ends with its error.
func AutonomyOf(ctx context.Context, s Scenario, maxH, draws int) (Autonomy, error) {
	if maxH < 1 || maxH > MaxHours {
		return Autonomy{}, errs.Errorf("longest outage %d h, want 1 to %d", maxH, MaxHours)
	}
	if draws < 1 || draws > 10000 {
		return Autonomy{}, errs.Errorf("%d draws, want 1 to 10000", draws)
	}
	s.PVW, s.Generator, s.EvenSpread = nil, nil, true
	s.Loads = slices.Clone(s.Loads)
	rhythm := false
	for i := range s.Loads {
		l := &s.Loads[i]
		l.DropBelow = 0
		rhythm = rhythm || l.Cycle != nil && !l.HeldOff
	}
	sim, err := NewSim(s)
	if err != nil {
		return Autonomy{}, err
	}
	var a Autonomy
	until := func() float64 {
		dark := sim.untilDark(ctx, maxH*60)
		a.Capped = a.Capped || !dark
		return float64(sim.minute) / 60
	}
	a.EvenH = until()
	if err := ctx.Err(); err != nil {
		return Autonomy{}, err
	}
	a.P10H, a.P50H, a.P90H = a.EvenH, a.EvenH, a.EvenH
	if !rhythm {
		return a, nil
	}
	s.EvenSpread = false
	if sim, err = NewSim(s); err != nil {
		return Autonomy{}, err
	}
	hours := make([]float64, draws)
	for i := range hours {
		sim.again(s.Seed + uint64(i))
		hours[i] = until()
		if err := ctx.Err(); err != nil {
			return Autonomy{}, err
		}
	}
	a.P10H, a.P50H, a.P90H = quantile(hours, 0.1), quantile(hours, 0.5), quantile(hours, 0.9)
	return a, nil
}

// again goes back to the first moment, with the rhythms of another seed.
func (s *Sim) again(seed uint64) {
	s.minute, s.short, s.off = 0, false, false
	s.demand.draw(seed)
	s.s.Bank.Reset(s.s.StartSoC)
}

// untilDark goes on to the first minute that is not served in full, or to the given one. It is [Sim.Run] for outages
// without array, generator and drops, of which no account is kept. It stops anywhere when ctx is done.
func (s *Sim) untilDark(ctx context.Context, minutes int) (dark bool) {
	for ; s.minute < minutes; s.minute++ {
		if s.minute%60 == 0 && ctx.Err() != nil {
			return false
		}
		askedW := s.base() + s.demand.total((s.s.StartMin+s.minute)%minutesPerDay)
		servedW := min(askedW, s.limitW)
		drawW := s.inverter.dcW(servedW)
		if s.s.Bank.Step(drawW, minuteH) < drawW*(1-shortW) || servedW < askedW*(1-shortW) {
			return true
		}
	}
	return false
}
