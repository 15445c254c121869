// Package account tells how the figures of a home came about: every step from what the file gives to the margin of each
// check, with its formula, what goes into it and where that comes from, so that it can be worked out again.
//
// It only reads: what a step says is held against what package facts worked out, by evaluating each step from what is
// printed of it.
package account

import (
	"slices"
	"sync"

	"outlast/backup/facts"
	"outlast/backup/phrase"
	"outlast/backup/verdict"
	"outlast/backup/working"
)

// SourceNote says how far the figures of standards were held against them: their text is sold, and what is quoted of it
// in public was read.
func SourceNote() phrase.Phrase {
	return phrase.Of("Figures of standards are those that public texts quote: where one decides, check it in the standard itself.")
}

// An Account is how the figures of a home came about, step by step. It is written down when it is first read: most
// plans are made for a search, and nobody reads theirs.
type Account struct{ plan, sun func() working.List }

// Of is the account of a home.
func Of(p *facts.Facts) *Account {
	a := &Account{}
	a.plan = sync.OnceValue(func() working.List { return work(p) })
	a.sun = sync.OnceValue(func() working.List { return workSun(p, a.plan()) })
	return a
}

// Working is every step behind the figures of the plan but for the sun, in the order in which they follow from each
// other.
func (a *Account) Working() []working.Step { return a.plan().Steps }

// Steps is the whole working: that of the plan, and how the sun of the outage's month becomes what the arrays give. The
// latter is only worked out when somebody reads it: drawing the days takes longer than the plan.
func (a *Account) Steps() []working.Step { return a.sun().Steps }

// workings writes steps down. A step whose result goes by a name can be taken up by later ones.
type workings struct {
	p     *facts.Facts
	list  working.List
	sides map[string]*working.Sides // what a check compares, by its id, where a part of the plan tells it
}

// work writes down the working without the sun.
func work(p *facts.Facts) working.List {
	w := &workings{p: p, sides: map[string]*working.Sides{}}
	w.workDemand()
	w.workStarts()
	w.workSeries()
	w.workInverter()
	w.workBank()
	w.workBehaviour()
	w.workWires()
	w.workStrings()
	w.workBoard()
	w.workPlanned()
	w.workGeneratorStart()
	w.workBreaker()
	w.workSlips()
	w.workChecks()
	w.list.Locate(w.where)
	return w.list
}

func workSun(p *facts.Facts, plan working.List) working.List {
	w := &workings{p: p, list: plan}
	w.list.Steps = slices.Clip(w.list.Steps)
	w.workSun()
	w.list.Locate(w.where)
	return w.list
}

// where says where the key of a file stands.
func (w *workings) where(k working.Key) phrase.Phrase {
	switch o := w.p.Site.Origin(k.Table, k.At, k.Key); {
	case o.Line > 0:
		return phrase.Of("line %d", o.Line)
	case o.Class != "":
		return phrase.Of("typical of %s", phrase.Name(o.Class))
	case o.Entry != "":
		return phrase.Of("catalog entry %s", phrase.Name(o.Entry))
	}
	return phrase.Of("default")
}

// key is an input that a table of the site file gives under its own name, or what holds in its place.
func key(table, name string, value float64, unit string) working.Input {
	return working.Given(name, value, unit, table, "", name)
}

// of takes the result of the last step that goes by a name.
func (w *workings) of(name string) working.Input { return w.as(name, name) }

// as takes it under another name.
func (w *workings) as(alias, name string) working.Input {
	in := working.Input{Name: alias, From: working.Origin{Name: name}}
	for _, s := range slices.Backward(w.list.Steps) {
		if s.Name == name {
			in.Value, in.Unit = s.Value, s.Unit
			break
		}
	}
	return in
}

// has says whether a step goes by a name.
func (w *workings) has(name string) bool {
	return slices.ContainsFunc(w.list.Steps, func(s working.Step) bool { return s.Name == name })
}

func (w *workings) add(s working.Step) { w.list.Add(s) }

// notDone adds a step that says why something is not worked out.
func (w *workings) notDone(title, why phrase.Phrase) {
	w.add(working.Step{Title: title, Formula: phrase.Of("not worked out: %s", why)})
}

// workWires writes down the steps of every run, of the generator and of the break.
func (w *workings) workWires() {
	p := w.p
	part := func(label phrase.Phrase, steps []working.Step, sides map[string]*working.Sides) {
		var also []*working.Input
		for id, s := range sides {
			also = append(also, &s.Demand, &s.Limit)
			w.sides[id] = s
		}
		w.list.AddAll(steps, func(s *working.Step) { s.Title = phrase.Of("%s: %s", label, phrase.Lower(s.Title)) },
			also...)
	}
	for _, r := range p.Runs {
		steps, sides := r.Working()
		part(r.Label, steps, map[string]*working.Sides{r.ID: &sides})
	}
	steps, sides := p.Rated.Working()
	part(phrase.Of("Generator"), steps, sides)
	if p.Inverter.Unit.TransferMs != nil {
		w.add(working.Step{Title: phrase.Of("Interruption that electronics tolerate"),
			Formula: phrase.Of("tolerance curve, no voltage"), Value: facts.ToleratedMS(), Unit: "ms",
			Sources: []working.Source{working.ITIC.At(phrase.Phrase{}, working.Read)}})
	}
}

func marginUnit(c verdict.Check) string {
	if c.AtLeast && c.Unit == "C" {
		return "K"
	}
	return ""
}

// dcPower adds the step of what the inverters draw from the bank for a power of loads that an earlier step has, and
// gives it a name.
func (w *workings) dcPower(title phrase.Phrase, name, load string) {
	p := w.p
	g, in := p.Inverter, w.as("load_w", load)
	s := working.Step{Title: title, Name: name, Value: g.DCPower(in.Value), Unit: "W", Sources: energyBalance}
	s.Expr, s.Inputs = w.fromBank(in)
	w.add(s)
}

// fromBank is the formula of what the inverters draw for load_w.
func (w *workings) fromBank(load working.Input) (expr string, inputs []working.Input) {
	g := w.p.Inverter
	inputs = []working.Input{load, key("inverter", "idle_w", g.Unit.IdleW, "W"),
		key("inverter", "count", float64(g.Count), "")}
	low, high, ok := g.CurveAround(load.Value)
	if !ok {
		return "load_w / efficiency + idle_w * count",
			append(inputs, key("inverter", "efficiency", g.EfficiencyAt(load.Value), ""))
	}
	return "load_w / (low_efficiency + (high_efficiency - low_efficiency) * (min(high_load, max(low_load, load_w / " +
			"(rated_w * count))) - low_load) / (high_load - low_load)) + idle_w * count",
		append(inputs, key("inverter", "rated_w", g.Unit.RatedW, "W"), curvePoint("low_load", low.Load),
			curvePoint("low_efficiency", low.Efficiency), curvePoint("high_load", high.Load),
			curvePoint("high_efficiency", high.Efficiency))
}

func curvePoint(name string, v float64) working.Input {
	return working.Given(name, v, "", "inverter", "", "efficiency_curve")
}
