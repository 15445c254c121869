package sheet

import (
	"math"
	"strings"

	"outlast/backup"
	"outlast/backup/phrase"
	"outlast/backup/sheet/columns"
	"outlast/backup/sheet/grid"
	"outlast/backup/wording"
)

// wiringSection is the bank as an electrician wires it.
func wiringSection(p *backup.Plan) grid.Section {
	b, d := p.Bank, p.Details
	u := b.Unit
	s := grid.Section{Title: phrase.Of("Wiring of the bank"), Drawing: columns.BankWiring(b.Series, b.Strings),
		Table: grid.Table{
			Head: []phrase.Phrase{phrase.Of("Terminals, V"), phrase.Of("Lowest"), phrase.Of("Nominal"),
				phrase.Of("Float"),
				phrase.Of("Absorption")},
			Right: []bool{false, true, true, true, true},
		}}
	for _, row := range []struct {
		name phrase.Phrase
		n    float64
	}{{phrase.Of("One unit"), 1}, {phrase.Of("Bank"), float64(b.Series)}} {
		s.Table.Rows = append(s.Table.Rows, []phrase.Phrase{row.name, grid.Num(grid.Volts(u.MinV * row.n)),
			grid.Num(grid.Volts(u.NominalV * row.n)), grid.Num(grid.Volts(u.FloatV * row.n)),
			grid.Num(grid.Volts(u.ChargeV * row.n))})
	}
	how := phrase.Of("%s in series, + to -, %s", phrase.Count(b.Series, "%d unit", "%d units"),
		grid.Measured(grid.Short(b.NominalV()), "V"))
	if b.Series == 1 {
		how = phrase.Of("Single units")
	}
	switch {
	case b.Strings == 1 && b.Series == 1:
		how = phrase.Of("One unit: its terminals are the bank's")
	case b.Strings > 1:
		how = how.Then(phrase.Of("; %d strings in parallel, + from the first and - from the last, "+
			"links of equal length, a fuse in each", b.Strings))
	}
	s.Lines = append(s.Lines, how.Then(phrase.Symbols(".")))
	switch m := b.MassKg(); {
	case m > 0 && b.Units() > 1:
		s.Lines = append(s.Lines, phrase.Of("Weight: %s, %s each, without racks and cables.",
			wording.Amount(math.Round(m), "kg"), wording.Amount(u.MassKg, "kg")))
	case m > 0:
		s.Lines = append(s.Lines, phrase.Of("Weight: %s, without racks and cables.",
			wording.Amount(math.Round(m), "kg")))
	}
	if !d.HasFault {
		s.Lines = append(s.Lines,
			phrase.Of("Prospective short-circuit current: give resistance_mohm of the battery to work it out."))
		return s
	}
	line := phrase.Of("Prospective short-circuit current: %s at the terminals when full, "+
		"limited only by %s milliohm of internal resistance; links and cables lower it. "+
		"The breaking capacity that a device requires, with margins and chargers, stands under Conductors and protective devices.",
		grid.Measured(grid.Whole(d.Fault.FullA), "A"), phrase.Number(grid.Short3(1000*d.ResistanceOhm)))
	if b.Strings > 1 {
		line = grid.Sentences(line, phrase.Of("One string gives %s.",
			grid.Measured(grid.Whole(d.Fault.FullA/float64(b.Strings)), "A")))
	}
	if !u.Chemistry.LeadAcid() {
		line = grid.Sentences(line,
			phrase.Of("The packs may switch off before that; the choice of a fuse must not rely on it."))
	}
	s.Lines = append(s.Lines, line)
	return s
}

func spaces(n int) string { return strings.Repeat(" ", n) }
