package outage

import "math"

// A Generator carries the loads and charges the bank when that is low.
//
// It starts at the beginning of a minute at which the state of charge is no more than StartSoC, or after a minute in
// which the loads were not served in full; it stops at StopSoC, or when the tank does not hold a minute at full power.
// While it runs, the loads that the array does not carry are on it and not on the inverter. A StartSoC below the floor
// at which the bank stops giving is never reached: then every start costs a dark minute.
type Generator struct {
	RatedW            float64 // real power at its rating, above 0
	Derating          float64 // share of it that heat, altitude and too few phases leave, from [LeastDerating] to 1
	StartSoC, StopSoC float64 // 0 to 1, the second above the first
	ChargerW          float64 // what the charger takes from it at most; 0: no limit
	ChargerEfficiency float64 // in [0.01, 1]
	FuelL             float64 // what the tank holds; 0: not given, fuel never ends
	Input             Input   // through which it feeds loads and charger
	// RatedVA is its apparent power at its rating, derated like RatedW, for loads and charger with the power factors of
	// Input; 0: no limit beside RatedW.
	RatedVA float64
	// ChargingShare is the share of what it has left, in W and in VA, up to which the charger may load it beside the
	// loads, as charging takes hours: from above 0 to 1; 0 means 1. Loads may use all of it.
	ChargingShare float64
	// Fuel is what it burns by load, ascending: in a straight line between the points, the outer lines drawn on beyond
	// the ends. Empty: [DefaultFuel].
	Fuel []FuelPoint
}

// An Input is the way of a generator's power through the inverter: the loads have it first, and the charger yields.
type Input struct {
	VA        float64 // that it takes altogether; 0: no limit
	LoadsPF   float64 // power factor of the loads, in [0.01, 1]
	ChargerPF float64 // of the charger, likewise
}

// LeavesW is what it leaves the charger beside so much of the loads; below 0 where those alone are too much.
func (in Input) LeavesW(loadsW float64) float64 {
	if in.VA == 0 {
		return math.Inf(1)
	}
	return (in.VA - loadsW/in.LoadsPF) * in.ChargerPF
}

// A FuelPoint is the fuel that a generator burns at a load.
type FuelPoint struct {
	Load  float64 // share of the rated power, 0 to 1.5
	LPerH float64 // at least 0
}

// smallDieselKW and smallDiesel are a small diesel set's use.
//
// Source: approximate diesel fuel consumption chart, in litres, 8 kW row; on several public pages. Mark: SEEN.
const smallDieselKW = 8

var smallDiesel = []FuelPoint{{0.50, 1.48}, {0.75, 2.05}, {1.00, 2.61}}

// DefaultFuel is what a small diesel set of ratedW burns, for when nothing is known: the published use of one of 8 kW
// in proportion to the rating. Petrol sets burn more.
func DefaultFuel(ratedW float64) []FuelPoint {
	points := make([]FuelPoint, len(smallDiesel))
	for i, p := range smallDiesel {
		points[i] = FuelPoint{Load: p.Load, LPerH: p.LPerH * ratedW / 1000 / smallDieselKW}
	}
	return points
}

// LeastDerating is the least share of its rating that a set may have left: one that gives nothing at all is no set
// (own).
const LeastDerating = 0.01

