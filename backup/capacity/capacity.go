// Package capacity tells from a log of an outage, or of a test, what capacity a bank has left.
//
// [Of] puts the power that was measured into the bank as it is planned, sets what was logged beside it, and finds the
// share of the rated capacity with which the simulated bank does what the real one did. It does so in every way that
// the log allows ([Way]), each with an uncertainty that is formed as it says, and takes the least uncertain one. Where
// none is good enough it says so ([Result.Told]): then only a lower bound stands, what the bank has given.
//
// Shares are of the capacity at 25 C that the plan counts with, 1 is a new bank; uncertainties are relative and of one
// standard deviation (1 sigma), ranges of two.
package capacity

import (
	"errors"
	"fmt"
	"math"

	"outlast/backup/facts"
	"outlast/backup/measured/banklog"
	"outlast/battery"
)

// A Way is how the capacity was found.
type Way string

// The ways.
const (
	// WayEmptied: the log ends because the bank was empty, by its end voltage or as the user says. The share is that
	// with which the simulated bank is empty in the same moment.
	WayEmptied Way = "emptied"
	// WayRested: the log ends with a rest, whose volts tell the charge that is left.
	WayRested Way = "rested"
	// WaySoC: the state of charge that a monitor has logged falls the slower, the more capacity there is.
	WaySoC Way = "soc"
	// WayVolts: the volts under load are those of the simulated bank.
	WayVolts Way = "volts"
)

// Options are what a log does not tell.
type Options struct {
	TempC    *float64 // of the bank, where the log has no column of it; nil: not known
	StartSoC *float64 // at the first reading, where the log has no state of charge; nil: full
	Emptied  bool     // the bank was empty at the end of the log
}

// An Estimate is the capacity as one way finds it.
type Estimate struct {
	Way    Way
	Share  float64
	Sigma  float64 // relative
	FromZ  float64 // states of charge between which it was found
	ToZ    float64
	Budget []Part
}

// A Part is what one cause adds to the uncertainty, relative.
type Part struct {
	Cause Cause
	Sigma float64
}

// A Cause is a reason of doubt.
type Cause string

// The causes.
const (
	CauseEnergy      Cause = "energy"      // how well the drawn energy is known
	CauseBegin       Cause = "begin"       // the state of charge at the beginning
	CauseEnd         Cause = "end"         // and at the end
	CauseTemperature Cause = "temperature" // of the bank
	CauseRate        Cause = "rate"        // the model of how the rate takes capacity
	CauseVolts       Cause = "volts"       // volts of model and meter
	CauseNoise       Cause = "noise"       // what is left between volts and model
)

// Low and High are the range of two standard deviations.
func (e Estimate) Low() float64  { return max(0, e.Share*(1-2*e.Sigma)) }
func (e Estimate) High() float64 { return e.Share * (1 + 2*e.Sigma) }

// The doubts, 1 sigma. A share is of the energy, a state of charge of the capacity.
//
// State of charge and the formula of a partial discharge: own, by the propagation of uncertainty, as is: "LFP full to 5
// %: 1 % and 2 %; lead-acid full to 50 %, rested 6 h: 2 % and 5 %; LFP by volts: 10 mV are 9 %". Energy at the bank 1
// %: the same. The others are own planning rules.
const (
	energyAtBank  = 0.01
	energyByAmps  = 0.02 // amps alone: the mean volts are taken as the nominal ones
	energyAtLoads = 0.03 // through the losses of the inverter, as its data sheet has them
	ofGaps        = 0.5  // of the energy that fell into gaps
	ofCharging    = 0.03 // of the energy that was charged on the way

	fullLithium, fullLead = 0.01, 0.02
	partLithium, partLead = 0.02, 0.05
	emptySoC              = 0.02 // where the end voltage lies, as a share of the capacity

	restedLithiumV, restedLeadV = 0.010, 0.006 // V per cell
	loadedV                     = 0.010        // V per cell, of the model under load

	knownK = 3.0  // K, of a temperature that was measured
	roomC  = 15.0 // the coldest that a bank whose temperature nobody told is taken to be
)

