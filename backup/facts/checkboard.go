package facts

import (
	"math"
	"slices"
	"strings"

	"outlast/backup/inverter"
	"outlast/backup/phrase"
	"outlast/backup/site"
	"outlast/backup/verdict"
	"outlast/backup/wiring"
	"outlast/backup/wording"
	"outlast/loads"
)

func (p *Facts) checkWays() verdict.Check {
	n := 0
	for _, c := range p.Site.Circuits {
		if c.Board == loads.BoardBackup {
			n++
		}
	}
	if p.Site.Ways == 0 {
		return verdict.Check{ID: "board-ways", Status: verdict.Pass, Demand: float64(n), Unit: "circuits", Reason: phrase.Of("%s on the backup board; the site file sets no limit", phrase.Count(n, "%d circuit", "%d circuits"))}
	}
	return verdict.AtMost("board-ways", float64(n), float64(p.Site.Ways), "circuits").Because(
		phrase.Of("%s on a backup board with %s", phrase.Count(n, "%d circuit", "%d circuits"), phrase.Count(p.Site.Ways, "%d way", "%d ways")),
		phrase.Of("%s on a backup board with only %s", phrase.Count(n, "%d circuit", "%d circuits"), phrase.Count(p.Site.Ways, "%d way", "%d ways")))
}

// continuousH: loads that run longer are continuous and count continuous_factor against a breaker: NEC 210.20(A). The IEC tables have no such
// rule (wiring.ContinuousFactor).
const continuousH = 3.0

// continuousWeight counts loads for a breaker or a cable: those that run long with the factor.
func continuousWeight(factor float64) func(loads.Load) float64 {
	return func(l loads.Load) float64 {
		if l.HoursPerDay > continuousH {
			return factor
		}
		return 1
	}
}

// A breakerCurrent is what a circuit draws per phase while the grid is there, in A.
type breakerCurrent struct {
	A      float64 // long-running loads with their factor
	motorA float64 // the same with the largest motor at 125 %; a where the tables have no such rule
}

// BreakerCurrents are the currents of the circuits, in the order of the file. They are the same for every split and all equipment.
func (sh *Shared) BreakerCurrents(s *site.Site) []breakerCurrent {
	if sh.breakers != nil {
		return sh.breakers
	}
	sh.breakers = make([]breakerCurrent, len(s.Circuits))
	weight, share := continuousWeight(s.Practice.Wires().ContinuousFactor), wiring.LargestMotor(s.Wiring.Tables)
	for i, c := range s.Circuits {
		on := loads.InMonth(s.OnCircuit(c.ID), s.Outage.Month)
		set := loads.NewSet(s.Phases, on)
		perPhase := func(d loads.Demand) float64 { return slices.Max(d.PhaseVA) / s.NominalV }
		a := perPhase(set.ScheduledWith(weight))
		sh.breakers[i] = breakerCurrent{a, max(a, site.WithLargestMotor(set, on, weight, share, perPhase))}
	}
	return sh.breakers
}

// checkBreakers compares each circuit with its breaker. One on the main board is not the plan's business: it is told, and no more.
func (p *Facts) checkBreakers() verdict.Check {
	const id = "circuit-breaker"
	var worst *verdict.Check
	var fullest string // the label of the circuit of which worst tells
	var broken, silent []string
	currents := p.Shared.BreakerCurrents(p.Site)
	assumed := 0
	for i, c := range p.Site.Circuits {
		if c.Assumed && c.BreakerA > 0 {
			assumed++ // with a breaker that the planner chose to carry it
			continue
		}
		if c.BreakerA == 0 {
			silent = append(silent, c.ID)
			continue
		}
		check := p.checkBreaker(id, c, currents[i])
		if check.Status != verdict.Pass {
			broken = append(broken, c.Label)
		}
		if worst == nil || verdict.Worse(worst.Status, check.Status) != worst.Status || check.Status == worst.Status && check.Margin < worst.Margin {
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
			return verdict.Check{ID: id, Status: verdict.Pass, Unit: "A", Reason: phrase.Of("the circuits are the planner's assumption, with circuit breakers rated for their loads")}
		default:
			return verdict.Check{ID: id, Status: verdict.Pass, Unit: "A", Reason: phrase.Of("the site file has no circuits")}
		}
		return verdict.Unknown(id, 0, "A", phrase.Of("give breaker_a of the circuits to compare their currents"))
	}
	if len(broken) > 1 {
		worst.Reason = worst.Reason.Then(phrase.Of("; also overloaded: %s", phrase.Separated(wording.Quoted(without(broken, fullest)), ", ")))
	}
	if len(silent) > 0 {
		worst.Reason = worst.Reason.Then(phrase.Of("; give breaker_a of %s to compare too", strings.Join(silent, ", ")))
		worst.Status = verdict.Worse(worst.Status, verdict.Caution)
	}
	return *worst
}

