package conductors

import (
	"slices"

	"outlast/backup/phrase"
	"outlast/backup/site"
	"outlast/backup/verdict"
	"outlast/backup/wiring"
	"outlast/backup/wording"
	"outlast/backup/working"
	"outlast/loads"
)

// laying is how an AC run lies.
func (w *wirer) laying(system wiring.System) wiring.Laying {
	s := w.Site.Wiring
	return wiring.Laying{Tables: s.Tables, System: system, Method: s.Method, AmbientC: s.AmbientC, Grouped: s.Grouped}
}

// systemOf is the system of an AC run with so many line conductors.
func systemOf(lines int) wiring.System {
	return [...]wiring.System{wiring.SinglePhase, wiring.SplitPhase, wiring.ThreePhase}[lines-1]
}

// lines is how many phases of the site one inverter feeds: all that it has.
func (w *wirer) lines() int { return w.Inverter.Unit.Phases }

// share is the part of the current of one phase of the site that a line of one inverter carries, all of them loaded
// evenly.
func (w *wirer) share(sitePhaseA float64) float64 {
	return sitePhaseA * float64(w.Site.Phases) / float64(w.Inverter.Count*w.lines())
}

// inverterRuns are the grid input and the feeder. Conductors are chosen for what the inverter may carry, so that they
// still fit when loads are added; where the data sheet does not tell, for what the plan draws. Each inverter has its
// own. The breaker before the inverter protects its grid input, the one behind it the relay through which the grid
// passes: neither may be rated above them. Where no standard breaker for what the inverter may carry is small enough,
// it is one for what runs: with the chargers, if it carries them, as they yield to it. One that is given before the
// inverter is asked for no more either, as the limit of the grid current is set by it.
func (w *wirer) inverterRuns() {
	s, unit := w.Site, w.Inverter.Unit
	system := systemOf(w.lines())
	passA, inputA := w.share(w.PassThroughA), w.share(w.InputA)
	start := w.boardStart()
	ratedA := unit.RatedVA / float64(w.lines()) / s.NominalV
	runsA := max(w.share(w.passThroughWeighted()), start.loadA)

	input := wiring.Feeder{Laying: w.laying(system), VoltageV: s.NominalV,
		LengthM: s.Wiring.Input.LengthM, CableMM2: s.Wiring.Input.MM2, Brief: w.Brief,
		BreakerA: s.Wiring.InputBreakerA, ContinuousA: max(inputA, w.share(w.Inverter.ACInputA())),
		Practice: w.practice, BearsA: unit.ACInputA, LeastA: runsA, Limited: true,
		YieldsA: w.practice.ContinuousFactor * (inputA - passA)}
	input.StartA, input.SurgeA, input.SurgeS = start.peakA, start.heatA, start.heatS
	if start.peakA > 0 { // the chargers need not wait for a start
		input.StartA, input.SurgeA = start.peakA+inputA-passA, start.heatA+inputA-passA
	}
	in, ok := w.feederRun(Input, input, phrase.Of("Main board to inverter"), w.Inverter.Count,
		phrase.Of("give ac_input_a of the inverter to check that the circuit breaker protects its input"),
		start, func(p *working.Part, r *Run) { w.inputAsked(p, r, input, start) }, nil)
	w.limitGrid(&in, w.share(w.Inverter.ACInputA()))
	if ok {
		w.done(in)
	}

	feeder := wiring.Feeder{Laying: w.laying(system), VoltageV: s.NominalV,
		LengthM: s.Wiring.Feeder.LengthM, CableMM2: s.Wiring.Feeder.MM2, Brief: w.Brief,
		BreakerA: s.Wiring.FeederBreakerA, ContinuousA: max(ratedA, passA, start.loadA), Upstream: in.Drop,
		Practice: w.practice, BearsA: unit.PassThroughA, LeastA: runsA,
		StartA: start.peakA, SurgeA: start.heatA, SurgeS: start.heatS}
	var out Run
	out, ok = w.feederRun(Feeder, feeder, phrase.Of("Inverter to backup board"), w.Inverter.Count,
		phrase.Of("give pass_through_a of the inverter to check that the circuit breaker protects its relay"),
		start, func(p *working.Part, r *Run) { w.feederAsked(p, r, feeder, start) },
		func(p *working.Part) { w.feedingStep(p, input, feeder, in, out) })
	if ok {
		w.done(out)
	}

	// Drops are in proportion to the current: what counts for the circuits is what their loads draw, not what the
	// inverter could carry.
	w.feeding = in.Drop*verdict.Share(inputA, input.ContinuousA) + out.Drop*verdict.Share(passA, feeder.ContinuousA)
}