// ToldSigma is the largest relative uncertainty (1 sigma) with which a capacity is told: what a lead-acid bank
// discharged to half gives. Beyond it is useless: own.
const ToldSigma = 0.12

// Shares of the capacity at which practice does something. Replace and TestYearly: stationary lead-acid practice after
// IEEE 450 and IEEE 1188, "below 80 % replace, below 90 % test every year" (a battery handbook's table, SEEN; the
// standards' own text was not available). ReplaceLithium: own, after makers' cycle ratings.
const (
	Replace        = 0.80
	TestYearly     = 0.90
	ReplaceLithium = 0.70
	// MoreThanRated: new banks give a few per cent more than their rated capacity, not a tenth. Own.
	MoreThanRated = 1.10
)

// Rests after which the volts are those of the charge: lead-acid 6 h, lithium 2 h: own, after battery tables.
const (
	restLeadH, restLithiumH = 6.0, 2.0
	restC                   = 0.005 // of the capacity in one hour: less is a rest
)

// A Row is one moment of the log beside the simulation.
type Row struct {
	AtH                    float64
	W                      float64 // drawn from the bank
	Volts, SoC             float64 // logged; NaN: not
	PlannedV, PlannedSoC   float64 // of the bank as it is planned; PlannedV NaN: not known how far it falls
	MeasuredV, MeasuredSoC float64 // with the capacity that was found; NaN: none was
}

// A Parting is where log and plan go different ways.
type Parting struct {
	ByVolts bool    // volts are compared, else states of charge
	Limit   float64 // from which on they are apart: V, or a share
	Apart   bool
	AtH     float64 // first moment, below the plan
	Largest float64 // logged less planned, V or a share
	LargeH  float64
}

// A Result is what a log tells of a bank.
type Result struct {
	Plan *facts.Facts
	Log  *banklog.Log

	Hours, DrawnWh, ChargedWh, GapH float64 // of the part of the log that counts
	CutH                            float64 // of the log's end that was left out: charging
	EndV                            float64 // under load at the end; NaN: not logged
	TempC                           float64
	TempAssumed                     bool
	StartSoC                        float64
	StartAssumed                    bool
	EnergySigma                     float64

	Estimates []Estimate // the least uncertain first
	// Silent are the ways for which the log has readings, and whose estimates say no more than AtLeast does.
	Silent []Way
	// AtLeast is the least share with which the bank could give what it gave, two sigma of the energy below.
	AtLeast float64
	// Told says that the first estimate is good enough to be called the capacity.
	Told     bool
	Disagree bool // two good ways differ by more than their uncertainties allow
	Rows     []Row
	Parting  *Parting // nil: neither volts nor state of charge to compare

	// Promises of the plan, from the least favourable start; hours. The zero value where they are not known.
	NewH, PlannedH, MeasuredH, LowH, AtLeastH float64
	NewCapped, PlannedCapped, MeasuredCapped  bool
}

// Best is the estimate that counts; ok is false where there is none.
func (r *Result) Best() (Estimate, bool) {
	if len(r.Estimates) == 0 || !r.Told {
		return Estimate{}, false
	}
	return r.Estimates[0], true
}

// Holds says whether the plan still gives the hours that the home asks for, with the capacity that was found or, where
// none was, with the least that it has; known is false where that does not tell.
func (r *Result) Holds() (holds, known bool) {
	need := r.Plan.Site.Outage.AutonomyH
	if _, ok := r.Best(); ok {
		return r.MeasuredCapped || r.MeasuredH >= need*(1-1e-9), true
	}
	return true, r.AtLeastH >= need
}

// ErrOther is a log that does not fit the bank of the plan.
var ErrOther = errors.New("the log does not fit the bank of the plan")

