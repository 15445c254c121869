package backup

import (
	"fmt"
	"strings"

	"outlast/battery"
)

// workBehaviour writes down how the installed bank behaves: its model, its volts, its charging, its air, its wear, and what other methods say of
// its size.
func (p *Plan) workBehaviour() {
	p.workModel()
	p.workVolts()
	p.workCharging()
	p.workAir()
	p.workLife()
	p.workCross()
}

// workModel shows the kinetic model of a lead-acid unit and how well it fits.
func (p *Plan) workModel() {
	u := p.Bank.Unit
	fit := p.Details.Kinetic
	if fit == nil {
		return
	}
	const source = "kinetic battery model, Manwell & McGowan, Solar Energy 50 (1993) 399-405, memory; least squares of 1/q"
	var points, residuals []string
	for i, at := range u.WellPoints() {
		points = append(points, fmt.Sprintf("%.4g Ah in %.4g h", at.Ah, at.Hours))
		residuals = append(residuals, fmt.Sprintf("%+.2f %%", 100*fit.Residuals[i]))
	}
	from := "from the Peukert exponent"
	if len(u.Capacity) > 1 {
		from = "from the capacity table and the rated point"
	}
	p.step("Kinetic model of a unit, share c in the available well", "fitted to the discharges "+from, strings.Join(points, ", "), fit.AvailableShare, "", source)
	p.step("Kinetic model of a unit, rate k' of the flow between the wells", "as above", "", fit.RatePerH, "1/h", source)
	p.step("Kinetic model of a unit, charge in both wells", "as above; what the slowest discharge would give", "", fit.FullAh, "Ah", source)
	p.step("Kinetic model of a unit, worst residual", "fitted over given capacity, less 1", strings.Join(residuals, ", "), fit.WorstResidual(), "", "")
}

// workVolts shows the bank under load at the lowest charge that the plan allows.
func (p *Plan) workVolts() {
	s, b, d := p.Site, p.Bank, p.Details
	floor := p.floorSoC()
	at := fmt.Sprintf("charge %.4g, %g C", floor, s.ColdestC)
	p.step("Volts at rest at the lowest charge", "table of volts at rest by chemistry, charge and temperature * cells", at, d.RestV, "V", "published tables, SEEN; lithium partly memory")
	if d.ResistanceOhm == 0 {
		return
	}
	p.step("Resistance of the bank", "series * resistance_mohm / strings", fmt.Sprintf("%d*%g/%d", b.Series, b.Unit.ResistanceMohm, b.Strings), 1000*d.ResistanceOhm, "mohm", "data sheet; full, 25 C, without links and cables")
	p.step("Resistance at the lowest charge in the cold", "resistance * factors of charge and of cold", at, 1000*d.ColdOhm, "mohm", "rules of thumb, memory")
	if !d.Carries {
		p.step("Most power at the lowest charge", "E^2 / (4 R)", fmt.Sprintf("E %.6g V, R %.6g mohm", d.RestV, 1000*d.ColdOhm), d.RestV*d.RestV/4/d.ColdOhm, "W", "Ohm's law")
	} else {
		p.step("Volts while everything runs at once", "(E + sqrt(E^2 - 4 R P)) / 2, constant power", fmt.Sprintf("E %.6g V, R %.6g mohm, P %.6g W", d.RestV, 1000*d.ColdOhm, p.Inverter.DCPower(p.Demand.Scheduled.W)), d.LoadedV, "V", "Ohm's law")
	}
	for i, st := range p.Starts.All {
		p.step(fmt.Sprintf("Volts while %q starts", st.Load), "E - R * I, I at the lowest voltage", fmt.Sprintf("%.6g V - %.6g mohm * %.6g A", d.RestV, 1000*d.ColdOhm, p.dcStartA(st)), d.Starts[i].FloorV, "V", "Ohm's law")
		if down := d.Starts[i]; down.Works {
			p.step(fmt.Sprintf("Lowest charge at which %q starts", st.Load), "least charge with volts at constant power >= dc_min_v, by halving", fmt.Sprintf("%.6g W, %g V", p.startDCW(st), p.Inverter.Unit.DCMinV), down.SoC, "", "Ohm's law")
		}
	}
	if d.HasFault {
		p.step("Short-circuit current, full", "volts at rest, full, 25 C / resistance", fmt.Sprintf("%.6g V / %.6g mohm", b.SourceV(1, ratingC), 1000*d.ResistanceOhm), d.Fault.FullA, "A", "Ohm's law; links and cables left out")
		p.step("Short-circuit current, nominal", "nominal volts / resistance, as makers print it", fmt.Sprintf("%g V / %.6g mohm", b.NominalV(), 1000*d.ResistanceOhm), d.Fault.NominalA, "A", "maker's manual for tubular vented cells, SEEN")
	}
}

