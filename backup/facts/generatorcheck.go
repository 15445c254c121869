package facts

import (
	"math"

	"outlast/backup/outage"
	"outlast/backup/phrase"
	"outlast/backup/site"
	"outlast/backup/verdict"
	"outlast/backup/wiring"
	"outlast/backup/wording"
)

// GeneratorPlan is what the generator has left at its place, and what is asked of it while it carries the loads of the outage and
// the chargers at full current.
type GeneratorPlan struct {
	DeratedVA, DeratedW float64
	RunningVA, RunningW float64 // balanced: of several phases the largest, times their number
	LoadsVA, LoadsW     float64 // the same without the chargers
	StartVA             float64 // of the largest motor alone; 0: nothing starts
	Dip                 float64 // fraction of the voltage that its start takes
	MeanW               float64 // output that the fuel is reckoned with
	FuelLPerH           float64 // 0: not known
	FuelByChart         bool    // from a published chart, not from the data sheet
	TankH               float64 // 0: not known
	InputA              float64 // through the input of each line of an inverter
	ChargeLimited       bool    // while everything runs, it carries or the input takes less than the chargers ask for
	ChargeA             float64 // and all of them together may then put so much into the bank
}

// chargerPF is the power factor of a grid charger that corrects it, as those of hybrid inverters do: at least 0.95, common practice
// (MEM).
const chargerPF = 0.95

// CheckGenerator rates the generator and holds it against the outage. The chargers can be set lower and the loads cannot: where only
// both together are too much, that is a caution.
func (p *Facts) CheckGenerator() {
	gen := p.Site.Generator
	if gen == nil {
		return
	}
	p.Checks = append(p.Checks, p.checkGeneratorSoC())
	g, in := &GeneratorPlan{}, wiring.Generator{RatedVA: gen.RatedVA, PowerFactor: gen.PowerFactor, Rules: deratingRules(p.Site),
		AltitudeM: p.Site.AltitudeM, AmbientC: p.Site.HottestC, TankL: gen.FuelL, Practice: p.Site.Practice.Wires()}
	p.Generator = g
	g.LoadsVA, g.LoadsW = p.balanced(p.Demand.Scheduled.VA, p.Demand.Scheduled.PhaseVA), p.balanced(p.Demand.Scheduled.W, p.Demand.Scheduled.PhaseW)
	chargerW := p.Inverter.ChargerInputW(float64(p.Site.Series) * p.Site.Unit.ChargeV)
	g.RunningVA, g.RunningW = g.LoadsVA+chargerW/chargerPF, g.LoadsW+chargerW
	in.RunningVA, in.RunningW = g.RunningVA, g.RunningW
	derating, err := generatorDerating(p.Site)
	if err != nil {
		p.noGenerator(err)
		return
	}
	// The chargers are taken as far down as checkGeneratorRunning will ask for.
	chargersVA := min(chargerW/chargerPF, max(0, gen.RatedVA*derating.Factor-g.LoadsVA))
	for _, st := range p.Starts.All {
		in.TotalStartVA = max(in.TotalStartVA, st.BalancedVA+chargersVA)
	}
	for _, l := range p.InOutage() {
		if l.Start == nil {
			continue
		}
		va := l.Start.VA()
		if l.Phase > 0 {
			va *= float64(p.Site.Phases)
		}
		g.StartVA = max(g.StartVA, va)
	}
	in.StartVA = g.StartVA
	g.MeanW = min(p.Demand.EnergyWhPerDay/24+chargerW, gen.RatedVA*gen.PowerFactor)
	in.MeanW, in.Fuel = g.MeanW, gen.Fuel
	if len(gen.FuelLPerH) > 0 {
		in.FuelLPerH = outage.FuelAt(fuelByLoad(gen), g.MeanW/(gen.RatedVA*gen.PowerFactor))
	}
	sized, err := wiring.SizeGenerator(in)
	if err != nil {
		p.noGenerator(err)
		return
	}
	g.DeratedVA, g.DeratedW, g.Dip = sized.DeratedVA, sized.DeratedW, sized.Dip
	g.FuelLPerH, g.FuelByChart, g.TankH = sized.FuelLPerH, sized.ByChart, sized.TankH
	g.InputA = g.RunningVA / float64(p.Site.Phases) / p.Site.NominalV
	g.ChargeA, g.ChargeLimited = p.generatorChargeA(chargerW)
	p.Checks = append(p.Checks, p.checkGeneratorRunning(sized), p.checkGeneratorStart(sized), p.checkGeneratorInput())
	if gen.Phases > 0 && gen.Phases != p.Site.Phases {
		p.wireCautions = append(p.wireCautions, phrase.Of("The generator has %s and the site %s: settle first what it feeds, and how.",
			phrase.Count(gen.Phases, "%d phase", "%d phases"), phrase.Count(p.Site.Phases, "%d phase", "%d phases")))
	}
	for _, text := range sized.Cautions {
		p.wireCautions = append(p.wireCautions, phrase.Of("Generator: %s.", text))
	}
	p.generatorSteps = sized.Working
}

