package facts

import (
	"slices"

	"outlast/backup/phrase"
	"outlast/backup/verdict"
	"outlast/backup/wording"
)

// ChargingV is the highest voltage that charging puts on the bank in the coldest battery space.
func (p *Facts) ChargingV() float64 {
	return p.Bank.HighestChargeV(p.Site.ColdestC, p.Inverter.Unit.Equalises)
}

func (p *Facts) checkWindowHigh() verdict.Check {
	v, limit := p.ChargingV(), p.Inverter.Unit.DCMaxV
	c := verdict.AtMost("dc-window-high", v, limit, "V")
	if p.unsaid(c) {
		return c
	}
	charging, lower := phrase.Of("charging"), phrase.Of("the absorption voltage")
	if p.Inverter.Unit.Equalises && p.Bank.Unit.EqualiseV > p.Bank.Unit.ChargeV {
		charging, lower = phrase.Of("equalising"), phrase.Of("the equalising voltage")
	}
	volts, rated := wording.TenthsOf(v, limit)
	what := phrase.Of("%s at %s raises the bank to up to %s V", charging, wording.Amount(p.Site.ColdestC, "C"), volts)
	return c.Because(
		phrase.Of("%s; the dc input of the inverter is rated for %s V", what, rated),
		phrase.Of("%s, but the dc input of the inverter is rated for only %s V: lower %s or choose another bank", what,
			rated, lower))
}

// checkChemistry asks whether the inverter is stated to charge this kind of battery: the stages, their voltages and for
// lithium the talk with the pack are its business.
func (p *Facts) checkChemistry() verdict.Check {
	const id = "bank-chemistry"
	list, c := p.Inverter.Unit.Chemistries, p.Bank.Unit.Chemistry
	word := c.Word()
	switch {
	case len(list) == 0:
		return verdict.Unknown(id, 0, "", phrase.Of("the bank is %s; give chemistries of the inverter to compare",
			word))
	case slices.Contains(list, c):
		return verdict.Check{ID: id, Status: verdict.Pass, Reason: phrase.Of("the inverter is stated to charge %s",
			word)}
	}
	var names []phrase.Phrase
	for _, other := range list {
		names = append(names, other.Word())
	}
	return verdict.Check{ID: id, Status: verdict.Fail,
		Reason: phrase.Of("the inverter is stated to charge %s, not %s: choose a bank or an inverter that fits the other",
			phrase.Separated(names, ", "), word)}
}

// checkChargeRate compares the charge current per rated Ah with what the bank bears and, for lead-acid, with what it
// needs: a weaker charger never mixes the electrolyte nor clears the plates. What it needs the chargers have to give by
// themselves, as arrays give nothing at night; what it bears is held against all that can flow. Of arrays too large for
// the bank a setting takes care, which the papers tell, so together they are a caution.
func (p *Facts) checkChargeRate() verdict.Check {
	const id, unit = "bank-charge-rate", "A/Ah"
	u, ah := p.Bank.Unit, p.Bank.CapacityAh()
	a, allA := p.Inverter.ChargerA(), p.ChargeSourcesA()
	if a == 0 {
		return verdict.Unknown(id, 0, unit,
			phrase.Of("give charger_a of the inverter to compare the charge current with the limit of the bank"))
	}
	rate := a / ah
	leastA, mostA, _ := p.Bank.ChargeRange()
	if least := leastA / ah; rate < least*(1-verdict.Slack) {
		c := verdict.AtLeast(id, rate, least, unit)
		c.Reason = phrase.Of("the charge current is %s, %s; a lead-acid bank of %s requires at least %s, "+
			"or it stays undercharged and ages fast",
			wording.Amount(a, "A"), wording.Amount(rate, unit), wording.Amount(ah, "Ah"),
			wording.Amount(verdict.Enough(leastA), "A"))
		return c
	}
	if u.MaxChargeA == 0 {
		return verdict.Unknown(id, allA/ah, unit,
			phrase.Of("the charge current is %s per Ah of the bank; give max_charge_a of the battery to compare",
				wording.Amount(allA/ah, "A")))
	}
	limit := u.MaxChargeA / u.RatedAh
	c := verdict.AtMost(id, rate, limit, unit)
	if c.Status == verdict.Fail {
		c.Reason = phrase.Of("the charge current is %s, but the limit of the bank is only %s: set the charger lower",
			wording.Amount(a, "A"), wording.Amount(limit*ah, "A"))
		return c
	}
	c = verdict.AtMost(id, allA/ah, limit, unit).AtWorst(verdict.Caution)
	if p.unsaid(c) {
		return c
	}
	has := wording.Amount(limit*ah, "A")
	if len(p.Site.Arrays) == 0 {
		c.Reason = phrase.Of("the charge current is %s; the limit of the bank is %s", wording.Amount(allA, "A"), has)
		return c
	}
	return c.Because(
		phrase.Of("chargers and arrays together give at most %s; the limit of the bank is %s", wording.Amount(allA, "A"),
			has),
		phrase.Of("chargers and arrays together give up to %s, but the limit of the bank is only %s: "+
			"enter at most %s as the maximum charge current",
			wording.Amount(allA, "A"), has, wording.Amount(verdict.Settable(mostA), "A")))
}
