package book

import (
	"fmt"

	"outlast/backup/phrase"
)

// A List is a sheet of figures below each other: what it is, its value, its unit, and where it comes from.
type List struct {
	*Sheet
	book *Book
	Wide int // how many columns the last one takes, where others stand below it; 0: its own
}

// Columns of a list.
const (
	ColLabel = 1
	ColValue = 2
	ColUnit  = 3
	ColHow   = 4
)

// List begins a sheet of figures.
func (b *Book) List(s *Sheet, name phrase.Phrase) *List {
	s.Width(44, ColLabel)
	s.Width(14, ColValue)
	s.Width(10, ColUnit)
	s.Width(74, ColHow)
	s.Say(1, 1, Title, b.Prose(name))
	s.Row = 3
	return b.GoOn(s)
}

// GoOn takes a list up again, below what stands in it.
func (b *Book) GoOn(s *Sheet) *List { return &List{Sheet: s, book: b} }

// Part begins a part of the list.
func (l *List) Part(name phrase.Phrase) {
	l.Row++
	l.book.Part(l.Sheet, name)
	l.Say(l.Row-1, ColHow, Head, l.book.Prose(phrase.Of("How, or from where")))
}

// Part begins a part of a sheet with the heads of label, value and unit.
func (b *Book) Part(s *Sheet, name phrase.Phrase) {
	s.Say(s.Row, ColLabel, Head, b.Prose(name))
	s.Put(s.Row, ColValue, Cell{Kind: Head, Text: b.Say("col.value"), Format: AsGiven})
	s.Put(s.Row, ColUnit, Cell{Kind: Head, Text: b.Say("col.unit"), Inset: true})
	s.Row++
}

// Line is the next row of the list, without its value.
func (l *List) Line(label, unit, how string) (row int) {
	row = l.Row
	l.Long(row, ColLabel, Plain, phrase.UpperFirst(label))
	l.Put(row, ColUnit, Cell{Kind: Plain, Text: l.book.UnitName(unit), Inset: true})
	if how != "" {
		l.Put(row, ColHow, Cell{Kind: Note, Text: how, Wrap: true, Across: l.Wide})
	}
	l.Row++
	return row
}

// Given is an input: a figure of the site file or of a data sheet, by its key.
func (l *List) Given(name, label string, value float64, unit, key string) Ref {
	at := l.Num(l.Line(label, unit, key), ColValue, Input, value, AsGiven)
	l.book.In[name] = at
	return at
}

// Figure is a result by formula.
func (l *List) Figure(name string, label phrase.Phrase, unit string, how phrase.Phrase, formula string,
	args ...any) Ref {
	row := l.Line(l.book.Prose(label), unit, l.book.Prose(how))
	format := FormatOf(unit)
	switch name {
	case "cells", "strings_needed", "window_rest_min", "window_start_min", "start_min":
		format = AsGiven
	}
	at := l.Calc(row, ColValue, Live, format, formula, args...)
	if name != "" {
		l.book.Out[name] = at
	}
	return at
}

// Program is a figure that the program works out.
func (l *List) Program(name string, label phrase.Phrase, value float64, unit string, why phrase.Phrase) Ref {
	row := l.Line(l.book.Prose(label), unit, l.book.Prose(phrase.Of("worked out by the program: %s", why)))
	at := l.Num(row, ColValue, Worked, value, FormatOf(unit))
	if name != "" {
		l.book.Out[name] = at
	}
	return at
}

// Published is a figure of a published table or a rule of the trade, with its source.
func (l *List) Published(name string, label phrase.Phrase, value float64, unit string, source phrase.Phrase) Ref {
	at := l.Num(l.Line(l.book.Prose(label), unit, l.book.Prose(source)), ColValue, Table, value, FormatOf(unit))
	if name != "" {
		l.book.Out[name] = at
	}
	return at
}

// TableOf puts a published table into two columns, and gives its block.
func (s *Sheet) TableOf(row, col int, x, y []float64, k Kind) (xs, ys string, n int) {
	for i := range x {
		s.Num(row+i, col, k, x[i], AsTenth)
		s.Num(row+i, col+1, k, y[i], AsGiven)
	}
	return s.Span(row, col, row+len(x)-1, col), s.Span(row, col+1, row+len(x)-1, col+1), len(x)
}

// Between is the formula for a value of a table of n points at x: straight between its points, the end segments going
// on beyond.
func Between(xs, ys string, n int, x string) string {
	i := fmt.Sprintf("MIN(%d,MAX(1,IFERROR(MATCH(%s,%s,1),1)))", n-1, x, xs)
	return fmt.Sprintf("(INDEX(%[2]s,%[4]s)+(INDEX(%[2]s,%[4]s+1)-INDEX(%[2]s,%[4]s))*(%[3]s-INDEX(%[1]s,%[4]s))/"+
		"(INDEX(%[1]s,%[4]s+1)-INDEX(%[1]s,%[4]s)))", xs, ys, x, i)
}

// Across is Between for a table that lies along a row.
func Across(xs, ys string, n int, x string) string {
	i := fmt.Sprintf("MIN(%d,MAX(1,IFERROR(MATCH(%s,%s,1),1)))", n-1, x, xs)
	return fmt.Sprintf("(INDEX(%[2]s,1,%[4]s)+(INDEX(%[2]s,1,%[4]s+1)-INDEX(%[2]s,1,%[4]s))*(%[3]s-INDEX(%[1]s,1,%[4]s))/"+
		"(INDEX(%[1]s,1,%[4]s+1)-INDEX(%[1]s,1,%[4]s)))", xs, ys, x, i)
}
