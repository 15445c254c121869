package facts

import (
	"fmt"

	"outlast/backup/fault"
	"outlast/backup/phrase"
	"outlast/backup/verdict"
	"outlast/backup/wording"
	"outlast/backup/working"
	"outlast/battery"
)

// ChargeRange is the charge current that suits the bank, in A.
type ChargeRange struct {
	LeastA, MostA float64
	Source        working.Source // of MostA
	SourcesA      float64        // what all that charges it gives at most; 0: not known
	SetA          float64        // what to enter as the limit: the smaller of MostA and SourcesA, rounded down

	ColdA      float64 // the same in the coldest battery space, where that is less; 0: it is not, or it must not be charged there
	ColdSource working.Source
}

// SourcesLess says that the limit is what the sources give, and the bank bears more.
func (c ChargeRange) SourcesLess() bool {
	return c.SourcesA > 0 && c.SourcesA < c.MostA*(1-verdict.Slack)
}

// EnteredChargeA is the limit of the charge current that is entered for a bank: what the bank takes or what all its
// sources give, whichever is less. Settings tell it, and whatever charges the bank keeps to it.
func (p *Facts) EnteredChargeA(b battery.Bank) float64 {
	_, a, _ := b.ChargeRange()
	if sources := p.ChargeSourcesA(); sources > 0 {
		a = min(a, sources)
	}
	return entered(a)
}

// OutageChargeA is that limit in the coldest battery space, in which outages are followed. Where the cold lets nothing in
// at all, nothing less is entered, and the bank takes none.
func (p *Facts) OutageChargeA(b battery.Bank) float64 {
	a := p.EnteredChargeA(b)
	if cold, _, limited := b.ColdChargeA(p.Site.ColdestC); limited && cold > 0 {
		a = min(a, entered(cold))
	}
	return a
}

// entered is a current as it is entered. What is below the least that can be is left as it is.
func entered(a float64) float64 {
	if set := verdict.Settable(a); set > 0 {
		return set
	}
	return a
}

// ChargeTime is how long the installed bank takes to get full from the lowest charge that the plan allows. It is
// counted for the new bank at 25 C, which has the most to put back.
type ChargeTime struct {
	By       string // "grid" or "generator"
	OfferedA float64
	FromSoC  float64
	battery.Recharge
	Cold    battery.Recharge // with no more than ColdA of [ChargeRange]; no hours where that is no less than what it gets
	ModelH  float64          // what the state model takes to NearlyFull
	ModelOK bool
	Problem phrase.Phrase // why there is no time; empty if there is one
}

// What charges the bank.
const (
	ByGrid      = "grid"
	ByGenerator = "generator"
)

// NearlyFull is where the state model counts as full: the last hundredth comes in ever more slowly and has no end. Own;
// with it, model and rule of thumb tell about the same.
const NearlyFull = 0.99

// longestChargeH is four weeks: what takes longer is no way to fill a bank.
const longestChargeH = 672

// ChargeSourcesA is the most that all sources together put into the bank: the grid chargers, and the arrays at their
// rated power, never more than the inverters allow; 0 where the data sheet of the inverter does not tell.
func (p *Facts) ChargeSourcesA() float64 {
	limit := p.Inverter.Unit.MaxChargeA * float64(p.Inverter.Count)
	a := p.Inverter.ChargerA()
	if a == 0 {
		return limit
	}
	for _, array := range p.Site.Arrays {
		a += array.Module.RatedW * float64(array.ModulesPerString*array.Strings) / p.Bank.NominalV()
	}
	if limit > 0 {
		a = min(a, limit)
	}
	return a
}

// gridChargerA is what the grid chargers put into the bank under the limit of the current from the grid that is
// entered.
func (p *Facts) gridChargerA() float64 {
	a, takesA := p.Inverter.ChargerA(), p.Grid.InputA-p.Grid.PassThroughA
	limitA := p.Inverter.PerPhase(p.Grid.LimitA)
	if limitA > 0 && takesA > limitA {
		a *= limitA / takesA
	}
	return a
}

// charging works out the charge currents and times.
func (p *Facts) charging() error {
	d := &p.Details
	least, most, source := p.Bank.ChargeRange()
	d.Charge = ChargeRange{LeastA: least, MostA: most, Source: source, SourcesA: p.ChargeSourcesA(),
		SetA: p.EnteredChargeA(p.Bank.Bank)}
	if cold := p.OutageChargeA(p.Bank.Bank); cold < d.Charge.SetA*(1-verdict.Slack) {
		_, source, _ := p.Bank.ColdChargeA(p.Site.ColdestC)
		d.Charge.ColdA, d.Charge.ColdSource = cold, source
	}
	if a := p.Inverter.ChargerA(); a > 0 {
		if err := p.chargeTime(ByGrid, p.gridChargerA(), phrase.Phrase{}); err != nil {
			return err
		}
		if p.Site.Generator != nil {
			return p.chargeTime(ByGenerator, p.generatorChargeW()/p.Bank.NominalV(),
				phrase.Of("the loads leave nothing of the generator's power to charge with"))
		}
	}
	return nil
}

// chargeTime adds the time for a source of charging current, under the limit that is entered; without current, the
// problem is the answer.
func (p *Facts) chargeTime(by string, offeredA float64, problem phrase.Phrase) error {
	floor := p.FloorSoC()
	t := ChargeTime{By: by, OfferedA: offeredA, FromSoC: floor, Problem: problem}
	if offeredA > 0 {
		r, err := p.Bank.Recharge(floor, min(offeredA, p.Details.Charge.SetA))
		switch t.Recharge, t.Problem = r, (phrase.Phrase{}); {
		case err != nil:
			t.Problem = wording.ReasonOf(err)
		case t.Hours > longestChargeH:
			t.Problem = phrase.Of("%s would take more than four weeks", wording.Amount(offeredA, "A"))
		default:
			if cold := p.Details.Charge.ColdA; cold > 0 && cold < t.ChargeA {
				t.Cold, err = p.Bank.Recharge(floor, cold)
			}
			if err != nil {
				return fmt.Errorf("the bank cannot be charged in the cold: %w", fault.Reason(err))
			}
		}
	}
	if t.Problem.Empty() {
		m, err := p.Bank.Model(battery.ModelOptions{TemperatureC: RatingC, MaxDoD: p.Depth(),
			Fit: p.Shared.fit(p.Bank.Unit)})
		if err != nil {
			return fmt.Errorf("the bank cannot be simulated: %w", fault.Reason(err))
		}
		m.Reset(floor)
		t.ModelH, t.ModelOK = battery.RechargeH(m, t.ChargeA*p.Bank.NominalV(), NearlyFull)
	}
	p.Details.Charges = append(p.Details.Charges, t)
	return nil
}

// LongestH is the time to count with: that in the coldest battery space, where the bank takes less current there.
func (t ChargeTime) LongestH() float64 { return max(t.Hours, t.Cold.Hours) }

// TooColdToCharge is the temperature below which the bank takes nothing, where the battery space gets colder than that.
func (p *Facts) TooColdToCharge() (limitC float64, is bool) {
	limitC, _, _, ok := p.Bank.Unit.LeastChargeC()
	if !ok || p.Site.ColdestC >= limitC {
		return 0, false
	}
	return limitC, true
}
