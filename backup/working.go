package backup

import (
	"fmt"
	"math"
	"strings"

	"outlast/battery"
)

// A Step is one numbered step of the working: what is worked out, by which formula, with which numbers, and where the formula
// or a number comes from.
type Step struct {
	No      int
	Title   string
	Formula string
	Numbers string
	Value   float64
	Unit    string
	Source  string
}

const trade = "common practice"

// working writes down every step behind the figures of the plan, in the order in which they follow from each other.
func (p *Plan) working() {
	p.workDemand()
	p.workStarts()
	p.workInverter()
	p.workBank()
	p.workBehaviour()
	p.workWires()
	for _, c := range p.Checks {
		if !c.HasLimit {
			continue
		}
		formula := "(limit - demand) / limit, met if demand <= limit"
		if c.AtLeast {
			formula = "(demand - limit) / limit, met if demand >= limit"
		}
		if marginUnit(c) == "K" {
			formula = "demand - limit, met if demand >= limit"
		}
		p.step("Check "+c.ID+": margin", formula+": "+string(c.Status),
			fmt.Sprintf("demand %s, limit %s", fig(c.Demand, c.Unit), fig(c.Limit, c.Unit)), c.Margin, marginUnit(c), "")
	}
}

func marginUnit(c Check) string {
	if c.AtLeast && c.Unit == "C" {
		return "K"
	}
	return ""
}

func (p *Plan) step(title, formula, numbers string, value float64, unit, source string) {
	p.Working = append(p.Working, Step{No: len(p.Working) + 1, Title: title, Formula: formula, Numbers: numbers, Value: value, Unit: unit, Source: source})
}

// fig writes a number of the working with six digits: enough to follow it with a pocket calculator.
func fig(v float64, unit string) string { return withUnit(v, unit) }

func (p *Plan) workDemand() {
	d := p.Demand
	in := p.inOutage()
	p.step("Month of the outage", "given, or the month with the highest daily energy", p.MonthName(), float64(p.Month), "", "")
	var watts, energy []string
	for _, l := range in {
		watts = append(watts, fmt.Sprintf("%d*%g", l.Quantity, l.RunningW))
		energy = append(energy, fmt.Sprintf("%d*%g*%g", l.Quantity, l.RunningW, l.HoursPerDay))
	}
	p.step("Connected power", "sum of quantity * running_w; of an interlock one member", terms(watts), d.Connected.W, "W", "definition")
	p.step("Connected apparent power", "sqrt((sum P)^2 + (sum Q)^2), Q = P*tan(acos(pf))", "", d.Connected.VA, "VA", "definition")
	p.step("Scheduled power", "highest sum over the minutes of the day", "worst minute "+Clock(d.Scheduled.AtMin), d.Scheduled.W, "W", "definition")
	p.step("Scheduled apparent power", "highest vector sum over the minutes of the day", "worst minute "+Clock(d.Scheduled.VAAtMin), d.Scheduled.VA, "VA", "definition")
	p.step("Probable power", fmt.Sprintf("smallest sum w with P(sum <= w) >= %g, each unit on by hours_per_day / hours of its windows", p.Site.Practice.Confidence),
		"exact distribution, worst interval of the day", d.ProbableW, "W", "binomial and Poisson-binomial distribution, any text on statistics")
	p.step("Energy of a day", "sum of quantity * running_w * hours_per_day", terms(energy), d.EnergyWhPerDay, "Wh", "definition")
}

// terms joins the terms of a sum; a long sum is cut, since the table of loads shows it whole.
func terms(list []string) string {
	const most = 12
	if len(list) == 0 {
		return "no loads"
	}
	if len(list) > most {
		return strings.Join(list[:most], " + ") + fmt.Sprintf(" + … (%d terms)", len(list))
	}
	return strings.Join(list, " + ")
}

