package facts

import (
	"slices"

	"outlast/backup/site"
	"outlast/backup/wiring"
	"outlast/loads"
)

// circuitCurrent is what a circuit's loads draw in each of its line conductors while the grid is there.
type circuitCurrent struct {
	loadA       float64 // as they run
	needA       float64 // long-running ones with their factor
	motorA      float64 // of the largest motor, as far as the US tables count it beyond needA; else 0
	powerFactor float64 // 0: unknown
	start       start
}

// circuitCurrent is the current of a circuit, the same for every split and all equipment.
func (w *wirer) circuitCurrent(c loads.Circuit, lines int) circuitCurrent {
	now, known := w.Shared.currents[c.ID]
	if !known {
		now = w.makeCurrent(c, lines)
		w.Shared.currents[c.ID] = now
	}
	return now
}

// makeCurrent works a circuit's current out, in the worst month: a cable lies there all year, whatever month the outage is
// planned for. Held-off loads run too.
func (w *wirer) makeCurrent(c loads.Circuit, lines int) circuitCurrent {
	var now circuitCurrent
	all := w.Site.OnCircuit(c.ID)
	perA := float64(lines) * w.Site.NominalV // VA for each A
	weight, share := continuousWeight(w.practice.ContinuousFactor), wiring.LargestMotor(w.Site.Wiring.Tables)
	total := func(d loads.Demand) float64 { return d.VA / perA }
	withMotorA := 0.0
	for _, month := range seasons(all) {
		on := loads.InMonth(all, month)
		if len(on) == 0 {
			continue
		}
		set := loads.NewSet(w.Site.Phases, on)
		d := set.Scheduled()
		if a := d.VA / perA; a > now.loadA {
			now.loadA, now.powerFactor = a, powerFactor(d.W, d.VA)
		}
		now.needA = max(now.needA, total(set.ScheduledWith(weight)))
		withMotorA = max(withMotorA, site.WithLargestMotor(set, on, weight, share, total))
		for _, s := range set.Surges() {
			pf := powerFactor(s.W, s.VA)
			if !on[s.Index].Start.PFKnown() {
				pf = 0 // the drop is that of the cable's own angle, the worst; the watts of the surge are on the safe side for the bank
			}
			now.start.add(s.VA/perA, s.Seconds, pf)
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

// split gives the part of the current that takes the factor and the rest: together the current that runs, with the factor what is
// needed. The loads may have either in different minutes, so that it is no sum over loads.
func (now circuitCurrent) split(factor float64) (continuousA, otherA float64) {
	if factor > 1 {
		continuousA = min(now.loadA, max(0, (now.needA-now.loadA)/(factor-1)))
	}
	return continuousA, now.loadA - continuousA
}

// seasons gives one month for each different set of loads over the year. Most circuits have one.
func seasons(ls []loads.Load) []int {
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
