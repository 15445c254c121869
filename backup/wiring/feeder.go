package wiring

import "outlast/backup/phrase"

// A Feeder is an AC run with its breaker: main board to the inverter's grid input, inverter to backup board, or one circuit.
type Feeder struct {
	Name     string  // goes into the ids of the checks
	Laying   Laying  // System: SinglePhase, SplitPhase or ThreePhase
	VoltageV float64 // line to neutral
	LengthM  float64 // one way; 0 means unknown
	// ContinuousA is of loads that last 3 h or more, OtherA of the rest; in each line conductor. For the grid input take the inverter's
	// highest input current, for its output the rated one, as continuous.
	ContinuousA, OtherA float64
	// MotorA is the part of both that the largest motor draws, as far as the factor on ContinuousA does not have it already; the US tables
	// want a quarter of it on top. 0 means none.
	MotorA float64
	StartA float64 // current while the hardest motor starts, all that runs included, for the drop; 0 means none
	// SurgeA, SurgeS are of the start that heats the conductor most (a lower current may last longer); 0 means StartA, and 3 s. SurgeS is up
	// to 300 s.
	SurgeA, SurgeS                float64
	PowerFactor, StartPowerFactor float64 // 0 means unknown
	BreakerA                      float64 // 0: chosen
	CableMM2                      float64 // 0: chosen
	Upstream                      float64 // fraction of the voltage lost in the runs before it
	Practice                      Practice
	Brief                         bool // leaves the working out: for one of many tries
}

// A FeederResult is the breaker, the conductor and the checks.
type FeederResult struct {
	NeedA     float64 // smallest rating of the breaker
	BreakerA  float64 // given or chosen; 0 if no standard rating is large enough
	Choice    Choice
	TotalDrop float64 // fraction lost in this run and those before it; the Upstream of the next
	Checks    []Check // those of the choice first
	Working   []Step
}

// defaultStartS is how long a start lasts when nobody says: the inverter standard's surge time.
var defaultStartS = sourced{3, phrase.Of("AS/NZS 5603:2009 clause 2.2, surge rating"), published}

// largestMotor is what the largest motor of a circuit counts beyond what it draws: 125 % of it and 100 % of the others.
var largestMotor = sourced{0.25, phrase.Symbols("NEC 430.24, 220.18(A)"), quoted}

// LargestMotor is the share of its current that the largest motor of a circuit counts beyond what it draws: 0.25 with the US tables
// (NEC 430.24 for conductors, 220.18(A) for the circuit), nothing with the IEC ones, which have no such rule.
func LargestMotor(t Tables) float64 {
	if t == US {
		return largestMotor.value
	}
	return 0
}

// SizeFeeder sizes or tests an AC run: breaker for the load (ContinuousFactor on what lasts, the largest motor at 125 % with the US tables),
// conductor for the breaker, the laying and the drop.
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
	if err := within(phrase.Of("current of the largest motor"), f.MotorA, 0, f.ContinuousA+f.OtherA, "A"); err != nil {
		return FeederResult{}, err
	}
	motor := LargestMotor(t) * f.MotorA
	r.NeedA += motor
	r.BreakerA = f.BreakerA
	if r.BreakerA == 0 {
		r.BreakerA, _ = NextRating(t, Breaker, r.NeedA)
	}
	if f.SurgeS == 0 {
		f.SurgeS = defaultStartS.value
	}
	if f.SurgeA == 0 {
		f.SurgeA = f.StartA
	}
	run := Run{Name: f.Name, Laying: f.Laying, VoltageV: f.VoltageV, LengthM: f.LengthM, LoadA: f.ContinuousA + f.OtherA, PowerFactor: f.PowerFactor,
		StartPowerFactor: f.StartPowerFactor, NeedA: r.NeedA, DeviceA: r.BreakerA, SurgeA: f.SurgeA, SurgeS: f.SurgeS, StartA: f.StartA,
		Upstream: f.Upstream, Practice: f.Practice, Brief: f.Brief}
	if r.Choice, err = run.sized(InConduit, f.CableMM2); err != nil {
		return FeederResult{}, err
	}
	r.TotalDrop = f.Upstream + r.Choice.Drop.Fraction
	id := "cable-" + f.Name + "-device"
	r.Checks = append(r.Checks, r.Choice.Checks...)
	if r.BreakerA == 0 {
		r.Checks = append(r.Checks, unknown(id, r.NeedA, "A", "breaker", phrase.Of("no standard breaker of the list is rated that high; take one from a maker's list")))
	} else {
		r.Checks = append(r.Checks, compare(id, r.NeedA, r.BreakerA, "A", phrase.Of("rating of the %s", Breaker.Word())))
	}
	if f.Brief {
		return r, nil
	}
	carries := Step{phrase.Of("Breaker carries"), phrase.Of("factor x continuous + other"),
		phrase.Symbols("%s x %s + %s", fig(p.ContinuousFactor), fig(f.ContinuousA), fig(f.OtherA)), r.NeedA, "A", whose(p.ContinuousFactor, continuousOf(t))}
	if motor > 0 {
		carries.Formula = phrase.Of("factor x continuous + other + share x largest motor")
		carries.Numbers = phrase.Symbols("%s + %s x %s", carries.Numbers, fig(LargestMotor(t)), fig(f.MotorA))
		carries.Source = phrase.Symbols("%s; %s", carries.Source, largestMotor.cite())
	}
	r.Working = append(r.Working, carries)
	if f.BreakerA == 0 && r.BreakerA > 0 {
		r.Working = append(r.Working, Step{phrase.Of("Breaker"), phrase.Of("next standard rating"), phrase.Of("from %s A", fig(r.NeedA)), r.BreakerA, "A", ratingSource(t, Breaker)})
	}
	r.Working = append(r.Working, r.Choice.Working...)
	if f.Upstream > 0 {
		r.Working = append(r.Working, Step{phrase.Of("Voltage drop of the whole way, fraction"), phrase.Of("before + here, limit %s", fig(p.TotalDropLimit+p.longRun(f.LengthM))),
			phrase.Symbols("%s + %s", fig(f.Upstream), fig(r.Choice.Drop.Fraction)), r.TotalDrop, "", phrase.Of("limit: %s", whose(p.TotalDropLimit, practiceDefaults.totalDrop))})
	}
	return r, nil
}
