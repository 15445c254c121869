package record

import (
	"strings"

	"outlast/backup"
)

// optionRows are the variants in the list of figures.
func optionRows(p *backup.Plan, text func(section, item, name, value, unit string), number func(section, item, name string, v float64, unit string)) {
	if len(p.Options) == 0 {
		return
	}
	for _, v := range Variants(p) {
		b, failing := v.Plan.Bank, ""
		if c := v.Plan.FirstFailing(); c != nil {
			failing = c.ID
		}
		text("option", v.Name, "verdict", string(v.Plan.Verdict()), "")
		text("option", v.Name, "carried", strings.Join(v.Plan.Carried(), "; "), "")
		number("option", v.Name, "ways", float64(len(v.Plan.Carried())), "")
		text("option", v.Name, "inverter", v.Plan.Inverter.Unit.ID, "")
		number("option", v.Name, "count", float64(v.Plan.Inverter.Count), "")
		text("option", v.Name, "battery", b.Unit.ID, "")
		number("option", v.Name, "series", float64(b.Series), "")
		number("option", v.Name, "strings", float64(b.Strings), "")
		number("option", v.Name, "promised_h", orEmpty(v.Promised), "h")
		number("option", v.Name, "mass_kg", orEmpty(v.Mass), "kg")
		number("option", v.Name, "price", orEmpty(v.Price), "")
		number("option", v.Name, "price_difference", orEmpty(v.More), "")
		text("option", v.Name, "first_failing", failing, "")
		text("option", v.Name, "changes", v.Changes, "")
	}
}

// A Variant is the base or an option as its sheets show it. Hours, weight and prices that are not known are nil.
type Variant struct {
	Name     string
	Plan     *backup.Plan
	Promised *float64
	Capped   bool // the hours are where the simulation was ended
	Mass     *float64
	Price    *float64
	More     *float64 // price beyond the base's; nil for the base too
	Changes  string
}

// Variants are the base and its options, in the order of the file.
func Variants(p *backup.Plan) []Variant {
	of := func(name string, p *backup.Plan) Variant {
		v := Variant{Name: name, Plan: p, Capped: p.Bank.AutonomyCap}
		if h, _, err := p.LeastAutonomy(); err == nil {
			v.Promised = &h
		}
		v.Mass, v.Price = known(p.MassKg()), known(p.Price())
		return v
	}
	out := []Variant{of("(base)", p)}
	for _, o := range p.Options {
		v := of(o.Name, o.Plan)
		v.More, v.Changes = known(o.PriceDifference(p)), o.ChangesText().String()
		out = append(out, v)
	}
	return out
}
