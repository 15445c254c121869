package account

import (
	"outlast/backup/calendar"
	"outlast/backup/conductors"
	"outlast/backup/facts"
	"outlast/backup/generator"
	"outlast/backup/phrase"
	"outlast/backup/site"
	"outlast/backup/sums"
	"outlast/backup/verdict"
	"outlast/backup/working"
)

// Here are the figures that nothing but a check asks for.

// workGeneratorStart shows down to which charge the bank carries everything, and at which the generator starts.
func (w *workings) workGeneratorStart() {
	p := w.p
	r, g := p.GeneratorRuns, p.Site.Generator
	if r == nil || g == nil {
		return
	}
	s := working.Step{Title: phrase.Of("State of charge down to which the bank supplies all loads"), Name: "dark_soc",
		Expr: "floor_soc", Inputs: []working.Input{w.floorSoC()}, Value: r.DarkSoC}
	most := []string{"floor_soc"}
	if end := p.Bank.EndsBy; end == facts.EndVoltage || end == facts.EndRate {
		most = append(most, "end_soc")
		s.Inputs = append(s.Inputs, working.Told("end_soc", p.Bank.EndSoC, "",
			phrase.Of("charge that is left where the autonomy ends")))
	}
	if p.Sags() {
		powerW := p.FromBank(p.Demand.Scheduled.W)
		if lowest, ok := p.Bank.LowestLoadedSoC(powerW, p.Bank.CutoffV, p.Site.ColdestC); ok && lowest > 0 {
			s.Formula = phrase.Of("least charge with a voltage at constant power >= the cut-off, by bisection")
			s.Table = w.halving(func(soc float64) (float64, bool) {
				return p.Bank.PowerV(powerW, soc, p.Site.ColdestC)
			}, p.Bank.CutoffV)
			s.Inputs = append(s.Inputs, w.as("threshold_v", "cutoff_v"))
			s.Sources = ohmsLaw
			most = append(most, "last(high)")
		}
	}
	if len(most) > 1 {
		s.Expr = "max(" + most[0]
		for _, more := range most[1:] {
			s.Expr += ", " + more
		}
		s.Expr += ")"
	}
	w.add(s)
	above := working.Constant("margin_soc", site.GeneratorAbove, "")
	w.add(working.Step{Title: phrase.Of("State of charge at which a generator should start at the latest"),
		Name: "least_start_soc", Expr: "dark_soc + margin_soc", Inputs: []working.Input{w.of("dark_soc"), above},
		Value: r.DarkSoC + site.GeneratorAbove, Sources: trade})
	if g.StartGiven {
		return
	}
	w.add(working.Step{Title: phrase.Of("State of charge at which the generator starts"), Name: "start_soc",
		Formula: phrase.Of("up to a whole per cent"),
		Expr:    "min(latest_soc, ceil(100 * max(usual_soc, least_start_soc) - 1e-9) / 100)",
		Inputs: []working.Input{working.Constant("latest_soc", generator.LatestStartSoC, ""),
			working.Constant("usual_soc", site.UsualStartSoC, ""), w.of("least_start_soc")}, Value: r.StartSoC,
		Sources: trade})
}

// workBreaker shows the current of the circuit that the check of the circuit breakers tells of.
func (w *workings) workBreaker() {
	p := w.p
	c, demand, ok := p.FullestCircuit()
	if !ok {
		return
	}
	current := conductors.BreakerWorking(p.Site, c, demand)
	at, parts := current.Set.PeakPartsWith(current.Weight)
	s := working.Step{Title: phrase.Of("Current of %q for its circuit breaker", phrase.Name(c.Label)),
		Name:    "breaker_need_a",
		Formula: phrase.Of("highest vector sum over the minutes of the day, peak minute %s", calendar.Clock(at)),
		Expr:    "sqrt(sum(w)^2 + sum(var)^2) / (lines * nominal_v)",
		Table:   sums.Table(current.On, parts, true, current.Weight), Value: demand, Unit: "A", Sources: definition}
	lines := working.Told("lines", 1, "", phrase.Of("the circuit is on one phase"))
	if c.Phase == 0 && p.Site.Phases > 1 {
		lines = working.Told("lines", float64(p.Site.Phases), "", phrase.Of("phases of the circuit"))
	}
	s.Inputs = []working.Input{lines, key("site", "nominal_v", p.Site.NominalV, "V")}
	if s.Table == nil {
		s.Expr, s.Inputs = "0", nil
	}
	w.add(s)
}

