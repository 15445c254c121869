package conductors

import (
	"slices"

	"outlast/backup/calendar"
	"outlast/backup/phrase"
	"outlast/backup/site"
	"outlast/backup/sums"
	"outlast/backup/wiring"
	"outlast/backup/wording"
	"outlast/backup/working"
	"outlast/loads"
)

// circuitWorking writes down what the loads of a circuit draw, in the months that are worst for each figure.
type circuitWorking struct {
	*working.Part
	w     *wirer
	all   []loads.Load
	lines float64
	now   circuitCurrent
}

// circuitAsked adds the currents of a circuit.
func (w *wirer) circuitAsked(p *working.Part, r *Run, c loads.Circuit, f wiring.Feeder, now circuitCurrent) {
	lines := 1
	if c.Phase == 0 {
		lines = w.Site.Phases
	}
	cw := &circuitWorking{Part: p, w: w, all: w.Site.OnCircuit(c.ID), lines: float64(lines), now: now}
	factor := w.practice.ContinuousFactor
	name := "load_a"
	if factor == 1 {
		name = "other_a"
	}
	cw.load(name)
	if factor > 1 {
		cw.needed()
		p.Add(wiring.Step{Name: "continuous_a", Title: phrase.Of("Current of long-running loads"),
			Formula: phrase.Of("the part that takes the factor, so that factor and rest come to what is needed"),
			Expr:    "min(load_a, max(0, (needed_a - load_a) / (continuous_factor - 1)))",
			Inputs: []working.Input{in("load_a", now.loadA, "A"), in("needed_a", now.needA, "A"),
				in("continuous_factor", factor, "")}, Value: f.ContinuousA, Unit: "A"})
		p.Add(wiring.Step{Name: "other_a", Title: phrase.Of("Current of the other loads"),
			Expr:   "load_a - continuous_a",
			Inputs: []working.Input{in("load_a", now.loadA, "A"), in("continuous_a", f.ContinuousA, "A")},
			Value:  f.OtherA, Unit: "A"})
	}
	if st := now.start; st.peakA > 0 {
		cw.start("start_a", phrase.Of("Highest current of a start"), st.peakOf, st.peakA, f.StartPowerFactor)
		if r.heats(st) {
			cw.start("surge_a", heatTitle(), st.heatOf, st.heatA, 0)
		}
	}
}

// volts are what divides a power into the current of a line.
func (c *circuitWorking) volts() []working.Input {
	lines := from(in("lines", c.lines, ""), working.Origin{Told: phrase.Of("phases of the circuit")})
	if c.lines == 1 {
		lines.From = working.Origin{Told: phrase.Of("the circuit is on one phase")}
	}
	return []working.Input{lines, in("nominal_v", c.w.Site.NominalV, "V")}
}

const perLine = " / (lines * nominal_v)"

// worst finds the month in which of is largest.
func (c *circuitWorking) worst(of func(on []loads.Load, set *loads.Set) float64) (month int, on []loads.Load,
	set *loads.Set) {
	most := 0.0
	for _, m := range Seasons(c.all) {
		some := loads.InMonth(c.all, m)
		if len(some) == 0 {
			continue
		}
		s := loads.NewSet(c.w.Site.Phases, some)
		if v := of(some, s); v > most || set == nil {
			most, month, on, set = v, m, some, s
		}
	}
	return month, on, set
}

// when says in which month and minute something is largest.
func (c *circuitWorking) when(month, atMin int) phrase.Phrase {
	if len(Seasons(c.all)) == 1 {
		return phrase.Of("peak minute %s", calendar.Clock(atMin))
	}
	return phrase.Of("%s, peak minute %s", wording.MonthWord(month), calendar.Clock(atMin))
}

// load adds the current of what runs, under a name, and its power factor.
func (c *circuitWorking) load(name string) {
	month, on, set := c.worst(func(_ []loads.Load, set *loads.Set) float64 { return set.Scheduled().VA })
	s := wiring.Step{Name: name, Title: phrase.Of("Current of the loads"), Expr: "0", Value: c.now.loadA, Unit: "A"}
	if set == nil {
		c.Add(s)
		return
	}
	at, parts := set.PeakParts(0, true, false)
	s.Formula, s.Table, s.Inputs = c.when(month, at), sums.Table(on, parts, true, nil), c.volts()
	s.Expr = "sqrt(sum(w)^2 + sum(var)^2)" + perLine
	if s.Table == nil {
		s.Expr, s.Inputs = "0", nil
	}
	if runs := set.Scheduled().VA / (c.lines * c.w.Site.NominalV); c.now.start.loadA > 0 {
		s.Name, s.Value = "running_a", runs
		c.Add(s)
		c.Add(c.orLong(name, "running_a", runs, c.now.loadA))
	} else {
		c.Add(s)
	}
	if c.now.powerFactor == 0 || s.Table == nil {
		return
	}
	at, parts = set.PeakParts(0, false, false)
	apparent := set.Scheduled().VA
	c.Add(wiring.Step{Name: "power_factor", Title: phrase.Of("Power factor of the loads"), Formula: c.when(month, at),
		Expr:   "min(1, max(0.01, sum(w) / (" + s.Name + " * lines * nominal_v)))",
		Table:  sums.Table(on, parts, false, nil),
		Inputs: append(c.volts(), in(s.Name, apparent/(c.lines*c.w.Site.NominalV), "A")), Value: c.now.powerFactor})
}

