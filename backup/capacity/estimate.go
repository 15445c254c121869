package capacity

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"outlast/battery"
)

// End voltages of a discharge, V per cell under load. Lead-acid 1.75: US Navy training text on storage batteries
// (SEEN). LFP 2.80, NMC 3.00, 1 to 3 % left: own, "last line" of cut-offs after cell sheets.
var endCellV = map[battery.Chemistry]float64{battery.Flooded: 1.75, battery.AGM: 1.75, battery.Gel: 1.75,
	battery.LFP: 2.80, battery.NMC: 3.00}

// nearEndCellV: an inverter that lets go of a lead-acid bank at no more than that has emptied it but for a few per
// cent, which then count as lost: the safe side. Own.
const nearEndCellV = 1.85

// EndV is the voltage of a bank at which its discharge in a test ends.
func EndV(b battery.Bank) float64 { return endCellV[b.Unit.Chemistry] * float64(b.Cells()) }

// likely is the largest share that a log of the right bank may give; the least is what leaves nothing to plan with.
const likely = 1.5

// estimate finds the capacity in every way that the log allows.
func (r *Result) estimate(m *model, o Options) error {
	least, ok := m.least()
	if !ok || least > likely {
		return fmt.Errorf("%w: it was drawn %.0f Wh, and the bank has %.0f Wh", ErrOther, r.DrawnWh,
			r.Plan.Bank.CapacityAh()*r.Plan.Bank.NominalV())
	}
	r.AtLeast = min(1, least*(1-2*r.EnergySigma))
	used := m.used()
	lead := m.bank.Unit.Chemistry.LeadAcid()
	partZ, fullZ := partLithium, fullLithium
	if lead {
		partZ, fullZ = partLead, fullLead
	}
	beginZ := partZ
	if m.startZ > 0.98 {
		beginZ = fullZ
	}
	add := func(e Estimate, parts ...Part) {
		// dq/q of a partial discharge: energy, and both ends over what lies between them (own, by the propagation of
		// uncertainty).
		e.Budget = append(parts, Part{CauseEnergy, r.EnergySigma}, Part{CauseTemperature, r.doubtOfTemperature()})
		sum := 0.0
		for _, p := range e.Budget {
			sum += p.Sigma * p.Sigma
		}
		e.Sigma = math.Sqrt(sum)
		switch {
		case !(e.Share > leastShare) || math.IsInf(e.Sigma, 0) || math.IsNaN(e.Sigma):
		case r.tells(e):
			r.Estimates = append(r.Estimates, e)
		default:
			r.Silent = append(r.Silent, e.Way)
		}
	}
	usedUp := used.end[len(used.end)-1]
	end := EndV(m.bank)
	if cutoff := r.Plan.Bank.CutoffV; lead && cutoff <= nearEndCellV*float64(m.bank.Cells()) {
		end = max(end, cutoff)
	}
	reached := r.EndV <= end*1.002 // NaN: no
	if (reached || o.Emptied) && usedUp > 0 {
		e := Estimate{Way: WayEmptied, Share: least, FromZ: m.startZ}
		if !lead && reached { // a little is left below the end voltage
			e.Share = usedUp / (m.startZ - emptySoC)
			e.ToZ = emptySoC
		}
		span := max(0.01, m.startZ-e.ToZ)
		add(e, Part{CauseBegin, beginZ / span}, Part{CauseEnd, emptySoC / span}, Part{CauseRate, m.rate})
	}
	if z, slope, ok := r.rested(m); ok && usedUp > 0 {
		cellV := restedLithiumV
		if lead {
			cellV = restedLeadV
		}
		if span := m.startZ - z; span > 0.02 {
			add(Estimate{Way: WayRested, Share: usedUp / span, FromZ: m.startZ, ToZ: z},
				Part{CauseBegin, beginZ / span}, Part{CauseEnd, cellV * float64(m.bank.Cells()) / slope / span})
		}
	}
	if share, from, to, ok := byMonitor(m, used.read); ok {
		begin := partZ
		if from > 0.98 {
			begin = fullZ
		}
		add(Estimate{Way: WaySoC, Share: share, FromZ: from, ToZ: to}, Part{CauseBegin, begin / (from - to)},
			Part{CauseEnd, partZ / (from - to)})
	}
	if e, parts, ok := r.byVolts(m, least, usedUp, beginZ); ok {
		add(e, parts...)
	}
	slices.SortStableFunc(r.Estimates, func(a, b Estimate) int { return cmp.Compare(a.Sigma, b.Sigma) })
	for i, a := range r.Estimates {
		for _, b := range r.Estimates[i+1:] {
			if b.Sigma <= ToldSigma && math.Abs(a.Share-b.Share) > 2*math.Hypot(a.Sigma*a.Share, b.Sigma*b.Share) {
				r.Disagree = true
			}
		}
	}
	r.Told = len(r.Estimates) > 0 && r.Estimates[0].Sigma <= ToldSigma && !r.Disagree
	if r.Told && r.Estimates[0].Low() > likely {
		return fmt.Errorf("%w: it would have %.0f %% of its capacity", ErrOther, 100*r.Estimates[0].Share)
	}
	return nil
}

