package sheet

import (
	"fmt"
	"strconv"
	"strings"

	"outlast/backup"
	"outlast/backup/sheet/speech"
)

// A variant is the base or an option as its sheets show it. Hours, weight and prices that are not known are nil.
type variant struct {
	name     string
	plan     *backup.Plan
	promised *float64
	capped   bool // the hours are where the simulation was ended
	mass     *float64
	price    *float64
	more     *float64 // price beyond the base's; nil for the base too
	changes  string
}

// variants are the base and its options, in the order of the file.
func variants(p *backup.Plan) []variant {
	of := func(name string, p *backup.Plan) variant {
		v := variant{name: name, plan: p, capped: p.Bank.AutonomyCap}
		if h, _, err := p.LeastAutonomy(); err == nil {
			v.promised = &h
		}
		v.mass, v.price = known(p.MassKg()), known(p.Price())
		return v
	}
	out := []variant{of("(base)", p)}
	for _, o := range p.Options {
		v := of(o.Name, o.Plan)
		v.more, v.changes = known(o.PriceDifference(p)), o.ChangesText().String()
		out = append(out, v)
	}
	return out
}

// bank is the layout and the unit of the variant's bank.
func (v variant) bank() string {
	b := v.plan.Bank
	return fmt.Sprintf("%d x %d %s", b.Strings, b.Series, speech.Clean(b.Unit.ID))
}

// optionSection sets the variants beside the base.
func optionSection(p *backup.Plan, wide bool) section {
	s := section{title: "Options side by side", list: true, table: table{
		head:  []string{"Option", "Verdict", "Ways", "Bank", "Lasts h", "kg", "Price", "Diff."},
		right: []bool{false, false, true, false, true, true, true, true},
	}}
	if wide {
		s.table.head, s.table.right = append(s.table.head, "First failing check"), append(s.table.right, false)
	}
	s.lines = append(s.lines,
		fmt.Sprintf("Ways: circuits on the backup board, of %d.", len(p.Circuits)),
		"Lasts: at the end of the bank's life, from the least favourable start of the day, as the headline promises.",
		"Diff.: price difference to the base, of inverters and batteries alone.")
	for _, v := range variants(p) {
		hours, failing := "-", "none"
		if v.promised != nil {
			hours = lasting(*v.promised, v.capped)
		}
		if c := v.plan.FirstFailing(); c != nil {
			failing = speech.Clean(c.ID)
		}
		more := "-"
		if v.more != nil {
			if more = whole(*v.more); *v.more > 0 {
				more = "+" + more
			}
		}
		cells := []string{speech.Clean(v.name), string(v.plan.Verdict()), strconv.Itoa(len(v.plan.Carried())), v.bank(), hours, wholeOrNone(v.mass), wholeOrNone(v.price), more}
		told := []string{}
		if v.changes != "" {
			told = append(told, v.changes)
		}
		if wide {
			cells = append(cells, failing)
		} else if failing != "none" {
			told = append(told, "fails first by "+failing)
		}
		if len(told) > 0 {
			s.lines = append(s.lines, speech.Clean(v.name)+": "+strings.Join(told, "; "))
		}
		s.table.rows = append(s.table.rows, cells)
	}
	return s
}

func wholeOrNone(v *float64) string {
	if v == nil {
		return "-"
	}
	return whole(*v)
}

// optionRows are the variants in the list of figures.
func optionRows(p *backup.Plan, text func(section, item, name, value, unit string), number func(section, item, name string, v float64, unit string)) {
	if len(p.Options) == 0 {
		return
	}
	for _, v := range variants(p) {
		b, failing := v.plan.Bank, ""
		if c := v.plan.FirstFailing(); c != nil {
			failing = c.ID
		}
		text("option", v.name, "verdict", string(v.plan.Verdict()), "")
		text("option", v.name, "carried", strings.Join(v.plan.Carried(), "; "), "")
		number("option", v.name, "ways", float64(len(v.plan.Carried())), "")
		text("option", v.name, "inverter", v.plan.Inverter.Unit.ID, "")
		number("option", v.name, "count", float64(v.plan.Inverter.Count), "")
		text("option", v.name, "battery", b.Unit.ID, "")
		number("option", v.name, "series", float64(b.Series), "")
		number("option", v.name, "strings", float64(b.Strings), "")
		number("option", v.name, "promised_h", orEmpty(v.promised), "h")
		number("option", v.name, "mass_kg", orEmpty(v.mass), "kg")
		number("option", v.name, "price", orEmpty(v.price), "")
		number("option", v.name, "price_difference", orEmpty(v.more), "")
		text("option", v.name, "first_failing", failing, "")
		text("option", v.name, "changes", v.changes, "")
	}
}
