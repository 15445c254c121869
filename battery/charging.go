package battery

import (
	"outlast/backup/phrase"
	"outlast/backup/working"
)

// A Stage is one of the voltages at which a battery is charged.
type Stage int

// The stages.
const (
	Absorption Stage = iota // charge_v, until the bank is nearly full
	Float                   // float_v, for as long as the grid is there
	Equalise                // equalise_v, now and then, chemistries that are equalised only
)

// StageV returns the bank's volts in a stage with cells at tempC: the unit's volts at 25 C, less its compensation for
// every kelvin above and plus it for every kelvin below. 0 where the unit does not give the stage. See
// [Bank.HighestChargeV] for the check against an inverter.
func (b Bank) StageV(stage Stage, tempC float64) float64 {
	var v float64
	switch stage {
	case Absorption:
		v = b.Unit.ChargeV
	case Float:
		v = b.Unit.FloatV
	case Equalise:
		v = b.Unit.EqualiseV
	}
	if v == 0 {
		return 0
	}
	return float64(b.Series)*v + float64(b.Cells())*b.Unit.CompensationMV()/1000*kelvinBelow(tempC)
}

// chargeC holds what is usual for a chemistry, in parts of the rated Ah: the least current that still mixes and fully
// charges lead-acid, and the greatest one where the data sheet gives none.
var chargeC = map[Chemistry]struct {
	least  float64 // planning rule of the trade, common practice
	most   float64
	source working.Source // of most
}{
	Flooded: {0.05, 0.13, tradeRule},
	AGM:     {0.05, 0.30, agmTable},
	Gel:     {0.05, 0.20, tradeRule},
	LFP:     {0, 0.30, working.From(phrase.Of("data sheet of a 12.8 V 100 Ah LFP pack, lowest of two"), working.Read)},
	NMC:     {0, 0.30, asLFP},
}

// ChargeRange returns the charge current in A that suits the bank: not under leastA (lead-acid C/20; 0 for lithium),
// not over mostA. mostA is the units' own limit, or the usual one of the chemistry; source says which.
func (b Bank) ChargeRange() (leastA, mostA float64, source working.Source) {
	usual := chargeC[b.Unit.Chemistry]
	leastA, mostA, source = usual.least*b.CapacityAh(), usual.most*b.CapacityAh(), usual.source
	if b.Unit.MaxChargeA > 0 {
		mostA, source = b.Unit.MaxChargeA*float64(b.Strings), working.From(phrase.Of("max_charge_a of the unit"),
			working.Definition)
	}
	return leastA, mostA, source
}

// RechargeFactor returns how much charge must go in for each Ah taken out, from lowest to highest: common practice. For
// lead-acid the upper end agrees with a charge efficiency of 85 % (text on photovoltaics, SEEN): 1/0.85 = 1.18.
func (c Chemistry) RechargeFactor() (low, high float64) {
	switch c {
	case Flooded:
		return 1.10, 1.20
	case AGM, Gel:
		return 1.05, 1.10
	default:
		return 1.01, 1.05
	}
}

// A Recharge is an estimate of how long a bank takes to get full.
type Recharge struct {
	BulkH, AbsorptionH float64 // full current up to the knee; then at constant volts
	Hours              float64 // both
	InAh               float64 // what goes in altogether
	ChargeA            float64 // the current that was counted with: the charger's or the bank's, whichever is less
}

// Rules of the estimate. The bulk covers about the first 80 %, and the last fifth cannot be charged fast: generic text
// on charging, SEEN. Absorption of lead-acid lasts 0.42 C20/I hours: inverter-charger practice, memory. For lithium the
// constant-voltage phase begins at about 95 % and brings the rest in about twice the time of full current, memory.
const (
	leadBulkSoC        = 0.80
	leadAbsorptionRule = 0.42
	lithiumTail        = 2
)

// Recharge returns the usual estimate for charging from a state of charge (0 to 1) to full with a charger of chargerA,
// above 0, by the rules of thumb of the trade. See [RechargeH] for what the state model says.
func (b Bank) Recharge(fromSoC, chargerA float64) (Recharge, error) {
	if err := checkSizable(b.Unit, b.Series); err != nil {
		return Recharge{}, err
	}
	if b.Strings < 1 {
		return Recharge{}, errs.Errorf("%d strings, want at least 1", b.Strings)
	}
	if err := checkPositive("charger", chargerA, "A"); err != nil {
		return Recharge{}, err
	}
	if !(fromSoC >= 0 && fromSoC <= 1) {
		return Recharge{}, errs.Errorf("state of charge %g, want 0 to 1", fromSoC)
	}
	_, mostA, _ := b.ChargeRange()
	low, high := b.Unit.Chemistry.RechargeFactor()
	factor, ah := (low+high)/2, b.CapacityAh()
	r := Recharge{ChargeA: min(chargerA, mostA), InAh: factor * (1 - fromSoC) * ah}
	if fromSoC == 1 {
		return r, nil
	}
	if b.Unit.Chemistry.LeadAcid() {
		r.BulkH = factor * max(0, leadBulkSoC-fromSoC) * ah / r.ChargeA
		// Nearer to full than the knee, the same share of the absorption is left.
		part := min(1, (1-fromSoC)/(1-leadBulkSoC))
		r.AbsorptionH = part * leadAbsorptionRule * ah / r.ChargeA
	} else {
		r.BulkH = factor * max(0, taperFromSoC-fromSoC) * ah / r.ChargeA
		r.AbsorptionH = lithiumTail * factor * min(1-fromSoC, 1-taperFromSoC) * ah / r.ChargeA
	}
	r.Hours = r.BulkH + r.AbsorptionH
	if !finite(r.Hours) || !finite(r.InAh) {
		return Recharge{}, errs.Errorf("%g Ah at %g A is out of reach of the estimate", ah, chargerA)
	}
	return r, nil
}

// longestRechargeH ends a recharge that the bank does not take, or not with that power: four weeks.
const longestRechargeH = 672

// RechargeH returns how many hours s, from where it stands, takes to reach the state of charge target when it is
// offered powerW (above 0) all the time, in steps of a minute. It changes s. ok is false where it does not get there in
// four weeks.
func RechargeH(s State, powerW, target float64) (h float64, ok bool) {
	for minute := range longestRechargeH * 60 {
		if s.SoC() >= target {
			return float64(minute) * minuteH, true
		}
		s.Step(-powerW, minuteH)
	}
	return longestRechargeH, s.SoC() >= target
}