func (g *Generator) check() error {
	for _, f := range []struct {
		name            string
		value, from, to float64
	}{
		{"generator's power in W", g.RatedW, 1e-3, maxPowerW},
		{"generator's derating", g.Derating, LeastDerating, 1},
		{"generator's start at a state of charge", g.StartSoC, 0, 1},
		{"generator's stop at a state of charge", g.StopSoC, 0, 1},
		{"generator's charger in W", g.ChargerW, 0, maxPowerW},
		{"efficiency of the generator's charger", g.ChargerEfficiency, 0.01, 1},
		{"fuel in l", g.FuelL, 0, 1e9},
		{"input of the generator in VA", g.Input.VA, 0, maxPowerW},
		{"generator's apparent power in VA", g.RatedVA, 0, maxPowerW},
		{"share of the generator for charging", g.ChargingShare, 0, 1},
	} {
		if err := within(f.name, f.value, f.from, f.to); err != nil {
			return err
		}
	}
	if in := g.Input; in.VA > 0 || g.RatedVA > 0 {
		if err := within("power factor of the loads on the generator", in.LoadsPF, 0.01, 1); err != nil {
			return err
		}
		if err := within("power factor of the generator's charger", in.ChargerPF, 0.01, 1); err != nil {
			return err
		}
	}
	if g.StopSoC <= g.StartSoC {
		return errs.Errorf("generator stops at a state of charge of %g, want more than %g, where it starts", g.StopSoC,
			g.StartSoC)
	}
	before := -1.0
	for _, p := range g.Fuel {
		if err := within("load of the fuel table", p.Load, 0, 1.5); err != nil {
			return err
		}
		if err := within("fuel table, l/h", p.LPerH, 0, 1e6); err != nil {
			return err
		}
		if p.Load <= before {
			return errs.Errorf("fuel table at load %g after %g, want ascending loads", p.Load, before)
		}
		before = p.Load
	}
	return nil
}

// OutputW is what heat and altitude leave of its power.
func (g *Generator) OutputW() float64 { return g.RatedW * g.Derating }

// LoadsW is the most that it gives the loads.
func (g *Generator) LoadsW() float64 {
	w := g.OutputW()
	for _, va := range []float64{g.Input.VA, g.RatedVA * g.Derating} {
		if va > 0 {
			w = min(w, va*g.Input.LoadsPF)
		}
	}
	return w
}

// ChargingW is what its charger takes beside so much of the loads.
func (g *Generator) ChargingW(loadsW float64) float64 {
	share := g.ChargingShare
	if share == 0 {
		share = 1
	}
	own := g.Input
	own.VA = share * g.RatedVA * g.Derating
	return max(0, min(share*g.OutputW()-loadsW, limitW(g.ChargerW), g.Input.LeavesW(loadsW), own.LeavesW(loadsW)))
}

// engine is a generator in the course of an outage.
type engine struct {
	*Generator
	fuel    []FuelPoint
	maxW    float64 // derated
	loadsW  float64 // of it for the loads
	maxLPH  float64 // at maxW
	leftL   float64 // in the tank; not used without one
	stepH   float64
	running bool
}

func newEngine(g *Generator, stepH float64) *engine {
	e := &engine{Generator: g, stepH: stepH, fuel: g.Fuel, maxW: g.OutputW(), loadsW: g.LoadsW(), leftL: g.FuelL}
	if len(e.fuel) == 0 {
		e.fuel = DefaultFuel(g.RatedW)
	}
	e.maxLPH = e.lPerH(e.maxW)
	return e
}

// lPerH is the fuel that it burns in an hour while it gives w.
func (e *engine) lPerH(w float64) float64 { return FuelAt(e.fuel, w/e.RatedW) }

// FuelAt reads the fuel at a load off points in ascending order, at least one: in a straight line between them, the
// outer lines drawn on beyond the ends.
func FuelAt(points []FuelPoint, load float64) (lPerH float64) {
	if len(points) == 1 {
		return points[0].LPerH
	}
	i := 1
	for i < len(points)-1 && load > points[i].Load {
		i++
	}
	a, b := points[i-1], points[i]
	return max(0, a.LPerH+(b.LPerH-a.LPerH)*(load-a.Load)/(b.Load-a.Load))
}

// rest stops it and fills its tank.
func (e *engine) rest() { e.running, e.leftL = false, e.FuelL }

// turn starts or stops it for the next step.
func (e *engine) turn(soc float64, short bool) {
	switch {
	case e.FuelL > 0 && e.leftL < e.maxLPH*e.stepH:
		e.running = false
	case soc >= e.StopSoC:
		e.running = false
	case soc <= e.StartSoC || short:
		e.running = true
	}
}

// burn takes the fuel of a step at w from the tank and returns it in litres.
func (e *engine) burn(w float64) float64 {
	l := e.lPerH(w) * e.stepH
	e.leftL -= l
	return l
}