// deratingRules are the rules by which altitude and heat take from the generator: the one that the practice wants, else those of its
// engine.
func deratingRules(s *site.Site) []wiring.DeratingRule {
	if rule := s.Practice.GeneratorRule; rule != "" {
		return []wiring.DeratingRule{rule}
	}
	return wiring.DeratingRulesOf(s.Generator.Fuel, s.Generator.Turbo)
}

// generatorDerating is what altitude and heat leave of the generator: the same in its checks, in an outage and in the table of recharge.
func generatorDerating(s *site.Site) (wiring.Derating, error) {
	return wiring.GeneratorDerating(s.AltitudeM, s.HottestC, deratingRules(s)...)
}

// noGenerator notes a generator that cannot be worked out.
func (p *Facts) noGenerator(err error) {
	p.Checks = append(p.Checks, verdict.Unknown("generator-running", p.Generator.RunningVA, "VA", phrase.Of("not worked out: %s", wording.ReasonOf(err))))
	p.Generator = nil
}

// balanced is what a rating that is spread evenly over the phases must carry: the total, or the largest phase times their number.
func (p *Facts) balanced(total float64, phases []float64) float64 {
	for _, v := range phases {
		total = max(total, v*float64(len(phases)))
	}
	return total
}

// checkGeneratorRunning compares loads and chargers with what the generator has left, in VA and in W, and reports the tighter one.
func (p *Facts) checkGeneratorRunning(sized wiring.GeneratorResult) verdict.Check {
	const id = "generator-running"
	g := p.Generator
	c, loads := verdict.AtMost(id, g.RunningVA, g.DeratedVA, "VA"), g.LoadsVA
	w := verdict.AtMost(id, g.RunningW, g.DeratedW, "W")
	// What the loads alone break comes first: no charger can be set low enough for it.
	aloneVA, aloneW := verdict.AtMost(id, g.LoadsVA, g.DeratedVA, "VA").Status == verdict.Fail, verdict.AtMost(id, g.LoadsW, g.DeratedW, "W").Status == verdict.Fail
	if aloneW && !aloneVA || aloneW == aloneVA && w.Margin < c.Margin {
		c, loads = w, g.LoadsW
	}
	share := p.Site.Practice.Wires().GeneratorShare
	has := phrase.Of("the derated output of the generator at this temperature and altitude is %s", wording.Amount(c.Limit, c.Unit))
	all := phrase.Of("loads and chargers together draw up to %s", wording.Amount(c.Demand, c.Unit))
	switch {
	case aloneVA || aloneW:
		c.Reason = phrase.Of("the loads alone draw up to %s, but %s", wording.Amount(loads, c.Unit), has)
	case c.Status == verdict.Fail:
		c.Status = verdict.Caution
		c.Reason = phrase.Of("%s, but %s: %s", all, has, p.setChargers())
	case c.Demand > share*c.Limit*(1+verdict.Slack):
		c.Status = verdict.Caution
		c.Reason = phrase.Of("%s, and %s: more than %.3g %% of it should not run for hours", all, has, 100*share)
	default:
		c.Reason = phrase.Of("%s, and %s", all, has)
	}
	return c
}

