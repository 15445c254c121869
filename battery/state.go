package battery

import (
	"math"
)

// A State is a bank in the course of time: its charge, and what it lets in and out. No method allocates, so it can be
// called once a minute for every minute of a year. [Bank.Model] makes one; [Kinetic] and [Lithium] are the two kinds,
// for a loop that wants to spare the dynamic call or to copy states as values.
//
// Current is power over the bank's NOMINAL volts, as in the sizing, so that both count the same charge.
type State interface {
	// Step runs the bank for dtH hours at powerW at its DC terminals: above 0 it is discharged, below 0 charged. It
	// returns the power that it really gave or took on the mean of the step, of the same sign and never larger: charge
	// left, current limits, floor and acceptance may all limit it. A dtH that is not from 1e-6 to 1e6 changes nothing.
	Step(powerW, dtH float64) (doneW float64)
	// Lasts returns for how many hours from now the bank gives powerW (at least 0) in full, mostH at most, by the same
	// limits, in closed form: to the moment, not to the step. The bank stays as it is.
	Lasts(powerW, mostH float64) (hours float64)
	// Kept is the least share of a charge, not drawn now from a bank at rest, that is there to be drawn later as fast
	// as it is asked for: 1 where charge does not depend on the rate, and less than 1 where some of it would have to
	// flow back into reach first.
	Kept() float64
	// SoC returns the state of charge, 0 to 1, of the capacity at the model's temperature and age.
	SoC() float64
	// Reset sets a rested bank of that state of charge (held to 0 to 1) and begins a new ledger.
	Reset(soc float64)
	// DischargeLimitW returns the power that a step of dtH hours would give at most, at least 0.
	DischargeLimitW(dtH float64) float64
	// ChargeLimitW returns the power that a step of dtH hours would take at most, at least 0.
	ChargeLimitW(dtH float64) float64
	// Ledger returns the energies since the last Reset.
	Ledger() Ledger
	// Copy returns the bank once more, as it is now; each goes its own way from here on.
	Copy() State
}

// A Ledger is the energy account of a [State] since its last Reset: StartWh + InWh = StoredWh + OutWh + LostWh.
// In and out are at the DC terminals; stored is at nominal volts inside, bound charge included.
type Ledger struct{ StartWh, StoredWh, InWh, OutWh, LostWh float64 }

// ErrorWh returns by how much the account does not close: 0 but for rounding.
func (l Ledger) ErrorWh() float64 { return l.StartWh + l.InWh - l.StoredWh - l.OutWh - l.LostWh }

// ModelOptions are the conditions under which a bank is modelled.
type ModelOptions struct {
	TemperatureC float64 // of the cells, constant; 0 is 0 C, there is no default
	EndOfLife    float64 // share of capacity that age has left, 0.01 to 1; 0 means 1, a new bank
	MaxDoD       float64 // discharge stops at this depth, 0.01 to 1; 0 means the unit's

	MaxChargeA, MaxDischargeA float64 // A, of what the bank is connected to; 0: the units' own limits only

	// Growth is by how much more energy is counted than flows, 0: what flows. Powers are then those with growth, and the
	// limits of discharge hold for what flows.
	Growth float64

	// RateCredit is the bank's capacity at the mean current of the plan over the rated one: [Bank.RateCredit]. States of
	// charge then count in that capacity. 0 means 1.
	RateCredit float64

	// CutoffV is the bank's volts under load at which discharge stops, as far as [Bank.SourceV] and the units'
	// resistance tell; 0: none.
	CutoffV float64

	// Cutoff is what [Bank.Cutoff] gives for CutoffV and TemperatureC, where the caller has it already; nil: it is
	// worked out.
	Cutoff *Cutoff

	// Fit is what [Unit.Wells] gives for the bank's unit, where the caller has it already: the fit costs as much as
	// following the bank for a week. nil: it is worked out. Lithium has none.
	Fit *WellFit
}

// minuteH is the step length that a model is ready for from the beginning, in h. Any other is made ready on its first
// use.
const minuteH = 1. / 60

// Steps from some milliseconds to a hundred years; beyond, powers and charges would not be numbers any more.
const shortestStepH, longestStepH = 1e-6, 1e6

