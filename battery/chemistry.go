package battery

import (
	"outlast/backup/phrase"
	"outlast/backup/working"
)

// A Chemistry is the kind of cell that a unit is made of.
type Chemistry string

// The chemistries, spelt as in equipment files.
const (
	Flooded Chemistry = "flooded" // vented lead-acid, liquid electrolyte
	AGM     Chemistry = "agm"     // sealed lead-acid, electrolyte in glass mat
	Gel     Chemistry = "gel"     // sealed lead-acid, gelled electrolyte
	LFP     Chemistry = "lfp"     // lithium iron phosphate
	NMC     Chemistry = "nmc"     // lithium nickel manganese cobalt oxide
)

// Chemistries returns all chemistries in a fixed order, lead-acid first. The slice is the caller's.
func Chemistries() []Chemistry { return []Chemistry{Flooded, AGM, Gel, LFP, NMC} }

// Valid says whether c is one of [Chemistries].
func (c Chemistry) Valid() bool { return c.data().cellV.Value > 0 }

// LeadAcid says whether c is flooded, AGM or gel.
func (c Chemistry) LeadAcid() bool { return c == Flooded || c == AGM || c == Gel }

// CellV returns the nominal volts of one cell, or 0 for an unknown chemistry.
func (c Chemistry) CellV() float64 { return c.data().cellV.Value }

// A sourced is a constant of the trade together with where it comes from.
type sourced struct {
	Value  float64
	Source working.Source
}

// chemistryData holds what is assumed of a chemistry where a data sheet is silent. Volts are per cell at 25 C.
type chemistryData struct {
	cellV        sourced // divides a unit's nominal volts into cells
	ratedH       sourced
	peukert      sourced
	maxDoD       sourced
	maxParallel  sourced
	minV         sourced
	chargeV      sourced
	floatV       sourced
	equaliseV    sourced // 0: not equalised
	compensation sourced // mV per cell and kelvin below 25 C
	roundTrip    sourced // energy out per energy in
}

var (
	floodedSheet   = working.From(phrase.Of("maker's data sheet of a 6 V flooded deep-cycle unit"), working.Read)
	sealedSheets   = working.From(phrase.Of("makers' data sheets, AGM 12 V 200 Ah and gel 106 Ah"), working.Read)
	asAGM          = working.From(phrase.Of("maker's data sheet of a 12 V 55 Ah AGM block"), working.Practice) // for gel
	packSheet      = working.From(phrase.Of("data sheet of a 12.8 V 100 Ah LFP pack"), working.Read)
	packSheets     = working.From(phrase.Of("data sheets of 12.8 and 25.6 V LFP packs"), working.Read)
	highVoltage    = working.From(phrase.Of("maker's data sheet of a high-voltage LFP pack, rated at 0.2C"), working.Read)
	floatColumn    = working.IEC62485.At(phrase.Of("float column for valve-regulated cells"), working.Quoted)
	exponentManual = working.From(phrase.Of("battery-monitor manual, exponent when nothing else is known"), working.Read)
	exponentAGM    = working.From(phrase.Of("published range of exponents by type, upper end (%g to %g)", 1.05, 1.15),
		working.Read)
	exponentGel = working.From(phrase.Of("published range of exponents by type, middle (%g to %g)", 1.10, 1.20),
		working.Read)
	usualDepth   = working.From(phrase.Of("stand-alone PV worksheet, usual limit"), working.Read)
	lithiumDepth = working.From(phrase.Of("public guides, %g to %g %%", 80., 90.), working.Read)
	endVoltage   = working.From(phrase.Of("sealed-battery text, end voltage at the 20-h rate"), working.Read)
	leadTrip     = working.From(phrase.Of("maker-neutral service page, lead-acid round trip about 80 %%"), working.Read)
	lithiumTrip  = working.From(phrase.Of("common figure, %g to %g %%", 92., 96.), working.Memory)
	floatLFP     = working.From(phrase.Of("%g to %g V for 12.8 V", 13.4, 13.6), working.Practice)
	commonFigure = working.From(phrase.Of("common figure"), working.Memory)
)

