package wiring

import (
	"math"

	"outlast/backup/phrase"
	"outlast/backup/working"
	"outlast/battery"
)

// A Source is a bank as a short circuit sees it.
type Source struct {
	NominalV float64 // 1 to 10,000
	// BankMOhm is the resistance of the whole bank, from [BankMOhm] or measured; 0 means unknown.
	BankMOhm float64
	PathMOhm float64 // links, and cables between the bank and the fault; 0 at the bank's own posts
	// CapacityAh, Chemistry and Strings (0 means 1) stand in for an unknown resistance.
	CapacityAh float64
	Chemistry  battery.Chemistry
	Strings    int
	ChargerA   float64 // what chargers add; their peak comes a little apart from the bank's, so that the sum is on the safe side
}

// A ShortCircuit is the current that a bank drives through a solid short circuit.
type ShortCircuit struct {
	Known     bool                  // false if there is nothing to compute it from
	Assumed   bool                  // nothing is known of this bank: the figure is one of its kind, and no bound
	EstimateA float64               // first estimate, final value
	MaximumA  float64               // the most to be reckoned with: this one is for breaking capacities
	add       []func(*working.Part) // its steps
}

func (c ShortCircuit) steps(w *working.Part) {
	for _, add := range c.add {
		add(w)
	}
}

// Working is how the current came about.
func (c ShortCircuit) Working(origins working.Origins) []Step { return written(origins, c.steps) }

// The published rules of the fault current.
var (
	faultVolt = known(1.05, working.IEC61660.At(phrase.Of("maximum fault, factor on the voltage"), working.Memory))
	faultLess = known(0.9, working.IEC61660.At(phrase.Of("maximum fault, factor on the resistance"), working.Memory))
	// packFault is what a lithium pack may drive into a short circuit where nothing is known: cells of 200 Ah with 0.2
	// mohm could give 16 kA, which electronics and links of a pack cut to 2 to 10 kA.
	packFault = known(10000,
		working.Plainly(phrase.Of("common practice: a lithium pack with its links and electronics"),
			working.Practice))
)

// MostFaultPerAh bounds what a practice may give for a short circuit by capacity, A/Ah.
const MostFaultPerAh = 35

var makersGuide = working.From(phrase.Of("circuit-breaker maker's DC guide"), working.Quoted)

// A perAh is the short-circuit current of a kind of lead-acid for each Ah: what is usual, and the most to be reckoned
// with.
type perAh struct{ usual, most sourced }

// faultPerAh by chemistry. Vented: 15 A/Ah were measured on two strings of golf-car batteries (6960 A after 3 s, 450
// Ah); makers have 11.4 to 11.7 for industrial cells and 4.4 to 11.6 for tubular ones; a maker's guide knows no more
// than 20. AGM: 2300 A from a block of 90 Ah (25.6), and 12.65 V over 7.5 mohm from one of 55 Ah (30.7).
var faultPerAh = map[battery.Chemistry]perAh{
	battery.Flooded: {known(15, working.HomePower.At(phrase.Of("measurement on golf-car batteries"), working.Quoted)),
		known(20, makersGuide)},
	battery.Gel: {known(15, working.From(phrase.Of("as vented"), working.Memory)),
		known(20, makersGuide)},
	battery.AGM: {known(30, working.From(phrase.Of("data sheet of a 55 Ah AGM block: volts over resistance"),
		working.Read)),
		known(MostFaultPerAh, planningRule)},
}

// FaultPerAhOf is the usual short-circuit current of a chemistry, A per Ah; ok is false for lithium, where nothing of
// the kind holds.
func FaultPerAhOf(c battery.Chemistry) (aPerAh float64, ok bool) {
	f, ok := faultPerAh[c]
	return f.usual.value, ok
}

// FaultRules is how the greatest short-circuit current of a bank is reckoned: with factors on its voltage and resistance
// or, where its resistance is not known, for each Ah of lead-acid and each string of lithium.
type FaultRules struct {
	Volts, Resistance, Each             float64
	VoltsFrom, ResistanceFrom, EachFrom working.Source
}

