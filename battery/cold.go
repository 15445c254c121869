package battery

import (
	"slices"

	"outlast/backup/phrase"
	"outlast/backup/working"
)

var (
	leadCharging = working.BU410.At(phrase.Of("%s: lead-acid charged from -20 C on, below 0 C with less",
		working.InTable("1")), working.Read)
	sealedCharging = working.From(phrase.Of("care pages of two makers of sealed lead-acid batteries: "+
		"charged from -15 C on; below 0 C with less, BU-410"),
		working.Read)
	packManual = working.From(phrase.Of("operation manual of a 48 V 50 Ah LFP pack, charging table: none below 0 C, "+
		"0.1C up to 5 C, 0.2C up to 15 C"),
		working.Read)
	packManualNMC = working.BU410.At(phrase.Of("%s: none below 0 C; for the rest as LFP", working.InTable("1")),
		working.Memory)
)

// coldCharging says how cold the cells of a chemistry may be while they are charged, and with which part of their
// capacity per hour. Lead-acid below 0 C takes half of what is usual for gel: BU-410 allows 0.3, but acceptance
// falls, own. Lithium cells are harmed for good by being charged below 0 C. The limits above 0 C are those of the
// pack's manual and of a cell maker's sheet (0.2C up to 15 C); above 15 C the data sheet's own holds.
var coldCharging = map[Chemistry]struct {
	minC   float64
	steps  []ColdStep // by falling temperature
	source working.Source
}{
	Flooded: {-20, []ColdStep{{0, 0.1}}, leadCharging},
	AGM:     {-15, []ColdStep{{0, 0.1}}, sealedCharging},
	Gel:     {-15, []ColdStep{{0, 0.1}}, sealedCharging},
	LFP:     {0, []ColdStep{{15, 0.2}, {5, 0.1}}, packManual},
	NMC:     {0, []ColdStep{{15, 0.2}, {5, 0.1}}, packManualNMC},
}

// A ColdStep is the greatest current, in parts of the rated Ah, while cells are colder than BelowC.
type ColdStep struct{ BelowC, Most float64 }

// ColdChargeC are the steps of the greatest charge current in the cold, by falling temperature.
func (c Chemistry) ColdChargeC() ([]ColdStep, working.Source) {
	cold := coldCharging[c]
	return slices.Clone(cold.steps), cold.source
}

// HeatedC is what a pack that heats itself has its cells at while it is charged: the least of its steps above 5 C.
const HeatedC = 5

// LeastChargeC returns the temperature in C below which the unit must not be charged, and where that comes from: the
// data sheet's, else what is usual for the chemistry (usual is true then). ok is false for an unknown chemistry
// without one.
func (u Unit) LeastChargeC() (minC float64, usual bool, source working.Source, ok bool) {
	if u.ChargeMinC != nil {
		return *u.ChargeMinC, false, working.From(phrase.Of("charge_min_c of the unit"), working.Definition), true
	}
	cold, ok := coldCharging[u.Chemistry]
	return cold.minC, true, cold.source, ok
}

// ColdChargeA returns the greatest charge current in A that the cold leaves a bank whose space is at tempC: 0 where
// it must not be charged at all; limited is false where the cold sets no limit. A lithium unit that may be charged
// below 0 C heats itself, and counts as one of 5 C. See [Bank.ChargeRange] for the limit when it is warm.
func (b Bank) ColdChargeA(tempC float64) (a float64, source working.Source, limited bool) {
	u := b.Unit
	minC, _, source, ok := u.LeastChargeC()
	if !ok {
		return 0, working.Source{}, false
	}
	if tempC < minC {
		return 0, source, true
	}
	if !u.Chemistry.LeadAcid() && minC < 0 {
		tempC = max(tempC, HeatedC)
	}
	cold, share := coldCharging[u.Chemistry], 0.0
	for _, step := range cold.steps {
		if tempC < step.BelowC {
			share, limited = step.Most, true
		}
	}
	if _, most, _ := b.ChargeRange(); !limited || share*b.CapacityAh() >= most {
		return 0, working.Source{}, false
	}
	return share * b.CapacityAh(), cold.source, true
}
