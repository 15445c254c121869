package sheet

import (
	"fmt"
	"io"
	"slices"

	"outlast/backup/facts"
	"outlast/backup/phrase"
	"outlast/backup/sheet/grid"
	"outlast/backup/sheet/record"
	"outlast/backup/sheet/speech"
	"outlast/backup/wording"
)

// WriteEveryStart writes the study: text, csv (hours survived by start) or json.
func WriteEveryStart(w io.Writer, y record.YearOfOutages, o Options) error {
	switch o.Format {
	case "", "text":
		s, err := SpeakFor(y.Plan)(o)
		if err != nil {
			return err
		}
		return writeSections(w, s, yearHeadline(y, s), yearSections(y), o)
	case "csv":
		return record.YearCSV(w, y, o.Spreadsheet)
	case "json":
		return record.YearJSON(w, y)
	}
	return fmt.Errorf("format %q, want one of text, csv, json", o.Format)
}

func yearHeadline(y record.YearOfOutages, s *speech.Speaker) []phrase.Phrase {
	chance, _ := y.Chance(y.Options.TargetH)
	worst := y.Worst(1)
	lines := []phrase.Phrase{
		phrase.Of("%s: an outage of %d h is outlasted from %s of all start hours of the year",
			phrase.Name(y.Plan.Site.Name), y.Options.TargetH, share(chance)),
		y.Counted.Text(),
	}
	if worst[0].SurvivedH >= y.MaxH { // no start is worse than another
		lines = append(lines, phrase.Of("From every start the supply lasts %s.", hoursOf(y.MaxH, y.MaxH)))
	} else {
		lines = append(lines, phrase.Of("From the least favourable start the supply lasts %s (%s).",
			hoursOf(worst[0].SurvivedH, y.MaxH), record.DayAndHour(worst[0].Index)))
	}
	b := y.Bank
	if !b.Possible {
		return append(lines, phrase.Of("No number of strings outlasts %d h with a chance of %s: %s.", y.Options.TargetH,
			share(y.Options.Chance), tooLittle(y)))
	}
	lines = append(lines, phrase.Of("To outlast %d h with a chance of %s, %s; the plan has %d.", y.Options.TargetH,
		share(y.Options.Chance), phrase.Count(b.Strings, "%d string is enough", "%d strings are enough"),
		y.Plan.Bank.Strings))
	if len(b.Fails) > 0 {
		var names []phrase.Phrase
		for _, id := range b.Fails {
			names = append(names, phrase.Name(s.CheckName(id)))
		}
		lines = append(lines, phrase.Of("A plan with %s fails: %s.", phrase.Count(b.Strings, "%d string", "%d strings"),
			phrase.List(names)))
	}
	return lines
}

// tooLittle says what may keep any bank from lasting.
func tooLittle(y record.YearOfOutages) phrase.Phrase {
	why := phrase.Of("at some moment the load is above the limits of inverter and units")
	if y.Plan.TooColdToDischarge() {
		why = phrase.Of("in so cold a battery space the bank must not be discharged")
	}
	if y.Counted.Array {
		why = why.Then(phrase.Of(", or the year brings too little sun"))
	}
	if y.Counted.Generator && y.Counted.FuelL > 0 {
		why = why.Then(phrase.Of(", or the generator burns its fuel"))
	}
	return why
}

// share writes a chance in per cent without rounding it up to certainty.
func share(v float64) phrase.Phrase {
	switch s := grid.Tenth(100 * v); {
	case v == 1:
		return grid.Measure("100", "%")
	case s == "100.0" && v < 1:
		return phrase.Of("over %s", grid.Measured("99.9", "%"))
	default:
		return grid.Measure(s, "%")
	}
}

func hoursOf(h, maxH int) phrase.Phrase {
	if h >= maxH {
		return phrase.Of("%d h or more", h)
	}
	return phrase.Symbols("%d h", h)
}

