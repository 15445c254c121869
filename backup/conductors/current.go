package conductors

import (
	"slices"

	"outlast/backup/site"
	"outlast/backup/verdict"
	"outlast/backup/wiring"
	"outlast/backup/workers"
	"outlast/loads"
)

// continuousWeight counts loads for a breaker or a cable: those that run long with the factor.
func continuousWeight(factor float64) func(loads.Load) float64 {
	return func(l loads.Load) float64 {
		if l.HoursPerDay > site.ContinuousH {
			return factor
		}
		return 1
	}
}

// Currents keeps what the circuits of a home draw: the same for every split and all equipment, while splits and
// equipment are tried by the thousand. The zero value knows nothing yet; a change of the loads wants a new one.
type Currents struct {
	breakers workers.Memo[string, BreakerCurrent] // by circuit
	circuits workers.Memo[string, circuitCurrent] // by circuit
	checks   workers.Memo[tried, verdict.Check]   // of cables, for trials
}

// tried is a circuit as its cable was tried.
type tried struct {
	circuit string
	board   loads.Board
	phase   int
	lost    float64 // before it, as a fraction of the voltage; 0 on the main board
	curt    bool
}

// A BreakerCurrent is what a circuit draws per phase while the grid is there, in A.
type BreakerCurrent struct {
	A      float64 // long-running loads with their factor
	MotorA float64 // the same with the largest motor at 125 %; A where the tables have no such rule
}

// Breaker is the current of a circuit of a site in the month of the outage.
func (k *Currents) Breaker(s *site.Site, c loads.Circuit) BreakerCurrent {
	return k.breakers.Of(c.ID, func() BreakerCurrent { return breakerIn(s, c, s.Outage.Month) })
}

func breakerIn(s *site.Site, c loads.Circuit, month int) BreakerCurrent {
	weight, share := continuousWeight(s.Practice.Wires().ContinuousFactor), wiring.LargestMotor(s.Wiring.Tables)
	on := loads.InMonth(s.OnCircuit(c.ID), month)
	set := loads.NewSet(s.Phases, on)
	perPhase := func(d loads.Demand) float64 { return slices.Max(d.PhaseVA) / s.NominalV }
	a := perPhase(set.ScheduledWith(weight))
	return BreakerCurrent{a, max(a, site.WithLargestMotor(set, on, weight, share, perPhase))}
}

// A BreakerSum is what adds up to the current of a circuit for its breaker.
type BreakerSum struct {
	On     []loads.Load // in the month of the outage
	Set    *loads.Set   // of these
	Weight func(loads.Load) float64
}

// BreakerWorking is what adds up to the current that a circuit is compared with: its own, or that with the largest
// motor counted more.
func BreakerWorking(s *site.Site, c loads.Circuit, comparedA float64) BreakerSum {
	weight, share := continuousWeight(s.Practice.Wires().ContinuousFactor), wiring.LargestMotor(s.Wiring.Tables)
	on := loads.InMonth(s.OnCircuit(c.ID), s.Outage.Month)
	sum := BreakerSum{On: on, Set: loads.NewSet(s.Phases, on), Weight: weight}
	perPhase := func(d loads.Demand) float64 { return slices.Max(d.PhaseVA) / s.NominalV }
	if perPhase(sum.Set.ScheduledWith(weight)) != comparedA {
		sum.Weight = site.LargestMotorWeight(sum.Set, on, weight, share, perPhase)
	}
	return sum
}

// circuitCurrent is what a circuit's loads draw in each of its line conductors while the grid is there.
type circuitCurrent struct {
	loadA       float64 // as they run
	needA       float64 // long-running ones with their factor
	motorA      float64 // of the largest motor, as far as the US tables count it beyond needA; else 0
	powerFactor float64 // 0: unknown
	start       start
}

// circuit is the current of a circuit of a site, in the worst month: a cable lies there all year, whatever month the
// outage is planned for. Held-off loads run too.
func (k *Currents) circuit(s *site.Site, c loads.Circuit, lines int) circuitCurrent {
	return k.circuits.Of(c.ID, func() circuitCurrent { return currentOf(s, c, lines) })
}

