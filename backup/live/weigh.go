package live

import (
	"context"
	"encoding/json"
	"fmt"
	"slices"
	"strings"

	"outlast/backup"
	"outlast/backup/facts"
	"outlast/backup/site"
	"outlast/backup/verdict"
	"outlast/loads"
)

// Weigh tells what circuits cost: for each what the page would show if the circuit were touched. The home is planned with
// that one change as a touch plans it, circuits that the planner decides included, and the figure of a row is the
// difference between the two large figures.
func (t *Table) Weigh(ctx context.Context, q Question) (*Weights, error) {
	p, s, err := t.spoken(ctx, q)
	if err != nil {
		return nil, err
	}
	if !slices.Contains([]string{"", FigurePromise, FigureOutage}, q.Figure) {
		return nil, badQuestion{fmt.Sprintf("figure %q, want %s or %s", q.Figure, FigurePromise, FigureOutage)}
	}
	for _, id := range q.Circuits {
		if !slices.ContainsFunc(p.Circuits, func(c facts.Circuit) bool { return c.ID == id }) {
			return nil, badQuestion{fmt.Sprintf("circuit %q is not in the home", id)}
		}
	}
	now, err := t.figureNow(ctx, p, q)
	if err != nil {
		return nil, err
	}
	failing := failingOf(p.Facts)
	out := &Weights{}
	for _, c := range p.Circuits {
		if len(q.Circuits) > 0 && !slices.Contains(q.Circuits, c.ID) {
			continue
		}
		w := Weight{ID: c.ID, Board: string(loads.BoardMain)}
		if c.OnBackup {
			w.Board = string(loads.BoardBackup)
		}
		other, err := backup.Figures(p.Shared.ForOtherLoads(ctx), touched(p.given, c)) // the next touch ends it
		if err := ctx.Err(); err != nil {
			return nil, err
		}
		if err != nil { // no plan at all can be worked out with it there
			out.Circuits = append(out.Circuits, w)
			continue
		}
		fails := failingOf(other)
		then := figure{fails: len(fails) > 0}
		if !now.promised || !then.fails { // else no hours are promised, and nobody asks how many there are all the same
			if then, err = figureOf(ctx, other, q); err != nil {
				return nil, err
			}
		}
		w.Allowed = len(without(fails, failing)) == 0
		w.Cures = c.OnBackup && len(failing) > 0 && len(fails) == 0
		broken := without(failing, fails)
		if !c.OnBackup || !w.Allowed {
			broken = without(fails, failing)
		}
		for _, id := range broken {
			if text := s.CheckWords("trouble.", id); !slices.Contains(w.Breaks, text) {
				w.Breaks = append(w.Breaks, text)
			}
		}
		moved := w.moves(s, p, c, other.Site)
		w.tell(s, now, then, c.OnBackup, moved)
		out.Circuits = append(out.Circuits, w)
	}
	return out, nil
}

// touched is a site with one circuit put on the other board, as the switch of its row does. A circuit that the planner
// assumed has its place in the site too.
func touched(given *site.Site, c facts.Circuit) *site.Site {
	s := *given
	s.Options = nil
	s.Circuits = slices.Clone(s.Circuits)
	for i := range s.Circuits {
		if s.Circuits[i].ID != c.ID {
			continue
		}
		if s.Circuits[i].Board = loads.BoardBackup; c.OnBackup {
			s.Circuits[i].Board = loads.BoardMain
		}
	}
	return &s
}

// moves names the circuits that the planner would put elsewhere if a circuit were touched. It tells whether there are any.
func (w *Weight) moves(s speaker, p *planned, c facts.Circuit, then *site.Site) bool {
	board := make(map[string]loads.Board, len(then.Circuits))
	for _, o := range then.Circuits {
		board[o.ID] = o.Board
	}
	var on, off []string
	for _, o := range p.Circuits {
		onBackup := board[o.ID] == loads.BoardBackup
		if o.ID == c.ID || onBackup == o.OnBackup {
			continue
		}
		w.Moves = append(w.Moves, Moved{o.ID, string(board[o.ID])})
		if onBackup {
			on = append(on, s.name(o.Label))
		} else {
			off = append(off, s.name(o.Label))
		}
	}
	var says []string
	if len(on) > 0 {
		says = append(says, s.Say("live.then-on", strings.Join(on, ", ")))
	}
	if len(off) > 0 {
		says = append(says, s.Say("live.then-main", strings.Join(off, ", ")))
	}
	w.Then = strings.Join(says, " ")
	return len(w.Moves) > 0
}

