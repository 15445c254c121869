package backup

import (
	"fmt"
	"slices"
	"strings"
)

// chargingV is the highest voltage that charging puts on the bank in the coldest battery space.
func (p *Plan) chargingV() float64 {
	return p.Bank.HighestChargeV(p.Site.ColdestC, p.Inverter.Unit.Equalises)
}

func (p *Plan) checkWindowHigh() Check {
	v, limit := p.chargingV(), p.Inverter.Unit.DCMaxV
	charging, lower := "charging", "the charge voltage"
	if p.Inverter.Unit.Equalises && p.Bank.Unit.EqualiseV > p.Bank.Unit.ChargeV {
		charging, lower = "equalising", "the equalise voltage"
	}
	what := fmt.Sprintf("%s at %g C puts up to %.1f V on the bank", charging, p.Site.ColdestC, v)
	return atMost("dc-window-high", v, limit, "V").because(
		fmt.Sprintf("%s; the inverter bears %g V", what, limit),
		fmt.Sprintf("%s, but the inverter bears only %g V: lower %s or choose another bank", what, limit, lower))
}

// checkChemistry asks whether the inverter is stated to charge this kind of battery: the stages, their voltages and for lithium the talk
// with the pack are its business.
func (p *Plan) checkChemistry() Check {
	const id = "bank-chemistry"
	list, c := p.Inverter.Unit.Chemistries, p.Bank.Unit.Chemistry
	switch {
	case len(list) == 0:
		return unknown(id, 0, "", fmt.Sprintf("the bank is %s; give chemistries of the inverter to compare", c))
	case slices.Contains(list, c):
		return Check{ID: id, Status: Pass, Reason: fmt.Sprintf("the inverter is stated to charge %s", c)}
	}
	var names []string
	for _, other := range list {
		names = append(names, string(other))
	}
	return Check{ID: id, Status: Fail, Reason: fmt.Sprintf("the inverter is stated to charge %s, not %s: choose a bank or an inverter that fits the other", strings.Join(names, ", "), c)}
}

// checkChargeRate compares the charge current per rated Ah with what the bank bears and, for lead-acid, with what it needs: a weaker
// charger never mixes the electrolyte nor clears the plates.
func (p *Plan) checkChargeRate() Check {
	const id, unit = "bank-charge-rate", "A/Ah"
	u, ah := p.Bank.Unit, p.Bank.CapacityAh()
	a := p.Inverter.ChargerA()
	if a == 0 {
		return unknown(id, 0, unit, "give charger_a of the inverter to compare the charge current with what the bank bears")
	}
	rate := a / ah
	leastA, _, _ := p.Bank.ChargeRange()
	if least := leastA / ah; rate < least*(1-slack) {
		c := atLeast(id, rate, least, unit)
		c.Reason = fmt.Sprintf("the charger gives %s, %s; a lead-acid bank of %s wants at least %s, or it stays half charged and ages fast",
			Amount(a, "A"), Amount(rate, unit), Amount(ah, "Ah"), Amount(leastA, "A"))
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