func currentOf(s *site.Site, c loads.Circuit, lines int) (now circuitCurrent) {
	all := s.OnCircuit(c.ID)
	perA := float64(lines) * s.NominalV // VA for each A
	weight, share := continuousWeight(s.Practice.Wires().ContinuousFactor), wiring.LargestMotor(s.Wiring.Tables)
	total := func(d loads.Demand) float64 { return d.VA / perA }
	withMotorA := 0.0
	for _, month := range Seasons(all) {
		on := loads.InMonth(all, month)
		if len(on) == 0 {
			continue
		}
		set := loads.NewSet(s.Phases, on)
		d := set.Scheduled()
		if a := d.VA / perA; a > now.loadA {
			now.loadA, now.powerFactor = a, powerFactor(d.W, d.VA)
		}
		now.needA = max(now.needA, total(set.ScheduledWith(weight)))
		withMotorA = max(withMotorA, site.WithLargestMotor(set, on, weight, share, total))
		for _, surge := range set.Surges() {
			pf := powerFactor(surge.W, surge.VA)
			if !on[surge.Index].Start.PFKnown() {
				pf = 0 // the drop is that of the cable's own angle, the worst; the watts of the surge are on the safe side for the bank
			}
			now.start.add(surge.Load, surge.VA/perA, surge.Seconds, pf)
		}
	}
	now.loadA, now.needA = max(now.loadA, now.start.loadA), max(now.needA, now.start.loadA)
	if more := withMotorA - now.needA; more > 0 {
		now.motorA = min(now.loadA, more/share)
	}
	return now
}

// powerFactor is watts over volt-amperes; 0, unknown, where nothing flows.
func powerFactor(w, va float64) float64 {
	if va <= 0 {
		return 0
	}
	return min(1, max(0.01, w/va))
}

// split gives the part of the current that takes the factor and the rest: together the current that runs, with the
// factor what is needed. The loads may have either in different minutes, so that it is no sum over loads.
func (now circuitCurrent) split(factor float64) (continuousA, otherA float64) {
	if factor > 1 {
		continuousA = min(now.loadA, max(0, (now.needA-now.loadA)/(factor-1)))
	}
	return continuousA, now.loadA - continuousA
}

// Seasons gives one month for each different set of loads over the year. Most circuits have one.
func Seasons(ls []loads.Load) []int {
	same := func(a, b int) bool {
		return !slices.ContainsFunc(ls, func(l loads.Load) bool { return l.Months.Has(a) != l.Months.Has(b) })
	}
	var out []int
	for month := 1; month <= 12; month++ {
		if !slices.ContainsFunc(out, func(m int) bool { return same(m, month) }) {
			out = append(out, month)
		}
	}
	return out
}

// LongestStartS is how long a start may heat a conductor; what lasts longer is a load. Package wiring wants no more.
const LongestStartS = 300.0

// ShortestStartS is the least that counts as a start: what is shorter is a switching transient.
const ShortestStartS = 0.001

// A start as a conductor sees it, in A of each line.
type start struct {
	peakA        float64 // the highest: it decides the drop
	powerFactor  float64 // of the highest; 0: unknown
	heatA, heatS float64 // the one that heats most: A^2 s
	loadA        float64 // the highest that lasts too long to be a start

	peakOf, heatOf, loadOf string // the loads that start so
}

// add takes one more start into account.
func (st *start) add(load string, a, seconds, powerFactor float64) {
	if seconds > LongestStartS {
		if a > st.loadA {
			st.loadA, st.loadOf = a, load
		}
		seconds = LongestStartS
	}
	seconds = max(seconds, ShortestStartS)
	if a > st.peakA {
		st.peakA, st.powerFactor, st.peakOf = a, powerFactor, load
	}
	if a*a*seconds > st.heatA*st.heatA*st.heatS {
		st.heatA, st.heatS, st.heatOf = a, seconds, load
	}
}
