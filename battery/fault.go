package battery

import (
	"fmt"
)

// A Fault is one thing in a unit that contradicts another, or cannot be.
type Fault struct {
	Key string // the key of an equipment file that is wrong, such as "capacity"
	Msg string // lower case: what was found and what is allowed
}

// ratedTolerance is how far rated_ah may be from the discharge table at the rated hours. Data sheets round to whole Ah.
const ratedTolerance = 0.01

// Check returns what is wrong with the unit, in a fixed order; nothing if it is sound. Keys that are not given (zero)
// are not compared, so that it can be asked before or after [Unit.WithDefaults].
func (u Unit) Check() []Fault {
	var c faultCollector
	u.checkCapacity(&c)
	u.checkVolts(&c)
	u.checkLimits(&c)
	u.checkCycles(&c)
	return c.faults
}

// checkCapacity finds all that would spoil a sizing.
func (u Unit) checkCapacity(c *faultCollector) {
	if !u.Chemistry.Valid() {
		c.add("chemistry", "%q, want one of %v", u.Chemistry, Chemistries())
	}
	u.checkNumbers(c)
	u.checkTable(c)
}

type faultCollector struct{ faults []Fault }

func (c *faultCollector) add(key, format string, args ...any) {
	c.faults = append(c.faults, Fault{Key: key, Msg: fmt.Sprintf(format, args...)})
}

// No figure of a battery, in any unit used here, lies outside these; inside, no product of a few of them overflows.
const least, most, leastFraction = 1e-9, 1e9, 0.01

func plausible(x float64) bool { return x >= least && x <= most }

// checkNumbers looks at each number by itself.
func (u Unit) checkNumbers(c *faultCollector) {
	for _, v := range []struct {
		key string
		x   float64
	}{
		{"nominal_v", u.NominalV}, {"rated_ah", u.RatedAh}, {"rated_h", u.RatedH}, {"max_charge_a", u.MaxChargeA},
		{"max_discharge_a", u.MaxDischargeA}, {"pulse_a", u.PulseA}, {"pulse_s", u.PulseS}, {"charge_v", u.ChargeV},
		{"float_v", u.FloatV}, {"equalise_v", u.EqualiseV}, {"min_v", u.MinV}, {"resistance_mohm", u.ResistanceMohm},
		{"max_parallel", float64(u.MaxParallel)}, {"mass_kg", u.MassKg},
	} {
		if v.x != 0 && !plausible(v.x) {
			c.add(v.key, "%g, want 0 (not given) or %g to %g", v.x, least, most)
		}
	}
	if u.Peukert != 0 && !(u.Peukert >= 1 && u.Peukert <= 2) {
		c.add("peukert", "%g, want 1 to 2", u.Peukert)
	}
	if mv := u.CompensationMV(); mv != 0 && !plausible(mv) {
		c.add("charge_mv_per_cell_c", "%g, want 0 (none) or %g to %g, either sign", *u.ChargeMVPerCellC, least, most)
	}
	for _, v := range []struct {
		key string
		x   float64
	}{{"max_dod", u.MaxDoD}, {"round_trip", u.RoundTrip}} {
		if v.x != 0 && !(v.x >= leastFraction && v.x <= 1) {
			c.add(v.key, "%g, want 0 (not given) or %g to 1", v.x, leastFraction)
		}
	}
	for _, v := range []struct {
		key string
		x   *float64
	}{{"charge_min_c", u.ChargeMinC}, {"charge_max_c", u.ChargeMaxC}, {"discharge_min_c", u.DischargeMinC},
		{"price", u.Price}} {
		if v.x != nil && !finite(*v.x) {
			c.add(v.key, "%g, want a finite number", *v.x)
		}
	}
}

func (u Unit) checkTable(c *faultCollector) {
	if len(u.Capacity) == 0 {
		return
	}
	if !u.hasTable() {
		c.add("capacity", "one point, want at least two; without a table peukert is used")
		return
	}
	for i, p := range u.Capacity {
		if !plausible(p.Hours) || !plausible(p.Ah) {
			c.add("capacity", "%g Ah in %g h, want %g to %g of both", p.Ah, p.Hours, least, most)
			return
		}
		if i == 0 {
			continue
		}
		switch q := u.Capacity[i-1]; {
		case p.Hours <= q.Hours:
			c.add("capacity", "%g h after %g h, want hours to rise", p.Hours, q.Hours)
			return
		case p.Ah < q.Ah:
			c.add("capacity", "%g Ah in %g h but %g Ah in %g h, want more hours to give no less", q.Ah, q.Hours, p.Ah,
				p.Hours)
			return
		case p.Ah/p.Hours >= q.Ah/q.Hours:
			c.add("capacity", "%.4g A for %g h and %.4g A for %g h, want a slower discharge to take less current",
				q.Ah/q.Hours, q.Hours, p.Ah/p.Hours, p.Hours)
			return
		}
	}
	if u.RatedAh > 0 && u.RatedH > 0 {
		u.checkRated(c)
	}
}

