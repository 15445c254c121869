package sheet

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"outlast/backup"
	"outlast/backup/calendar"
	"outlast/backup/facts"
	"outlast/backup/sheet/speech"
	"outlast/backup/wording"
)

func startSection(p *backup.Plan) section {
	s := section{title: "Starting", table: table{
		head:  []string{"Load that starts", "At", "s", "Total VA", "Rating VA", "Margin %", "Down to %"},
		right: []bool{false, true, true, true, true, true, true},
	}}
	for i, st := range p.Starts.All {
		name := speech.Clean(st.Load)
		switch typical := p.Site.RestsOnClass(st.Load); {
		case i == p.Starts.Worst && typical:
			name += " (largest, typical)"
		case i == p.Starts.Worst:
			name += " (largest)"
		case typical:
			name += " (typical)"
		}
		if st.Phase > 0 {
			name += fmt.Sprintf(", phase %d", st.Phase)
		}
		s.table.rows = append(s.table.rows, []string{name, calendar.Clock(st.AtMin), short(st.Seconds), whole(st.DemandVA), whole(st.LimitVA), percent(st.LimitVA-st.DemandVA, st.LimitVA), downTo(p.Details.Starts[i])})
	}
	if len(s.table.rows) == 0 {
		s.lines = append(s.lines, "No load on the backup board starts with more than its running power.")
	}
	if len(p.Starts.All) > 0 && p.Bank.Unit.ResistanceMohm > 0 {
		line := fmt.Sprintf("Total: with the running load of that minute. Down to: the lowest charge of the bank at which it still starts, at %g C.", p.Site.ColdestC)
		if slices.ContainsFunc(p.Details.Starts, func(d facts.DownTo) bool { return downTo(d) == "any" }) {
			line += " Any: the voltage never prevents it."
		}
		s.lines = append(s.lines, line)
	}
	r := p.Starts.Restart
	if r.VA > 0 {
		all := ""
		if p.Site.Phases > 1 {
			all = " on all phases together"
		}
		line := fmt.Sprintf("After an interruption all loads at once take %s%s at %s", wording.AmountText(r.VA, "VA"), all, calendar.Clock(r.AtMin))
		switch {
		case r.FitsAtOnce:
			line += ", within the rating of the inverter."
		case len(r.Order) > 0:
			line += ", above the rating. " + restartText(p)
		default:
			line += fmt.Sprintf(", above the rating, and no order helps: %q cannot start while the others run.", speech.Clean(r.Blocked))
		}
		s.lines = append(s.lines, line)
	}
	return s
}

// downTo writes the lowest charge at which something starts, in per cent, rounded up: the safe side.
func downTo(d facts.DownTo) string {
	switch {
	case !d.Known:
		return "-"
	case !d.Works:
		return "never"
	case d.SoC == 0:
		return "any"
	}
	return whole(math.Ceil(100 * d.SoC))
}

// restartText is the order of the restart: the circuits that keep to it, one after the other, and that the rest may follow in any order. Where
// no order of circuits does, it is that of the loads at the tightest minute.
func restartText(p *backup.Plan) string {
	day := p.RestartDay()
	if day.Circuits == nil {
		r := p.Starts.Restart
		return fmt.Sprintf("Not circuit by circuit: switch on the loads in this order, at %s: %s.", calendar.Clock(r.TightAtMin), strings.Join(quoted(r.Order), ", then "))
	}
	var order []string
	for _, id := range day.Circuits[:day.First] {
		order = append(order, label(p.Facts, id))
	}
	switch {
	case day.First == 0:
		return "Switch the circuits on one after the other, in any order."
	case day.First == len(day.Circuits):
		return "Switch the circuits on in this order: " + strings.Join(quoted(order), ", then ") + "."
	}
	return "Switch the circuits on in this order: " + strings.Join(quoted(order), ", then ") + "; then the others, one after the other, in any order."
}
