package tabular

import (
	"slices"
	"strconv"
	"strings"

	"outlast/catalog/strict"
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
// order is that of dates, as for [Table.NewClock]. From then on a row is refused that commas part into more cells than
// the head has.
func (t *Table) NewMoments(found Columns, order string) Moments {
	t.width, t.head = 0, found.Line
	for i, c := range found.Head {
		if c.Text != "" {
			t.width = i + 1
		}
	}
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
	if m.date < 0 || dated(c.Text) { // a time that has a date needs no second one
		return t.MomentOf(m.Clock, m.Column, c)
	}
	return t.MomentOf(m.Clock, m.Column, Cell{Text: t.dateIn(m) + " " + withoutEnd(c.Text)})
}

// dateIn is the date of the row where it has a column of its own.
func (t *Table) dateIn(m Moments) string {
	date := t.Cell(m.date).Text
	if dateLike(date) { // a spreadsheet writes midnight behind a day
		day, clock, _ := strings.Cut(strings.Replace(date, "T", " ", 1), " ")
		if s, _, _, ok := timeOfDay(clock); ok && s == 0 {
			return day
		}
	}
	return date
}

// HourIn reads an hour that the row tells by its number alone, beside its date or behind it, and when that day begins. is
// says whether the row tells one; ok is false if something was reported.
func (t *Table) HourIn(m Moments) (dayS float64, hour int, is, ok bool) {
	text, date := t.Cell(m.Column).Text, ""
	if dateLike(text) {
		date, text, _ = strings.Cut(text, " ")
		text = strings.TrimLeft(text, " ")
	}
	if text == "" || len(text) > 2 || strings.Trim(text, "0123456789") != "" {
		return 0, 0, false, true
	}
	hour, _ = strconv.Atoi(text) // of two digits at most
	if date == "" && m.date >= 0 {
		date = t.dateIn(m)
	}
	if !dated(date) {
		t.Report(m.Column, "name the column of the dates: --column date=1",
			"found %s, the number of an hour whose date no column tells", strict.Quote(text))
		return 0, 0, true, false
	}
	dayS, ok = t.MomentOf(m.Clock, m.Column, Cell{Text: date})
	return dayS, hour, true, ok
}

// ReportUndecided reports the dates of a log, of which a row of a line is one, where [Clock.Undecided].
func (t *Table) ReportUndecided(m Moments, line int) {
	col := m.Column
	if m.date >= 0 {
		col = m.date
	}
	t.ReportAt(line, col, "", "%s", undecided(m.Clock.date))
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
