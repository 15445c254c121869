package facts

import (
	"slices"

	"outlast/backup/phrase"
	"outlast/backup/site"
	"outlast/backup/verdict"
	"outlast/backup/wiring"
	"outlast/backup/wording"
	"outlast/loads"
)

// A Run is one conductor of the plan with its protective device: what the site file gives of them, and for the rest the smallest
// that pass.
type Run struct {
	ID    string // of its check: "cable-bank", "cable-kitchen"
	Label phrase.Phrase
	Count int // equal ones: one for each inverter, one for each string of an array; 1 for a circuit

	Conductor       wiring.Size
	ConductorChosen bool    // by the planner
	LengthM         float64 // one way; 0: not given
	CarriesA        float64 // as it is laid
	NeedsA          float64 // factors included

	Device       wiring.DeviceKind
	DeviceA      float64 // 0: none
	DeviceChosen bool
	BearsA       float64 // what the device protects beside the conductor: input or relay of an inverter; 0: nothing, or not known
	DeviceNeeds  Ratings // beside its current

	// What else a run of direct current takes. StringsWantFuses is false where a fuse in each string is advised only.
	Isolator, StringFuse Ratings
	StringsWantFuses     bool

	Drop, StartDrop float64 // fractions of the voltage, while it runs and at the largest start; 0 without a length
	TotalDrop       float64 // with the runs before it

	Check verdict.Check
	steps []wiring.Step

	tooSmallA, tooLargeA float64 // the standard ratings on both sides of a window in which there is none
}

// Ratings are the least that the label of a device must have; 0: not known, or of no concern.
type Ratings struct{ A, V, BreaksA float64 }

// The names of the runs that every home has; a circuit goes by its id, an array by its number.
const (
	runBank   = "bank"
	runFeeder = "feeder"
	runInput  = "input"
	runArray  = "array-"
)

// longestStartS is how long a start may heat a conductor; what lasts longer is a load. Package wiring wants no more.
const longestStartS = 300.0

// wirer works the runs out.
type wirer struct {
	*Facts
	practice wiring.Practice
	feeding  float64 // fraction of the voltage lost on the way to the backup board, by what the plan's loads draw
}

// Wires works out every conductor and device: the bank's, the feeder and the grid input of the inverters, the strings of the
// arrays, and the circuits of which the file gives a cable or a length. The split of the circuits is decided before.
func (p *Facts) Wires() {
	w := &wirer{Facts: p, practice: p.Site.Practice.Wires()}
	w.bankRun()
	w.inverterRuns()
	for i := range p.Site.Arrays {
		w.arrayRun(i)
	}
	for _, c := range p.Site.Circuits {
		if c.CableMM2 > 0 || c.LengthM > 0 {
			w.circuitRun(c)
		}
	}
	p.Questions = wiring.HandOver(wiring.Scope{Grid: true, Generator: p.Site.Generator != nil, Array: len(p.Site.Arrays) > 0})
}

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

// share is the part of the current of one phase of the site that a line of one inverter carries, all of them loaded evenly.
func (w *wirer) share(sitePhaseA float64) float64 {
	return sitePhaseA * float64(w.Site.Phases) / float64(w.Inverter.Count*w.lines())
}

