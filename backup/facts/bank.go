package facts

import (
	"fmt"
	"math"

	"outlast/backup/calendar"
	"outlast/backup/fault"
	"outlast/backup/site"
	"outlast/backup/verdict"
	"outlast/battery"
	"outlast/loads"
)

// sizeBank works out the capacity that the bank needs, and how many strings the plan installs.
func (p *Facts) sizeBank() error {
	s, b := p.Site, &p.Bank
	hours := s.Outage.AutonomyH
	b.StartMin = float64(s.Outage.Start)
	if s.Outage.Start == site.WorstStart {
		b.StartMin, b.EnergyACWh = p.Asked.worstStart(hours)
	} else {
		b.EnergyACWh = p.Demand.Profile.EnergyWh(b.StartMin, hours)
	}
	b.EnergyDCWh = p.dcEnergyWh()
	b.DoD, b.DoDClamped = s.Unit.DoD(s.Practice.MaxDoD)
	b.DoDDeeper = s.Unit.DoDUsual && b.DoD > s.Unit.Chemistry.UsualDoD()
	var err error
	b.Sizing, err = battery.Size(s.Unit, s.Series, p.need(s.ColdestC))
	if err != nil {
		return fmt.Errorf("the bank cannot be sized: %w", fault.Reason(err))
	}
	b.Bank = battery.Bank{Unit: s.Unit, Series: s.Series, Strings: s.Strings}
	if b.Sized = s.Strings == 0; b.Sized {
		b.Strings = b.Sizing.Strings
	}
	return nil
}

// need is what the bank is sized for, in a space of that temperature.
func (p *Facts) need(tempC float64) battery.Need {
	s, b := p.Site, &p.Bank
	return battery.Need{EnergyDCWh: b.EnergyDCWh, Hours: s.Outage.AutonomyH, Growth: s.Practice.Growth,
		Margin: s.Practice.Margin, Reserve: s.Outage.Reserve, MaxDoD: b.DoD, EndOfLife: s.Practice.EndOfLife,
		TemperatureC: tempC}
}

// A lived-in room, and what the whole degrees of either scale may take of a temperature. Own planning rules.
const roomC, ofRounding = 20.0, 0.5

// WarmEnoughC is the temperature, in whole degrees, at which the bank has the capacity that is required and that it
// misses in the cold; ok is false where it has it, or would not have it in a room that people live in either.
func (p *Facts) WarmEnoughC() (c float64, ok bool) {
	have := p.Bank.CapacityAh()
	does := func(c float64) bool {
		s, err := battery.Size(p.Site.Unit, p.Site.Series, p.need(c))
		return err == nil && s.RequiredAh <= have*(1+verdict.Slack)
	}
	if does(p.Site.ColdestC) {
		return 0, false
	}
	for c := math.Ceil(p.Site.ColdestC); c <= roomC; c++ {
		if c > p.Site.ColdestC && does(c-ofRounding) {
			return c, true
		}
	}
	return 0, false
}

// installBank simulates the bank through the outage.
func (p *Facts) installBank() error {
	b := &p.Bank
	p.setCutoff()
	b.KRate, _ = b.RateFactor(b.Sizing.MeanCurrentA)
	if err := p.air(); err != nil {
		return err
	}
	return p.autonomy()
}

// dcEnergyWh is what the inverters draw from the bank over the autonomy. With one efficiency the sums are done once;
// with a curve each step of the profile has its own.
func (p *Facts) dcEnergyWh() float64 {
	hours := p.Site.Outage.AutonomyH
	if len(p.Site.Inverter.EfficiencyCurve) == 0 {
		return p.Bank.EnergyACWh/p.Site.Inverter.Efficiency + p.Inverter.IdleW()*hours
	}
	wh := 0.0
	steps(p.Demand.Profile, p.Bank.StartMin, hours, func(w, h float64) bool {
		wh += p.Inverter.DCPower(w) * h
		return true
	})
	return wh
}

// UsableWh is what the installed bank may give at the end of its life, in the cold and at the mean current.
func (p *Facts) UsableWh() float64 {
	b := p.Bank
	return b.NominalV() * b.CapacityAh() * p.UsableShare() * p.Site.Practice.EndOfLife * b.Sizing.KTemperature * b.KRate
}

// steps calls do with the power and the length of each step of the day's profile from startMin on, days repeating,
// until hours are over or do says stop.
func steps(profile loads.Profile, startMin, hours float64, do func(w, h float64) bool) {
	now, end := startMin, startMin+hours*60
	for day := 0.0; now < end; day += calendar.DayMin {
		for _, st := range profile {
			from, to := max(now, day+float64(st.StartMin)), min(end, day+float64(st.EndMin))
			if to <= from {
				continue
			}
			if !do(st.W, (to-from)/60) {
				return
			}
			now = to
		}
	}
}
