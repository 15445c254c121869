package sheet

import (
	"fmt"
	"strings"

	"outlast/backup"
	"outlast/backup/phrase"
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

// sections is everything on a sheet below the headline, in the order in which it is read.
func sections(p *backup.Plan, o Options, wide bool) []section {
	out := []section{demandSection(p), startSection(p)}
	if typical, ok := typicalSection(p, wide); ok {
		out = append(out, typical)
	}
	out = append(out, inverterSection(p), bankSection(p), wiringSection(p), chargeSection(p), careSection(p),
		circuitSection(p, wide),
	)
	if stays, ok := stayOnSection(p); ok {
		out = append(out, stays)
	}
	if shed, ok := shedSection(p, o); ok {
		out = append(out, shed)
	}
	out = append(out, rechargeSections(p)...)
	if len(p.HeldOff) > 0 {
		out = append(out, heldOffSection(p))
	}
	out = append(out, wireSection(p))
	if p.Generator != nil {
		out = append(out, generatorSection(p))
	}
	out = append(out, checkSection(p, wide))
	if len(p.Options) > 0 {
		out = append(out, optionSection(p, wide))
	}
	if o.Sensitivity {
		out = append(out, sensitivitySection(p, wide))
	}
	return append(out, section{title: "Cautions", lines: cleanAll(phrase.Strings(p.Cautions)), list: true})
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
		return "at " + backup.Clock(d.AtMin)
	}
	return fmt.Sprintf("W at %s, VA at %s", backup.Clock(d.AtMin), backup.Clock(d.VAAtMin))
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
		text := fmt.Sprintf("%s (%s)", Clean(l.Name), backup.Amount(l.RunningW*float64(l.Quantity), "W"))
		for _, c := range p.Checks {
			if c.ID == "slip-"+l.Name {
				text += ": " + Clean(c.Reason.String())
			}
		}
		s.lines = append(s.lines, text+".")
	}
	return s
}
