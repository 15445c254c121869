package conductors

import (
	"slices"
	"strconv"

	"outlast/backup/phrase"
	"outlast/backup/site"
	"outlast/backup/wiring"
	"outlast/backup/working"
)

// Working is how the run came about, step by step, and what its check compares; nil for one that was only tried.
// Inputs of other parts of the plan go by the names of their results.
func (r Run) Working() ([]wiring.Step, working.Sides) {
	if r.steps == nil {
		return nil, working.Sides{}
	}
	return r.steps()
}

// writing keeps what writes the working of a run until somebody reads it: first what the plan asks of the run, then
// what package wiring makes of that. own says where figures come from that only this run has. Others ask for its drop
// by the name of the run; more adds what follows from it.
func (w *wirer) writing(r *Run, asked func(*working.Part), sized func(working.Origins) []wiring.Step,
	own func(name string) working.Origin, more func(*working.Part)) func() ([]wiring.Step, working.Sides) {
	if w.Brief {
		return nil
	}
	origins := func(name string) working.Origin {
		if o := own(name); !o.Empty() {
			return o
		}
		return w.origin(name)
	}
	name := r.Kind
	return func() ([]wiring.Step, working.Sides) {
		part := working.Part{Origins: origins}
		asked(&part)
		part.AddAll(sized(origins), func(s *wiring.Step) {
			if s.Name == "drop" {
				s.Name = string(name) + "_drop"
			}
		})
		if more != nil {
			more(&part)
		}
		sides := r.sides(&part)
		part.Keep(string(name)+"_drop", string(name)+"_continuous_a", "feeding_drop")
		return part.Steps, sides
	}
}

// sides are what the check of the run compares: which figures of its working, or of the file, by what it compares.
func (r *Run) sides(p *working.Part) working.Sides {
	c := r.worst
	if c == nil {
		return working.Sides{}
	}
	need := []string{"carried_a", "least_a", "required_a", "maximum_a"}
	device, list := []string{"device_a", "fuse_a"}, working.Origin{Told: phrase.Of("list of standard ratings")}
	var demand, limit []string
	var demandOf, limitOf working.Origin // where no step has it
	switch c.Of {
	case wiring.OfAmpacity:
		demand, limit = need, []string{"ampacity_a"}
	case wiring.OfTable:
		demand, limit = []string{"required_table_a"}, []string{"tabulated_a"}
	case wiring.OfProtection:
		demand, demandOf, limit = device, p.Origins("device_a"), []string{"device_limit_a", "ampacity_a"}
	case wiring.OfSurge:
		demand, limit = []string{"surge_a", "start_a"}, []string{"withstood_a"}
	case wiring.OfDrop:
		demand, limit, limitOf = []string{string(r.Kind) + "_drop"}, []string{"drop_limit"}, p.Origins("ac_drop")
		if r.Laid.System == wiring.DC {
			limitOf = p.Origins("dc_drop")
		}
	case wiring.OfTotalDrop:
		demand, limit, limitOf = []string{"total_drop"}, []string{"total_drop_limit"}, p.Origins("total_drop")
	case wiring.OfStartDrop:
		demand, limit, limitOf = []string{"start_drop"}, nil, p.Origins("start_drop")
	case wiring.OfDevice, wiring.OfFuse:
		demand, limit, limitOf = append(need, "required_table_a"), device, p.Origins("device_a")
	case wiring.OfBehind:
		demand, demandOf, limitOf = device, p.Origins("device_a"), p.Origins("bears_a")
	case wiring.OfWindow:
		demand, demandOf, limit, limitOf = need, list, nil, list
		if r.tooSmallA == 0 {
			demand, limitOf = nil, p.Origins("bears_a")
		}
	case wiring.OfModuleFuse:
		demand, limitOf = device, p.Origins("max_fuse_a")
	case wiring.OfReverse:
		demand, limitOf = []string{"reverse_a"}, p.Origins("max_fuse_a")
	case wiring.OfDeviceVolts:
		demandOf, limitOf = p.Origins("highest_v"), p.Origins("device_v")
	case wiring.OfBreaking:
		demand, limitOf = []string{"fault_a", "bank_fault_a"}, p.Origins("device_breaking_a")
	case wiring.OfIsolatorVolts:
		demandOf, limitOf = p.Origins("coldest_voc_v"), p.Origins("isolator_v")
	case wiring.OfIsolatorA:
		demand, limitOf = []string{"maximum_a"}, p.Origins("isolator_a")
	}
	return working.Sides{Demand: p.Side("demand_x", c.Demand, c.Unit, demandOf, demand...),
		Limit: p.Side("limit_x", c.Limit, c.Unit, limitOf, limit...)}
}

