package paper

import (
	"context"
	"fmt"
	"math"

	"outlast/backup"
	"outlast/backup/facts"
	"outlast/backup/outage"
	"outlast/backup/phrase"
	"outlast/backup/sheet"
	"outlast/backup/sheet/speech"
	"outlast/backup/study"
	"outlast/loads"
)

// A report is a plan with what the papers work out of it.
type report struct {
	plan *backup.Plan
	voice
	speaker  *speech.Speaker
	options  Options
	room     room // of the owner's page
	outage   followed
	helped   *study.OutageRun   // the same outage with array and generator; nil: the home has neither
	recharge *facts.Recharge    // likewise
	draws    *study.OutageDraws // the spread of helped over the days of sun; nil: it depends on none

	// The promise: the shortest time that the bank carries everything, old, over all starts of the day, and that start.
	leastH   float64
	leastMin float64
	levels   []study.Level
	moves    map[string]study.Move
}

// newReport is a report of which nothing is worked out yet.
func newReport(p *backup.Plan, v speech.Voice, o Options) report {
	about := func(id string) string { return sheet.RunLabel(p, id) }
	return report{plan: p, voice: voice{v}, speaker: speech.NewSpeaker(v, p.Site.Loads, about), options: o}
}

// followed is one outage of the plan through time, as far as the papers tell it.
type followed struct {
	startMin int // of the day
	soc      []float64
	events   []outage.Event
	darkH    float64 // when the bank is empty
	isDark   bool    // false: not within what was followed
}

// follow lets an outage happen from the moment that is worst for the bank: the bank alone, old, every load spread evenly over its
// windows as the plan's autonomy counts it; and once more with what recharges it.
func (r *report) follow(ctx context.Context) (err error) {
	if r.leastH, r.leastMin, err = r.plan.LeastAutonomy(); err != nil {
		return err
	}
	if r.levels, err = study.Levels(r.plan.Facts); err != nil {
		return err
	}
	if r.moves, err = study.Moves(r.plan.Facts); err != nil {
		return err
	}
	p := r.plan
	alone := study.OutageOptions{Hours: r.followH(), EvenSpread: true, NoArray: true, NoGenerator: true, Seed: 1}
	run, err := study.RunOutage(ctx, p.Facts, alone)
	if err != nil {
		return err
	}
	r.outage = followed{startMin: run.StartMin % dayMin, soc: run.SoC, events: run.Events}
	r.outage.darkH, r.outage.isDark = run.HoursUntilDark()
	recharge, ok, err := p.Recharge()
	if err != nil || !ok {
		return err
	}
	r.recharge = &recharge
	alone.NoArray, alone.NoGenerator = false, false
	if r.helped, err = study.RunOutage(ctx, p.Facts, alone); err != nil {
		return err
	}
	draws, ok, err := study.DrawOutage(ctx, p.Facts, alone)
	if ok {
		r.draws = &draws
	}
	return err
}

const dayMin = 1440

// longestFollowedH bounds what is followed and drawn: nobody reads a month of minutes off a page.
const longestFollowedH = 14 * 24

// followH is how many hours are followed: somewhat longer than the bank lasts, since dropping loads makes it last longer.
func (r *report) followH() int {
	h := max(r.plan.Bank.AutonomyH*1.5+2, r.plan.Site.Outage.AutonomyH*1.1)
	return int(math.Ceil(min(h, longestFollowedH)))
}

// dropped tells after how many hours a load is first switched off by the state of charge.
func (f followed) dropped(load string) (h float64, ok bool) {
	for _, e := range f.events {
		if e.Kind == outage.EventDropped && e.Load == load {
			return float64(e.Min) / 60, true
		}
	}
	return 0, false
}

// stamp is what tells this paper from any other.
func (r *report) stamp() []string {
	var out []string
	if r.options.Source != "" {
		out = append(out, r.Say("stamp.source", name(r.options.Source)))
	}
	if r.options.Revision != "" {
		out = append(out, r.Say("stamp.revision", shortHash(clean(r.options.Revision))))
	}
	if r.options.Program != "" {
		out = append(out, clean(r.options.Program))
	}
	return out
}

// shortHash is enough of a hash to tell the revisions of one file apart by eye.
func shortHash(s string) string { return s[:min(len(s), 12)] }

// medical are the loads that someone depends on, wherever they are.
func (r *report) medical() []loads.Load {
	var out []loads.Load
	for _, l := range r.plan.Site.Loads {
		if l.Medical {
			out = append(out, l)
		}
	}
	return out
}

// onBackup tells whether a circuit is on the backup board.
func (r *report) onBackup(id string) bool {
	for _, c := range r.plan.Circuits {
		if c.ID == id {
			return c.OnBackup
		}
	}
	return false
}

// medicalBox names the loads that someone depends on, on the papers of every reader.
func (r *report) medicalBox() []Section {
	ls := r.medical()
	if len(ls) == 0 {
		return nil
	}
	var on, off []string
	for _, l := range ls {
		if r.onBackup(l.CircuitID) && !l.HeldOff {
			on = append(on, r.quantity(l))
		} else {
			off = append(off, r.quantity(l))
		}
	}
	box := &Box{Kind: "medical", Title: r.Say("medical.title")}
	if len(on) > 0 {
		box.Items = append(box.Items, Item{Lead: r.Say("medical.on"), Text: Text{S: list(on) + "."}})
	}
	if len(off) > 0 {
		box.Items = append(box.Items, Item{Lead: r.Say("medical.off"), Text: Text{S: list(off) + "."}})
	}
	box.Texts = []Text{{S: r.Say("medical.text")}}
	return []Section{{ID: "medical", Class: "full", Blocks: []Block{{Box: box}}}}
}

// called is what the papers call a load or a circuit.
func (r *report) called(s string) string { return r.speaker.Called(s) }

// prose writes a sentence of the planner in the language of the papers.
func (r *report) prose(p phrase.Phrase) string { return r.speaker.Prose(p) }

// quantity names a load, and how many there are of it.
func (r *report) quantity(l loads.Load) string {
	if l.Quantity == 1 {
		return name(r.called(l.Name))
	}
	return fmt.Sprintf("%d × %s", l.Quantity, name(r.called(l.Name)))
}

// safety is what every paper ends with.
func (r *report) safety() Section {
	box := &Box{Kind: "safety", Title: r.Say("safety.title")}
	for _, id := range []string{"safety.aid", "safety.wiring", "safety.bank", "safety.life"} {
		box.Texts = append(box.Texts, Text{S: r.Say(id)})
	}
	return Section{ID: "safety", Class: "full", Blocks: []Block{{Box: box}}}
}
