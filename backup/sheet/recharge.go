package sheet

import (
	"math"

	"outlast/backup"
	"outlast/backup/facts"
	"outlast/backup/phrase"
	"outlast/backup/sheet/record"
	"outlast/backup/wording"
)

// rechargeSections are what refills the bank, by month, and how the days of a month differ; none where nothing does.
func rechargeSections(p *backup.Plan) []section {
	r, ok, err := p.Recharge()
	s := section{title: phrase.Of("Recharge in an outage, a mean day of each month")}
	if err != nil {
		s.lines = []phrase.Phrase{phrase.Of("It cannot be worked out: %s", wording.ReasonOf(err))}
		return []section{s}
	}
	if !ok {
		return nil
	}
	array := len(p.Site.Arrays) > 0
	s.table = table{[]phrase.Phrase{phrase.Of("Month"), phrase.Of("Bank Wh")}, []bool{false, true}, nil}
	if array {
		s.table.head, s.table.right = append(s.table.head, phrase.Of("Array Wh"), phrase.Of("Covers"),
			phrase.Of("Recharge days")), append(s.table.right, true, false, true)
	}
	if r.Generator {
		s.table.head, s.table.right = append(s.table.head, phrase.Of("Running h"), phrase.Of("Fuel l")),
			append(s.table.right, true, true)
	}
	for m, month := range r.Months {
		carries := phrase.Of("no")
		if month.Carries {
			carries = phrase.Of("yes")
		}
		row := []phrase.Phrase{record.MonthShort[m], num(whole(month.LoadWh))}
		if array {
			row = append(row, num(whole(month.ArrayWh)), carries, num(refillDays(month.RefillDays.P50)))
		}
		if r.Generator {
			h, l := num(tenth(month.GeneratorH)), num(tenth(month.GeneratorL))
			if !month.GeneratorOK {
				h, l = phrase.Of("none"), dash
			}
			row = append(row, h, l)
		}
		s.table.rows = append(s.table.rows, row)
	}
	if array {
		s.lines = append(s.lines,
			phrase.Of("Bank: energy that it supplies. Covers: the array covers the daily energy of a mean day. Recharge: days of sun until the discharged bank is full again while the loads run on, median of all cases."))
	}
	if r.Generator {
		s.lines = append(s.lines,
			phrase.Of("Running and fuel: hours and litres a day of the generator, as the plan starts and stops it."))
	}
	s.lines = append(s.lines, r.Cautions...)
	if r.Draws == 0 {
		return []section{s}
	}
	return []section{s, sunDaysSection(r)}
}

// sunDaysSection tells the spread behind the mean days: what a dull, a middling and a bright day bring, and how long a
// refill takes.
func sunDaysSection(r facts.Recharge) section {
	s := section{title: phrase.Of("How the days differ: 10, 50 and 90 %% of them bring no more than this"),
		table: table{
			[]phrase.Phrase{phrase.Of("Month"), phrase.Of("Array Wh 10 %%"), measure("50", "%"), measure("90", "%"),
				phrase.Of("Recharge d 10 %%"), measure("50", "%"), measure("90", "%")},
			[]bool{false, true, true, true, true, true, true}, nil}}
	for m, month := range r.Months {
		wh, d := month.ArrayDays, month.RefillDays
		s.table.rows = append(s.table.rows, []phrase.Phrase{record.MonthShort[m], num(whole(wh.P10)),
			num(whole(wh.P50)), num(whole(wh.P90)),
			num(refillDays(d.P10)), num(refillDays(d.P50)), num(refillDays(d.P90))})
	}
	if r.Draws == 1 {
		s.lines = append(s.lines, phrase.Of("The days are those of the weather file."))
	} else {
		s.lines = append(s.lines,
			phrase.Of("From %d draws of the days of each month, all with the mean that the site file gives. monthly_kwh_m2_day is the sun on the horizontal; the array's figures are what its plane makes of it, less losses. An evenly bright sky is taken, which gives a steep array 5 to 12 %% too little in a clear winter month: the safe side.", r.Draws))
	}
	s.lines = append(s.lines, phrase.Of("Recharge \"-\": not within %d days.", facts.RefillMostDays))
	return s
}

// refillDays writes a wait for sun.
func refillDays(d float64) string {
	if math.IsInf(d, 1) {
		return "-"
	}
	return tenth(d)
}