func (p *Plan) workStarts() {
	for _, st := range p.Starts.All {
		p.step(fmt.Sprintf("Start of %q", st.Load), "start of one unit + everything else that runs in that minute, as vectors",
			fmt.Sprintf("worst minute %s, lasting %g s", Clock(st.AtMin), st.Seconds), st.VA, "VA", "definition")
		where := "in total"
		if st.Phase > 0 {
			where = fmt.Sprintf("on phase %d, with a third or half of the rating", st.Phase)
		}
		p.step(fmt.Sprintf("Rating for the start of %q", st.Load), "highest va among overload points with seconds >= t, or the continuous rating; derated",
			fmt.Sprintf("t = %g s, compared %s", st.Seconds, where), st.LimitVA, "VA", "stepwise reading of the data sheet, the safe side")
	}
	r := p.Starts.Restart
	p.step("Restart, everything at once", "sum of starting powers, all units, of what is scheduled", "worst minute "+Clock(r.AtMin), r.VA, "VA", "definition")
}

func (p *Plan) workInverter() {
	s, g := p.Site, p.Inverter
	inv := g.Unit
	p.step("Derating by heat", "1 - derate_per_c * (hottest_c - derate_from_c), from 0 to 1",
		fmt.Sprintf("1 - %g*(%g - %g)", inv.DeratePerC, s.HottestC, inv.DerateFromC), g.DeratingHeat, "", "data sheet or default")
	p.step("Derating by altitude", "1 - derate_per_100m * (altitude_m - derate_from_m)/100, from 0 to 1",
		fmt.Sprintf("1 - %g*(%g - %g)/100", inv.DeratePer100M, s.AltitudeM, inv.DerateFromM), g.DeratingAltitude, "", "data sheet or default")
	p.step("Continuous rating", "rated_va * count * both factors",
		fmt.Sprintf("%g*%d*%.4g*%.4g", inv.RatedVA, g.Count, g.DeratingHeat, g.DeratingAltitude), g.DeratedVA(), "VA", "data sheet")
	p.step("Continuous power rating", "rated_w * count * both factors",
		fmt.Sprintf("%g*%d*%.4g*%.4g", inv.RatedW, g.Count, g.DeratingHeat, g.DeratingAltitude), g.DeratedW(), "W", "data sheet")
	p.step("Pass-through current per phase", "largest phase of the scheduled VA, held-off loads included / nominal_v",
		fmt.Sprintf("%.6g VA / %g V", p.Grid.PassThroughA*s.NominalV, s.NominalV), p.Grid.PassThroughA, "A", "definition")
	p.step("Charger power from the grid", "charger_a * count * charge voltage of the bank / efficiency",
		fmt.Sprintf("%.6g A * %.6g V / %g", g.ChargerA(), float64(s.Series)*s.Unit.ChargeV, inv.Efficiency), g.ChargerInputW(float64(s.Series)*s.Unit.ChargeV), "W", "energy balance")
}

