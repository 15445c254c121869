package battery

import "math"

// hasTable says whether the discharge table can be used: a curve needs two points.
func (u Unit) hasTable() bool { return len(u.Capacity) >= 2 }

// A rateSegment is a piece of the discharge curve between two points of a table: on log-log paper it is a straight
// line, and since ln I = ln Ah - ln h it is straight whether charge is drawn against hours or against current.
type rateSegment struct {
	from  RatePoint
	slope float64 // d ln Ah / d ln h
}

func segment(a, b RatePoint) rateSegment {
	return rateSegment{from: a, slope: math.Log(b.Ah/a.Ah) / math.Log(b.Hours/a.Hours)}
}

func (s rateSegment) atHours(h float64) float64 {
	return s.from.Ah * math.Pow(h/s.from.Hours, s.slope)
}

func (s rateSegment) atCurrent(a float64) float64 {
	return s.from.Ah * math.Pow(a*s.from.Hours/s.from.Ah, -s.slope/(1-s.slope))
}

// ahAtHours returns the charge that one unit gives when it is emptied in h hours, above 0. Slower than the table: its
// last point is held (no credit for what nobody measured); faster: the first segment goes on, and extrapolated is true.
// An exponent earns nothing for a discharge slower than the rated one: battery-monitor manual, SEEN.
func (u Unit) ahAtHours(h float64) (ah float64, extrapolated bool) {
	if !u.hasTable() {
		return min(u.RatedAh, u.byExponent(h)), false
	}
	t := u.Capacity
	last := len(t) - 1
	if h >= t[last].Hours {
		return t[last].Ah, false
	}
	i := 1
	for h > t[i].Hours {
		i++
	}
	return segment(t[i-1], t[i]).atHours(h), h < t[0].Hours*(1-slack)
}

// CurveAround returns the two rows of the discharge table between which its curve is read at h hours: the first two for
// faster discharges; for slower ones low is its last row, which holds, and high is zero. ok is false without a table.
func (u Unit) CurveAround(h float64) (low, high RatePoint, ok bool) {
	t := u.Capacity
	if !u.hasTable() {
		return low, high, false
	}
	if h >= t[len(t)-1].Hours {
		return t[len(t)-1], high, true
	}
	i := 1
	for h > t[i].Hours {
		i++
	}
	return t[i-1], t[i], true
}

// byExponent is the charge that the exponent gives for h hours, without a bound: t = H (C/(I H))^k with I = Ah/t,
// solved for Ah.
func (u Unit) byExponent(h float64) float64 {
	return u.RatedAh * math.Pow(h/u.RatedH, 1-1/max(u.Peukert, 1))
}

// ahAtCurrent is ahAtHours for a current of one unit in A.
func (u Unit) ahAtCurrent(a float64) (ah float64, extrapolated bool) {
	if !u.hasTable() {
		k := max(u.Peukert, 1)
		if !(a > 0) {
			return u.RatedAh, false
		}
		return u.RatedAh * min(1, math.Pow(u.RatedAh/(a*u.RatedH), k-1)), false
	}
	faster, slower, ok := u.RowsAround(a)
	if !ok {
		return u.Capacity[len(u.Capacity)-1].Ah, false
	}
	return segment(faster, slower).atCurrent(a), a > faster.amps()*(1+slack)
}

// RowsAround returns the two rows of the discharge table between which a steady current (A, of one unit) lies; of a
// current that is faster than the table the two fastest. ok is false without a table, and for a current slower than it,
// where its last row holds.
func (u Unit) RowsAround(currentA float64) (faster, slower RatePoint, ok bool) {
	t := u.Capacity
	if !u.hasTable() || !(currentA > t[len(t)-1].amps()) {
		return faster, slower, false
	}
	i := 1
	for currentA < t[i].amps() {
		i++
	}
	return t[i-1], t[i], true
}

// DischargeH returns how many hours a steady current (A, of one unit) takes to empty a full unit. extrapolated says
// that it is faster than the discharge table. A current of 0 or less never does: +Inf.
func (u Unit) DischargeH(currentA float64) (h float64, extrapolated bool) {
	if !(currentA > 0) {
		return math.Inf(1), false
	}
	ah, extrapolated := u.ahAtCurrent(currentA)
	return ah / currentA, extrapolated
}

// DischargeA returns the steady current (A, of one unit) that empties a full unit in h hours, above 0; extrapolated as
// in [Unit.DischargeH].
func (u Unit) DischargeA(h float64) (currentA float64, extrapolated bool) {
	ah, extrapolated := u.ahAtHours(h)
	return ah / h, extrapolated
}

// PeukertExponent returns the exponent k of the line through two discharges to the same end voltage:
// ln(t2/t1)/ln(I1/I2). It is NaN where the two have the same current. Source: the manual of a battery monitor.
func PeukertExponent(a, b RatePoint) float64 {
	return math.Log(b.Hours/a.Hours) / math.Log(a.amps()/b.amps())
}

// RateFactor returns the share of its rated capacity that the bank gives at a steady current of currentA (of the whole
// bank). It comes from the unit's discharge table, on log-log paper, where it is above 1 for slow discharges, as far as
// the table goes: published methods size with the capacity at the functional rate. Or from its Peukert exponent: (C/(I
// H))^(k-1) with C the capacity at H hours, never above 1. extrapolated says that the current is faster than the table.
// Source of the H-hour form: public note on Peukert's law, SEEN; of the rule that an exponent earns no credit for a
// current slower than the rated one: battery-monitor manual, SEEN.
func (b Bank) RateFactor(currentA float64) (k float64, extrapolated bool) {
	if b.Strings <= 0 || !(b.Unit.RatedAh > 0) {
		return 1, false
	}
	ah, extrapolated := b.Unit.ahAtCurrent(currentA / float64(b.Strings))
	k = ah / b.Unit.RatedAh
	if !(k >= 0) || math.IsInf(k, 1) { // figures that [Unit.Check] refuses
		return 1, extrapolated
	}
	return k, extrapolated
}

// RateCredit is what a model of the bank counts as its capacity over the rated one ([ModelOptions.RateCredit]), for a
// steady current of currentA of the whole bank: [Bank.RateFactor]. Lead-acid, whose model holds back by itself what a
// fast discharge does not reach, is only credited with more.
func (b Bank) RateCredit(currentA float64) float64 {
	k, _ := b.RateFactor(currentA)
	if b.Unit.Chemistry.LeadAcid() {
		return max(1, k)
	}
	return max(leastFraction, k)
}