// workSlips shows what runs, or starts, when a held-off load is used anyway.
func (w *workings) workSlips() {
	p := w.p
	for _, c := range p.Checks {
		sum, ok := p.SlipSum(c)
		if !ok {
			continue
		}
		l := sum.Held
		share := 1.0
		switch {
		case sum.Phase > 0 && l.Phase == 0:
			share = 1 / float64(p.Site.Phases)
		case sum.Phase > 0 && l.Phase != sum.Phase:
			share = 0
		}
		of := func(name, key string, v float64, unit string) working.Input {
			return working.Given(name, v, unit, "load", l.Name, key)
		}
		t := sums.Table(sum.Loads, sum.Parts, sum.Unit == "VA", nil)
		var watts, vars, plain string
		var inputs []working.Input
		units := "units_of_it"
		if sum.Starts {
			w.workStartOf(l)
			units = "(units_of_it - 1)"
			watts, vars, plain, inputs = w.ownStart(l, share)
		}
		if n := float64(l.Quantity); !sum.Starts || n > 1 {
			own := units + " * running_w_of_it"
			if share != 1 {
				own += " * share_of_it"
				inputs = append(inputs, working.Told("share_of_it", share, "",
					phrase.Of("an even share of the phases")))
			}
			inputs = append(inputs, of("units_of_it", "quantity", n, ""),
				of("running_w_of_it", "running_w", l.RunningW, "W"))
			watts = plus(watts, own)
			if sum.Unit == "VA" {
				vars = plus(vars, own+" * sqrt(1 - power_factor_of_it^2) / power_factor_of_it")
				inputs = append(inputs, of("power_factor_of_it", "power_factor", sums.PowerFactor(l.PowerFactor), ""))
			}
		}
		s := working.Step{Title: phrase.Of("If %q is used anyway", l.Name), Name: "slip of " + l.Name,
			Formula: phrase.Of("the load + the other loads that run in that minute%s: peak minute %s",
				facts.OnPhase(sum.Phase), calendar.Clock(sum.AtMin)),
			Inputs: inputs, Table: t, Value: c.Demand, Unit: c.Unit, Sources: definition}
		switch {
		case sum.Unit == "VA":
			s.Expr = vectorSum(t != nil, watts, vars, plain)
		case t != nil:
			s.Expr = "sum(w) + " + watts
		default:
			s.Expr = watts
		}
		w.add(s)
		w.workSlipLimit(c, sum)
	}
}

// workSlipLimit shows what the inverters bear of a held-off load that is used anyway: the whole rating, as headroom is
// kept free for such as that.
func (w *workings) workSlipLimit(c verdict.Check, sum facts.SlipSum) {
	name := "slip limit of " + sum.Held.Name
	if sum.Starts {
		w.workRatingLess(0, phrase.Of("Rating for the start of %q", sum.Held.Name), name, sum.Held.Start.Seconds,
			c.Limit, sum.Phase)
		return
	}
	of := "derated_va"
	if sum.Unit == "W" {
		of = "derated_w"
	}
	s := working.Step{Title: phrase.Of("Rating for %q used anyway, headroom included", sum.Held.Name), Name: name,
		Expr: of, Inputs: []working.Input{w.of(of)}, Value: c.Limit, Unit: c.Unit, Sources: definition}
	if sum.Phase > 0 {
		s.Expr += " / phases"
		s.Inputs = append(s.Inputs, key("site", "phases", float64(w.p.Site.Phases), ""))
	}
	w.add(s)
}

func plus(a, b string) string {
	if a == "" {
		return b
	}
	return a + " + " + b
}
