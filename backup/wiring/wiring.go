// Package wiring chooses conductors and protective devices for a home with an inverter and a bank, and tests those that
// are there.
//
// Start with what the run is: [SizeFeeder] for an AC run (main board to inverter, inverter to backup board, a final
// circuit), [SizeBank] for the conductor between bank and inverter, [SizePV] for a string of the array. Each finds the
// smallest conductor that passes, or tests a given one, together with the device before it. [SizeGenerator] rates a
// generator set, [Source.Prospective] the short circuit of a bank; [ToleratedMS] is how long electronics stand a
// changeover break. Every result carries its checks, and its working as a list of [Step].
//
// Units: A, V, W, VA, m (one way), mm2, degrees C, s or ms as named, L and L/h. AC potentials are line to neutral, as
// in the site file; fractions are fractions (0.03, not 3 %). [Practice] holds what codes differ in; its zero value
// means the documented defaults.
//
// The tables are planning data of one edition each and no approval; the code in force and a licensed electrician
// decide. Left out: aluminium, 90 degree thermosetting insulation under the IEC tables, single cores in free air,
// buried cables, more than 60 degrees C around a cable, parallel conductors of one pole, the tripping curves of
// breakers, earth-fault loops, and everything that must not be decided here (neutral-to-earth connection,
// residual-current devices): those are the texts of [HandOver].
package wiring

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"outlast/backup/fault"
	"outlast/backup/phrase"
	"outlast/backup/verdict"
	"outlast/backup/working"
)

// errs makes the errors of this package.
const errs = fault.In("wiring")

// Tables says which family of published tables is used.
type Tables string

// The two families: IEC 60364 with metric sizes, and the NEC with AWG and kcmil sizes.
const (
	IEC Tables = "iec"
	US  Tables = "us"
)

// AllTables lists the families in a fixed order.
func AllTables() []Tables { return []Tables{IEC, US} }

func (t Tables) check() error {
	if slices.Contains(AllTables(), t) {
		return nil
	}
	return errs.Errorf("tables %q, want one of %q", string(t), AllTables())
}

// System says which conductors carry the current.
type System string

// The systems that a home has. Split-phase is the load between both lines, so that the neutral carries nothing.
const (
	DC          System = "dc"
	SinglePhase System = "single-phase"
	SplitPhase  System = "split-phase"
	ThreePhase  System = "three-phase"
)

// AllSystems lists the systems in a fixed order.
func AllSystems() []System { return []System{DC, SinglePhase, SplitPhase, ThreePhase} }

// word names a system in a list.
func (s System) word() phrase.Phrase {
	switch s {
	case DC:
		return phrase.Of("dc")
	case SplitPhase:
		return phrase.Of("split-phase")
	case ThreePhase:
		return phrase.Of("three-phase")
	}
	return phrase.Of("single-phase")
}

// loaded is the number of conductors that carry the current and heat the cable.
func (s System) loaded() int {
	if s == ThreePhase {
		return 3
	}
	return 2
}

func (s System) check() error {
	if slices.Contains(AllSystems(), s) {
		return nil
	}
	return errs.Errorf("system %q, want one of %q", string(s), AllSystems())
}

// A Step is one line of a working.
type Step = working.Step

// Status is the outcome of a check.
type Status string

// The outcomes, from good to bad.
const (
	Pass    Status = "pass"
	Caution Status = "caution"
	Fail    Status = "fail"
)

// A Check is one comparison of a demand with a limit.
type Check struct {
	Of     Comparison
	Status Status
	Demand float64
	Limit  float64
	Unit   string
	Margin float64 // (Limit - Demand) / Limit; 0 where there is no limit
	Reason phrase.Phrase
	Wants  string // what has to be known before the check can be made; "" if it was made
}

// slack forgives what floating point adds to sums of decimals: 1.25 x 12.8 A must fit a 16 A breaker however it was
// added up.
const slack = 1e-9

// fits says whether a demand is at most its limit; a rating may be used in full.
func fits(demand, limit float64) bool { return demand <= limit+slack*math.Abs(limit) }

// compare passes while demand fits limit.
func compare(of Comparison, demand, limit float64, unit string, what phrase.Phrase) Check {
	c := Check{Of: of, Status: Pass, Demand: demand, Limit: limit, Unit: unit, Reason: what}
	if limit != 0 {
		c.Margin = (limit - demand) / limit
	}
	if !fits(demand, limit) {
		c.Status = Fail
	} else if c.Margin < 0 {
		c.Margin = 0
	}
	return c
}

// comparePercent compares fractions and reports percentages, because codes state their limits so.
func comparePercent(of Comparison, demand, limit float64, what phrase.Phrase) Check {
	c := compare(of, demand, limit, "%", what)
	c.Demand, c.Limit = 100*demand, 100*limit
	return c
}