// origin says where a figure comes from that all runs have.
func (w *wirer) origin(name string) working.Origin {
	switch name {
	case "ambient_c", "grouped":
		return key("wiring", "", name)
	case "count", "idle_w", "rated_w", "rated_va", "efficiency", "ac_input_a", "pass_through_a":
		return key("inverter", "", name)
	case "lines":
		return key("inverter", "", "phases")
	case "phases", "nominal_v":
		return key("site", "", name)
	}
	if slices.ContainsFunc(site.WiringFactors, func(f site.WiringFactor) bool { return f.Key == name }) {
		return key("practice", "", name)
	}
	return working.Origin{}
}

func key(table, at, name string) working.Origin {
	return working.Origin{Key: &working.Key{Table: table, At: at, Key: name}}
}

// of is a figure that a step of another part has worked out.
func of(name string) working.Origin { return working.Origin{Name: name} }

func in(name string, value float64, unit string) working.Input {
	return working.Input{Name: name, Value: value, Unit: unit}
}

// The names of results of other parts of the plan that conductors are worked out from.
const (
	lowV     = "low_v"        // of the bank at the end of discharge
	bankV    = "bank_v"       // nominal, of the bank
	bankAh   = "bank_ah"      // installed
	bankMohm = "bank_mohm"    // of the bank, full
	passA    = "grid_pass_a"  // through the inverters per phase
	gridA    = "grid_input_a" // the same plus the chargers
)

// startVA and startDCA name what the start of a load asks for, on the AC side and of the bank.
func startVA(load string) string  { return "start_va " + load }
func startDCA(load string) string { return "start_dc_a " + load }

// bankAsked adds the currents between the bank and one inverter.
func (w *wirer) bankAsked(p *working.Part, r *Run, bank wiring.Bank, ratedA float64, st start) {
	unit, units := w.Inverter.Unit, float64(w.Inverter.Count)
	name := "continuous_a"
	if st.loadA > 0 {
		name = "rated_dc_a"
	}
	efficiency := in("efficiency", w.Inverter.EfficiencyAt(w.Inverter.RatedW()), "")
	if len(unit.EfficiencyCurve) > 0 {
		efficiency = working.Told("efficiency", efficiency.Value, "",
			phrase.Of("efficiency_curve of the inverter, at its rated power"))
	}
	p.Add(wiring.Step{Name: name, Title: phrase.Of("Current at rated power"),
		Expr: "(idle_w + rated_w / efficiency) / low_v", Inputs: []working.Input{in("idle_w", unit.IdleW, "W"),
			in("rated_w", unit.RatedW, "W"), efficiency, working.Named(lowV, w.Bank.MinV(), "V")},
		Value: ratedA, Unit: "A", Sources: []working.Source{energyBalance}})
	if st.loadA > 0 {
		long := from(in("long_start_dc_a", st.loadA*units, "A"), of(startDCA(st.loadOf)))
		p.Add(wiring.Step{Name: "continuous_a", Title: phrase.Of("Continuous current"),
			Formula: phrase.Of("a start that lasts so long is a load"),
			Expr:    "max(rated_dc_a, long_start_dc_a / count)",
			Inputs:  []working.Input{in("rated_dc_a", ratedA, "A"), long, in("count", units, "")},
			Value:   bank.ContinuousA, Unit: "A"})
	}
	if units > 1 {
		p.Add(wiring.Step{Name: "charge_total_a", Title: phrase.Of("Charging current of all inverters"),
			Expr: "charge_a * count", Inputs: []working.Input{from(in("charge_a", bank.ChargeA, "A"), w.chargeKey()),
				in("count", units, "")}, Value: bank.ChargeA * units, Unit: "A"})
	}
	start := func(name string, title phrase.Phrase, load string, a float64) {
		p.Add(wiring.Step{Name: name, Title: title, Formula: phrase.Of("start of %q", load), Expr: "start_dc_a / count",
			Inputs: []working.Input{from(in("start_dc_a", a*units, "A"), of(startDCA(load))),
				in("count", units, "")}, Value: a, Unit: "A"})
	}
	if st.peakA > 0 {
		start("start_a", phrase.Of("Highest current of a start"), st.peakOf, st.peakA)
	}
	if r.heats(st) {
		start("surge_a", heatTitle(), st.heatOf, st.heatA)
	}
}

