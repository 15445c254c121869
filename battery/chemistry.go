package battery

import "outlast/backup/phrase"

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
	Source string // a document, or in words what it rests on: from memory, common practice, definition
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

const (
	trade        = "planning rule of the trade, common practice"
	floodedSheet = "maker's data sheet of a 6 V flooded deep-cycle unit, 2014"
	sealedSheets = "makers' data sheets, AGM 12 V 200 Ah and gel 106 Ah"
	agmSheet     = "maker's data sheet of a 12 V 55 Ah AGM block"
	lfpPackSheet = "data sheets of 12.8 and 25.6 V LFP packs"
	vrlaStandard = "float column for valve-regulated cells, IEC 62485-2"
	meterManual  = "battery-monitor manual, exponent when nothing else is known"
	rateRange    = "published range of exponents by type"
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
		cellV:        sourced{2.0, "definition"},
		ratedH:       sourced{20, trade},
		peukert:      sourced{1.25, meterManual},
		maxDoD:       sourced{0.50, "stand-alone PV worksheet, usual limit"},
		maxParallel:  sourced{4, trade},
		minV:         sourced{1.75, "end voltage at the 20-h rate, sealed-battery text"},
		chargeV:      sourced{14.8 / 6, floodedSheet},
		floatV:       sourced{13.2 / 6, floodedSheet},
		equaliseV:    sourced{15.5 / 6, floodedSheet},
		compensation: sourced{28 / 5.55, floodedSheet},
		roundTrip:    sourced{0.80, "maker-neutral service page, lead-acid round trip about 80 %"},
	},
	{ // AGM
		cellV:       sourced{2.0, "definition"},
		ratedH:      sourced{20, trade},
		peukert:     sourced{1.15, rateRange + ", upper end (1.05 to 1.15)"},
		maxDoD:      sourced{0.50, "stand-alone PV worksheet, usual limit"},
		maxParallel: sourced{4, trade},
		minV:        sourced{1.75, "end voltage at the 20-h rate, sealed-battery text"},
		// The upper figure of the sheets (2.35, at most 2.40): it is inside the range of the 55 Ah block too, and the
		// higher one is the safe side against an inverter's DC window.
		chargeV:      sourced{2.40, sealedSheets},
		floatV:       sourced{2.27, vrlaStandard},
		compensation: sourced{5, agmSheet},
		roundTrip:    sourced{0.80, "maker-neutral service page, lead-acid round trip about 80 %"},
	},
	{ // gel
		cellV:        sourced{2.0, "definition"},
		ratedH:       sourced{20, trade},
		peukert:      sourced{1.15, rateRange + ", middle (1.10 to 1.20)"},
		maxDoD:       sourced{0.50, "stand-alone PV worksheet, usual limit"},
		maxParallel:  sourced{4, trade},
		minV:         sourced{1.75, "end voltage at the 20-h rate, sealed-battery text"},
		chargeV:      sourced{2.35, sealedSheets},
		floatV:       sourced{2.27, vrlaStandard},
		compensation: sourced{5, agmSheet + " for AGM; taken over for gel, common practice"},
		roundTrip:    sourced{0.80, "maker-neutral service page, lead-acid round trip about 80 %"},
	},
	{ // LFP
		cellV:        sourced{3.2, "definition"},
		ratedH:       sourced{5, "maker's data sheet of a high-voltage LFP pack, rated at 0.2C"},
		peukert:      sourced{1.0, trade},
		maxDoD:       sourced{0.80, "public guides, 80 to 90 %"},
		maxParallel:  sourced{16, "data sheet of a 12.8 V 100 Ah LFP pack"},
		minV:         sourced{3.0, trade},
		chargeV:      sourced{14.4 / 4, lfpPackSheet},
		floatV:       sourced{13.5 / 4, "13.4 to 13.6 V for 12.8 V, common practice"},
		compensation: sourced{0, trade},
		roundTrip:    sourced{0.94, "common figure, 92 to 96 %, from memory"},
	},
	{ // NMC
		cellV:        sourced{3.65, "definition"},
		ratedH:       sourced{5, trade},
		peukert:      sourced{1.0, trade},
		maxDoD:       sourced{0.80, "public guides, 80 to 90 %"},
		maxParallel:  sourced{16, "as LFP, from memory"},
		minV:         sourced{3.3, trade},
		chargeV:      sourced{4.20, "common figure, from memory"},
		floatV:       sourced{4.05, "common figure, from memory"},
		compensation: sourced{0, trade},
		roundTrip:    sourced{0.94, "as LFP, from memory"},
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
