// Package generator answers what the site's generator has left at its place, whether it carries loads and chargers, and
// when it runs.
//
// [When] decides the latter once for a plan; [Rate] holds the generator against what is asked of it, and [ForOutage] is
// the same machine for the simulation.
package generator

import (
	"outlast/backup/inverter"
	"outlast/backup/outage"
	"outlast/backup/phrase"
	"outlast/backup/site"
	"outlast/backup/verdict"
	"outlast/backup/wiring"
	"outlast/backup/wording"
	"outlast/backup/working"
	"outlast/loads"
)

// Plan is what the generator has left at its place, and what is asked of it while it carries the loads of the outage
// and the chargers at full current.
type Plan struct {
	DeratedVA, DeratedW float64
	RunningVA, RunningW float64 // balanced: of several phases the largest, times their number
	LoadsVA, LoadsW     float64 // the same without the chargers
	TimesVA, TimesW     int     // how many times that phase was taken; 0: the total is more
	StartVA             float64 // of the largest motor alone; 0: nothing starts
	Dip                 float64 // fraction of the voltage that its start takes
	MeanW               float64 // output that the fuel is reckoned with: no more than DeratedW
	FuelLPerH           float64 // 0: not known
	FuelFrom            FuelFrom
	TankH               float64 // 0: not known
	InputA              float64 // through the input of each line of an inverter
	ChargersVA          float64 // of the chargers beside the loads: they yield to what generator and grid input bear
	ChargeLimited       bool    // while everything runs, what it carries for hours or the input takes is less than they ask for
	ChargeA             float64 // and all of them together may then put so much into the bank
	RestingChargeA      float64 // that much the generator alone leaves them while no load runs
	RestLimited         bool    // which is less than they ask for
	LeastChargeA        float64 // what the bank requires, if the chargers by themselves give it; 0: nothing
	usefulChargeA       float64 // less is not entered for it, whatever the bank; likewise

	timesStart int  // as TimesVA, of the largest start with what runs
	noCharger  bool // it is not known what the chargers take: what is compared are the loads alone
}

// ChargerPF is the power factor of a grid charger that corrects it, as those of hybrid inverters do: at least 0.95,
// common practice (MEM).
const ChargerPF = 0.95

// Asked is what a home asks of its generator.
type Asked struct {
	Site           *site.Site // with a generator
	Inverter       inverter.Group
	Scheduled      loads.Demand // of the backup board
	EnergyWhPerDay float64
	Surges         []loads.Surge
	InUse          []loads.Load // on the backup board, in the month
	Runs           *Runs
	LeastChargeA   float64 // that the bank requires; 0: it does not
	BankAh         float64 // of all strings, rated
	LimitA         float64 // of the AC input current of each inverter, per phase, as it is entered; 0: none is known
}

// Rated is a generator held against what is asked of it. Plan is nil where it cannot be worked out; a check then says
// so.
type Rated struct {
	Plan     *Plan
	Checks   []verdict.Check
	Cautions []phrase.Phrase
	steps    func() ([]wiring.Step, map[string]*working.Sides)
}