// chargeKey is the key of what one inverter puts into the bank.
func (w *wirer) chargeKey() working.Origin {
	if w.Inverter.Unit.MaxChargeA > 0 {
		return key("inverter", "", "max_charge_a")
	}
	return key("inverter", "", "charger_a")
}

// p2 is an input of which the origin is known.
func from(i working.Input, origin working.Origin) working.Input {
	i.From = origin
	return i
}

// startOrigin is where the time of a start comes from, as long as it is not cut.
func startOrigin(load string, seconds float64) working.Origin {
	if load == "" || seconds >= LongestStartS || seconds <= ShortestStartS {
		return working.Origin{}
	}
	return key("load", load, "starting_s")
}

var energyBalance = working.From(phrase.Of("energy balance"), working.Definition)

// phaseShare is the part of a current per phase of the site that a line of one inverter carries.
const phaseShare = " * phases / (count * lines)"

func (w *wirer) shareInputs() []working.Input {
	return []working.Input{in("phases", float64(w.Site.Phases), ""), in("count", float64(w.Inverter.Count), ""),
		in("lines", float64(w.lines()), "")}
}

// heats says whether the check of a run compares the start that heats its conductor most, and that is another than the
// highest, whose step all runs have.
func (r *Run) heats(st start) bool {
	return r.worst != nil && r.worst.Of == wiring.OfSurge && st.heatOf != st.peakOf
}

// heatTitle is said of the start that heats a conductor most.
func heatTitle() phrase.Phrase { return phrase.Of("Starting current that heats most") }

// startStep adds the highest current of a start in a line of one inverter, under a name.
func (w *wirer) startStep(p *working.Part, name string, st start) {
	if st.peakA > 0 {
		w.lineStart(p, name, phrase.Of("Highest current of a start"), st.peakOf, st.peakA)
	}
}

// lineStart adds the current of the start of a load in a line of one inverter.
func (w *wirer) lineStart(p *working.Part, name string, title phrase.Phrase, load string, a float64) {
	va := a * float64(w.Inverter.Count*w.lines()) * w.Site.NominalV
	s := wiring.Step{Name: name, Title: title,
		Formula: phrase.Of("start of %q", load), Expr: "start_va / (count * lines * nominal_v)", Value: a,
		Unit: "A"}
	s.Inputs = []working.Input{in("count", float64(w.Inverter.Count), ""), in("lines", float64(w.lines()), ""),
		in("nominal_v", w.Site.NominalV, "V")}
	for _, start := range w.Starts {
		if start.Load != load {
			continue
		}
		if start.Phase > 0 { // of the fullest phase
			s.Expr = "start_va * phases / (count * lines * nominal_v)"
			s.Inputs = append(s.Inputs, in("phases", float64(w.Site.Phases), ""))
			va = start.PhaseVA
		}
	}
	s.Inputs = append(s.Inputs, from(in("start_va", va, "VA"), of(startVA(load))))
	p.Add(s)
}

