package facts

import (
	"math"

	"outlast/backup/phrase"
	"outlast/backup/verdict"
	"outlast/backup/wording"
	"outlast/battery"
)

// workBehaviour writes down how the installed bank behaves: its model, its volts, its charging, its air, its wear, and
// what other methods say of its size.
func (w *workings) workBehaviour() {
	w.workModel()
	w.workVolts()
	w.workCharging()
	w.workAir()
	w.workLife()
	w.workCross()
}

// workModel shows the kinetic model of a lead-acid unit and how well it fits.
func (w *workings) workModel() {
	p := w.p
	u := p.Bank.Unit
	fit := p.Details.Kinetic
	if fit == nil {
		return
	}
	source := phrase.Of("kinetic battery model, Manwell & McGowan, Solar Energy 50 (1993) 399-405, from memory; least squares of 1/q")
	var points, residuals []phrase.Phrase
	for i, at := range u.WellPoints() {
		points = append(points, phrase.Of("%.4g Ah in %.4g h", at.Ah, at.Hours))
		residuals = append(residuals, phrase.Symbols("%+.2f %%", 100*fit.Residuals[i]))
	}
	from := phrase.Of("fitted to the discharges from the Peukert exponent")
	if len(u.Capacity) > 1 {
		from = phrase.Of("fitted to the discharges from the capacity table and the rated point")
	}
	w.step(phrase.Of("Kinetic model of a unit, share c in the available well"), from, phrase.Separated(points, ", "),
		fit.AvailableShare, "", source)
	w.step(phrase.Of("Kinetic model of a unit, rate k' of the flow between the wells"), phrase.Of("as above"), none,
		fit.RatePerH, "1/h", source)
	w.step(phrase.Of("Kinetic model of a unit, charge in both wells"),
		phrase.Of("as above; the charge that the slowest discharge would give"), none, fit.FullAh, "Ah", source)
	w.step(phrase.Of("Kinetic model of a unit, largest residual"), phrase.Of("fitted over given capacity, less 1"),
		phrase.Separated(residuals, ", "), fit.WorstResidual(), "", none)
}

// workVolts shows the bank under load at the lowest charge that the plan allows.
func (w *workings) workVolts() {
	p := w.p
	s, b, d := p.Site, p.Bank, p.Details
	floor := p.FloorSoC()
	at := phrase.Of("charge %.4g, %s", floor, wording.Amount(s.ColdestC, "C"))
	w.step(phrase.Of("Open-circuit voltage at the minimum state of charge"),
		phrase.Of("table of open-circuit voltages by chemistry, charge and temperature * cells"), at, d.RestV, "V",
		phrase.Of("published tables by chemistry"))
	w.workCutoff()
	if d.ResistanceOhm == 0 {
		return
	}
	w.step(phrase.Of("Internal resistance of the bank"), phrase.Of("series * resistance_mohm / strings"),
		phrase.Symbols("%d*%g/%d", b.Series, b.Unit.ResistanceMohm, b.Strings), 1000*d.ResistanceOhm, "mohm",
		phrase.Of("data sheet; full, 25 C, without links and cables"))
	w.called("bank_mohm")
	w.step(phrase.Of("Internal resistance at the minimum state of charge in the cold"),
		phrase.Of("resistance * factors of charge and of cold"), at, 1000*d.ColdOhm, "mohm",
		phrase.Of("rules of thumb, from memory"))
	if !d.Carries && s.Unit.Chemistry.LeadAcid() {
		w.step(phrase.Of("Highest power at the minimum state of charge"), phrase.Symbols("E^2 / (4 R)"),
			phrase.Symbols("E %.6g V, R %.6g mohm", d.RestV, 1000*d.ColdOhm), d.RestV*d.RestV/4/d.ColdOhm, "W",
			phrase.Of("Ohm's law"))
	}
	for i, st := range p.Starts.All {
		w.step(phrase.Of("Voltage while %q starts", st.Load),
			phrase.Of("E - R * I, E before the start, I at the lowest voltage"),
			phrase.Symbols("%.6g V - %.6g mohm * %.6g A", p.behindV(st), 1000*d.ColdOhm, p.dcStartA(st)),
			d.Starts[i].FloorV, "V", phrase.Of("Ohm's law"))
		if down := d.Starts[i]; down.Works {
			w.step(phrase.Of("Lowest charge at which %q starts", st.Load),
				phrase.Of("least charge with a voltage at constant power >= the cut-off, by bisection"),
				phrase.Symbols("%.6g W, %g V", p.startDCW(st), b.CutoffV), down.SoC, "", phrase.Of("Ohm's law"))
		}
	}
	if d.HasFault {
		w.step(phrase.Of("Short-circuit current, full"),
			phrase.Of("open-circuit voltage, full, 25 C / internal resistance"),
			phrase.Symbols("%.6g V / %.6g mohm", b.SourceV(1, ratingC), 1000*d.ResistanceOhm), d.Fault.FullA, "A",
			phrase.Of("Ohm's law; links and cables left out"))
		w.step(phrase.Of("Short-circuit current, nominal"),
			phrase.Of("nominal voltage / internal resistance, as makers print it"),
			phrase.Symbols("%g V / %.6g mohm", b.NominalV(), 1000*d.ResistanceOhm), d.Fault.NominalA, "A",
			phrase.Of("maker's manual for tubular vented cells"))
	}
}