// inverterRuns are the grid input and the feeder. Conductors are chosen for what the inverter may carry, so that they still fit
// when loads are added; where the data sheet does not tell, for what the plan draws. Each inverter has its own. The breaker before the
// inverter protects its grid input, the one behind it the relay through which the grid passes: neither may be rated above them. Where no standard
// breaker for what the inverter may carry is small enough, it is one for what runs; the chargers yield to it.
func (w *wirer) inverterRuns() {
	s, unit := w.Site, w.Inverter.Unit
	system := systemOf(w.lines())
	passA, inputA := w.share(w.Grid.PassThroughA), w.share(w.Grid.InputA)
	start := w.boardStart()
	ratedA := unit.RatedVA / float64(w.lines()) / s.NominalV
	runsA := max(w.share(w.passThroughWeighted()), start.loadA)

	input := wiring.Feeder{Name: runInput, Laying: w.laying(system), VoltageV: s.NominalV, LengthM: s.Wiring.Input.LengthM, CableMM2: s.Wiring.Input.MM2, Brief: !w.effort.full,
		BreakerA: s.Wiring.InputBreakerA, ContinuousA: max(inputA, w.share(w.Inverter.ACInputA())), Practice: w.practice, BearsA: unit.ACInputA, LeastA: runsA}
	input.StartA, input.SurgeA, input.SurgeS = start.peakA, start.heatA, start.heatS
	if start.peakA > 0 { // the chargers need not wait for a start
		input.StartA, input.SurgeA = start.peakA+inputA-passA, start.heatA+inputA-passA
	}
	in := w.feederRun(input, phrase.Of("Main board to inverter"), w.Inverter.Count, phrase.Of("give ac_input_a of the inverter to check that the circuit breaker protects its input"))
	w.limitGrid(in, w.share(w.Inverter.ACInputA()))

	feeder := wiring.Feeder{Name: runFeeder, Laying: w.laying(system), VoltageV: s.NominalV, LengthM: s.Wiring.Feeder.LengthM, CableMM2: s.Wiring.Feeder.MM2, Brief: !w.effort.full,
		BreakerA: s.Wiring.FeederBreakerA, ContinuousA: max(ratedA, passA, start.loadA), Upstream: in.Drop, Practice: w.practice, BearsA: unit.PassThroughA, LeastA: runsA,
		StartA: start.peakA, SurgeA: start.heatA, SurgeS: start.heatS}
	out := w.feederRun(feeder, phrase.Of("Inverter to backup board"), w.Inverter.Count, phrase.Of("give pass_through_a of the inverter to check that the circuit breaker protects its relay"))

	// Drops are in proportion to the current: what counts for the circuits is what their loads draw, not what the inverter could carry.
	w.feeding = in.Drop*verdict.Share(inputA, input.ContinuousA) + out.Drop*verdict.Share(passA, feeder.ContinuousA)
}

// passThroughWeighted is what passes through while the grid is there, of the fullest phase, with the factor on what runs long and, where the tables
// want it, the largest motor at 125 %.
func (w *wirer) passThroughWeighted() float64 {
	a, weight := w.Grid.PassThroughA, continuousWeight(w.practice.ContinuousFactor)
	perPhase := func(d loads.Demand) float64 { return slices.Max(d.PhaseVA) / w.Site.NominalV }
	if w.practice.ContinuousFactor > 1 {
		a = perPhase(w.Asked.gridSet.ScheduledWith(weight))
	}
	return max(a, site.WithLargestMotor(w.Asked.gridSet, w.Asked.gridLoads, weight, wiring.LargestMotor(w.Site.Wiring.Tables), perPhase))
}

// limitGrid settles the limit of the current from the grid that is entered in each inverter: what its input bears, and what the breaker before it carries for
// hours, whichever is less. The chargers yield to it.
func (w *wirer) limitGrid(in Run, bearsA float64) {
	w.Grid.LimitA = bearsA
	if in.DeviceA > 0 {
		carries := in.DeviceA / w.practice.ContinuousFactor
		if bearsA == 0 || carries < bearsA {
			w.Grid.LimitA = carries
		}
	}
	if asked := w.share(w.Grid.InputA); w.Grid.LimitA > 0 && asked > w.Grid.LimitA*(1+verdict.Slack) {
		w.note(phrase.Of("Enter at most %s per phase as the limit of the ac input current of each inverter: at full simultaneous load the chargers reduce their current, as together they would draw %s.",
			wording.Amount(w.Grid.LimitA, "A"), wording.Amount(asked, "A")))
	}
}

// A start as a conductor sees it, in A of each line.
type start struct {
	peakA        float64 // the highest: it decides the drop
	powerFactor  float64 // of the highest; 0: unknown
	heatA, heatS float64 // the one that heats most: A^2 s
	loadA        float64 // the highest that lasts too long to be a start
}