// tell says by how much the large figure of the page changes. Words tell the difference of the figures as they are shown, so
// that a touch gives what its row said; where the page would show another kind of figure there is none.
func (w *Weight) tell(s speaker, now, then figure, onBackup, moved bool) {
	say := func(without, with string, args ...any) {
		if w.Text = s.Say(with, args...); onBackup {
			w.Text = s.Say(without, args...)
		}
	}
	switch {
	case now.promised && !then.promised && then.fails:
		say("live.unpromised-without", "live.unpromised-with")
		return
	case !now.promised && then.promised && !then.idle:
		text := s.lasts(then.hours)
		if then.long {
			text = s.Say("live.more-than", text)
		}
		say("live.promised-without", "live.promised-with", text)
		return
	}
	if now.idle || then.idle { // there are no hours to compare
		return
	}
	gains := then.hours - now.hours
	if !onBackup {
		gains = -gains
	}
	minutes := rounded(then.hours) - rounded(now.hours)
	if now.long && (then.long || minutes >= 0) || then.long && minutes <= 0 { // nobody saw by how much, if at all
		return
	}
	w.GainsH = &gains
	text := s.minutes(max(minutes, -minutes))
	if now.long || then.long { // what lasts longer than was looked at
		text = s.Say("live.more-than", text)
	}
	switch {
	case minutes > 0:
		say("live.gains", "live.gains-with", text)
	case minutes < 0:
		say("live.loses-without", "live.costs", text)
	case moved:
		say("live.same-without", "live.same-with")
	}
}

// The large figure of the page.
const (
	FigurePromise = "promise" // where the plan has one, else that of the outage
	FigureOutage  = "outage"  // that is looked at
)

// A figure is the large figure of the page.
type figure struct {
	hours    float64
	long     bool // it lasts longer
	idle     bool // nothing is supplied
	promised bool
	fails    bool // the plan does
}

// figureNow is the figure that the page shows; it is the same for all circuits.
func (t *Table) figureNow(ctx context.Context, p *planned, q Question) (figure, error) {
	view, err := json.Marshal(q.View)
	if err != nil {
		return figure{}, err
	}
	known := keyOf(p.known[:], view, []byte(q.Figure))
	if f, ok := t.figures.get(known); ok {
		return f, nil
	}
	f, err := figureOf(ctx, p.Facts, q)
	if err == nil {
		t.figures.put(known, f)
	}
	return f, err
}

// figureOf is what the page shows of a plan in the view of a question.
func figureOf(ctx context.Context, p *facts.Facts, q Question) (figure, error) {
	fails := p.Verdict() == verdict.Fail
	if !fails && q.Figure != FigureOutage {
		month, h, _, err := promisedIn(ctx, p, q.View)
		if err != nil {
			return figure{}, err
		}
		return figure{hours: h, long: month.Bank.AutonomyCap, idle: month.Idle(), promised: true}, nil
	}
	v := q.View
	var o followed
	for range windows { // the page asks once more where it would show more or fewer hours
		var err error
		if o, err = follow(ctx, p, v); err != nil {
			return figure{}, err
		}
		if o.showH == o.run.Minutes/60 {
			break
		}
		v.Hours = o.showH
	}
	return figure{hours: o.hours, long: !o.dark, idle: o.month.Idle(), fails: fails}, nil
}

// failingOf are the ids of the checks that fail.
func failingOf(f *facts.Facts) (out []string) {
	for _, c := range f.With(verdict.Fail) {
		out = append(out, c.ID)
	}
	return out
}

// without are the ids of a list that another one does not have.
func without(list, other []string) []string {
	return slices.DeleteFunc(slices.Clone(list), func(id string) bool { return slices.Contains(other, id) })
}
