package facts

import (
	"fmt"
	"slices"

	"outlast/backup/calendar"
	"outlast/backup/fault"
	"outlast/backup/generator"
	"outlast/backup/outage"
	"outlast/backup/phrase"
	"outlast/backup/site"
	"outlast/backup/verdict"
	"outlast/battery"
	"outlast/loads"
)

// LongestWalkH ends the simulation of a bank that nothing empties.
const LongestWalkH = 8760

// Model is the installed bank as it behaves through time, with so much of its capacity left by age, in the coldest
// battery space. It starts at the reserve.
func (p *Facts) Model(endOfLife float64) (battery.State, error) {
	return p.ModelUnder(p.Demand.Scheduled.W, endOfLife)
}

// ModelUnder is the model for other loads on the backup board, of which so many watts run at once at most.
func (p *Facts) ModelUnder(peakW, endOfLife float64) (battery.State, error) {
	o := p.ModelOptions(p.Bank.Bank, endOfLife)
	o.MaxDoD = p.DepthUnder(p.Bank.Bank, peakW)
	m, err := p.Bank.Model(o)
	if err != nil {
		return nil, fmt.Errorf("the bank cannot be simulated: %w", fault.Reason(err))
	}
	m.Reset(p.Site.Outage.Reserve)
	return m, nil
}

// ModelOptions are the conditions of a bank of the plan's units in an outage.
//
// Besides charge and currents, the low-voltage cut-off ends the discharge, as far as it is known how the volts fall.
func (p *Facts) ModelOptions(b battery.Bank, endOfLife float64) battery.ModelOptions {
	o := battery.ModelOptions{
		TemperatureC: p.Site.ColdestC, EndOfLife: endOfLife, MaxDoD: p.DepthUnder(b, p.Demand.Scheduled.W),
		MaxDischargeA: p.Inverter.MaxDischargeA(), Growth: p.Site.Practice.Growth,
		RateCredit: p.RateCredit(b), Fit: p.Shared.fit(b.Unit),
	}
	if p.Sags() {
		if o.CutoffV = p.Bank.CutoffV; o.CutoffV > 0 && b.Strings > 0 {
			o.Cutoff = p.Shared.cutoff(b, o.CutoffV, o.TemperatureC)
		}
	}
	return o
}

// RateCredit is [battery.Bank.RateCredit] at the mean current of the autonomy.
func (p *Facts) RateCredit(b battery.Bank) float64 { return b.RateCredit(p.Bank.Sizing.MeanCurrentA) }

// simulate follows the installed bank through the outage from its start until it does not carry the whole demand any
// more: the mean power of the day's profile, losses and growth included. ended says that the longest time was over
// before that; soc is the charge that is left.
func (p *Facts) simulate(endOfLife float64) (hours float64, ended bool, soc float64, err error) {
	m, err := p.Model(endOfLife)
	if err != nil {
		return 0, false, 0, err
	}
	hours, ended = p.Lasts(p.Demand.Profile, m, p.StartMin(), p.effort.WalkH)
	return hours, ended, m.SoC(), nil
}

// Lasts is how long a bank carries a day's profile from a minute of the day on, for walkH at most.
func (p *Facts) Lasts(profile loads.Profile, m battery.State, minute, walkH float64) (hours float64, ended bool) {
	l := lasts(p.drawn(profile), m, minute, walkH)
	return l.hours, l.ended
}

// autonomy simulates the installed bank at the end of its life, and new.
func (p *Facts) autonomy() (err error) {
	b := &p.Bank
	if b.AutonomyH, b.AutonomyCap, b.EndSoC, err = p.simulate(p.Site.Practice.EndOfLife); err != nil {
		return err
	}
	b.EndsBy = p.endsBy()
	if !p.effort.full {
		return nil
	}
	b.AutonomyNewH, _, _, err = p.simulate(1)
	return err
}

// End is what ended the bank's autonomy.
type End string

