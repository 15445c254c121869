// Package workbook writes a plan as a spreadsheet whose results are live formulas.
//
// [Write] lays the plan out from its inputs to its checks: loads, when they run, what runs and starts at once, the bank
// and its state step by step, charging, conductors, checks. Every result is a formula on the cells that it comes from,
// so that a designer changes a figure and sees what follows, and whoever audits the plan can follow each figure. What
// is a search or a fit (the model of a lead-acid unit, the probable demand, the least favourable start) stands as a
// value that is marked as worked out by the program, with the reason.
//
// Inputs are coloured and may be changed; all else is locked, without a password. Lengths and temperatures are metres
// and degrees Celsius in every language, as in the formulas of the working. Equal plans give equal bytes.
package workbook

import (
	"context"
	"fmt"
	"io"

	"github.com/xuri/excelize/v2"

	"outlast/backup"
	"outlast/backup/phrase"
	"outlast/backup/sheet/paper/findings"
	"outlast/backup/sheet/speech"
	"outlast/backup/verdict"
)

// Options say how the workbook speaks, and what stands on its first sheet beside the plan.
type Options struct {
	Lang string // one of those of the papers; "" is English
	Date string // printed as it stands; "" prints none

	// Program is the name and version of the program, Source the name of the site file and Revision what tells this
	// text of it from any other. They are printed where they are given.
	Program, Source, Revision string
}

// A maker fills a workbook with a plan.
type maker struct {
	book
	p *backup.Plan
	r *findings.Report
	o Options

	first, inputs, circuits, loads, when, day, demand, inverter, starts, bank, volts, old, fresh, solar, charging,
	generator,
	conductors,
	checks,
	cautions *sheet

	in   map[string]ref // inputs, by the names of their cells
	out  map[string]ref // results, likewise
	pass [3]string      // the words for fail, caution and pass

	loadRows   []loadRow
	choices    []choice
	intervals  int
	stringsRow int    // of the inputs
	edges      string // where windows begin and end
	runs       []runRow
	bankTables int                       // the first free row beside the list of the bank
	atHours    func(hours string) string // share of the rated capacity in so many hours, by the table of the unit
}

// Write writes the workbook of a plan as .xlsx. The error is an unknown language, a home that is too large to be laid
// out, or one of w.
func Write(ctx context.Context, w io.Writer, p *backup.Plan, o Options) error {
	m, err := newMaker(p, o)
	if err != nil {
		return err
	}
	values, _, err := m.calculated(ctx)
	if err != nil {
		return err
	}
	return m.write(w, values)
}

func newMaker(p *backup.Plan, o Options) (*maker, error) {
	v, err := speech.NewVoice(o.Lang, p.Site.Units == "us")
	if err != nil {
		return nil, err
	}
	m := &maker{p: p, r: findings.New(p, v, nil), o: o, book: book{names: map[string]ref{}},
		in: map[string]ref{}, out: map[string]ref{}}
	for i, s := range []verdict.Status{verdict.Fail, verdict.Caution, verdict.Pass} {
		m.pass[i] = m.r.Say("status." + string(s))
	}
	for _, s := range []struct {
		at   **sheet
		name phrase.Phrase
	}{{&m.first, phrase.Of("Verdict")}, {&m.inputs, phrase.Of("Inputs")}, {&m.circuits, phrase.Of("Circuits")},
		{&m.loads, phrase.Of("Loads")}, {&m.when, phrase.Of("Time windows")}, {&m.day, phrase.Of("Course of the day")},
		{&m.demand, phrase.Of("Demand")}, {&m.inverter, phrase.Of("Inverter")},
		{&m.starts, phrase.Of("Starting")}, {&m.bank, phrase.Of("Bank")},
		{&m.volts, phrase.Of("Voltage under load")}, {&m.old, phrase.Of("Autonomy")},
		{&m.fresh, phrase.Of("Autonomy, new bank")}, {&m.solar, phrase.Of("PV array")},
		{&m.charging, phrase.Of("Charging")}, {&m.generator, phrase.Of("Generator")},
		{&m.conductors, phrase.Of("Conductors")}, {&m.checks, phrase.Of("Checks")},
		{&m.cautions, phrase.Of("Cautions")}} {
		if s.at == &m.volts && !p.Sags() || s.at == &m.solar && len(p.Site.Arrays) == 0 ||
			s.at == &m.generator && p.Site.Generator == nil {
			continue
		}
		*s.at = m.sheet(m.say(s.name))
	}
	for _, fill := range []func() error{m.fillInputs, m.fillLoads, m.fillDay, m.fillCircuitCurrents, m.fillDemand,
		m.fillInverter,
		m.fillStarts, m.fillBank,
		m.fillVolts, m.fillAutonomy, m.fillArrays, m.fillCharging, m.fillGenerator, m.fillConductors, m.fillChecks,
		m.fillFirst,
		m.fillCautions} {
		if err := fill(); err != nil {
			return nil, err
		}
	}
	for name, at := range m.in {
		m.name(name, at)
	}
	for name, at := range m.out {
		m.name(name, at)
	}
	return m, nil
}

