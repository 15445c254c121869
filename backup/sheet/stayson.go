package sheet

import (
	"fmt"
	"strconv"

	"outlast/backup"
	"outlast/backup/calendar"
	"outlast/backup/sheet/record"
	"outlast/backup/sheet/speech"
	"outlast/backup/study"
	"outlast/backup/wording"
)

// stayOnSection tells how long the bank lasts if only the more important loads are used.
func stayOnSection(p *backup.Plan) (section, bool) {
	list, err := study.Levels(p.Facts)
	if err != nil || len(list) < 2 {
		return section{}, false
	}
	s := section{title: "What stays on how long", table: table{
		head:  []string{"In use", "Loads", "Wh/day", "Hours", "From"},
		right: []bool{false, true, true, true, true},
	}}
	for i, l := range list {
		s.table.rows = append(s.table.rows, []string{levelName(l.Priority, i == len(list)-1), strconv.Itoa(l.Loads), whole(l.EnergyWhPerDay), lasting(l.Hours, l.Capped), calendar.ClockAt(l.StartMin)})
	}
	text := "Hours of the bank alone at the end of its life, from the least favourable start for what is in use"
	for _, l := range p.Site.Loads {
		if l.Medical {
			text += "; medical loads are always in use"
			break
		}
	}
	s.lines = []string{text + "."}
	return s, true
}

// levelName tells which loads are in use.
func levelName(priority int, all bool) string {
	switch {
	case all:
		return "all"
	case priority == 1:
		return "priority 1"
	case priority == 2:
		return "priorities 1 and 2"
	}
	return fmt.Sprintf("priorities 1 to %d", priority)
}

// lasting writes hours of which only the least may be known.
func lasting(hours float64, capped bool) string {
	if capped {
		return ">" + whole(hours)
	}
	return tenth(hours)
}

// shedSection tells which loads to switch off so that the bank lasts as long as is wished.
func shedSection(p *backup.Plan, o Options) (section, bool) {
	hours := record.Wished(p, o.HoursWished)
	if hours == 0 {
		return section{}, false
	}
	s := section{title: fmt.Sprintf("To last %s", wording.AmountText(hours, "h"))}
	shed, err := study.Shed(p.Facts, hours)
	switch {
	case err != nil:
		s.lines = []string{speech.Clean(err.Error())}
		return s, true
	case shed.Reached && len(shed.Drops) == 0:
		s.lines = []string{fmt.Sprintf("Nothing has to be switched off: the bank lasts %s.", wording.AmountText(shed.NowH, "h"))}
		return s, true
	case len(shed.Drops) == 0:
		s.lines = []string{fmt.Sprintf("The bank lasts %s, and there is nothing to switch off.", wording.AmountText(shed.NowH, "h"))}
		return s, true
	}
	s.table = table{head: []string{"Switch off", "Circuit", "Prio", "Wh/day", "Then h"}, right: []bool{false, false, true, true, true}}
	label := record.Labels(p)
	for _, d := range shed.Drops {
		s.table.rows = append(s.table.rows, []string{speech.Clean(d.Load), speech.Clean(label(d.CircuitID)), strconv.Itoa(d.Priority), whole(d.EnergyWhPerDay), lasting(d.Hours, d.Capped)})
	}
	s.lines = []string{fmt.Sprintf("The bank lasts %s; with these off from the beginning of the outage, in this order, it lasts longer.", wording.AmountText(shed.NowH, "h"))}
	if !shed.Reached {
		s.lines[0] += fmt.Sprintf(" Even with all of them off it does not last %s: that takes a larger bank, or another source.", wording.AmountText(hours, "h"))
	}
	return s, true
}