func yearSections(y record.YearOfOutages) []grid.Section {
	chances := grid.Section{Title: phrase.Of("Probability of uninterrupted supply"),
		Table: grid.Table{Head: []phrase.Phrase{phrase.Of("Outage h"), phrase.Of("Chance %%")},
			Right: []bool{true, true}}}
	for _, d := range record.ChanceHours {
		if d > y.MaxH {
			continue
		}
		c, _ := y.Chance(d)
		chances.Table.Rows = append(chances.Table.Rows, []phrase.Phrase{grid.Num(fmt.Sprint(d)),
			grid.Num(grid.Tenth(grid.RoundDown(100*c, 1)))})
	}
	chances.Lines = []phrase.Phrase{
		phrase.Of("Mean of all starts: %s, outages followed up to %d h, in steps of %d min.",
			wording.Amount(y.MeanH(), "h"), y.MaxH, y.StepMin)}

	worst := grid.Section{Title: phrase.Of("Least favourable starts"),
		Table: grid.Table{Head: []phrase.Phrase{phrase.Of("Start"), phrase.Of("Lasts h")}, Right: []bool{false, true}}}
	for _, s := range y.Worst(5) {
		if s.SurvivedH >= y.MaxH {
			break
		}
		worst.Table.Rows = append(worst.Table.Rows, []phrase.Phrase{record.DayAndHour(s.Index),
			grid.Num(fmt.Sprint(s.SurvivedH))})
	}
	out := []grid.Section{chances}
	if len(worst.Table.Rows) > 0 {
		out = append(out, worst)
	}
	out = append(out, monthSection(y))
	if y.Reserves != nil {
		s := grid.Section{Title: phrase.Of("Reserve to keep, to outlast %d h with a chance of %s", y.Options.TargetH,
			share(y.Options.Chance)),
			Table: grid.Table{Head: []phrase.Phrase{phrase.Of("Month"), phrase.Of("Charge %%")},
				Right: []bool{false, true}}}
		for m, r := range y.Reserves {
			text := grid.Num(grid.Whole(100 * r.SoC))
			if !r.Possible {
				text = phrase.Of("not even full")
			}
			s.Table.Rows = append(s.Table.Rows, []phrase.Phrase{record.MonthShort[m], text})
		}
		out = append(out, s)
	}
	if e := y.Expected; e != nil {
		out = append(out, grid.Section{Title: phrase.Of("A year of outages"),
			Table: grid.Table{Head: []phrase.Phrase{phrase.Of("Mean of a year"), phrase.Of("Value"), {}},
				Right: []bool{false, true, false}, Rows: [][]phrase.Phrase{
					{phrase.Of("Outage without backup"), grid.Num(grid.Tenth(e.OutageH)), grid.Unit("h")},
					{phrase.Of("Without supply, with backup"), grid.Num(grid.Tenth(e.DarkH)), grid.Unit("h")},
					{phrase.Of("Outages outlasted"), grid.Num(grid.Tenth(grid.RoundDown(100*e.Outlasted, 1))),
						grid.Unit("%")},
					{phrase.Of("Energy demand in outages"), grid.Num(grid.Tenth(e.DemandWh / 1000)), grid.Unit("kWh")},
					{phrase.Of("Energy not supplied"), grid.Num(grid.Tenth(e.UnservedWh / 1000)), grid.Unit("kWh")},
				}}, Lines: []phrase.Phrase{y.Law}})
	}
	if len(y.Cautions) > 0 {
		out = append(out, grid.Section{Title: phrase.Of("Notes"), Lines: y.Cautions, List: true})
	}
	return append(out, SafetySection(facts.MedicalTexts(y.Plan.Site, y.Plan.Site.Loads)...))
}

// SafetySection is what every sheet ends with, behind cautions of its own.
func SafetySection(own ...phrase.Phrase) grid.Section {
	return grid.Section{Title: phrase.Of("Cautions"), Lines: slices.Concat(own, facts.SafetyTexts()), List: true}
}

// hourRange writes hours of the day from one to another.
func hourRange(from, to int) phrase.Phrase {
	clock := func(h int) phrase.Phrase { return phrase.Name(fmt.Sprintf("%02d", h)) }
	return wording.Range(clock(from), clock(to))
}

// monthSection is the table by month and hour of the day, three hours to a column so that it fits a page.
func monthSection(y record.YearOfOutages) grid.Section {
	s := grid.Section{Title: phrase.Of("Chance in %% to outlast %d h, by month and hour of the start",
		y.Options.TargetH)}
	s.Table.Head, s.Table.Right = []phrase.Phrase{phrase.Of("Month")}, []bool{false}
	for h := 0; h < 24; h += 3 {
		s.Table.Head, s.Table.Right = append(s.Table.Head, hourRange(h, h+3)),
			append(s.Table.Right, true)
	}
	s.Table.Head, s.Table.Right = append(s.Table.Head, phrase.Of("Least h")), append(s.Table.Right, true)
	cells, err := y.MonthHour(y.Options.TargetH)
	if err != nil {
		s.Lines = []phrase.Phrase{wording.ReasonOf(err)}
		return s
	}
	for m, hours := range cells {
		row := []phrase.Phrase{record.MonthShort[m]}
		least := hours[0].LeastH
		for h := 0; h < 24; h += 3 {
			row = append(row,
				grid.Num(grid.Whole(grid.RoundDown(100*(hours[h].Chance+hours[h+1].Chance+hours[h+2].Chance)/3, 0))))
		}
		for _, c := range hours {
			least = min(least, c.LeastH)
		}
		s.Table.Rows = append(s.Table.Rows, append(row, grid.Num(fmt.Sprint(least))))
	}
	return s
}
