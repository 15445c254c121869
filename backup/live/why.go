package live

import (
	"context"
	"slices"
	"strings"

	"outlast/backup/facts"
	"outlast/backup/phrase"
	"outlast/backup/verdict"
	"outlast/backup/working"
)

// workings are the steps behind the figures of the page, by the names of their results, and the checks of which the
// margin belongs to them.
var workings = []struct {
	name   string
	steps  []string
	checks []string
}{
	{"promise", []string{"ac_wh", "dc_wh", "usable_share", "usable_wh", "autonomy_h", "autonomy_new_h"},
		[]string{"autonomy"}},
	{"bank", []string{"series", "mean_a", "k_temperature", "k_rate", "required_ah", "strings_needed", "bank_ah"}, nil},
	{"energy", []string{"energy_wh_per_day", "ac_wh", "dc_wh", "usable_share", "required_ah", "bank_ah"},
		[]string{"bank-capacity"}},
	{"at-once", []string{"connected_va", "scheduled_w", "scheduled_va", "heat", "altitude", "derated_va", "derated_w",
		"limit_va", "limit_w"}, []string{"inverter-continuous", "inverter-continuous-w"}},
	{"start", nil, []string{"inverter-surge", "inverter-restart"}}, // and the steps of the hardest start
	{"pass-through", []string{"grid_pass_a", "charger_w"}, []string{"pass-through", "ac-input"}},
}

// checkPrefix begins the name of the margin of a check.
const checkPrefix = "check-"

// isBehind says which steps of the working are behind a number. All of the working is written down for it, which takes
// longer than the plan: an answer does without.
func isBehind(f *facts.Facts, number string) func(working.Step) bool {
	if check, ok := strings.CutPrefix(number, checkPrefix); ok {
		return func(s working.Step) bool { return s.Check != "" && s.Check == check }
	}
	for _, w := range workings {
		if w.name != number {
			continue
		}
		steps := w.steps
		if w.name == "start" && f.Starts.Worst >= 0 {
			load := f.Starts.All[f.Starts.Worst].Load
			steps = []string{"start_va " + load, "rating of " + load}
		}
		return func(s working.Step) bool {
			return s.Name != "" && slices.Contains(steps, s.Name) || s.Check != "" && slices.Contains(w.checks, s.Check)
		}
	}
	return func(working.Step) bool { return false }
}

// Why gives the working behind numbers.
func (t *Table) Why(ctx context.Context, q Question) (*Whys, error) {
	p, s, err := t.spoken(ctx, q)
	if err != nil {
		return nil, err
	}
	wanted := map[int]bool{}
	for _, number := range q.Numbers {
		behind, found := isBehind(p.Facts, number), false
		for _, step := range p.Working() {
			if behind(step) {
				wanted[step.No], found = true, true
			}
		}
		if !found {
			return nil, badQuestion{"there is no working of " + number}
		}
	}
	out := &Whys{}
	for _, step := range p.Working() {
		if len(q.Numbers) > 0 && !wanted[step.No] {
			continue
		}
		result := s.Amount(step.Value, step.Unit)
		if c := step.Check; c != "" {
			result = s.Prose(status(p.Facts, c).Word()) + ", " + result
		}
		out.Steps = append(out.Steps, WhyStep{step.No, s.Prose(step.Title), formulaOf(s, step), numbersOf(s, step),
			result, s.Prose(step.Cited())})
	}
	return out, nil
}

// formulaOf is the formula of a step, in words and as an expression.
func formulaOf(s speaker, step working.Step) string {
	words := s.Prose(step.Formula)
	if words != "" && step.Expr != "" {
		return s.Headed(words, step.Expr)
	}
	return words + step.Expr
}

// numbersOf is what goes into a step, one after the other; a table has too many figures for the page.
func numbersOf(s speaker, step working.Step) string {
	var out []string
	for _, i := range step.Inputs {
		value := phrase.Symbols("%s", phrase.Measure(strings.TrimSpace(working.InputDigits(i.Value)+" "+i.Unit)))
		out = append(out, i.Name+" = "+s.Prose(value)+s.Customary(i.Value, i.Unit)+" ("+s.Prose(i.From.Words())+")")
	}
	return s.InTurn(out...)
}

func status(f *facts.Facts, id string) verdict.Status { return f.ByID()[id].Status }
