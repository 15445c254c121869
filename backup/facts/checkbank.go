package facts

import (
	"math"

	"outlast/backup/calendar"
	"outlast/backup/phrase"
	"outlast/backup/verdict"
	"outlast/backup/wording"
)

// LowV is the lowest voltage of the bank in use: where currents are largest.
func (p *Facts) LowV() float64 { return p.Bank.MinV() }

// dcLimit is a current limit of the inverters and one of the bank, either of which may be unknown (0).
type dcLimit struct {
	inverterA, bankA float64
	bankKey          string // the key that would tell the bank's
	curt             bool   // without the words of what does not fail
}

// compare checks a current against those limits that are known: a broken one fails, a missing one is a caution.
func (l dcLimit) compare(id string, a float64, what phrase.Phrase) verdict.Check {
	limit, whose := math.Inf(1), phrase.Phrase{}
	if l.inverterA > 0 {
		limit, whose = l.inverterA, phrase.Of("the inverter")
	}
	if l.bankA > 0 && l.bankA < limit {
		limit, whose = l.bankA, phrase.Of("the bank")
	}
	if math.IsInf(limit, 1) {
		return verdict.Unknown(id, a, "A", phrase.Of("%s draws %s from the bank; give %s of the battery to compare",
			what, wording.Amount(a, "A"), l.bankKey))
	}
	c := verdict.AtMost(id, a, limit, "A")
	if l.curt && c.Status == verdict.Pass {
		if l.bankA == 0 {
			c.Status = verdict.Caution
		}
		return c
	}
	c = c.Because(
		phrase.Of("%s draws %s from the bank at its lowest voltage; the limit of %s is %s", what,
			wording.Amount(a, "A"), whose, wording.Amount(limit, "A")),
		phrase.Of("%s draws %s from the bank at its lowest voltage, but the limit of %s is only %s", what,
			wording.Amount(a, "A"), whose, wording.Amount(limit, "A")))
	if c.Status == verdict.Pass && l.bankA == 0 {
		c.Status = verdict.Caution
		c.Reason = c.Reason.Then(phrase.Of("; give %s of the battery to compare with the bank too", l.bankKey))
	}
	return c
}

func (p *Facts) checkDCCurrent() verdict.Check {
	a := p.Inverter.DCPower(p.Demand.Scheduled.W) / p.LowV()
	limit := dcLimit{p.Inverter.LimitDischargeA(), float64(p.Bank.Strings) * p.Bank.Unit.MaxDischargeA,
		"max_discharge_a", p.effort.Curt}
	c := limit.compare("dc-current", a, phrase.Of("the simultaneous load"))
	if c.HasLimit && c.Limit == limit.inverterA && !p.unsaid(c) {
		c = p.keptFree(c)
	}
	return c
}

// pulseA is what the bank gives for so many seconds, 0 when its data sheet does not tell: the pulse where it lasts long
// enough, else the continuous current.
func (p *Facts) pulseA(seconds float64) float64 {
	u := p.Bank.Unit
	a := u.MaxDischargeA
	if u.PulseS > 0 && u.PulseS >= seconds {
		a = max(a, u.PulseA)
	}
	return a * float64(p.Bank.Strings)
}

// DCStartA is what the bank gives while a load starts, at its worst minute for watts.
func (p *Facts) DCStartA(st Start) float64 { return p.StartDCW(st) / p.LowV() }

func (p *Facts) checkDCSurge() verdict.Check {
	const id = "dc-surge-current"
	if p.Starts.Worst < 0 {
		return verdict.Check{ID: id, Status: verdict.Pass, Unit: "A", Reason: wording.NothingStarts}
	}
	var worst verdict.Check
	for i, st := range p.hardestFirst() {
		limit := dcLimit{bankA: p.pulseA(st.Seconds), bankKey: "max_discharge_a", curt: p.effort.Curt}
		c := limit.compare(id, p.DCStartA(st), phrase.Of("the start of %q", st.Load))
		// A start whose limit is not known is worse than one that passes: it must not hide behind it.
		closer := c.HasLimit && c.Margin < worst.Margin || !c.HasLimit && c.Demand > worst.Demand
		if c.Status != worst.Status {
			closer = verdict.Worse(worst.Status, c.Status) == c.Status
		}
		if i == 0 || closer {
			worst = c
		}
	}
	return worst
}

func (p *Facts) checkWindowLow() verdict.Check {
	v, limit := p.LowV(), p.Inverter.Unit.DCMinV
	c := verdict.AtLeast("dc-window-low", v, limit, "V")
	if p.unsaid(c) {
		return c
	}
	volts, begins := wording.TenthsOf(v, limit)
	return c.Because(
		phrase.Of("the discharge of the bank ends at %s V; the dc input range of the inverter begins at %s V", volts,
			begins),
		phrase.Of("the discharge of the bank ends at %s V, but the inverter switches off below %s V, "+
			"so part of the bank cannot be used", volts, begins))
}

