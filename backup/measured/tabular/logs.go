package tabular

import (
	"slices"
	"strings"
)

// What the columns of a log of power may tell, whatever it is of. Package trace and package banklog have more kinds of
// their own.
const (
	KindTime  = "time"
	KindDate  = "date"
	KindPower = "power"
	KindAmps  = "amps"
	KindVolts = "volts"
)

// The kinds by the words that logs have for them, in four languages.
var (
	Times = Kind{ID: KindTime, Words: []string{"time", "timestamp", "datetime", "date time", "clock", "elapsed",
		"seconds", "minute", "zeit", "zeitstempel", "uhrzeit", "zeitpunkt", "hora", "tiempo", "fecha y hora", "heure",
		"temps", "horodatage"}, Units: []string{"s", "t"}}
	Dates = Kind{ID: KindDate, Words: []string{"date", "day", "datum", "tag", "fecha", "dia", "jour"}}
	Power = Kind{ID: KindPower, Number: true, Words: []string{"power", "watts", "watt", "leistung", "wirkleistung",
		"potencia", "puissance"}, Units: []string{"w", "kw"}}
	Amps = Kind{ID: KindAmps, Number: true, Words: []string{"amps", "amp", "ampere", "amperes", "current", "strom",
		"batteriestrom", "corriente", "courant", "intensite"}, Units: []string{"a", "ma"}}
	Volts = Kind{ID: KindVolts, Number: true, Words: []string{"volts", "volt", "voltage", "spannung",
		"batteriespannung", "tension", "voltaje"}, Units: []string{"v"}}
)

// timeUnits are units of a column that counts the time from the start of a log.
var timeUnits = []string{"s", "sec", "seconds", "ms", "min", "minutes", "h", "hours"}

// LogUnits are the units that the head of a log or a flag may give: those of times, powers, amps and volts, and more.
func LogUnits(more ...string) []string {
	return slices.Concat([]string{"w", "kw", "watts", "watt", "a", "ma", "v"}, timeUnits, more)
}

// Moments are those of the rows of a log: in one column, or of a date and a time of day in two.
type Moments struct {
	Clock   *Clock
	Counted bool // the log only counts from its start
	Column  int  // of the time, which messages name
	date    int  // -1: none, or in the column of the time
}

// NewMoments reads the moments of a log from the columns that were found, of which one is of [KindTime] or [KindDate].
// order is that of dates, as for [Table.NewClock].
func (t *Table) NewMoments(found Columns, order string) Moments {
	m := Moments{date: -1}
	col, timed := found.Of(KindTime)
	if date, dated := found.Of(KindDate); !timed {
		col = date
	} else if dated {
		m.date = date.Index
	}
	m.Column = col.Index
	if m.Counted = slices.Contains(timeUnits, col.Unit); !m.Counted {
		col.Unit = ""
	}
	m.Clock = t.NewClock(col, order)
	return m
}

// MomentIn reads the moment of the row. ok is false if something was reported.
func (t *Table) MomentIn(m Moments) (s float64, ok bool) {
	c := t.Cell(m.Column)
	if m.date < 0 || dateLike(c.Text) { // a time that has a date needs no second one
		return t.MomentOf(m.Clock, m.Column, c)
	}
	date := t.Cell(m.date).Text
	if dateLike(date) { // a spreadsheet writes midnight behind a day
		day, clock, _ := strings.Cut(strings.Replace(date, "T", " ", 1), " ")
		if s, _, _, ok := timeOfDay(clock); ok && s == 0 {
			date = day
		}
	}
	return t.MomentOf(m.Clock, m.Column, Cell{Text: date + " " + c.Text})
}

// Missing says whether a cell of a log says that nothing was read.
func Missing(text string) bool {
	switch text {
	case "", "-", "nan", "NaN", "NAN", "null", "NULL", "None", "N/A", "n/a", "#N/A":
		return true
	}
	return false
}

// Backwards reports a log whose newest reading comes first, where back of its rows lie before the row above: that is no
// clock that is set back now and then.
func (t *Table) Backwards(rows, back int) bool {
	if 2*back < rows {
		return false
	}
	t.ReportAt(0, 0, "sort it by time, the oldest reading first",
		"%d of %d readings lie before the one above: the newest comes first", back, rows)
	return true
}