// inputAsked adds the currents of the grid input of one inverter.
func (w *wirer) inputAsked(p *working.Part, r *Run, f wiring.Feeder, st start) {
	s := wiring.Step{Name: "input_continuous_a", Title: phrase.Of("Continuous current"),
		Expr:   "grid_input_a" + phaseShare,
		Inputs: append([]working.Input{working.Named(gridA, w.InputA, "A")}, w.shareInputs()...), Value: f.ContinuousA,
		Unit: "A"}
	if a := w.Inverter.Unit.ACInputA; a > 0 {
		s.Expr = "max(" + s.Expr + ", ac_input_a)"
		s.Inputs = append(s.Inputs, in("ac_input_a", a, "A"))
	}
	p.Add(s)
	if st.peakA == 0 {
		return
	}
	withChargers := func(name, of string, lineA, a float64) {
		p.Add(wiring.Step{Name: name, Title: phrase.Of("Highest current, chargers included"),
			Expr: of + " + (grid_input_a - grid_pass_a)" + phaseShare,
			Inputs: append([]working.Input{in(of, lineA, "A"), working.Named(gridA, w.InputA, "A"),
				working.Named(passA, w.PassThroughA, "A")}, w.shareInputs()...), Value: a, Unit: "A"})
	}
	w.startStep(p, "start_line_a", st)
	withChargers("start_a", "start_line_a", st.peakA, f.StartA)
	if r.heats(st) {
		w.lineStart(p, "heat_line_a", heatTitle(), st.heatOf, st.heatA)
		withChargers("surge_a", "heat_line_a", st.heatA, f.SurgeA)
	}
}

// feederAsked adds the currents from one inverter to the backup board.
func (w *wirer) feederAsked(p *working.Part, r *Run, f wiring.Feeder, st start) {
	s := wiring.Step{Name: "feeder_continuous_a", Title: phrase.Of("Continuous current"),
		Expr: "max(rated_va / (lines * nominal_v), grid_pass_a" + phaseShare + ")",
		Inputs: append([]working.Input{in("rated_va", w.Inverter.Unit.RatedVA, "VA"),
			in("nominal_v", w.Site.NominalV, "V"),
			working.Named(passA, w.PassThroughA, "A")}, w.shareInputs()...), Value: f.ContinuousA, Unit: "A"}
	p.Add(s)
	w.startStep(p, "start_a", st)
	if r.heats(st) {
		w.lineStart(p, "surge_a", heatTitle(), st.heatOf, st.heatA)
	}
}

// bankOrigin says where a figure of the run to the bank comes from.
func (w *wirer) bankOrigin(name string, st start) working.Origin {
	switch name {
	case "continuous_a", "start_a":
		return of(name)
	case "charge_a":
		return w.chargeKey()
	case "charge_total_a":
		if w.Inverter.Count > 1 {
			return of(name)
		}
		return w.chargeKey()
	case "surge_s":
		return startOrigin(st.heatOf, st.heatS)
	case "length_m":
		return key("wiring", "", "bank_m")
	case "grouped":
		return working.Origin{Told: phrase.Of("cables of the bank lie alone")}
	case "device_a":
		return key("wiring", "", "bank_device_a")
	case "device_v", "device_breaking_a":
		return key("wiring", "", "bank_"+name)
	case "voltage_v", "nominal_v":
		return of(bankV)
	case bankMohm, bankAh, "strings":
		return of(name)
	}
	return working.Origin{}
}

// feederOrigin says where a figure of an AC run of the inverters comes from.
func (w *wirer) feederOrigin(name string, kind Kind, st start) working.Origin {
	switch name {
	case "continuous_a":
		return of(string(kind) + "_continuous_a")
	case "start_a":
		return of(name)
	case "surge_s":
		return startOrigin(st.heatOf, st.heatS)
	case "length_m":
		return key("wiring", "", string(kind)+"_m")
	case "device_a":
		return key("wiring", "", string(kind)+"_breaker_a")
	case "bears_a":
		if kind == Input {
			return key("inverter", "", "ac_input_a")
		}
		return key("inverter", "", "pass_through_a")
	case "voltage_v":
		return key("site", "", "nominal_v")
	case "upstream_drop":
		return of("input_drop")
	case "runs_a":
		return working.Origin{Told: phrase.Of("what passes through the inverter, factors included")}
	case "charges_a":
		return working.Origin{Told: phrase.Of("what the chargers draw from the grid, factor included")}
	}
	return working.Origin{}
}