func (p *Plan) workCharging() {
	s, b, d := p.Site, p.Bank, p.Details
	u := b.Unit
	unitV := map[battery.Stage]float64{battery.Absorption: u.ChargeV, battery.Float: u.FloatV, battery.Equalise: u.EqualiseV}
	for _, v := range d.Stages {
		for _, at := range []struct {
			what  string
			tempC float64
			volts float64
		}{{"coldest", s.ColdestC, v.AtColdest}, {"hottest", s.HottestC, v.AtHottest}} {
			p.step(fmt.Sprintf("Voltage of %s, %s", v.Name, at.what), "series * unit volts at 25 C + cells * compensation * (25 - T)",
				fmt.Sprintf("%d*%g + %d*%.4g mV*(25 - %g)", b.Series, unitV[v.Stage], b.Cells(), u.CompensationMV(), at.tempC), at.volts, "V", "data sheet or default by chemistry")
		}
	}
	low, high := u.Chemistry.RechargeFactor()
	p.step("Charge to put back for each Ah taken", "middle of the range by chemistry", fmt.Sprintf("(%g + %g)/2", low, high), (low+high)/2, "", trade)
	p.step("Least charge current", "lead-acid: C/20; lithium: none", fmt.Sprintf("%g Ah", b.CapacityAh()), d.Charge.LeastA, "A", trade)
	p.step("Greatest charge current", "max_charge_a of the unit * strings, or the usual share of the capacity", plural(b.Strings, "string", "strings"), d.Charge.MostA, "A", d.Charge.Source)
	for _, c := range d.Charges {
		title := "Charging from the " + c.By
		if c.Problem != "" {
			continue
		}
		p.step(title+", current", "what the "+c.By+" and its charger give, or what the bank takes, whichever is less", fmt.Sprintf("%.6g A offered", c.OfferedA), c.ChargeA, "A", "definition")
		p.step(title+", full current", "factor * Ah up to the knee / current", fmt.Sprintf("from a charge of %.4g, %g Ah", c.FromSoC, b.CapacityAh()), c.BulkH, "h", "generic text on charging, SEEN; lithium: memory")
		p.step(title+", constant voltage", "lead-acid: 0.42 * Ah / current; lithium: twice the time of full current for the last twentieth", fmt.Sprintf("%g Ah, %.6g A", b.CapacityAh(), c.ChargeA), c.AbsorptionH, "h", "inverter-charger practice, memory")
		if c.ModelOK {
			p.step(title+", by the state model", fmt.Sprintf("minute steps from the lowest charge to %g, new, 25 C", nearlyFull), fmt.Sprintf("%.6g W offered", c.ChargeA*b.NominalV()), c.ModelH, "h", "two-well kinetic model for lead-acid, energy model for lithium")
		}
	}
}

func (p *Plan) workAir() {
	b := p.Bank
	gas, ok := b.Unit.Chemistry.Gas()
	if !ok {
		return
	}
	for _, v := range []struct {
		when string
		rate float64
		air  battery.Ventilation
	}{{"float", gas.FloatMAPerAh, b.AirOnFloat}, {"boost", gas.BoostMAPerAh, b.AirOnBoost}} {
		p.step("Fresh air on "+v.when+" charge", "0.05 * cells * gas rate * Ah / 1000", fmt.Sprintf("0.05*%d*%g mA/Ah*%g Ah/1000", b.Cells(), v.rate, b.CapacityAh()), v.air.FlowM3PerH, "m3/h", gas.Source)
		p.step("Opening for it, inlet and outlet each", "28 * flow, air at 0.1 m/s", fmt.Sprintf("28*%.6g", v.air.FlowM3PerH), v.air.OpeningCM2, "cm2", "IEC 62485-2, SEEN")
	}
	if ice := p.Details.Frost; ice != nil {
		p.step("Freezing point at the lowest charge", "gravity of the acid by charge, freezing point by gravity", fmt.Sprintf("charge %.4g, gravity %.4g", p.floorSoC(), battery.GravityAt(p.floorSoC())), ice.FreezesC, "C", "US Army TM 10-6140-200-14, TM 5-1185, OD 1002, SEEN")
		p.step("Charge under which it freezes at the coldest", "the same, backwards; 0: not even empty", fmt.Sprintf("%g C", p.Site.ColdestC), ice.LeastSoC, "", "the same")
	}
}

func (p *Plan) workLife() {
	d := p.Details
	if d.HasCycles {
		beyond := ""
		if d.CyclesBeyond {
			beyond = "; outside the table"
		}
		p.step("Cycles to the planned depth", "cycles table of the unit, straight on log-log", fmt.Sprintf("depth %g%s", p.Bank.DoD, beyond), d.Cycles, "cycles", "data sheet: of the laboratory at 25 C, an upper bound")
	}
	p.step("Calendar life at the hottest", "2^((25 - T)/10) of the life at 25 C, never above 1", fmt.Sprintf("T = %g C all the time", p.Site.HottestC), d.CalendarShare, "", "maker's handbook for lead-acid on float, SEEN; for lithium a rule of thumb")
}

// workCross sets the published methods beside the plan's own.
func (p *Plan) workCross() {
	c := p.Details.Cross
	if c == nil {
		return
	}
	if c.Problem != "" {
		p.step("Cross-check by published methods", "not worked out: "+c.Problem, "", 0, "", "")
		return
	}
	ours := p.Bank.Sizing.RequiredAh
	show := func(method string, steps []battery.MethodStep, requiredAh float64, why string) {
		for _, s := range steps {
			p.step(method+": "+strings.ToLower(s.Title[:1])+s.Title[1:], s.Formula, s.Numbers, s.Value, s.Unit, s.Source)
		}
		p.step(method+" over the plan's own", "required size / required capacity: "+why, fmt.Sprintf("%.6g/%.6g", requiredAh, ours), share(requiredAh, ours), "", "")
	}
	p.step("Duty-cycle method: periods", c.DutyNote, "", float64(c.DutyPeriods), "", "IEEE 485, memory")
	duty := c.Duty.Steps
	for i, s := range duty {
		if s.Title == "Random load" { // none is asked for: starts are compared by themselves
			duty = append(duty[:i:i], duty[i+1:]...)
			break
		}
	}
	show("Duty-cycle method", duty, c.Duty.RequiredAh, c.DutyWhy)
	show("Autonomy method", c.Autonomy.Steps, c.Autonomy.RequiredAh, c.AutonomyWhy)
}