// unknown is a check that can't be made; demand is what the missing thing has to stand.
func unknown(of Comparison, demand float64, unit, wants string, what phrase.Phrase) Check {
	return Check{Of: of, Status: Caution, Demand: demand, Unit: unit, Wants: wants, Reason: what}
}

// A sourced is a constant of the trade with where it comes from.
type sourced struct {
	value  float64
	source working.Source
	also   []working.Source // where it stands too
}

func known(value float64, source working.Source, also ...working.Source) sourced {
	return sourced{value, source, also}
}

func (s sourced) sources() []working.Source { return append([]working.Source{s.source}, s.also...) }

// forFigure says of which figure of a step sources are.
func forFigure(figure phrase.Phrase, sources []working.Source) []working.Source {
	out := make([]working.Source, len(sources))
	for i, s := range sources {
		out[i] = s.For(figure)
	}
	return out
}

// What many figures of this package rest on.
var (
	planningRule = working.Plainly(phrase.Of("planning rule of this program"), working.Practice)
	tradeRule    = working.Plainly(phrase.Of("common practice"), working.Practice)
	givenFactor  = working.From(phrase.Of("practice given"), working.Definition)
)

// failure is an error that the papers can tell in any language.
func failure(text phrase.Phrase) error { return errs.Of(phrase.Error{Phrase: text}) }

// within refuses what is not a number in a range, NaN and infinities included. The ranges are wide: they keep products
// finite and catch slips of units, they don't judge.
func within(what phrase.Phrase, v, lo, hi float64, unit string) error {
	if v >= lo && v <= hi { // false for NaN
		return nil
	}
	measure := func(v float64) phrase.Measure {
		return phrase.Measure(strings.TrimSpace(fmt.Sprintf("%g %s", v, unit)))
	}
	return failure(phrase.Of("%s %s, want %s to %s", what, measure(v), phrase.Number(fmt.Sprint(lo)), measure(hi)))
}

// optional is within for a field whose zero means unknown.
func optional(what phrase.Phrase, v, lo, hi float64, unit string) error {
	if v == 0 {
		return nil
	}
	return within(what, v, lo, hi, unit)
}

// The ranges that several inputs share.
const (
	maxA       = 1e5
	minV, maxV = 1.0, 1e4
	maxLengthM = 1e4
	maxVA      = 1e8
)

func currentRange(what phrase.Phrase, a float64) error { return within(what, a, 0, maxA, "A") }

// leastRatedA is the smallest current for which anything is rated; a share of less is no figure.
const leastRatedA = 1e-3

// ratingRange is [currentRange] for a rating, of which 0 says that it is not known.
func ratingRange(what phrase.Phrase, a float64) error {
	if a == 0 {
		return nil
	}
	return within(what, a, leastRatedA, maxA, "A")
}

func voltRange(what phrase.Phrase, v float64) error { return within(what, v, minV, maxV, "V") }
func lengthRange(m float64) error                   { return within(phrase.Of("length"), m, 0, maxLengthM, "m") }
func firstError(errs ...error) error                { return cmp.Or(errs...) }

// fig is a number of a sentence, num the same printed.
func fig(v float64) phrase.Figure { return phrase.Figure(v) }

// enough is a least value, such that what is entered as told passes.
func enough(v float64) phrase.Figure { return phrase.Figure(verdict.Enough(v)) }

func num(v float64) string { return fig(v).String() }

// percent prints a fraction as a percentage.
func percent(fraction float64) string { return num(100*fraction) + " %" }

// in is an input of a step of which the part says where it comes from.
func in(name string, value float64, unit string) working.Input {
	return working.Input{Name: name, Value: value, Unit: unit}
}

// written is a working that adds its steps when it is asked for.
func written(origins working.Origins, steps func(*working.Part)) []Step {
	if steps == nil {
		return nil
	}
	w := working.Part{Origins: origins}
	steps(&w)
	return w.Steps
}

// next adds a step at which the smallest standard rating of at least what is required is taken: the one below and the
// one taken stand in the list that the source names.
func next(w *working.Part, name string, title phrase.Phrase, of string, t Tables, k DeviceKind, needA, ratedA float64) {
	below := 0.0
	for _, a := range ratings(t, k) {
		if a < ratedA {
			below = a
		}
	}
	list := ratingSource(t, k)
	w.Add(Step{Name: name, Title: title, Formula: phrase.Of("smallest standard rating that is not below"),
		Expr: of + " > rating_below_a ? rating_a : rating_below_a", Inputs: []working.Input{in(of, needA, "A"),
			working.Told("rating_below_a", below, "A", list.Phrase()),
			working.Told("rating_a", ratedA, "A", list.Phrase())},
		Value: ratedA, Unit: "A", Sources: []working.Source{list}})
}
