package facts

import (
	"cmp"
	"math"
	"slices"

	"outlast/backup/phrase"
	"outlast/backup/verdict"
	"outlast/backup/wording"
	"outlast/battery"
)

// Frost is what the coldest battery space does to a lead-acid bank whose acid is liquid, in the open or in a glass mat:
// the more it is discharged, the more its electrolyte is water. ok is false for gel and lithium.
type Frost struct {
	FreezesC  float64 // at the lowest charge that the plan allows
	LeastSoC  float64 // charge under which it freezes at the coldest; 0: it does not
	MakersSoC float64 // charge that the makers of flooded batteries want kept at the coldest; 0: none
	WeakC     float64 // of flooded batteries: where it freezes at the lowest charge with the weakest acid that is usual; 0: others
}

// frost is worked with the planned depth. Charge counts in the capacity that cold and age leave, and the acid follows
// the whole capacity: less of it is used up than counted here, the safe side.
func (p *Facts) frost() (f Frost, ok bool) {
	c := p.Bank.Unit.Chemistry
	if c != battery.Flooded && c != battery.AGM {
		return Frost{}, false
	}
	coldest := p.Site.ColdestC
	f.FreezesC = battery.FreezingC(p.FloorSoC())
	f.LeastSoC, _ = battery.LeastSoCInCold(coldest) // no site is so cold that a full one freezes
	if c == battery.Flooded {
		f.WeakC = battery.WeakAcidFreezingC(p.FloorSoC())
		if coldest < 0 {
			f.MakersSoC = battery.FloodedColdSoC
		}
	}
	return f, true
}

// checkTemperature compares the coldest battery space with what the bank may be charged and discharged at and with its
// freezing point; the tightest of them is
// reported, and every other one that is not kept.
func (p *Facts) checkTemperature() verdict.Check {
	const id = "bank-temperature"
	u, coldest := p.Bank.Unit, p.Site.ColdestC
	type limited struct {
		verdict.Check
		does phrase.Phrase
	}
	var all []limited
	compare := func(limit float64, does phrase.Phrase) {
		all = append(all, limited{verdict.AtLeast(id, coldest, limit, "C"), does})
	}
	var missing []string
	for _, b := range []struct {
		key   string
		limit *float64
		does  phrase.Phrase
	}{{"discharge_min_c", u.DischargeMinC, phrase.Of("must not be discharged")},
		{"charge_min_c", u.ChargeMinC, phrase.Of("must not be charged")}} {
		if b.limit == nil {
			missing = append(missing, b.key)
			continue
		}
		compare(*b.limit, b.does)
	}
	usualC, usual, _, _ := u.LeastChargeC()
	if usual {
		compare(usualC, phrase.Of("must not be charged"))
	}
	ice, freezes := p.frost()
	if freezes {
		compare(ice.FreezesC, phrase.Of("freezes at a state of charge of %.0f %%", 100*p.FloorSoC()))
	}
	keys := phrase.List(wording.Names(missing))
	if len(all) == 0 {
		return verdict.Unknown(id, coldest, "C",
			phrase.Of("the battery space gets down to %s; give %s of the battery to compare",
				wording.Amount(coldest, "C"), keys))
	}
	slices.SortStableFunc(all, func(a, b limited) int { return cmp.Compare(a.Margin, b.Margin) })
	worst := all[0].Check
	if !p.unsaid(worst) {
		limit := func(c verdict.Check) phrase.Amount { return wording.Amount(math.Round(10*c.Limit)/10, "C") }
		worst = worst.Because(
			phrase.Of("the battery space gets down to %s; the bank may be used down to %s",
				wording.Amount(coldest, "C"), limit(worst)),
			phrase.Of("the battery space gets down to %s, but below %s the bank %s: insulate or heat the space, or move the bank",
				wording.Amount(coldest, "C"), limit(worst), all[0].does))
		for _, more := range all[1:] {
			if more.Status == verdict.Fail {
				worst.Reason = worst.Reason.Then(phrase.Of("; below %s the bank %s", limit(more.Check), more.does))
			}
		}
	}
	return p.coldCautions(worst, ice, usual, usualC, keys)
}

// coldCautions adds what else is to be said of the coldest day to the comparison that decides. keys are those that are
// not given, empty where all are; usualC is counted with where usual says so.
func (p *Facts) coldCautions(c verdict.Check, ice Frost, usual bool, usualC float64, keys phrase.Phrase) verdict.Check {
	u, coldest, hottest := p.Bank.Unit, p.Site.ColdestC, p.Site.HottestC
	caution := func(more phrase.Phrase) {
		if c.Status == verdict.Pass {
			c.Status = verdict.Caution
		}
		c.Reason, c.Lacks = c.Reason.Then(more), false
	}
	lacking := func(more phrase.Phrase) {
		lacks := c.Lacks || c.Status == verdict.Pass
		caution(more)
		c.Lacks = lacks
	}
	if ice.LeastSoC > 0 {
		c.Reason = c.Reason.Then(phrase.Of("; at %s it freezes below a state of charge of %.0f %%",
			wording.Amount(coldest, "C"), 100*ice.LeastSoC))
	}
	if c.Status == verdict.Fail {
		return c
	}
	if p.FloorSoC() < ice.MakersSoC-verdict.Slack {
		caution(phrase.Of("; makers of flooded batteries require %.0f %% of the charge to be kept below 0 C, "+
			"and the plan goes down to %.0f %%, so insulate or heat the space, or move the bank",
			100*ice.MakersSoC, 100*p.FloorSoC()))
	}
	if ice.WeakC < 0 && coldest < ice.WeakC {
		caution(phrase.Of("; filled with weaker acid, as in temperate climates, it would freeze at %s: "+
			"ask for its gravity when full (1.265 is counted with)",
			wording.Amount(math.Round(10*ice.WeakC)/10, "C")))
	}
	if usual {
		lacking(phrase.Of("; where the battery does not give charge_min_c, %s is counted with for %s",
			wording.Amount(usualC, "C"), u.Chemistry.Word()))
	}
	if !keys.Empty() {
		lacking(phrase.Of("; give %s of the battery to compare that too", keys))
	}
	if u.ChargeMaxC != nil && hottest > *u.ChargeMaxC {
		caution(phrase.Of("; in a space as hot as the inverter's (%s) it must not be charged above %s",
			wording.Amount(hottest, "C"), wording.Amount(*u.ChargeMaxC, "C")))
	}
	return c
}