// tells says whether an estimate narrows what is known without it: that the share lies somewhere between what the bank
// has given and the most that a new one has. That is a rectangular distribution, whose standard deviation is its width
// over the root of 12 (the guide to the expression of uncertainty in measurement, 4.3.7): an estimate that is no more
// certain is a figure of the search, not of the bank. One that is good enough to be called the capacity always tells,
// also of a bank that gave nearly all that a new one has.
func (r *Result) tells(e Estimate) bool {
	return e.Sigma <= ToldSigma || e.Sigma*e.Share < (MoreThanRated-r.AtLeast)/math.Sqrt(12)
}

// rested reads the charge from the volts of a rest at the end; slope is V for the whole charge, there.
func (r *Result) rested(m *model) (z, slope float64, ok bool) {
	need := restLithiumH
	if m.bank.Unit.Chemistry.LeadAcid() {
		need = restLeadH
	}
	limit := restC * m.bank.CapacityAh() * m.bank.NominalV()
	restH, v := 0.0, math.NaN()
	for i := len(m.bins) - 1; i >= 0 && math.Abs(m.bins[i].w) <= limit; i-- {
		restH += m.bins[i].dtH
		if v != v {
			v = m.bins[i].volts
		}
	}
	if restH < need || v != v {
		return 0, 0, false
	}
	lo, hi := 0.0, 1.0
	for range 50 {
		if mid := (lo + hi) / 2; m.bank.SourceV(mid, m.tempC) < v {
			lo = mid
		} else {
			hi = mid
		}
	}
	z = (lo + hi) / 2
	const d = 0.01
	a, b := max(0, z-d), min(1, z+d)
	slope = (m.bank.SourceV(b, m.tempC) - m.bank.SourceV(a, m.tempC)) / (b - a)
	return z, slope, slope > 0
}

// byMonitor is the slope of the logged state of charge over what was drawn, by least squares. What stands at full or
// empty tells nothing: there monitors stay.
func byMonitor(m *model, used []float64) (share, from, to float64, ok bool) {
	var n, sx, sy, sxx, sxy float64
	from, to = 0, 1
	for i, b := range m.bins {
		if b.soc != b.soc || b.soc >= 0.9995 && i > 0 || b.soc <= 0.005 {
			continue
		}
		x := used[i]
		n++
		sx, sy, sxx, sxy = sx+x, sy+b.soc, sxx+x*x, sxy+x*b.soc
		from, to = max(from, b.soc), min(to, b.soc)
	}
	den := n*sxx - sx*sx
	if n < 3 || !(den > 0) || from-to < 0.02 {
		return 0, 0, 0, false
	}
	slope := (n*sxy - sx*sy) / den
	if !(slope < 0) {
		return 0, 0, 0, false
	}
	return -1 / slope, from, to, true
}

// byVolts fits the volts under load, and does so again with volts that are wrong by what model and meter may be: all of
// them, and more and more from the beginning to the end.
func (r *Result) byVolts(m *model, least, usedUp, beginZ float64) (e Estimate, parts []Part, ok bool) {
	n := 0
	for i := range m.bins {
		if m.counts(i) {
			n++
		}
	}
	if n < leastVolts || !(usedUp > 0) {
		return e, nil, false
	}
	share := m.bestShare(least, func(int) float64 { return 0 })
	off := loadedV * float64(m.bank.Cells())
	last := float64(len(m.bins) - 1)
	moved := func(shift func(int) float64) float64 {
		most := 0.0
		for _, sign := range []float64{1, -1} {
			other := m.bestShare(least, func(i int) float64 { return sign * shift(i) })
			most = max(most, math.Abs(other-share)/share)
		}
		return most
	}
	whole := moved(func(int) float64 { return off })
	tilted := moved(func(i int) float64 { return off * (2*float64(i)/last - 1) })
	z := m.follow(share).end
	e = Estimate{Way: WayVolts, Share: share, FromZ: m.startZ, ToZ: slices.Min(z)}
	span := max(0.01, e.FromZ-e.ToZ)
	return e, []Part{{CauseBegin, beginZ / span}, {CauseEnd, emptySoC / span},
		{CauseVolts, math.Hypot(whole, tilted)}, {CauseNoise, m.noise(share)}, {CauseRate, m.rate}}, true
}

// leastVolts: fewer readings of volts are no course.
const leastVolts = 8

// noise is what the scatter of the volts about the model makes of the share: ten readings count as one, as what is
// wrong with one of them is wrong with its neighbours.
func (m *model) noise(share float64) float64 {
	const step, alike = 0.01, 10
	none := func(int) float64 { return 0 }
	f, at := m.fitVolts(share, none)
	_, more := m.fitVolts(share*(1+step), none)
	sum := 0.0
	for i := range at {
		if m.counts(i) {
			d := (more[i] - at[i]) / step
			sum += d * d
		}
	}
	return math.Sqrt(f.cost / (sum / alike))
}