// generatorChargeA is how much of the charge current generator and grid input leave the chargers while everything runs. fullW is what the
// chargers take at full current.
func (p *Facts) generatorChargeA(fullW float64) (a float64, limited bool) {
	g := p.Generator
	w := min(g.DeratedW-g.LoadsW, (g.DeratedVA-g.LoadsVA)*chargerPF)
	if inputA := p.Inverter.ACInputA(); inputA > 0 {
		w = min(w, (inputA*float64(p.Site.Phases)*p.Site.NominalV-g.LoadsVA)*chargerPF)
	}
	if w >= fullW*(1-verdict.Slack) {
		return 0, false
	}
	return settable(p.Inverter.ChargerA() * max(0, w) / fullW), true
}

// settable is a limit as it is entered: rounded down to what can be set, so that it holds. Whole amperes from 10 on, tenths below.
func settable(a float64) float64 {
	if a < 10 {
		return math.Floor(10*a+verdict.Slack) / 10
	}
	return math.Floor(a + verdict.Slack)
}

// setChargers says how far the chargers must be turned down.
func (p *Facts) setChargers() phrase.Phrase {
	return phrase.Of("at full simultaneous load, charge with at most %s", wording.Amount(p.Generator.ChargeA, "A"))
}

// checkGeneratorStart compares the largest start with what the generator stands: the dip of its voltage, and the published share of its
// rating. The share alone is never worse than a caution: its rule counts watts of its own reckoning.
func (p *Facts) checkGeneratorStart(sized wiring.GeneratorResult) verdict.Check {
	const id = "generator-start"
	if p.Generator.StartVA == 0 {
		return verdict.Check{ID: id, Status: verdict.Pass, Unit: "VA", Reason: nothingStarts}
	}
	practice := p.Site.Practice.Wires()
	var start, dip wiring.Check
	for _, c := range sized.Checks {
		switch c.ID {
		case "generator-start":
			start = c
		case "generator-dip":
			dip = c
		}
	}
	text := phrase.Of("voltage dip at the largest start: %.3g %%, permitted %.3g %%", dip.Demand, dip.Limit)
	worst := dip
	if dip.Status == wiring.Fail {
		text = phrase.Of("voltage dip at the largest start: %.3g %%, permitted only %.3g %%; lamps dim and other motors stall: fit a soft starter, or start from the bank", dip.Demand, dip.Limit)
	} else if start.Status != wiring.Pass || start.Margin < dip.Margin {
		worst = start
		text = phrase.Of("with the running load and the chargers the largest start takes %s, and %.3g times the rating is %s", wording.Amount(start.Demand, "VA"), practice.GeneratorStart, wording.Amount(start.Limit, "VA"))
		if start.Status != wiring.Pass {
			text = phrase.Of("%s: start it with the chargers off", text)
		}
	}
	return verdict.Check{ID: id, Status: verdict.Status(worst.Status), Demand: worst.Demand, Limit: worst.Limit, HasLimit: true, Unit: worst.Unit, Margin: worst.Margin, Reason: text}
}

// checkGeneratorInput compares what the generator sends through the grid input of the inverters with what that bears.
func (p *Facts) checkGeneratorInput() verdict.Check {
	const id = "generator-input"
	a, limit := p.Generator.InputA, p.Inverter.ACInputA()
	if limit == 0 {
		return verdict.Unknown(id, a, "A", phrase.Of("on the generator, loads and chargers draw %s per phase through the inverter; give ac_input_a of the inverter to compare", wording.Amount(a, "A")))
	}
	c := verdict.AtMost(id, a, limit, "A").Because(
		phrase.Of("on the generator, loads and chargers draw at most %s per phase through the inverter; its ac input is rated for %s", wording.Amount(a, "A"), wording.Amount(limit, "A")),
		phrase.Of("on the generator, loads and chargers draw up to %s per phase through the inverter, but its ac input is rated for only %s: %s", wording.Amount(a, "A"), wording.Amount(limit, "A"), p.setChargers()))
	loadsA := p.Generator.LoadsVA / float64(p.Site.Phases) / p.Site.NominalV
	if loadsA <= limit {
		return c.AtWorst(verdict.Caution)
	}
	c.Reason = phrase.Of("on the generator, the loads alone draw up to %s per phase through the inverter, but its ac input is rated for only %s: move a circuit", wording.Amount(loadsA, "A"), wording.Amount(limit, "A"))
	return c
}
