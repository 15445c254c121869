// Package account tells how the figures of a home came about: every step from what the file gives to the margin of each
// check, with its formula, what goes into it and where that comes from, so that it can be worked out again.
//
// It only reads: what a step says is held against what package facts worked out, by evaluating each step from what is
// printed of it.
package account

import (
	"math"
	"slices"
	"strings"
	"sync"

	"outlast/backup/facts"
	"outlast/backup/phrase"
	"outlast/backup/verdict"
	"outlast/backup/working"
)

// none says that there is nothing to say.
var none phrase.Phrase

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
	p    *facts.Facts
	list working.List
}

// work writes down the working without the sun.
func work(p *facts.Facts) working.List {
	w := &workings{p: p}
	w.workDemand()
	w.workStarts()
	w.workSeries()
	w.workInverter()
	w.workBank()
	w.workBehaviour()
	w.workWires()
	w.workStrings()
	w.workBoard()
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

// step adds one that was read, or that is told in words only.
func (w *workings) step(title, formula, numbers phrase.Phrase, value float64, unit string, source []working.Source) {
	w.add(working.Step{Title: title, Formula: formula, Numbers: numbers, Value: value, Unit: unit, Sources: source})
}

// workWires writes down the steps of every run, of the generator and of the break.
func (w *workings) workWires() {
	p := w.p
	part := func(label phrase.Phrase, steps []working.Step) {
		w.list.AddAll(steps, func(s *working.Step) { s.Title = phrase.Of("%s: %s", label, phrase.Lower(s.Title)) })
	}
	for _, r := range p.Runs {
		part(r.Label, r.Working())
	}
	part(phrase.Of("Generator"), p.Rated.Working())
	if p.Inverter.Unit.TransferMs != nil {
		w.add(working.Step{Title: phrase.Of("Interruption that electronics tolerate"),
			Formula: phrase.Of("tolerance curve, no voltage"), Value: facts.ToleratedMS(), Unit: "ms",
			Sources: []working.Source{working.ITIC.At(phrase.Phrase{}, working.Read)}})
	}
}

// workChecks shows the margin of every check that compares something.
func (w *workings) workChecks() {
	for _, c := range w.p.Checks {
		if !c.HasLimit {
			continue
		}
		demand, limit := w.compared(c, "demand_x", c.Demand), w.compared(c, "limit_x", c.Limit)
		s := working.Step{Title: phrase.Of("Check %s: margin", phrase.Check(c.ID)), Value: c.Margin,
			Unit:   marginUnit(c),
			Inputs: []working.Input{demand, limit}, Check: c.ID}
		switch {
		case s.Unit == "K":
			s.Expr, s.Formula = "demand_x - limit_x", phrase.Of("met if demand >= limit: %s", c.Status.Word())
		case c.AtLeast:
			s.Expr, s.Formula = "(demand_x - limit_x) / abs(limit_x)",
				phrase.Of("met if demand >= limit: %s", c.Status.Word())
		default:
			s.Expr, s.Formula = "(limit_x - demand_x) / abs(limit_x)",
				phrase.Of("met if demand <= limit: %s", c.Status.Word())
		}
		if c.Limit == 0 && s.Unit != "K" { // nothing can be a share of it
			s.Expr, s.Formula = "min(0, max(-1, 1e12 * (limit_x - demand_x)))",
				phrase.Of("of a limit of 0 all is missing, or nothing: %s", c.Status.Word())
			if c.AtLeast {
				s.Expr = "min(0, max(-1, 1e12 * (demand_x - limit_x)))"
			}
		}
		w.add(s)
	}
}

// compared is what a check compares: the result of the last step that has the figure, else the key that gives it.
func (w *workings) compared(c verdict.Check, name string, value float64) working.Input {
	for i := len(w.list.Steps) - 1; i >= 0; i-- {
		s := w.list.Steps[i]
		counted := (c.Unit == "strings" || c.Unit == "circuits") && s.Unit == ""
		if s.Check != "" || s.Unit != c.Unit && !counted || s.Value != value {
			continue
		}
		return working.Result(name, s.Value, s.Unit, w.list.At(s.No))
	}
	if in, ok := w.keyOf(c, value); ok {
		in.Name = name
		return in
	}
	if c.ID == "phase-balance" && w.p.Site.Phases == 1 {
		return working.Told(name, value, c.Unit, phrase.Of("single-phase: no phases to balance"))
	}
	return working.Told(name, value, c.Unit, phrase.Of("as the check tells"))
}

// keyOf finds the key of the site file, or of the catalog, that gives what a check compares.
func (w *workings) keyOf(c verdict.Check, value float64) (working.Input, bool) {
	p := w.p
	inv, u := p.Inverter.Unit, p.Bank.Unit
	for _, in := range []working.Input{
		key("inverter", "dc_min_v", inv.DCMinV, "V"), key("inverter", "dc_max_v", inv.DCMaxV, "V"),
		key("outage", "autonomy_h", p.Site.Outage.AutonomyH, "h"),
		key("bank", "max_parallel", float64(u.MaxParallel), "strings"),
		key("bank", "vent_cm2", p.Site.VentCM2, "cm2"), key("board", "ways", float64(p.Site.Ways), "circuits"),
		key("site", "coldest_c", p.Site.ColdestC, "C"),
		working.Constant("limit", facts.MaxImbalance, ""),
	} {
		if in.Value == value && in.Unit == c.Unit {
			return in, true
		}
	}
	// Where both are the same, it is the discharge that an outage asks for.
	for _, at := range []struct {
		key   string
		value *float64
	}{{"discharge_min_c", u.DischargeMinC}, {"charge_min_c", u.ChargeMinC}} {
		if at.value != nil && *at.value == value && c.Unit == "C" && c.ID == "bank-temperature" {
			return key("bank", at.key, value, "C"), true
		}
	}
	for _, in := range inv.Inputs {
		for _, limit := range []working.Input{{Value: in.MaxV, Unit: "V"}, {Value: in.TrackMaxV, Unit: "V"},
			{Value: in.TrackMinV, Unit: "V"}, {Value: in.StartV, Unit: "V"}, {Value: in.MaxA, Unit: "A"},
			{Value: in.MaxShortCircuitA, Unit: "A"}, {Value: in.MaxW, Unit: "W"}} {
			if strings.HasPrefix(c.ID, "string-") && limit.Value == value && limit.Unit == c.Unit {
				return working.Given("", value, c.Unit, "inverter", "", "input"), true
			}
		}
	}
	if inv.TransferMs != nil && *inv.TransferMs == value && c.Unit == "ms" {
		return key("inverter", "transfer_ms", value, "ms"), true
	}
	for _, l := range p.Asked.InUse {
		if l.RidesThroughMs != nil && *l.RidesThroughMs == value && c.Unit == "ms" {
			return working.Given("", value, "ms", "load", l.Name, "rides_through_ms"), true
		}
	}
	for _, circuit := range p.Site.Circuits {
		if circuit.BreakerA == value && c.ID == "circuit-breaker" {
			return working.Given("", value, "A", "circuit", circuit.ID, "breaker_a"), true
		}
	}
	return working.Input{}, false
}

func marginUnit(c verdict.Check) string {
	if c.AtLeast && c.Unit == "C" {
		return "K"
	}
	return ""
}

// powerFactorOf is the power factor that a load runs with.
func powerFactorOf(v float64) float64 {
	if v == 0 {
		return 1
	}
	return v
}

// varOf is the reactive power that goes with watts at a power factor, as the columns of the tables have it.
func varOf(watts, powerFactor float64) float64 {
	return watts * math.Sqrt(1-powerFactor*powerFactor) / powerFactor
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