// passThroughWeighted is what passes through while the grid is there, of the fullest phase, with the factor on what
// runs long and, where the tables want it, the largest motor at 125 %.
func (w *wirer) passThroughWeighted() float64 {
	a, weight := w.PassThroughA, continuousWeight(w.practice.ContinuousFactor)
	perPhase := func(d loads.Demand) float64 { return slices.Max(d.PhaseVA) / w.Site.NominalV }
	if w.practice.ContinuousFactor > 1 {
		a = perPhase(w.OnGrid.ScheduledWith(weight))
	}
	return max(a, site.WithLargestMotor(w.OnGrid, w.GridLoads, weight, wiring.LargestMotor(w.Site.Wiring.Tables),
		perPhase))
}

// limitGrid settles the limit of the current from the grid that is entered in each inverter: what its input bears, and
// what the breaker before it carries for hours, whichever is less, as it can be entered. The chargers yield to it. The
// loads do not: that it is below what passes through, by rounding or as a breaker carries more for less than hours, is a
// caution of the run.
func (w *wirer) limitGrid(in *Run, bearsA float64) {
	w.sized.GridLimitA = bearsA
	mend := phrase.Of("move a circuit")
	if in.DeviceA > 0 {
		carries := in.DeviceA / w.practice.ContinuousFactor
		if bearsA == 0 || carries < bearsA {
			w.sized.GridLimitA = carries
			mend = phrase.Of("use a larger circuit breaker or move a circuit")
		}
	}
	w.sized.GridLimitA = verdict.Settable(w.sized.GridLimitA)
	if asked := w.share(w.InputA); w.sized.GridLimitA > 0 && asked > w.sized.GridLimitA*(1+verdict.Slack) {
		w.note(phrase.Of("Enter at most %s per phase as the limit of the ac input current of each inverter: "+
			"at full simultaneous load the chargers reduce their current, as together they would draw %s.",
			wording.Amount(w.sized.GridLimitA, "A"), wording.Amount(asked, "A")))
	}
	passA := w.share(w.PassThroughA)
	in.LimitShort = in.Check.Status != verdict.Fail && w.sized.GridLimitA > 0 &&
		passA > w.sized.GridLimitA*(1+verdict.Slack)
	if in.LimitShort {
		in.Check = in.Check.WithCaution(phrase.Of("; the limit of the grid current that is entered, %s, is below the "+
			"pass-through current of %s per phase: while the grid is available the bank must supply the rest, if the "+
			"inverter can do that; if not, %s",
			wording.Amount(w.sized.GridLimitA, "A"), wording.Amount(passA, "A"), mend))
	}
}

// boardStart is what the starts of the backup board draw through one inverter.
func (w *wirer) boardStart() start {
	var st start
	for _, s := range w.Starts {
		st.add(s.Load, s.BalancedVA/float64(w.Inverter.Count*w.lines())/w.Site.NominalV, s.Seconds, 0)
	}
	return st
}

// feederRun sizes an AC run of the inverters.
func (w *wirer) feederRun(kind Kind, f wiring.Feeder, label phrase.Phrase, count int, wanted phrase.Phrase, st start,
	asked func(*working.Part, *Run), more func(*working.Part)) (r Run, ok bool) {
	r = Run{ID: "cable-" + string(kind), Kind: kind, Label: label, Count: count}
	sized, err := wiring.SizeFeeder(f)
	if err != nil {
		w.fail(r, err)
		return Run{}, false
	}
	r.fromFeeder(f, sized)
	r.steps = w.writing(&r, func(p *working.Part) { asked(p, &r) }, sized.Working, func(name string) working.Origin {
		return w.feederOrigin(name, r.Kind,
			st)
	}, more)
	j := judge{run: &r, curt: w.Curt,
		wants: map[wiring.Comparison]want{
			wiring.OfDevice: {phrase.Of("no standard circuit breaker is rated that high: take one from a maker's list"),
				true}}}
	j.decide(sized.Checks, func() wiring.Choice {
		f.CableMM2 = 0
		return chosen(wiring.SizeFeeder(f))
	})
	if f.BearsA == 0 {
		r.Check = r.Check.WithCaution(phrase.Symbols("; %s", wanted))
	}
	return r, true
}

func chosen(r wiring.FeederResult, err error) wiring.Choice {
	if err != nil {
		return wiring.Choice{}
	}
	return r.Choice
}

// fromFeeder takes the result of an AC run over.
func (r *Run) fromFeeder(f wiring.Feeder, sized wiring.FeederResult) {
	r.fromChoice(sized.Choice, f.CableMM2, f.LengthM)
	r.NeedsA, r.TotalDrop = sized.NeedA, sized.TotalDrop
	r.Device, r.DeviceA, r.DeviceChosen, r.BearsA = wiring.Breaker, sized.BreakerA, f.BreakerA == 0, f.BearsA
	r.tooSmallA, r.tooLargeA = sized.TooSmallA, sized.TooLargeA
	l := &r.Laid
	l.System, l.VoltageV, l.LoadA, l.StartA = f.Laying.System, f.VoltageV, f.ContinuousA+f.OtherA, f.StartA
	l.PowerFactor, l.StartPowerFactor, l.Upstream = f.PowerFactor, f.StartPowerFactor, f.Upstream
	l.SurgeA, l.SurgeS = f.SurgeA, f.SurgeS
}
