package sheet

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"outlast/backup"
	"outlast/backup/phrase"
	"outlast/backup/wording"
)

// Units of a string and strings that are drawn one by one; of more, the first two and the last.
const mostDrawn = 4

// wiringDrawing shows how the units are joined: a line of boxes for each string, plus on the left of each box. The plus
// of the bank is taken from the first string and its minus from the last, so that the way through every string is as
// long.
func wiringDrawing(series, strings int) []string {
	digits := len(strconv.Itoa(series * strings))
	boxes := func(str int) string {
		var b []byte
		for _, n := range drawn(series) {
			if n == 0 {
				b = append(b, " ... --"...)
				continue
			}
			b = fmt.Appendf(b, "[%*d]--", digits, (str-1)*series+n)
		}
		return string(b)
	}
	if strings == 1 {
		return []string{"(+)--" + boxes(1) + "(-)"}
	}
	var out []string
	width := len(boxes(1))
	gap := func(mark string) string {
		return "     " + mark + spaces(width+2) + mark
	}
	for _, n := range drawn(strings) {
		if len(out) > 0 {
			out = append(out, gap("|"))
		}
		switch n {
		case 0:
			out = append(out, gap(":"))
		case 1:
			out = append(out, "(+)--+--"+boxes(n)+"+")
		case strings:
			out = append(out, "     +--"+boxes(n)+"+--(-)")
		default:
			out = append(out, "     +--"+boxes(n)+"+")
		}
	}
	return out
}

func spaces(n int) string { return strings.Repeat(" ", n) }

// drawn lists which of n things are drawn, from 1; 0 stands for those that are left out.
func drawn(n int) []int {
	var out []int
	for i := 1; i <= n; i++ {
		switch {
		case n <= mostDrawn || i <= 2 || i == n:
			out = append(out, i)
		case i == 3:
			out = append(out, 0)
		}
	}
	return out
}

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
	s := section{title: phrase.Of("Wiring of the bank"), drawing: wiringDrawing(b.Series, b.Strings), table: table{
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
