package outage

import (
	"math"
	"slices"
)

// A Day is the mean day of an outage that has lasted for some time.
type Day struct {
	GeneratorH, FuelL float64
	DarkMin           int // in all that was followed
	// Holds says that it can go on like this: the days repeat, the charge does not sink, or the generator rests now and
	// then, or always.
	Holds bool
}

const (
	alikeSoC      = 1e-4 // how near two midnights are in charge for the days between them to repeat
	enoughDays    = 14   // of which the mean is taken where they do not
	enoughStarts  = 8
	mostEqualDays = 60
)

// Daily follows an outage through the days of its array or, where these are all alike, until one of them ends as an
// earlier one did. The mean is that from one start of the generator to a later one, from its only one where it does not
// stop again, or else of all days. It is best followed from the charge at which the generator stops.
func Daily(s Scenario) (Day, error) {
	sim, err := NewSim(s)
	if err != nil {
		return Day{}, err
	}
	sim.terse = true
	ahead := newGlide(sim)
	days, alike := s.pvMinutes()/minutesPerDay, s.pvMinutes() <= minutesPerDay
	if alike {
		days = mostEqualDays
	}
	var midnights, starts []mark
	for day := range days {
		now := sim.mark()
		if alike {
			if i := slices.IndexFunc(midnights, now.alike); i >= 0 {
				return now.since(midnights[i], true), nil
			}
			if day >= enoughDays && (s.Generator == nil || len(starts) > enoughStarts) {
				break
			}
		}
		midnights = append(midnights, now)
		for left := minutesPerDay; left > 0; {
			if minutes := ahead.through(left); minutes > 0 {
				left -= minutes
				continue
			}
			was := sim.runs()
			sim.step()
			if left--; !was && sim.runs() {
				starts = append(starts, sim.mark())
			}
		}
	}
	if last := len(starts) - 1; last >= 1 {
		return starts[last].since(starts[0], true), nil
	}
	now := sim.mark()
	if now.running && len(starts) == 1 {
		return now.since(starts[0], now.soc >= starts[0].soc-alikeSoC), nil
	}
	return now.since(midnights[0], s.Generator != nil || now.soc >= midnights[len(midnights)-1].soc-alikeSoC), nil // it rests most of the time
}

// A mark is how far an outage has come.
type mark struct {
	minute, generatorMin, darkMin int
	fuelL, soc                    float64
	running, off                  bool // the generator; the bank
}

func (s *Sim) mark() mark {
	return mark{s.minute, s.out.GeneratorMin, s.out.DarkMin, s.out.FuelL, s.s.Bank.SoC(), s.runs(), s.off}
}

// runs says whether the generator does.
func (s *Sim) runs() bool { return s.engine != nil && s.engine.running }

// alike says whether from here on things go as they went from there on.
func (m mark) alike(there mark) bool {
	return m.running == there.running && m.off == there.off && math.Abs(m.soc-there.soc) < alikeSoC
}

// since is the mean day from an earlier mark on.
func (m mark) since(there mark, holds bool) Day {
	days := float64(m.minute-there.minute) / minutesPerDay
	return Day{GeneratorH: float64(m.generatorMin-there.generatorMin) / 60 / days,
		FuelL: (m.fuelL - there.fuelL) / days, DarkMin: m.darkMin, Holds: holds}
}
