package battery

import (
	"math"
)

// Wells is charge in the two wells of the kinetic battery model: what a current can take at once, and what is still
// bound and has to flow over first. In Ah (or any other unit of charge, if the parameters use it too).
type Wells struct{ AvailableAh, BoundAh float64 }

// TotalAh returns the charge in both wells.
func (w Wells) TotalAh() float64 { return w.AvailableAh + w.BoundAh }

// WellParams are the constants of the kinetic battery model (Manwell & McGowan, Solar Energy 50 (1993) 399-405, memory;
// form of the equations: public code written from Jongerden & Haverkort, Battery Modeling, SEEN).
//
// Trap: two rate constants are in print, both called k. With heads h1 = y1/c and h2 = y2/(1-c) the flow between the
// wells is k (h2 - h1); what stands in the exponentials is k' = k/(c(1-c)). RatePerH is k'.
type WellParams struct {
	AvailableShare float64 // c, share of the full charge in the available well, (0, 1]; 1: no rate effect
	RatePerH       float64 // k', above 0
	FullAh         float64 // qmax, both wells full, above 0
}

// Check returns an error where a parameter is out of its range.
func (p WellParams) Check() error {
	if !(p.AvailableShare > 0 && p.AvailableShare <= 1) {
		return errs.Errorf("available share %g, want above 0 and at most 1", p.AvailableShare)
	}
	if err := checkPositive("rate constant", p.RatePerH, "per h"); err != nil {
		return err
	}
	return checkPositive("full charge", p.FullAh, "Ah")
}

// Full returns both wells full.
func (p WellParams) Full() Wells { return p.Rested(p.FullAh) }

// Rested returns a total charge spread as after a long rest: both heads equal.
func (p WellParams) Rested(totalAh float64) Wells {
	available := p.AvailableShare * totalAh
	return Wells{AvailableAh: available, BoundAh: totalAh - available}
}

// wellStep is a step of fixed length, ready for use:
//
//	y1' = decay*y1 + mix*(y1+y2) - drain*I
//	(y1+y2)' = (y1+y2) - hours*I
//
// That is the closed form with its terms collected; the total is carried instead of the bound well, so that charge is
// conserved to the last bit that a subtraction keeps.
type wellStep struct{ hours, decay, mix, drain float64 }

func (p WellParams) step(dtH float64) wellStep {
	x := p.RatePerH * dtH
	gone := -math.Expm1(-x) // 1 - e^-x
	return wellStep{
		hours: dtH,
		decay: 1 - gone,
		mix:   p.AvailableShare * gone,
		drain: (gone + p.AvailableShare*expRemainder(x)) / p.RatePerH,
	}
}

// expRemainder returns x - 1 + e^-x. For small x the three terms cancel to x²/2: a series then keeps all digits.
func expRemainder(x float64) float64 {
	if x < 0.01 {
		return x * x * (1./2 - x*(1./6-x*(1./24-x*(1./120-x/720))))
	}
	return x + math.Expm1(-x)
}

// Step returns the wells after dtH hours of a constant current, in A, above 0 for discharge: the closed form, not an
// integration. It does not stop at empty or full: see [WellParams.LargestDischargeA], [WellParams.LargestChargeA] and
// [WellParams.EmptyH].
func (p WellParams) Step(w Wells, currentA, dtH float64) Wells {
	s, total := p.step(dtH), w.TotalAh()
	available := s.decay*w.AvailableAh + s.mix*total - s.drain*currentA
	return Wells{AvailableAh: available, BoundAh: total - s.hours*currentA - available}
}

// LargestDischargeA returns the constant current that just empties the available well in dtH hours. With a constant
// current that well is lowest at one end of the step, so it does not fall below 0 in between.
func (p WellParams) LargestDischargeA(w Wells, dtH float64) float64 {
	s := p.step(dtH)
	return (s.decay*w.AvailableAh + s.mix*w.TotalAh()) / s.drain
}

// LargestChargeA returns the constant charging current, as a number of at least 0, that just fills the available well
// in dtH hours.
func (p WellParams) LargestChargeA(w Wells, dtH float64) float64 {
	s := p.step(dtH)
	return max(0, (p.AvailableShare*p.FullAh-s.decay*w.AvailableAh-s.mix*w.TotalAh())/s.drain)
}

// CapacityAh returns the charge that a full battery gives at the constant current which empties it in h hours, above 0:
// q(T) = qmax k' c T / (1 - e^-k'T + c (k'T - 1 + e^-k'T)).
func (p WellParams) CapacityAh(h float64) float64 {
	return p.FullAh * p.AvailableShare * h / p.step(h).drain
}

// EmptyH returns after how many hours of a constant current (A) the available well is empty; +Inf for a current that
// does not discharge.
func (p WellParams) EmptyH(w Wells, currentA float64) float64 {
	if !(currentA > 0) {
		return math.Inf(1)
	}
	// The available well is above 0 up to its only zero: it falls throughout, or rises first (recovery) and then falls.
	// When all charge would be gone it is not above 0 any more.
	lo, hi := 0.0, w.TotalAh()/currentA
	for range 200 {
		mid := lo + (hi-lo)/2
		if mid <= lo || mid >= hi {
			break
		}
		if p.Step(w, currentA, mid).AvailableAh > 0 {
			lo = mid
		} else {
			hi = mid
		}
	}
	return hi
}