// Rate rates the generator and holds it against the outage. The chargers can be set lower and the loads cannot: where
// only both together are too much, that is a caution.
func Rate(a Asked) Rated {
	gen, g := a.Site.Generator, &Plan{}
	in := wiring.Generator{RatedVA: gen.RatedVA, UsableVA: UsableVA(a.Site), PowerFactor: gen.PowerFactor,
		Rules:     Rules(a.Site),
		AltitudeM: a.Site.AltitudeM, AmbientC: a.Site.HottestC, TankL: gen.FuelL, Practice: a.Site.Practice.Wires()}
	g.LoadsVA, g.TimesVA = balanced(a.Scheduled.VA, a.Scheduled.PhaseVA)
	g.LoadsW, g.TimesW = balanced(a.Scheduled.W, a.Scheduled.PhaseW)
	chargersW := a.Inverter.ChargerInputW(float64(a.Site.Series) * a.Site.Unit.ChargeV)
	g.RunningVA, g.RunningW = g.LoadsVA+chargersW/ChargerPF, g.LoadsW+chargersW
	g.noCharger = chargersW == 0
	in.RunningVA, in.RunningW = g.RunningVA, g.RunningW
	out := Rated{Plan: g, Checks: []verdict.Check{checkSoC(a.Runs, gen)}}
	derating, err := Derating(a.Site)
	if err != nil {
		return out.without(err)
	}
	// The chargers are taken as far down as checkRunning and checkInput will ask for.
	g.DeratedVA = in.UsableVA * derating.Factor
	g.DeratedW = g.DeratedVA * gen.PowerFactor
	bearsVA := g.DeratedVA
	if va := a.inputVA(); va > 0 {
		bearsVA = min(bearsVA, va)
	}
	g.ChargersVA = min(chargersW/ChargerPF, max(0, bearsVA-g.LoadsVA))
	for _, surge := range a.Surges {
		if va := surge.BalancedVA + g.ChargersVA; va > in.TotalStartVA {
			in.TotalStartVA, g.timesStart = va, 0
			if surge.Phase > 0 {
				g.timesStart = a.Site.Phases
			}
		}
	}
	for _, l := range a.InUse {
		if l.Start == nil {
			continue
		}
		g.StartVA = max(g.StartVA, startAlone(&l, a.Site))
	}
	in.StartVA = g.StartVA
	g.charge(a, in.Practice.GeneratorShare, chargersW)
	in.MeanW, in.Fuel = a.EnergyWhPerDay/24, gen.Fuel
	if set := g.charging(a); set != nil {
		in.MeanW += set.ChargingW(in.MeanW)
	}
	points, from := Fuel(gen)
	if g.FuelFrom = from; from != FuelOfChart {
		in.FuelLPerH = func(w float64) float64 {
			return outage.FuelAt(points, w/(gen.RatedVA*gen.PowerFactor))
		}
	}
	sized, err := wiring.SizeGenerator(in)
	if err != nil {
		return out.without(err)
	}
	g.Dip = sized.Dip
	g.MeanW, g.FuelLPerH, g.TankH = sized.MeanW, sized.FuelLPerH, sized.TankH
	g.InputA = g.RunningVA / float64(a.Site.Phases) / a.Site.NominalV
	out.Checks = append(out.Checks, g.checkRunning(in.Practice.GeneratorShare),
		g.checkStart(sized.Checks, in.Practice.GeneratorStart), g.checkInput(a))
	if text := phasesCaution(a.Site); !text.Empty() {
		out.Cautions = append(out.Cautions, text)
	}
	if text := FuelCaution(gen); !text.Empty() {
		out.Cautions = append(out.Cautions, text)
	}
	for _, text := range sized.Cautions {
		out.Cautions = append(out.Cautions, phrase.Of("Generator: %s.", text))
	}
	checks := out.Checks
	out.steps = func() ([]wiring.Step, map[string]*working.Sides) {
		p := working.Part{Origins: origin}
		g.asked(&p, a, chargersW)
		p.AddAll(sized.Rating(origin), nil)
		g.meanPower(&p, a, chargersW)
		p.AddAll(sized.Output(origin), nil)
		if from != FuelOfChart {
			fuelStep(&p, gen, g.MeanW, g.FuelLPerH)
		}
		p.AddAll(sized.Fuel(origin), nil)
		sides := g.sides(&p, a, checks)
		p.Keep()
		return p.Steps, sides
	}
	return out
}

// without is of a generator that cannot be worked out.
func (r Rated) without(err error) Rated {
	r.Checks = append(r.Checks, verdict.Unknown("generator-running", r.Plan.RunningVA, "VA",
		phrase.Of("not worked out: %s", wording.ReasonOf(err))))
	r.Plan = nil
	return r
}

