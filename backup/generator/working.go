package generator

import (
	"fmt"
	"slices"

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

	gridChargerA = "grid_charger_a"
	leastChargeA = "least_charge_a"
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
	case "asked_w", "start_va", "flow_l_h", "rated_kw", "output_kw", "usable_va":
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

// asked adds what is asked of the generator: loads and chargers, and the largest start.
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
	if a.LimitA > 0 {
		p.Add(wiring.Step{Name: "entered_input_a", Title: phrase.Of("Limit of the AC input current, per phase of the home"),
			Expr: "limit_a * count * inverter_phases / phases", Inputs: []working.Input{
				working.Told("limit_a", a.LimitA, "A", phrase.Of("as it is entered in each inverter, per phase")),
				{Name: "count", Value: float64(a.Inverter.Count), From: key("inverter", "count")},
				{Name: "inverter_phases", Value: float64(a.Inverter.Unit.Phases), From: key("inverter", "phases")},
				in("phases", phases, "")}, Value: a.inputA(), Unit: "A"})
	}
	if gen := a.Site.Generator; UsableVA(a.Site) < gen.RatedVA {
		p.Add(wiring.Step{Name: "usable_va", Title: phrase.Of("Generator, what the phases of the home can use"),
			Expr: "rated_va * phases / generator_phases", Inputs: []working.Input{in("rated_va", gen.RatedVA, "VA"),
				in("phases", phases, ""), {Name: "generator_phases", Value: float64(gen.Phases), From: key("generator", "phases")}},
			Value: UsableVA(a.Site), Unit: "VA",
			Sources: []working.Source{working.Plainly(phrase.Of("common practice"), working.Practice)}})
	}
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

// meanPower adds what loads and chargers draw on average: the chargers take what is entered for them, as far as the share
// of the generator that may run for hours, and the AC input, leave it beside the mean of the loads.
func (g *Plan) meanPower(p *working.Part, a Asked, fullW float64) {
	day, charger := working.Named(energyOfDay, a.EnergyWhPerDay, "Wh"), working.Named(chargerW, fullW, "W")
	loadsW := a.EnergyWhPerDay / 24
	s := wiring.Step{Name: "asked_w", Title: phrase.Of("Mean power"), Expr: "energy_wh_per_day / 24", Inputs: []working.Input{day},
		Value: loadsW, Unit: "W"}
	set := g.charging(a)
	if set == nil {
		p.Add(s)
		return
	}
	way := set.Input
	if way.VA > 0 {
		limit := working.Named("input_limit_a", a.Inverter.ACInputA(), "A")
		if a.LimitA > 0 {
			limit = in("entered_input_a", a.inputA(), "A")
		}
		p.Add(wiring.Step{Name: "input_va", Title: phrase.Of("What the AC input takes"),
			Expr: limit.Name + " * phases * nominal_v", Inputs: []working.Input{limit, in("phases", float64(a.Site.Phases), ""),
				in("nominal_v", a.Site.NominalV, "V")}, Value: way.VA, Unit: "VA"})
	}
	p.Add(wiring.Step{Name: "loads_pf", Title: phrase.Of("Power factor of the loads"),
		Expr: "min(1, scheduled_w / loads_va)", Inputs: []working.Input{working.Named(scheduledW, a.Scheduled.W, "W"),
			in("loads_va", g.LoadsVA, "VA")}, Value: way.LoadsPF})
	if set.ChargerW < fullW {
		g.enteredCharge(p, a, charger)
		charger = in("set_charger_w", set.ChargerW, "W")
		p.Add(wiring.Step{Name: charger.Name, Title: phrase.Of("Chargers with the current that is entered for the generator"),
			Expr: "charger_w * generator_charge_a / grid_charger_a", Inputs: []working.Input{working.Named(chargerW, fullW, "W"),
				in("generator_charge_a", g.ChargeSetting().A, "A"), working.Named(gridChargerA, a.Inverter.ChargerA(), "A")},
			Value: charger.Value, Unit: "W"})
	}
	const beside = "energy_wh_per_day / 24"
	charging := wiring.Step{Name: "charging_w", Title: phrase.Of("Chargers beside the mean of the loads"),
		Expr:   "max(0, min(" + charger.Name + ", " + g.leaves(a, beside, beside+" / loads_pf") + "))",
		Inputs: append([]working.Input{charger, day, in("loads_pf", way.LoadsPF, "")}, g.leaving(a)...),
		Value:  set.ChargingW(loadsW), Unit: "W",
		Sources: []working.Source{working.Plainly(phrase.Of("common practice"), working.Practice)}}
	p.Add(charging)
	s.Expr, s.Inputs, s.Value = s.Expr+" + charging_w", append(s.Inputs, in("charging_w", charging.Value, "W")), loadsW+charging.Value
	p.Add(s)
}

// leaves is the formula for what generator and AC input leave the chargers beside loads of so many watts and VA, with
// the inputs of leaving.
func (g *Plan) leaves(a Asked, loadsW, loadsVA string) string {
	room := "generator_share * derated_w - " + loadsW + ", (generator_share * derated_va - " + loadsVA + ") * charger_pf"
	if a.inputVA() > 0 {
		room += ", (input_va - " + loadsVA + ") * charger_pf"
	}
	return room
}

func (g *Plan) leaving(a Asked) []working.Input {
	out := []working.Input{in("generator_share", a.Site.Practice.Wires().GeneratorShare, ""), in("derated_w", g.DeratedW, "W"),
		in("derated_va", g.DeratedVA, "VA"), in("charger_pf", ChargerPF, "")}
	if va := a.inputVA(); va > 0 {
		out = append(out, in("input_va", va, "VA"))
	}
	return out
}

// enteredCharge adds the charge current that is entered for the generator.
func (g *Plan) enteredCharge(p *working.Part, a Asked, charger working.Input) {
	set := g.ChargeSetting()
	s := wiring.Step{Name: "generator_charge_a", Title: phrase.Of("Charge current to enter for the generator"), Value: set.A, Unit: "A",
		Sources: []working.Source{working.Plainly(phrase.Of("common practice"), working.Practice)}}
	rounded, slack := "floor(%s + slack)", working.Constant("slack", verdict.Slack, "")
	full := working.Named(gridChargerA, a.Inverter.ChargerA(), "A")
	var exact string
	switch {
	case set.Least:
		exact, rounded = "least_charge_a", "ceil(%s - slack)"
		s.Formula = phrase.Of("the least that the bank requires, rounded up")
		s.Inputs = []working.Input{working.Named(leastChargeA, g.LeastChargeA, "A"), slack}
	case set.FewerLoads:
		exact = "grid_charger_a * generator_share * min(derated_w, derated_va * charger_pf) / charger_w"
		s.Formula = phrase.Of("while no load runs, rounded down to what can be entered")
		s.Inputs = append([]working.Input{full, charger, slack}, g.leaving(a)[:4]...)
	default:
		exact = "grid_charger_a * max(0, min(" + g.leaves(a, "loads_w", "loads_va") + ")) / charger_w"
		s.Formula = phrase.Of("while everything runs, rounded down to what can be entered")
		s.Inputs = append([]working.Input{full, charger, in("loads_w", g.LoadsW, "W"), in("loads_va", g.LoadsVA, "VA"), slack},
			g.leaving(a)...)
	}
	if set.A < 10 {
		rounded, exact = rounded+" / 10", "10 * "+exact
	}
	s.Expr = fmt.Sprintf(rounded, exact)
	p.Add(s)
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
			if c.Demand < g.InputA { // the loads alone are too much
				p.Add(wiring.Step{Name: "loads_input_a",
					Title: phrase.Of("Current of the loads through the inverter per phase"),
					Expr:  "loads_va / (phases * nominal_v)", Inputs: []working.Input{in("loads_va", g.LoadsVA, "VA"),
						in("phases", float64(a.Site.Phases), ""), in("nominal_v", a.Site.NominalV, "V")},
					Value: g.loadsA(a.Site), Unit: "A"})
			}
			out[c.ID] = &working.Sides{Demand: p.Side("demand_x", c.Demand, c.Unit, working.Origin{},
				"generator_input_a", "loads_input_a"),
				Limit: p.Side("limit_x", c.Limit, c.Unit, working.Origin{Name: "input_limit_a"}, "entered_input_a")}
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
		room := "min(charger_w / charger_pf, max(0, derated_va - loads_va))"
		s := wiring.Step{Name: "total_start_va", Title: phrase.Of("Largest start with running load and chargers"),
			Formula: phrase.Of("start of %q; the chargers are set as far down as the loads alone require", surge.Load),
			Inputs: []working.Input{{Name: "with_loads_va", Value: surge.BalancedVA, Unit: "VA",
				From: working.Origin{Name: "start_va " + surge.Load}}, working.Named(chargerW, chargersW, "W"),
				in("charger_pf", ChargerPF, ""), in("derated_va", g.DeratedVA, "VA"), in("loads_va", g.LoadsVA, "VA")},
			Value: c.Demand, Unit: "VA",
			Sources: []working.Source{working.Plainly(phrase.Of("common practice"), working.Practice)}}
		if va := a.inputVA(); va > 0 {
			room = "min(charger_w / charger_pf, max(0, min(derated_va, input_va) - loads_va))"
			s.Inputs = append(s.Inputs, in("input_va", va, "VA"))
		}
		s.Expr = "with_loads_va + " + room
		if surge.Phase > 0 {
			s.Expr = "with_loads_va * phases + " + room
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
