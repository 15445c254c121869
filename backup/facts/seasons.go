package facts

import (
	"context"
	"math"

	"outlast/backup/phrase"
	"outlast/backup/site"
	"outlast/backup/verdict"
	"outlast/backup/wording"
	"outlast/loads"
)

// InMonth is what follows for the same home, as it is planned, in another month, 1 to 12: other loads, and so another
// worst moment. The generator runs as it is set. Conductors and generator are those of the plan, and are not gone into.
func (p *Facts) InMonth(ctx context.Context, month int) (*Facts, error) {
	return p.inMonth(ctx, month, LongestWalkH)
}

func (p *Facts) inMonth(ctx context.Context, month int, walkH float64) (*Facts, error) {
	if month == p.Month {
		return p, nil
	}
	s := p.Planned()
	s.Outage.Month = month
	if p.AlikeIn(month) {
		return p.On(s), nil
	}
	return p.Shared.ForOtherLoads(ctx).Full(s, Effort{WalkH: walkH, As: p,
		Enough: func(*Facts) bool { return true }})
}

// Planned is a copy of the site with the bank that the plan installs.
func (p *Facts) Planned() *site.Site {
	s := *p.Site
	s.Strings = p.Bank.Strings
	return &s
}

// otherMonths looks at the months in which more may run on the backup board than in that of the outage: the grid is
// there all year, and an outage may come in any month. What fails in one of them, and not in the month of the plan, is
// told as found, in the month in which it is worst; where nobody asked for one month alone it is also a caution of its
// check. How long the bank lasts there is told by [Facts.ShortestMonth].
func (p *Facts) otherMonths() error {
	onBackup := p.Site.OnBoard(loads.BoardBackup)
	var others loads.Months // that have loads which the month of the outage has not; most homes have no seasons in the file
	for i := range onBackup {
		if m := onBackup[i].Months; !m.Has(p.Month) {
			others |= m
		}
	}
	if others == 0 {
		return nil
	}
	worst := make([]verdict.Check, len(p.Checks))
	for m, first := range firstAlike(onBackup) {
		if m != first || !others.Has(m+1) {
			continue
		}
		there, err := p.inMonth(p.Shared.Ctx, m+1, shortestWalkH)
		if err != nil {
			return err
		}
		there.generator()
		checks := there.ByID()
		for i, c := range p.Checks {
			in, ok := checks[c.ID]
			if ok && worseThere(c, in) && (worst[i].InMonth == 0 || in.Margin < worst[i].Margin-verdict.Slack) {
				in.InMonth = m + 1
				worst[i] = in
			}
		}
	}
	for i, w := range worst {
		if w.InMonth == 0 {
			continue
		}
		p.fromMonths = append(p.fromMonths, phrase.Of("In %s: %s. This plan is for %s.", wording.MonthWord(w.InMonth),
			w.Reason, wording.MonthWord(p.Month)))
		c := &p.Checks[i]
		if w.Status == verdict.Fail {
			c.InMonth, c.There = w.InMonth, w.Reason
		}
		if c.InMonth > 0 && p.Site.Outage.MonthOpen {
			c.Status = verdict.Caution
			c.Reason = c.Reason.Then(phrase.Of("; in %s: %s", wording.MonthWord(w.InMonth), w.Reason))
		}
	}
	return nil
}

// worseThere says whether a check comes out in another month as the plan has to tell. Each circuit is told of with its own
// breaker, see [conductors.BreakersOfOtherMonths].
func worseThere(here, there verdict.Check) bool {
	if kind, _ := verdict.KindOf(here.ID); kind.Group == verdict.OfBoard || verdict.Depends(here.ID, verdict.OnCapacity) {
		return false
	}
	return there.Status == verdict.Fail && here.Status != verdict.Fail ||
		here.ID == "inverter-restart" && verdict.Worse(here.Status, there.Status) != here.Status
}

// shortestWalkH is how far a bank is followed of which nobody asks how long it lasts.
const shortestWalkH = 1

// sayOtherMonths tells what other months bring.
func (p *Facts) sayOtherMonths(say func(phrase.Phrase)) {
	for _, text := range p.fromMonths {
		say(text)
	}
	if month, hours, err := p.ShortestMonth(); err == nil && month > 0 && hours > 0 && p.FallsShortIn(hours) {
		say(phrase.Of("In an outage in %s the bank lasts %s from the least favourable start, not the required %s: this plan is for %s.",
			wording.MonthWord(month), wording.Amount(hours, "h"), wording.Amount(p.Site.Outage.AutonomyH, "h"),
			wording.MonthWord(p.Month)))
	}
}

