package live

import (
	"context"
	"errors"
	"math"
	"slices"
	"strings"

	"outlast/backup/edit"
	"outlast/backup/sheet/speech"
	"outlast/backup/site"
	"outlast/catalog/strict"
	"outlast/loads"
)

// settings are the figures that a hand may set on the page, by table and key: what the page calls them, and the unit in
// which it asks for them.
var settings = map[string]struct{ word, unit string }{
	"load.quantity": {"page.quantity", ""}, "load.hours_per_day": {"page.hours-a-day", "h"},
	"load.running_w": {"page.measured-w", "W"}, "load.starting_va": {"page.measured-va", "VA"},
	"outage.autonomy_h": {"page.asked-hours", "h"}, "outage.reserve": {"page.reserve", "%"},
	"bank.strings": {"page.strings", ""},
}

// problems tells what is wrong with changed text, nil where err is of another kind.
func (t *Table) problems(ctx context.Context, q Question, err error) []Problem {
	v, verr := t.voice(q.Lang)
	if verr != nil {
		return nil
	}
	var refusal *edit.Refusal
	if errors.As(err, &refusal) {
		return []Problem{{Text: v.Say("live.refused.change", speech.Clean(refusal.Why)), Change: refusal.Change}}
	}
	var wrong strict.Problems
	if !errors.As(err, &wrong) {
		return nil
	}
	culprit := -1
	if n := len(q.Changes); n > 0 { // mostly it is the last one: the page asks at every touch
		if _, before := t.Text(q.Changes[:n-1]); before == nil {
			culprit = n - 1
		}
	}
	if culprit >= 0 {
		if says := t.refused(ctx, v, q, culprit); says != "" {
			return []Problem{{Text: says, Line: wrong[0].Line, Change: culprit}}
		}
	}
	var out []Problem
	for _, p := range wrong {
		out = append(out, Problem{Text: v.Say("live.refused.other", speech.Clean(p.Msg)), Line: p.Line,
			Change: culprit})
	}
	return out
}

// refused says in the words of the page why a figure cannot be, "" where the page has no words for it: beyond the range
// of its key, or against another figure of the file.
func (t *Table) refused(ctx context.Context, v speech.Voice, q Question, culprit int) string {
	c := q.Changes[culprit]
	set, known := settings[c.Table+"."+c.Key]
	value, number := c.Value.(float64)
	if c.Do != "set" || !known || !number {
		return ""
	}
	amount := func(value float64) string {
		switch set.unit {
		case "":
			return v.Short(value)
		case "%":
			value *= 100
		}
		return v.Short(value) + speech.Hard + set.unit
	}
	what := strings.ReplaceAll(v.Say(set.word), "%%", "%")
	k := keyOfSite(c.Table, c.Key)
	switch {
	case k == nil:
		return ""
	case value < k.Min || value > k.Max || math.IsNaN(value):
		return v.Say("live.refused.range", what, amount(value), amount(k.Min), amount(k.Max))
	case k.Above && value == k.Min:
		return v.Say("live.refused.above", what, amount(k.Min), amount(k.Max))
	}
	q.Changes = q.Changes[:culprit]
	p, err := t.plan(ctx, q)
	if err != nil {
		return ""
	}
	switch c.Table + "." + c.Key {
	case "outage.reserve":
		return v.Say("live.refused.reserve", amount(1-p.Bank.DoD))
	case "load.starting_va":
		i := slices.IndexFunc(p.Site.Loads, func(l loads.Load) bool { return c.At != "" && l.Name == c.At })
		if c.At == "" {
			i = c.Place - 1
		}
		if i >= 0 && i < len(p.Site.Loads) {
			return v.Say("live.refused.start", amount(math.Ceil(p.Site.Loads[i].Running().VA())))
		}
	}
	return ""
}

// keyOfSite is a key of a table of the site file, nil where there is none.
func keyOfSite(table, key string) *strict.Key {
	for _, group := range site.FileKeys().List {
		if group.Name != table {
			continue
		}
		for i := range group.Keys.List {
			if k := &group.Keys.List[i]; k.Name == key {
				return k
			}
		}
	}
	return nil
}