// add takes one more start into account.
func (st *start) add(a, seconds, powerFactor float64) {
	if seconds > longestStartS {
		st.loadA = max(st.loadA, a)
		seconds = longestStartS
	}
	seconds = max(seconds, 0.001) // shorter ones are switching transients
	if a > st.peakA {
		st.peakA, st.powerFactor = a, powerFactor
	}
	if a*a*seconds > st.heatA*st.heatA*st.heatS {
		st.heatA, st.heatS = a, seconds
	}
}

// boardStart is what the starts of the backup board draw through one inverter.
func (w *wirer) boardStart() start {
	var st start
	for _, s := range w.Starts.All {
		st.add(s.BalancedVA/float64(w.Inverter.Count*w.lines())/w.Site.NominalV, s.Seconds, 0)
	}
	return st
}

// feederRun sizes an AC run of the inverters.
func (w *wirer) feederRun(f wiring.Feeder, label phrase.Phrase, count int, wanted phrase.Phrase) Run {
	r := Run{ID: "cable-" + f.Name, Label: label, Count: count}
	sized, err := wiring.SizeFeeder(f)
	if err != nil {
		w.fail(r, err)
		return Run{}
	}
	r.fromFeeder(f, sized)
	j := judge{run: &r, name: f.Name, wants: map[string]want{"device": {phrase.Of("no standard circuit breaker is rated that high: take one from a maker's list"), true}}}
	j.decide(sized.Checks, func() wiring.Choice {
		f.CableMM2 = 0
		return chosen(wiring.SizeFeeder(f))
	})
	if f.BearsA == 0 {
		r.Check = withCaution(r.Check, phrase.Symbols("; %s", wanted))
	}
	w.done(r)
	return r
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
	r.NeedsA, r.TotalDrop, r.steps = sized.NeedA, sized.TotalDrop, append(sized.Working, r.steps...)
	r.Device, r.DeviceA, r.DeviceChosen, r.BearsA = wiring.Breaker, sized.BreakerA, f.BreakerA == 0, f.BearsA
	r.tooSmallA, r.tooLargeA = sized.TooSmallA, sized.TooLargeA
}

func (r *Run) fromChoice(c wiring.Choice, givenMM2, lengthM float64) {
	r.Conductor, r.ConductorChosen, r.LengthM = c.Size, givenMM2 == 0, lengthM
	r.CarriesA, r.Drop, r.StartDrop = c.Ampacity.A, c.Drop.Fraction, c.StartDrop.Fraction
	if n := len(c.Rejected); n > 0 {
		r.steps = append(r.steps, c.Rejected[n-1].Step())
	}
}

func (w *wirer) done(r Run) {
	w.Runs = append(w.Runs, r)
	w.Checks = append(w.Checks, r.Check)
}

// fail notes a run that cannot be worked out; that is never a reason to refuse the whole plan.
func (w *wirer) fail(r Run, err error) {
	r.Check = verdict.Unknown(r.ID, 0, "A", phrase.Of("not worked out: %s", wording.ReasonOf(err)))
	if c := w.Site.Wiring.AmbientC; c > 60 {
		r.Check.Reason = phrase.Of("not worked out: no table reaches %g C around a cable; give ambient_c of [wiring], or lead the cables where it is cooler", c)
	}
	w.Checks = append(w.Checks, r.Check)
}

// circuitRunName is the name of a circuit's run: its id, unless another run goes by it.
func circuitRunName(id string) string {
	if id == runBank || id == runFeeder || id == runInput || len(id) > len(runArray) && id[:len(runArray)] == runArray {
		return "circuit-" + id
	}
	return id
}