func (p *Plan) workBank() {
	s, g, b := p.Site, p.Inverter, p.Bank
	z, hours := b.Sizing, s.Outage.AutonomyH
	p.step("Energy of the autonomy, AC", "largest energy of any window of autonomy_h hours of the daily profile, or from the given start",
		fmt.Sprintf("%g h from %s", hours, Clock(int(math.Round(b.StartMin))%dayMin)), b.EnergyACWh, "Wh", "definition")
	if len(s.Inverter.EfficiencyCurve) == 0 {
		p.step("Energy of the autonomy, DC", "E_ac / efficiency + idle_w * count * autonomy_h",
			fmt.Sprintf("%.6g/%g + %g*%d*%g", b.EnergyACWh, s.Inverter.Efficiency, s.Inverter.IdleW, g.Count, hours), b.EnergyDCWh, "Wh", "energy balance")
	} else {
		p.step("Energy of the autonomy, DC", "sum over the profile of (P_ac / efficiency(P_ac) + idle_w * count) * time", "efficiency curve of the inverter, step by step",
			b.EnergyDCWh, "Wh", "energy balance")
	}
	p.step("Units in series", "nominal_dc_v / unit volts to the nearest whole number whose voltages fit the DC window",
		fmt.Sprintf("%g/%g", s.Inverter.NominalDCV, s.Unit.NominalV), float64(b.Series), "", "definition")
	p.step("Usable share", "reserve - (1 - max_dod)", fmt.Sprintf("%g - (1 - %g)", s.Outage.Reserve, b.DoD), z.UsableFraction, "", "definition")
	p.step("Mean current", "E_dc * (1 + growth) / (V_nominal * autonomy_h)",
		fmt.Sprintf("%.6g*(1 + %g)/(%g*%g)", b.EnergyDCWh, s.Practice.Growth, b.NominalV(), hours), z.MeanCurrentA, "A", "definition")
	p.step("Capacity factor of temperature", "table by chemistry, never above 1", fmt.Sprintf("%s at %g C", s.Unit.Chemistry, s.ColdestC), z.KTemperature, "", battery.TemperatureSource(s.Unit.Chemistry, s.ColdestC))
	rate := fmt.Sprintf("exponent %g, H = %g h, I = %.6g A, C = %.6g Ah", s.Unit.Peukert, s.Unit.RatedH, z.MeanCurrentA, z.RequiredAh)
	formula, source := "(C/(I*H))^(k-1), solved together with C, never above 1", "Peukert's rule for a capacity at H hours"
	if len(s.Unit.Capacity) > 1 {
		rate = fmt.Sprintf("capacity table of the unit, I = %.6g A on C = %.6g Ah", z.MeanCurrentA, z.RequiredAh)
		formula, source = "capacity table, straight on log-log, solved together with C, never above 1", "data sheet"
	}
	p.step("Capacity factor of rate", formula, rate, z.KRate, "", source)
	p.step("Required capacity", "E_dc*(1+growth)*(1+margin) / (V_nominal * usable share * end_of_life * k_temperature * k_rate)",
		fmt.Sprintf("%.6g*%g*%g / (%g*%.4g*%g*%.4g*%.4g)", b.EnergyDCWh, 1+s.Practice.Growth, 1+s.Practice.Margin, b.NominalV(), z.UsableFraction, s.Practice.EndOfLife, z.KTemperature, z.KRate),
		z.RequiredAh, "Ah", "autonomy method, stand-alone systems, "+trade)
	p.step("Strings needed", "required capacity / unit Ah, rounded up", fmt.Sprintf("%.6g/%g", z.RequiredAh, s.Unit.RatedAh), float64(z.Strings), "", "definition")
	p.step("Installed capacity", "strings * unit Ah", fmt.Sprintf("%d*%g", b.Strings, s.Unit.RatedAh), b.CapacityAh(), "Ah", "definition")
	p.step("Energy to use at end of life", "V_nominal * Ah * usable share * end_of_life * k_temperature * k_rate of the installed bank",
		fmt.Sprintf("%g*%g*%.4g*%g*%.4g*%.4g", b.NominalV(), b.CapacityAh(), z.UsableFraction, s.Practice.EndOfLife, z.KTemperature, b.KRate), p.usableWh(), "Wh", "definition")
	p.step("Autonomy", "minute simulation of the installed bank at the end of its life until the demand is not carried in full", "from "+Clock(int(math.Round(b.StartMin))%dayMin), b.AutonomyH, "h", "two-well kinetic model for lead-acid, energy model for lithium")
	p.step("Autonomy, new", "the same with the whole capacity", "", b.AutonomyNewH, "h", "the same")
	p.step("Lowest voltage of the bank", "series * min_v", fmt.Sprintf("%d*%.6g", b.Series, s.Unit.MinV), p.lowV(), "V", "data sheet or default by chemistry")
	p.step("Battery current of the scheduled power", "(idle_w*count + P/efficiency) / lowest voltage",
		fmt.Sprintf("%.6g W / %.6g V", g.DCPower(p.Demand.Scheduled.W), p.lowV()), g.DCPower(p.Demand.Scheduled.W)/p.lowV(), "A", "energy balance")
	p.step("Highest charging voltage", "charge (or equalise) voltage, raised by the compensation to coldest_c", fmt.Sprintf("%d cells at %g C", b.Cells(), s.ColdestC), p.chargingV(), "V", "data sheet or default by chemistry")
}
