package asking

import (
	"context"
	"errors"
	"fmt"
	"os"
	"slices"
	"strings"

	tea "charm.land/bubbletea/v2"
	"charm.land/huh/v2"

	"outlast/backup/interview"
	"outlast/backup/phrase"
)

// formAsker asks on a full terminal, a question on each page.
//
// The library runs one form for each part of the interview, as later parts depend on the answers of earlier ones.
// Within a part one can go back.
type formAsker struct {
	in, w *os.File
	keys  *huh.KeyMap
	typed map[string]bool // questions whose answer is none of the choices
}

// somethingElse stands in a field for the choice of what is not among the choices; nobody can type it.
const somethingElse = "\x00"

func (a *formAsker) ask(ctx context.Context, iv *interview.Interview, questions []interview.Question,
	keep func() error) error {
	p := &formPage{iv: iv, keep: keep, taken: map[int]string{}}
	for _, q := range questions {
		if q.Several && !a.typed[q.Key] { // at first classes are picked from a list; then the list can be changed
			a.typed[q.Key] = true
			picked, err := a.pick(ctx, iv, q)
			if err != nil {
				return err
			}
			if picked != "" {
				if err := iv.Take(q.Key, picked); err != nil {
					return err
				}
				if err := keep(); err != nil {
					return err
				}
			}
			p.add(a, q, picked)
			continue
		}
		p.add(a, q, "")
	}
	if err := p.run(ctx, a); err != nil {
		return err
	}
	for i, q := range p.questions {
		if *p.answers[i] == somethingElse {
			a.typed[q.Key] = true // it is still open, and is asked again
		}
	}
	return nil
}

// pick lets people pick classes of appliances from a list.
func (a *formAsker) pick(ctx context.Context, iv *interview.Interview, q interview.Question) (string, error) {
	var options []huh.Option[string]
	for _, c := range q.Picks {
		options = append(options, huh.NewOption(iv.Say(c.Label), c.Answer))
	}
	var picked []string
	const listed = 16
	field := huh.NewMultiSelect[string]().Key(q.Key).Title(iv.Say(q.Ask)).Options(options...).Value(&picked).Height(listed).
		Description(iv.Say(phrase.Of(
			"Space picks, / finds, Enter goes on. How many of each, and what is not in the list, comes next.")))
	if err := a.runForm(ctx, huh.NewForm(huh.NewGroup(field).Title(iv.Say(q.Part)))); err != nil {
		return "", err
	}
	return strings.Join(picked, ", "), nil
}

// formPage is the form of some questions.
type formPage struct {
	iv        *interview.Interview
	keep      func() error
	questions []interview.Question
	answers   []*string      // what stands in the fields
	taken     map[int]string // what of it was taken
	reached   int            // the questions before it have been passed
	err       error          // of keep
	groups    []*huh.Group
}

// add adds a question; text stands in its field already.
func (p *formPage) add(a *formAsker, q interview.Question, text string) {
	say := p.iv.Say
	p.questions, p.answers = append(p.questions, q), append(p.answers, &text)
	check := func(text string) error {
		if text == somethingElse {
			return nil
		}
		err := p.iv.Check(q.Key, text)
		var r *interview.Refusal
		if !errors.As(err, &r) {
			return err
		}
		return errors.New(say(phrase.Separated(slices.DeleteFunc([]phrase.Phrase{r.Msg, r.Hint}, phrase.Phrase.Empty), "; ")))
	}
	says := say(q.Help) + "\n" + say(phrase.Of("Not known: leave it empty. Then: %s", q.Assumed))
	var field huh.Field
	if q.Choices != nil && !a.typed[q.Key] {
		var options []huh.Option[string]
		for _, c := range q.Choices {
			options = append(options, huh.NewOption(say(c.Label), c.Answer))
		}
		if q.Open {
			options = append(options, huh.NewOption(say(phrase.Of("something else")), somethingElse))
		}
		options = append(options, huh.NewOption(say(phrase.Of("not known; then: %s", q.Assumed)), interview.Unknown))
		field = huh.NewSelect[string]().Key(q.Key).Title(say(q.Ask)).Options(options...).Value(&text).Validate(check)
	} else {
		field = huh.NewInput().Key(q.Key).Title(say(q.Ask)).Description(says).Value(&text).Validate(check)
	}
	p.groups = append(p.groups, huh.NewGroup(field).Title(say(q.Part)))
}

func (p *formPage) run(ctx context.Context, a *formAsker) error {
	form := huh.NewForm(p.groups...)
	form.WithViewHook(func(v tea.View) tea.View {
		p.pass(slices.IndexFunc(p.questions, func(q interview.Question) bool {
			return q.Key == form.GetFocusedField().GetKey()
		}))
		return v
	})
	err := a.runForm(ctx, form)
	if err == nil {
		p.pass(len(p.questions))
	}
	return errors.Join(p.err, err)
}

// pass takes the answers of the questions that have been passed, now that the one at some place is asked.
func (p *formPage) pass(at int) {
	p.reached = max(p.reached, at)
	for i, q := range p.questions[:p.reached] {
		text := *p.answers[i]
		if before, taken := p.taken[i]; i == at || text == somethingElse || taken && before == text {
			continue
		}
		if err := p.iv.Take(q.Key, text); err != nil {
			continue // it stays open, and is asked again
		}
		p.taken[i] = text
		p.err = errors.Join(p.err, p.keep())
	}
}

// runForm runs a form; Ctrl-C and a signal end it alike.
func (a *formAsker) runForm(ctx context.Context, form *huh.Form) error {
	err := form.WithKeyMap(a.keys).WithInput(a.in).WithOutput(a.w).WithTheme(huh.ThemeFunc(huh.ThemeBase)).RunWithContext(ctx)
	switch {
	case ctx.Err() != nil:
		return ctx.Err()
	case errors.Is(err, huh.ErrUserAborted):
		return context.Canceled
	case err != nil:
		return fmt.Errorf("the form cannot be shown: %w", err)
	}
	return nil
}
