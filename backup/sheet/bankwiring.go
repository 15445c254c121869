package sheet

import (
	"math"
	"strconv"
	"strings"

	"outlast/backup"
	"outlast/backup/phrase"
	"outlast/backup/sheet/columns"
	"outlast/backup/wording"
)

// volts writes a voltage with two decimals where a cell's matter, else with one.
func volts(v float64) string {
	if v < 10 {
		return strconv.FormatFloat(v, 'f', 2, 64)
	}
	return tenth(v)
}

// wiringSection is the bank as an electrician wires it.
func wiringSection(p *backup.Plan) section {
	b, d := p.Bank, p.Details
	u := b.Unit
	s := section{title: phrase.Of("Wiring of the bank"), drawing: columns.BankWiring(b.Series, b.Strings), table: table{
		head: []phrase.Phrase{phrase.Of("Terminals, V"), phrase.Of("Lowest"), phrase.Of("Nominal"), phrase.Of("Float"),
			phrase.Of("Absorption")},
		right: []bool{false, true, true, true, true},
	}}
	for _, row := range []struct {
		name phrase.Phrase
		n    float64
	}{{phrase.Of("One unit"), 1}, {phrase.Of("Bank"), float64(b.Series)}} {
		s.table.rows = append(s.table.rows, []phrase.Phrase{row.name, num(volts(u.MinV * row.n)),
			num(volts(u.NominalV * row.n)), num(volts(u.FloatV * row.n)), num(volts(u.ChargeV * row.n))})
	}
	how := phrase.Of("%s in series, + to -, %s", phrase.Count(b.Series, "%d unit", "%d units"),
		measured(short(b.NominalV()), "V"))
	if b.Series == 1 {
		how = phrase.Of("Single units")
	}
	switch {
	case b.Strings == 1 && b.Series == 1:
		how = phrase.Of("One unit: its terminals are the bank's")
	case b.Strings > 1:
		how = how.Then(phrase.Of("; %d strings in parallel, + from the first and - from the last, links of equal length, a fuse in each", b.Strings))
	}
	s.lines = append(s.lines, how.Then(phrase.Symbols(".")))
	switch m := b.MassKg(); {
	case m > 0 && b.Units() > 1:
		s.lines = append(s.lines, phrase.Of("Weight: %s, %s each, without racks and cables.",
			wording.Amount(math.Round(m), "kg"), wording.Amount(u.MassKg, "kg")))
	case m > 0:
		s.lines = append(s.lines, phrase.Of("Weight: %s, without racks and cables.",
			wording.Amount(math.Round(m), "kg")))
	}
	if !d.HasFault {
		s.lines = append(s.lines,
			phrase.Of("Prospective short-circuit current: give resistance_mohm of the battery to work it out."))
		return s
	}
	line := phrase.Of("Prospective short-circuit current: %s at the terminals when full, limited only by %s milliohm of internal resistance; links and cables lower it. The breaking capacity that a device requires, with margins and chargers, stands under Conductors and protective devices.",
		measured(whole(d.Fault.FullA), "A"), phrase.Number(short3(1000*d.ResistanceOhm)))
	if b.Strings > 1 {
		line = sentences(line, phrase.Of("One string gives %s.",
			measured(whole(d.Fault.FullA/float64(b.Strings)), "A")))
	}
	if !u.Chemistry.LeadAcid() {
		line = sentences(line,
			phrase.Of("The packs may switch off before that; the choice of a fuse must not rely on it."))
	}
	s.lines = append(s.lines, line)
	return s
}

// short3 writes a number with three digits that count.
func short3(v float64) string { return strconv.FormatFloat(v, 'g', 3, 64) }

func spaces(n int) string { return strings.Repeat(" ", n) }
