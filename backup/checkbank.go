package backup

import (
	"fmt"
	"math"
)

// lowV is the lowest voltage of the bank in use: where currents are largest.
func (p *Plan) lowV() float64 { return p.Bank.MinV() }

// dcLimit is a current limit of the inverters and one of the bank, either of which may be unknown (0).
type dcLimit struct {
	inverterA, bankA float64
	bankKey          string // the key that would tell the bank's
}

// compare checks a current against those limits that are known: a broken one fails, a missing one is a caution.
func (l dcLimit) compare(id string, a float64, what string) Check {
	limit, whose := math.Inf(1), ""
	if l.inverterA > 0 {
		limit, whose = l.inverterA, "the inverter"
	}
	if l.bankA > 0 && l.bankA < limit {
		limit, whose = l.bankA, "the bank"
	}
	if math.IsInf(limit, 1) {
		return unknown(id, a, "A", fmt.Sprintf("%s draws %s from the bank; give %s of the battery to compare", what, Amount(a, "A"), l.bankKey))
	}
	c := atMost(id, a, limit, "A").because(
		fmt.Sprintf("%s draws %s from the bank at its lowest voltage; %s gives %s", what, Amount(a, "A"), whose, Amount(limit, "A")),
		fmt.Sprintf("%s draws %s from the bank at its lowest voltage, but %s gives only %s", what, Amount(a, "A"), whose, Amount(limit, "A")))
	if c.Status == Pass && l.bankA == 0 {
		c.Status = Caution
		c.Reason += fmt.Sprintf("; give %s of the battery to compare with the bank too", l.bankKey)
	}
	return c
}

func (p *Plan) checkDCCurrent() Check {
	a := p.Inverter.DCPower(p.Demand.Scheduled.W) / p.lowV()
	limit := dcLimit{p.Inverter.MaxDischargeA(), float64(p.Bank.Strings) * p.Bank.Unit.MaxDischargeA, "max_discharge_a"}
	return limit.compare("dc-current", a, "everything that runs at once")
}

// pulseA is what the bank gives for so many seconds, 0 when its data sheet does not tell: the pulse where it lasts long
// enough, else the continuous current.
func (p *Plan) pulseA(seconds float64) float64 {
	u := p.Bank.Unit
	a := u.MaxDischargeA
	if u.PulseS > 0 && u.PulseS >= seconds {
		a = max(a, u.PulseA)
	}
	return a * float64(p.Bank.Strings)
}

// dcStartA is what the bank gives while a load starts, at its worst minute for watts.
func (p *Plan) dcStartA(st Start) float64 { return p.Inverter.DCPower(st.MaxW) / p.lowV() }

func (p *Plan) checkDCSurge() Check {
	const id = "dc-surge-current"
	if p.Starts.Worst < 0 {
		return Check{ID: id, Status: Pass, Unit: "A", Reason: "nothing on the backup board starts harder than it runs"}
	}
	var worst Check
	for i, st := range p.Starts.All {
		limit := dcLimit{bankA: p.pulseA(st.Seconds), bankKey: "max_discharge_a"}
		c := limit.compare(id, p.dcStartA(st), fmt.Sprintf("the start of %q", st.Load))
		// A start whose limit is not known is worse than one that passes: it must not hide behind it.
		closer := c.HasLimit && c.Margin < worst.Margin || !c.HasLimit && c.Demand > worst.Demand
		if c.Status != worst.Status {
			closer = worse(worst.Status, c.Status) == c.Status
		}
		if i == 0 || closer {
			worst = c
		}
	}
	return worst
}

// chargingV is the highest voltage that charging puts on the bank in the coldest battery space.
func (p *Plan) chargingV() float64 {
	return p.Bank.HighestChargeV(p.Site.ColdestC, p.Inverter.Unit.Equalises)
}

func (p *Plan) checkWindowHigh() Check {
	v, limit := p.chargingV(), p.Inverter.Unit.DCMaxV
	what := fmt.Sprintf("charging at %g C puts up to %.1f V on the bank", p.Site.ColdestC, v)
	return atMost("dc-window-high", v, limit, "V").because(
		fmt.Sprintf("%s; the inverter bears %g V", what, limit),
		fmt.Sprintf("%s, but the inverter bears only %g V: lower the charge voltage or choose another bank", what, limit))
}

func (p *Plan) checkWindowLow() Check {
	v, limit := p.lowV(), p.Inverter.Unit.DCMinV
	return atLeast("dc-window-low", v, limit, "V").because(
		fmt.Sprintf("the empty bank still has %.1f V; the inverter runs down to %g V", v, limit),
		fmt.Sprintf("the empty bank has %.1f V, but the inverter switches off below %g V, so part of the bank cannot be used", v, limit))
}

