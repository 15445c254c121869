package wiring

import (
	"outlast/backup/phrase"
	"outlast/backup/working"
)

// A Feeder is an AC run with its breaker: main board to the inverter's grid input, inverter to backup board, or one
// circuit.
type Feeder struct {
	Laying   Laying  // System: SinglePhase, SplitPhase or ThreePhase
	VoltageV float64 // line to neutral
	LengthM  float64 // one way; 0 means unknown
	// ContinuousA is of loads that last 3 h or more, OtherA of the rest; in each line conductor. For the grid input
	// take the inverter's highest input current, for its output the rated one, as continuous.
	ContinuousA, OtherA float64
	// MotorA is the part of both that the largest motor draws, as far as the factor on ContinuousA does not have it
	// already; the US tables want a quarter of it on top. 0 means none.
	MotorA float64
	StartA float64 // current while the largest motor starts, all that runs included, for the drop; 0 means none
	// SurgeA, SurgeS are of the start that heats the conductor most (a lower current may last longer); 0 means StartA,
	// and 3 s. SurgeS is up to 300 s.
	SurgeA, SurgeS                float64
	PowerFactor, StartPowerFactor float64 // 0 means unknown
	BreakerA                      float64 // 0: chosen
	// BearsA is what the breaker protects beside the conductor: the grid input of an inverter, or its transfer relay.
	// No breaker may be above it, and no rule of the next size up changes that. 0 means that there is nothing of the
	// kind, or that it is not known. LeastA is what runs in truth, factor included, where ContinuousA and OtherA are
	// what might: where no standard rating lies between that and BearsA, the breaker must carry this. YieldsA runs
	// beside LeastA, factor included, as far as the breaker carries it: chargers, which draw less where they must.
	BearsA, LeastA, YieldsA float64
	// Limited says that a limit is entered in what follows, by which it draws no more than the breaker carries: one that
	// is given must carry LeastA, too, and not what might run.
	Limited  bool
	CableMM2 float64 // 0: chosen
	Upstream float64 // fraction of the voltage lost in the runs before it
	Practice Practice
	Brief    bool // leaves the working out: for one of many tries
}

// A FeederResult is the breaker, the conductor and the checks.
type FeederResult struct {
	NeedA float64 // smallest rating of the breaker
	// where no standard rating lies between NeedA and BearsA: the next ones below and above; 0: none is that small, or large
	TooSmallA float64
	TooLargeA float64
	givenLess bool    // whether NeedA is of what runs as the breaker that is given is rated for less than all that might
	yields    float64 // of YieldsA, what NeedA includes: all or nothing
	BreakerA  float64 // given or chosen; 0 if no standard rating is large enough
	Choice    Choice
	TotalDrop float64 // fraction lost in this run and those before it; the Upstream of the next
	Checks    []Check // those of the choice first
	steps     func(*working.Part)
}

// Working is how breaker and conductor came about.
func (r FeederResult) Working(origins working.Origins) []Step { return written(origins, r.steps) }

// defaultStartS is how long a start lasts when nobody says: the inverter standard's surge time.
var defaultStartS = known(3, working.ASNZS5603.At(phrase.Of("%s, surge rating", working.InClause("2.2")), working.Read))

// largestMotor is what the largest motor of a circuit counts beyond what it draws: 125 % of it and 100 % of the others.
var largestMotor = known(0.25, working.NEC.At(phrase.Name("430.24, 220.18(A)"), working.Quoted))

// LargestMotor is the share of its current that the largest motor of a circuit counts beyond what it draws: 0.25 with
// the US tables (NEC 430.24 for conductors, 220.18(A) for the circuit), nothing with the IEC ones, which have no such
// rule.
func LargestMotor(t Tables) float64 {
	if t == US {
		return largestMotor.value
	}
	return 0
}

// SizeFeeder sizes or tests an AC run: breaker for the load (ContinuousFactor on what lasts, the largest motor at 125 %
// with the US tables), conductor for the breaker, the laying and the drop.
func SizeFeeder(f Feeder) (FeederResult, error) {
	t := f.Laying.Tables
	p, err := f.Practice.FilledFor(t)
	if err != nil {
		return FeederResult{}, err
	}
	var r FeederResult
	if r.NeedA, err = RequiredDeviceA(f.ContinuousA, f.OtherA, p); err != nil {
		return FeederResult{}, err
	}
	if err := firstError(within(phrase.Of("current of the largest motor"), f.MotorA, 0, f.ContinuousA+f.OtherA, "A"),
		ratingRange(phrase.Of("rating behind the circuit breaker"), f.BearsA),
		currentRange(phrase.Of("least current of the circuit breaker"), f.LeastA),
		currentRange(phrase.Of("current of what yields to the circuit breaker"), f.YieldsA)); err != nil {
		return FeederResult{}, err
	}
	motor := LargestMotor(t) * f.MotorA
	r.NeedA += motor
	askedA := r.NeedA
	squeezed := f.breaker(&r)
	carries := r.NeedA
	if carries < askedA { // the breaker lets no more through than its rating
		carries = max(carries, min(askedA, r.BreakerA))
	}
	if r.Choice, err = f.run(carries, r.BreakerA).sized(InConduit, f.CableMM2); err != nil {
		return FeederResult{}, err
	}
	r.TotalDrop = f.Upstream + r.Choice.Drop.Fraction
	r.Checks = append(r.Choice.Checks[:len(r.Choice.Checks):len(r.Choice.Checks)], f.deviceChecks(&r, squeezed)...)
	if f.Brief {
		return r, nil
	}
	r.steps = func(w *working.Part) {
		f.breakerSteps(w, r, p, askedA, carries, squeezed)
		r.Choice.steps(w)
		f.totalStep(w, r, p)
	}
	return r, nil
}