// checkBreaker compares one circuit with its breaker. The rule for the largest motor is a caution: of a circuit with nothing but motors
// other articles of the code may allow more.
func (p *Facts) checkBreaker(id string, c loads.Circuit, current breakerCurrent) verdict.Check {
	factor := p.Site.Practice.Wires().ContinuousFactor
	var counted phrase.Phrase
	if factor > 1 {
		counted = phrase.Of(", continuous loads counted at %.4g %%", 100*factor)
	}
	limit := wording.Amount(c.BreakerA, "A")
	check := verdict.AtMost(id, current.A, c.BreakerA, "A").Because(
		phrase.Of("most heavily loaded circuit: %q with %s on a circuit breaker of %s%s", c.Label, wording.Amount(current.A, "A"), limit, counted),
		phrase.Of("%q may draw %s%s, on a circuit breaker of %s", c.Label, wording.Amount(current.A, "A"), counted, limit))
	switch {
	case check.Status == verdict.Fail && c.Board != loads.BoardBackup:
		check = onMainBoard(check)
	case check.Status == verdict.Pass:
		if more := verdict.AtMost(id, current.motorA, c.BreakerA, "A"); more.Status == verdict.Fail {
			more = more.AtWorst(verdict.Caution)
			more.Reason = phrase.Of("%q may draw %s with its largest motor at 125 %%, as NEC 220.18(A) counts it, on a circuit breaker of %s", c.Label, wording.Amount(current.motorA, "A"), limit)
			return more
		}
	}
	return check
}

// onMainBoard makes a caution of a failure: what a circuit on the main board has wrong is told, but nothing of the plan depends on it.
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

// A slip is a held-off load that somebody switches on all the same, at the worst minute of the day.
type slip struct {
	held     loads.Load
	demand   loads.Demand // of everything that then runs
	starting *loads.Surge // nil: it starts no harder than it runs
}

// slips works the slips of all held-off loads out. Each would need a set of its own; but the power of a load that may be switched on at any
// minute simply comes on top of what runs, which is what a start does, so one set serves them all: each stands in it as a load that never
// runs and starts with its running power, and once more with its start. The mates of its interlock stand still then.
func (p *Facts) slips() []slip {
	out := make([]slip, len(p.HeldOff))
	all := p.InOutage()
	for i := range all {
		all[i].Start = nil // only their own starts are asked for
	}
	running := len(all)
	var of []int // by pseudo-load: the slip it belongs to
	pseudo := func(i int, name string, start loads.Start) {
		l := loads.Load{Name: name, Phase: out[i].held.Phase, Quantity: 1, Start: &start, Months: loads.AllMonths, Interlock: out[i].held.Interlock}
		all, of = append(all, l), append(of, i)
	}
	for i, held := range p.HeldOff {
		held.HeldOff, held.Windows = false, nil // people slip at any time, not only when they would use it
		out[i].held = held
		rest := held.Running().Scale(float64(held.Quantity - 1))
		pseudo(i, held.Name, loads.Start{Power: held.RunningAll(), Seconds: 1})
		if st := held.Start; st != nil {
			pseudo(i, held.Name+" ", loads.Start{Power: st.Power.Add(rest), PlainVA: st.PlainVA, Seconds: st.Seconds})
		}
	}
	without := apart{p, map[string][]float64{}}
	for _, surge := range loads.NewSet(p.Site.Phases, all).Surges() {
		s := &out[of[surge.Index-running]]
		if surge.Load != s.held.Name {
			s.starting = &surge
			continue
		}
		// Watts are plain sums, so each phase's worst minute stays the worst, but for the mates of an interlock, which stand still.
		base, w := p.Demand.Scheduled, s.held.RunningAll().W
		s.demand = loads.Demand{W: surge.MaxW, VA: surge.VA, PhaseVA: make([]float64, len(base.PhaseVA)), PhaseW: slices.Clone(base.PhaseW)}
		if surge.Phase > 0 {
			s.demand.PhaseVA[surge.Phase-1] = surge.PhaseVA
		}
		s.addOnPhases(w)
		if s.held.Interlock != "" && s.phaseWMatters(p.Inverter) {
			s.demand.PhaseW = slices.Clone(without.phaseW(s.held.Interlock))
			s.addOnPhases(w)
		}
	}
	return out
}

