package outage

import (
	"math"

	"gonum.org/v1/gonum/mathext"
	"gonum.org/v1/gonum/stat/distuv"
)

// Durations is a law of the length of outages in hours. Mark of all formulas of the three laws: textbook, memory.
type Durations interface {
	// Survival is the chance that an outage lasts longer than h hours: 1 for h <= 0.
	Survival(h float64) float64
	// MeanH is the mean length.
	MeanH() float64
	// MeanWithinH is the mean of the first h hours of an outage, E[min(T, h)]: what it lasts on average when everything
	// after h hours is cut off. h is at least 0.
	MeanWithinH(h float64) float64
}

// Exponential is the law of outages that may end at any moment with the same chance: P(T > t) = exp(-t/mean).
type Exponential struct{ law distuv.Exponential }

// NewExponential returns the exponential law of a mean in hours.
func NewExponential(meanH float64) (Exponential, error) {
	if err := checkLength("mean length", meanH); err != nil {
		return Exponential{}, err
	}
	return Exponential{distuv.Exponential{Rate: 1 / meanH}}, nil
}

// Survival is the chance that an outage lasts longer than h hours.
func (e Exponential) Survival(h float64) float64 { return e.law.Survival(h) }

// MeanH is the mean length.
func (e Exponential) MeanH() float64 { return e.law.Mean() }

// MeanWithinH is E[min(T, h)] = mean (1 - exp(-h/mean)).
func (e Exponential) MeanWithinH(h float64) float64 { return -math.Expm1(-e.law.Rate*h) / e.law.Rate }

// Lognormal is the law of outages whose length is normal on a log scale: many short ones, a few very long.
type Lognormal struct{ law distuv.LogNormal }

// NewLognormal returns the lognormal law whose ln(hours) has the mean mu, -50 to 50, and the standard deviation sigma,
// above 0 to 20.
func NewLognormal(mu, sigma float64) (Lognormal, error) {
	if !(math.Abs(mu) <= 50) {
		return Lognormal{}, errs.Errorf("mean of ln(hours) %g, want -50 to 50", mu)
	}
	if !(sigma > 0 && sigma <= 20) {
		return Lognormal{}, errs.Errorf("standard deviation of ln(hours) %g, want above 0 to 20", sigma)
	}
	return Lognormal{distuv.LogNormal{Mu: mu, Sigma: sigma}}, nil
}

// LognormalOfMean returns the lognormal law when only a mean in hours is known and the spread sigma of ln(hours) is
// assumed: mu = ln(mean) - sigma^2/2, which must lie within what [NewLognormal] takes.
func LognormalOfMean(meanH, sigma float64) (Lognormal, error) {
	if err := checkLength("mean length", meanH); err != nil {
		return Lognormal{}, err
	}
	return NewLognormal(math.Log(meanH)-sigma*sigma/2, sigma)
}

// Survival is the chance that an outage lasts longer than h hours.
func (l Lognormal) Survival(h float64) float64 {
	if h <= 0 {
		return 1 // the library takes the logarithm
	}
	return l.law.Survival(h)
}

// MeanH is the mean length, exp(mu + sigma^2/2).
func (l Lognormal) MeanH() float64 { return l.law.Mean() }

// MeanWithinH is E[min(T, h)] = mean Phi((ln h - mu)/sigma - sigma) + h P(T > h).
func (l Lognormal) MeanWithinH(h float64) float64 {
	if h <= 0 {
		return 0
	}
	z := (math.Log(h) - l.law.Mu) / l.law.Sigma
	return l.MeanH()*distuv.UnitNormal.CDF(z-l.law.Sigma) + h*l.Survival(h)
}

// Weibull is the law P(T > t) = exp(-(t/scale)^shape). With a shape below 1 an outage is the likelier to go on the
// longer it has lasted.
type Weibull struct{ law distuv.Weibull }

// NewWeibull returns the Weibull law of a shape, 0.05 to 100, and a scale in hours.
func NewWeibull(shape, scaleH float64) (Weibull, error) {
	if !(shape >= 0.05 && shape <= 100) {
		return Weibull{}, errs.Errorf("Weibull shape %g, want 0.05 to 100", shape)
	}
	if err := checkLength("Weibull scale", scaleH); err != nil {
		return Weibull{}, err
	}
	return Weibull{distuv.Weibull{K: shape, Lambda: scaleH}}, nil
}

// Survival is the chance that an outage lasts longer than h hours.
func (w Weibull) Survival(h float64) float64 { return w.law.Survival(h) }

// MeanH is the mean length, scale Gamma(1 + 1/shape).
func (w Weibull) MeanH() float64 { return w.law.Mean() }

// MeanWithinH is E[min(T, h)] = mean P(1 + 1/shape, (h/scale)^shape) + h P(T > h), where P is the regularised lower
// incomplete gamma function.
func (w Weibull) MeanWithinH(h float64) float64 {
	if h <= 0 {
		return 0
	}
	x := min(math.Pow(h/w.law.Lambda, w.law.K), math.MaxFloat64)
	return w.MeanH()*mathext.GammaIncReg(1+1/w.law.K, x) + h*w.Survival(h)
}

// checkLength refuses hours that are no length of an outage.
func checkLength(what string, h float64) error {
	if !(h >= 1e-9 && h <= 1e9) {
		return errs.Errorf("%s %g h, want 1e-9 to 1e9", what, h)
	}
	return nil
}
