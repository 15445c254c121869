package workbook

import (
	"fmt"

	"outlast/backup/phrase"
	"outlast/backup/sheet/workbook/book"
	"outlast/backup/sheet/workbook/course"
)

// before is the formula for the energy from midnight to a minute of the day, 0 to 1440, of a row of the course of the
// day.
func (m *maker) before(row int, wh int, x string) string {
	from, to := m.Through(course.DayFromMin), m.Through(course.DayToMin)
	return fmt.Sprintf(
		`(SUMIFS(%[1]s,%[2]s,"<="&%[5]s)+SUMIFS(%[3]s,%[4]s,"<"&%[5]s,%[2]s,">"&%[5]s)*(%[5]s-SUMIFS(%[4]s,%[4]s,"<"&%[5]s,%[2]s,">"&%[5]s))/60)`,
		m.Through(wh), to, m.Through(row), from, x)
}

// window is the formula for the energy of an autonomy from a minute of the day on: whole days, and the rest of it.
func (m *maker) window(row, wh int, day book.Ref, start string) string {
	rest := m.Out["window_rest_min"]
	end := fmt.Sprintf("(%s+%s-1440)", start, rest)
	within := fmt.Sprintf("(%s+%s)", start, rest)
	return fmt.Sprintf("INT(%s/24)*%s+IF(%s+%s>1440,%s-%s+%s,%s-%s)", m.In["autonomy_h"], day, start, rest, day,
		m.before(row, wh, start), m.before(row, wh, end), m.before(row, wh, within), m.before(row, wh, start))
}

// fillEnergy works out from when on the autonomy is counted, and what energy it takes.
func (m *maker) fillEnergy(l *book.List) {
	in, out, below := m.In, m.Out, m.BelowDay()
	l.Part(phrase.Of("Energy of the autonomy"))
	l.Figure("window_rest_min", phrase.Of("Minutes beyond whole days"), "min",
		phrase.Of("autonomy_h less whole days"),
		"(%[1]s-24*INT(%[1]s/24))*60", in["autonomy_h"])
	dayWh := l.Figure("day_wh", phrase.Of("Energy of a day"), "Wh", phrase.Of("course of the day"), "SUM(%s)",
		m.Through(below.Wh))
	dayDCWh := l.Figure("day_dc_wh", phrase.Of("Energy of a day, DC"), "Wh", phrase.Of("course of the day"), "SUM(%s)",
		m.Through(below.DcWh))
	worst := m.triedStarts(l, dayWh)
	start := l.Figure("start_min", phrase.Of("Start of the outage, minute"), "min",
		phrase.Of("as given, or the start with the largest energy"), "IF(COUNT(%[1]s)=0,%[2]s,ROUND(%[1]s*1440,0))",
		in["outage_start"],
		worst)
	row := l.Line(m.Prose(phrase.Of("Start of the outage")), "", "")
	out["start"] = l.Calc(row, book.ColValue, book.Result, book.AsClock, "%s/1440", start)
	l.Figure("energy_ac_wh", phrase.Of("Energy of the autonomy, AC"), "Wh",
		phrase.Of("from the start, course of the day"), "%s",
		m.window(below.MeanW, below.Wh, dayWh, string(start)))
	l.Figure("energy_dc_wh", phrase.Of("Energy of the autonomy, DC"), "Wh",
		phrase.Of("sum over the profile of (P_ac / efficiency(P_ac) + idle_w * count) * time"), "%s",
		m.window(below.DcW, below.DcWh, dayDCWh, string(start)))
}

// triedStarts gives the start with the largest energy. The energy of a window is straight between the moments at which
// its start or its end crosses a bound of the day, so those are all that need be tried.
func (m *maker) triedStarts(l *book.List, dayWh book.Ref) (worst book.Ref) {
	below, rest := m.BelowDay(), m.Out["window_rest_min"]
	candidates := m.Day
	base := below.DcWh + 4
	for i, words := range []string{m.Prose(phrase.Of("Start tried: a bound of the day, minute")),
		m.Prose(phrase.Of("Energy from it")) + ", Wh",
		m.Prose(phrase.Of("Start tried: a window that ends at a bound, minute")),
		m.Prose(phrase.Of("Energy from it")) + ", Wh"} {
		candidates.Put(base+i, 2, book.Cell{Kind: book.Head, Text: words, Wrap: true})
	}
	for k := range m.Intervals {
		col := course.FirstInterval + k
		a := candidates.Calc(base, col, book.Live, book.AsGiven, "IF(%[1]s>=1440,0,%[1]s)", m.Day.At(course.DayFromMin, col))
		candidates.Calc(base+1, col, book.Live, book.AsTenth, "%s", m.window(below.MeanW, below.Wh, dayWh, string(a)))
		b := candidates.Calc(base+2, col, book.Live, book.AsGiven, "MOD(%s-%s,1440)", m.Day.At(course.DayFromMin, col), rest)
		candidates.Calc(base+3, col, book.Live, book.AsTenth, "%s", m.window(below.MeanW, below.Wh, dayWh, string(b)))
	}
	bothE := []string{m.Through(base + 1), m.Through(base + 3)}
	most := fmt.Sprintf("MAX(%s,%s)", bothE[0], bothE[1])
	// Of starts with as much energy the earliest counts.
	largest := l.Figure("window_wh", phrase.Of("Largest energy of a window"), "Wh",
		phrase.Of("largest of the starts that are tried under the course of the day"), "%s", most)
	for i, row := range []int{base, base + 2} {
		candidates.Put(base+4+i, 2, book.Cell{Kind: book.Head, Text: m.Prose(phrase.Of("Start with the largest energy, minute")),
			Wrap: true})
		for k := range m.Intervals {
			col := course.FirstInterval + k
			candidates.Calc(base+4+i, col, book.Live, book.AsGiven, "IF(%s>=%s*(1-1E-11),%s,1440)", candidates.At(row+1, col),
				largest,
				candidates.At(row, col))
		}
	}
	return l.Figure("window_start_min", phrase.Of("Start with the largest energy, minute"), "min",
		phrase.Of("the earliest of equal ones"), "MIN(%s,%s)", m.Through(base+4), m.Through(base+5))
}
