package wiring

import (
	"math"

	"outlast/backup/phrase"
)

// A Source is a bank as a short circuit sees it.
type Source struct {
	NominalV float64 // 1 to 10,000
	// BankMOhm is the resistance of the whole bank, from [BankMOhm] or measured; 0 means unknown.
	BankMOhm float64
	PathMOhm float64 // links, and cables between the bank and the fault; 0 at the bank's own posts
	// CapacityAh and LeadAcid stand in for an unknown resistance; for other chemistries nothing does.
	CapacityAh float64
	LeadAcid   bool
	ChargerA   float64 // what chargers add; their peak comes a little apart from the bank's, so that the sum is on the safe side
}

// A ShortCircuit is the current that a bank drives through a solid short circuit.
type ShortCircuit struct {
	Known     bool    // false if there is nothing to compute it from
	EstimateA float64 // first estimate, final value
	MaximumA  float64 // the most to be reckoned with: this one is for breaking capacities
	Working   []Step
}

// The published rules of the fault current.
var (
	faultVolt = sourced{1.05, phrase.Of("IEC 61660-1, maximum fault: 1.05 x nominal voltage"), fromMemory}
	faultLess = sourced{0.9, phrase.Of("IEC 61660-1, maximum fault: 0.9 x battery resistance"), fromMemory}
	// mostFaultPerAh bounds the estimate by capacity, "always below 20".
	mostFaultPerAh = sourced{20, phrase.Of("circuit-breaker maker's DC guide"), quoted}
)

// BankMOhm is the resistance of a bank of equal units, in mohm: unitMOhm x series / strings. Links and terminals come on top.
// Source: circuit-breaker maker's DC guide (SEEN-S).
func BankMOhm(unitMOhm float64, series, strings int) (float64, error) {
	if err := firstError(within(phrase.Of("resistance of a unit"), unitMOhm, 1e-6, 1e6, "mohm"), within(phrase.Of("units in series"), float64(series), 1, 10000, ""),
		within(phrase.Of("strings"), float64(strings), 1, 10000, "")); err != nil {
		return 0, err
	}
	return unitMOhm * float64(series) / float64(strings), nil
}

// Prospective returns the short-circuit current of a bank.
//
// With its resistance: nominal voltage over resistance and path; the maximum with 1.05 times the voltage and 0.9 times the bank's
// resistance. Without it, for lead-acid: FaultPerAh A per Ah, the maximum with 20 A per Ah. The rise (time constant about 5 ms) is left out: the
// final value is the safe side. A lithium bank whose electronics limit the current is still taken at voltage over resistance; only its
// maker can say otherwise.
func (s Source) Prospective(p Practice) (ShortCircuit, error) {
	p, err := p.Filled()
	if err := firstError(err, voltRange(phrase.Of("nominal voltage of the bank"), s.NominalV), optional(phrase.Of("resistance of the bank"), s.BankMOhm, 1e-6, 1e9, "mohm"),
		within(phrase.Of("resistance of the path"), s.PathMOhm, 0, 1e9, "mohm"), within(phrase.Of("capacity of the bank"), s.CapacityAh, 0, 1e7, "Ah"),
		currentRange(phrase.Of("charger"), s.ChargerA)); err != nil {
		return ShortCircuit{}, err
	}
	var c ShortCircuit
	switch {
	case s.BankMOhm > 0:
		c = s.byResistance()
	case s.LeadAcid && s.CapacityAh > 0:
		c = s.byCapacity(p)
	default:
		return c, nil
	}
	if s.ChargerA > 0 {
		c.EstimateA += s.ChargerA
		c.MaximumA += s.ChargerA
		c.Working = append(c.Working, Step{phrase.Of("Prospective short-circuit current with charger"), phrase.Of("bank + charger"),
			phrase.Symbols("%s + %s", fig(c.MaximumA-s.ChargerA), fig(s.ChargerA)), c.MaximumA, "A", cite(phrase.Of("IEEE 946 Annex D: adding both is conservative"), published)})
	}
	return c, nil
}

func (s Source) byResistance() ShortCircuit {
	estimate := s.NominalV / (s.BankMOhm + s.PathMOhm) * 1000
	most := faultVolt.value * s.NominalV / (faultLess.value*s.BankMOhm + s.PathMOhm) * 1000
	return ShortCircuit{Known: true, EstimateA: estimate, MaximumA: most, Working: []Step{
		{phrase.Of("Short-circuit current, estimate"), phrase.Of("voltage / (bank + path)"),
			phrase.Symbols("%s V / (%s + %s) mohm", fig(s.NominalV), fig(s.BankMOhm), fig(s.PathMOhm)), estimate, "A", cite(phrase.Of("circuit-breaker maker's DC guide; IEEE-type practice"), quoted)},
		{phrase.Of("Short-circuit current, maximum"), phrase.Of("a x voltage / (b x bank + path)"),
			phrase.Symbols("%s x %s V / (%s x %s + %s) mohm", fig(faultVolt.value), fig(s.NominalV), fig(faultLess.value), fig(s.BankMOhm), fig(s.PathMOhm)),
			most, "A", phrase.Separated([]phrase.Phrase{faultVolt.cite(), faultLess.cite()}, "; ")},
	}}
}

func (s Source) byCapacity(p Practice) ShortCircuit {
	estimate, most := p.FaultPerAh*s.CapacityAh, mostFaultPerAh.value*s.CapacityAh
	return ShortCircuit{Known: true, EstimateA: estimate, MaximumA: most, Working: []Step{
		{phrase.Of("Short-circuit current, estimate"), phrase.Of("k x capacity"), phrase.Symbols("%s x %s Ah", fig(p.FaultPerAh), fig(s.CapacityAh)), estimate, "A",
			whose(p.FaultPerAh, practiceDefaults.faultPerAh)},
		{phrase.Of("Short-circuit current, maximum"), phrase.Of("k x capacity"), phrase.Symbols("%s x %s Ah", fig(mostFaultPerAh.value), fig(s.CapacityAh)), most, "A", mostFaultPerAh.cite()},
	}}
}

// withstandS is how long a conductor of mm2 stands a short circuit from its full working temperature, s.
func (p *place) withstandS(mm2, faultA float64) (float64, Step) {
	end := p.faultC()
	k := adiabaticK(p.InsulationC, end.value)
	s := math.Pow(k*mm2/faultA, 2)
	return s, Step{phrase.Of("Time that the conductor stands the short circuit"), phrase.Of("(k x section / current)^2"),
		phrase.Of("(%s x %s / %s)^2, from %s to %s C", fig(k), fig(mm2), fig(faultA), fig(p.InsulationC), fig(end.value)), s, "s",
		phrase.Of("%s; k: %s", end.cite(), copperHeat.cite())}
}
