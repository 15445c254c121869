package record

import (
	"strings"

	"outlast/backup"
	"outlast/backup/phrase"
)

// optionRows are the variants in the list of figures.
func optionRows(p *backup.Plan, text func(section, item, name, value, unit string),
	number func(section, item, name string, v float64, unit string)) {
	if len(p.Options) == 0 {
		return
	}
	for _, v := range Variants(p) {
		item, b, failing := v.Name.String(), v.Plan.Bank, ""
		if c := v.Plan.FirstFailing(); c != nil {
			failing = c.ID
		}
		text("option", item, "verdict", string(v.Plan.Verdict()), "")
		text("option", item, "carried", strings.Join(v.Plan.Carried(), "; "), "")
		number("option", item, "ways", float64(len(v.Plan.Carried())), "")
		text("option", item, "inverter", v.Plan.Inverter.Unit.ID, "")
		number("option", item, "count", float64(v.Plan.Inverter.Count), "")
		text("option", item, "battery", b.Unit.ID, "")
		number("option", item, "series", float64(b.Series), "")
		number("option", item, "strings", float64(b.Strings), "")
		number("option", item, "promised_h", orEmpty(v.Promised), "h")
		number("option", item, "mass_kg", orEmpty(v.Mass), "kg")
		number("option", item, "price", orEmpty(v.Price), "")
		number("option", item, "price_difference", orEmpty(v.More), "")
		text("option", item, "first_failing", failing, "")
		text("option", item, "changes", v.Changes.String(), "")
	}
}

// A Variant is the base or an option as its sheets show it. Hours, weight and prices that are not known are nil.
type Variant struct {
	Name     phrase.Phrase
	Plan     *backup.Plan
	Promised *float64
	Capped   bool // the hours are where the simulation was ended
	Mass     *float64
	Price    *float64
	More     *float64 // price beyond the base's; nil for the base too
	Changes  phrase.Phrase
}

// Variants are the base and its options, in the order of the file.
func Variants(p *backup.Plan) []Variant {
	of := func(name phrase.Phrase, p *backup.Plan) Variant {
		v := Variant{Name: name, Plan: p, Capped: p.Bank.AutonomyCap}
		if h, _, err := p.LeastAutonomy(); err == nil {
			v.Promised = &h
		}
		v.Mass, v.Price = known(p.MassKg()), known(p.Price())
		return v
	}
	out := []Variant{of(phrase.Of("(base)"), p)}
	for _, o := range p.Options {
		v := of(phrase.Name(o.Name), o.Plan)
		v.More, v.Changes = known(o.PriceDifference(p)), o.ChangesText()
		out = append(out, v)
	}
	return out
}
