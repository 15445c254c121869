package generator

import (
	"slices"

	"outlast/backup/outage"
	"outlast/backup/phrase"
	"outlast/backup/site"
	"outlast/backup/verdict"
	"outlast/backup/wiring"
	"outlast/backup/working"
	"outlast/loads"
)

// Working is how the generator was rated, step by step, and what its checks compare, by their ids. Inputs of other
// parts of the plan go by the names of their results.
func (r Rated) Working() ([]wiring.Step, map[string]*working.Sides) {
	if r.steps == nil {
		return nil, nil
	}
	return r.steps()
}

// The names of results of other parts of the plan that the generator is worked out from.
const (
	chargerW    = "charger_w" // of all inverters, from the grid
	scheduledVA = "scheduled_va"
	scheduledW  = "scheduled_w"
	energyOfDay = "energy_wh_per_day"
)

func key(table, name string) working.Origin {
	return working.Origin{Key: &working.Key{Table: table, Key: name}}
}

// origin says where a figure comes from by its name.
func origin(name string) working.Origin {
	switch name {
	case "rated_va", "power_factor", "fuel_l":
		return key("generator", name)
	case "altitude_m", "hottest_c", "phases", "nominal_v":
		return key("site", name)
	case "asked_w", "start_va", "flow_l_h", "rated_kw", "output_kw":
		return working.Origin{Name: name}
	}
	if slices.ContainsFunc(site.WiringFactors, func(f site.WiringFactor) bool { return f.Key == name }) {
		return key("practice", name)
	}
	return working.Origin{}
}

func in(name string, value float64, unit string) working.Input {
	return working.Input{Name: name, Value: value, Unit: unit}
}

// asked adds what is asked of the generator: loads and chargers, the mean of the day, the largest start.
func (g *Plan) asked(p *working.Part, a Asked, fullW float64) {
	phases := float64(a.Site.Phases)
	charger := working.Named(chargerW, fullW, "W")
	for _, of := range []struct {
		name, scheduled, unit, running string
		title, all                     phrase.Phrase
		total                          float64
		phase                          []float64
		loads, both, pf                float64
	}{
		{"loads_va", scheduledVA, "VA", "running_va", phrase.Of("Apparent power of the loads, evenly on all phases"),
			phrase.Of("Apparent power of loads and chargers"), a.Scheduled.VA, a.Scheduled.PhaseVA, g.LoadsVA,
			g.RunningVA, ChargerPF},
		{"loads_w", scheduledW, "W", "running_w", phrase.Of("Power of the loads, evenly on all phases"),
			phrase.Of("Power of loads and chargers"), a.Scheduled.W, a.Scheduled.PhaseW, g.LoadsW, g.RunningW, 1},
	} {
		p.Add(wiring.Step{Name: of.name, Title: of.title, Expr: "max(" + of.scheduled + ", fullest_phase * phases)",
			Inputs: []working.Input{working.Named(of.scheduled, of.total, of.unit),
				working.Told("fullest_phase", slices.Max(of.phase), of.unit, phrase.Of("fullest phase of the same")),
				in("phases", phases, "")}, Value: of.loads, Unit: of.unit})
		s := wiring.Step{Name: of.running, Title: of.all, Expr: of.name + " + charger_w",
			Inputs: []working.Input{in(of.name, of.loads, of.unit), charger}, Value: of.both, Unit: of.unit}
		if of.pf < 1 {
			s.Expr += " / charger_pf"
			s.Inputs = append(s.Inputs, in("charger_pf", of.pf, ""))
			s.Sources = []working.Source{working.Plainly(phrase.Of("common practice"), working.Practice)}
		}
		p.Add(s)
	}
	p.Add(wiring.Step{Name: "generator_input_a", Title: phrase.Of("Current through the inverter per phase"),
		Expr: "running_va / (phases * nominal_v)", Inputs: []working.Input{in("running_va", g.RunningVA, "VA"),
			in("phases", phases, ""), in("nominal_v", a.Site.NominalV, "V")}, Value: g.InputA, Unit: "A"})
	p.Add(wiring.Step{Name: "asked_w", Title: phrase.Of("Mean power"), Expr: "energy_wh_per_day / 24 + charger_w",
		Inputs: []working.Input{working.Named(energyOfDay, a.EnergyWhPerDay, "Wh"), charger},
		Value:  a.EnergyWhPerDay/24 + fullW, Unit: "W"})
	if l := g.startsAlone(a); l != nil {
		s := wiring.Step{Name: "start_va", Title: phrase.Of("Largest start alone"),
			Formula: phrase.Of("start of %q", l.Name),
			Expr:    "unit_start_va", Inputs: []working.Input{{Name: "unit_start_va", Value: l.Start.VA(), Unit: "VA",
				From: working.Origin{Name: "start_va of " + l.Name}}}, Value: g.StartVA, Unit: "VA"}
		if l.Phase > 0 {
			s.Expr += " * phases"
			s.Inputs = append(s.Inputs, in("phases", phases, ""))
		}
		p.Add(s)
	}
}