// run is the conductor of the feeder.
func (f Feeder) run(needA, deviceA float64) run {
	r := run{Laying: f.Laying, VoltageV: f.VoltageV, LengthM: f.LengthM, LoadA: f.ContinuousA + f.OtherA,
		PowerFactor: f.PowerFactor, StartPowerFactor: f.StartPowerFactor, NeedA: needA, DeviceA: deviceA,
		SurgeA: f.SurgeA, SurgeS: f.SurgeS, StartA: f.StartA, Upstream: f.Upstream, Practice: f.Practice,
		Brief: f.Brief, load: f.loadName()}
	if r.SurgeS == 0 {
		r.SurgeS = defaultStartS.value
	}
	if r.SurgeA == 0 {
		r.SurgeA = f.StartA
	}
	return r
}

// deviceChecks holds the breaker against what it must carry, and what follows it against the breaker.
func (f Feeder) deviceChecks(r *FeederResult, squeezed bool) []Check {
	switch {
	case squeezed && f.BreakerA == 0:
		window := compare(OfWindow, r.NeedA, r.TooSmallA, "A",
			phrase.Of("no standard circuit breaker lies between the required current and the rating of what follows it"))
		if r.TooSmallA == 0 {
			window = compare(OfWindow, r.TooLargeA, f.BearsA, "A", window.Reason)
		}
		window.Status = Fail
		return []Check{window}
	case r.BreakerA == 0:
		return []Check{unknown(OfDevice, r.NeedA, "A", "breaker",
			phrase.Of("no standard circuit breaker of the list is rated that high; take one from a maker's list"))}
	}
	checks := []Check{compare(OfDevice, r.NeedA, r.BreakerA, "A", phrase.Of("rating of the %s", Breaker.Word()))}
	if f.BearsA > 0 {
		checks = append(checks, compare(OfBehind, r.BreakerA, f.BearsA, "A",
			phrase.Of("rating of what follows the circuit breaker")))
	}
	return checks
}

// loadName is what the current of the run goes by in the working.
func (f Feeder) loadName() string {
	switch {
	case f.OtherA == 0:
		return "continuous_a"
	case f.ContinuousA == 0:
		return "other_a"
	}
	return "current_a"
}

// askedStep adds the current that the breaker should carry.
func (f Feeder) askedStep(w *working.Part, p Practice, askedA float64) {
	t := f.Laying.Tables
	asked := Step{Name: "required_a", Title: phrase.Of("Current of the circuit breaker"), Value: askedA, Unit: "A"}
	continuous, other := in("continuous_a", f.ContinuousA, "A"), in("other_a", f.OtherA, "A")
	factor := in("continuous_factor", p.ContinuousFactor, "")
	switch {
	case f.OtherA == 0:
		asked.Expr, asked.Inputs = "continuous_factor * continuous_a", []working.Input{factor, continuous}
	case f.ContinuousA == 0:
		asked.Expr, asked.Inputs = "other_a", []working.Input{other}
	default:
		w.Add(Step{Name: "current_a", Title: phrase.Of("Current of the run"), Expr: "continuous_a + other_a",
			Inputs: []working.Input{continuous, other}, Value: f.ContinuousA + f.OtherA, Unit: "A"})
		asked.Expr = "continuous_factor * continuous_a + other_a"
		asked.Inputs = []working.Input{factor, continuous, other}
	}
	asked.Sources = whose(p.ContinuousFactor, continuousOf(t))
	if share := LargestMotor(t); share*f.MotorA > 0 {
		asked.Expr += " + motor_share * motor_a"
		asked.Inputs = append(asked.Inputs, in("motor_share", share, ""), in("motor_a", f.MotorA, "A"))
		asked.Sources = append(asked.Sources, largestMotor.source)
	}
	w.Add(asked)
}

