package sheet

import (
	"math"
	"slices"

	"outlast/backup"
	"outlast/backup/calendar"
	"outlast/backup/facts"
	"outlast/backup/phrase"
	"outlast/backup/sheet/grid"
	"outlast/backup/wording"
)

func startSection(p *backup.Plan) grid.Section {
	s := grid.Section{Title: phrase.Of("Starting"), Table: grid.Table{
		Head: []phrase.Phrase{phrase.Of("Load that starts"), phrase.Of("At"), grid.Unit("s"), phrase.Of("Total VA"),
			phrase.Of("Rating VA"), phrase.Of("Margin %%"),
			phrase.Of("Down to %%")},
		Right: []bool{false, true, true, true, true, true, true},
	}}
	for i, st := range p.Starts.All {
		name := phrase.Name(st.Load)
		switch typical := p.Site.RestsOnClass(st.Load); {
		case i == p.Starts.Worst && typical:
			name = phrase.Of("%s (largest, typical)", name)
		case i == p.Starts.Worst:
			name = phrase.Of("%s (largest)", name)
		case typical:
			name = phrase.Of("%s (typical)", name)
		}
		if st.Phase > 0 {
			name = phrase.Of("%s, phase %d", name, st.Phase)
		}
		s.Table.Rows = append(s.Table.Rows, []phrase.Phrase{name, phrase.Name(calendar.Clock(st.AtMin)),
			grid.Num(grid.Short(st.Seconds)), grid.Num(grid.Whole(st.DemandVA)),
			grid.Num(grid.Whole(st.LimitVA)), grid.Num(grid.Percent(st.LimitVA-st.DemandVA, st.LimitVA)),
			downTo(p.Details.Starts[i])})
	}
	if len(s.Table.Rows) == 0 {
		s.Lines = append(s.Lines, phrase.Of("No load on the backup board starts with more than its running power."))
	}
	if len(p.Starts.All) > 0 && p.Bank.Unit.ResistanceMohm > 0 {
		line := phrase.Of("Total: with the running load of that minute. Down to: "+
			"the lowest charge of the bank at which it still starts, at %s.",
			wording.Amount(p.Site.ColdestC, "C"))
		if slices.ContainsFunc(p.Details.Starts, anyCharge) {
			line = grid.Sentences(line, phrase.Of("Any: the voltage never prevents it."))
		}
		s.Lines = append(s.Lines, line)
	}
	if r := p.Starts.Restart; r.VA > 0 {
		at := phrase.Name(calendar.Clock(r.AtMin))
		line := phrase.Of("After an interruption all loads at once take %s at %s", wording.Amount(r.VA, "VA"), at)
		if p.Site.Phases > 1 {
			line = phrase.Of("After an interruption all loads at once take %s on all phases together at %s",
				wording.Amount(r.VA, "VA"), at)
		}
		switch {
		case r.FitsAtOnce:
			line = line.Then(phrase.Of(", within the rating of the inverter."))
		case len(r.Order) > 0:
			line = grid.Sentences(line.Then(phrase.Of(", above the rating.")), restartText(p))
		case p.BlockedAlone():
			line = line.Then(phrase.Of(", above the rating, and no order helps: %q alone takes more than the rating.",
				r.Blocked))
		default:
			line = line.Then(phrase.Of(", above the rating, and no order helps: %q cannot start while the others run.",
				r.Blocked))
		}
		s.Lines = append(s.Lines, line)
	}
	return s
}

// anyCharge says whether a start works at any charge.
func anyCharge(d facts.DownTo) bool { return d.Known && d.Works && d.SoC == 0 }

// downTo writes the lowest charge at which something starts, in per cent, rounded up: the safe side.
func downTo(d facts.DownTo) phrase.Phrase {
	switch {
	case !d.Known:
		return grid.Dash
	case !d.Works:
		return phrase.Of("never")
	case anyCharge(d):
		return phrase.Of("any")
	}
	return grid.Num(grid.Whole(math.Ceil(100 * d.SoC)))
}

// restartText is the order of the restart: the circuits that keep to it, one after the other, and that the rest may
// follow in any order. Where no order of circuits does, it is that of the loads at the tightest minute.
func restartText(p *backup.Plan) phrase.Phrase {
	day := p.RestartDay()
	if day.Circuits == nil {
		r := p.Starts.Restart
		return phrase.Of("Not circuit by circuit: switch on the loads in this order, at %s: %s.",
			phrase.Name(calendar.Clock(r.TightAtMin)), inOrder(r.Order))
	}
	var order []string
	for _, id := range day.Circuits[:day.First] {
		order = append(order, label(p.Facts, id))
	}
	switch {
	case day.First == 0:
		return phrase.Of("Switch the circuits on one after the other, in any order.")
	case day.First == len(day.Circuits):
		return phrase.Of("Switch the circuits on in this order: %s.", inOrder(order))
	}
	return phrase.Of("Switch the circuits on in this order: %s; then the others, one after the other, in any order.",
		inOrder(order))
}

// inOrder lists names of what is done one after the other.
func inOrder(list []string) phrase.Phrase {
	var out phrase.Phrase
	for i, name := range grid.Quoted(list) {
		if i == 0 {
			out = name
			continue
		}
		out = phrase.Of("%s, then %s", out, name)
	}
	return out
}