// most bins: a log is added up to so many steps, as the simulation need not follow each second.
const mostBins = 600

// A bin is a step of the simulation.
type bin struct {
	atH, dtH   float64
	w          float64 // from the bank at nominal volts
	volts, soc float64 // NaN: none
}

// Of tells what a log says of the bank of a plan.
func Of(p *facts.Facts, l *banklog.Log, o Options) (*Result, error) {
	r := &Result{Plan: p, Log: l, EndV: math.NaN()}
	bins, err := r.bins()
	if err != nil {
		return nil, err
	}
	if bins, err = r.cut(bins); err != nil {
		return nil, err
	}
	r.conditions(o, bins)
	m, err := newModel(p, r, bins)
	if err != nil {
		return nil, err
	}
	if err := r.estimate(m, o); err != nil {
		return nil, err
	}
	r.compare(m)
	return r, r.promise()
}

// drawn is the power from the bank of a reading, by the best that is known; ok is false where nothing is.
//
// The model counts energy at the terminals and calls the rated Ah times the nominal volts full: power it is that is put
// in, so that a plan with the share that was found does what the bank did.
func (r *Result) drawn(x *banklog.Reading) (w, sigma float64, ok bool) {
	has := func(v float32) bool { return v == v }
	switch {
	case has(x.BankW):
		return float64(x.BankW), energyAtBank, true
	case has(x.Amps) && has(x.Volts):
		return float64(x.Amps) * float64(x.Volts), energyAtBank, true
	case has(x.Amps):
		return float64(x.Amps) * r.Plan.Bank.NominalV(), energyByAmps, true
	case has(x.LoadW):
		return r.Plan.Inverter.DCPower(max(0, float64(x.LoadW))), energyAtLoads, true
	}
	return 0, 0, false
}

// bins adds the readings up.
func (r *Result) bins() ([]bin, error) {
	l := r.Log
	n := l.Len()
	spanS := l.At(n-1).AtS + l.StepS
	gapS := max(5*l.StepS, 600)
	binS := max(l.StepS, spanS/mostBins, 1)
	count := int(math.Ceil(spanS / binS))
	type sum struct{ s, ws, v, vn, z, zn float64 }
	sums := make([]sum, count)
	var totalWs, doubtWs, gapWs, volts, voltsN float64
	lastW := 0.0
	for i := range n {
		x := l.At(i)
		hold := l.StepS
		gap := false
		if i+1 < n {
			hold = l.At(i+1).AtS - x.AtS
			gap = hold > gapS
		}
		w, sigma, ok := r.drawn(x)
		if !ok { // what was drawn last is taken to go on
			w, sigma = lastW, 0
		}
		lastW = w
		if gap || !ok {
			gapWs += math.Abs(w) * hold
			r.GapH += hold / 3600
		}
		totalWs += math.Abs(w) * hold
		doubtWs += sigma * math.Abs(w) * hold
		if x.Volts == x.Volts {
			volts += float64(x.Volts)
			voltsN++
		}
		for at, left := x.AtS, hold; left > 1e-9; {
			b := min(count-1, int(at/binS))
			part := min(left, float64(b+1)*binS-at)
			if b == count-1 || !(part > 0) {
				part = left
			}
			s := &sums[b]
			s.s += part
			s.ws += w * part
			if at == x.AtS || !gap {
				if x.Volts == x.Volts {
					s.v, s.vn = s.v+float64(x.Volts)*part, s.vn+part
				}
				if x.SoC == x.SoC {
					s.z, s.zn = s.z+float64(x.SoC)*part, s.zn+part
				}
			}
			at, left = at+part, left-part
		}
	}
	nominal := r.Plan.Bank.NominalV()
	if mean := volts / voltsN; voltsN > 0 && !(mean > 0.6*nominal && mean < 1.4*nominal) {
		return nil, fmt.Errorf("%w: its volts are %.1f on the mean, the bank has %.1f V", ErrOther, mean, nominal)
	}
	if !(totalWs > 0) {
		return nil, fmt.Errorf("%w: nothing was drawn", ErrOther)
	}
	share, doubt := gapWs/totalWs*ofGaps, doubtWs/totalWs
	r.EnergySigma = math.Hypot(doubt, share)
	var out []bin
	atS := 0.0
	for _, s := range sums {
		if s.s <= 0 {
			continue
		}
		b := bin{atH: atS / 3600, dtH: s.s / 3600, w: s.ws / s.s, volts: math.NaN(), soc: math.NaN()}
		if s.vn > 0 {
			b.volts = s.v / s.vn
		}
		if s.zn > 0 {
			b.soc = s.z / s.zn
		}
		out = append(out, b)
		atS += s.s
	}
	return out, nil
}

