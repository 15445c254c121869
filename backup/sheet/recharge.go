package sheet

import (
	"math"

	"outlast/backup"
	"outlast/backup/facts"
	"outlast/backup/phrase"
	"outlast/backup/sheet/grid"
	"outlast/backup/sheet/record"
	"outlast/backup/wording"
)

// rechargeSections are what refills the bank, by month, and how the days of a month differ; none where nothing does.
func rechargeSections(p *backup.Plan) []grid.Section {
	r, ok, err := p.Recharge()
	s := grid.Section{Title: phrase.Of("Recharge in an outage, a mean day of each month")}
	if err != nil {
		s.Lines = []phrase.Phrase{phrase.Of("It cannot be worked out: %s", wording.ReasonOf(err))}
		return []grid.Section{s}
	}
	if !ok {
		return nil
	}
	array := len(p.Site.Arrays) > 0
	s.Table = grid.Table{Head: []phrase.Phrase{phrase.Of("Month"), phrase.Of("Bank Wh")}, Right: []bool{false, true}}
	if array {
		s.Table.Head, s.Table.Right = append(s.Table.Head, phrase.Of("Array Wh"), phrase.Of("Covers"),
			phrase.Of("Recharge days")), append(s.Table.Right, true, false, true)
	}
	if r.Generator {
		s.Table.Head, s.Table.Right = append(s.Table.Head, phrase.Of("Running h"), phrase.Of("Fuel l")),
			append(s.Table.Right, true, true)
	}
	for m, month := range r.Months {
		carries := phrase.Of("no")
		if month.Carries {
			carries = phrase.Of("yes")
		}
		row := []phrase.Phrase{record.MonthShort[m], grid.Num(grid.Whole(month.LoadWh))}
		if array {
			row = append(row, grid.Num(grid.Whole(month.ArrayWh)), carries, grid.Num(refillDays(month.RefillDays.P50)))
		}
		if r.Generator {
			h, l := grid.Num(grid.Tenth(month.GeneratorH)), grid.Num(grid.Tenth(month.GeneratorL))
			if !month.GeneratorOK {
				h, l = phrase.Of("none"), grid.Dash
			}
			row = append(row, h, l)
		}
		s.Table.Rows = append(s.Table.Rows, row)
	}
	if array {
		s.Lines = append(s.Lines,
			phrase.Of("Bank: energy that it supplies. Covers: the array covers the daily energy of a mean day. "+
				"Recharge: days of sun until the discharged bank is full again while the loads run on, median of all cases."))
	}
	if r.Generator {
		s.Lines = append(s.Lines,
			phrase.Of("Running and fuel: hours and litres a day of the generator, as the plan starts and stops it."))
	}
	if !r.NoCharging.Empty() {
		s.Lines = append(s.Lines, r.NoCharging)
	}
	s.Lines = append(s.Lines, r.Cautions...)
	if r.Draws == 0 {
		return []grid.Section{s}
	}
	return []grid.Section{s, sunDaysSection(r)}
}

// sunDaysSection tells the spread behind the mean days: what a dull, a middling and a bright day bring, and how long a
// refill takes.
func sunDaysSection(r facts.Recharge) grid.Section {
	s := grid.Section{Title: phrase.Of("How the days differ: 10, 50 and 90 %% of them bring no more than this"),
		Table: grid.Table{
			Head: []phrase.Phrase{phrase.Of("Month"), phrase.Of("Array Wh 10 %%"), grid.Measure("50", "%"),
				grid.Measure("90", "%"),
				phrase.Of("Recharge d 10 %%"), grid.Measure("50", "%"), grid.Measure("90", "%")},
			Right: []bool{false, true, true, true, true, true, true}}}
	for m, month := range r.Months {
		wh, d := month.ArrayDays, month.RefillDays
		s.Table.Rows = append(s.Table.Rows, []phrase.Phrase{record.MonthShort[m], grid.Num(grid.Whole(wh.P10)),
			grid.Num(grid.Whole(wh.P50)), grid.Num(grid.Whole(wh.P90)),
			grid.Num(refillDays(d.P10)), grid.Num(refillDays(d.P50)), grid.Num(refillDays(d.P90))})
	}
	if r.Draws == 1 {
		s.Lines = append(s.Lines, phrase.Of("The days are those of the weather file."))
	} else {
		s.Lines = append(s.Lines,
			phrase.Of("From %d simulated runs of the days of each month, all with the mean that the site file gives. "+
				"monthly_kwh_m2_day is the irradiation on the horizontal; "+
				"the array's figures are what its plane receives, less losses. An evenly bright sky is assumed, "+
				"which gives a steep array 5 to 12 %% too little in a clear winter month: the safe side.", r.Draws))
	}
	s.Lines = append(s.Lines, phrase.Of("Recharge \"-\": not within %d days.", facts.RefillMostDays))
	return s
}

// refillDays writes a wait for sun.
func refillDays(d float64) string {
	if math.IsInf(d, 1) {
		return "-"
	}
	return grid.Tenth(d)
}
