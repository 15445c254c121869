package study

import (
	"context"
	"errors"
	"fmt"
	"math"
	"slices"

	"outlast/backup/calendar"
	"outlast/backup/facts"
	"outlast/backup/fault"
	"outlast/backup/outage"
	"outlast/backup/phrase"
	"outlast/backup/site"
	"outlast/battery"
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
	Measured    bool   // the days that the home's meter has measured, in the place of the list of loads
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
	Days     *MeasuredDays // those that are followed; nil: the list of loads is
	Draws    *OutageDraws  // the same outage under other seeds; nil: nothing is drawn, or nobody asked
	Cautions []phrase.Phrase
}

// RunOutage follows one outage of the planned home minute by minute. When ctx is done it ends with its error.
func RunOutage(ctx context.Context, p *facts.Facts, o OutageOptions) (*OutageRun, error) {
	set, err := setOut(ctx, p, o)
	if err != nil {
		return nil, err
	}
	out := &OutageRun{Plan: p, Options: o, Month: set.plan.Month, StartMin: set.scenario.StartMin}
	out.Cautions, out.Days = set.cautions(), set.days
	if set.scenario.PVW, err = set.sunOf(o.Seed); err != nil {
		return nil, err
	}
	sim, err := outage.NewSim(set.scenario)
	for hour := 0; err == nil && hour < o.Hours; hour++ {
		if err := ctx.Err(); err != nil {
			return nil, err
		}
		err = sim.Run(60)
	}
	if err != nil {
		return nil, errOutage(err)
	}
	out.Result = sim.Result()
	out.Medical = medicalLosses(set.plan, out.StartMin, &out.Result, o.Measured)
	return out, nil
}

func errOutage(err error) error {
	return fmt.Errorf("the outage cannot be followed: %w", fault.Reason(err))
}

// An outset is an outage that is about to be followed: what no draw changes.
type outset struct {
	options  OutageOptions
	plan     *facts.Facts // in the month of the outage
	bank     battery.State
	scenario outage.Scenario
	sun      *site.Sunlit // nil: none is counted
	dim      bool         // there are arrays, and no sun is known
	days     *MeasuredDays
}

func setOut(ctx context.Context, p *facts.Facts, o OutageOptions) (*outset, error) {
	if o.Hours < 1 || o.Hours > MaxOutageH {
		return nil, fmt.Errorf("an outage of %d h, want 1 to %d", o.Hours, MaxOutageH)
	}
	if o.Start != nil && (*o.Start < 0 || *o.Start >= calendar.DayMin) {
		return nil, fmt.Errorf("an outage from minute %d of the day, want 0 to %d", *o.Start, calendar.DayMin-1)
	}
	p, err := inMonth(ctx, p, o.Month)
	if err != nil {
		return nil, err
	}
	endOfLife := p.Site.Practice.EndOfLife
	if o.New {
		endOfLife = 1
	}
	set := &outset{options: o, plan: p}
	if set.scenario, set.bank, err = p.ScenarioAndBank(endOfLife); err != nil {
		return nil, err
	}
	sc := &set.scenario
	if o.Start != nil {
		sc.StartMin = *o.Start
	} else if sc.StartMin, err = worstMinute(p); err != nil {
		return nil, err
	}
	if o.Measured {
		sc.Loads, sc.BaseID = nil, WholeHome
		if sc.BaseW, set.days, err = measuredMinutes(p, sc.StartMin, o.Hours); err != nil {
			return nil, err
		}
	}
	sc.EvenSpread, sc.Seed, sc.PVMin = o.EvenSpread, o.Seed, 60
	p.Limits(sc)
	if o.Sky != SkyDrawn && (o.NoArray || len(p.Site.Arrays) == 0) {
		return nil, fmt.Errorf("a %s outage without an array: there is no sun to count", o.Sky)
	}
	if !o.NoArray {
		set.sun, err = p.Site.Sunlit()
		if set.dim = errors.Is(err, site.ErrNoSun); err != nil && !set.dim {
			return nil, fmt.Errorf("the array: %w", fault.Reason(err))
		}
	}
	if !o.NoGenerator {
		sc.Generator = p.OutageGenerator()
	}
	return set, nil
}

// worstMinute is the minute in which the start lies from which the bank lasts shortest.
func worstMinute(p *facts.Facts) (int, error) {
	_, start, err := p.LeastAutonomy()
	return int(math.Round(start*60)) / 60 % calendar.DayMin, err
}

// inMonth is the plan in another month, 1 to 12; 0 is its own.
func inMonth(ctx context.Context, p *facts.Facts, month int) (*facts.Facts, error) {
	if month < 0 || month > 12 {
		return nil, fmt.Errorf("an outage in month %d, want 1 to 12", month)
	}
	if month == 0 {
		return p, nil
	}
	return p.InMonth(ctx, month)
}

// cautions are those of measured days, of the generator's fuel and of the sun.
func (s *outset) cautions() (out []phrase.Phrase) {
	if s.days != nil {
		out = measuredCautions(s.plan, s.days)
	}
	if s.scenario.Generator != nil {
		out = append(out, s.plan.FuelCautions()...)
	}
	switch {
	case s.dim:
		return append(out, site.NoSun())
	case s.sun != nil:
		return slices.Concat(out, s.sun.Cautions)
	}
	return out
}

// sunOf is the arrays' power in a draw, for every hour from the midnight before the start on, which lies in the
// outage's month. The days are drawn: dull and bright ones follow each other as they do.
func (s *outset) sunOf(seed uint64) ([]float64, error) {
	if s.sun == nil {
		return nil, nil
	}
	o, startMin := s.options, s.scenario.StartMin
	days, starts := (startMin+o.Hours*60)/calendar.DayMin+1, 1
	if o.Sky != SkyDrawn {
		starts = calendar.DaysIn[s.plan.Month-1]
	}
	var hours []float64
	for month := s.plan.Month; len(hours) < (days+starts-1)*24; month = month%12 + 1 {
		more, err := s.sun.Month(month, seed)
		if err != nil {
			return nil, fmt.Errorf("the array: %w", fault.Reason(err))
		}
		hours = append(hours, more...)
	}
	first := firstDay(hours, o, startMin, starts)
	return hours[24*first : 24*(first+days)], nil
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
