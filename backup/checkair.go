package backup

import (
	"outlast/backup/phrase"
)

// checkAir compares the opening for air to the battery space with what the hydrogen of a boost charge asks for.
func (p *Plan) checkAir() Check {
	const id, unit = "ventilation", "cm2"
	if _, gas := p.Bank.Unit.Chemistry.Gas(); !gas {
		return Check{ID: id, Status: Pass, Unit: unit, Reason: phrase.Of("a lithium bank gives off no gas in normal use: no opening is asked for its sake")}
	}
	boost, float := p.Bank.AirOnBoost, p.Bank.AirOnFloat
	what := phrase.Of("charging gives off hydrogen: the bank wants %.2g m3/h of fresh air, an inlet and an outlet of %s each (on float %.2g m3/h, %s)",
		boost.FlowM3PerH, amount(boost.OpeningCM2, unit), float.FlowM3PerH, amount(float.OpeningCM2, unit))
	limit := p.Site.VentCM2
	if limit == 0 {
		return unknown(id, boost.OpeningCM2, unit, phrase.Of("%s; give vent_cm2 of [bank] to compare", what))
	}
	return atMost(id, boost.OpeningCM2, limit, unit).because(
		phrase.Of("%s; there are %s each", what, amount(limit, unit)),
		phrase.Of("%s, but there are only %s each: hydrogen gathers and can explode", what, amount(limit, unit)))
}
