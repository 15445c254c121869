package live

import (
	"context"
	"fmt"
	"slices"

	"outlast/backup/facts"
	"outlast/backup/study"
	"outlast/backup/verdict"
	"outlast/loads"
)

// Weigh tells what circuits cost: for each what the other board would do to the hours, and to the checks.
func (t *Table) Weigh(ctx context.Context, q Question) (*Weights, error) {
	p, s, err := t.spoken(ctx, q)
	if err != nil {
		return nil, err
	}
	for _, id := range q.Circuits {
		if !slices.ContainsFunc(p.Circuits, func(c facts.Circuit) bool { return c.ID == id }) {
			return nil, badQuestion{fmt.Sprintf("circuit %q is not in the home", id)}
		}
	}
	now := *p.Facts
	now.Shared = p.Shared.ForOtherLoads(ctx) // the next touch ends it
	moves, err := study.Moves(&now, q.Circuits...)
	if err != nil {
		return nil, err
	}
	failing := failingOf(p.Facts)
	out := &Weights{}
	for _, c := range p.Circuits {
		if len(q.Circuits) > 0 && !slices.Contains(q.Circuits, c.ID) {
			continue
		}
		w := Weight{ID: c.ID, Board: string(loads.BoardMain), Allowed: true}
		if c.OnBackup {
			w.Board = string(loads.BoardBackup)
		}
		move := moves[c.ID]
		if w.GainsH = move.Hours; !c.OnBackup {
			w.GainsH = -move.Hours
		}
		if w.GainsH > 1.0/60 {
			text := s.lasts(w.GainsH)
			if move.Capped {
				text = s.Say("live.more-than", text)
			}
			if c.OnBackup {
				w.Text = s.Say("live.gains", text)
			} else {
				w.Text = s.Say("live.costs", text)
			}
		}
		if len(failing) > 0 || !c.OnBackup {
			other, err := onOther(&now, c)
			if err := ctx.Err(); err != nil {
				return nil, err
			}
			if err != nil { // no plan at all can be worked out with it there
				w.Allowed = false
				out.Circuits = append(out.Circuits, w)
				continue
			}
			fails := failingOf(other)
			more, fewer := without(fails, failing), without(failing, fails)
			broken := fewer
			if w.Cures = c.OnBackup && len(failing) > 0 && len(fails) == 0; !c.OnBackup {
				broken, w.Allowed = more, len(more) == 0
			}
			for _, id := range broken {
				if text := s.CheckWords("trouble.", id); !slices.Contains(w.Breaks, text) {
					w.Breaks = append(w.Breaks, text)
				}
			}
		}
		out.Circuits = append(out.Circuits, w)
	}
	return out, nil
}

// failingOf are the ids of the checks that fail.
func failingOf(f *facts.Facts) (out []string) {
	for _, c := range f.With(verdict.Fail) {
		out = append(out, c.ID)
	}
	return out
}

// onOther is the plan with one circuit on the other board.
func onOther(f *facts.Facts, c facts.Circuit) (*facts.Facts, error) {
	s := *f.Site
	s.Circuits = slices.Clone(s.Circuits)
	for i := range s.Circuits {
		if s.Circuits[i].ID != c.ID {
			continue
		}
		if s.Circuits[i].Board = loads.BoardBackup; c.OnBackup {
			s.Circuits[i].Board = loads.BoardMain
		}
	}
	return f.Shared.ForOtherLoads(f.Shared.Ctx).Full(&s, facts.Trial(&s))
}

// without are the ids of a list that another one does not have.
func without(list, other []string) []string {
	return slices.DeleteFunc(slices.Clone(list), func(id string) bool { return slices.Contains(other, id) })
}
