// Package workbook writes a plan as a spreadsheet whose results are live formulas.
//
// [Write] lays the plan out from its inputs to its checks: loads, when they run, what runs and starts at once, the bank
// and its state step by step, charging, conductors, checks. Every result is a formula on the cells that it comes from,
// so that a designer changes a figure and sees what follows, and whoever audits the plan can follow each figure. What
// is a search, a fit or a simulation (the model of a lead-acid unit, the probable demand, the least favourable start)
// stands as a value that is marked as worked out by the program, with the reason.
//
// Inputs are coloured and may be changed; all else is locked, without a password. Lengths and temperatures are metres
// and degrees Celsius in every language, as in the formulas of the working. Equal plans give equal bytes.
package workbook

import (
	"context"
	"io"

	"github.com/xuri/excelize/v2"

	"outlast/backup"
	"outlast/backup/phrase"
	"outlast/backup/sheet/paper/findings"
	"outlast/backup/sheet/speech"
	"outlast/backup/sheet/workbook/book"
	"outlast/backup/sheet/workbook/course"
)

// Options say how the workbook speaks, and what stands on its first sheet beside the plan.
type Options struct {
	Lang string // one of those of the papers; "" is English
	Date string // printed as it stands; "" prints none

	// Program is the name and version of the program, Source the name of the site file and Revision what tells this
	// text of it from any other. They are printed where they are given.
	Program, Source, Revision string
}

// A maker fills a workbook with a plan: what follows from the course of its day.
type maker struct {
	*course.Home
	o Options

	first, bank, volts, old, fresh, solar, charging, generator, conductors, checks, cautions *book.Sheet

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
	values, _, err := m.Calculated(ctx)
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
	b := book.New(findings.New(p, v, nil).Speaker)
	m := &maker{o: o, first: b.Sheet(b.Prose(phrase.Of("Verdict"))), Home: course.New(b, p)}
	for _, s := range []struct {
		at    **book.Sheet
		name  phrase.Phrase
		there bool
	}{{&m.bank, phrase.Of("Bank"), true}, {&m.volts, phrase.Of("Voltage under load"), p.Sags()},
		{&m.old, phrase.Of("Autonomy"), true}, {&m.fresh, phrase.Of("Autonomy, new bank"), true},
		{&m.solar, phrase.Of("PV array"), len(p.Site.Arrays) > 0}, {&m.charging, phrase.Of("Charging"), true},
		{&m.generator, phrase.Of("Generator"), p.Site.Generator != nil},
		{&m.conductors, phrase.Of("Conductors"), true}, {&m.checks, phrase.Of("Checks"), true},
		{&m.cautions, phrase.Of("Cautions"), true}} {
		if s.there {
			*s.at = m.Sheet(m.Prose(s.name))
		}
	}
	if err := m.Fill(); err != nil {
		return nil, err
	}
	for _, fill := range []func(){m.fillBank, m.fillVolts, m.fillAutonomy, m.fillArrays, m.fillGenerator,
		m.fillCharging, m.fillConductors, m.fillChecks, m.fillFirst, m.fillCautions} {
		fill()
	}
	return m, nil
}

func (m *maker) write(w io.Writer, values map[book.Ref]string) error {
	p := &excelize.DocProperties{Title: m.Plan.Site.Name, Creator: m.o.Program, Created: "2000-01-01T00:00:00Z",
		Modified: "2000-01-01T00:00:00Z", Language: m.Lang}
	return m.Book.Write(w, p, m.Pass, values)
}
