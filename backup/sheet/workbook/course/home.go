// Package course lays the inputs of a home out in a workbook, and what runs and starts through its day.
//
// [New] adds the sheets and [Home.Fill] fills them: inputs, circuits, loads and their time windows, the course of the
// day, the demand, what the inverters may give, the starts, what is used though it is held off. Sheets of package workbook
// follow on from their cells.
package course

import (
	"fmt"

	"outlast/backup"
	"outlast/backup/phrase"
	"outlast/backup/sheet/paper/findings"
	"outlast/backup/sheet/workbook/book"
	"outlast/backup/verdict"
)

// A Home is a workbook that is filled with a plan, as far as what is asked of its inverters.
type Home struct {
	*book.Book
	Plan *backup.Plan
	Pass [3]string // the words for fail, caution and pass

	Inputs, Circuits, Loads, when, Day, demand, inverter, Starts, slips *book.Sheet

	LoadRows    []LoadRow
	choices     []choice
	Intervals   int
	StringsRow  int // of the inputs
	Slips       []SlipRow
	otherMonths bool // loads of other months are laid out too
	draws       []draw
	alones      []aloneStart
	motors      []LoadRow // of the month that may count more, where the tables have such a rule
	motorDraws  []motorDraw
	edges       string // where windows begin and end
}

// New adds the sheets to a workbook.
func New(b *book.Book, p *backup.Plan) *Home {
	h := &Home{Book: b, Plan: p}
	for i, s := range []verdict.Status{verdict.Fail, verdict.Caution, verdict.Pass} {
		h.Pass[i] = h.Say("status." + string(s))
	}
	for _, s := range []struct {
		at   **book.Sheet
		name phrase.Phrase
	}{{&h.Inputs, phrase.Of("Inputs")}, {&h.Circuits, phrase.Of("Circuits")}, {&h.Loads, phrase.Of("Loads")},
		{&h.when, phrase.Of("Time windows")}, {&h.Day, phrase.Of("Course of the day")},
		{&h.demand, phrase.Of("Demand")}, {&h.inverter, phrase.Of("Inverter")}, {&h.Starts, phrase.Of("Starting")}} {
		*s.at = h.Sheet(h.Prose(s.name))
	}
	if len(p.HeldOff) > 0 {
		h.slips = h.Sheet(h.Prose(phrase.Of("Unplanned use")))
	}
	return h
}

// Fill fills the sheets. The error is a home that is too large to be laid out.
func (m *Home) Fill() error {
	m.fillInputs()
	m.fillCircuits()
	if err := m.fillLoads(); err != nil {
		return err
	}
	m.layDraws()
	m.fillCounts()
	if err := m.fillDay(); err != nil {
		return err
	}
	m.fillCircuitCurrents()
	if err := m.fillDemand(); err != nil {
		return err
	}
	m.fillInverter()
	m.fillStarts()
	m.fillSlips()
	return nil
}

// keyName is what the workbook calls a key of the site file.
func (m *Home) keyName(key string) string { return findings.Voice{Voice: m.Voice}.KeyName(key) }

// tooLarge is the error for a home whose formulas would be more than a spreadsheet works out in seconds.
func tooLarge(format string, args ...any) error {
	return fmt.Errorf("the workbook cannot be laid out: "+format, args...)
}
