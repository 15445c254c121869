package battery

// A FaultCurrent is what flows when the terminals of a bank are joined.
type FaultCurrent struct {
	// NominalA is nominal volts over resistance, as makers print it for lead-acid cells (2.000 V per cell): it agrees
	// with all rows of a maker's manual for tubular vented cells, SEEN.
	NominalA float64
	// FullA counts with the volts of a full bank at rest: the greater one, for what a fuse must be able to break.
	FullA float64
}

// ShortCircuit returns the prospective current of the bank at its terminals, cables and links left out; ok is false
// where the unit does not give resistance_mohm. Lithium packs may switch themselves off before; a fuse must not rely on
// that.
func (b Bank) ShortCircuit() (a FaultCurrent, ok bool) {
	r := b.ResistanceOhm()
	if !(r > 0) || b.Series < 1 {
		return FaultCurrent{}, false
	}
	return FaultCurrent{NominalA: b.NominalV() / r, FullA: b.SourceV(1, referenceC) / r}, true
}
