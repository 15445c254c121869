package sheet

import (
	"outlast/backup"
	"outlast/backup/calendar"
	"outlast/backup/phrase"
	"outlast/backup/sheet/grid"
	"outlast/backup/sheet/record"
	"outlast/backup/study"
	"outlast/backup/wording"
)

// measuredSection sets the list of loads beside the meter. ok is false for a home without a meter file.
func measuredSection(p *backup.Plan) (s grid.Section, ok bool) {
	s = grid.Section{Title: phrase.Of("The list beside the meter"), Table: grid.Table{
		Head: []phrase.Phrase{phrase.Of("Month"), phrase.Of("Days"), phrase.Of("Measured Wh"), phrase.Of("List Wh"),
			phrase.Of("Night Wh"),
			phrase.Of("List at night"), phrase.Of("Explained %%")},
		Right: []bool{false, true, true, true, true, true, true},
	}}
	m, ok, err := study.OfMeter(p.Shared.Ctx, p.Facts)
	if err != nil {
		s.Lines = []phrase.Phrase{phrase.Of("Not worked out: %s", wording.ReasonOf(err))}
		return s, true
	}
	if !ok {
		return s, false
	}
	for _, x := range m.Months {
		s.Table.Rows = append(s.Table.Rows, []phrase.Phrase{record.MonthShort[x.Month-1],
			grid.Num(grid.Whole(float64(x.Days))),
			grid.Num(grid.Whole(x.MeasuredWh)), grid.Num(grid.Whole(x.ListWh)),
			grid.Num(grid.Whole(x.NightMeasuredWh)), grid.Num(grid.Whole(x.NightListWh)),
			grid.Num(grid.Whole(100 * x.NightExplained))})
	}
	month := wording.MonthWord(p.Month)
	if x, known := m.Of(p.Month); known {
		s.Lines = append(s.Lines,
			phrase.Of("In %s the list explains %s of what is used from 22:00 to 5:00, hour by hour.", month,
				grid.Measured(grid.Whole(100*x.NightExplained), "%")))
	} else {
		s.Lines = append(s.Lines, phrase.Of("The meter file has no whole day of %s.", month))
	}
	if m.UnlistedW >= 1 {
		s.Lines = append(s.Lines,
			phrase.Of("%s of the base load of %s are on no list: look for what is never switched off.",
				grid.Measured(grid.Whole(m.UnlistedW), "W"), grid.Measured(grid.Whole(m.Use.BaseW), "W")))
	}
	if m.Use.NetOfSolar() {
		s.Lines = append(s.Lines,
			phrase.Of("The home feeds into the grid: by day the meter hides what it uses itself. Compare the nights only."))
	}
	if !m.WholeHome {
		s.Lines = append(s.Lines,
			phrase.Of("The meter counts the whole home, the list with all its circuits; "+
				"the bank supplies those of the backup board alone."))
	}
	s.Lines = append(s.Lines, measuredRule(m), measuredHours(m, month))
	return s, true
}

// measuredRule is the rule of measured demand, or why it cannot be used.
func measuredRule(m study.Measured) phrase.Phrase {
	r := m.Rule
	if r == nil {
		return phrase.Of("The rule of measured demand (NEC 220.87) cannot be used: it requires a year of readings, " +
			"or 30 days by the quarter of an hour, and no array behind the meter.")
	}
	text := phrase.Of("By the rule of measured demand (NEC 220.87): 125 %% of the highest mean of %s, %s, are %s; "+
		"the inverters' continuous rating is %s.",
		grid.Measured(grid.Whole(float64(r.Seconds)/60), "min"), grid.Measured(grid.Whole(r.HighestW), "W"),
		grid.Measured(grid.Whole(r.DemandW), "W"), grid.Measured(grid.Whole(r.LimitW), "W"))
	switch {
	case r.Holds:
		text = text.Then(phrase.Of(" It suffices for the whole home."))
	case m.WholeHome:
		text = text.Then(phrase.Of(" It does not suffice for the whole home, and every circuit is on the backup board."))
	default:
		text = text.Then(phrase.Of(" It does not suffice for the whole home; part of it is on the main board."))
	}
	return text
}

// measuredHours is how long the bank lasts on measured days, or why that is not known.
func measuredHours(m study.Measured, month phrase.Phrase) phrase.Phrase {
	a := m.Autonomy
	if a == nil && !m.WholeHome {
		return phrase.Of("How long the bank lasts follows from the list: what the meter counts is not what the backup board takes.")
	}
	if a == nil {
		return phrase.Of("How long the bank lasts follows from the list: the meter tells too little of the month.")
	}
	text := phrase.Of("With the measured days of %s in the place of the list the old bank alone lasts at least %s, "+
		"from %s on each of %d days, half of them at least %s.",
		month, grid.Measured(grid.Tenth(grid.RoundDown(a.LeastH, 1)), "h"), calendar.Clock(a.StartMin), a.Starts,
		grid.Measured(grid.Tenth(grid.RoundDown(a.MedianH, 1)), "h"))
	if a.AtLeast {
		text = text.Then(phrase.Of(" Some last longer than the days that are measured."))
	}
	return text
}