// workCutoff shows the low-voltage cut-off, and what keeps it below the lowest charge of the plan.
func (w *workings) workCutoff() {
	p := w.p
	s, b, d := p.Site, p.Bank, p.Details
	loadedW := p.Inverter.DCPower(p.Demand.Scheduled.W)
	w.step(phrase.Of("Low-voltage cut-off to set"),
		phrase.Of("the higher of series * min_v and dc_min_v, up to a tenth of a volt"),
		phrase.Symbols("%.6g V, %.6g V", b.MinV(), p.Inverter.Unit.DCMinV), b.CutoffV, "V",
		phrase.Of("data sheet or default by chemistry"))
	if p.raised() {
		w.step(phrase.Of("Minimum state of charge of the plan"),
			phrase.Of("least charge at which full simultaneous load stays above the cut-off, up to a hundredth"),
			phrase.Symbols("%.6g W, %g V, %s", loadedW, b.CutoffV, wording.Amount(s.ColdestC, "C")), b.FloorSoC, "",
			phrase.Of("the same, solved for the charge"))
	}
	switch {
	case !d.Carries || !d.HasLoaded:
	case s.Unit.Chemistry.LeadAcid():
		w.step(phrase.Of("Voltage at full simultaneous load"), phrase.Of("(E + sqrt(E^2 - 4 R P)) / 2, constant power"),
			phrase.Symbols("E %.6g V, R %.6g mohm, P %.6g W", d.RestV, 1000*d.ColdOhm, loadedW), d.LoadedV, "V",
			phrase.Of("Ohm's law"))
	default:
		w.step(phrase.Of("Voltage at full simultaneous load"),
			phrase.Of("the lower of E - R * P/V and E less the fall of published cells at P/V, with the factor of the cold"),
			phrase.Symbols("E %.6g V, R %.6g mohm, P %.6g W", d.RestV, 1000*d.ColdOhm, loadedW), d.LoadedV, "V",
			battery.LoadedSource())
	}
}

