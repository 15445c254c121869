package conductors

import (
	"strings"

	"outlast/backup/phrase"
	"outlast/backup/verdict"
	"outlast/backup/wiring"
	"outlast/backup/working"
	"outlast/loads"
)

// circuitRunName is the name of a circuit's run: its id, unless another run goes by it.
func circuitRunName(id string) string {
	if Kind(id) == Bank || Kind(id) == Feeder || Kind(id) == Input || strings.HasPrefix(id, string(Array)+"-") &&
		id != string(Array)+"-" {
		return "circuit-" + id
	}
	return id
}

// circuitRun sizes or tests the cable of a circuit. Trials of one home meet the same circuits behind the same feeder
// again and again, and share what comes out; what somebody reads is worked out with its words.
func (w *wirer) circuitRun(c loads.Circuit) {
	if !w.Brief {
		w.sizeCircuit(c)
		return
	}
	key := tried{circuit: c.ID, board: c.Board, phase: c.Phase, curt: w.Curt}
	if c.Board == loads.BoardBackup {
		key.lost = w.feeding
	}
	w.sized.Checks = append(w.sized.Checks, w.Currents.checks.Of(key, func() verdict.Check {
		one := &wirer{Home: w.Home, practice: w.practice, feeding: w.feeding}
		one.sizeCircuit(c)
		return one.sized.Checks[0]
	}))
}

// sizeCircuit sizes or tests the cable of a circuit. The breaker itself is the business of the check circuit-breaker.
func (w *wirer) sizeCircuit(c loads.Circuit) {
	lines := 1
	if c.Phase == 0 {
		lines = w.Site.Phases
	}
	now := w.Currents.circuit(w.Site, c, lines)
	name := circuitRunName(c.ID)
	f := wiring.Feeder{Laying: w.laying(systemOf(lines)), VoltageV: w.Site.NominalV, LengthM: c.LengthM,
		CableMM2: c.CableMM2, Brief: w.Brief,
		BreakerA: c.BreakerA, PowerFactor: now.powerFactor, StartPowerFactor: now.start.powerFactor,
		StartA: now.start.peakA, SurgeA: now.start.heatA, SurgeS: now.start.heatS, Practice: w.practice}
	f.ContinuousA, f.OtherA = now.split(w.practice.ContinuousFactor)
	f.MotorA = min(now.motorA, f.ContinuousA+f.OtherA)
	if c.Board == loads.BoardBackup {
		f.Upstream = w.feeding
	}
	r := Run{ID: "cable-" + name, Kind: Circuit, Of: c.ID, Label: phrase.Name(c.Label), Count: 1}
	sized, err := wiring.SizeFeeder(f)
	if err != nil {
		w.fail(r, err)
		return
	}
	r.fromFeeder(f, sized)
	r.steps = w.writing(&r, func(p *working.Part) { w.circuitAsked(p, &r, c, f, now) }, sized.Working,
		func(name string) working.Origin { return w.circuitOrigin(name, c.ID, now) }, nil)
	j := judge{run: &r, skip: wiring.OfDevice, curt: w.Curt,
		wants: map[wiring.Comparison]want{wiring.OfDrop: {
			phrase.Of("give length_m of the circuit to compare the voltage drop too"),
			false}}}
	j.decide(sized.Checks, func() wiring.Choice {
		f.CableMM2 = 0
		return chosen(wiring.SizeFeeder(f))
	})
	if c.Board != loads.BoardBackup {
		r.Check = onMainBoard(r.Check)
	}
	w.done(r)
}
