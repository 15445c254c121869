package outage

import (
	"math"
)

// A Study answers questions about outages that start at any hour of one year: how long a given bank lasts, which bank
// or which reserve is needed. It is built once for a year and a path, and does not change afterwards.
//
// How it works. In a step the store follows "fail below the need, else min(full, store + gain)". Such maps compose to
// maps of the same form, and with the sums S of all gains (losses negative) the composition has a closed form: over the
// steps i..j-1 a start at x Wh in a bank of E Wh fails exactly if
//
//	x < S[i] - S[t]  for some i < t <= j           (it runs dry before it is ever full), or
//	E < S[s] - S[t]  for some i <= s < t <= j      (it runs dry after it was full at s).
//
// The second line is the "deficit form" d = max(0, d - gain), whose largest value is the bank that the span needs. So
// an hour of 60 steps boils down to three sums, and all questions to minima and maxima of spans of hours. Sums are
// whole numbers of a tiny quantum of energy, so that no order of adding can change a result.
type Study struct {
	hours   int     // of the year
	maxH    int     // longest outage followed
	quantum float64 // Wh, a power of two
	perWh   float64 // quanta, 1/quantum: of a power of two that is exact, and multiplying costs less than dividing
	// before[h] is the sum of gains at the start of hour h, in quanta; spans[h] is hour h. Both run on for maxH hours
	// after the end of the year, so that no index has to wrap.
	before []int64
	spans  []span
}

// span sums up one hour, or several that follow each other.
type span struct {
	hi   int64 // highest S before one of its steps
	lo   int64 // lowest S after one of its steps
	drop int64 // largest S[s] - S[t] within, s before t; at least 0. unserved: no bank of any size helps
}

// unserved marks a span in which a step asks more than the discharge limit.
const unserved = math.MaxInt64

// then joins a and the span b that follows it.
func (a span) then(b span) span {
	return span{
		hi:   max(a.hi, b.hi),
		lo:   min(a.lo, b.lo),
		drop: max(a.drop, b.drop, a.hi-b.lo),
	}
}

// Whole numbers of quanta: sums stay below 2^sumBits (span.then subtracts two of them), a quantum is not below
// 2^-finest Wh (15 pWh: rounding adds up to less than 1 uWh in two weeks of minutes), a bank counts at most hugeBank.
const (
	sumBits  = 60
	finest   = 36
	hugeBank = 1 << (sumBits + 1)

	exactFloat = 1 << 52 // whole numbers up to here are floats, and so are their halves
)

// NewStudy sums up a year for outages of at most maxH whole hours, 1 to MaxHours.
//
// The time is that of one pass over the steps. Errors: a step length, number of steps, efficiency, limit or maxH out of
// range, or a power that is not finite.
func NewStudy(y Year, p Path, maxH int) (*Study, error) {
	if err := y.check(); err != nil {
		return nil, err
	}
	if err := p.check(); err != nil {
		return nil, err
	}
	if maxH < 1 || maxH > MaxHours {
		return nil, errs.Errorf("longest outage %d h, want 1 to %d", maxH, MaxHours)
	}
	topW, err := y.topW()
	if err != nil {
		return nil, err
	}
	n := y.Hours()
	s := &Study{hours: n, maxH: maxH, before: make([]int64, n+maxH+1), spans: make([]span, n+maxH)}

	// No sum of gains exceeds bound Wh, with half an hour's worth to spare for rounding.
	bound := topW / p.DischargeEfficiency * (float64(n+maxH) + 1)
	_, exp := math.Frexp(bound) // bound < 2^exp
	s.quantum, s.perWh = math.Ldexp(1, -min(finest, sumBits-exp)), math.Ldexp(1, min(finest, sumBits-exp))

	s.sum(y, p)
	total := s.before[n]
	for h := n; h < n+maxH; h++ { // the year again, shifted
		a := s.spans[h-n]
		s.spans[h] = span{hi: a.hi + total, lo: a.lo + total, drop: a.drop}
		s.before[h+1] = s.before[h+1-n] + total
	}
	return s, nil
}

