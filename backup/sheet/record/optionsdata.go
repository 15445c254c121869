package record

import (
	"strings"

	"outlast/backup"
	"outlast/backup/phrase"
)

// options are the variants in the list of figures.
func (w *figureRows) options(p *backup.Plan) {
	if len(p.Options) == 0 {
		return
	}
	for _, v := range Variants(p) {
		item, b, failing := v.Name.String(), v.Plan.Bank, ""
		if c := v.Plan.FirstFailing(); c != nil {
			failing = c.ID
		}
		w.text("option", item, "verdict", string(v.Plan.Verdict()), "")
		w.text("option", item, "carried", strings.Join(v.Plan.Carried(), "; "), "")
		w.number("option", item, "ways", float64(len(v.Plan.Carried())), "")
		w.text("option", item, "inverter", v.Plan.Inverter.Unit.ID, "")
		w.number("option", item, "count", float64(v.Plan.Inverter.Count), "")
		w.text("option", item, "battery", b.Unit.ID, "")
		w.number("option", item, "series", float64(b.Series), "")
		w.number("option", item, "strings", float64(b.Strings), "")
		w.number("option", item, "promised_h", orEmpty(v.Promised), "h")
		w.number("option", item, "mass_kg", orEmpty(v.Mass), "kg")
		w.number("option", item, "price", orEmpty(v.Price), "")
		w.number("option", item, "price_difference", orEmpty(v.More), "")
		w.text("option", item, "first_failing", failing, "")
		w.text("option", item, "changes", v.Changes.String(), "")
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