// checkRated compares the rated point with a sound table: on its line where the rated hours lie inside, and on the
// right side of its end where they do not.
func (u Unit) checkRated(c *faultCollector) {
	first, last := u.Capacity[0], u.Capacity[len(u.Capacity)-1]
	const high, low = 1 + ratedTolerance + slack, 1 - ratedTolerance - slack
	switch {
	case u.RatedH < first.Hours:
		if u.RatedAh > first.Ah*high {
			c.add("rated_ah", "%g Ah in %g h, but the capacity table gives only %g Ah in %g h", u.RatedAh, u.RatedH,
				first.Ah, first.Hours)
		}
	case u.RatedH > last.Hours:
		if u.RatedAh < last.Ah*low {
			c.add("rated_ah", "%g Ah in %g h, but the capacity table gives %g Ah in only %g h", u.RatedAh, u.RatedH,
				last.Ah, last.Hours)
		}
	default:
		if ah, _ := u.ahAtHours(u.RatedH); ah > u.RatedAh*high || ah < u.RatedAh*low {
			c.add("rated_ah", "%g Ah in %g h, but the capacity table gives %.4g Ah; want them within %g %%", u.RatedAh,
				u.RatedH, ah, 100*ratedTolerance)
		}
	}
}

func (u Unit) checkVolts(c *faultCollector) {
	// Equal is allowed: four LFP cells sold as "12 V" have their usual lowest voltage at just 12.0 V.
	order := func(lowKey string, low float64, highKey string, high float64) {
		if low > 0 && high > 0 && low > high*(1+slack) {
			c.add(lowKey, "%g V, want at most %s, %g V", low, highKey, high)
		}
	}
	order("min_v", u.MinV, "nominal_v", u.NominalV)
	order("nominal_v", u.NominalV, "charge_v", u.ChargeV)
	order("min_v", u.MinV, "float_v", u.FloatV)
	order("float_v", u.FloatV, "charge_v", u.ChargeV)
	order("charge_v", u.ChargeV, "equalise_v", u.EqualiseV)
}

func (u Unit) checkLimits(c *faultCollector) {
	if u.PulseA > 0 && u.MaxDischargeA > 0 && u.PulseA < u.MaxDischargeA {
		c.add("pulse_a", "%g A, want at least max_discharge_a, %g A", u.PulseA, u.MaxDischargeA)
	}
	if u.PulseS > 0 && u.PulseA == 0 {
		c.add("pulse_s", "%g s without pulse_a", u.PulseS)
	}
	if u.ChargeMinC != nil && u.ChargeMaxC != nil && *u.ChargeMinC >= *u.ChargeMaxC {
		c.add("charge_min_c", "%g C, want it below charge_max_c, %g C", *u.ChargeMinC, *u.ChargeMaxC)
	}
}

func (u Unit) checkCycles(c *faultCollector) {
	for i, p := range u.cyclesByDepth() {
		if !(p.DoD >= leastFraction && p.DoD <= 1) || !plausible(p.Cycles) {
			c.add("cycles", "%g cycles to a depth of %g, want %g to %g and a depth of %g to 1", p.Cycles, p.DoD, least,
				most, leastFraction)
			return
		}
		if i == 0 {
			continue
		}
		switch q := u.cyclesByDepth()[i-1]; {
		case p.DoD == q.DoD:
			c.add("cycles", "a depth of %g twice, with %g and %g cycles, want each depth once", p.DoD, q.Cycles,
				p.Cycles)
			return
		case p.Cycles > q.Cycles:
			c.add("cycles", "%g cycles to %g but %g to only %g, want a deeper discharge to give no more of them",
				p.Cycles, p.DoD, q.Cycles, q.DoD)
			return
		}
	}
}