// sum fills the first year. It is the only place that touches every step.
func (s *Study) sum(y Year, p Path) {
	stepH := float64(y.StepMin) / 60
	c := &counter{
		gain: p.ChargeEfficiency * stepH / s.quantum, need: stepH / p.DischargeEfficiency / s.quantum,
		inW: limitW(p.ChargeLimitW), outW: limitW(p.DischargeLimitW),
	}
	if y.StepMin == 60 {
		s.sumHours(y.NetW, c)
		return
	}
	perHour := 60 / y.StepMin
	sum := int64(0)
	for h := range s.hours {
		hi, lo, drop := sum, int64(math.MaxInt64), int64(0)
		most := 0.0 // asked
		for _, w := range y.NetW[h*perHour : (h+1)*perHour] {
			g := c.quanta(w)
			if w < most {
				most = w
			}
			hi = max(hi, sum)
			sum += g
			lo = min(lo, sum)
			drop = max(drop, hi-sum)
		}
		if !c.serves(most) {
			drop = unserved
		}
		s.spans[h] = span{hi, lo, drop}
		s.before[h+1] = sum
	}
}

// sumHours is sum for steps of an hour: each is a span by itself.
func (s *Study) sumHours(netW []float64, c *counter) {
	sum := int64(0)
	spans, after := s.spans[:len(netW)], s.before[1:len(netW)+1]
	for h, w := range netW {
		g := c.quanta(w)
		a := &spans[h]
		a.hi, a.lo, a.drop = sum, sum+g, max(0, -g)
		if !c.serves(w) {
			a.drop = unserved
		}
		sum += g
		after[h] = sum
	}
}

// A counter turns the power of a step into the quanta that it changes the store by.
type counter struct {
	gain, need float64 // quanta per W
	inW, outW  float64 // limits
}

// quanta rounds to the nearest.
func (c *counter) quanta(w float64) int64 {
	// int64(x + 0.5) rounds a positive x to the nearest; the signs are apart, so x is never negative.
	if w < 0 {
		return -int64(-w*c.need + 0.5)
	}
	if w > c.inW { // not min: for floats it takes longer than all the rest of the loop
		w = c.inW
	}
	return int64(w*c.gain + 0.5)
}

// serves is false where more is asked than the bank gives.
func (c *counter) serves(w float64) bool { return -w <= c.outW }

// limitW reads a limit whose zero means none.
func limitW(w float64) float64 {
	if w == 0 {
		return math.MaxFloat64
	}
	return w
}

// quanta rounds an energy to whole quanta. More than hugeBank is as good as hugeBank: no sum comes near it.
func (s *Study) quanta(wh float64) int64 {
	q := wh * s.perWh
	if q >= hugeBank {
		return hugeBank
	}
	return int64(q + 0.5)
}

// wh returns an energy of q quanta in Wh, rounded up so that a bank of that size is never a quantum short.
func (s *Study) wh(q int64) float64 {
	wh := float64(q) * s.quantum
	if q < exactFloat { // a power of two rounds nothing
		return wh
	}
	for s.quanta(wh) < q {
		wh = math.Nextafter(wh, math.MaxFloat64)
	}
	return wh
}

// checkStore refuses a bank or a start state that is out of range.
func checkStore(usableWh, soc float64) error {
	if !(usableWh >= 0 && usableWh <= maxEnergyWh) {
		return errs.Errorf("bank %g Wh, want a finite number, at least 0", usableWh)
	}
	if !(soc >= 0 && soc <= 1) {
		return errs.Errorf("state of charge %g, want 0 to 1", soc)
	}
	return nil
}

// checkSpan refuses a length of outage that the study does not follow.
func (s *Study) checkSpan(h int) error {
	if h < 1 || h > s.maxH {
		return errs.Errorf("outage of %d h, want 1 to %d, the longest that is followed", h, s.maxH)
	}
	return nil
}
