package sheet

import (
	"fmt"
	"math"

	"outlast/backup"
	"outlast/backup/facts"
	"outlast/backup/sheet/record"
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
		row := []string{record.MonthShort[m], whole(month.LoadWh)}
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
		s.table.rows = append(s.table.rows, []string{record.MonthShort[m], whole(wh.P10), whole(wh.P50), whole(wh.P90), refillDays(d.P10), refillDays(d.P50), refillDays(d.P90)})
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
