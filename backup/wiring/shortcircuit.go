package wiring

import (
	"math"

	"outlast/backup/phrase"
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
	Known     bool    // false if there is nothing to compute it from
	Assumed   bool    // nothing is known of this bank: the figure is one of its kind, and no bound
	EstimateA float64 // first estimate, final value
	MaximumA  float64 // the most to be reckoned with: this one is for breaking capacities
	Working   []Step
}

// The published rules of the fault current.
var (
	faultVolt = sourced{1.05, phrase.Of("IEC 61660-1, maximum fault: 1.05 x nominal voltage"), fromMemory}
	faultLess = sourced{0.9, phrase.Of("IEC 61660-1, maximum fault: 0.9 x battery resistance"), fromMemory}
	// packFault is what a lithium pack may drive into a short circuit where nothing is known: cells of 200 Ah with 0.2
	// mohm could give 16 kA, which electronics and links of a pack cut to 2 to 10 kA.
	packFault = sourced{10000, phrase.Of("common practice: a lithium pack with its links and electronics"), fromMemory}
)

// MostFaultPerAh bounds what a practice may give for a short circuit by capacity, A/Ah.
const MostFaultPerAh = 35

// A perAh is the short-circuit current of a kind of lead-acid for each Ah: what is usual, and the most to be reckoned
// with.
type perAh struct{ usual, most sourced }

// faultPerAh by chemistry. Vented: 15 A/Ah were measured on two strings of golf-car batteries (6960 A after 3 s, 450
// Ah); makers have 11.4 to 11.7 for industrial cells and 4.4 to 11.6 for tubular ones; a maker's guide knows no more
// than 20. AGM: 2300 A from a block of 90 Ah (25.6), and 12.65 V over 7.5 mohm from one of 55 Ah (30.7).
var faultPerAh = map[battery.Chemistry]perAh{
	battery.Flooded: {sourced{15, phrase.Of("measurement on golf-car batteries, Home Power 27 (1992)"), quoted},
		sourced{20, phrase.Of("circuit-breaker maker's DC guide"), quoted}},
	battery.Gel: {sourced{15, phrase.Of("as vented"), fromMemory},
		sourced{20, phrase.Of("circuit-breaker maker's DC guide"), quoted}},
	battery.AGM: {sourced{30, phrase.Of("data sheet of a 55 Ah AGM block: volts over resistance"), published},
		sourced{MostFaultPerAh, phrase.Of("planning rule of this program"), published}},
}

// FaultPerAhOf is the usual short-circuit current of a chemistry, A per Ah; ok is false for lithium, where nothing of
// the kind holds.
func FaultPerAhOf(c battery.Chemistry) (aPerAh float64, ok bool) {
	f, ok := faultPerAh[c]
	return f.usual.value, ok
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
		c.Working = append(c.Working, Step{Title: phrase.Of("Prospective short-circuit current with charger"),
			Formula: phrase.Of("bank + charger"),
			Numbers: phrase.Symbols("%s + %s", fig(c.MaximumA-s.ChargerA), fig(s.ChargerA)), Value: c.MaximumA,
			Unit:   "A",
			Source: cite(phrase.Of("IEEE 946 Annex D: adding both is conservative"), published)})
	}
	return c, nil
}

func (s Source) byResistance() ShortCircuit {
	estimate := s.NominalV / (s.BankMOhm + s.PathMOhm) * 1000
	most := faultVolt.value * s.NominalV / (faultLess.value*s.BankMOhm + s.PathMOhm) * 1000
	return ShortCircuit{Known: true, EstimateA: estimate, MaximumA: most, Working: []Step{
		{Title: phrase.Of("Short-circuit current, estimate"), Formula: phrase.Of("voltage / (bank + path)"),
			Numbers: phrase.Symbols("%s V / (%s + %s) mohm", fig(s.NominalV), fig(s.BankMOhm), fig(s.PathMOhm)),
			Value:   estimate, Unit: "A",
			Source: cite(phrase.Of("circuit-breaker maker's DC guide; IEEE-type practice"), quoted)},
		{Title: phrase.Of("Short-circuit current, maximum"), Formula: phrase.Of("a x voltage / (b x bank + path)"),
			Numbers: phrase.Symbols("%s x %s V / (%s x %s + %s) mohm", fig(faultVolt.value), fig(s.NominalV),
				fig(faultLess.value), fig(s.BankMOhm), fig(s.PathMOhm)),
			Value: most, Unit: "A", Source: phrase.Separated([]phrase.Phrase{faultVolt.cite(), faultLess.cite()},
				"; ")},
	}}
}

func (s Source) byCapacity(p Practice) ShortCircuit {
	f := faultPerAh[s.Chemistry]
	if p.FaultPerAh > 0 {
		f.usual = sourced{p.FaultPerAh, phrase.Of("practice given"), published}
		if p.FaultPerAh > f.most.value {
			f.most = f.usual
		}
	}
	estimate, most := f.usual.value*s.CapacityAh, f.most.value*s.CapacityAh
	return ShortCircuit{Known: true, EstimateA: estimate, MaximumA: most, Working: []Step{
		{Title: phrase.Of("Short-circuit current, estimate"), Formula: phrase.Of("k x capacity"),
			Numbers: phrase.Symbols("%s x %s Ah", fig(f.usual.value), fig(s.CapacityAh)), Value: estimate, Unit: "A",
			Source: f.usual.cite()},
		{Title: phrase.Of("Short-circuit current, maximum"), Formula: phrase.Of("k x capacity"),
			Numbers: phrase.Symbols("%s x %s Ah", fig(f.most.value), fig(s.CapacityAh)), Value: most, Unit: "A",
			Source: f.most.cite()},
	}}
}

// assumed is for lithium of which nothing is known.
func (s Source) assumed() ShortCircuit {
	n := max(s.Strings, 1)
	most := packFault.value * float64(n)
	return ShortCircuit{Known: true, Assumed: true, EstimateA: most, MaximumA: most, Working: []Step{
		{Title: phrase.Of("Short-circuit current, assumed"), Formula: phrase.Of("strings x current of a pack"),
			Numbers: phrase.Symbols("%d x %s", n, fig(packFault.value)), Value: most, Unit: "A",
			Source: packFault.cite()},
	}}
}

// withstandS is how long a conductor of mm2 stands a short circuit from its full working temperature, s.
func (p *place) withstandS(mm2, faultA float64) (float64, Step) {
	end := p.faultC()
	k := adiabaticK(p.InsulationC, end.value)
	s := math.Pow(k*mm2/faultA, 2)
	return s, Step{Title: phrase.Of("Time that the conductor withstands the short circuit"),
		Formula: phrase.Of("(k x section / current)^2"),
		Numbers: phrase.Of("(%s x %s / %s)^2, from %s to %s", fig(k), fig(mm2), fig(faultA), fig(p.InsulationC),
			phrase.Amount{Value: end.value, Unit: "C"}), Value: s, Unit: "s",
		Source: phrase.Of("%s; k: %s", end.cite(), copperHeat.cite())}
}
