package sheet

import (
	"slices"

	"outlast/backup"
	"outlast/backup/phrase"
	"outlast/backup/sheet/grid"
	"outlast/backup/sheet/speech"
)

// A part of a sheet has a name by which it may be asked for; several parts may share one. Nothing of a part is worked
// out unless it is shown.
type part struct {
	name  string
	write func(page) []grid.Section
	has   func(*backup.Plan) bool // nil: every home has it
	none  phrase.Phrase           // what is said to who asks for it where a home has none
	own   func(Options) bool      // nil: no option of its own shows it
}

// A page is what a part is written from.
type page struct {
	*backup.Plan
	*speech.Speaker
	o    Options
	wide bool
}

// All is the name of every part together.
const All = "all"

// parts are everything on a sheet below the headline, in the order in which it is read.
var parts = []part{
	{name: "demand", write: always(demandSection)},
	{name: "starts", write: always(startSection)},
	{name: "demand", write: func(g page) []grid.Section { return maybe(typicalSection(g.Plan, g.wide)) }},
	{name: "demand", write: func(g page) []grid.Section { return maybe(measureSection(g.Plan, g.CheckName)) }},
	{name: "measured", write: func(g page) []grid.Section { return maybe(measuredSection(g.Plan)) },
		has:  func(p *backup.Plan) bool { return p.Site.Use != nil },
		none: phrase.Of("Nothing is measured: the site file names no meter file.")},
	{name: "inverter", write: always(inverterSection)},
	{name: "bank", write: always(bankSection, wiringSection, chargeSection, careSection)},
	{name: "circuits", write: widely(circuitSection)},
	{name: "circuits", write: func(g page) []grid.Section { return maybe(stayOnSection(g.Plan)) }},
	{name: "circuits", write: func(g page) []grid.Section { return maybe(shedSection(g.Plan, g.o)) },
		own: func(o Options) bool { return o.HoursWished > 0 }},
	{name: "recharge", write: func(g page) []grid.Section { return rechargeSections(g.Plan) }, has: recharges,
		none: phrase.Of("Nothing refills the bank in an outage: the site file has no [[array]] and no [generator].")},
	{name: "circuits", write: always(heldOffSection), has: func(p *backup.Plan) bool { return len(p.HeldOff) > 0 }},
	{name: "wires", write: always(wireSection)},
	{name: "recharge", write: always(generatorSection), has: func(p *backup.Plan) bool { return p.Generator != nil }},
	{name: "checks", write: widely(checkSection)},
	{name: optionsPart, write: widely(optionSection), has: func(p *backup.Plan) bool { return len(p.Site.Options) > 0 },
		none: phrase.Of("There is nothing beside the plan: the site file has no [[option]].")},
	{write: widely(sensitivitySection), own: func(o Options) bool { return o.Sensitivity }},
	{name: "cautions", write: always(cautionSection)},
}

const optionsPart = "options"

func recharges(p *backup.Plan) bool { return p.Generator != nil || len(p.Site.Arrays) > 0 }

// always writes sections that every home has.
func always(write ...func(*backup.Plan) grid.Section) func(page) []grid.Section {
	return func(g page) []grid.Section {
		var out []grid.Section
		for _, f := range write {
			out = append(out, f(g.Plan))
		}
		return out
	}
}

// widely writes a section that has more columns on a wide page.
func widely(write func(*backup.Plan, bool) grid.Section) func(page) []grid.Section {
	return func(g page) []grid.Section { return []grid.Section{write(g.Plan, g.wide)} }
}

// maybe is a section of which a home may have none.
func maybe(s grid.Section, ok bool) []grid.Section {
	if !ok {
		return nil
	}
	return []grid.Section{s}
}

// Parts lists the names of the parts of a sheet, in the order in which they are read, and [All] at the end.
func Parts() []string {
	var out []string
	for _, p := range parts {
		if p.name != "" && !slices.Contains(out, p.name) {
			out = append(out, p.name)
		}
	}
	return append(out, All)
}

// partsOf lists the names of the parts that a home has, and [All].
func partsOf(p *backup.Plan) []string {
	var out []string
	for _, name := range Parts() {
		if name == All || slices.ContainsFunc(parts, func(part part) bool { return part.name == name && part.in(p) }) {
			out = append(out, name)
		}
	}
	return out
}

func (part part) in(p *backup.Plan) bool { return part.has == nil || part.has(p) }

// sections are those of the parts that are asked for.
func sections(p *backup.Plan, s *speech.Speaker, o Options, wide bool) []grid.Section {
	var out []grid.Section
	for _, part := range parts {
		named := part.name != "" && (slices.Contains(o.Show, All) || slices.Contains(o.Show, part.name))
		if (named || part.own != nil && part.own(o)) && part.in(p) {
			out = append(out, part.write(page{p, s, o, wide})...)
		}
	}
	return out
}

// missing tells of the parts that were asked for by their names, which of them the home has not.
func missing(p *backup.Plan, o Options) []phrase.Phrase {
	var out []phrase.Phrase
	for _, part := range parts {
		if !part.none.Empty() && !part.in(p) && slices.Contains(o.Show, part.name) {
			out = append(out, part.none)
		}
	}
	return out
}

func cautionSection(p *backup.Plan) grid.Section {
	return grid.Section{Title: phrase.Of("Cautions"), Lines: p.Cautions, List: true}
}
