// Package findings is what the papers know of a plan before anything is set or drawn: the outage that they follow, the
// marks by which text, tables and drawings call the same thing, and the voice that they all speak with.
package findings

import (
	"cmp"
	"context"
	"math"
	"slices"

	"outlast/backup"
	"outlast/backup/facts"
	"outlast/backup/outage"
	"outlast/backup/phrase"
	"outlast/backup/sheet/record"
	"outlast/backup/sheet/speech"
	"outlast/backup/site"
	"outlast/backup/study"
	"outlast/loads"
)

// A Report is a plan with what the papers work out of it.
type Report struct {
	Plan *backup.Plan
	Voice
	Speaker  *speech.Speaker
	Outage   followed
	Helped   *study.OutageRun   // the same outage with array and generator; nil: the home has neither
	Recharge *facts.Recharge    // likewise
	Draws    *study.OutageDraws // the spread of helped over the days of sun; nil: it depends on none
	Year     *study.EveryStart  // outages from every hour of a year; nil: they were not asked for

	// The promise: the shortest time that the bank carries everything, old, over all starts of the day, and that start.
	LeastH   float64
	LeastMin float64
	Levels   []study.Level
	Moves    map[string]study.Move
}

// New is a report of a plan of which nothing is worked out yet.
func New(p *backup.Plan, v speech.Voice, year *study.EveryStart) *Report {
	about := func(id string) string { return record.RunLabel(p.Facts, id) }
	return &Report{Plan: p, Voice: Voice{v}, Speaker: speech.NewSpeaker(v, p.Site.Loads, about), Year: year}
}

// followed is one outage of the plan through time, as far as the papers tell it.
type followed struct {
	StartMin int // of the day
	SoC      []float64
	Events   []outage.Event
	DarkH    float64 // when the bank is empty
	IsDark   bool    // false: not within what was followed
}

// Follow lets an outage happen from the moment that is worst for the bank: the bank alone, old, every load spread
// evenly over its windows as the plan's autonomy counts it; and once more with what recharges it.
func (r *Report) Follow(ctx context.Context) (err error) {
	if r.LeastH, r.LeastMin, err = r.Plan.LeastAutonomy(); err != nil {
		return err
	}
	if r.Levels, err = study.Levels(r.Plan.Facts); err != nil {
		return err
	}
	if r.Moves, err = study.Moves(r.Plan.Facts); err != nil {
		return err
	}
	p := r.Plan
	alone := study.OutageOptions{Hours: r.FollowH(), EvenSpread: true, NoArray: true, NoGenerator: true, Seed: 1}
	run, err := study.RunOutage(ctx, p.Facts, alone)
	if err != nil {
		return err
	}
	r.Outage = followed{StartMin: run.StartMin % DayMin, SoC: run.SoC, Events: run.Events}
	r.Outage.DarkH, r.Outage.IsDark = run.HoursUntilDark()
	recharge, ok, err := p.Recharge()
	if err != nil || !ok {
		return err
	}
	r.Recharge = &recharge
	alone.NoArray, alone.NoGenerator = false, false
	if r.Helped, err = study.RunOutage(ctx, p.Facts, alone); err != nil {
		return err
	}
	draws, ok, err := study.DrawOutage(ctx, p.Facts, alone)
	if ok {
		r.Draws = &draws
	}
	return err
}

// DayMin is the minutes of a day.
const DayMin = 1440

// longestFollowedH bounds what is followed and drawn: nobody reads a month of minutes off a page.
const longestFollowedH = 14 * 24

// FollowH is how many hours are followed: somewhat longer than the bank lasts, since dropping loads makes it last
// longer.
func (r *Report) FollowH() int {
	h := max(r.Plan.Bank.AutonomyH*1.5+2, r.Plan.Site.Outage.AutonomyH*1.1)
	return int(math.Ceil(min(h, longestFollowedH)))
}

// Dropped tells after how many hours a load is first switched off by the state of charge.
func (f followed) Dropped(load string) (h float64, ok bool) {
	for _, e := range f.Events {
		if e.Kind == outage.EventDropped && e.Load == load {
			return float64(e.Min) / 60, true
		}
	}
	return 0, false
}

// DarkSoC is the state of charge at which everything loses power.
func (f followed) DarkSoC() float64 {
	return f.SoC[min(len(f.SoC)-1, int(math.Round(f.DarkH*60)))]
}

// Called is what the papers call a load or a circuit.
func (r *Report) Called(s string) string { return r.Speaker.Called(s) }

// Prose writes a sentence of the planner in the language of the papers.
func (r *Report) Prose(p phrase.Phrase) string { return r.Speaker.Prose(p) }

// SunKnown tells whether anything is known of the sun on the arrays.
func (r *Report) SunKnown() bool {
	for _, m := range r.Recharge.Months {
		if m.ArrayWh > 0 {
			return true
		}
	}
	return false
}

// Relays are the loads of the outage that are switched off by the state of charge, the first to go first.
func (r *Report) Relays() []loads.Load {
	var out []loads.Load
	for _, l := range loads.InMonth(site.InUse(r.Plan.Site.OnBoard(loads.BoardBackup)), r.Plan.Month) {
		if l.DropBelow > 0 {
			out = append(out, l)
		}
	}
	slices.SortStableFunc(out, func(a, b loads.Load) int { return cmp.Compare(b.DropBelow, a.DropBelow) })
	return out
}