func (w *workings) workCharging() {
	p := w.p
	s, b, d := p.Site, p.Bank, p.Details
	u := b.Unit
	unitV := map[battery.Stage]float64{battery.Absorption: u.ChargeV, battery.Float: u.FloatV,
		battery.Equalise: u.EqualiseV}
	for _, v := range d.Stages {
		for _, at := range []struct {
			title phrase.Phrase
			tempC float64
			volts float64
		}{{phrase.Of("Voltage of %s, coldest", stageWord(v.Stage)), s.ColdestC, v.AtColdest},
			{phrase.Of("Voltage of %s, hottest", stageWord(v.Stage)), s.HottestC, v.AtHottest}} {
			w.step(at.title, phrase.Of("series * unit volts at 25 C + cells * compensation * (25 - T)"),
				phrase.Symbols("%d*%g + %d*%.4g mV*(25 - %g)", b.Series, unitV[v.Stage], b.Cells(), u.CompensationMV(),
					at.tempC), at.volts, "V", phrase.Of("data sheet or default by chemistry"))
		}
	}
	low, high := u.Chemistry.RechargeFactor()
	w.step(phrase.Of("Charge factor"), phrase.Of("middle of the range by chemistry"),
		phrase.Symbols("(%g + %g)/2", low, high), (low+high)/2, "", trade)
	w.step(phrase.Of("Minimum charge current"), phrase.Of("lead-acid: C/20; lithium: none"),
		phrase.Symbols("%g Ah", b.CapacityAh()), d.Charge.LeastA, "A", trade)
	w.step(phrase.Of("Maximum charge current"),
		phrase.Of("max_charge_a of the unit * strings, or the usual share of the capacity"),
		phrase.Count(b.Strings, "%d string", "%d strings"), d.Charge.MostA, "A", d.Charge.Source)
	for _, c := range d.Charges {
		title, gives := phrase.Of("Charging from the grid"),
			phrase.Of("current of the grid and its charger, or limit of the bank, whichever is less")
		if c.By == byGenerator {
			title, gives = phrase.Of("Charging from the generator"),
				phrase.Of("current of the generator and its charger, or limit of the bank, whichever is less")
		}
		if !c.Problem.Empty() {
			continue
		}
		w.step(phrase.Of("%s, current", title), gives, phrase.Of("%.6g A offered", c.OfferedA), c.ChargeA, "A",
			phrase.Of("definition"))
		w.step(phrase.Of("%s, full current", title), phrase.Of("factor * Ah up to the knee / current"),
			phrase.Of("from a charge of %.4g, %g Ah", c.FromSoC, b.CapacityAh()), c.BulkH, "h",
			phrase.Of("generic text on charging; lithium: from memory"))
		w.step(phrase.Of("%s, constant voltage", title),
			phrase.Of("lead-acid: 0.42 * Ah / current; lithium: twice the time of full current for the last twentieth"),
			phrase.Symbols("%g Ah, %.6g A", b.CapacityAh(), c.ChargeA), c.AbsorptionH, "h",
			phrase.Of("inverter-charger practice, from memory"))
		if c.ModelOK {
			w.step(phrase.Of("%s, by the state model", title),
				phrase.Of("minute steps from the lowest charge to %g, new, 25 C", nearlyFull),
				phrase.Of("%.6g W offered", c.ChargeA*b.NominalV()), c.ModelH, "h",
				phrase.Of("two-well kinetic model for lead-acid, energy model for lithium"))
		}
	}
}

func (w *workings) workAir() {
	p := w.p
	b := p.Bank
	gas, ok := b.Unit.Chemistry.Gas()
	if !ok {
		return
	}
	if ah := b.C10Ah(); math.Abs(ah-b.CapacityAh()) > verdict.Slack*ah {
		w.step(phrase.Of("Capacity in 10 h"),
			phrase.Of("from the capacity table or the exponent; for the gassing figures"),
			phrase.Symbols("%g Ah, %g h", b.CapacityAh(), b.Unit.RatedH), ah, "Ah", phrase.Of("data sheet"))
	}
	for _, v := range []struct {
		title phrase.Phrase
		air   battery.Ventilation
	}{{phrase.Of("Ventilation air flow on float charge"), b.AirOnFloat},
		{phrase.Of("Ventilation air flow on boost charge"), b.AirOnBoost}} {
		a, opening, openingNumbers, source := v.air, phrase.Of("28 * flow, air at 0.1 m/s"),
			phrase.Symbols("28*%.6g", v.air.FlowM3PerH), phrase.Of("IEC 62485-2")
		switch a.Rule {
		case battery.AirByTable:
			w.step(v.title, phrase.Of("0.05 * cells * gas rate * Ah / 1000, twice with every 8 K above 40 C"),
				phrase.Symbols("%s*%d*%g mA/Ah*%.6g Ah/1000*%.4g", phrase.Number("0.05"), b.Cells(), a.GasMAPerAh,
					a.C10Ah, a.Heat), a.FlowM3PerH, "m3/h", gas.Source)
		case battery.AirByCharger:
			w.step(v.title,
				phrase.Of("cells * charging current * m3 of hydrogen for each Ah at 25 C / 0.02: volts above the table"),
				phrase.Symbols("%d*%.6g A*%s/%s", b.Cells(), a.CurrentA, phrase.Number("0.000458"),
					phrase.Number("0.02")), a.FlowM3PerH, "m3/h",
				phrase.Of("US UFC 3-520-01 (2002), clause %s; EN 62485-3 requires a little less",
					phrase.Name("14-1.3.2.2")))
		case battery.AirByAS:
			source = phrase.Of("AS 2676.1 as an engineers' page quotes it; valve-regulated cells from memory")
			w.step(v.title, phrase.Of("0.006 l/s * cells * current"),
				phrase.Symbols("%s*%d*%.6g A*%s", phrase.Number("0.006"), b.Cells(), a.CurrentA, phrase.Number("3.6")),
				a.FlowM3PerH, "m3/h", source)
			opening, openingNumbers = phrase.Of("100 cm2 for each l/s"),
				phrase.Symbols("100*%.6g/%s", a.FlowM3PerH, phrase.Number("3.6"))
		}
		w.step(phrase.Of("Ventilation opening, inlet and outlet each"), opening, openingNumbers, a.OpeningCM2, "cm2",
			source)
	}
	boost := b.AirOnBoost
	w.step(phrase.Of("Free volume of a well ventilated room"), phrase.Of("2.5 * flow, free volume"),
		phrase.Symbols("%s*%.6g", phrase.Number("2.5"), boost.FlowM3PerH), boost.RoomM3, "m3",
		phrase.Of("EN 50272-3 as a maker's page quotes it"))
	w.step(phrase.Of("Distance of sources of sparks from the vents"),
		phrase.Of("28.8 * cube root of cells behind a vent * mA of gas, at least 500 mm"),
		phrase.Symbols("%s*(%d*%.6g)^(1/3)", phrase.Number("28.8"), b.Unit.Cells(),
			1000*boost.FlowM3PerH/0.05/float64(b.Cells())), boost.DistanceMM, "mm",
		phrase.Of("EN 50272-2, from memory; the least: a consultant's page on charging rooms"))
	if ice := p.Details.Frost; ice != nil {
		w.step(phrase.Of("Freezing point at the minimum state of charge"),
			phrase.Of("gravity of the acid by charge, freezing point by gravity"),
			phrase.Of("charge %.4g, gravity %.4g", p.FloorSoC(), battery.GravityAt(p.FloorSoC())), ice.FreezesC, "C",
			battery.AcidSource())
		w.step(phrase.Of("State of charge below which it freezes at the coldest"),
			phrase.Of("the same, solved for the charge; 0: not even when empty"),
			phrase.Symbols("%s", wording.Amount(p.Site.ColdestC, "C")), ice.LeastSoC, "", phrase.Of("the same"))
	}
}

