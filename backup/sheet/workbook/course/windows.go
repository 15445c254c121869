package course

import (
	"fmt"

	"outlast/backup/phrase"
	"outlast/backup/sheet/speech"
	"outlast/backup/sheet/workbook/book"
	"outlast/loads"
)

// Columns and rows of the windows.
const (
	whenNo = iota + 1
	WhenLoad
	WhenFrom
	WhenTo
	whenFromMin
	whenToMin
	whenMinutes

	FirstWindow = 6 // the row of the first; above it stands the whole day
)

// fillWindows lists when each load may be on, and makes the rows of the loads.
func (m *Home) fillWindows(all []loads.Load) {
	s := m.when
	s.Say(1, 1, book.Title, m.Prose(phrase.Of("Time windows")))
	s.Say(2, 1, book.Note,
		m.Prose(phrase.Of("When each load may be on. A window that ends before it begins goes on past midnight.")))
	for i, h := range []string{m.Say("col.no"), m.Say("col.load"), m.Say("col.from"), m.Prose(phrase.Of("To")),
		m.Prose(phrase.Of("From minute")), m.Prose(phrase.Of("To minute")), m.Prose(phrase.Of("Minutes"))} {
		s.Put(FirstWindow-2, i+1, book.Cell{Kind: book.Head, Text: h, Wrap: true, Middle: i > 1})
	}
	s.Width(5, whenNo)
	s.Width(40, WhenLoad)
	s.Width(11, WhenFrom, WhenTo, whenFromMin, whenToMin, whenMinutes)
	s.Say(FirstWindow-1, WhenLoad, book.Plain, m.Prose(phrase.Of("Whole day")))
	s.Num(FirstWindow-1, whenFromMin, book.Plain, 0, book.AsGiven)
	s.Num(FirstWindow-1, whenToMin, book.Plain, 1440, book.AsGiven)
	row := FirstWindow
	for i, l := range all {
		r := LoadRow{Load: l, Row: FirstLoad + i, other: !l.Months.Has(m.Plan.Month)}
		for _, w := range windowsOf(l) {
			s.Count(row, whenNo, i+1)
			s.Long(row, WhenLoad, book.Plain, speech.Name(m.Called(l.Name)))
			s.Num(row, WhenFrom, book.Input, float64(w.StartMin)/1440, book.AsClock)
			s.Num(row, WhenTo, book.Input, float64(w.EndMin)/1440, book.AsClock)
			s.Calc(row, whenFromMin, book.Live, book.AsGiven, "ROUND(%s*1440,0)", s.At(row, WhenFrom))
			s.Calc(row, whenToMin, book.Live, book.AsGiven, "ROUND(%s*1440,0)", s.At(row, WhenTo))
			from, to := s.At(row, whenFromMin), s.At(row, whenToMin)
			s.Calc(row, whenMinutes, book.Live, book.AsGiven, "IF(%[2]s>%[1]s,%[2]s-%[1]s,1440-%[1]s+%[2]s)", from, to)
			r.windows = append(r.windows, row)
			row++
		}
		m.LoadRows = append(m.LoadRows, r)
	}
	if row > FirstWindow {
		s.Times = append(s.Times, fmt.Sprintf("%s%d:%s%d", book.ColumnName(WhenFrom), FirstWindow, book.ColumnName(WhenTo), row-1))
	}
	s.Frozen, s.Upward, s.Heads = [2]int{FirstWindow - 2, 0}, true, FirstWindow-2
	m.Intervals = intervals(all)
	m.edges = s.Span(FirstWindow-1, whenFromMin, max(row-1, FirstWindow-1), whenToMin)
}

// windowsOf are the windows of a load: the whole day, where it has none.
func windowsOf(l loads.Load) []loads.Window {
	if len(l.Windows) == 0 {
		return []loads.Window{{StartMin: 0, EndMin: 1440}}
	}
	return l.Windows
}

// intervals is how many there are in a day: it is cut where a window begins or ends, and a few cuts are left for windows
// that are moved.
func intervals(all []loads.Load) int {
	cuts, windows := map[int]bool{0: true}, 0
	for _, l := range all {
		windows += len(windowsOf(l))
		for _, w := range l.Windows {
			cuts[w.StartMin%1440], cuts[w.EndMin%1440] = true, true
		}
	}
	return len(cuts) + min(8, 2*windows)
}