// feedingStep adds what is lost on the way to the backup board by what the loads draw: drops are in proportion to the
// current.
func (w *wirer) feedingStep(p *working.Part, input, feeder wiring.Feeder, before, out Run) {
	if w.feeding == 0 {
		return
	}
	s := wiring.Step{Name: "feeding_drop", Title: phrase.Of("Voltage drop on the way to the backup board, fraction"),
		Formula: phrase.Of("by what the loads draw: drops are in proportion to the current"), Value: w.feeding}
	add := func(name string, drop float64, full float64, asked string, askedA float64) {
		if drop == 0 {
			return
		}
		if s.Expr != "" {
			s.Expr += " + "
		}
		s.Expr += name + "_drop * " + asked + phaseShare + " / " + name + "_continuous_a"
		s.Inputs = append(s.Inputs, from(in(name+"_drop", drop, ""), of(name+"_drop")),
			working.Named(asked, askedA, "A"),
			from(in(name+"_continuous_a", full, "A"), of(name+"_continuous_a")))
	}
	add("input", before.Drop, input.ContinuousA, gridA, w.InputA)
	add("feeder", out.Drop, feeder.ContinuousA, passA, w.PassThroughA)
	s.Inputs = append(s.Inputs, w.shareInputs()...)
	p.Add(s)
}

// circuitOrigin says where a figure of a circuit comes from.
func (w *wirer) circuitOrigin(name, id string, now circuitCurrent) working.Origin {
	switch name {
	case "continuous_a", "other_a", "motor_a", "power_factor", "start_a", "start_power_factor":
		return of(name)
	case "surge_s":
		return startOrigin(now.start.heatOf, now.start.heatS)
	case "length_m":
		return key("circuit", id, name)
	case "device_a":
		return key("circuit", id, "breaker_a")
	case "voltage_v":
		return key("site", "", "nominal_v")
	case "upstream_drop":
		return of("feeding_drop")
	}
	return working.Origin{}
}

// arrayAsked adds the voltages of a string.
func (w *wirer) arrayAsked(p *working.Part, i int, s wiring.PVString) {
	array := w.Site.Arrays[i]
	climate := w.Site.StringClimate()
	set := array.StringSet()
	volts, err := set.Voltages(climate)
	if err != nil || s.LengthM == 0 {
		return
	}
	m, _ := set.Module.WithDefaults()
	hottest := from(in("hottest_c", climate.HottestC, "C"), key("site", "", "hottest_c"))
	if climate.HottestC != w.Site.HottestC {
		hottest.From = working.Origin{Told: phrase.Of("hottest air of site and weather file, at most that of modules")}
	}
	at := strconv.Itoa(i + 1)
	given := func(name string, value, usual float64, unit string) working.Input {
		if value == 0 {
			value = usual
		}
		return from(in(name, value, unit), key("array", at, name))
	}
	p.Add(wiring.Step{Name: "cell_c", Title: phrase.Of("Hottest cells"), Expr: "hottest_c + (noct_c - 20) * 1000 / 800",
		Inputs: []working.Input{hottest, given("noct_c", m.NOCTC, 0, "C")}, Value: volts.CellHotC, Unit: "C"})
	p.Add(wiring.Step{Name: "string_vmp_v", Title: phrase.Of("Voltage of the string at rated power, hot"),
		Expr: "modules_per_string * vmp_v * max(0, 1 + (pmax_pct_per_c - isc_pct_per_c) / 100 * (cell_c - 25))",
		Inputs: []working.Input{given("modules_per_string", float64(array.ModulesPerString), 0, ""),
			given("vmp_v", m.VmpV, 0, "V"), given("pmax_pct_per_c", array.Module.PmaxPctPerC, 100*m.PmaxPerC, "%/K"),
			given("isc_pct_per_c", array.Module.IscPctPerC, 100*m.IscPerC, "%/K"), in("cell_c", volts.CellHotC, "C")},
		Value: volts.VmpHotV, Unit: "V"})
}

// arrayOrigin says where a figure of a string's cable comes from.
func (w *wirer) arrayOrigin(name string, i int) working.Origin {
	switch at := strconv.Itoa(i + 1); name {
	case "isc_a":
		return key("array", at, "isc_a")
	case "current_a":
		return key("array", at, "imp_a")
	case "length_m":
		return key("wiring", "", "array_m")
	case "max_fuse_a":
		return key("array", at, name)
	case "isolator_a", "isolator_v":
		return key("wiring", "", "array_"+name)
	case "coldest_voc_v":
		return of("voc_cold_v of array " + at)
	case "voltage_v":
		return of("string_vmp_v")
	case "strings":
		return working.Origin{Told: phrase.Of("a cable for each string")}
	case "strings_beside":
		return working.Origin{Told: phrase.Of("strings side by side on the same input")}
	}
	return working.Origin{}
}
