package conductors

import (
	"slices"
	"strings"

	"outlast/backup/phrase"
	"outlast/backup/site"
	"outlast/backup/verdict"
	"outlast/backup/wording"
	"outlast/loads"
)

// breakersID is the check of the circuit breakers.
const breakersID = "circuit-breaker"

// CheckBreakers compares each circuit of a site with its breaker. One on the main board is not the plan's business: it
// is told, and no more.
func CheckBreakers(s *site.Site, known *Currents) verdict.Check {
	const id = breakersID
	var worst *verdict.Check
	var fullest string // the label of the circuit of which worst tells
	var broken, silent []string
	assumed := 0
	for _, c := range s.Circuits {
		if c.Assumed && c.BreakerA > 0 {
			assumed++ // with a breaker that the planner chose to carry it
			continue
		}
		if c.BreakerA == 0 {
			silent = append(silent, c.ID)
			continue
		}
		check := checkBreaker(c, known.Breaker(s, c), s.Practice.Wires().ContinuousFactor)
		if check.Status != verdict.Pass {
			broken = append(broken, c.Label)
		}
		if worst == nil || verdict.Worse(worst.Status, check.Status) != worst.Status || check.Status == worst.Status &&
			check.Margin < worst.Margin {
			worst, fullest = &check, c.Label
		}
	}
	if worst != nil && worst.Demand == 0 {
		worst.Reason = phrase.Of("nothing draws current on the circuits")
	}
	if worst == nil {
		switch {
		case len(silent) > 0:
		case assumed > 0:
			return verdict.Check{ID: id, Status: verdict.Pass, Unit: "A",
				Reason: phrase.Of("the circuits are the planner's assumption, with circuit breakers rated for their loads")}
		default:
			return verdict.Check{ID: id, Status: verdict.Pass, Unit: "A",
				Reason: phrase.Of("the site file has no circuits")}
		}
		return verdict.Unknown(id, 0, "A", phrase.Of("give breaker_a of the circuits to compare their currents"))
	}
	if len(broken) > 1 {
		worst.Reason = worst.Reason.Then(phrase.Of("; also overloaded: %s",
			phrase.Separated(wording.Quoted(without(broken, fullest)), ", ")))
	}
	if len(silent) > 0 {
		worst.Reason = worst.Reason.Then(phrase.Of("; give breaker_a of %s to compare too", strings.Join(silent, ", ")))
		worst.Status = verdict.Worse(worst.Status, verdict.Caution)
	}
	return *worst
}

// BreakersOfOtherMonths are cautions, one for each circuit that is above its breaker in a month that is not the outage's,
// and more so than in that: they tell its worst month. Loads of any month hang on it all year.
func BreakersOfOtherMonths(s *site.Site, known *Currents) (cautions []phrase.Phrase) {
	factor := s.Practice.Wires().ContinuousFactor
	for _, c := range s.Circuits {
		seasons := Seasons(s.OnCircuit(c.ID))
		if c.BreakerA == 0 || c.Assumed || len(seasons) < 2 {
			continue
		}
		worst, worstMonth := checkBreaker(c, known.Breaker(s, c), factor), 0
		for _, month := range seasons {
			check := checkBreaker(c, breakerIn(s, c, month), factor)
			if check.Status != verdict.Pass && check.Margin < worst.Margin-verdict.Slack {
				worst, worstMonth = check, month
			}
		}
		if worstMonth > 0 {
			cautions = append(cautions, phrase.Of("In %s: %s.", wording.MonthWord(worstMonth), worst.Reason))
		}
	}
	return cautions
}

// checkBreaker compares one circuit with its breaker. The rule for the largest motor is a caution: of a circuit with
// nothing but motors other articles of the code may allow more.
func checkBreaker(c loads.Circuit, current BreakerCurrent, factor float64) verdict.Check {
	const id = breakersID
	var counted phrase.Phrase
	if factor > 1 {
		counted = phrase.Of(", continuous loads counted at %.4g %%", 100*factor)
	}
	limit := wording.Amount(c.BreakerA, "A")
	check := verdict.AtMost(id, current.A, c.BreakerA, "A").Because(
		phrase.Of("most heavily loaded circuit: %q with %s on a circuit breaker of %s%s", c.Label,
			wording.Amount(current.A, "A"), limit, counted),
		phrase.Of("%q may draw %s%s, on a circuit breaker of %s", c.Label, wording.Amount(current.A, "A"), counted,
			limit))
	switch {
	case check.Status == verdict.Fail && c.Board != loads.BoardBackup:
		check = onMainBoard(check)
	case check.Status == verdict.Pass:
		if more := verdict.AtMost(id, current.MotorA, c.BreakerA, "A"); more.Status == verdict.Fail {
			more = more.AtWorst(verdict.Caution)
			more.Reason = phrase.Of("%q may draw %s with its largest motor at 125 %%, as NEC 220.18(A) counts it, "+
				"on a circuit breaker of %s",
				c.Label, wording.Amount(current.MotorA, "A"), limit)
			return more
		}
	}
	return check
}

// onMainBoard makes a caution of a failure: what a circuit on the main board has wrong is told, but nothing of the plan
// depends on it.
func onMainBoard(c verdict.Check) verdict.Check {
	if c.Status == verdict.Fail {
		c.Status = verdict.Caution
		c.Reason = c.Reason.Then(phrase.Of("; the circuit is on the main board and does not affect the plan"))
	}
	return c
}

// without leaves a label out.
func without(labels []string, label string) []string {
	return slices.DeleteFunc(slices.Clone(labels), func(l string) bool { return l == label })
}