// EnoughAh is the capacity that is required, as a bank is bought or entered: rounded up. Of one that the bank reaches no
// more is said than it has.
func (p *Facts) EnoughAh() float64 {
	enough, _, _ := verdict.AtMost("bank-capacity", p.Bank.Sizing.RequiredAh, p.Bank.CapacityAh(), "Ah").Told()
	return enough
}

func (p *Facts) checkCapacity() verdict.Check {
	need, have := p.Bank.Sizing.RequiredAh, p.Bank.CapacityAh()
	c := verdict.AtMost("bank-capacity", need, have, "Ah")
	if p.unsaid(c) {
		return c
	}
	required := wording.Amount(p.EnoughAh(), "Ah")
	if warm, ok := p.WarmEnoughC(); ok {
		c.Reason = phrase.Of("%s are required, design margin, cold and age included, but the bank has only %s: %s would do, "+
			"or this bank kept at %s or above (insulate or heat the space, or move the bank)",
			required, wording.Amount(have, "Ah"), phrase.Count(p.Bank.Sizing.Strings, "%d string", "%d strings"),
			wording.Amount(warm, "C"))
		return c
	}
	return c.Because(
		phrase.Of("%s are required, design margin, cold and age included; the bank has %s", required,
			wording.Amount(have, "Ah")),
		phrase.Of("%s are required, design margin, cold and age included, but the bank has only %s: %s would do",
			required, wording.Amount(have, "Ah"),
			phrase.Count(p.Bank.Sizing.Strings, "%d string", "%d strings")))
}

func (p *Facts) checkAutonomy() verdict.Check {
	asked, have := p.Site.Outage.AutonomyH, p.Bank.AutonomyH
	c := verdict.AtMost("autonomy", asked, have, "h")
	if p.unsaid(c) {
		return c
	}
	lasts, from := phrase.Symbols("%s", wording.Amount(have, "h")), calendar.ClockAt(p.Bank.StartMin)
	if p.Bank.AutonomyCap {
		lasts = phrase.Of("at least %s", wording.Amount(have, "h"))
	}
	ends := p.Bank.EndsBy.words(p.Bank.EndSoC)
	c = c.Because(
		phrase.Of("from %s on the bank supplies the backup circuits for %s at the end of its life; required: %s%s",
			from, lasts, wording.Amount(asked, "h"), ends),
		phrase.Of("from %s on, at the end of its life, the bank supplies the backup circuits for %s, not for the required %s%s",
			from, wording.Amount(have, "h"), wording.Amount(asked, "h"), ends))
	if p.effort.full && !p.Bank.AutonomyCap {
		// An outage does not wait for the start that the file gives, nor for the one that takes most energy.
		least, start, err := p.LeastAutonomy()
		switch hours := wording.Amount(least, "h"); {
		case err != nil, c.Status == verdict.Fail && hours.String() == wording.Amount(have, "h").String():
		case least < asked*(1-verdict.Slack):
			c.Status = verdict.Worse(c.Status, verdict.Caution)
			c.Reason = c.Reason.Then(phrase.Of("; from the least favourable start (%s) only %s", calendar.ClockAt(start), hours))
		case hours.String() != wording.Amount(have, "h").String():
			c.Reason = c.Reason.Then(phrase.Of("; from the least favourable start (%s) %s", calendar.ClockAt(start), hours))
		}
	}
	if c.Status == verdict.Pass && p.effort.full && p.Site.Outage.MonthOpen {
		// Nobody asked for this month alone.
		if month, hours, err := p.ShortestMonth(); err == nil && month > 0 && p.FallsShortIn(hours) {
			c.Status, c.InMonth = verdict.Caution, month
			c.Reason = c.Reason.Then(phrase.Of("; in %s only %s", wording.MonthWord(month), wording.Amount(hours, "h")))
		}
	}
	return c
}

// words are said of an autonomy that ends before the charge is used up.
func (e End) words(soc float64) phrase.Phrase {
	switch e {
	case EndVoltage:
		return phrase.Of("; the cut-off voltage ends it, at a state of charge of %.0f %%", 100*soc)
	case EndCurrent:
		return phrase.Of("; the current limit of inverter or bank ends it, at a state of charge of %.0f %%", 100*soc)
	case EndCold:
		return phrase.Of("; in so cold a battery space it must not be discharged")
	case EndRate:
		return phrase.Of("; at this discharge rate the rest of the charge is not available, %.0f %% remains", 100*soc)
	}
	return phrase.Phrase{}
}

func (p *Facts) checkParallel() verdict.Check {
	n, limit := float64(p.Bank.Strings), float64(p.Bank.Unit.MaxParallel)
	c := verdict.AtMost("bank-parallel", n, limit, "strings").AtWorst(verdict.Caution)
	if p.unsaid(c) {
		return c
	}
	return c.Because(
		phrase.Of("%s in parallel; up to %g are usual for this battery",
			phrase.Count(p.Bank.Strings, "%d string", "%d strings"), limit),
		phrase.Of("%s in parallel, more than the %g that share the current evenly: choose a larger unit",
			phrase.Count(p.Bank.Strings, "%d string", "%d strings"), limit))
}
