package facts

import (
	"math"
	"slices"

	"outlast/backup/inverter"
	"outlast/backup/phrase"
	"outlast/backup/verdict"
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
		return verdict.Check{ID: "board-ways", Status: verdict.Pass, Demand: float64(n), Unit: "circuits",
			Reason: phrase.Of("%s on the backup board; the site file sets no limit",
				phrase.Count(n, "%d circuit", "%d circuits"))}
	}
	return verdict.AtMost("board-ways", float64(n), float64(p.Site.Ways), "circuits").Because(
		phrase.Of("%s on a backup board with %s", phrase.Count(n, "%d circuit", "%d circuits"),
			phrase.Count(p.Site.Ways, "%d way", "%d ways")),
		phrase.Of("%s on a backup board with only %s", phrase.Count(n, "%d circuit", "%d circuits"),
			phrase.Count(p.Site.Ways, "%d way", "%d ways")))
}

// A slip is a held-off load that somebody switches on all the same, at the worst minute of the day.
type slip struct {
	held     loads.Load
	demand   loads.Demand // of everything that then runs
	starting *loads.Surge // nil: it starts no harder than it runs
}

// slips works the slips of all held-off loads out. Each would need a set of its own; but the power of a load that may
// be switched on at any minute simply comes on top of what runs, which is what a start does, so one set serves them
// all: each stands in it as a load that never runs and starts with its running power, and once more with its start. The
// mates of its interlock stand still then.
func (p *Facts) slips() []slip {
	out := make([]slip, len(p.HeldOff))
	all := p.InOutage()
	for i := range all {
		all[i].Start = nil // only their own starts are asked for
	}
	running := len(all)
	var of []int // by pseudo-load: the slip it belongs to
	pseudo := func(i int, name string, start loads.Start) {
		l := loads.Load{Name: name, Phase: out[i].held.Phase, Quantity: 1, Start: &start, Months: loads.AllMonths,
			Interlock: out[i].held.Interlock}
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
		// Watts are plain sums, so each phase's worst minute stays the worst, but for the mates of an interlock, which
		// stand still.
		base, w := p.Demand.Scheduled, s.held.RunningAll().W
		s.demand = loads.Demand{W: surge.MaxW, VA: surge.VA, PhaseVA: make([]float64, len(base.PhaseVA)),
			PhaseW: slices.Clone(base.PhaseW)}
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

// phaseWMatters says whether the watts of a phase, of which those with the mates of an interlock are no less, can be
// tighter than the VA.
func (s *slip) phaseWMatters(g inverter.Group) bool {
	w, limitW, _ := worstPhase(s.demand.W, s.demand.PhaseW, g.DeratedW())
	va, limitVA, _ := worstPhase(s.demand.VA, s.demand.PhaseVA, g.DeratedVA())
	return len(s.demand.PhaseW) > 1 && w/limitW >= va/limitVA
}

// apart tells each phase's watts at its worst minute without the members of an interlock, worked out when they are
// first asked for.
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
	var st Start
	if s.starting != nil {
		st = p.start(*s.starting, p.Inverter.RatingVA)
		if st.DemandVA > st.LimitVA*(1+verdict.Slack) { // it does not come as far as running
			holds = min(holds, p.Inverter.HoldsSeconds(st.DemandVA*p.Inverter.RatingVA(st.Seconds)/
				math.Max(st.LimitVA, math.SmallestNonzeroFloat64)))
		}
	}
	bad := phrase.Of("if used anyway, it raises the simultaneous load%s to %s, the limit being %s: the inverter %s",
		OnPhase(phase), wording.Amount(va, "VA"), wording.Amount(limit, "VA"), howLong(holds))
	w, limitW, phaseW := worstPhase(sched.W, sched.PhaseW, p.Inverter.DeratedW())
	if c := verdict.AtMost(id, w, limitW, "W"); c.Margin < worst.Margin-verdict.Slack {
		worst = c
		bad = phrase.Of("if used anyway, it raises the simultaneous load%s to %s, above the inverter's limit of %s: "+
			"it trips, and all backup circuits lose power",
			OnPhase(phaseW), wording.Amount(w, "W"), wording.Amount(limitW, "W"))
	}
	if s.starting != nil {
		if c := verdict.AtMost(id, st.DemandVA, st.LimitVA, "VA"); c.Margin < worst.Margin {
			worst = c
			bad = phrase.Of("if used anyway, its start takes %s%s, above the inverter's rating of %s for %g s: "+
				"all backup circuits lose power",
				wording.Amount(st.DemandVA, "VA"), OnPhase(st.Phase), wording.Amount(st.LimitVA, "VA"), st.Seconds)
		}
	}
	perHour := held.RunningW * float64(held.Quantity) / p.Inverter.EfficiencyAt(held.RunningW*float64(held.Quantity))
	good := phrase.Of("if used anyway, it stays within the limits, but it takes energy that the plan does not count")
	if usable := p.UsableWh(); usable > 0 {
		good = phrase.Of("if used anyway, it stays within the limits, but each hour takes %.1f %% of the usable energy of the bank",
			100*perHour/usable)
	}
	return worst.AtWorst(verdict.Caution).Because(good, bad)
}

// slipBeyondBank says by how much a slip asks more of the bank than it, or the battery side of the inverters, may give;
// empty where it does not, where no limit is known, and where the plan does so without a slip.
func (p *Facts) slipBeyondBank(s slip) phrase.Phrase {
	a := func(w float64) float64 { return p.Inverter.DCPower(w) / p.LowV() }
	beyond := func(a, limit float64) bool { return limit > 0 && a > limit*(1+verdict.Slack) }
	limit := p.Inverter.MaxDischargeA()
	if bank := float64(p.Bank.Strings) * p.Bank.Unit.MaxDischargeA; bank > 0 {
		limit = min(limit, bank)
	}
	if runs := a(s.demand.W); beyond(runs, limit) && !beyond(a(p.Demand.Scheduled.W), limit) {
		return phrase.Of("If %q is used anyway, the current of the bank rises to %s at its lowest voltage, the limit being %s: "+
			"battery or inverter may switch off, and all backup circuits lose power.", s.held.Name, wording.Amount(runs, "A"),
			wording.Amount(limit, "A"))
	}
	if s.starting == nil {
		return phrase.Phrase{}
	}
	if starts, limit := a(s.starting.MaxW), p.pulseA(s.starting.Seconds); beyond(starts, limit) {
		return phrase.Of("If %q is used anyway, its start draws %s from the bank at its lowest voltage, the limit being %s: "+
			"the battery may switch off, and all backup circuits lose power.", s.held.Name, wording.Amount(starts, "A"),
			wording.Amount(limit, "A"))
	}
	return phrase.Phrase{}
}

// SlipGoesDark says whether all backup circuits may lose power where a held-off load is used all the same: the inverters
// do not bear it, or the bank does not.
func (p *Facts) SlipGoesDark(held loads.Load) bool {
	return slices.Contains(p.slipsBeyond, held.Name) || slices.ContainsFunc(p.Checks, func(c verdict.Check) bool {
		return c.ID == "slip-"+held.Name && c.Status != verdict.Pass
	})
}

// A SlipSum is what adds up to the power that the check of a held-off load compares.
type SlipSum struct {
	Held   loads.Load
	Starts bool         // it is its start, not what it runs with
	Loads  []loads.Load // that Parts are of: those that run beside it
	Parts  []loads.Part
	Phase  int    // 0: in total
	AtMin  int    // minute of the day
	Unit   string // "VA" or "W"
}

// SlipSum is what adds up to the demand of a check of a held-off load; ok is false for any other check.
func (p *Facts) SlipSum(c verdict.Check) (sum SlipSum, ok bool) {
	i := slices.IndexFunc(p.HeldOff, func(l loads.Load) bool { return c.ID == "slip-"+l.Name })
	if i < 0 || !c.HasLimit {
		return SlipSum{}, false
	}
	held := p.HeldOff[i]
	sum = SlipSum{Held: held, Unit: c.Unit}
	beside := p.InOutage()
	for i := range beside {
		beside[i].Start = nil
	}
	g := p.Inverter
	try := func(start loads.Start, whole float64) bool {
		onPhase := c.Limit < whole*(1-verdict.Slack) // what is compared has a phase's share of the whole rating
		l := loads.Load{Name: held.Name, Phase: held.Phase, Quantity: 1, Start: &start, Months: loads.AllMonths,
			Interlock: held.Interlock}
		sum.Loads = append(slices.Clone(beside), l)
		set := loads.NewSet(p.Site.Phases, sum.Loads)
		for _, surge := range set.Surges() {
			sum.Phase, sum.AtMin = 0, surge.AtMin
			switch {
			case c.Unit == "VA" && !onPhase && c.Demand == surge.VA:
			case c.Unit == "VA" && onPhase && c.Demand == surge.PhaseVA:
				sum.Phase = surge.Phase
			case c.Unit == "W" && !onPhase && c.Demand == surge.MaxW:
				sum.AtMin = surge.MaxWAtMin
			default:
				continue
			}
			sum.Parts = set.StartParts(surge.Index, sum.AtMin, sum.Phase, c.Unit == "VA")
			return true
		}
		return false
	}
	whole := g.DeratedVA()
	if c.Unit == "W" {
		whole = g.DeratedW()
	}
	if try(loads.Start{Power: held.RunningAll(), Seconds: 1}, whole) {
		return sum, true
	}
	if st := held.Start; st != nil && c.Unit == "VA" {
		rest := held.Running().Scale(float64(held.Quantity - 1))
		if try(loads.Start{Power: st.Power.Add(rest), PlainVA: st.PlainVA, Seconds: st.Seconds},
			g.RatingVA(st.Seconds)) {
			sum.Starts = true
			return sum, true
		}
	}
	return p.slipOnPhase(sum, c, beside)
}

// slipOnPhase is what adds up to the watts of a phase: those of its worst minute, and the share of the load.
func (p *Facts) slipOnPhase(sum SlipSum, c verdict.Check, beside []loads.Load) (_ SlipSum, ok bool) {
	if c.Unit != "W" {
		return SlipSum{}, false
	}
	apart := slices.DeleteFunc(slices.Clone(beside), func(l loads.Load) bool {
		return l.Interlock != "" && l.Interlock == sum.Held.Interlock
	})
	for _, list := range [][]loads.Load{beside, apart} {
		set := loads.NewSet(p.Site.Phases, list)
		for n, w := range set.Scheduled().PhaseW {
			s := slip{held: sum.Held, demand: loads.Demand{PhaseW: make([]float64, p.Site.Phases)}}
			s.demand.PhaseW[n] = w
			if s.addOnPhases(sum.Held.RunningAll().W); s.demand.PhaseW[n] == c.Demand {
				sum.Loads, sum.Phase = list, n+1
				sum.AtMin, sum.Parts = set.PeakParts(n+1, false, false)
				return sum, true
			}
		}
	}
	return SlipSum{}, false
}

// FullestCircuit is the circuit that the check of the circuit breakers tells of, and the current that it compares; ok
// is false where nothing is compared.
func (p *Facts) FullestCircuit() (c loads.Circuit, a float64, ok bool) {
	i := slices.IndexFunc(p.Checks, func(c verdict.Check) bool { return c.ID == "circuit-breaker" && c.HasLimit })
	if i < 0 {
		return c, 0, false
	}
	check := p.Checks[i]
	for _, c := range p.Site.Circuits {
		current := p.Shared.Currents.Breaker(p.Site, c)
		if !c.Assumed && c.BreakerA == check.Limit && (current.A == check.Demand || current.MotorA == check.Demand) {
			return c, check.Demand, true
		}
	}
	return c, 0, false
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
