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

// startsJSON is what becomes of outages from every hour of a year.
type startsJSON struct {
	Site         string             `json:"site"`
	TargetH      int                `json:"target_h" doc:"length of the outages that are to be outlasted"`
	Chance       float64            `json:"chance" doc:"share of the starts that outlast target_h"`
	Chances      map[string]float64 `json:"chances" doc:"share of the starts that outlast so many hours"`
	MaxH         int                `json:"max_h" doc:"longest outage that was followed"`
	MeanH        float64            `json:"mean_h" doc:"mean of hours"`
	Hours        []int              `json:"hours" doc:"whole hours survived from each start, from the first hour of January on; max_h: at least so many"`
	Curve        []float64          `json:"curve" doc:"share of the starts that outlast 0, 1, 2 ... hours"`
	StepMin      int                `json:"step_min" doc:"step of the simulation, minutes"`
	Counted      countedJSON        `json:"counted"`
	WishedChance float64            `json:"wished_chance" doc:"what strings_needed and usable_wh_needed are worked out for"`
	Strings      *int               `json:"strings_needed" doc:"null: no number of strings does"`
	UsableWh     *float64           `json:"usable_wh_needed" doc:"null: no bank does"`
	Fails        []string           `json:"fails_with_strings_needed" doc:"checks that a plan with strings_needed fails"`
	Reserves     []reserveJSON      `json:"reserves,omitempty" doc:"the charge that is to be kept in each month"`
	Expected     *expectedJSON      `json:"expected_per_year,omitempty" doc:"with the grid's figures of reliability"`
	Cautions     []string           `json:"cautions"`
}

type countedJSON struct {
	NewBank   bool     `json:"new_bank"`
	Array     bool     `json:"array"`
	Generator bool     `json:"generator"`
	FuelL     *float64 `json:"fuel_l" doc:"null: no generator, or as if its fuel never ended"`
	Dropped   []string `json:"dropped" doc:"loads that are left off"`
}

type reserveJSON struct {
	Month    int     `json:"month"`
	SoC      float64 `json:"soc"`
	Possible bool    `json:"possible"`
}

type expectedJSON struct {
	OutageH    float64 `json:"outage_h" doc:"hours of outage a year: what is dark without backup"`
	DemandWh   float64 `json:"demand_wh" doc:"energy that the loads ask in them"`
	DarkH      float64 `json:"dark_h" doc:"what is dark with backup: once dark, dark until the grid is back"`
	UnservedWh float64 `json:"unserved_wh" doc:"energy that is not supplied with backup"`
	BeyondH    float64 `json:"beyond_h" doc:"the part of dark_h after max_h"`
	Outlasted  float64 `json:"outlasted" doc:"share of the outages that the backup outlasts"`
}

// StartsSchema is the JSON Schema of what [YearJSON] writes.
func StartsSchema(id, title string) map[string]any { return schemaOf[startsJSON](id, title) }

// YearJSON writes what becomes of outages from every hour of a year.
func YearJSON(w io.Writer, y YearOfOutages) error {
	chances := map[string]float64{}
	for _, d := range ChanceHours {
		if d <= y.MaxH {
			chances[fmt.Sprint(d)], _ = y.Chance(d)
		}
	}
	target, _ := y.Chance(y.Options.TargetH)
	out := startsJSON{Site: y.Plan.Site.Name, TargetH: y.Options.TargetH, Chance: target, Chances: chances, MaxH: y.MaxH,
		MeanH: y.MeanH(), Hours: y.Hours, Curve: y.Curve(), StepMin: y.StepMin,
		Counted: countedJSON{NewBank: y.Counted.New, Array: y.Counted.Array, Generator: y.Counted.Generator,
			Dropped: append([]string{}, y.Counted.Dropped...)},
		WishedChance: y.Options.Chance, Fails: append([]string{}, y.Bank.Fails...),
		Cautions: phrase.Strings(slices.Concat(facts.MedicalTexts(y.Plan.Site, y.Plan.Site.Loads), y.Cautions, facts.SafetyTexts()))}
	if y.Counted.FuelL > 0 {
		out.Counted.FuelL = &y.Counted.FuelL
	}
	if y.Bank.Possible {
		out.Strings, out.UsableWh = &y.Bank.Strings, finite(y.Bank.UsableWh)
	}
	if e := y.Expected; e != nil {
		out.Expected = &expectedJSON{OutageH: e.OutageH, DemandWh: e.DemandWh, DarkH: e.DarkH, UnservedWh: e.UnservedWh,
			BeyondH: e.BeyondH, Outlasted: e.Outlasted}
	}
	if y.Reserves != nil {
		for m, r := range y.Reserves {
			out.Reserves = append(out.Reserves, reserveJSON{m + 1, r.SoC, r.Possible})
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
