package account

import (
	"strconv"
	"strings"

	"outlast/backup/conductors"
	"outlast/backup/facts"
	"outlast/backup/phrase"
	"outlast/backup/verdict"
	"outlast/backup/wording"
	"outlast/backup/working"
	"outlast/catalog"
)

// workChecks shows the margin of every check that compares something.
func (w *workings) workChecks() {
	for _, c := range w.p.Checks {
		if !c.HasLimit {
			continue
		}
		sides := w.sidesOf(c)
		s := working.Step{Title: phrase.Of("Check %s: margin", phrase.Check(c.ID)), Value: c.Margin,
			Unit:   marginUnit(c),
			Inputs: []working.Input{sides.Demand, sides.Limit}, Check: c.ID}
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

// sidesOf are what a check compares: what the part of the plan tells that makes the check, else the steps and keys that
// its kind compares.
func (w *workings) sidesOf(c verdict.Check) working.Sides {
	var out working.Sides
	if told := w.sides[c.ID]; told != nil {
		out = *told
	}
	demand, limit := w.mayCompare(c)
	if out.Demand.Name == "" {
		out.Demand = w.side("demand_x", c, c.Demand, demand)
	}
	if out.Limit.Name == "" {
		out.Limit = w.side("limit_x", c, c.Limit, limit)
	}
	return out
}

// side takes that of some figures which has the value. No other is looked at: one that only happens to have it is not
// what the check compares. A test fails where none has.
func (w *workings) side(as string, c verdict.Check, value float64, may []working.Input) working.Input {
	unit := c.Unit
	if unit == "%" { // a share of the plan, that a check tells in per cent
		value, unit = value/100, ""
	}
	for _, in := range may {
		if in.From.Name != "" { // the last step of that name, of those with the value
			found := false
			for i := len(w.list.Steps) - 1; i >= 0 && !found; i-- {
				s := w.list.Steps[i]
				if found = s.Name == in.From.Name && working.Same(s.Value, value); found {
					in = working.Result(as, s.Value, s.Unit, w.list.At(s.No))
				}
			}
			if !found {
				continue
			}
		} else if !working.Same(in.Value, value) || in.Unit != unit {
			continue
		}
		in.Name = as
		return in
	}
	return working.Told(as, value, unit, phrase.Of("as the check tells"))
}

// ofSteps are the results of steps by their names.
func ofSteps(names ...string) (out []working.Input) {
	for _, name := range names {
		out = append(out, working.Input{From: working.Origin{Name: name}})
	}
	return out
}

// ofPhases are the results of steps that go by a name, and of those of each phase.
func (w *workings) ofPhases(name string) []working.Input {
	names := []string{name}
	for phase := 1; phase <= w.p.Site.Phases; phase++ {
		names = append(names, phaseName(name, phase))
	}
	return ofSteps(names...)
}

// mayCompare are the figures that a kind of check compares, of which that counts which has the value: results of steps
// by their names, and keys.
func (w *workings) mayCompare(c verdict.Check) (demand, limit []working.Input) {
	if id, ok := strings.CutPrefix(c.ID, "string-"); ok {
		return w.stringSides(id)
	}
	if name, ok := strings.CutPrefix(c.ID, "slip-"); ok {
		return ofSteps("slip of " + name), ofSteps("slip limit of " + name)
	}
	switch verdict.GroupOf(c.ID) {
	case verdict.OfInverter:
		return w.inverterSides(c.ID)
	case verdict.OfBank:
		return w.bankSides(c.ID)
	}
	p := w.p
	switch c.ID {
	case "cable-" + string(conductors.Bank):
		return append(w.highestV(), ofSteps("bank_v")...), nil
	case "generator-soc":
		demand = ofSteps("start_soc")
		if g := p.Site.Generator; g != nil && g.StartGiven {
			demand = one(key("generator", "start_soc", g.StartSoC, ""))
		}
		return demand, ofSteps("least_start_soc")
	case "circuit-breaker":
		if circuit, _, ok := p.FullestCircuit(); ok {
			limit = one(working.Given("", circuit.BreakerA, "A", "circuit", circuit.ID, "breaker_a"))
		}
		return ofSteps("breaker_need_a"), limit
	case "board-ways":
		return ofSteps("backup_circuits"), one(key("board", "ways", float64(p.Site.Ways), "circuits"))
	}
	return demand, limit
}

// one is a side with one figure.
func one(in working.Input) []working.Input { return []working.Input{in} }

// inverterSides are what a check of the inverter may compare.
func (w *workings) inverterSides(id string) (demand, limit []working.Input) {
	p := w.p
	switch id {
	case "inverter-continuous":
		return w.ofPhases("scheduled_va"), ofSteps("phase_va", "limit_va", "derated_va")
	case "inverter-continuous-w":
		return w.ofPhases("scheduled_w"), ofSteps("phase_w", "limit_w", "derated_w")
	case "inverter-surge":
		if p.Starts.Worst < 0 {
			return one(working.Told("", 0, "VA", wording.NothingStarts)), ofSteps("limit_va", "derated_va")
		}
		load := p.Starts.All[p.Starts.Worst].Load
		return ofSteps("start_va " + load), ofSteps("rating of " + load)
	case "inverter-restart":
		return ofSteps("restart_tight_va", "restart_va"),
			ofSteps("rating of restart", "phase_va", "limit_va", "derated_va")
	case "pass-through":
		return ofSteps("grid_pass_a"), ofSteps("pass_limit_a")
	case "ac-input":
		return ofSteps("grid_input_a"), ofSteps("input_limit_a")
	case "phase-balance":
		if p.Site.Phases == 1 {
			demand = one(working.Told("", 0, "", phrase.Of("single-phase: no phases to balance")))
		}
		return append(demand, ofSteps("imbalance")...), one(working.Constant("", facts.MaxImbalance, ""))
	case "transfer-time":
		if p.Inverter.Unit.TransferMs != nil {
			demand = one(key("inverter", "transfer_ms", *p.Inverter.Unit.TransferMs, "ms"))
		}
		for _, l := range p.InOutage() {
			if l.RidesThroughMs != nil {
				limit = append(limit, working.Given("", *l.RidesThroughMs, "ms", "load", l.Name, "rides_through_ms"))
			}
		}
	}
	return demand, limit
}

// bankSides are what a check of the bank may compare.
func (w *workings) bankSides(id string) (demand, limit []working.Input) {
	p := w.p
	inv, u := p.Inverter.Unit, p.Bank.Unit
	switch id {
	case "dc-current":
		return ofSteps("dc_a"), ofSteps("inverter_dc_a", "bank_dc_a")
	case "dc-surge-current":
		for _, st := range p.Starts.All {
			demand = append(demand, ofSteps("start_dc_a "+st.Load)...)
		}
		return demand, ofSteps("bank_pulse_a", "bank_dc_a")
	case "dc-window-high":
		return w.highestV(), one(key("inverter", "dc_max_v", inv.DCMaxV, "V"))
	case "dc-window-low":
		return ofSteps("low_v"), one(key("inverter", "dc_min_v", inv.DCMinV, "V"))
	case "dc-cutoff":
		return ofSteps("planned_v", "loaded_v"), ofSteps("cutoff_v")
	case "surge-sag":
		for _, st := range p.Starts.All {
			demand = append(demand, ofSteps("start_v of "+st.Load)...)
		}
		return demand, ofSteps("cutoff_v")
	case "bank-charge-rate":
		return ofSteps("charge_rate", "sources_rate"), ofSteps("charge_rate_limit", "charge_rate_least")
	case "bank-capacity":
		return ofSteps("required_ah"), ofSteps("bank_ah")
	case "autonomy":
		return one(key("outage", "autonomy_h", p.Site.Outage.AutonomyH, "h")), ofSteps("autonomy_h")
	case "bank-parallel":
		return one(w.of("strings")), one(key("bank", "max_parallel", float64(u.MaxParallel), "strings"))
	case "bank-temperature":
		demand = one(key("site", "coldest_c", p.Site.ColdestC, "C"))
		// Where both are the same, it is the discharge that an outage asks for.
		if u.DischargeMinC != nil {
			limit = append(limit, key("bank", "discharge_min_c", *u.DischargeMinC, "C"))
		}
		if u.ChargeMinC != nil {
			limit = append(limit, key("bank", "charge_min_c", *u.ChargeMinC, "C"))
		}
	case "ventilation":
		return ofSteps("boost_flow opening"), one(key("bank", "vent_cm2", p.Site.VentCM2, "cm2"))
	}
	return demand, limit
}

// stringSides are what a check of the strings on an input of the inverter may compare: each with the key of its own.
func (w *workings) stringSides(id string) (demand, limit []working.Input) {
	inputs := w.p.Site.Inverter.Inputs
	of := func(v float64, unit string) {
		limit = append(limit, working.Given("", v, unit, "inverter", "", "input"))
	}
	if kind, _ := cutNumber(id); kind == "input" {
		for i, a := range w.p.Site.Arrays {
			demand = append(demand, working.Given("", float64(a.Input), "", "array", strconv.Itoa(i+1), "input"))
		}
		of(float64(len(inputs)), "")
		limit[0].From = working.Origin{Told: phrase.Of("solar inputs of the inverter")}
		return demand, limit
	}
	names := map[string]string{"voc-cold": "voc_cold_v", "vmp-cold": "vmp_cold_v", "vmp-hot": "vmp_hot_v",
		"start": "vmp_hot_v", "current": "imp_a", "short-circuit": "isc_a", "power": "array_w"}
	kind, number := cutNumber(id)
	for i, a := range w.p.Site.Arrays {
		if number == 0 || a.Input == number {
			demand = append(demand, ofSteps(names[kind]+" of array "+strconv.Itoa(i+1))...)
		}
	}
	for i, in := range inputs {
		if number > 0 && number != i+1 {
			continue
		}
		limitOf(kind, in, of)
	}
	return demand, limit
}

// highestV are the voltages of the stages of charging at the coldest.
func (w *workings) highestV() (out []working.Input) {
	for _, v := range w.p.Details.Stages {
		out = append(out, ofSteps(stageName(v.Stage))...)
	}
	return out
}

// limitOf adds the limit of an input that a kind of check compares.
func limitOf(kind string, in catalog.TrackerInput, add func(v float64, unit string)) {
	switch kind {
	case "voc-cold":
		add(in.MaxV, "V")
	case "vmp-cold":
		add(in.TrackMaxV, "V")
	case "vmp-hot":
		add(in.TrackMinV, "V")
	case "start":
		add(in.StartV, "V")
	case "current":
		add(in.MaxA, "A")
	case "short-circuit":
		add(in.MaxShortCircuitA, "A")
	case "power":
		add(in.MaxW, "W")
	}
}

// cutNumber parts the number of an input from the id of a check; 0 where there is none.
func cutNumber(id string) (kind string, number int) {
	at := strings.LastIndexByte(id, '-')
	if n, err := strconv.Atoi(id[at+1:]); err == nil && at > 0 {
		return id[:at], n
	}
	return id, 0
}