// data is what is assumed of a chemistry, nothing of an unknown one. It is only read.
func (c Chemistry) data() *chemistryData {
	switch c {
	case Flooded:
		return &chemistryTable[0]
	case AGM:
		return &chemistryTable[1]
	case Gel:
		return &chemistryTable[2]
	case LFP:
		return &chemistryTable[3]
	case NMC:
		return &chemistryTable[4]
	}
	return &chemistryData{}
}

// chemistryTable is only read. It has the order of [Chemistries].
var chemistryTable = [...]chemistryData{
	{ // flooded
		cellV:        sourced{2.0, definition},
		ratedH:       sourced{20, tradeRule},
		peukert:      sourced{1.25, exponentManual},
		maxDoD:       sourced{0.50, usualDepth},
		maxParallel:  sourced{4, tradeRule},
		minV:         sourced{1.75, endVoltage},
		chargeV:      sourced{14.8 / 6, floodedSheet},
		floatV:       sourced{13.2 / 6, floodedSheet},
		equaliseV:    sourced{15.5 / 6, floodedSheet},
		compensation: sourced{28 / 5.55, floodedSheet},
		roundTrip:    sourced{0.80, leadTrip},
	},
	{ // AGM
		cellV:       sourced{2.0, definition},
		ratedH:      sourced{20, tradeRule},
		peukert:     sourced{1.15, exponentAGM},
		maxDoD:      sourced{0.50, usualDepth},
		maxParallel: sourced{4, tradeRule},
		minV:        sourced{1.75, endVoltage},
		// The upper figure of the sheets (2.35, at most 2.40): it is inside the range of the 55 Ah block too, and the
		// higher one is the safe side against an inverter's DC window.
		chargeV:      sourced{2.40, sealedSheets},
		floatV:       sourced{2.27, floatColumn},
		compensation: sourced{5, agmTable},
		roundTrip:    sourced{0.80, leadTrip},
	},
	{ // gel
		cellV:        sourced{2.0, definition},
		ratedH:       sourced{20, tradeRule},
		peukert:      sourced{1.15, exponentGel},
		maxDoD:       sourced{0.50, usualDepth},
		maxParallel:  sourced{4, tradeRule},
		minV:         sourced{1.75, endVoltage},
		chargeV:      sourced{2.35, sealedSheets},
		floatV:       sourced{2.27, floatColumn},
		compensation: sourced{5, asAGM},
		roundTrip:    sourced{0.80, leadTrip},
	},
	{ // LFP
		cellV:        sourced{3.2, definition},
		ratedH:       sourced{5, highVoltage},
		peukert:      sourced{1.0, tradeRule},
		maxDoD:       sourced{0.80, lithiumDepth},
		maxParallel:  sourced{16, packSheet},
		minV:         sourced{3.0, tradeRule},
		chargeV:      sourced{14.4 / 4, packSheets},
		floatV:       sourced{13.5 / 4, floatLFP},
		compensation: sourced{0, tradeRule},
		roundTrip:    sourced{0.94, lithiumTrip},
	},
	{ // NMC
		cellV:        sourced{3.65, definition},
		ratedH:       sourced{5, tradeRule},
		peukert:      sourced{1.0, tradeRule},
		maxDoD:       sourced{0.80, lithiumDepth},
		maxParallel:  sourced{16, asLFP},
		minV:         sourced{3.3, tradeRule},
		chargeV:      sourced{4.20, commonFigure},
		floatV:       sourced{4.05, commonFigure},
		compensation: sourced{0, tradeRule},
		roundTrip:    sourced{0.94, asLFP},
	},
}

// Word is the chemistry in a sentence; in English its key in the site file.
func (c Chemistry) Word() phrase.Phrase {
	switch c {
	case Flooded:
		return phrase.Of("flooded")
	case AGM:
		return phrase.Of("agm")
	case Gel:
		return phrase.Of("gel")
	case LFP:
		return phrase.Of("lfp")
	case NMC:
		return phrase.Of("nmc")
	}
	return phrase.Symbols("%s", string(c))
}