// FaultRulesOf are the rules for a chemistry.
func FaultRulesOf(c battery.Chemistry, p Practice) FaultRules {
	each := packFault
	if c.LeadAcid() {
		each = faultOf(c, p).most
	}
	return FaultRules{faultVolt.value, faultLess.value, each.value, faultVolt.source, faultLess.source, each.source}
}

// faultOf is the short-circuit current of a kind of lead-acid for each Ah, as the practice has it.
func faultOf(c battery.Chemistry, p Practice) perAh {
	f := faultPerAh[c]
	if p.FaultPerAh > 0 {
		f.usual = known(p.FaultPerAh, givenFactor)
		if p.FaultPerAh > f.most.value {
			f.most = f.usual
		}
	}
	return f
}

// BankMOhm is the resistance of a bank of equal units, in mohm: unitMOhm x series / strings. Links and terminals come
// on top. Source: circuit-breaker maker's DC guide (SEEN-S).
func BankMOhm(unitMOhm float64, series, strings int) (float64, error) {
	if err := firstError(within(phrase.Of("resistance of a unit"), unitMOhm, 1e-6, 1e6, "mohm"),
		within(phrase.Of("units in series"), float64(series), 1, 10000, ""),
		within(phrase.Of("strings"), float64(strings), 1, 10000, "")); err != nil {
		return 0, err
	}
	return unitMOhm * float64(series) / float64(strings), nil
}

// Prospective returns the short-circuit current of a bank.
//
// With its resistance: nominal voltage over resistance and path; the maximum with 1.05 times the voltage and 0.9 times
// the bank's resistance. Without it, for lead-acid: FaultPerAh A per Ah, the maximum with what its kind may give (20,
// AGM 35 A per Ah); for lithium 10 kA for each string, which is assumed and no bound. The rise (time constant about 5
// ms) is left out: the final value is the safe side. A lithium bank whose electronics limit the current is still taken
// at voltage over resistance; only its maker can say otherwise.
func (s Source) Prospective(p Practice) (ShortCircuit, error) {
	p, err := p.Filled()
	if err := firstError(err, voltRange(phrase.Of("nominal voltage of the bank"), s.NominalV),
		optional(phrase.Of("resistance of the bank"), s.BankMOhm, 1e-6, 1e9, "mohm"),
		within(phrase.Of("resistance of the path"), s.PathMOhm, 0, 1e9, "mohm"),
		within(phrase.Of("capacity of the bank"), s.CapacityAh, 0, 1e7, "Ah"),
		currentRange(phrase.Of("charger"), s.ChargerA)); err != nil {
		return ShortCircuit{}, err
	}
	var c ShortCircuit
	switch {
	case s.BankMOhm > 0:
		c = s.byResistance()
	case s.Chemistry.LeadAcid() && s.CapacityAh > 0:
		c = s.byCapacity(p)
	case s.Chemistry.Valid() && !s.Chemistry.LeadAcid():
		c = s.assumed()
	default:
		return c, nil
	}
	if s.ChargerA > 0 {
		c.EstimateA += s.ChargerA
		c.MaximumA += s.ChargerA
		bankA := c.MaximumA - s.ChargerA
		maximumA := c.MaximumA
		c.add = append(c.add, func(w *working.Part) {
			w.Add(Step{Name: "fault_a", Title: phrase.Of("Prospective short-circuit current with charger"),
				Expr: "bank_fault_a + charge_total_a", Inputs: []working.Input{in("bank_fault_a", bankA, "A"),
					in("charge_total_a", s.ChargerA, "A")}, Value: maximumA, Unit: "A",
				Sources: []working.Source{working.IEEE946.At(phrase.Of("%s: adding both is conservative",
					working.InAnnex("D")), working.Read)}})
		})
	}
	return c, nil
}