// addOnPhases adds watts of the held-off load to those of its phases.
func (s *slip) addOnPhases(w float64) {
	for n := range s.demand.PhaseW {
		switch s.held.Phase {
		case 0:
			s.demand.PhaseW[n] += w / float64(len(s.demand.PhaseW))
		case n + 1:
			s.demand.PhaseW[n] += w
		}
	}
}

// phaseWMatters says whether the watts of a phase, of which those with the mates of an interlock are no less, can be tighter than the VA.
func (s *slip) phaseWMatters(g inverter.Group) bool {
	w, limitW, _ := worstPhase(s.demand.W, s.demand.PhaseW, g.DeratedW())
	va, limitVA, _ := worstPhase(s.demand.VA, s.demand.PhaseVA, g.DeratedVA())
	return len(s.demand.PhaseW) > 1 && w/limitW >= va/limitVA
}

// apart tells each phase's watts at its worst minute without the members of an interlock, worked out when they are first asked for.
type apart struct {
	p     *Facts
	known map[string][]float64
}

func (a apart) phaseW(interlock string) []float64 {
	if _, ok := a.known[interlock]; !ok {
		others := slices.DeleteFunc(a.p.InOutage(), func(l loads.Load) bool { return l.Interlock == interlock })
		a.known[interlock] = loads.NewSet(a.p.Site.Phases, others).Scheduled().PhaseW
	}
	return a.known[interlock]
}

// checkSlip says what happens when a slip comes about. The whole rating counts: headroom is kept free for such as that.
func (p *Facts) checkSlip(s slip) verdict.Check {
	held, sched := s.held, s.demand
	id := "slip-" + held.Name
	va, limit, phase := worstPhase(sched.VA, sched.PhaseVA, p.Inverter.DeratedVA())
	worst := verdict.AtMost(id, va, limit, "VA")
	holds := p.Inverter.HoldsSeconds(va * p.Inverter.DeratedVA() / math.Max(limit, math.SmallestNonzeroFloat64))
	bad := phrase.Of("if used anyway, it raises the simultaneous load%s to %s, the limit being %s: the inverter %s", onPhase(phase), wording.Amount(va, "VA"), wording.Amount(limit, "VA"), howLong(holds))
	w, limitW, phaseW := worstPhase(sched.W, sched.PhaseW, p.Inverter.DeratedW())
	if c := verdict.AtMost(id, w, limitW, "W"); c.Margin < worst.Margin-verdict.Slack {
		worst = c
		bad = phrase.Of("if used anyway, it raises the simultaneous load%s to %s, above the inverter's limit of %s: it trips, and all backup circuits lose power", onPhase(phaseW), wording.Amount(w, "W"), wording.Amount(limitW, "W"))
	}
	if s.starting != nil {
		st := p.start(*s.starting, p.Inverter.RatingVA)
		if c := verdict.AtMost(id, st.DemandVA, st.LimitVA, "VA"); c.Margin < worst.Margin {
			worst = c
			bad = phrase.Of("if used anyway, its start takes %s%s, above the inverter's rating of %s for %g s: all backup circuits lose power", wording.Amount(st.DemandVA, "VA"), onPhase(st.Phase), wording.Amount(st.LimitVA, "VA"), st.Seconds)
		}
	}
	perHour := held.RunningW * float64(held.Quantity) / p.Inverter.EfficiencyAt(held.RunningW*float64(held.Quantity))
	usable := p.Bank.NominalV() * p.Bank.CapacityAh() * p.usableShare()
	good := phrase.Of("if used anyway, it stays within the limits, but it takes energy that the plan does not count")
	if usable > 0 {
		good = phrase.Of("if used anyway, it stays within the limits, but each hour takes %.1f %% of the usable energy of the bank", 100*perHour/usable)
	}
	return worst.AtWorst(verdict.Caution).Because(good, bad)
}

func howLong(seconds float64) phrase.Phrase {
	switch {
	case seconds == 0:
		return phrase.Of("trips at once, and all backup circuits lose power")
	case seconds < 120:
		return phrase.Of("trips after about %g s, and all backup circuits lose power", seconds)
	default:
		return phrase.Of("trips after about %.0f min, and all backup circuits lose power", seconds/60)
	}
}
