package outage

import (
	"math"
	"testing"
)

func near(t *testing.T, what string, got, want, tolerance float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tolerance) {
		t.Errorf("%s = %.8g, want %.8g within %g", what, got, want, tolerance)
	}
}

// run follows an outage of so many minutes from its start.
func run(s Scenario, minutes int) (Result, error) {
	sim, err := NewSim(s)
	if err != nil {
		return Result{}, err
	}
	if err := sim.Run(minutes); err != nil {
		return Result{}, err
	}
	return sim.Result(), nil
}

// converter is the simplest model of the losses between bank and loads: a share of the load and a standby consumption.
type converter struct {
	LossShare float64 // of the load's power: 0.06 when 106 W are taken for 100 W, 1/efficiency - 1
	IdleW     float64 // standby consumption
}

// balance is the power at the bank in each step, in W: array less load, converter loss and standby consumption.
// pvWPerKWp is the yield of 1 kWp of array on the bank's side of the converter; kWp scales it.
func balance(loadW, pvWPerKWp []float64, kWp float64, c converter) []float64 {
	net := make([]float64, len(loadW))
	for i, w := range loadW {
		net[i] = pvWPerKWp[i]*kWp - (w*(1+c.LossShare) + c.IdleW)
	}
	return net
}