// phasesCaution is what the reader is told of a generator that has not the phases of the home; empty where it has.
func phasesCaution(s *site.Site) phrase.Phrase {
	gen := s.Generator
	if gen.Phases == 0 || gen.Phases == s.Phases {
		return phrase.Phrase{}
	}
	has, home := phrase.Count(gen.Phases, "%d phase", "%d phases"), phrase.Count(s.Phases, "%d phase", "%d phases")
	if va := UsableVA(s); va < gen.RatedVA {
		return phrase.Of("The generator has %s and the site %s: only %s of it are counted; if its data sheet gives more "+
			"so connected, enter that as rated_va, with phases = %d.", has, home, wording.Amount(va, "VA"), s.Phases)
	}
	return phrase.Of("The generator has %s and the site %s: settle first what it feeds, and how.", has, home)
}

// threePhases is how many windings of equal power a three-phase set has.
const threePhases = 3

// UsableVA is what of the generator's rating the phases of the home can use: each winding of a three-phase set gives at
// most a third of it (common practice). What its data sheet gives otherwise connected is entered as rated_va.
func UsableVA(s *site.Site) float64 {
	g := s.Generator
	if g.Phases == threePhases && s.Phases < threePhases {
		return g.RatedVA * float64(s.Phases) / threePhases
	}
	return g.RatedVA
}

// Rules are the rules by which altitude and heat take from the generator: the one that the practice wants, else
// those of its engine.
func Rules(s *site.Site) []wiring.DeratingRule {
	if rule := s.Practice.GeneratorRule; rule != "" {
		return []wiring.DeratingRule{rule}
	}
	return wiring.DeratingRulesOf(s.Generator.Fuel, s.Generator.Turbo)
}

// Derating is what altitude and heat leave of the generator: the same in its checks, in an outage and in the table of
// recharge.
func Derating(s *site.Site) (wiring.Derating, error) {
	return wiring.GeneratorDerating(s.AltitudeM, s.HottestC, Rules(s)...)
}

// balanced is what a rating that is spread evenly over the phases must carry: the total, or the largest phase times
// their number. times is that number where it was the phase that counted, else 0.
func balanced(total float64, phases []float64) (even float64, times int) {
	even = total
	for _, v := range phases {
		if of := v * float64(len(phases)); of > even*(1+verdict.Slack) {
			even, times = of, len(phases)
		}
	}
	return even, times
}

// ChargersUnknown says that it is not known what the chargers take: all that is counted beside them is the loads alone.
func (g *Plan) ChargersUnknown() bool { return g.noCharger }

// Counted are the watts of everything at once, as they are told, with how they were counted.
func (g *Plan) Counted(watts phrase.Phrase) phrase.Phrase { return counted(watts, g.TimesW) }

// counted is an amount of so many times a phase, which says so: the home does not draw it in all.
func counted(amount phrase.Phrase, times int) phrase.Phrase {
	if times == 0 {
		return amount
	}
	return phrase.Of("%s (%d times the phase with the most load)", amount, times)
}

// checkRunning compares loads and chargers with what the generator has left, in VA and in W, and reports the tighter
// one. What the loads alone break comes first, and is shown without the chargers: none can be set low enough for it.
func (g *Plan) checkRunning(share float64) verdict.Check {
	const id = "generator-running"
	tighter := func(va, w float64) verdict.Check {
		c := verdict.AtMost(id, va, g.DeratedVA, "VA")
		if w := verdict.AtMost(id, w, g.DeratedW, "W"); w.Margin < c.Margin {
			return w
		}
		return c
	}
	c, alone := tighter(g.RunningVA, g.RunningW), tighter(g.LoadsVA, g.LoadsW)
	if alone.Status == verdict.Fail {
		c = alone
	}
	c.Times = map[string]int{"VA": g.TimesVA, "W": g.TimesW}[c.Unit]
	demand, limit := phrase.Symbols("%s", wording.Amount(c.Demand, c.Unit)), wording.Amount(c.Limit, c.Unit)
	draws := counted(demand, c.Times)
	has := phrase.Of("the derated output of the generator at this temperature and altitude is %s", limit)
	all := phrase.Of("loads and chargers together draw up to %s", draws)
	if g.noCharger {
		all = phrase.Of("the loads alone draw up to %s", draws)
	}
	switch {
	case alone.Status == verdict.Fail:
		c.Reason = phrase.Of("the loads alone draw up to %s, but %s", draws, has)
	case c.Status == verdict.Fail:
		c.Status = verdict.Caution
		c.Reason = phrase.Of("%s, but %s: %s", all, has, g.setChargers())
	case c.Demand > share*c.Limit*(1+verdict.Slack):
		c.Status = verdict.Caution
		c.Reason = phrase.Of("%s, and %s: more than %.3g %% of it should not run for hours", all, has, 100*share)
		if g.ChargeLimited {
			c.Reason = phrase.Separated([]phrase.Phrase{c.Reason, g.setChargers()}, "; ")
		}
	default:
		c.Reason = phrase.Of("%s, and %s", all, has)
	}
	return g.withoutCharger(c)
}

