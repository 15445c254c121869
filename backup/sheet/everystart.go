package sheet

import (
	"fmt"
	"io"

	"outlast/backup/facts"
	"outlast/backup/outage"
	"outlast/backup/phrase"
	"outlast/backup/sheet/speech"
	"outlast/backup/study"
	"outlast/backup/wording"
)

// A YearOfOutages is an every-start study with what a year of outages costs, where their number and length are known.
type YearOfOutages struct {
	*study.EveryStart
	Expected *outage.Expectation // nil: not known
	Law      string              // of the lengths, in words
}

// chanceHours are the lengths of outage whose chances a sheet tells: a rota cut, a working day, a day, three days, a week.
var chanceHours = []int{4, 8, 24, 72, 168}

// WriteEveryStart writes the study: text, csv (hours survived by start) or json.
func WriteEveryStart(w io.Writer, y YearOfOutages, o Options) error {
	switch o.Format {
	case "", "text":
		return writeSections(w, yearHeadline(y), yearSections(y), o)
	case "csv":
		return yearCSV(w, y, o)
	case "json":
		return yearJSON(w, y)
	}
	return fmt.Errorf("format %q, want one of text, csv, json", o.Format)
}

func yearHeadline(y YearOfOutages) []string {
	chance, _ := y.Chance(y.Options.TargetH)
	worst := y.Worst(1)
	lines := []string{
		fmt.Sprintf("%s: an outage of %d h is outlasted from %s of all start hours of the year", speech.Clean(y.Plan.Site.Name), y.Options.TargetH, share(chance)),
		speech.Clean(y.Counted.Text().String()),
		fmt.Sprintf("The worst start lasts %s (%s).", hoursOf(worst[0].SurvivedH, y.MaxH), dayAndHour(worst[0].Index)),
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
func tooLittle(y YearOfOutages) string {
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

var monthDays = [12]int{31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31}

var monthShort = [12]string{"Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec"}

// dayAndHour writes an hour of the year as "17 Jun 18:00".
func dayAndHour(hour int) string {
	day := hour / 24
	for m, n := range monthDays {
		if day < n {
			return fmt.Sprintf("%d %s %02d:00", day+1, monthShort[m], hour%24)
		}
		day -= n
	}
	return fmt.Sprintf("hour %d", hour)
}

func yearSections(y YearOfOutages) []section {
	chances := section{title: "Chance to outlast an outage", table: table{[]string{"Outage h", "Chance %"}, []bool{true, true}, nil}}
	for _, d := range chanceHours {
		if d > y.MaxH {
			continue
		}
		c, _ := y.Chance(d)
		chances.table.rows = append(chances.table.rows, []string{fmt.Sprint(d), tenth(roundDown(100*c, 1))})
	}
	chances.lines = []string{fmt.Sprintf("Mean of all starts: %s, outages followed up to %d h, in steps of %d min.", wording.AmountText(y.MeanH(), "h"), y.MaxH, y.StepMin)}

	worst := section{title: "Worst starts", table: table{[]string{"Start", "Lasts h"}, []bool{false, true}, nil}}
	for _, s := range y.Worst(5) {
		worst.table.rows = append(worst.table.rows, []string{dayAndHour(s.Index), fmt.Sprint(s.SurvivedH)})
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
			s.table.rows = append(s.table.rows, []string{monthShort[m], text})
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
		out = append(out, section{title: "Notes", lines: cleanAll(y.Cautions), list: true})
	}
	return append(out, section{title: "Cautions", lines: phrase.Strings(facts.SafetyTexts()), list: true})
}

// monthSection is the table by month and hour of the day, three hours to a column so that it fits a page.
func monthSection(y YearOfOutages) section {
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
		row := []string{monthShort[m]}
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

func yearCSV(w io.Writer, y YearOfOutages, o Options) error {
	rows := [][]string{{"start_hour", "start", "hours_survived"}}
	for h, n := range y.Hours {
		rows = append(rows, []string{fmt.Sprint(h), dayAndHour(h), fmt.Sprint(n)})
	}
	return WriteRows(w, rows, o.Spreadsheet)
}

func yearJSON(w io.Writer, y YearOfOutages) error {
	chances := map[string]float64{}
	for _, d := range chanceHours {
		if d <= y.MaxH {
			chances[fmt.Sprint(d)], _ = y.Chance(d)
		}
	}
	target, _ := y.Chance(y.Options.TargetH)
	type reserve struct {
		Month    int     `json:"month"`
		SoC      float64 `json:"soc"`
		Possible bool    `json:"possible"`
	}
	type counted struct {
		NewBank   bool     `json:"new_bank"`
		Array     bool     `json:"array"`
		Generator bool     `json:"generator"`
		FuelL     *float64 `json:"fuel_l"` // null: no generator, or as if its fuel never ended
		Dropped   []string `json:"dropped"`
	}
	out := struct {
		Site         string              `json:"site"`
		TargetH      int                 `json:"target_h"`
		Chance       float64             `json:"chance"`
		Chances      map[string]float64  `json:"chances"`
		MaxH         int                 `json:"max_h"`
		MeanH        float64             `json:"mean_h"`
		Hours        []int               `json:"hours"`
		Curve        []float64           `json:"curve"`
		StepMin      int                 `json:"step_min"`
		Counted      counted             `json:"counted"`
		WishedChance float64             `json:"wished_chance"`
		Strings      *int                `json:"strings_needed"`
		UsableWh     *float64            `json:"usable_wh_needed"`
		Reserves     []reserve           `json:"reserves,omitempty"`
		Expected     *outage.Expectation `json:"expected_per_year,omitempty"`
		Cautions     []string            `json:"cautions"`
	}{Site: y.Plan.Site.Name, TargetH: y.Options.TargetH, Chance: target, Chances: chances, MaxH: y.MaxH, MeanH: y.MeanH(), Hours: y.Hours, Curve: y.Curve(), StepMin: y.StepMin,
		Counted:      counted{NewBank: y.Counted.New, Array: y.Counted.Array, Generator: y.Counted.Generator, Dropped: append([]string{}, y.Counted.Dropped...)},
		WishedChance: y.Options.Chance, Expected: y.Expected, Cautions: append(append([]string{}, y.Cautions...), phrase.Strings(facts.SafetyTexts())...)}
	if y.Counted.FuelL > 0 {
		out.Counted.FuelL = &y.Counted.FuelL
	}
	if y.Bank.Possible {
		out.Strings, out.UsableWh = &y.Bank.Strings, finite(y.Bank.UsableWh)
	}
	if y.Reserves != nil {
		for m, r := range y.Reserves {
			out.Reserves = append(out.Reserves, reserve{m + 1, r.SoC, r.Possible})
		}
	}
	return encodeJSON(w, out)
}
