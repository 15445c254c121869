package backup

import (
	"context"
	"fmt"

	"outlast/backup/calendar"
	"outlast/backup/facts"
	"outlast/backup/phrase"
	"outlast/backup/site"
	"outlast/backup/wording"
	"outlast/backup/workers"
)

// An OptionPlan is a variant of the site worked through, to be set beside the base.
type OptionPlan struct {
	Name    string
	Plan    *Plan
	Changes []Change // what differs from the base
}

// withOptions works the home and its variants through, side by side: they have nothing in common that changes.
func withOptions(ctx context.Context, s *site.Site) (*Plan, error) {
	all := make([]*Plan, 1+len(s.Options)) // the home itself is the first
	err := workers.Each(len(all), func(i int) (err error) {
		if i == 0 {
			all[0], err = Alone(ctx, s)
			return err
		}
		o := s.Options[i-1]
		if all[i], err = NewPlan(ctx, o.Site); err != nil {
			return fmt.Errorf("option %q: %w", o.Name, err)
		}
		return nil
	})
	if err != nil {
		return nil, err
	}
	p := all[0]
	for i, variant := range all[1:] {
		p.Options = append(p.Options, OptionPlan{Name: s.Options[i].Name, Plan: variant,
			Changes: changes(p.Facts, variant.Facts)})
	}
	return p, nil
}

// A Change is one thing that a variant has and the base has not.
type Change struct {
	Key     string // of the site file, with its table: "bank.strings"; "bank" and "inverter" are other equipment
	Was, Is phrase.Phrase
	Follows phrase.Phrase // what comes of it, where there is no key: circuits that change boards
}

// Text tells the change as the site file has it: "bank.strings 2 -> 4".
func (c Change) Text() phrase.Phrase {
	if c.Key == "" {
		return c.Follows
	}
	return phrase.Symbols("%s %s -> %s", c.Key, c.Was, c.Is)
}

// changes names what a variant has that the base has not, in the order of the site file.
func changes(base, variant *facts.Facts) []Change {
	var out []Change
	text := func(key, was, is string) {
		if was != is {
			out = append(out, Change{Key: key, Was: phrase.Name(was), Is: phrase.Name(is)})
		}
	}
	number := func(key string, was, is float64) {
		if was != is {
			out = append(out, Change{Key: key, Was: phrase.Symbols("%g", was), Is: phrase.Symbols("%g", is)})
		}
	}
	a, b := base.Site, variant.Site
	number("outage.autonomy_h", a.Outage.AutonomyH, b.Outage.AutonomyH)
	text("outage.start", startText(a.Outage.Start), startText(b.Outage.Start))
	number("outage.month", float64(base.Month), float64(variant.Month))
	number("outage.reserve", a.Outage.Reserve, b.Outage.Reserve)
	number("practice.margin", a.Practice.Margin, b.Practice.Margin)
	number("practice.growth", a.Practice.Growth, b.Practice.Growth)
	number("practice.headroom", a.Practice.Headroom, b.Practice.Headroom)
	number("practice.end_of_life", a.Practice.EndOfLife, b.Practice.EndOfLife)
	number("practice.confidence", a.Practice.Confidence, b.Practice.Confidence)
	was, is := a.Practice.Wires(), b.Practice.Wires()
	for _, f := range site.WiringFactors {
		number("practice."+f.Key, *f.Field(&was), *f.Field(&is))
	}
	text("practice.next_size_up", fmt.Sprint(was.NextSizeUp), fmt.Sprint(is.NextSizeUp))
	number("practice.unfused_strings", float64(was.UnfusedStrings), float64(is.UnfusedStrings))
	text("practice.generator_rule", string(a.Practice.GeneratorRule), string(b.Practice.GeneratorRule))
	number("max_dod", base.Bank.DoD, variant.Bank.DoD)
	text("inverter", a.Inverter.ID, b.Inverter.ID)
	number("inverter.count", float64(a.InverterCount), float64(b.InverterCount))
	number("inverter.rated_va", a.Inverter.RatedVA, b.Inverter.RatedVA)
	text("bank", a.Unit.ID, b.Unit.ID)
	number("bank.series", float64(base.Bank.Series), float64(variant.Bank.Series))
	number("bank.strings", float64(base.Bank.Strings), float64(variant.Bank.Strings))
	number("bank.rated_ah", a.Unit.RatedAh, b.Unit.RatedAh)
	more, fewer := base.Swapped(variant)
	if len(more) > 0 {
		out = append(out, Change{Follows: phrase.Of("supplies %s as well", phrase.List(wording.Quoted(more)))})
	}
	if len(fewer) > 0 {
		out = append(out, Change{Follows: phrase.Of("without %s", phrase.List(wording.Quoted(fewer)))})
	}
	if len(out) == 0 {
		out = append(out, Change{Follows: phrase.Of("no change in these figures")})
	}
	return out
}

func startText(minute int) string {
	if minute == site.WorstStart {
		return "worst"
	}
	return calendar.Clock(minute)
}

// PriceDifference is what a variant costs more than the base; ok is false when one of the prices is not known.
func (o OptionPlan) PriceDifference(base *Plan) (more float64, ok bool) {
	is, known := o.Plan.Price()
	was, both := base.Price()
	return is - was, known && both
}

// ChangeTexts are the changes of an option, each as the site file has it.
func (o OptionPlan) ChangeTexts() []phrase.Phrase {
	out := make([]phrase.Phrase, len(o.Changes))
	for i, c := range o.Changes {
		out[i] = c.Text()
	}
	return out
}

// ChangesText joins them for a table.
func (o OptionPlan) ChangesText() phrase.Phrase { return phrase.Separated(o.ChangeTexts(), "; ") }