// withoutCharger makes a check that knows of no charger a caution that says so.
func (g *Plan) withoutCharger(c verdict.Check) verdict.Check {
	if !g.noCharger || c.Status == verdict.Fail {
		return c
	}
	return c.Lacking(phrase.Of("; give charger_a of the inverter to add the chargers, which are counted with nothing"))
}

// charge finds how much of the charge current generator and grid input leave the chargers while everything runs: as
// charging takes hours, no more than the share of the generator that checkRunning lets run for so long. fullW is what
// the chargers take at full current.
func (g *Plan) charge(asked Asked, share, fullW float64) {
	if fullW == 0 {
		return // there is no charger
	}
	fullA := asked.Inverter.ChargerA()
	w := min(share*g.DeratedW-g.LoadsW, (share*g.DeratedVA-g.LoadsVA)*ChargerPF)
	if va := asked.inputVA(); va > 0 {
		w = min(w, (va-g.LoadsVA)*ChargerPF)
	}
	if w < fullW*(1-verdict.Slack) {
		g.ChargeA, g.ChargeLimited = verdict.Settable(fullA*max(0, w)/fullW), true
	}
	rest := share * min(g.DeratedW, g.DeratedVA*ChargerPF) / fullW
	g.RestingChargeA, g.RestLimited = fullA*min(1, rest), rest < 1-verdict.Slack
	if fullA >= asked.LeastChargeA*(1-verdict.Slack) {
		g.LeastChargeA = asked.LeastChargeA
	}
	g.usefulChargeA = g.LeastChargeA
	if slow := SlowestChargeC * asked.BankAh; fullA >= slow*(1-verdict.Slack) {
		g.usefulChargeA = max(g.usefulChargeA, slow)
	}
}

// setChargers says how far the chargers must be turned down, or what else is to be done where that would leave the bank
// less than it requires. That less than a twentieth of its capacity is too little for a lead-acid bank is common
// practice, as in its own check.
func (g *Plan) setChargers() phrase.Phrase {
	if g.restsTooLittle() {
		return phrase.Of("take a larger generator, that charges with at least %s",
			wording.Amount(verdict.Enough(g.LeastChargeA), "A"))
	}
	switch set := g.ChargeSetting(); {
	case set.A == 0:
		return phrase.Of("charge while fewer loads run")
	case !set.FewerLoads:
		return phrase.Of("at full simultaneous load, charge with at most %s", wording.Amount(set.A, "A"))
	case set.Least:
		return phrase.Of("charge while fewer loads run, with at least %s", wording.Amount(set.A, "A"))
	default:
		return phrase.Of("charge while fewer loads run, with at most %s even when none does", wording.Amount(set.A, "A"))
	}
}

// charging is the generator while it charges at the voltage that its checks count with; nil where nothing charges.
func (g *Plan) charging(a Asked) *outage.Generator {
	if g.noCharger {
		return nil
	}
	return ForOutage(a, float64(a.Site.Series)*a.Site.Unit.ChargeV, g.ChargeSetting())
}