func (p *Plan) checkCapacity() Check {
	need, have := p.Bank.Sizing.RequiredAh, p.Bank.CapacityAh()
	return atMost("bank-capacity", need, have, "Ah").because(
		fmt.Sprintf("%s are needed, margin, cold and age included; the bank has %s", Amount(need, "Ah"), Amount(have, "Ah")),
		fmt.Sprintf("%s are needed, margin, cold and age included, but the bank has only %s: %s would do", Amount(need, "Ah"), Amount(have, "Ah"), plural(p.Bank.Sizing.Strings, "string", "strings")))
}

func (p *Plan) checkAutonomy() Check {
	asked, have := p.Site.Outage.AutonomyH, p.Bank.AutonomyH
	more := ""
	if p.Bank.AutonomyCap {
		more = "at least "
	}
	return atMost("autonomy", asked, have, "h").because(
		fmt.Sprintf("the bank carries the backup circuits for %s%s at the end of its life; %s are asked for", more, Amount(have, "h"), Amount(asked, "h")),
		fmt.Sprintf("at the end of its life the bank carries the backup circuits for %s, not the %s that are asked for", Amount(have, "h"), Amount(asked, "h")))
}

// minChargeRate is the least charge current per rated Ah that keeps a lead-acid bank healthy (C/20): common practice. A
// weaker charger never mixes the electrolyte nor clears the plates.
const minChargeRate = 0.05

func (p *Plan) checkChargeRate() Check {
	const id, unit = "bank-charge-rate", "A/Ah"
	u, ah := p.Bank.Unit, p.Bank.CapacityAh()
	a := p.Inverter.ChargerA()
	if a == 0 {
		return unknown(id, 0, unit, "give charger_a of the inverter to compare the charge current with what the bank bears")
	}
	rate := a / ah
	if u.Chemistry.LeadAcid() && rate < minChargeRate*(1-slack) {
		c := atLeast(id, rate, minChargeRate, unit)
		c.Reason = fmt.Sprintf("the charger gives %s, %s; a lead-acid bank of %s wants at least %s, or it stays half charged and ages fast",
			Amount(a, "A"), Amount(rate, unit), Amount(ah, "Ah"), Amount(minChargeRate*ah, "A"))
		return c
	}
	if u.MaxChargeA == 0 {
		return unknown(id, rate, unit, fmt.Sprintf("the charger gives %s per Ah of the bank; give max_charge_a of the battery to compare", Amount(rate, "A")))
	}
	limit := u.MaxChargeA / u.RatedAh
	return atMost(id, rate, limit, unit).because(
		fmt.Sprintf("the charger gives %s; the bank takes up to %s", Amount(a, "A"), Amount(limit*ah, "A")),
		fmt.Sprintf("the charger gives %s, but the bank takes only %s: set the charger lower", Amount(a, "A"), Amount(limit*ah, "A")))
}

func (p *Plan) checkParallel() Check {
	n, limit := float64(p.Bank.Strings), float64(p.Bank.Unit.MaxParallel)
	return atMost("bank-parallel", n, limit, "strings").atWorst(Caution).because(
		fmt.Sprintf("%s in parallel; up to %g are usual for this battery", plural(p.Bank.Strings, "string", "strings"), limit),
		fmt.Sprintf("%s in parallel, more than the %g that share the current evenly: choose a larger unit", plural(p.Bank.Strings, "string", "strings"), limit))
}

func (p *Plan) checkTemperature() Check {
	const id = "bank-temperature"
	u, coldest, hottest := p.Bank.Unit, p.Site.ColdestC, p.Site.HottestC
	var missing string
	type bound struct {
		key   string
		limit *float64
		does  string
	}
	var worst *Check
	for _, b := range []bound{{"discharge_min_c", u.DischargeMinC, "gives no current"}, {"charge_min_c", u.ChargeMinC, "must not be charged"}} {
		if b.limit == nil {
			if missing == "" {
				missing = b.key
			}
			continue
		}
		c := atLeast(id, coldest, *b.limit, "C").because(
			fmt.Sprintf("the battery space gets down to %g C; the bank works down to %g C", coldest, *b.limit),
			fmt.Sprintf("the battery space gets down to %g C, but below %g C the bank %s: insulate or heat the space", coldest, *b.limit, b.does))
		if worst == nil || c.Margin < worst.Margin {
			worst = &c
		}
	}
	switch {
	case worst == nil:
		return unknown(id, coldest, "C", fmt.Sprintf("the battery space gets down to %g C; give discharge_min_c and charge_min_c of the battery to compare", coldest))
	case worst.Status == Pass && missing != "":
		worst.Status = Caution
		worst.Reason += fmt.Sprintf("; give %s of the battery to compare that too", missing)
	case worst.Status == Pass && u.ChargeMaxC != nil && hottest > *u.ChargeMaxC:
		worst.Status = Caution
		worst.Reason += fmt.Sprintf("; in a space as hot as the inverter's (%g C) it must not be charged above %g C", hottest, *u.ChargeMaxC)
	}
	return *worst
}
