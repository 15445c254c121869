package outage

import (
	"context"
	"slices"
)

// A Draw is what the days of sun and the rhythms of the loads may have been in an outage.
type Draw struct {
	Seed uint64    // of the rhythms
	PVW  []float64 // as that of the scenario
}

// A Brief is what is kept of one of many draws.
type Brief struct {
	UntilDarkH float64 // hours to the first dark minute, or of the whole outage
	Dark       bool    // some minute was
	DarkMin    int     // so many were
	LowestSoC  float64 // of the bank
}

// Brief follows the outage of s, from its first moment on, under another draw and with a bank of its own. s stays as it
// is, and may be asked for several draws side by side: they share what does not depend on them. What comes out is bit
// for bit what a [Sim] of that draw has. When ctx is done it ends with its error.
func (s *Sim) Brief(ctx context.Context, d Draw, bank Bank, minutes int) (Brief, error) {
	sc := s.s
	sc.Seed, sc.PVW, sc.Bank = d.Seed, d.PVW, bank
	if err := sc.checkSun(); err != nil {
		return Brief{}, err
	}
	one := &Sim{s: sc, supply: newSupply(sc.Inverter, sc.ChargeLimitW, sc.Generator, minuteH), terse: true, lowest: 1}
	one.bank, one.restartSoC = bank, sc.RestartSoC
	one.out.Circuits = s.out.Circuits // for their names: a terse simulation books nothing on them
	one.demand = s.demand.copied()
	one.demand.draw(d.Seed)
	bank.Reset(sc.StartSoC)
	for left := minutes; left > 0; left -= 60 {
		if err := ctx.Err(); err != nil {
			return Brief{}, err
		}
		if err := one.Run(min(60, left)); err != nil {
			return Brief{}, err
		}
	}
	out := Brief{DarkMin: one.out.DarkMin, LowestSoC: min(one.lowest, bank.SoC())}
	one.out.Minutes = one.minute
	out.UntilDarkH, out.Dark = one.out.HoursUntilDark()
	return out, nil
}

// copied is a demand that goes its own way; what does not change is shared.
func (d *demand) copied() demand {
	c := demand{loads: slices.Clone(d.loads), turns: make([][]int, len(d.turns)), stretches: d.stretches, at: d.at}
	for i := range c.loads {
		c.loads[i].at = slices.Clone(c.loads[i].at)
	}
	return c
}
