package facts

import (
	"math"

	"outlast/backup/calendar"
	"outlast/backup/phrase"
	"outlast/backup/verdict"
	"outlast/backup/wording"
	"outlast/battery"
)

// CrossCheck is what published methods for lead-acid ask for, beside the plan's own capacity. They leave out different
// things, so that none of them replaces it.
type CrossCheck struct {
	Duty        battery.DutySizing // of the stationary-battery standard
	DutyPeriods int
	DutyNote    phrase.Phrase // how the duty cycle was made, and what was extrapolated
	DutyWhy     phrase.Phrase // why it differs from ours

	Autonomy    battery.AutonomySizing // of the stand-alone standard
	AutonomyWhy phrase.Phrase

	Problem phrase.Phrase // why a method gave nothing
}

// crossCheck sizes the bank by the two methods.
func (p *Facts) crossCheck() {
	s, b := p.Site, p.Bank
	if !s.Unit.Chemistry.LeadAcid() {
		return
	}
	c := &CrossCheck{}
	p.Details.Cross = c
	periods, note := p.DutyPeriods()
	c.DutyPeriods, c.DutyNote = len(periods), note
	var err error
	c.Duty, err = s.Unit.DutyCycle(battery.DutyCycle{Periods: periods, TemperatureC: s.ColdestC,
		Margin: s.Practice.Margin, EndOfLife: s.Practice.EndOfLife})
	if err != nil {
		c.Problem = wording.ReasonOf(err)
		return
	}
	if len(c.Duty.Cautions) > 0 {
		c.DutyNote = phrase.Separated(append([]phrase.Phrase{c.DutyNote}, c.Duty.Cautions...), "; ")
	}
	c.DutyWhy = phrase.Of("it discharges the bank to its end-of-discharge voltage, "+
		"where the plan uses %.3g of the charge; it also counts the order of the loads and takes the temperature "+
		"factor from its own table",
		b.Sizing.UsableFraction)
	days := s.Outage.AutonomyH / 24
	c.Autonomy, err = battery.AutonomyMethod(battery.AutonomyCase{
		DailyWh: b.EnergyDCWh * (1 + s.Practice.Growth) / days, BankV: b.NominalV(), Days: days, MaxDoD: b.DoD,
		Multiplier: 1 / b.Sizing.KTemperature, Allowance: s.Practice.Margin, UnitAh: s.Unit.RatedAh,
	})
	if err != nil {
		c.Problem = wording.ReasonOf(err)
		return
	}
	c.AutonomyWhy = p.autonomyWhy()
}

// autonomyWhy says what the autonomy method leaves out and the plan counts.
func (p *Facts) autonomyWhy() phrase.Phrase {
	var out []phrase.Phrase
	if v := p.Site.Practice.EndOfLife; v < 1 {
		out = append(out, phrase.Of("age (end_of_life %g)", v))
	}
	if v := p.Site.Outage.Reserve; v < 1 {
		out = append(out, phrase.Of("a reserve below full (%g)", v))
	}
	if v := p.Bank.Sizing.KRate; math.Abs(v-1) > verdict.Slack {
		out = append(out, phrase.Of("the rate of discharge (%.3g)", v))
	}
	if len(out) == 0 {
		return phrase.Of("nothing that the method leaves out counts here, so that both agree")
	}
	return phrase.Of("it does not count %s", phrase.List(out))
}

// mostPeriods keeps the duty cycle readable: more of them are put together to half hours.
const mostPeriods = 48

// sliverMin is what rounding leaves of a step at the end of the outage; the method would count it as a whole minute.
const sliverMin = 1e-6

// DutyPeriods is the duty cycle of the outage: the current at nominal volts by the steps of the daily profile, growth
// included, equal neighbours merged. Of an outage longer than a day only the last day is told step by step: a section's
// size depends on how the cycle ends, and what went before counts with its mean.
func (p *Facts) DutyPeriods() (periods []battery.Period, note phrase.Phrase) {
	start := p.Bank.StartMin
	before := max(0, p.Site.Outage.AutonomyH-24)
	hours, note := p.Site.Outage.AutonomyH-before, phrase.Of("steps of the daily profile, equal neighbours merged")
	if before > 0 {
		periods = append(periods, battery.Period{CurrentA: p.meanA(start, before), Minutes: before * 60})
	}
	start = math.Mod(start+before*60, calendar.DayMin)
	var day []battery.Period
	steps(p.Demand.Profile, start, hours, func(w, h float64) bool {
		if h*60 < sliverMin {
			return true
		}
		a := p.demandA(w)
		if n := len(day); n > 0 && math.Abs(day[n-1].CurrentA-a) <= verdict.Slack*a {
			day[n-1].Minutes += h * 60
		} else {
			day = append(day, battery.Period{CurrentA: a, Minutes: h * 60})
		}
		return true
	})
	if len(day) > mostPeriods {
		day, note = nil, phrase.Of("means of half hours")
		for k := range int(math.Ceil(hours*2 - verdict.Slack)) {
			from := float64(k) / 2
			h := min(0.5, hours-from)
			day = append(day, battery.Period{CurrentA: p.meanA(start+from*60, h), Minutes: h * 60})
		}
	}
	if before > 0 {
		note = phrase.Of("%s; all but the last day at its mean current", note)
	}
	return append(periods, day...), note
}

// demandA is the current that a demand draws from the bank at its nominal volts, growth included.
func (p *Facts) demandA(w float64) float64 {
	return p.Inverter.DCPower(w) * (1 + p.Site.Practice.Growth) / p.Bank.NominalV()
}

// meanA is the mean of that current over so many hours from a minute on.
func (p *Facts) meanA(startMin, hours float64) float64 {
	ah := 0.0
	steps(p.Demand.Profile, startMin, hours, func(w, h float64) bool {
		ah += p.demandA(w) * h
		return true
	})
	return ah / hours
}
