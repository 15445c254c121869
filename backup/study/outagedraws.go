package study

import (
	"context"
	"slices"

	"outlast/backup/facts"
	"outlast/backup/outage"
	"outlast/backup/site"
	"outlast/backup/workers"
	"outlast/loads"
)

// OutageDraws is the spread of one outage over draws of the days of sun and of the rhythms of the loads.
type OutageDraws struct {
	Sun, Rhythms bool        // what is drawn
	Draws, Dark  int         // Dark: of these so many in which something loses power within the hours
	UntilDarkH   site.Tenths // 10 % of the draws lose power by the first, half of them by the second; where nothing does, the whole outage counts
	DarkH        site.Tenths // hours in which something was dark
	LowestSoC    site.Tenths // of the bank
}

// DrawOutage follows the outage under spreadDraws seeds, from that of the options on. ok is false where nothing is
// drawn: no array under a table of months, and no rhythm.
func DrawOutage(ctx context.Context, p *facts.Facts, o OutageOptions) (d OutageDraws, ok bool, err error) {
	month, err := inMonth(ctx, p, o.Month)
	if err != nil {
		return d, false, err
	}
	if d.Sun, d.Rhythms = sunDrawn(month, o), rhythmsDrawn(month, o); !d.Sun && !d.Rhythms {
		return d, false, nil
	}
	o.Month = month.Month
	set, err := setOut(ctx, month, o)
	if err != nil {
		return d, false, err
	}
	sim, err := outage.NewSim(set.scenario)
	if err != nil {
		return d, false, errOutage(err)
	}
	var until, dark, lowest [site.SpreadDraws]float64
	var isDark [site.SpreadDraws]bool
	if err := workers.Each(site.SpreadDraws, func(i int) error {
		draw := outage.Draw{Seed: o.Seed + uint64(i)}
		var err error
		if draw.PVW, err = set.sunOf(draw.Seed); err != nil {
			return err
		}
		r, err := sim.Brief(ctx, draw, set.bank.Copy(), 60*o.Hours)
		if err := ctx.Err(); err != nil {
			return err
		}
		if err != nil {
			return errOutage(err)
		}
		until[i], isDark[i], dark[i], lowest[i] = r.UntilDarkH, r.Dark, float64(r.DarkMin)/60, r.LowestSoC
		return nil
	}); err != nil {
		return d, false, err
	}
	for _, is := range isDark {
		if is {
			d.Dark++
		}
	}
	d.Draws = site.SpreadDraws
	d.UntilDarkH, d.DarkH, d.LowestSoC = site.TenthsOf(until[:]), site.TenthsOf(dark[:]), site.TenthsOf(lowest[:])
	return d, true, nil
}

// rhythmsDrawn tells whether loads of the outage have a rhythm that is followed.
func rhythmsDrawn(p *facts.Facts, o OutageOptions) bool {
	return !o.EvenSpread && !o.Measured && slices.ContainsFunc(p.InOutage(),
		func(l loads.Load) bool { return l.Cycle != nil })
}

// sunDrawn tells whether days of sun are drawn: those of a weather file are what they are.
func sunDrawn(p *facts.Facts, o OutageOptions) bool {
	return !o.NoArray && slices.ContainsFunc(p.Site.Arrays, func(a site.Array) bool {
		_, table := p.Site.Monthly(a)
		return table && a.Hours == nil
	})
}
