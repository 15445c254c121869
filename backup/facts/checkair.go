package facts

import (
	"fmt"

	"outlast/backup/fault"
	"outlast/backup/phrase"
	"outlast/backup/site"
	"outlast/backup/verdict"
	"outlast/backup/wording"
	"outlast/battery"
)

// air works out what the bank wants of its space while it is charged.
func (p *Facts) air() error {
	b, s := &p.Bank, p.Site
	var err error
	if b.AirOnFloat, b.AirOnBoost, err = b.Ventilation(battery.ChargingCase{CurrentA: p.ChargeSourcesA(),
		Equalises: s.Inverter.Equalises, HottestC: s.HottestC,
		Australian: s.VentRule == site.AustralianVent}); err != nil {
		return fmt.Errorf("the air for the bank cannot be worked out: %w", fault.Reason(err))
	}
	return nil
}

// checkAir compares the opening for air to the battery space with what the hydrogen of a boost charge asks for.
func (p *Facts) checkAir() verdict.Check {
	const id, unit = "ventilation", "cm2"
	if _, gas := p.Bank.Unit.Chemistry.Gas(); !gas {
		return verdict.Check{ID: id, Status: verdict.Pass, Unit: unit,
			Reason: phrase.Of("a lithium bank releases no gas in normal use: it requires no ventilation opening")}
	}
	boost, float, limit := p.Bank.AirOnBoost, p.Bank.AirOnFloat, p.Site.VentCM2
	guessed := boost.Rule != battery.AirByTable && p.ChargeSourcesA() == 0 &&
		p.Bank.Unit.Chemistry == battery.Flooded
	hottest := p.Site.HottestC
	if limit > 0 {
		c := verdict.AtMost(id, boost.OpeningCM2, limit, unit)
		if guessed || hottest > battery.TableHottestC {
			c.Status = verdict.Worse(c.Status, verdict.Caution)
		}
		if p.unsaid(c) {
			return c
		}
	}
	what := phrase.Of("charging releases hydrogen: the bank requires an air flow of %s, "+
		"an inlet and an outlet opening of %s each (on float %s, %s), and no source of sparks within %s of its vents",
		wording.Amount(boost.FlowM3PerH, "m3/h"), wording.Amount(verdict.Enough(boost.OpeningCM2), unit),
		wording.Amount(float.FlowM3PerH, "m3/h"), wording.Amount(verdict.Enough(float.OpeningCM2), unit),
		wording.Amount(verdict.Enough(boost.DistanceMM), "mm"))
	switch boost.Rule {
	case battery.AirByCharger:
		what = phrase.Of("%s; at its charging voltage all of the charging current, %s, may go into gassing", what,
			wording.Amount(boost.CurrentA, "A"))
	case battery.AirByAS:
		what = phrase.Of("%s; this is what the Australian rule requires, with %s", what,
			wording.Amount(boost.CurrentA, "A"))
	}
	var c verdict.Check
	if limit == 0 {
		c = verdict.Unknown(id, boost.OpeningCM2, unit, phrase.Of("%s; give vent_cm2 of [bank] to compare", what))
	} else {
		c = verdict.AtMost(id, boost.OpeningCM2, limit, unit).Because(
			phrase.Of("%s; there are %s each", what, wording.Amount(limit, unit)),
			phrase.Of("%s, but there are only %s each: hydrogen accumulates and can explode", what,
				wording.Amount(limit, unit)))
	}
	if guessed {
		c = c.WithCaution(phrase.Of("; the highest charging current of the bank stands in for that of the charger: give charger_a of the inverter"))
	}
	if hottest > battery.TableHottestC {
		c = c.WithCaution(phrase.Of("; the gassing figures apply up to %s, and the inverter's space gets up to %s: "+
			"keep the battery cooler",
			wording.Amount(float64(battery.TableHottestC), "C"), wording.Amount(hottest, "C")))
	}
	return c
}
