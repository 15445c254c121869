package sheet

import (
	"fmt"

	"outlast/backup"
	"outlast/backup/calendar"
	"outlast/backup/sheet/record"
	"outlast/backup/sheet/speech"
	"outlast/backup/study"
)

// measuredSection sets the list of loads beside the meter. ok is false for a home without a meter file.
func measuredSection(p *backup.Plan) (s section, ok bool) {
	s = section{title: "The list beside the meter", table: table{
		head:  []string{"Month", "Days", "Measured Wh", "List Wh", "Night Wh", "List at night", "Explained %"},
		right: []bool{false, true, true, true, true, true, true},
	}}
	m, ok, err := study.OfMeter(p.Shared.Ctx, p.Facts)
	if err != nil {
		s.lines = []string{"Not worked out: " + speech.Clean(err.Error())}
		return s, true
	}
	if !ok {
		return s, false
	}
	for _, x := range m.Months {
		s.table.rows = append(s.table.rows, []string{record.MonthShort[x.Month-1], fmt.Sprint(x.Days), whole(x.MeasuredWh), whole(x.ListWh),
			whole(x.NightMeasuredWh), whole(x.NightListWh), whole(100 * x.NightExplained)})
	}
	if x, known := m.Of(p.Month); known {
		s.lines = append(s.lines, fmt.Sprintf("The list explains %s %% of the nights of %s (22:00 to 5:00, hour by hour).", whole(100*x.NightExplained), p.MonthName()))
	} else {
		s.lines = append(s.lines, fmt.Sprintf("The meter file has no whole day of %s.", p.MonthName()))
	}
	if m.UnlistedW >= 1 {
		s.lines = append(s.lines, fmt.Sprintf("%s W of the base load of %s W are on no list: look for what is never switched off.", whole(m.UnlistedW), whole(m.Use.BaseW)))
	}
	if m.Use.NetOfSolar() {
		s.lines = append(s.lines, "The home feeds into the grid: by day the meter hides what it uses itself. Compare the nights only.")
	}
	if !m.WholeHome {
		s.lines = append(s.lines, "The meter counts the whole home, the list with all its circuits; the bank supplies those of the backup board alone.")
	}
	s.lines = append(s.lines, measuredRule(p, m), measuredHours(p, m))
	return s, true
}

// measuredRule is the rule of measured demand, or why it cannot be used.
func measuredRule(p *backup.Plan, m study.Measured) string {
	r := m.Rule
	if r == nil {
		return "The rule of measured demand (NEC 220.87) cannot be used: it wants a year of readings, or 30 days by the quarter of an hour, and no array behind the meter."
	}
	result := "at most the continuous rating"
	if !r.Holds {
		result = "more than the continuous rating"
	}
	text := fmt.Sprintf("By the rule of measured demand (NEC 220.87): 125 %% of the highest mean of %g min, %s W, are %s W, %s of the inverters of %s W.",
		float64(r.Seconds)/60, whole(r.HighestW), whole(r.DemandW), result, whole(r.LimitW))
	if !m.WholeHome {
		text += " That is the whole home; of the circuits on the main board the inverters supply nothing in an outage."
	}
	return text
}

// measuredHours is how long the bank lasts on measured days, or why that is not known.
func measuredHours(p *backup.Plan, m study.Measured) string {
	a := m.Autonomy
	switch {
	case a != nil && a.AtLeast:
		return fmt.Sprintf("With the measured days of %s in the place of the list the old bank alone lasts at least %s h, from %s on each of %d days, half of them at least %s h; some last longer than the days that are measured.",
			p.MonthName(), tenth(roundDown(a.LeastH, 1)), calendar.Clock(a.StartMin), a.Starts, tenth(roundDown(a.MedianH, 1)))
	case a != nil:
		return fmt.Sprintf("With the measured days of %s in the place of the list the old bank alone lasts at least %s h, from %s on each of %d days, half of them at least %s h.",
			p.MonthName(), tenth(roundDown(a.LeastH, 1)), calendar.Clock(a.StartMin), a.Starts, tenth(roundDown(a.MedianH, 1)))
	case !m.WholeHome:
		return "How long the bank lasts follows from the list: what the meter counts is not what the backup board takes."
	}
	return "How long the bank lasts follows from the list: the meter tells too little of the month."
}