// sides are what the checks of the generator compare.
func (g *Plan) sides(p *working.Part, a Asked, checks []verdict.Check) map[string]*working.Sides {
	out := map[string]*working.Sides{}
	for _, c := range checks {
		switch c.ID {
		case "generator-start":
			sides := g.startSides(p, a, c)
			out[c.ID] = &sides
		case "generator-running":
			out[c.ID] = &working.Sides{Demand: p.Side("demand_x", c.Demand, c.Unit, working.Origin{}, "running_va",
				"running_w", "loads_va", "loads_w"), Limit: p.Side("limit_x", c.Limit, c.Unit, working.Origin{}, "derated_va", "derated_w")}
		case "generator-input":
			if c.Status == verdict.Fail { // by the loads alone
				p.Add(wiring.Step{Name: "loads_input_a",
					Title: phrase.Of("Current of the loads through the inverter per phase"),
					Expr:  "loads_va / (phases * nominal_v)", Inputs: []working.Input{in("loads_va", g.LoadsVA, "VA"),
						in("phases", float64(a.Site.Phases), ""), in("nominal_v", a.Site.NominalV, "V")},
					Value: g.loadsA(a.Site), Unit: "A"})
			}
			out[c.ID] = &working.Sides{Demand: p.Side("demand_x", c.Demand, c.Unit, working.Origin{},
				"generator_input_a", "loads_input_a"),
				Limit: p.Side("limit_x", c.Limit, c.Unit, working.Origin{Name: "input_limit_a"})}
		}
	}
	return out
}

// startSides adds the largest start with all that runs beside it, and says what its check compares: that, or the dip.
func (g *Plan) startSides(p *working.Part, a Asked, c verdict.Check) working.Sides {
	if c.Unit == "%" {
		return working.Sides{Demand: p.Side("demand_x", c.Demand, c.Unit, working.Origin{}, "dip"),
			Limit: p.Side("limit_x", c.Limit, c.Unit, p.Origins("generator_dip"))}
	}
	var surge loads.Surge
	for _, other := range a.Surges {
		if other.BalancedVA > surge.BalancedVA {
			surge = other
		}
	}
	if surge.BalancedVA > 0 && c.HasLimit {
		chargersW := a.Inverter.ChargerInputW(float64(a.Site.Series) * a.Site.Unit.ChargeV)
		s := wiring.Step{Name: "total_start_va", Title: phrase.Of("Largest start with running load and chargers"),
			Formula: phrase.Of("start of %q; the chargers are set as far down as the loads alone require", surge.Load),
			Expr:    "with_loads_va + min(charger_w / charger_pf, max(0, derated_va - loads_va))",
			Inputs: []working.Input{{Name: "with_loads_va", Value: surge.BalancedVA, Unit: "VA",
				From: working.Origin{Name: "start_va " + surge.Load}}, working.Named(chargerW, chargersW, "W"),
				in("charger_pf", ChargerPF, ""), in("derated_va", g.DeratedVA, "VA"), in("loads_va", g.LoadsVA, "VA")},
			Value: c.Demand, Unit: "VA",
			Sources: []working.Source{working.Plainly(phrase.Of("common practice"), working.Practice)}}
		if surge.Phase > 0 {
			s.Expr = "with_loads_va * phases + min(charger_w / charger_pf, max(0, derated_va - loads_va))"
			s.Inputs[0].Value = surge.PhaseVA
			s.Inputs = append(s.Inputs, in("phases", float64(a.Site.Phases), ""))
		}
		p.Add(s)
	}
	return working.Sides{Demand: p.Side("demand_x", c.Demand, c.Unit, working.Origin{}, "total_start_va"),
		Limit: p.Side("limit_x", c.Limit, c.Unit, working.Origin{}, "start_limit_va")}
}

// startsAlone is the load with the largest start; nil where nothing starts.
func (g *Plan) startsAlone(a Asked) *loads.Load {
	for i := range a.InUse {
		if l := &a.InUse[i]; l.Start != nil && g.StartVA > 0 && startAlone(l, a.Site) == g.StartVA {
			return l
		}
	}
	return nil
}

// startAlone is what a load takes of a generator while it starts: on one phase that phase's share, times their number.
func startAlone(l *loads.Load, s *site.Site) float64 {
	va := l.Start.VA()
	if l.Phase > 0 {
		va *= float64(s.Phases)
	}
	return va
}

// fuelStep adds how the fuel of the data sheet is read: straight lines between its loads.
func fuelStep(p *working.Part, gen *site.Generator, meanW, lPerH float64) {
	load := meanW / (gen.RatedVA * gen.PowerFactor)
	p.Add(wiring.Step{Name: "load", Title: phrase.Of("Load of the generator"),
		Expr: "output_kw / rated_kw", Inputs: []working.Input{in("output_kw", meanW/1000, "kW"),
			in("rated_kw", gen.RatedVA*gen.PowerFactor/1000, "kW")}, Value: load})
	s := wiring.Step{Name: "flow_l_h", Title: phrase.Of("Fuel consumption"), Value: lPerH, Unit: "L/h",
		Sources: []working.Source{working.From(phrase.Of("data sheet"), working.Definition)}}
	point := func(name string, at outage.FuelPoint) {
		for _, of := range []working.Input{in("load_"+name, at.Load, ""), in("flow_"+name+"_l_h", at.LPerH, "L/h")} {
			of.From = key("generator", "fuel_l_per_h")
			if of.Value == 0 && gen.FuelLPerH[0].Load > 0 { // held below the first load
				of.From = working.Origin{}
			}
			s.Inputs = append(s.Inputs, of)
		}
	}
	points := fuelByLoad(gen)
	if len(points) == 1 {
		s.Expr = "flow_below_l_h"
		point("below", points[0])
		p.Add(s)
		return
	}
	i := 1
	for i < len(points)-1 && load > points[i].Load {
		i++
	}
	s.Expr = "max(0, flow_below_l_h + (flow_above_l_h - flow_below_l_h) * (load - load_below) / (load_above - load_below))"
	point("below", points[i-1])
	point("above", points[i])
	s.Inputs = append(s.Inputs, in("load", load, ""))
	p.Add(s)
}