// orLong is a current, or that of a start that lasts so long that it is a load.
func (c *circuitWorking) orLong(name, of string, a, value float64) wiring.Step {
	long := from(in("long_start_a", c.now.start.loadA, "A"),
		working.Origin{Told: phrase.Of("start of %q", c.now.start.loadOf)})
	return wiring.Step{Name: name, Title: phrase.Of("Continuous current"),
		Formula: phrase.Of("a start that lasts so long is a load"),
		Expr:    "max(" + of + ", long_start_a)", Inputs: []working.Input{in(of, a, "A"), long}, Value: value,
		Unit: "A"}
}

// needed adds the current with the factor on what runs long, and what the largest motor counts beyond it.
func (c *circuitWorking) needed() {
	weight := continuousWeight(c.w.practice.ContinuousFactor)
	perA := c.lines * c.w.Site.NominalV
	va := func(_ []loads.Load, set *loads.Set) float64 { return set.ScheduledWith(weight).VA }
	month, on, set := c.worst(va)
	title := phrase.Of("Current of the loads, long-running ones with their factor")
	if set == nil {
		c.Add(wiring.Step{Name: "needed_a", Title: title, Expr: "0", Unit: "A"})
		return
	}
	runs := va(on, set) / perA
	c.Add(c.weighted("needed_running_a", title, month, on, set, weight, runs))
	if c.now.start.loadA > 0 {
		c.Add(c.orLong("needed_a", "needed_running_a", runs, c.now.needA))
	} else {
		c.Steps[len(c.Steps)-1].Name = "needed_a"
	}
	if c.now.motorA == 0 {
		return
	}
	share := wiring.LargestMotor(c.w.Site.Wiring.Tables)
	total := func(d loads.Demand) float64 { return d.VA / perA }
	month, on, set = c.worst(func(on []loads.Load, set *loads.Set) float64 {
		return site.WithLargestMotor(set, on, weight, share, total)
	})
	with := site.WithLargestMotor(set, on, weight, share, total)
	counts := site.LargestMotorWeight(set, on, weight, share, total)
	c.Add(c.weighted("with_motor_a", phrase.Of("The same with the largest motor counted more"), month, on, set, counts,
		with))
	c.Add(wiring.Step{Name: "motor_a", Title: phrase.Of("Current that the largest motor counts beyond it"),
		Expr: "min(load_a, (with_motor_a - needed_a) / motor_share)", Inputs: []working.Input{
			in("load_a", c.now.loadA, "A"), in("with_motor_a", with, "A"), in("needed_a", c.now.needA, "A"),
			in("motor_share", share, "")}, Value: c.now.motorA, Unit: "A"})
}

// weighted is a current of loads that count so many times.
func (c *circuitWorking) weighted(name string, title phrase.Phrase, month int, on []loads.Load, set *loads.Set,
	weight func(loads.Load) float64, a float64) wiring.Step {
	at, parts := set.PeakPartsWith(weight)
	s := wiring.Step{Name: name, Title: title, Formula: c.when(month, at),
		Expr:  "sqrt(sum(w)^2 + sum(var)^2)" + perLine,
		Table: sums.Table(on, parts, true, weight), Inputs: c.volts(), Value: a, Unit: "A"}
	if s.Table == nil {
		s.Expr, s.Inputs = "0", nil
	}
	return s
}

// start adds the current of the start of a load under a name, and its power factor where the drop wants it.
func (c *circuitWorking) start(name string, title phrase.Phrase, load string, a, powerFactor float64) {
	perA := c.lines * c.w.Site.NominalV
	is := func(s loads.Surge) bool { return s.Load == load && s.VA/perA == a }
	_, on, set := c.worst(func(_ []loads.Load, set *loads.Set) float64 {
		if i := slices.IndexFunc(set.Surges(), is); i >= 0 {
			return set.Surges()[i].VA
		}
		return 0
	})
	surges := set.Surges() // of the month that was found: another one may have the same start at another place
	surge := surges[slices.IndexFunc(surges, is)]
	l := on[surge.Index]
	own := from(in("start_va", l.Start.VA(), "VA"), working.Origin{Name: "start_va of " + l.Name,
		Told: phrase.Of("starting power of one unit")})
	pf := 0.0
	if l.Start.PlainVA == 0 {
		pf = l.Start.Power.W / l.Start.Power.VA()
	}
	ofStart := from(in("start_pf", pf, ""), working.Origin{Told: phrase.Of("power factor of the start")})
	table := sums.Table(on, set.StartParts(surge.Index, surge.AtMin, 0, true), true, nil)
	s := wiring.Step{Name: name, Title: title,
		Formula: phrase.Of("start of %q, peak minute %s", l.Name, calendar.Clock(surge.AtMin)), Table: table,
		Inputs: append(c.volts(), own), Value: a, Unit: "A"}
	switch {
	case pf == 0 && table == nil:
		s.Expr = "start_va" + perLine
	case pf == 0:
		s.Expr = "(sqrt(sum(w)^2 + sum(var)^2) + start_va)" + perLine
	case table == nil:
		s.Expr = "start_va" + perLine
	default:
		s.Expr = "sqrt((sum(w) + start_va * start_pf)^2 + (sum(var) + start_va * sqrt(1 - start_pf^2))^2)" + perLine
		s.Inputs = append(s.Inputs, ofStart)
	}
	c.Add(s)
	if powerFactor == 0 || pf == 0 {
		return
	}
	table = sums.Table(on, set.StartParts(surge.Index, surge.AtMin, 0, false), false, nil)
	watts := "start_va * start_pf"
	if table != nil {
		watts = "sum(w) + " + watts
	}
	c.Add(wiring.Step{Name: "start_power_factor", Title: phrase.Of("Power factor of that start"),
		Expr: "min(1, max(0.01, (" + watts + ") / (start_a * lines * nominal_v)))", Table: table,
		Inputs: append(c.volts(), own, ofStart, in("start_a", a, "A")), Value: powerFactor})
}
