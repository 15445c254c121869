package sheet

import (
	"outlast/backup"
	"outlast/backup/calendar"
	"outlast/backup/phrase"
	"outlast/backup/wording"
	"outlast/loads"
)

// A section is one part of a sheet: a title, then a table, then lines. Any of them may be empty.
type section struct {
	title   phrase.Phrase
	drawing []string // in characters: stands before the table as it is, not wrapped
	table   table
	lines   []phrase.Phrase // paragraphs
	list    bool            // lines are items of a list
}

// A table is a head and rows of the same length. Columns that hold numbers are set to the right.
type table struct {
	head  []phrase.Phrase
	right []bool
	rows  [][]phrase.Phrase
}

// values is the head of a table of what, its value, its unit and a remark.
func values(what phrase.Phrase, rows [][]phrase.Phrase) table {
	return table{[]phrase.Phrase{what, phrase.Of("Value"), {}, {}}, []bool{false, true, false, false}, rows}
}

func demandSection(p *backup.Plan) section {
	d := p.Demand
	rows := [][]phrase.Phrase{
		{phrase.Of("Connected load"), num(whole(d.Connected.W)), num(whole(d.Connected.VA)), {}},
		{phrase.Of("Scheduled, peak minute"), num(whole(d.Scheduled.W)), num(whole(d.Scheduled.VA)),
			worstMinutes(d.Scheduled)},
		{phrase.Of("Probable"), num(whole(d.ProbableW)), {}, phrase.Of("not exceeded %g %% of the time",
			100*p.Site.Practice.Confidence)},
		{phrase.Of("Average over the day"), num(whole(d.EnergyWhPerDay / 24)), {},
			phrase.Of("%s a day", measured(whole(d.EnergyWhPerDay), "Wh"))},
	}
	s := section{title: phrase.Of("Demand in an outage, %s", wording.MonthWord(p.Month)),
		table: table{[]phrase.Phrase{phrase.Of("Demand"), unit("W"), unit("VA"), {}}, []bool{false, true, true, false},
			rows}}
	if d.EnergyWhPerDay > 0 {
		s.lines = []phrase.Phrase{phrase.Of("Mean W by hour from 00:00:"), hours(d.Profile)}
	}
	return s
}

// worstMinutes tells when the most is scheduled: watts and VA may have a minute each.
func worstMinutes(d loads.Demand) phrase.Phrase {
	if d.AtMin == d.VAAtMin {
		return phrase.Of("at %s", phrase.Name(calendar.Clock(d.AtMin)))
	}
	return phrase.Of("W at %s, VA at %s", phrase.Name(calendar.Clock(d.AtMin)), phrase.Name(calendar.Clock(d.VAAtMin)))
}

func hours(profile loads.Profile) phrase.Phrase {
	var out []phrase.Phrase
	for _, w := range profile.HourlyW() {
		out = append(out, num(whole(w)))
	}
	return phrase.Separated(out, " ")
}

func heldOffSection(p *backup.Plan) section {
	s := section{title: phrase.Of("Not used in an outage"), list: true}
	for _, l := range p.HeldOff {
		text := phrase.Symbols("%s (%s)", phrase.Name(l.Name), wording.Amount(l.RunningW*float64(l.Quantity), "W"))
		for _, c := range p.Checks {
			if c.ID == "slip-"+l.Name {
				text = phrase.Of("%s: %s", text, c.Reason)
			}
		}
		s.lines = append(s.lines, text.Then(phrase.Symbols(".")))
	}
	return s
}