// Model returns the bank as it behaves through time, full: a [Kinetic] model for lead-acid, a [Lithium] one otherwise.
// The unit should have gone through [Unit.WithDefaults]. Its temperature limits count: above charge_max_c the bank
// takes nothing, below discharge_min_c it gives nothing, and in the cold it takes what [Bank.ColdChargeA] says.
func (b Bank) Model(o ModelOptions) (State, error) {
	if b.Unit.Chemistry.LeadAcid() {
		m, err := b.Kinetic(o)
		if err != nil {
			return nil, err
		}
		return &m, nil
	}
	m, err := b.Lithium(o)
	if err != nil {
		return nil, err
	}
	return &m, nil
}

// modelBase is what both models start from.
type modelBase struct {
	volts                     float64
	capacityAh                float64 // of the bank, at the model's temperature, age and rate
	shareLeft                 float64 // temperature times age
	maxDoD, roundTrip         float64
	maxChargeA, maxDischargeA float64 // +Inf: no limit
	cutoff                    *Cutoff // nil: none
}

func (b Bank) modelBase(o ModelOptions) (modelBase, error) {
	if err := checkSizable(b.Unit, b.Series); err != nil {
		return modelBase{}, err
	}
	if b.Strings < 1 {
		return modelBase{}, errs.Errorf("%d strings, want at least 1", b.Strings)
	}
	if !finite(o.TemperatureC) {
		return modelBase{}, errs.Errorf("temperature %g C, want a finite number", o.TemperatureC)
	}
	for _, v := range []struct {
		what      string
		x         float64
		low, high float64
	}{
		{"end_of_life", o.EndOfLife, leastFraction, 1},
		{"max_dod", o.MaxDoD, leastFraction, 1},
		{"charge limit (A)", o.MaxChargeA, least, most},
		{"discharge limit (A)", o.MaxDischargeA, least, most},
		{"cut-off (V)", o.CutoffV, least, most},
		{"rate credit", o.RateCredit, leastFraction, most},
		{"growth", o.Growth, leastFraction - 1, most},
	} {
		if v.x != 0 && !(v.x >= v.low && v.x <= v.high) {
			return modelBase{}, errs.Errorf("%s %g, want 0 (not given) or %g to %g", v.what, v.x, v.low, v.high)
		}
	}
	u, age := b.Unit, o.EndOfLife
	if age == 0 {
		age = 1
	}
	rate := o.RateCredit
	if rate == 0 {
		rate = 1
	}
	cold, _ := TemperatureFactor(u.Chemistry, o.TemperatureC)
	m := modelBase{
		volts:         b.NominalV(),
		shareLeft:     cold * age,
		capacityAh:    b.CapacityAh() * cold * age * rate,
		maxDoD:        o.MaxDoD,
		roundTrip:     u.RoundTrip,
		maxChargeA:    limitA(o.MaxChargeA, u.MaxChargeA, b.Strings),
		maxDischargeA: limitA(o.MaxDischargeA, u.MaxDischargeA, b.Strings) * (1 + o.Growth),
	}
	if m.maxDoD == 0 {
		m.maxDoD, _ = u.DoD(0)
	}
	if m.roundTrip == 0 {
		m.roundTrip = u.Chemistry.data().roundTrip.Value
	}
	if a, _, limited := b.ColdChargeA(o.TemperatureC); limited {
		m.maxChargeA = min(m.maxChargeA, a)
	}
	if above(o.TemperatureC, u.ChargeMaxC) {
		m.maxChargeA = 0
	}
	if below(o.TemperatureC, u.DischargeMinC) {
		m.maxDischargeA = 0
	}
	if o.CutoffV > 0 {
		if m.cutoff = o.Cutoff; m.cutoff == nil {
			m.cutoff = b.Cutoff(o.CutoffV, o.TemperatureC)
		}
	}
	return m, nil
}

// limitA joins the limit of the connection with that of all strings; 0 is "not given" in both.
func limitA(connectionA, unitA float64, strings int) float64 {
	limit := math.Inf(1)
	if connectionA > 0 {
		limit = connectionA
	}
	if unitA > 0 {
		limit = min(limit, unitA*float64(strings))
	}
	return limit
}

func below(x float64, limit *float64) bool { return limit != nil && x < *limit }
func above(x float64, limit *float64) bool { return limit != nil && x > *limit }
