package battery

import (
	"math"

	"outlast/backup/working"
)

// A RatePoint is one row of a discharge table: the charge that a unit gives in that many hours, to one end voltage.
type RatePoint struct{ Hours, Ah float64 }

// amps is the steady current of the row.
func (p RatePoint) amps() float64 { return p.Ah / p.Hours }

// A CyclePoint is one point of a cycle-life curve: full cycles to that depth (fraction of capacity) before end of life.
type CyclePoint struct{ DoD, Cycles float64 }

// A Unit is one battery as its data sheet describes it: a block, a pack or a cell. All figures are of ONE unit, volts
// at 25 C. A zero (or nil) means "not given"; [Unit.WithDefaults] fills what can be filled by chemistry.
type Unit struct {
	ID, Label string
	Chemistry Chemistry

	NominalV float64     // V
	RatedAh  float64     // Ah at RatedH hours and 25 C
	RatedH   float64     // h
	Capacity []RatePoint // discharge table, hours ascending; fewer than two points: Peukert is used instead
	Peukert  float64     // exponent, at least 1

	MaxChargeA, MaxDischargeA float64 // A, continuous
	PulseA, PulseS            float64 // A for at most so many seconds

	ChargeV, FloatV, EqualiseV float64 // V; EqualiseV 0: not equalised
	MinV                       float64 // V, lowest in use
	// ChargeMVPerCellC is mV per cell and kelvin, either sign: colder always means a higher voltage. 0: no
	// compensation; nil: not given.
	ChargeMVPerCellC *float64

	ResistanceMohm float64      // milliohm, full, about 25 C
	MaxParallel    int          // strings
	Cycles         []CyclePoint // in any order

	ChargeMinC, ChargeMaxC, DischargeMinC *float64 // degrees C; nil: not given

	MaxDoD    float64  // fraction (0, 1]
	DoDUsual  bool     // MaxDoD is what is usual for the chemistry, not a limit of the data sheet
	RoundTrip float64  // energy out per energy in, (0, 1]
	Price     *float64 // in the currency of the catalog
	MassKg    float64
}

// Cells returns the number of cells in series inside the unit: nominal volts over 2.0 (lead-acid), 3.2 (LFP) or 3.65
// (NMC), rounded, at least 1.
func (u Unit) Cells() int {
	cellV := u.Chemistry.CellV()
	n := math.Round(u.NominalV / cellV)
	if !(cellV > 0 && n >= 1) { // the negation also catches NaN
		return 1
	}
	return int(min(n, maxCells))
}

// maxCells keeps a number read from a file inside int on every machine; no pack comes near it.
const maxCells = 1e6

// DoD returns the depth of discharge that a plan may use, a fraction: the planner's own limit where one is given
// (practiceMaxDoD above 0), but never more than the data sheet allows; clamped tells that the data sheet's was the
// smaller one. Without either the usual depth of the chemistry holds ([Chemistry.UsualDoD]), which is no limit to the
// planner.
func (u Unit) DoD(practiceMaxDoD float64) (dod float64, clamped bool) {
	given := u.MaxDoD > 0 && !u.DoDUsual
	switch {
	case !(practiceMaxDoD > 0) && u.MaxDoD > 0:
		return u.MaxDoD, false
	case !(practiceMaxDoD > 0):
		return u.Chemistry.UsualDoD(), false
	case given && practiceMaxDoD > u.MaxDoD:
		return u.MaxDoD, true
	}
	return practiceMaxDoD, false
}

// UsualDoD returns the depth of discharge that is planned with where neither data sheet nor planner sets one; 0 for an
// unknown chemistry.
func (c Chemistry) UsualDoD() float64 { return c.data().maxDoD.Value }

// UsualDoDSource says where the usual depth is from.
func (c Chemistry) UsualDoDSource() working.Source { return c.data().maxDoD.Source }

// CompensationMV returns the millivolts per cell and kelvin by which charge voltages rise below 25 C, never
// negative; 0 where none is given.
func (u Unit) CompensationMV() float64 {
	if u.ChargeMVPerCellC == nil {
		return 0
	}
	return math.Abs(*u.ChargeMVPerCellC)
}

// A Default is one value that [Unit.WithDefaults] filled in, for the working.
type Default struct {
	Key    string  // as in equipment files, such as "peukert"
	Value  float64 // of one unit
	Unit   string  // "V", "h", "" for a plain number
	Source working.Source
}

// WithDefaults returns the unit with every zero field that has a default by chemistry filled in, and what was filled,
// in a fixed order. EqualiseV stays 0 for chemistries that are not equalised, Peukert stays 0 where a discharge table
// makes it idle. A unit of an unknown chemistry comes back as it is.
func (u Unit) WithDefaults() (Unit, []Default) {
	if !u.Chemistry.Valid() {
		return u, nil
	}
	data, cells := u.Chemistry.data(), float64(u.Cells())
	var used []Default
	fill := func(field *float64, key, unit string, d sourced, factor float64) {
		if *field != 0 || d.Value == 0 {
			return
		}
		*field = d.Value * factor
		used = append(used, Default{Key: key, Value: *field, Unit: unit, Source: d.Source})
	}
	fill(&u.RatedH, "rated_h", "h", data.ratedH, 1)
	if !u.hasTable() {
		fill(&u.Peukert, "peukert", "", data.peukert, 1)
	}
	fill(&u.ChargeV, "charge_v", "V", data.chargeV, cells)
	fill(&u.FloatV, "float_v", "V", data.floatV, cells)
	fill(&u.EqualiseV, "equalise_v", "V", data.equaliseV, cells)
	fill(&u.MinV, "min_v", "V", data.minV, cells)
	if u.ChargeMVPerCellC == nil {
		var mv float64
		if fill(&mv, "charge_mv_per_cell_c", "mV/K", data.compensation, 1); mv != 0 {
			u.ChargeMVPerCellC = &mv
		}
	}
	parallel := float64(u.MaxParallel)
	fill(&parallel, "max_parallel", "strings", data.maxParallel, 1)
	u.MaxParallel = int(parallel)
	u.DoDUsual = u.DoDUsual || u.MaxDoD == 0
	fill(&u.MaxDoD, "max_dod", "", data.maxDoD, 1)
	fill(&u.RoundTrip, "round_trip", "", data.roundTrip, 1)
	return u, used
}