// A ChargeSetting is the charge current of the whole bank that is to be entered for the generator.
type ChargeSetting struct {
	A          float64 // as it is told; 0: none is to be entered
	FewerLoads bool    // not everything may run with it
	Least      bool    // it is the least that the bank requires, not the most that the generator leaves
}

// SlowestChargeC is what a bank is charged with at least, per Ah: with less a generator would run for more than a day. Own
// planning rule.
const SlowestChargeC = 1.0 / 20

// ChargeSetting is what is to be entered for the generator, and told: the most that everything may run with; where that
// is too little for the bank, what the bank requires; where it requires nothing, what the generator bears at rest.
func (g *Plan) ChargeSetting() ChargeSetting {
	switch {
	case !g.ChargeLimited || g.restsTooLittle():
		return ChargeSetting{}
	case g.ChargeA > 0 && g.ChargeA >= g.usefulChargeA*(1-verdict.Slack):
		return ChargeSetting{A: g.ChargeA}
	case g.LeastChargeA > 0:
		return ChargeSetting{A: verdict.Enough(g.LeastChargeA), FewerLoads: true, Least: true}
	case g.RestLimited:
		return ChargeSetting{A: verdict.Settable(g.RestingChargeA), FewerLoads: true}
	}
	return ChargeSetting{}
}

// restsTooLittle tells whether the bank requires more than the generator leaves the chargers while no load runs.
func (g *Plan) restsTooLittle() bool { return g.RestingChargeA < g.LeastChargeA*(1-verdict.Slack) }

// checkStart compares the largest start with what the generator stands: the dip of its voltage, and the published share
// of its rating. The share alone is never worse than a caution: its rule counts watts of its own reckoning.
func (g *Plan) checkStart(checks []wiring.Check, timesRating float64) verdict.Check {
	const id = "generator-start"
	if g.StartVA == 0 {
		return verdict.Check{ID: id, Status: verdict.Pass, Unit: "VA", Reason: wording.NothingStarts}
	}
	var start, dip wiring.Check
	for _, c := range checks {
		switch c.Of {
		case wiring.OfGeneratorStart:
			start = c
		case wiring.OfDip:
			dip = c
		}
	}
	dips, permitted := wording.Percents(dip.Demand, dip.Limit)
	text := phrase.Of("voltage dip at the largest start: %s %%, permitted %s %%", dips, permitted)
	worst := dip
	if dip.Status == wiring.Fail {
		text = phrase.Of("voltage dip at the largest start: %s %%, permitted only %s %%; "+
			"lamps dim and other motors stall: fit a soft starter, or start from the bank",
			dips, permitted)
	} else if start.Status != wiring.Pass || start.Margin < dip.Margin {
		worst = start
		demand, limit := phrase.Symbols("%s", wording.Amount(start.Demand, "VA")), wording.Amount(start.Limit, "VA")
		text = phrase.Of("with the running load and the chargers the largest start takes %s, and %.3g times the rating is %s",
			counted(demand, g.timesStart), timesRating, limit)
		if g.noCharger {
			text = phrase.Of("with the running load the largest start takes %s, and %.3g times the rating is %s",
				counted(demand, g.timesStart), timesRating, limit)
		}
		if start.Status != wiring.Pass {
			text = g.startAdvice(text, start)
		}
	}
	return g.withoutCharger(verdict.Check{ID: id, Status: verdict.Status(worst.Status), Demand: worst.Demand,
		Limit: worst.Limit, HasLimit: true, Unit: worst.Unit, Margin: worst.Margin, Reason: text})
}

// startAdvice says what would help a start that takes too much, and nothing that would not.
func (g *Plan) startAdvice(takes phrase.Phrase, start wiring.Check) phrase.Phrase {
	fits := func(va float64) bool { return va <= start.Limit*(1+verdict.Slack) }
	withoutVA := start.Demand - g.ChargersVA
	switch {
	case g.ChargersVA > 0 && fits(withoutVA):
		return phrase.Of("%s: start it with the chargers off", takes)
	case g.ChargersVA > 0:
		takes = phrase.Of("%s; even with the chargers off it takes %s", takes, wording.Amount(withoutVA, "VA"))
	}
	if fits(g.StartVA) {
		return phrase.Of("%s: start it while nothing else runs", takes)
	}
	return phrase.Of("%s: fit a soft starter, or start from the bank", takes)
}

