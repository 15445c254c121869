package sheet

import (
	"strings"

	"outlast/backup"
	"outlast/backup/calendar"
	"outlast/backup/phrase"
	"outlast/backup/sheet/grid"
	"outlast/backup/wording"
	"outlast/loads"
)

func demandSection(p *backup.Plan) grid.Section {
	d := p.Demand
	rows := [][]phrase.Phrase{
		{phrase.Of("Connected load"), grid.Num(grid.Whole(d.Connected.W)), grid.Num(grid.Whole(d.Connected.VA)), {}},
		{phrase.Of("Scheduled, peak minute"), grid.Num(grid.Whole(d.Scheduled.W)), grid.Num(grid.Whole(d.Scheduled.VA)),
			worstMinutes(d.Scheduled)},
		{phrase.Of("Probable"), grid.Num(grid.Whole(d.ProbableW)), {}, phrase.Of("not exceeded %g %% of the time",
			100*p.Site.Practice.Confidence)},
		{phrase.Of("Average over the day"), grid.Num(grid.Whole(d.EnergyWhPerDay / 24)), {},
			phrase.Of("%s a day", grid.Measured(grid.Whole(d.EnergyWhPerDay), "Wh"))},
	}
	s := grid.Section{Title: phrase.Of("Demand in an outage, %s", wording.MonthWord(p.Month)),
		Table: grid.Table{Head: []phrase.Phrase{phrase.Of("Demand"), grid.Unit("W"), grid.Unit("VA"), {}},
			Right: []bool{false, true, true, false},
			Rows:  rows}}
	if d.EnergyWhPerDay > 0 {
		s.Lines = []phrase.Phrase{phrase.Of("Mean W by hour from 00:00:"), hours(d.Profile)}
	}
	return s
}

// worstMinutes tells when the most is scheduled: watts and VA may have a minute each.
func worstMinutes(d loads.Demand) phrase.Phrase {
	if d.AtMin == d.VAAtMin {
		// Hour and minute by themselves: "at" of a time of day is another word than "at" of a temperature in most languages.
		h, m, _ := strings.Cut(calendar.Clock(d.AtMin), ":")
		return phrase.Of("at %s:%s", phrase.Name(h), phrase.Name(m))
	}
	return phrase.Of("W at %s, VA at %s", phrase.Name(calendar.Clock(d.AtMin)), phrase.Name(calendar.Clock(d.VAAtMin)))
}

func hours(profile loads.Profile) phrase.Phrase {
	var out []phrase.Phrase
	for _, w := range profile.HourlyW() {
		out = append(out, grid.Num(grid.Whole(w)))
	}
	return phrase.Separated(out, " ")
}

func heldOffSection(p *backup.Plan) grid.Section {
	s := grid.Section{Title: phrase.Of("Not used in an outage"), List: true}
	for _, l := range p.HeldOff {
		text := phrase.Symbols("%s (%s)", phrase.Name(l.Name), wording.Amount(l.RunningW*float64(l.Quantity), "W"))
		for _, c := range p.Checks {
			if c.ID == "slip-"+l.Name {
				text = phrase.Of("%s: %s", text, c.Reason)
			}
		}
		s.Lines = append(s.Lines, text.Then(phrase.Symbols(".")))
	}
	return s
}
