package study

import (
	"context"
	"errors"
	"fmt"
	"math"

	"outlast/backup/calendar"
	"outlast/backup/facts"
	"outlast/backup/fault"
	"outlast/backup/outage"
	"outlast/backup/phrase"
	"outlast/backup/site"
)

// OutageOptions say which outage to follow. The zero value is the one that plan and papers promise to outlast: it
// begins at the moment that is worst for the bank, in the plan's month, with its reserve and an old bank; everything
// that recharges is included.
type OutageOptions struct {
	Hours       int
	Start       *int // minute of the day, 0 to 1439; nil: the worst moment of the month
	Month       int  // 1 to 12; 0: the plan's
	Sky         Sky
	New         bool // the bank is new, not at the end of its life
	EvenSpread  bool // loads are spread evenly instead of following their rhythm
	NoArray     bool
	NoGenerator bool
	Seed        uint64 // of the rhythms, and of the days of sun
}

// A Sky says on which of the drawn days of the month the outage begins.
type Sky string

// The skies: the first days as they come, or the run of days, as long as the outage, on which the arrays give most or
// least.
const (
	SkyDrawn Sky = ""
	SkySunny Sky = "sunny"
	SkyDull  Sky = "dull"
)

// MaxOutageH is the longest single outage that is followed.
const MaxOutageH = 8760

// OutageRun is one outage through time.
type OutageRun struct {
	outage.Result
	Plan     *facts.Facts
	Options  OutageOptions
	StartMin int
	Month    int
	Medical  []MedicalLoss // the loads that someone depends on and that lose power, the first to lose it before the others
	Draws    *OutageDraws  // the same outage under other seeds; nil: nothing is drawn, or nobody asked
	Cautions []phrase.Phrase
}

// RunOutage follows one outage of the planned home minute by minute. When ctx is done it ends with its error.
func RunOutage(ctx context.Context, p *facts.Facts, o OutageOptions) (*OutageRun, error) {
	if o.Hours < 1 || o.Hours > MaxOutageH {
		return nil, fmt.Errorf("an outage of %d h, want 1 to %d", o.Hours, MaxOutageH)
	}
	if o.Start != nil && (*o.Start < 0 || *o.Start >= calendar.DayMin) {
		return nil, fmt.Errorf("an outage from minute %d of the day, want 0 to %d", *o.Start, calendar.DayMin-1)
	}
	out := &OutageRun{Plan: p, Options: o}
	p, err := inMonth(ctx, p, o.Month)
	if err != nil {
		return nil, err
	}
	out.Month = p.Month
	endOfLife := p.Site.Practice.EndOfLife
	if o.New {
		endOfLife = 1
	}
	sc, err := p.Scenario(endOfLife)
	if err != nil {
		return nil, err
	}
	if o.Start != nil {
		sc.StartMin = *o.Start
	} else if sc.StartMin, err = worstMinute(p); err != nil {
		return nil, err
	}
	out.StartMin = sc.StartMin
	sc.EvenSpread, sc.Seed = o.EvenSpread, o.Seed
	p.Limits(&sc)
	if o.Sky != SkyDrawn && (o.NoArray || len(p.Site.Arrays) == 0) {
		return nil, fmt.Errorf("a %s outage without an array: there is no sun to count", o.Sky)
	}
	if !o.NoArray {
		sc.PVMin = 60
		if sc.PVW, out.Cautions, err = pvHours(p, o, sc.StartMin); err != nil {
			return nil, err
		}
	}
	if !o.NoGenerator {
		sc.Generator = p.OutageGenerator()
	}
	sim, err := outage.NewSim(sc)
	for hour := 0; err == nil && hour < o.Hours; hour++ {
		if err := ctx.Err(); err != nil {
			return nil, err
		}
		err = sim.Run(60)
	}
	if err != nil {
		return nil, fmt.Errorf("the outage cannot be followed: %w", fault.Reason(err))
	}
	out.Result = sim.Result()
	out.Medical = medicalLosses(p, out.StartMin, &out.Result)
	return out, nil
}

// worstMinute is the minute in which the start lies from which the bank lasts shortest.
func worstMinute(p *facts.Facts) (int, error) {
	_, start, err := p.LeastAutonomy()
	return int(math.Round(start*60)) / 60 % calendar.DayMin, err
}

// inMonth is the plan with its split and its equipment in another month: other loads, and so another worst moment. The
// generator runs as it is set.
func inMonth(ctx context.Context, p *facts.Facts, month int) (*facts.Facts, error) {
	if month < 0 || month > 12 {
		return nil, fmt.Errorf("an outage in month %d, want 1 to 12", month)
	}
	if month == 0 || month == p.Month {
		return p, nil
	}
	s := planned(p)
	s.Outage.Month = month
	return p.Shared.ForOtherLoads(ctx).Full(s, facts.Effort{WalkH: facts.LongestWalkH, Runs: p.GeneratorRuns,
		Enough: func(*facts.Facts) bool { return true }})
}

// pvHours is the arrays' power for every hour from the midnight before the start on, which lies in the outage's
// month. The days are drawn: dull and bright ones follow each other as they do.
func pvHours(p *facts.Facts, o OutageOptions, startMin int) (w []float64, cautions []phrase.Phrase, err error) {
	sun, err := p.Site.Sunlit()
	switch {
	case errors.Is(err, site.ErrNoSun):
		return nil, []phrase.Phrase{site.NoSun()}, nil
	case err != nil:
		return nil, nil, fmt.Errorf("the array: %w", fault.Reason(err))
	case sun == nil:
		return nil, nil, nil
	}
	days, starts := (startMin+o.Hours*60)/calendar.DayMin+1, 1
	if o.Sky != SkyDrawn {
		starts = calendar.DaysIn[p.Month-1]
	}
	var hours []float64
	for month := p.Month; len(hours) < (days+starts-1)*24; month = month%12 + 1 {
		more, err := sun.Month(month, o.Seed)
		if err != nil {
			return nil, nil, fmt.Errorf("the array: %w", fault.Reason(err))
		}
		hours = append(hours, more...)
	}
	first := firstDay(hours, o, startMin, starts)
	return hours[24*first : 24*(first+days)], sun.Cautions, nil
}

// firstDay is the day, of so many, on which the outage begins under its sky: the one from whose start on the arrays
// give most or least in the hours of the outage.
func firstDay(hours []float64, o OutageOptions, startMin, starts int) (day int) {
	var best float64
	for d := range starts {
		wh := 0.0
		for h := d*24 + startMin/60; h < d*24+startMin/60+o.Hours; h++ {
			wh += hours[h]
		}
		if d == 0 || o.Sky == SkySunny && wh > best || o.Sky == SkyDull && wh < best {
			day, best = d, wh
		}
	}
	return day
}