// breakerSteps adds what breaker and conductor carry, and the breaker.
func (f Feeder) breakerSteps(w *working.Part, r FeederResult, p Practice, askedA, carriesA float64, squeezed bool) {
	t := f.Laying.Tables
	f.askedStep(w, p, askedA)
	least := r.NeedA < askedA || squeezed
	if least {
		formula := phrase.Of("what runs, factor included, as no rating for the above is small enough")
		if r.givenLess {
			formula = phrase.Of("what runs, factor included, as the circuit breaker that is given is rated below the above")
		}
		s := Step{Name: "least_a", Title: phrase.Of("Least current of the circuit breaker"), Formula: formula,
			Expr: "min(required_a, runs_a)", Inputs: []working.Input{in("required_a", askedA, "A"),
				in("runs_a", f.LeastA, "A")}, Value: r.NeedA, Unit: "A"}
		if r.yields > 0 {
			s.Expr = "min(required_a, runs_a + charges_a)"
			s.Inputs = append(s.Inputs, in("charges_a", r.yields, "A"))
		}
		w.Add(s)
	}
	switch title := phrase.Of("Circuit breaker"); {
	case f.BreakerA > 0 || r.BreakerA == 0:
	case least:
		list := ratingSource(t, Breaker)
		above := r.BreakerA
		for _, a := range ratings(t, Breaker) {
			if a > r.BreakerA {
				above = a
				break
			}
		}
		w.Add(Step{Name: "device_a", Title: title, Formula: phrase.Of("largest standard rating that is not above"),
			Expr: "rating_above_a > bears_a ? rating_a : rating_above_a", Inputs: []working.Input{
				in("bears_a", f.BearsA, "A"), working.Told("rating_a", r.BreakerA, "A", list.Phrase()),
				working.Told("rating_above_a", above, "A", list.Phrase())},
			Value: r.BreakerA, Unit: "A", Sources: []working.Source{list}})
	default:
		next(w, "device_a", title, "required_a", t, Breaker, r.NeedA, r.BreakerA)
	}
	if carriesA != askedA {
		s := Step{Name: "carried_a", Title: phrase.Of("Current of the conductor"),
			Formula: phrase.Of("the circuit breaker lets no more through than its rating"),
			Expr:    "max(least_a, min(required_a, device_a))", Inputs: []working.Input{in("least_a", r.NeedA, "A"),
				in("required_a", askedA, "A"), in("device_a", r.BreakerA, "A")}, Value: carriesA, Unit: "A"}
		w.Add(s)
	}
}

// totalStep adds the drop of the whole way.
func (f Feeder) totalStep(w *working.Part, r FeederResult, p Practice) {
	if f.Upstream == 0 {
		return
	}
	limit := p.TotalDropLimit + p.longRun(f.LengthM)
	w.Add(Step{Name: "total_drop", Title: phrase.Of("Voltage drop of the whole way, fraction"),
		Formula: phrase.Of("limit: %s", fig(limit)), Expr: "upstream_drop + drop",
		Inputs: []working.Input{in("upstream_drop", f.Upstream, ""), in("drop", r.Choice.Drop.Fraction, "")},
		Value:  r.TotalDrop, Sources: forFigure(phrase.Of("limit"),
			whose(p.TotalDropLimit, practiceDefaults.totalDrop))})
	if f.LengthM == 0 || p.longRun(f.LengthM) == 0 {
		return
	}
	w.Add(Step{Name: "total_drop_limit", Title: phrase.Of("Permitted voltage drop of the whole way of a long run"),
		Expr: "total_drop + min(long_run_most, long_run_per_m * max(0, length_m - long_run_from_m))",
		Inputs: append([]working.Input{{Name: "total_drop", Value: p.TotalDropLimit, From: w.Origins("total_drop")}},
			longRunInputs(p, f.LengthM)...),
		Value: limit, Sources: whose(p.TotalDropLimit, practiceDefaults.totalDrop)})
}

// breaker settles what the breaker must carry, and takes the smallest standard rating of at least that unless one is
// given. What follows it is never left unprotected: where that rating is above BearsA, the largest one below it is
// taken, as long as it carries what runs in truth. squeezed says that there is none. One that is given must carry no
// more than that either where a limit that is entered holds the current to it.
func (f Feeder) breaker(r *FeederResult) (squeezed bool) {
	t := f.Laying.Tables
	next, found := NextRating(t, Breaker, r.NeedA)
	r.BreakerA = f.BreakerA
	if f.BreakerA == 0 && found {
		r.BreakerA = next
	}
	if f.BearsA == 0 || found && fits(next, f.BearsA) || !found && fits(r.NeedA, f.BearsA) {
		if r.givenLess = f.Limited && f.BreakerA > 0 && !fits(r.NeedA, f.BreakerA); r.givenLess {
			f.needLeast(r)
		}
		return false
	}
	below, above := 0.0, 0.0
	for _, a := range ratings(t, Breaker) {
		if fits(a, f.BearsA) {
			below = a
		} else if above == 0 {
			above = a
		}
	}
	if f.BreakerA == 0 {
		r.BreakerA = below
	}
	squeezed = below == 0 || !fits(min(r.NeedA, f.LeastA), below)
	if squeezed {
		r.TooSmallA, r.TooLargeA = below, above
	}
	f.needLeast(r)
	return squeezed
}

// needLeast lets the breaker carry what runs instead of all that might, with what yields to it where it carries that too.
func (f Feeder) needLeast(r *FeederResult) {
	least := f.LeastA
	if f.YieldsA > 0 && fits(f.LeastA+f.YieldsA, r.BreakerA) {
		least += f.YieldsA
		r.yields = f.YieldsA
	}
	r.NeedA = min(r.NeedA, least)
}