// ShortestMonth is the month other than that of the plan in which the backup board is carried shortest, and for how
// long, from the least favourable start: 0 h where the inverters cannot carry it at all, but that of the plan. The month
// is 0 where it is carried as long in all of them.
//
// A plan is for one month, the one that the file gives or the one that takes most energy in a day: what takes less in a
// day may take it faster, or run on circuits that were counted for the choice and then left out.
func (p *Facts) ShortestMonth() (month int, hours float64, err error) {
	find := p.seasons
	if find == nil {
		find = p.season
	}
	s, err := find()
	return s.month, s.hours, err
}

// FallsShortIn says whether hours of another month are less than is asked for.
func (p *Facts) FallsShortIn(hours float64) bool {
	return hours < p.Site.Outage.AutonomyH*(1-verdict.Slack)
}

// NotIn is another month than its own, 1 to 12, in which a plan that does not fail does not meet what is asked for, and
// the check that fails there; 0: there is none.
func (p *Facts) NotIn() (month int, check string) {
	if p.Verdict() == verdict.Fail {
		return 0, ""
	}
	if month, hours, err := p.ShortestMonth(); err == nil && month > 0 && p.FallsShortIn(hours) {
		return month, "autonomy"
	}
	for _, c := range p.Checks {
		if c.InMonth > 0 {
			return c.InMonth, c.ID
		}
	}
	return 0, ""
}

// A Proviso is what the verdict of a plan that does not fail leaves open: with it, what was asked for is not met whenever
// the grid fails.
type Proviso int

const (
	Whenever    Proviso = iota
	NothingRuns         // nothing on the backup board is used in the month of the plan
	OneStart            // met from the start of the plan, not from the least favourable one
	OneMonth            // met in the month of the plan, not in that of NotIn
)

// Idle says that nothing on the backup board is used in the month of the plan: hours for which the bank carries that are
// none.
func (p *Facts) Idle() bool { return p.Demand.Connected.VA == 0 }

// Proviso says what the verdict leaves open.
func (p *Facts) Proviso() Proviso {
	if p.Idle() {
		return NothingRuns
	}
	if least, _, err := p.LeastAutonomy(); err == nil && !p.Bank.AutonomyCap && p.FallsShortIn(least) {
		return OneStart
	}
	if month, _ := p.NotIn(); month > 0 {
		return OneMonth
	}
	return Whenever
}

// A season is a month in which the backup board is not carried as long as in that of the plan; month 0: there is none.
type season struct {
	month int
	hours float64
}

func (p *Facts) season() (shortest season, err error) {
	onBackup := site.InUse(p.Site.OnBoard(loads.BoardBackup))
	first := firstAlike(onBackup)
	least := math.NaN()
	for m := range first {
		if first[m] != m || first[m] == first[p.Month-1] {
			continue
		}
		if math.IsNaN(least) {
			if least, _, err = p.LeastAutonomy(); err != nil {
				return season{}, err
			}
		}
		set := loads.NewSet(p.Site.Phases, loads.InMonth(onBackup, m+1))
		hours := 0.0
		// where the month of the plan is not carried either, its hours are of the bank alone, and so are those beside them
		if p.carries(set.Scheduled()) || !p.carries(p.Demand.Scheduled) {
			if hours, _, _, err = p.Least(set, least); err != nil {
				return season{}, err
			}
		}
		if hours < least*(1-verdict.Slack) {
			shortest, least = season{m + 1, hours}, hours
		}
	}
	return shortest, nil
}

// above says whether a limit that is known is broken.
func above(v, limit float64) bool { return limit > 0 && v > limit*(1+verdict.Slack) }

// carries says whether the inverters carry a demand, in total and on each phase.
func (p *Facts) carries(d loads.Demand) bool {
	va, limitVA, _ := worstPhase(d.VA, d.PhaseVA, p.Inverter.LimitVA())
	w, limitW, _ := worstPhase(d.W, d.PhaseW, p.Inverter.LimitW())
	return !above(va, limitVA) && !above(w, limitW)
}
