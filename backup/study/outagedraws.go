package study

import (
	"context"
	"slices"

	"outlast/backup/facts"
	"outlast/backup/site"
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
	var until, dark, lowest []float64
	for i := range uint64(site.SpreadDraws) {
		if err := ctx.Err(); err != nil {
			return d, false, err
		}
		one := o
		one.Seed += i
		r, err := RunOutage(ctx, p, one)
		if err != nil {
			return d, false, err
		}
		hours, isDark := r.HoursUntilDark()
		if isDark {
			d.Dark++
		}
		least := 1.0
		for _, soc := range r.SoC {
			least = min(least, soc)
		}
		until, dark, lowest = append(until, hours), append(dark, float64(r.DarkMin)/60), append(lowest, least)
	}
	d.Draws = site.SpreadDraws
	d.UntilDarkH, d.DarkH, d.LowestSoC = site.TenthsOf(until), site.TenthsOf(dark), site.TenthsOf(lowest)
	return d, true, nil
}

// rhythmsDrawn tells whether loads of the outage have a rhythm that is followed.
func rhythmsDrawn(p *facts.Facts, o OutageOptions) bool {
	return !o.EvenSpread && slices.ContainsFunc(p.InOutage(), func(l loads.Load) bool { return l.Cycle != nil })
}

// sunDrawn tells whether days of sun are drawn: those of a weather file are what they are.
func sunDrawn(p *facts.Facts, o OutageOptions) bool {
	return !o.NoArray && slices.ContainsFunc(p.Site.Arrays, func(a site.Array) bool {
		_, table := p.Site.Monthly(a)
		return table && a.Hours == nil
	})
}
