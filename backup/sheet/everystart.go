package sheet

import (
	"fmt"
	"io"

	"outlast/backup/facts"
	"outlast/backup/phrase"
	"outlast/backup/sheet/record"
	"outlast/backup/sheet/speech"
	"outlast/backup/wording"
)

// WriteEveryStart writes the study: text, csv (hours survived by start) or json.
func WriteEveryStart(w io.Writer, y record.YearOfOutages, o Options) error {
	switch o.Format {
	case "", "text":
		return writeSections(w, yearHeadline(y), yearSections(y), o)
	case "csv":
		return record.YearCSV(w, y, o.Spreadsheet)
	case "json":
		return record.YearJSON(w, y)
	}
	return fmt.Errorf("format %q, want one of text, csv, json", o.Format)
}

func yearHeadline(y record.YearOfOutages) []string {
	chance, _ := y.Chance(y.Options.TargetH)
	worst := y.Worst(1)
	lines := []string{
		fmt.Sprintf("%s: an outage of %d h is outlasted from %s of all start hours of the year", speech.Clean(y.Plan.Site.Name), y.Options.TargetH, share(chance)),
		speech.Clean(y.Counted.Text().String()),
		fmt.Sprintf("The worst start lasts %s (%s).", hoursOf(worst[0].SurvivedH, y.MaxH), record.DayAndHour(worst[0].Index)),
	}
	switch b := y.Bank; {
	case !b.Possible:
		lines = append(lines, fmt.Sprintf("No number of strings outlasts %d h with a chance of %s: %s.", y.Options.TargetH, share(y.Options.Chance), tooLittle(y)))
	default:
		lines = append(lines, fmt.Sprintf("To outlast %d h with a chance of %s, %s %s enough; the plan has %d.",
			y.Options.TargetH, share(y.Options.Chance), plural(b.Strings, "string", "strings"), isAre(b.Strings), y.Plan.Bank.Strings))
	}
	return lines
}

// tooLittle says what may keep any bank from lasting.
func tooLittle(y record.YearOfOutages) string {
	why := "at some moment the load is above the limits of inverter and units"
	if y.Counted.Array {
		why += ", or the year brings too little sun"
	}
	if y.Counted.Generator && y.Counted.FuelL > 0 {
		why += ", or the generator burns its fuel"
	}
	return why
}

func isAre(n int) string {
	if n == 1 {
		return "is"
	}
	return "are"
}

// share writes a chance in per cent without rounding it up to certainty.
func share(v float64) string {
	s := tenth(100 * v)
	if s == "100.0" && v < 1 {
		s = "over 99.9"
	} else if v == 1 {
		s = "100"
	}
	return s + " %"
}

func hoursOf(h, maxH int) string {
	if h >= maxH {
		return fmt.Sprintf("%d h or more", h)
	}
	return fmt.Sprintf("%d h", h)
}

func yearSections(y record.YearOfOutages) []section {
	chances := section{title: "Chance to outlast an outage", table: table{[]string{"Outage h", "Chance %"}, []bool{true, true}, nil}}
	for _, d := range record.ChanceHours {
		if d > y.MaxH {
			continue
		}
		c, _ := y.Chance(d)
		chances.table.rows = append(chances.table.rows, []string{fmt.Sprint(d), tenth(roundDown(100*c, 1))})
	}
	chances.lines = []string{fmt.Sprintf("Mean of all starts: %s, outages followed up to %d h, in steps of %d min.", wording.AmountText(y.MeanH(), "h"), y.MaxH, y.StepMin)}

	worst := section{title: "Worst starts", table: table{[]string{"Start", "Lasts h"}, []bool{false, true}, nil}}
	for _, s := range y.Worst(5) {
		worst.table.rows = append(worst.table.rows, []string{record.DayAndHour(s.Index), fmt.Sprint(s.SurvivedH)})
	}
	out := []section{chances, worst, monthSection(y)}
	if y.Reserves != nil {
		s := section{title: fmt.Sprintf("Reserve to keep, to outlast %d h with a chance of %s", y.Options.TargetH, share(y.Options.Chance)),
			table: table{[]string{"Month", "Charge %"}, []bool{false, true}, nil}}
		for m, r := range y.Reserves {
			text := whole(100 * r.SoC)
			if !r.Possible {
				text = "not even full"
			}
			s.table.rows = append(s.table.rows, []string{record.MonthShort[m], text})
		}
		out = append(out, s)
	}
	if e := y.Expected; e != nil {
		out = append(out, section{title: "A year of outages", table: table{[]string{"Mean of a year", "Value", ""}, []bool{false, true, false}, [][]string{
			{"Outage without backup", tenth(e.OutageH), "h"},
			{"Without supply, with backup", tenth(e.DarkH), "h"},
			{"Outages outlasted", tenth(roundDown(100*e.Outlasted, 1)), "%"},
			{"Energy demand in outages", tenth(e.DemandWh / 1000), "kWh"},
			{"Energy not supplied", tenth(e.UnservedWh / 1000), "kWh"},
		}}, lines: []string{y.Law}})
	}
	if len(y.Cautions) > 0 {
		out = append(out, section{title: "Notes", lines: record.CleanAll(y.Cautions), list: true})
	}
	return append(out, section{title: "Cautions", lines: phrase.Strings(facts.SafetyTexts()), list: true})
}

// monthSection is the table by month and hour of the day, three hours to a column so that it fits a page.
func monthSection(y record.YearOfOutages) section {
	s := section{title: fmt.Sprintf("Chance in %% to outlast %d h, by month and hour of the start", y.Options.TargetH)}
	s.table.head, s.table.right = []string{"Month"}, []bool{false}
	for h := 0; h < 24; h += 3 {
		s.table.head, s.table.right = append(s.table.head, fmt.Sprintf("%02d-%02d", h, h+3)), append(s.table.right, true)
	}
	s.table.head, s.table.right = append(s.table.head, "Least h"), append(s.table.right, true)
	cells, err := y.MonthHour(y.Options.TargetH)
	if err != nil {
		s.lines = []string{err.Error()}
		return s
	}
	for m, hours := range cells {
		row := []string{record.MonthShort[m]}
		least := hours[0].LeastH
		for h := 0; h < 24; h += 3 {
			row = append(row, whole(roundDown(100*(hours[h].Chance+hours[h+1].Chance+hours[h+2].Chance)/3, 0)))
		}
		for _, c := range hours {
			least = min(least, c.LeastH)
		}
		s.table.rows = append(s.table.rows, append(row, fmt.Sprint(least)))
	}
	return s
}
