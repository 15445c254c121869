package battery

import (
	"math"
)

// A WellFit is what [FitWells] found.
type WellFit struct {
	WellParams
	Residuals []float64 // per point: fitted over given capacity, less 1
}

// WorstResidual returns the residual that is largest without its sign.
func (f WellFit) WorstResidual() float64 {
	worst := 0.0
	for _, r := range f.Residuals {
		worst = max(worst, math.Abs(r))
	}
	return worst
}

// Bounds of the fit. A well that holds less than a fiftieth of the charge, or flow much faster or slower than any of
// the discharges, cannot be told from the points; the bounds keep a fit to two points from running away to them.
const (
	leastAvailableShare = 0.02
	flowSpan            = 30 // the rate constant lies between 1/(span * longest) and span / shortest, per h
	flowGrid            = 200
)

// FitWells fits the kinetic model to discharges of one battery: at least two, hours and Ah finite and above 0, each to
// empty at its own constant current. It minimises the sum of the squared relative errors of 1/q, in which for a given
// k' the two other constants are linear:
//
//	1/q(T) = a g + b (1-g), g = (1 - e^-k'T)/(k'T), a = 1/(qmax c), b = 1/qmax
//
// so that only k' is searched, first on a grid and then by golden section, and the same points always give the same
// constants. Points through which the curve must pass more closely than through the others can be given a weight above
// 1 (nil: all 1). A battery whose capacity does not fall with the rate gets an available share of 1.
func FitWells(points []RatePoint, weights []float64) (WellFit, error) {
	if len(points) < 2 {
		return WellFit{}, errs.Errorf("%d discharges, want at least 2 to fit the kinetic model", len(points))
	}
	if weights != nil && len(weights) != len(points) {
		return WellFit{}, errs.Errorf("%d weights for %d discharges", len(weights), len(points))
	}
	fit := wellFitter{points: points, weights: weights}
	shortest, longest := math.Inf(1), 0.0
	for i, p := range points {
		if !(p.Hours > 0 && p.Ah > 0) || !finite(p.Hours) || !finite(p.Ah) {
			return WellFit{}, errs.Errorf("discharge of %g Ah in %g h, want finite numbers above 0", p.Ah, p.Hours)
		}
		if w := fit.weight(i); !(w > 0) || math.IsInf(w, 1) {
			return WellFit{}, errs.Errorf("weight %g, want a finite number above 0", w)
		}
		shortest, longest = min(shortest, p.Hours), max(longest, p.Hours)
	}
	lo, hi := math.Log(1/(flowSpan*longest)), math.Log(flowSpan/shortest)
	best, bestCost := lo, math.Inf(1)
	width := (hi - lo) / flowGrid
	for i := range flowGrid + 1 {
		x := lo + float64(i)*width
		if _, cost := fit.at(math.Exp(x)); cost < bestCost {
			best, bestCost = x, cost
		}
	}
	p, _ := fit.at(math.Exp(fit.golden(max(lo, best-width), min(hi, best+width))))
	if err := p.Check(); err != nil {
		return WellFit{}, errs.Errorf("no kinetic model fits the discharges: %w", err)
	}
	out := WellFit{WellParams: p}
	for _, pt := range points {
		out.Residuals = append(out.Residuals, p.CapacityAh(pt.Hours)/pt.Ah-1)
	}
	return out, nil
}

type wellFitter struct {
	points  []RatePoint
	weights []float64
}

func (f wellFitter) weight(i int) float64 {
	if f.weights == nil {
		return 1
	}
	return f.weights[i]
}

// at returns the best constants for a given k', and their cost.
func (f wellFitter) at(ratePerH float64) (WellParams, float64) {
	// Charges are taken in parts of the first one: units of Ah must not decide how well the sums are conditioned.
	unit := f.points[0].Ah
	var aa, ab, bb, a1, b1 float64
	for i, p := range f.points {
		x := ratePerH * p.Hours
		w, q, g := f.weight(i), p.Ah/unit, -math.Expm1(-x)/x
		u, v := q*g, q*(1-g)
		aa += w * u * u
		ab += w * u * v
		bb += w * v * v
		a1 += w * u
		b1 += w * v
	}
	det := aa*bb - ab*ab
	a, b := (a1*bb-b1*ab)/det, (b1*aa-a1*ab)/det
	// On the border b = share*a the two terms are one.
	border := func(share float64) (float64, float64) {
		a := (a1 + share*b1) / (aa + 2*share*ab + share*share*bb)
		return a, share * a
	}
	switch {
	case !(a > 0) || b > a*(1-slack) || math.IsNaN(b):
		a, b = border(1)
	case b < leastAvailableShare*a:
		a, b = border(leastAvailableShare)
	}
	p := WellParams{AvailableShare: b / a, RatePerH: ratePerH, FullAh: unit / b}
	cost := 0.0
	for i, pt := range f.points {
		r := pt.Ah/p.CapacityAh(pt.Hours) - 1
		cost += f.weight(i) * r * r
	}
	return p, cost
}

// golden returns the ln k' of the least cost between lo and hi, where the grid has found one valley.
func (f wellFitter) golden(lo, hi float64) float64 {
	cost := func(x float64) float64 { _, c := f.at(math.Exp(x)); return c }
	shrink := 1 / math.Phi
	x1, x2 := hi-shrink*(hi-lo), lo+shrink*(hi-lo)
	c1, c2 := cost(x1), cost(x2)
	for range 60 {
		if c1 <= c2 {
			hi, x2, c2 = x2, x1, c1
			x1 = hi - shrink*(hi-lo)
			c1 = cost(x1)
		} else {
			lo, x1, c1 = x1, x2, c2
			x2 = lo + shrink*(hi-lo)
			c2 = cost(x2)
		}
	}
	return (lo + hi) / 2
}
