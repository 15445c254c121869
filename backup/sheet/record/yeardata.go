package record

import (
	"fmt"
	"io"
	"slices"

	"outlast/backup/facts"
	"outlast/backup/outage"
	"outlast/backup/phrase"
	"outlast/backup/study"
)

// A YearOfOutages is an every-start study with what a year of outages costs, where their number and length are known.
type YearOfOutages struct {
	*study.EveryStart
	Expected *outage.Expectation // nil: not known
	Law      phrase.Phrase       // of the lengths, in words
}

// ChanceHours are the lengths of outage whose chances a sheet tells: a rota cut, a working day, a day, three days, a
// week.
var ChanceHours = []int{4, 8, 24, 72, 168}

func YearCSV(w io.Writer, y YearOfOutages, spreadsheet bool) error {
	rows := [][]string{{"start_hour", "start", "hours_survived"}}
	for h, n := range y.Hours {
		rows = append(rows, []string{fmt.Sprint(h), DayAndHour(h).String(), fmt.Sprint(n)})
	}
	return WriteRows(w, rows, spreadsheet)
}

func YearJSON(w io.Writer, y YearOfOutages) error {
	chances := map[string]float64{}
	for _, d := range ChanceHours {
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
	}{Site: y.Plan.Site.Name, TargetH: y.Options.TargetH, Chance: target, Chances: chances, MaxH: y.MaxH,
		MeanH: y.MeanH(), Hours: y.Hours, Curve: y.Curve(), StepMin: y.StepMin,
		Counted: counted{NewBank: y.Counted.New, Array: y.Counted.Array, Generator: y.Counted.Generator,
			Dropped: append([]string{}, y.Counted.Dropped...)},
		WishedChance: y.Options.Chance, Expected: y.Expected,
		Cautions: phrase.Strings(slices.Concat(y.Cautions, facts.SafetyTexts()))}
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

var monthDays = [12]int{31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31}

// MonthShort are the months in tables.
var MonthShort = [12]phrase.Phrase{phrase.Of("Jan"), phrase.Of("Feb"), phrase.Of("Mar"), phrase.Of("Apr"),
	phrase.Of("May"), phrase.Of("Jun"),
	phrase.Of("Jul"), phrase.Of("Aug"), phrase.Of("Sep"), phrase.Of("Oct"), phrase.Of("Nov"), phrase.Of("Dec")}

// DayAndHour writes an hour of the year as "17 Jun 18:00".
func DayAndHour(hour int) phrase.Phrase {
	day := hour / 24 % 365
	m := 0
	for ; day >= monthDays[m]; m++ {
		day -= monthDays[m]
	}
	return phrase.Symbols("%d %s %s", day+1, MonthShort[m], phrase.Name(fmt.Sprintf("%02d:00", hour%24)))
}
