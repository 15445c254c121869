package generator

import (
	"math"

	"outlast/backup/inverter"
	"outlast/backup/outage"
	"outlast/backup/phrase"
	"outlast/backup/site"
	"outlast/backup/verdict"
	"outlast/loads"
)

// Runs is when the generator runs in an outage. It is decided once for a plan: outages are followed with it, fuel is
// counted with it, and papers print it for people to enter.
type Runs struct {
	StartSoC, StopSoC float64
	DarkSoC           float64 // charge down to which the bank carries everything: below it the house is dark
}

// How late a generator that shall prevent darkness may start, and how far above its start it stops at least. Common
// practice. A start from nearly full is no rule for an outage.
const (
	LatestStartSoC = 0.95
	LeastRefilled  = 0.05
)

// When decides when the generator runs; nil without one. A start_soc at which the house would be dark, or nearly, is
// raised; without one it is usual, or as much higher as the bank wants. Both are whole per cents, as people enter them
// and papers print them.
func When(g *site.Generator, darkSoC float64) *Runs {
	if g == nil {
		return nil
	}
	r := &Runs{DarkSoC: darkSoC}
	r.StartSoC = min(LatestStartSoC, wholePercent(max(g.StartSoC, r.DarkSoC+site.GeneratorAbove)))
	r.StopSoC = min(1, wholePercent(max(g.StopSoC, r.StartSoC+LeastRefilled)))
	return r
}

// wholePercent rounds a share up to whole per cents.
func wholePercent(share float64) float64 { return math.Ceil(100*share-verdict.Slack) / 100 }

// checkSoC compares the charge at which the generator is to start with the one at which the circuits lose power.
func checkSoC(r *Runs, g *site.Generator) verdict.Check {
	const id = "generator-soc"
	wished := g.StartSoC
	if !g.StartGiven {
		wished = r.StartSoC
	}
	c := verdict.AtLeast(id, 100*wished, 100*(r.DarkSoC+site.GeneratorAbove), "%").AtWorst(verdict.Caution)
	dark := phrase.Of("the bank supplies all loads down to a state of charge of %.0f %%", 100*r.DarkSoC)
	runs := phrase.Of("start it at %.0f %% and stop it at %.0f %%, as the plan does", 100*r.StartSoC, 100*r.StopSoC)
	switch {
	case r.StartSoC <= r.DarkSoC+verdict.Slack:
		c.Status = verdict.Fail
		c.Reason = phrase.Of("%s: the circuits lose power before the generator could start", dark)
	case wished <= r.DarkSoC+verdict.Slack:
		c.Reason = phrase.Of("start_soc is %.3g %%, but %s: the circuits would lose power before the generator starts; %s",
			100*wished, dark, runs)
	case c.Status != verdict.Pass:
		c.Reason = phrase.Of("start_soc is %.3g %%, and %s: too little margin for a generator that has to be started first; %s",
			100*wished, dark, runs)
	case g.StopSoC < r.StopSoC:
		c.Status = verdict.Caution
		c.Reason = phrase.Of("stop_soc is %.3g %%, and the generator starts at %.0f %%; %s", 100*g.StopSoC,
			100*r.StartSoC, runs)
	default:
		c.Reason = phrase.Of("the generator starts at %.0f %% and stops at %.0f %%; %s", 100*r.StartSoC,
			100*r.StopSoC, dark)
	}
	return c
}

// noChargerW stands for an inverter that does not charge, or is not known to: a limit of 0 W would be none.
const noChargerW = 1e-6

// ForOutage is the site's generator for the simulation, with a bank of so many volts; nil without one. It charges with no
// more than set, the charge current that is entered for it, and the chargers yield to the loads: what goes through the
// inverters' input is no more than that bears, and what goes into them beside the loads keeps to the share of the
// generator that may run for hours.
func ForOutage(a Asked, bankV float64, set ChargeSetting) *outage.Generator {
	s := a.Site
	g := s.Generator
	if g == nil {
		return nil
	}
	d, err := Derating(s)
	if err != nil {
		return nil
	}
	left := d.Factor * UsableVA(s) / g.RatedVA
	if left <= 0 {
		return nil
	}
	burns, _ := Fuel(g)
	return &outage.Generator{
		RatedW: g.RatedVA * g.PowerFactor, Derating: left, StartSoC: a.Runs.StartSoC, StopSoC: a.Runs.StopSoC,
		ChargerW:          max(noChargerW, set.inputW(a.Inverter, bankV)),
		ChargerEfficiency: s.Inverter.Efficiency,
		FuelL:             g.FuelL,
		Fuel:              burns,
		Input:             throughInput(a),
		RatedVA:           g.RatedVA,
		ChargingShare:     s.Practice.Wires().GeneratorShare,
	}
}

// inputW is what the chargers take with what is entered, into a bank of so many volts.
func (set ChargeSetting) inputW(chargers inverter.Group, bankV float64) float64 {
	w := chargers.ChargerInputW(bankV)
	if full := chargers.ChargerA(); set.A > 0 && set.A < full {
		w *= set.A / full
	}
	return w
}

// throughInput is the way of the generator's power through the inverters.
func throughInput(a Asked) outage.Input {
	return outage.Input{VA: a.inputVA(), LoadsPF: loadsPF(a.Scheduled), ChargerPF: ChargerPF}
}

// inputA is what each phase of the grid input of all inverters takes: the limit that is entered for the AC input current
// or, where none is known, what the input bears; 0: not known. The generator stands at the same input as the grid.
func (a Asked) inputA() float64 {
	if a.LimitA > 0 {
		return a.Inverter.PerPhase(a.LimitA)
	}
	return a.Inverter.ACInputA()
}

// inputVA is that of all phases.
func (a Asked) inputVA() float64 { return a.inputA() * float64(a.Site.Phases) * a.Site.NominalV }

// loadsPF is the power factor with which the loads use up an input while all of the schedule run: balanced, as it is
// the fullest phase that reaches its limit.
func loadsPF(d loads.Demand) float64 {
	w := d.W
	va, _ := balanced(d.VA, d.PhaseVA)
	if w <= 0 || va <= 0 {
		return 1
	}
	return max(leastPF, min(1, w/va))
}

// leastPF is below what any home has.
const leastPF = 0.01
