package loads

import (
	"fmt"
	"math"
)

// A Power is one steady power, real W and reactive VAr. Powers add as vectors; those of a load have no
// negative part.
type Power struct{ W, VAr float64 }

// FromPF returns the power that draws w watts at a lagging power factor: VAr = W * tan(acos(pf)).
//
// powerFactor is in (0, 1]; 1 gives exactly 0 VAr. Another one is a programmer's mistake and panics.
func FromPF(w, powerFactor float64) Power {
	if !(powerFactor > 0 && powerFactor <= 1) {
		panic(fmt.Sprintf("loads: power factor %g, want above 0 and at most 1", powerFactor))
	}
	// tan(acos(pf)) by way of sqrt(1-pf^2)/pf, factored: near 1 the plain difference loses digits.
	return Power{W: w, VAr: w * (math.Sqrt((1-powerFactor)*(1+powerFactor)) / powerFactor)}
}

// VA returns the apparent power, the length of the vector.
func (p Power) VA() float64 { return math.Hypot(p.W, p.VAr) }

// Add returns p + q.
func (p Power) Add(q Power) Power { return Power{p.W + q.W, p.VAr + q.VAr} }

// Sub returns p - q.
func (p Power) Sub(q Power) Power { return Power{p.W - q.W, p.VAr - q.VAr} }

// Scale returns p times k.
func (p Power) Scale(k float64) Power { return Power{p.W * k, p.VAr * k} }