// cut leaves out what follows the deepest discharge, but for a rest behind it: there the bank is charged again, of
// which volts tell nothing.
func (r *Result) cut(bins []bin) ([]bin, error) {
	net, deepest, end := 0.0, 0.0, 0
	for i, b := range bins {
		if net += b.w * b.dtH; net > deepest {
			deepest, end = net, i+1
		}
	}
	if end == 0 {
		return nil, fmt.Errorf("%w: the bank is charged, not discharged", ErrOther)
	}
	rest := restC * r.Plan.Bank.CapacityAh() * r.Plan.Bank.NominalV()
	for end < len(bins) && math.Abs(bins[end].w) <= rest {
		end++
	}
	for _, b := range bins[end:] {
		r.CutH += b.dtH
	}
	bins = bins[:end]
	for _, b := range bins {
		r.Hours += b.dtH
		r.DrawnWh += max(0, b.w) * b.dtH
		r.ChargedWh += max(0, -b.w) * b.dtH
	}
	r.EnergySigma = math.Hypot(r.EnergySigma, ofCharging*r.ChargedWh/r.DrawnWh)
	// The last reading under load tells how it ended; a mean would hide the last step down.
	for i, endS := r.Log.Len()-1, 3600*(bins[end-1].atH+bins[end-1].dtH); i >= 0; i-- {
		x := r.Log.At(i)
		if w, _, ok := r.drawn(x); ok && w > rest && x.AtS < endS {
			r.EndV = float64(x.Volts)
			break
		}
	}
	return bins, nil
}

// conditions are temperature and charge at the beginning.
func (r *Result) conditions(o Options, bins []bin) {
	switch {
	case r.Log.HasTemp:
		sum, n := 0.0, 0
		for i := range r.Log.Len() {
			if c := r.Log.At(i).TempC; c == c {
				sum, n = sum+float64(c), n+1
			}
		}
		r.TempC = sum / float64(n)
	case o.TempC != nil:
		r.TempC = *o.TempC
	default:
		// The safe side: what the cold takes would be charged to age, never the other way round.
		r.TempC, r.TempAssumed = ratedC, true
	}
	r.StartSoC = 1
	switch {
	case o.StartSoC != nil:
		r.StartSoC = *o.StartSoC
	case r.Log.HasSoC:
		for _, b := range bins {
			if b.soc == b.soc {
				r.StartSoC = b.soc
				break
			}
		}
	default:
		r.StartAssumed = true
	}
}

// ratedC is the temperature of rated capacities.
const ratedC = 25.0

// doubtOfTemperature is how far the capacity may lie off by the temperature, relative.
func (r *Result) doubtOfTemperature() float64 {
	at := func(c float64) float64 {
		k, _ := battery.TemperatureFactor(r.Plan.Bank.Unit.Chemistry, c)
		return k
	}
	if r.TempAssumed {
		return math.Abs(at(ratedC)-at(roomC)) / 2 / at(ratedC)
	}
	return math.Abs(at(r.TempC+knownK)-at(r.TempC-knownK)) / 2 / at(r.TempC)
}
