package sheet

import (
	"fmt"
	"math"

	"outlast/backup"
	"outlast/backup/facts"
	"outlast/backup/sheet/speech"
)

// rechargeSections are what refills the bank, by month, and how the days of a month differ; none where nothing does.
func rechargeSections(p *backup.Plan) []section {
	r, ok, err := p.Recharge()
	s := section{title: "Recharge in an outage, a mean day of each month"}
	if err != nil {
		s.lines = []string{"It cannot be worked out: " + speech.Clean(err.Error())}
		return []section{s}
	}
	if !ok {
		return nil
	}
	array := len(p.Site.Arrays) > 0
	s.table = table{[]string{"Month", "Bank Wh"}, []bool{false, true}, nil}
	if array {
		s.table.head, s.table.right = append(s.table.head, "Array Wh", "Covers", "Recharge days"), append(s.table.right, true, false, true)
	}
	if r.Generator {
		s.table.head, s.table.right = append(s.table.head, "Running h", "Fuel l"), append(s.table.right, true, true)
	}
	for m, month := range r.Months {
		carries := "no"
		if month.Carries {
			carries = "yes"
		}
		row := []string{monthShort[m], whole(month.LoadWh)}
		if array {
			row = append(row, whole(month.ArrayWh), carries, refillDays(month.RefillDays.P50))
		}
		if r.Generator {
			h, l := tenth(month.GeneratorH), tenth(month.GeneratorL)
			if !month.GeneratorOK {
				h, l = "none", "-"
			}
			row = append(row, h, l)
		}
		s.table.rows = append(s.table.rows, row)
	}
	if array {
		s.lines = append(s.lines, "Bank: energy that it supplies. Covers: the array covers the daily energy of a mean day. Recharge: days of sun until the discharged bank is full again while the loads run on, median of all cases.")
	}
	if r.Generator {
		s.lines = append(s.lines, "Running and fuel: hours and litres a day of the generator, as the plan starts and stops it.")
	}
	for _, c := range r.Cautions {
		s.lines = append(s.lines, speech.Clean(c))
	}
	if r.Draws == 0 {
		return []section{s}
	}
	return []section{s, sunDaysSection(p, r)}
}

// sunDaysSection tells the spread behind the mean days: what a dull, a middling and a bright day bring, and how long a refill takes.
func sunDaysSection(p *backup.Plan, r facts.Recharge) section {
	s := section{title: "How the days differ: 10, 50 and 90 % of them bring no more than this", table: table{
		[]string{"Month", "Array Wh 10 %", "50 %", "90 %", "Recharge d 10 %", "50 %", "90 %"}, []bool{false, true, true, true, true, true, true}, nil}}
	for m, month := range r.Months {
		wh, d := month.ArrayDays, month.RefillDays
		s.table.rows = append(s.table.rows, []string{monthShort[m], whole(wh.P10), whole(wh.P50), whole(wh.P90), refillDays(d.P10), refillDays(d.P50), refillDays(d.P90)})
	}
	if r.Draws == 1 {
		s.lines = append(s.lines, "The days are those of the weather file.")
	} else {
		s.lines = append(s.lines, fmt.Sprintf("From %d draws of the days of each month, all with the mean that the site file gives. monthly_kwh_m2_day is the sun on the horizontal; the array's figures are what its plane makes of it, less losses. An evenly bright sky is taken, which gives a steep array 5 to 12 %% too little in a clear winter month: the safe side.", r.Draws))
	}
	s.lines = append(s.lines, fmt.Sprintf("Recharge \"-\": not within %d days.", facts.RefillMostDays))
	return s
}

// refillDays writes a wait for sun.
func refillDays(d float64) string {
	if math.IsInf(d, 1) {
		return "-"
	}
	return tenth(d)
}

// rechargeJSON is one month in the JSON of a plan.
type rechargeJSON struct {
	Month       int      `json:"month"`
	LoadWh      float64  `json:"load_wh"`
	ArrayWh     float64  `json:"array_wh" doc:"of a mean day"`
	ArrayP10Wh  *float64 `json:"array_p10_wh" doc:"that 10 % of the days do not exceed"`
	ArrayP50Wh  *float64 `json:"array_p50_wh"`
	ArrayP90Wh  *float64 `json:"array_p90_wh"`
	Carries     bool     `json:"array_carries"`
	RefillDays  *float64 `json:"refill_days" doc:"in the middle of all cases"`
	RefillP10   *float64 `json:"refill_p10_days"`
	RefillP90   *float64 `json:"refill_p90_days"`
	GeneratorH  *float64 `json:"generator_h"`
	GeneratorL  *float64 `json:"generator_l"`
	GeneratorOK bool     `json:"generator_carries"`
}

func rechargeToJSON(p *backup.Plan) []rechargeJSON {
	r, ok, err := p.Recharge()
	if err != nil || !ok {
		return nil
	}
	out := make([]rechargeJSON, len(r.Months))
	for m, v := range r.Months {
		sun := r.Draws > 0
		days := func(v float64) *float64 {
			if !sun {
				return nil
			}
			return finite(v)
		}
		out[m] = rechargeJSON{m + 1, v.LoadWh, v.ArrayWh, known(v.ArrayDays.P10, sun), known(v.ArrayDays.P50, sun), known(v.ArrayDays.P90, sun), v.Carries,
			days(v.RefillDays.P50), days(v.RefillDays.P10), days(v.RefillDays.P90), known(v.GeneratorH, r.Generator), known(v.GeneratorL, r.Generator), v.GeneratorOK}
	}
	return out
}

// rechargeRows is the recharge in the list of figures.
func rechargeRows(p *backup.Plan, number func(section, item, name string, v float64, unit string)) {
	r, ok, err := p.Recharge()
	if err != nil || !ok {
		return
	}
	for m, v := range r.Months {
		item := fmt.Sprintf("%02d", m+1)
		number("recharge", item, "load_wh", v.LoadWh, "Wh")
		number("recharge", item, "array_wh", v.ArrayWh, "Wh")
		if r.Draws > 0 {
			number("recharge", item, "array_p10_wh", v.ArrayDays.P10, "Wh")
			number("recharge", item, "array_p50_wh", v.ArrayDays.P50, "Wh")
			number("recharge", item, "array_p90_wh", v.ArrayDays.P90, "Wh")
			for _, d := range []struct {
				name string
				v    float64
			}{{"refill_p10_days", v.RefillDays.P10}, {"refill_p50_days", v.RefillDays.P50}, {"refill_p90_days", v.RefillDays.P90}} {
				if !math.IsInf(d.v, 1) {
					number("recharge", item, d.name, d.v, "d")
				}
			}
		}
		if r.Generator {
			number("recharge", item, "generator_h", v.GeneratorH, "h")
			number("recharge", item, "generator_l", v.GeneratorL, "l")
		}
	}
}