func (m *maker) write(w io.Writer, values map[ref]string) error {
	p := &excelize.DocProperties{Title: m.p.Site.Name, Creator: m.o.Program, Created: "2000-01-01T00:00:00Z",
		Modified: "2000-01-01T00:00:00Z", Language: m.r.Lang}
	return m.book.write(w, p, m.pass, values)
}

// say writes a sentence in the language of the workbook.
func (m *maker) say(p phrase.Phrase) string { return m.r.Prose(p) }

// tooLarge is the error for a home whose formulas would be more than a spreadsheet works out in seconds.
func tooLarge(format string, args ...any) error {
	return fmt.Errorf("the workbook cannot be laid out: "+format, args...)
}

// A list is a sheet of figures below each other: what it is, its value, its unit, and where it comes from.
type list struct {
	*maker
	*sheet
	wide int // how many columns the last one takes, where others stand below it; 0: its own
}

// Columns of a list.
const (
	colLabel = 1
	colValue = 2
	colUnit  = 3
	colHow   = 4
)

func (m *maker) list(s *sheet, name, lead phrase.Phrase) *list {
	l := &list{maker: m, sheet: s}
	s.width(44, colLabel)
	s.width(14, colValue)
	s.width(10, colUnit)
	s.width(74, colHow)
	s.say(1, 1, title, m.say(name))
	s.row = 2
	if !lead.Empty() {
		s.long(2, colLabel, note, m.say(lead))
		s.widths[colLabel] = 44
		s.cells[[2]int{2, colLabel}] = cell{kind: note, text: m.say(lead)}
		s.row = 3
	}
	s.row++
	return l
}

// part begins a part of the list.
func (l *list) part(name phrase.Phrase) { l.partNamed(l.say(name)) }

func (l *list) say(p phrase.Phrase) string { return l.maker.say(p) }

func (l *list) partNamed(name string) {
	l.row++
	l.sheet.say(l.row, colLabel, head, name)
	l.sheet.say(l.row, colValue, head, l.r.Say("col.value"))
	l.sheet.cells[[2]int{l.row, colValue}] = cell{kind: head, text: l.r.Say("col.value"), format: asGiven}
	l.put(l.row, colUnit, cell{kind: head, text: l.r.Say("col.unit"), inset: true})
	l.sheet.say(l.row, colHow, head, l.say(phrase.Of("How, or from where")))
	l.row++
}

func (l *list) line(label, unit, how string) (row int) {
	row = l.row
	l.long(row, colLabel, plain, phrase.UpperFirst(label))
	l.put(row, colUnit, cell{kind: plain, text: l.r.UnitName(unit), inset: true})
	if how != "" {
		l.put(row, colHow, cell{kind: note, text: how, wrap: true, across: l.wide})
	}
	l.row++
	return row
}

// given is an input: a figure of the site file or of a data sheet, by its key.
func (l *list) given(name, label string, value float64, unit, key string) ref {
	row := l.line(label, unit, key)
	at := l.num(row, colValue, input, value, asGiven)
	l.in[name] = at
	return at
}

// figure is a result by formula.
func (l *list) figure(name string, label phrase.Phrase, unit string, how phrase.Phrase, formula string,
	args ...any) ref {
	row := l.line(l.say(label), unit, l.say(how))
	format := formatOf(unit)
	switch name {
	case "cells", "strings_needed", "window_rest_min", "window_start_min", "start_min":
		format = asGiven
	}
	at := l.calc(row, colValue, live, format, formula, args...)
	if name != "" {
		l.out[name] = at
	}
	return at
}

// program is a figure that the program works out.
func (l *list) program(name string, label phrase.Phrase, value float64, unit string, why phrase.Phrase) ref {
	row := l.line(l.say(label), unit, l.say(phrase.Of("worked out by the program: %s", why)))
	at := l.num(row, colValue, worked, value, formatOf(unit))
	if name != "" {
		l.out[name] = at
	}
	return at
}

// tableOf puts a published table into two columns, and gives its block.
func (m *maker) tableOf(s *sheet, row, col int, x, y []float64, k kind) (xs, ys string, n int) {
	for i := range x {
		s.num(row+i, col, k, x[i], asTenth)
		s.num(row+i, col+1, k, y[i], asGiven)
	}
	return s.span(row, col, row+len(x)-1, col), s.span(row, col+1, row+len(x)-1, col+1), len(x)
}

// between is the formula for a value of a table of n points at x: straight between its points, the end segments going
// on beyond.
func between(xs, ys string, n int, x string) string {
	i := fmt.Sprintf("MIN(%d,MAX(1,IFERROR(MATCH(%s,%s,1),1)))", n-1, x, xs)
	return fmt.Sprintf("(INDEX(%[2]s,%[4]s)+(INDEX(%[2]s,%[4]s+1)-INDEX(%[2]s,%[4]s))*(%[3]s-INDEX(%[1]s,%[4]s))/"+
		"(INDEX(%[1]s,%[4]s+1)-INDEX(%[1]s,%[4]s)))", xs, ys, x, i)
}