func (s Source) byResistance() ShortCircuit {
	estimate := s.NominalV / (s.BankMOhm + s.PathMOhm) * 1000
	most := faultVolt.value * s.NominalV / (faultLess.value*s.BankMOhm + s.PathMOhm) * 1000
	return ShortCircuit{Known: true, EstimateA: estimate, MaximumA: most,
		add: []func(*working.Part){func(w *working.Part) {
			bank := []working.Input{in("nominal_v", s.NominalV, "V"), in("bank_mohm", s.BankMOhm, "mohm")}
			estimateOf, mostOf := "bank_mohm", "(resistance_factor * bank_mohm)"
			if s.PathMOhm > 0 {
				bank = append(bank, in("path_mohm", s.PathMOhm, "mohm"))
				estimateOf, mostOf = "(bank_mohm + path_mohm)", "(resistance_factor * bank_mohm + path_mohm)"
			}
			w.Add(Step{Title: phrase.Of("Short-circuit current, estimate"),
				Expr: "nominal_v / " + estimateOf + " * 1000", Inputs: bank, Value: estimate, Unit: "A",
				Sources: []working.Source{makersGuide}})
			w.Add(Step{Name: "bank_fault_a", Title: phrase.Of("Short-circuit current, maximum"),
				Expr: "voltage_factor * nominal_v / " + mostOf + " * 1000",
				Inputs: append(bank[:len(bank):len(bank)], in("voltage_factor", faultVolt.value, ""),
					in("resistance_factor", faultLess.value, "")), Value: most, Unit: "A",
				Sources: []working.Source{faultVolt.source, faultLess.source}})
		}}}
}

func (s Source) byCapacity(p Practice) ShortCircuit {
	f := faultOf(s.Chemistry, p)
	estimate, most := f.usual.value*s.CapacityAh, f.most.value*s.CapacityAh
	return ShortCircuit{Known: true, EstimateA: estimate, MaximumA: most,
		add: []func(*working.Part){func(w *working.Part) {
			for _, of := range []struct {
				name  string
				title phrase.Phrase
				k     sourced
				value float64
			}{{"", phrase.Of("Short-circuit current, estimate"), f.usual, estimate},
				{"bank_fault_a", phrase.Of("Short-circuit current, maximum"), f.most, most}} {
				w.Add(Step{Name: of.name, Title: of.title, Expr: "fault_a_per_ah * bank_ah", Inputs: []working.Input{
					working.Told("fault_a_per_ah", of.k.value, "A/Ah", of.k.source.Phrase()),
					in("bank_ah", s.CapacityAh, "Ah")}, Value: of.value, Unit: "A", Sources: of.k.sources()})
			}
		}}}
}

// assumed is for lithium of which nothing is known.
func (s Source) assumed() ShortCircuit {
	n := max(s.Strings, 1)
	most := packFault.value * float64(n)
	return ShortCircuit{Known: true, Assumed: true, EstimateA: most, MaximumA: most,
		add: []func(*working.Part){func(w *working.Part) {
			w.Add(Step{Name: "bank_fault_a", Title: phrase.Of("Short-circuit current, assumed"),
				Expr:   "strings * pack_fault_a",
				Inputs: []working.Input{in("strings", float64(n), ""), in("pack_fault_a", packFault.value, "A")},
				Value:  most, Unit: "A", Sources: packFault.sources()})
		}}}
}

// withstandS is how long a conductor of mm2 stands a short circuit from its full working temperature, s.
func (p *place) withstandS(mm2, faultA float64) float64 {
	return math.Pow(adiabaticK(p.InsulationC, p.faultC().value)*mm2/faultA, 2)
}

func (p *place) withstandStep(w *working.Part, size Size, faultA float64) {
	end, fault := p.faultC(), "fault_a"
	if !w.Has(fault) { // without a charger
		fault = "bank_fault_a"
	}
	w.Add(Step{Title: phrase.Of("Time that the conductor withstands the short circuit"),
		Expr: "section_mm2^2 * copper_k^2 * ln(1 + (insulation_end_c - insulation_c) / (copper_zero_c + insulation_c)) / " +
			fault + "^2",
		Inputs: []working.Input{working.Told("section_mm2", size.MM2, "mm2",
			phrase.Of("conductor %s", phrase.Measure(size.Name))),
			in("copper_k", copperHeat.value, "A s^0.5/mm2"), in("insulation_end_c", end.value, "C"),
			in("insulation_c", p.InsulationC, "C"), in("copper_zero_c", copperZeroC.value, "C"),
			in(fault, faultA, "A")},
		Value: p.withstandS(size.MM2, faultA), Unit: "s",
		Sources: append(end.sources(), copperHeat.source.For(phrase.Name("copper_k")))})
}
