package sheet

import (
	"fmt"
	"strconv"

	"outlast/backup"
	"outlast/backup/calendar"
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

// wished is the time for which loads are to be switched off: the one asked for, or, where the plan does not reach it, the outage's own.
// 0: nothing is to be told.
func wished(p *backup.Plan, o Options) float64 {
	if o.HoursWished > 0 {
		return o.HoursWished
	}
	if h, _, err := p.LeastAutonomy(); err == nil && h < p.Site.Outage.AutonomyH*(1-1e-9) {
		return p.Site.Outage.AutonomyH
	}
	return 0
}

// shedSection tells which loads to switch off so that the bank lasts as long as is wished.
func shedSection(p *backup.Plan, o Options) (section, bool) {
	hours := wished(p, o)
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
	label := labels(p)
	for _, d := range shed.Drops {
		s.table.rows = append(s.table.rows, []string{speech.Clean(d.Load), speech.Clean(label(d.CircuitID)), strconv.Itoa(d.Priority), whole(d.EnergyWhPerDay), lasting(d.Hours, d.Capped)})
	}
	s.lines = []string{fmt.Sprintf("The bank lasts %s; with these off from the beginning of the outage, in this order, it lasts longer.", wording.AmountText(shed.NowH, "h"))}
	if !shed.Reached {
		s.lines[0] += fmt.Sprintf(" Even with all of them off it does not last %s: that takes a larger bank, or another source.", wording.AmountText(hours, "h"))
	}
	return s, true
}

// levelJSON is one line of what stays on how long.
type levelJSON struct {
	Priority int     `json:"up_to_priority" doc:"loads of this priority and more important ones"`
	Loads    int     `json:"loads" doc:"how many"`
	Energy   float64 `json:"energy_wh_per_day"`
	Hours    float64 `json:"hours"`
	AtLeast  bool    `json:"at_least" doc:"hours is where the simulation was ended"`
	From     string  `json:"from"`
}

type shedJSON struct {
	WishedH float64    `json:"wished_h"`
	NowH    float64    `json:"now_h"`
	Reached bool       `json:"reached"`
	Drops   []dropJSON `json:"drops"`
}

type dropJSON struct {
	Load     string  `json:"load"`
	Circuit  string  `json:"circuit"`
	Priority int     `json:"priority"`
	Energy   float64 `json:"energy_wh_per_day"`
	Hours    float64 `json:"hours"`
	AtLeast  bool    `json:"at_least" doc:"hours is where the simulation was ended"`
}

func levelsJSON(p *backup.Plan) []levelJSON {
	out := []levelJSON{}
	list, err := study.Levels(p.Facts)
	if err != nil {
		return out
	}
	for _, l := range list {
		out = append(out, levelJSON{l.Priority, l.Loads, l.EnergyWhPerDay, l.Hours, l.Capped, calendar.Moment(l.StartMin)})
	}
	return out
}

// shedToJSON is nil where nothing is asked.
func shedToJSON(p *backup.Plan, o Options) *shedJSON {
	hours := wished(p, o)
	if hours == 0 {
		return nil
	}
	shed, err := study.Shed(p.Facts, hours)
	if err != nil {
		return nil
	}
	out := &shedJSON{shed.WishedH, shed.NowH, shed.Reached, []dropJSON{}}
	for _, d := range shed.Drops {
		out.Drops = append(out.Drops, dropJSON{d.Load, d.CircuitID, d.Priority, d.EnergyWhPerDay, d.Hours, d.Capped})
	}
	return out
}
