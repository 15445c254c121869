package sheet

import (
	"fmt"
	"strings"

	"outlast/backup"
	"outlast/backup/calendar"
	"outlast/backup/sheet/speech"
	"outlast/backup/wording"
	"outlast/loads"
)

// A section is one part of a sheet: a title, then a table, then lines. Any of them may be empty.
type section struct {
	title   string
	drawing []string // stands before the table as it is, not wrapped
	table   table
	lines   []string // paragraphs
	list    bool     // lines are items of a list
	plain   bool     // lines stand as they are, not wrapped: a drawing in characters
}

// A table is a head and rows of the same length. Columns that hold numbers are set to the right.
type table struct {
	head  []string
	right []bool
	rows  [][]string
}

func demandSection(p *backup.Plan) section {
	d := p.Demand
	rows := [][]string{
		{"Connected load", whole(d.Connected.W), whole(d.Connected.VA), ""},
		{"Scheduled, peak minute", whole(d.Scheduled.W), whole(d.Scheduled.VA), worstMinutes(d.Scheduled)},
		{"Probable", whole(d.ProbableW), "", fmt.Sprintf("not exceeded %g %% of the time", 100*p.Site.Practice.Confidence)},
		{"Average over the day", whole(d.EnergyWhPerDay / 24), "", whole(d.EnergyWhPerDay) + " Wh a day"},
	}
	s := section{title: "Demand in an outage, " + p.MonthName(), table: table{[]string{"Demand", "W", "VA", ""}, []bool{false, true, true, false}, rows}}
	if d.EnergyWhPerDay > 0 {
		s.lines = []string{"Mean W by hour from 00:00:", hours(d.Profile)}
	}
	return s
}

// worstMinutes tells when the most is scheduled: watts and VA may have a minute each.
func worstMinutes(d loads.Demand) string {
	if d.AtMin == d.VAAtMin {
		return "at " + calendar.Clock(d.AtMin)
	}
	return fmt.Sprintf("W at %s, VA at %s", calendar.Clock(d.AtMin), calendar.Clock(d.VAAtMin))
}

func hours(profile loads.Profile) string {
	var out []string
	for _, w := range profile.HourlyW() {
		out = append(out, whole(w))
	}
	return strings.Join(out, " ")
}

func heldOffSection(p *backup.Plan) section {
	s := section{title: "Not used in an outage", list: true}
	for _, l := range p.HeldOff {
		text := fmt.Sprintf("%s (%s)", speech.Clean(l.Name), wording.AmountText(l.RunningW*float64(l.Quantity), "W"))
		for _, c := range p.Checks {
			if c.ID == "slip-"+l.Name {
				text += ": " + speech.Clean(c.Reason.String())
			}
		}
		s.lines = append(s.lines, text+".")
	}
	return s
}