func (w *workings) workLife() {
	p := w.p
	d := p.Details
	if d.HasCycles {
		var beyond phrase.Phrase
		if d.CyclesBeyond {
			beyond = phrase.Of("; outside the table")
		}
		w.step(phrase.Of("Cycles at the planned depth of discharge"),
			phrase.Of("cycles table of the unit, straight on log-log"), phrase.Of("depth %g%s", p.Bank.DoD, beyond),
			d.Cycles, "cycles", phrase.Of("data sheet: of the laboratory at 25 C, an upper bound"))
	}
	w.step(phrase.Of("Calendar life at hottest_c"), phrase.Of("2^((25 - T)/10) of the life at 25 C, never above 1"),
		phrase.Of("T = %s all the time", wording.Amount(p.Site.HottestC, "C")), d.CalendarShare, "",
		phrase.Of("maker's handbook for lead-acid on float; for lithium a rule of thumb"))
}

// workCross sets the published methods beside the plan's own.
func (w *workings) workCross() {
	p := w.p
	c := p.Details.Cross
	if c == nil {
		return
	}
	if !c.Problem.Empty() {
		w.step(phrase.Of("Cross-check by published methods"), phrase.Of("not worked out: %s", c.Problem), none, 0,
			"", none)
		return
	}
	ours := p.Bank.Sizing.RequiredAh
	show := func(method phrase.Phrase, steps []Step, requiredAh float64, why phrase.Phrase) {
		for _, s := range steps {
			w.step(phrase.Of("%s: %s", method, phrase.Lower(s.Title)), s.Formula, s.Numbers, s.Value, s.Unit, s.Source)
		}
		w.step(phrase.Of("%s over the plan's own", method), phrase.Of("required size / required capacity: %s", why),
			phrase.Symbols("%.6g/%.6g", requiredAh, ours), verdict.Share(requiredAh, ours), "", none)
	}
	w.step(phrase.Of("Duty-cycle method: periods"), c.DutyNote, none, float64(c.DutyPeriods), "",
		phrase.Of("IEEE 485, from memory"))
	duty := c.Duty.Steps
	for i, s := range duty {
		if s.Title.String() == "Random load" { // none is asked for: starts are compared by themselves
			duty = append(duty[:i:i], duty[i+1:]...)
			break
		}
	}
	show(phrase.Of("Duty-cycle method"), duty, c.Duty.RequiredAh, c.DutyWhy)
	show(phrase.Of("Autonomy method"), c.Autonomy.Steps, c.Autonomy.RequiredAh, c.AutonomyWhy)
}

// stageWord names a stage of charging for a sentence.
func stageWord(s battery.Stage) phrase.Phrase {
	switch s {
	case battery.Absorption:
		return phrase.Of("absorption")
	case battery.Float:
		return phrase.Of("float")
	}
	return phrase.Of("equalise")
}