// The ends.
const (
	EndNone    End = ""        // nothing did: the simulation was ended
	EndCharge  End = "charge"  // the lowest charge that the plan allows
	EndVoltage End = "voltage" // the low-voltage cut-off
	EndCurrent End = "current" // more was asked than inverter or bank give
	EndRate    End = "rate"    // what is left is bound in the plates and does not come out so fast
	EndCold    End = "cold"    // in so cold a space the bank must not be discharged
)

// EndTolerance is how near to the floor the charge is that the floor ended, and how near to its limit a voltage: a step
// of a minute and the model's table of voltages are no finer.
const EndTolerance = 0.01

// endsBy tells what ended the autonomy, from the charge that was left and the power that was asked then.
func (p *Facts) endsBy() End {
	b := p.Bank
	if b.AutonomyCap {
		return EndNone
	}
	if p.TooColdToDischarge() {
		return EndCold
	}
	if b.EndSoC <= p.FloorSoC()+EndTolerance {
		if p.Raised() {
			return EndVoltage
		}
		return EndCharge
	}
	minute := (int(b.StartMin) + int(b.AutonomyH*60+verdict.Slack)) % calendar.DayMin
	askedW := 0.0
	for _, st := range p.Demand.Profile {
		if minute < st.EndMin {
			askedW = p.FromBank(st.W)
			break
		}
	}
	flowsA := askedW / b.NominalV() / (1 + p.Site.Practice.Growth)
	if limit := b.Unit.MaxDischargeA * float64(b.Strings); limit > 0 && flowsA > limit ||
		flowsA > p.Inverter.MaxDischargeA() {
		return EndCurrent
	}
	if p.Sags() {
		if v, ok := b.PowerV(askedW, b.EndSoC, p.Site.ColdestC); !ok || v <= b.CutoffV*(1+EndTolerance) {
			return EndVoltage
		}
	}
	if !b.Unit.Chemistry.LeadAcid() {
		return EndVoltage // lithium holds no charge back: nothing else is left
	}
	return EndRate
}

// TooColdToDischarge says whether the coldest battery space is below what the bank may be discharged at: it gives
// nothing there.
func (p *Facts) TooColdToDischarge() bool {
	least := p.Bank.Unit.DischargeMinC
	return least != nil && p.Site.ColdestC < *least
}

// Scenario is the home at the moment the grid fails, for the simulation of package outage: the loads of the backup
// board with their growth, the inverter, and the bank with so much of its capacity left by age. Array and generator are
// not in it.
func (p *Facts) Scenario(endOfLife float64) (outage.Scenario, error) {
	sc, _, err := p.ScenarioAndBank(endOfLife)
	return sc, err
}

// ScenarioAndBank is [Facts.Scenario] with its bank, to make copies of.
func (p *Facts) ScenarioAndBank(endOfLife float64) (outage.Scenario, battery.State, error) {
	m, err := p.Model(endOfLife)
	if err != nil {
		return outage.Scenario{}, nil, err
	}
	return p.scenarioWith(m), m, nil
}

// scenarioWith is [Facts.Scenario] with a model of the bank at its reserve.
func (p *Facts) scenarioWith(m battery.State) outage.Scenario {
	s := p.Site
	sc := outage.Scenario{
		StartMin: int(p.Bank.StartMin) % calendar.DayMin,
		Loads:    p.growing(p.InOutage()),
		Inverter: outage.Inverter{IdleW: p.Inverter.IdleW() * (1 + s.Practice.Growth),
			Efficiency: s.Inverter.Efficiency, LimitW: p.Inverter.DeratedW() * (1 + s.Practice.Growth)},
		Bank:     m,
		StartSoC: s.Outage.Reserve,
	}
	// Growth multiplies the energy drawn from the bank, as in the sizing: each load keeps the efficiency that it has
	// today.
	for _, point := range s.Inverter.EfficiencyCurve {
		sc.Inverter.Curve = append(sc.Inverter.Curve,
			outage.EfficiencyPoint{ACW: point.Load * p.Inverter.RatedW() * (1 + s.Practice.Growth),
				Efficiency: point.Efficiency})
	}
	return sc
}

