package course

import (
	"fmt"
	"strings"

	"outlast/backup/phrase"
	"outlast/backup/sheet/workbook/book"
)

// FirstInterval is the column of the first interval of the course of the day.
const FirstInterval = 3

// Rows above the loads in the course of the day.
const (
	dayFrom = iota + 3
	dayTo
	DayFromMin
	DayToMin
	DayHours
)

// fillDay lays out between which moments nothing changes, and which loads may be on there.
func (m *Home) fillDay() error {
	if m.Intervals*len(m.choices) > mostDemandAt {
		return tooLarge("%d intervals of the day with %d choices of the interlocks, at most %d together", m.Intervals,
			len(m.choices), mostDemandAt)
	}
	s := m.Day
	s.Say(1, 1, book.Title, m.Prose(phrase.Of("Course of the day")))
	s.Say(2, 1, book.Note,
		m.Prose(phrase.Of("Between two moments at which a window begins or ends nothing changes. 1: the load may be on.")))
	s.Width(5, 1)
	s.Width(34, 2)
	for row, words := range map[int]string{dayFrom: m.Say("col.from"), dayTo: m.Prose(phrase.Of("To")),
		DayFromMin: m.Prose(phrase.Of("From minute")), DayToMin: m.Prose(phrase.Of("To minute")),
		DayHours: m.Prose(phrase.Of("Hours")) + ", h"} {
		s.Say(row, 2, book.Head, words)
	}
	for i := range m.LoadRows {
		l := &m.LoadRows[i]
		s.Count(l.Row, 1, i+1)
		s.Put(l.Row, 2, book.Cell{Kind: book.Live, Formula: string(m.Loads.At(l.Row, LoadName)), Words: true})
	}
	below := m.BelowDay()
	for row, words := range map[int]string{below.MeanW: m.Prose(phrase.Of("Mean power")) + ", W",
		below.DcW: m.Prose(phrase.Of("From the bank")) + ", W", below.Wh: m.Prose(phrase.Of("Energy")) + ", Wh",
		below.DcWh: m.Prose(phrase.Of("Energy from the bank")) + ", Wh"} {
		s.Say(row, 2, book.Head, words)
	}
	for k := range m.Intervals {
		col := FirstInterval + k
		s.Width(8.5, col)
		at := func(row int) book.Ref { return s.At(row, col) }
		if k == 0 {
			s.Num(DayFromMin, col, book.Plain, 0, book.AsGiven)
		} else {
			s.Calc(DayFromMin, col, book.Live, book.AsGiven, "%s", s.At(DayToMin, col-1))
		}
		s.Calc(DayToMin, col, book.Live, book.AsGiven, "IF(%[1]s>=1440,1440,SMALL(%[2]s,COUNTIF(%[2]s,\"<=\"&%[1]s)+1))",
			at(DayFromMin), m.edges)
		s.Calc(dayFrom, col, book.Live, book.AsClock, "%s/1440", at(DayFromMin))
		s.Calc(dayTo, col, book.Live, book.AsClock, "%s/1440", at(DayToMin))
		s.Calc(DayHours, col, book.Live, book.AsMille, "(%s-%s)/60", at(DayToMin), at(DayFromMin))
		for _, l := range m.LoadRows {
			var on []string
			for _, w := range l.windows {
				on = append(on,
					fmt.Sprintf("IF(%[2]s>%[1]s,IF(AND(%[1]s<=%[3]s,%[3]s<%[2]s),1,0),IF(OR(%[3]s>=%[1]s,%[3]s<%[2]s),1,0))",
						m.when.At(w, whenFromMin), m.when.At(w, whenToMin), at(DayFromMin)))
			}
			s.Put(l.Row, col, book.Cell{Kind: book.Live, Format: book.AsGiven, Middle: true,
				Formula: fmt.Sprintf("IF(%s>=1440,0,MIN(1,%s))", at(DayFromMin), strings.Join(on, "+"))})
		}
		s.Calc(below.MeanW, col, book.Live, book.AsTenth, "SUMPRODUCT(%s,%s)", m.runsIn(k), m.LoadColumn(loadMeanW))
		s.Calc(below.DcW, col, book.Live, book.AsTenth, "%s", m.DCPower(string(at(below.MeanW))))
		s.Calc(below.Wh, col, book.Live, book.AsTenth, "%s*%s", at(below.MeanW), at(DayHours))
		s.Calc(below.DcWh, col, book.Live, book.AsTenth, "%s*%s", at(below.DcW), at(DayHours))
	}
	if n := len(m.LoadRows); n > 0 {
		s.Bars = append(s.Bars, fmt.Sprintf("%s%d:%s%d", book.ColumnName(FirstInterval), FirstLoad,
			book.ColumnName(FirstInterval+m.Intervals-1), FirstLoad+n-1))
	}
	complete := below.DcWh + 2
	s.Say(complete, 2, book.Head, m.Prose(phrase.Of("The columns reach to the end of the day")))
	m.Out["day_complete"] = s.CalcWords(complete, FirstInterval, book.Live, "IF(%s>=1440,%s,%s)",
		s.At(DayToMin, FirstInterval+m.Intervals-1), book.Quote(m.Prose(phrase.Of("yes"))),
		book.Quote(m.Prose(phrase.Of("no: move fewer windows at once"))))
	s.Frozen, s.Heads = [2]int{FirstLoad - 1, 2}, FirstLoad-1
	return nil
}

// runsIn is the column of an interval over all loads.
func (m *Home) runsIn(k int) string {
	return m.Day.Span(FirstLoad, FirstInterval+k, FirstLoad+max(1, len(m.LoadRows))-1, FirstInterval+k)
}

// DayRows are the rows below the loads in the course of the day.
type DayRows struct{ MeanW, DcW, Wh, DcWh int }

// BelowDay is where they are.
func (m *Home) BelowDay() DayRows {
	row := FirstLoad + max(1, len(m.LoadRows)) + 1
	return DayRows{row, row + 1, row + 2, row + 3}
}

// Through is a row of the course of the day over all intervals.
func (m *Home) Through(row int) string {
	return m.Day.Span(row, FirstInterval, row, FirstInterval+m.Intervals-1)
}
