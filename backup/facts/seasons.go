package facts

import (
	"math"

	"outlast/backup/phrase"
	"outlast/backup/site"
	"outlast/backup/verdict"
	"outlast/backup/wording"
	"outlast/loads"
)

// otherMonths warns of months in which more runs on the backup board than in the month of the outage, and more than the
// inverters carry or the bank lasts for: the grid is there all year, and an outage may come in any month.
func (p *Facts) otherMonths(say func(phrase.Phrase)) {
	onBackup := p.Site.OnBoard(loads.BoardBackup)
	var others loads.Months // that have loads which the month of the outage has not; most homes have no seasons in the file
	for i := range onBackup {
		if m := onBackup[i].Months; !m.Has(p.Month) {
			others |= m
		}
	}
	if others == 0 {
		return
	}
	passed := worstMonth{v: p.Grid.PassThroughA}
	va, w := p.rated(p.Demand.Scheduled)
	for month := 1; month <= 12; month++ {
		if !others.Has(month) {
			continue
		}
		ls := loads.InMonth(onBackup, month)
		for _, phaseVA := range loads.NewSet(p.Site.Phases, ls).Scheduled().PhaseVA {
			passed.take(month, worstMonth{v: phaseVA / p.Site.NominalV})
		}
		monthVA, monthW := p.rated(loads.NewSet(p.Site.Phases, site.InUse(ls)).Scheduled())
		va.take(month, monthVA)
		w.take(month, monthW)
	}
	if limit := p.Inverter.PassThroughA(); passed.month > 0 && above(passed.v, limit) {
		say(phrase.Of("In %s the pass-through current to the backup board is %.1f A per phase, "+
			"above the pass-through rating of the inverter of %.1f A.",
			wording.MonthWord(passed.month), passed.v, limit))
	}
	input := passed.v + p.Grid.InputA - p.Grid.PassThroughA // the charger is the same all year
	if limit := p.Inverter.ACInputA(); passed.month > 0 && above(input, limit) {
		say(phrase.Of("In %s backup board and charger may draw %.1f A per phase from the grid, "+
			"above the input rating of the inverter of %.1f A.",
			wording.MonthWord(passed.month), input, limit))
	}
	most, unit := va, "VA"
	if va.month == 0 || w.month > 0 && w.v*va.limit > va.v*w.limit {
		most, unit = w, "W"
	}
	if most.month > 0 && above(most.v, most.limit) {
		say(phrase.Of("In an outage in %s the simultaneous load on the backup board is up to %s%s, "+
			"above the %s that the inverter may carry continuously: this plan is for %s.",
			wording.MonthWord(most.month), wording.Amount(most.v, unit), OnPhase(most.phase),
			wording.Amount(most.limit, unit), wording.MonthWord(p.Month)))
	}
	if month, st := p.StartOfOtherMonth(); month > 0 {
		say(phrase.Of("In an outage in %s %q starts with %s%s, running load included, above the %s for which the inverter "+
			"is rated for %g s: this plan is for %s.",
			wording.MonthWord(month), st.Load, wording.Amount(st.DemandVA, "VA"), OnPhase(st.Phase),
			wording.Amount(st.LimitVA, "VA"), st.Seconds, wording.MonthWord(p.Month)))
	}
	if month, hours, err := p.ShortestMonth(); err == nil && month > 0 && hours > 0 && p.FallsShortIn(hours) {
		say(phrase.Of("In an outage in %s the bank lasts %s from the least favourable start, not the required %s: this plan is for %s.",
			wording.MonthWord(month), wording.Amount(hours, "h"), wording.Amount(p.Site.Outage.AutonomyH, "h"),
			wording.MonthWord(p.Month)))
	}
}

// StartOfOtherMonth is the start above the rating of the inverters that has the least margin of all months but that of
// the plan, and its month: what is used in that month only starts nowhere in the plan. The month is 0 where there is
// none, or where what starts in the month of the plan is worse.
func (p *Facts) StartOfOtherMonth() (month int, worst Start) {
	onBackup := site.InUse(p.Site.OnBoard(loads.BoardBackup))
	known := p.Starts.Worst >= 0
	if known {
		worst = p.Starts.All[p.Starts.Worst]
	}
	first := firstAlike(onBackup)
	for m := range first {
		if first[m] != m || first[m] == first[p.Month-1] {
			continue
		}
		for _, surge := range loads.NewSet(p.Site.Phases, loads.InMonth(onBackup, m+1)).Surges() {
			st := p.start(surge, p.Inverter.StartLimitVA)
			if above(st.DemandVA, st.LimitVA) && (!known || st.lessLeft(worst)) {
				month, worst, known = m+1, st, true
			}
		}
	}
	return month, worst
}

// ShortestMonth is the month other than that of the plan in which the backup board is carried shortest, and for how
// long, from the least favourable start: 0 h where the inverters cannot carry it at all. The month is 0 where it is carried as long in all of them.
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
		va, w := p.rated(set.Scheduled())
		if !above(va.v, va.limit) && !above(w.v, w.limit) {
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

// rated are the VA and the W of a demand beside the ratings of the inverters, each in total or on the phase that has the
// least left.
func (p *Facts) rated(d loads.Demand) (va, w worstMonth) {
	va.v, va.limit, va.phase = worstPhase(d.VA, d.PhaseVA, p.Inverter.LimitVA())
	w.v, w.limit, w.phase = worstPhase(d.W, d.PhaseW, p.Inverter.LimitW())
	return va, w
}

// A worstMonth is the most that one of several months asks for, beside its limit, on a phase or in total.
type worstMonth struct {
	month    int // 0: the month of the outage
	v, limit float64
	phase    int
}

// take keeps what a month asks for where that is more than before, as a share of its limit where there is one.
func (m *worstMonth) take(month int, of worstMonth) {
	more := of.v > m.v*(1+verdict.Slack)
	if m.limit > 0 && of.limit > 0 {
		more = of.v/of.limit > m.v/m.limit*(1+verdict.Slack)
	}
	if more {
		*m = of
		m.month = month
	}
}