// growing are loads with the growth of their energy.
func (p *Facts) growing(ls []loads.Load) []loads.Load {
	out := slices.Clone(ls)
	for i := range out {
		out[i].RunningW *= 1 + p.Site.Practice.Growth
	}
	return out
}

// Limits sets what holds for every outage that is followed: when an emptied bank carries loads again, and what goes
// into it at most, which is the charge current that is entered.
func (p *Facts) Limits(sc *outage.Scenario) {
	sc.RestartSoC = min(1, p.FloorSoC()+restartAbove)
	sc.ChargeLimitW = p.OutageChargeA(p.Bank.Bank) * p.Bank.NominalV()
}

// Spread is how far the rhythms of the loads spread the autonomy at the end of the bank's life: the hours that 90, 50
// and 10 % of seeded draws exceed. ok is false where no load has a rhythm.
type Spread struct {
	P10H, P50H, P90H float64
	Draws            int
}

// Spread draws the rhythms of the loads. It is not part of the plan's checks and only worked out when it is asked for.
func (p *Facts) Spread() (s Spread, ok bool, err error) {
	sc, err := p.Scenario(p.Site.Practice.EndOfLife)
	if err != nil {
		return Spread{}, false, err
	}
	for _, l := range sc.Loads {
		ok = ok || l.Cycle != nil
	}
	if !ok || p.Bank.AutonomyCap {
		return Spread{}, false, nil
	}
	// Twice the even autonomy is followed at most: no rhythm doubles what a bank lasts.
	a, err := outage.AutonomyOf(p.Shared.Ctx, sc, min(outage.MaxHours, int(2*p.Bank.AutonomyH)+24), site.SpreadDraws)
	if err := p.Shared.Ctx.Err(); err != nil {
		return Spread{}, false, err
	}
	if err != nil {
		return Spread{}, false, fmt.Errorf("the cycles of the loads cannot be simulated: %w", fault.Reason(err))
	}
	return Spread{a.P10H, a.P50H, a.P90H, site.SpreadDraws}, true, nil
}

// DropsOut says whether a load is dropped by the state of charge. What people's lives depend on never is.
func DropsOut(l *loads.Load) bool { return l.DropBelow > 0 && !l.Medical }

// restartAbove is how far above its floor an emptied bank carries loads again: a rule of people and relays, common
// practice.
const restartAbove = 0.10

// darkSoC is the charge down to which the bank carries the backup board at the end of its life: the floor or, where
// something else ends the autonomy before, what is left then; and no less than what keeps its voltage up when all that
// may run does.
func (p *Facts) darkSoC() float64 {
	soc := p.FloorSoC()
	if end := p.Bank.EndsBy; end == EndVoltage || end == EndRate {
		soc = max(soc, p.Bank.EndSoC)
	}
	if p.Sags() {
		if s, ok := p.Bank.LowestLoadedSoC(p.FromBank(p.Demand.Scheduled.W), p.Bank.CutoffV, p.Site.ColdestC); ok {
			soc = max(soc, s)
		}
	}
	return soc
}

// FuelCautions are what whoever counts the fuel of the site's generator says of it; none without one, or where its data
// sheet is known.
func (p *Facts) FuelCautions() []phrase.Phrase {
	if p.Site.Generator == nil {
		return nil
	}
	if text := generator.FuelCaution(p.Site.Generator); !text.Empty() {
		return []phrase.Phrase{text}
	}
	return nil
}

// OutageGenerator is the site's generator for the simulation; nil without one.
func (p *Facts) OutageGenerator() *outage.Generator {
	return generator.ForOutage(p.generatorAsked(), p.Bank.NominalV(), p.generatorCharge())
}