// circuitRun sizes or tests the cable of a circuit. The breaker itself is the business of the check circuit-breaker.
func (w *wirer) circuitRun(c loads.Circuit) {
	lines := 1
	if c.Phase == 0 {
		lines = w.Site.Phases
	}
	now := w.circuitCurrent(c, lines)
	name := circuitRunName(c.ID)
	f := wiring.Feeder{Name: name, Laying: w.laying(systemOf(lines)), VoltageV: w.Site.NominalV, LengthM: c.LengthM, CableMM2: c.CableMM2, Brief: !w.effort.full,
		BreakerA: c.BreakerA, PowerFactor: now.powerFactor, StartPowerFactor: now.start.powerFactor,
		StartA: now.start.peakA, SurgeA: now.start.heatA, SurgeS: now.start.heatS, Practice: w.practice}
	f.ContinuousA, f.OtherA = now.split(w.practice.ContinuousFactor)
	f.MotorA = min(now.motorA, f.ContinuousA+f.OtherA)
	if c.Board == loads.BoardBackup {
		f.Upstream = w.feeding
	}
	r := Run{ID: "cable-" + name, Label: phrase.Name(c.Label), Count: 1}
	sized, err := wiring.SizeFeeder(f)
	if err != nil {
		w.fail(r, err)
		return
	}
	r.fromFeeder(f, sized)
	j := judge{run: &r, name: name, skip: "device",
		wants: map[string]want{"drop": {phrase.Of("give length_m of the circuit to compare the voltage drop too"), false}}}
	j.decide(sized.Checks, func() wiring.Choice {
		f.CableMM2 = 0
		return chosen(wiring.SizeFeeder(f))
	})
	if c.Board != loads.BoardBackup {
		r.Check = onMainBoard(r.Check)
	}
	w.done(r)
}

// lengthsCaution names the lengths without which a voltage drop is not checked; one sentence for all of them. Circuits say it in
// their own check.
func (p *Facts) lengthsCaution(say func(phrase.Phrase)) {
	var missing []string
	w := p.Site.Wiring
	for _, k := range []struct {
		key    string
		length float64
		there  bool
	}{{"bank_m", w.Bank.LengthM, true}, {"input_m", w.Input.LengthM, true}, {"feeder_m", w.Feeder.LengthM, true}, {"array_m", w.Array.LengthM, len(p.Site.Arrays) > 0}} {
		if k.there && k.length == 0 {
			missing = append(missing, k.key)
		}
	}
	if len(missing) > 0 {
		say(phrase.Of("The voltage drop of some cable runs is not checked: give %s in [wiring].", phrase.List(wording.Names(missing))))
	}
}

// sayWires adds the cautions of the wires and the generator, the break of the changeover, and the two questions that no plan decides.
func (p *Facts) sayWires(say func(phrase.Phrase)) {
	for _, text := range p.wireCautions {
		say(text)
	}
	p.lengthsCaution(say)
	p.curveCaution(say)
	for _, q := range p.Questions {
		if q.Urgent {
			say(phrase.Of("%s, for the electrician: %s", q.Topic, q.Text))
		}
	}
}

// toleratedMS is the longest break that electronics are made to stand.
func toleratedMS() float64 {
	ms, _, err := wiring.ToleratedMS(0)
	if err != nil {
		panic(err) // 0 is a voltage
	}
	return ms
}

// curveCaution warns of a break that is longer than electronics are made to stand. Loads that say what they ride through have
// their own check.
func (p *Facts) curveCaution(say func(phrase.Phrase)) {
	if t := p.Inverter.Unit.TransferMs; t != nil && *t > toleratedMS() {
		say(phrase.Of("The transfer time of the inverter is %s; electronics are made to ride through %s without voltage (ITIC curve), so that whatever does not state rides_through_ms may restart.",
			wording.Amount(*t, "ms"), wording.Amount(toleratedMS(), "ms")))
	}
}

// workWires writes down the steps of every run, of the generator and of the break.
func (p *Facts) workWires() {
	steps := func(label phrase.Phrase, list []wiring.Step) {
		for _, s := range list {
			if s.Formula.Empty() { // a value of a table: where it stands there is all that can be said
				s.Formula, s.Numbers = s.Numbers, phrase.Phrase{}
			}
			p.step(phrase.Of("%s: %s", label, phrase.Lower(s.Name)), s.Formula, s.Numbers, s.Value, s.Unit, s.Source)
		}
	}
	for _, r := range p.Runs {
		steps(r.Label, r.steps)
	}
	steps(phrase.Of("Generator"), p.generatorSteps)
	if p.Inverter.Unit.TransferMs != nil {
		p.step(phrase.Of("Interruption that electronics tolerate"), phrase.Of("tolerance curve, no voltage"), none, toleratedMS(), "ms", phrase.Of("ITIC (CBEMA) curve, 2000 revision"))
	}
}
