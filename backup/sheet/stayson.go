package sheet

import (
	"slices"
	"strconv"

	"outlast/backup"
	"outlast/backup/calendar"
	"outlast/backup/phrase"
	"outlast/backup/sheet/grid"
	"outlast/backup/sheet/record"
	"outlast/backup/study"
	"outlast/backup/wording"
	"outlast/loads"
)

// stayOnSection tells how long the bank lasts if only the more important loads are used.
func stayOnSection(p *backup.Plan) (grid.Section, bool) {
	list, err := study.Levels(p.Facts)
	if err != nil || len(list) < 2 {
		return grid.Section{}, false
	}
	s := grid.Section{Title: phrase.Of("What stays on how long"), Table: grid.Table{
		Head: []phrase.Phrase{phrase.Of("In use"), phrase.Of("Loads"), phrase.Of("Wh/day"), phrase.Of("Hours"),
			phrase.Of("From")},
		Right: []bool{false, true, true, true, true},
	}}
	for i, l := range list {
		s.Table.Rows = append(s.Table.Rows, []phrase.Phrase{levelName(l.Priority, i == len(list)-1),
			grid.Num(strconv.Itoa(l.Loads)), grid.Num(grid.Whole(l.EnergyWhPerDay)),
			grid.Num(grid.Lasting(l.Hours, l.Capped)), phrase.Name(calendar.ClockAt(l.StartMin))})
	}
	text := phrase.Of("Hours of the bank alone at the end of its life, from the least favourable start for what is in use.")
	if slices.ContainsFunc(p.Site.Loads, func(l loads.Load) bool { return l.Medical }) {
		text = phrase.Of("Hours of the bank alone at the end of its life, " +
			"from the least favourable start for what is in use; medical loads are always in use.")
	}
	s.Lines = []phrase.Phrase{text}
	return s, true
}

// levelName tells which loads are in use.
func levelName(priority int, all bool) phrase.Phrase {
	switch {
	case all:
		return phrase.Of("all")
	case priority == 1:
		return phrase.Of("priority 1")
	case priority == 2:
		return phrase.Of("priorities 1 and 2")
	}
	return phrase.Of("priorities 1 to %d", priority)
}

// shedSection tells which loads to switch off so that the bank lasts as long as is wished.
func shedSection(p *backup.Plan, o Options) (grid.Section, bool) {
	hours := record.Wished(p, o.HoursWished)
	if hours == 0 {
		return grid.Section{}, false
	}
	s := grid.Section{Title: phrase.Of("To last %s", wording.Amount(hours, "h"))}
	shed, err := study.Shed(p.Facts, hours)
	now := wording.Amount(shed.NowH, "h")
	switch {
	case err != nil:
		s.Lines = []phrase.Phrase{wording.ReasonOf(err)}
		return s, true
	case shed.Reached && len(shed.Drops) == 0:
		s.Lines = []phrase.Phrase{phrase.Of("Nothing has to be switched off: the bank lasts %s.", now)}
		return s, true
	case len(shed.Drops) == 0:
		s.Lines = []phrase.Phrase{phrase.Of("The bank lasts %s, and there is nothing to switch off.", now)}
		return s, true
	}
	s.Table = grid.Table{Head: []phrase.Phrase{phrase.Of("Switch off"), phrase.Of("Circuit"), phrase.Of("Prio"),
		phrase.Of("Wh/day"), phrase.Of("Then h")},
		Right: []bool{false, false, true, true, true}}
	label := record.Labels(p)
	for _, d := range shed.Drops {
		s.Table.Rows = append(s.Table.Rows, []phrase.Phrase{phrase.Name(d.Load), phrase.Name(label(d.CircuitID)),
			grid.Num(strconv.Itoa(d.Priority)),
			grid.Num(grid.Whole(d.EnergyWhPerDay)), grid.Num(grid.Lasting(d.Hours, d.Capped))})
	}
	text := phrase.Of("The bank lasts %s; with these off from the beginning of the outage, in this order, it lasts longer.", now)
	if !shed.Reached {
		text = grid.Sentences(text,
			phrase.Of("Even with all of them off it does not last %s: that takes a larger bank, or another source.",
				wording.Amount(hours, "h")))
	}
	s.Lines = []phrase.Phrase{text}
	return s, true
}