// checkInput compares what the generator sends through the grid input of the inverters with what that bears or, where
// the limit that is entered is less, with that; what the loads alone break is shown without the chargers. Above the limit
// the bank supplies what the loads lack; above the rating nothing helps.
func (g *Plan) checkInput(asked Asked) verdict.Check {
	const id = "generator-input"
	a, limit := g.InputA, asked.Inverter.ACInputA()
	if limit == 0 {
		return verdict.Unknown(id, a, "A",
			phrase.Of("on the generator, loads and chargers draw %s per phase through the inverter; "+
				"give ac_input_a of the inverter to compare",
				wording.Amount(a, "A")))
	}
	if alone := g.loadsA(asked.Site); alone > limit*(1+verdict.Slack) {
		c := verdict.AtMost(id, alone, limit, "A")
		draws, rated := wording.Amount(alone, "A"), wording.Amount(limit, "A")
		c.Reason = phrase.Of("on the generator, the loads alone draw up to %s per phase through the inverter, "+
			"but its ac input is rated for only %s: move a circuit", draws, rated)
		return c
	}
	if asked.inputA() < limit*(1-verdict.Slack) {
		return g.checkEntered(asked, asked.inputA())
	}
	draws, rated := wording.Amount(a, "A"), wording.Amount(limit, "A")
	c := verdict.AtMost(id, a, limit, "A").Because(
		phrase.Of("on the generator, loads and chargers draw at most %s per phase through the inverter; its ac input is rated for %s",
			draws, rated),
		phrase.Of("on the generator, loads and chargers draw up to %s per phase through the inverter, "+
			"but its ac input is rated for only %s: %s",
			draws, rated, g.setChargers()))
	if g.noCharger {
		c.Reason = phrase.Of("on the generator, the loads alone draw at most %s per phase through the inverter; "+
			"its ac input is rated for %s", draws, rated)
		return g.withoutCharger(c)
	}
	return c.AtWorst(verdict.Caution)
}

// checkEntered is checkInput with the limit that is entered.
func (g *Plan) checkEntered(asked Asked, limit float64) verdict.Check {
	const id = "generator-input"
	if alone := g.loadsA(asked.Site); alone > limit*(1+verdict.Slack) {
		draws, set := wording.Amount(alone, "A"), wording.Amount(limit, "A")
		c := verdict.AtMost(id, alone, limit, "A").AtWorst(verdict.Caution)
		c.Reason = phrase.Of("on the generator, the loads alone draw up to %s per phase through the inverter, "+
			"but the limit entered for its ac input is only %s: the bank must supply the rest, if the inverter can do that; "+
			"if not, move a circuit", draws, set)
		return c
	}
	draws, set := wording.Amount(g.InputA, "A"), wording.Amount(limit, "A")
	c := verdict.AtMost(id, g.InputA, limit, "A").AtWorst(verdict.Caution).Because(
		phrase.Of("on the generator, loads and chargers draw at most %s per phase through the inverter; "+
			"the limit entered for its ac input is %s", draws, set),
		phrase.Of("on the generator, loads and chargers draw up to %s per phase through the inverter, "+
			"but the limit entered for its ac input is only %s: %s", draws, set, g.setChargers()))
	if g.noCharger {
		c.Reason = phrase.Of("on the generator, the loads alone draw at most %s per phase through the inverter; "+
			"the limit entered for its ac input is %s", draws, set)
		return g.withoutCharger(c)
	}
	return c
}

// loadsA is what the loads alone draw through the input of each line of an inverter.
func (g *Plan) loadsA(s *site.Site) float64 { return g.LoadsVA / float64(s.Phases) / s.NominalV }
