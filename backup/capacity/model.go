package capacity

import (
	"fmt"
	"math"

	"outlast/backup/facts"
	"outlast/backup/fault"
	"outlast/battery"
)

// A model follows the bank through the log with any share of its capacity.
type model struct {
	bank    battery.Bank
	options battery.ModelOptions
	bins    []bin
	startZ  float64
	tempC   float64
	rate    float64 // the worst residual of the model of the rate
	drawnWh float64
	stepH   float64 // between two readings
}

func newModel(p *facts.Facts, r *Result, bins []bin) (*model, error) {
	m := &model{bank: p.Bank.Bank, bins: bins, startZ: r.StartSoC, tempC: r.TempC, drawnWh: r.DrawnWh,
		stepH: r.Log.StepS / 3600}
	// What was measured was given: limits of data sheets must not stand in the way.
	m.bank.Unit.MaxDischargeA, m.bank.Unit.MaxChargeA = 0, 0
	m.bank.Unit.DischargeMinC, m.bank.Unit.ChargeMinC, m.bank.Unit.ChargeMaxC = nil, nil, nil
	dischargeH := 0.0
	for _, b := range bins {
		if b.w > 0 {
			dischargeH += b.dtH
		}
	}
	meanA := r.DrawnWh / dischargeH / m.bank.NominalV()
	m.options = battery.ModelOptions{TemperatureC: r.TempC, MaxDoD: 1, RateCredit: m.bank.RateCredit(meanA),
		Fit: p.Details.Kinetic}
	if fit := p.Details.Kinetic; fit != nil {
		m.rate = fit.WorstResidual()
	}
	if _, err := m.bank.Model(m.options); err != nil {
		return nil, fmt.Errorf("the bank cannot be simulated: %w", fault.Reason(err))
	}
	return m, nil
}

// leastShare and mostShare are the shares that are tried.
const leastShare, mostShare = 0.02, 3.0

// A path is the state of charge through the log: at the end of each bin, and where its readings stand, which hold until
// the next ones. shortWh is the energy that the bank could not give.
type path struct {
	end, read []float64
	shortWh   float64
}

// follow is the path of a bank with a share of the capacity. One with more than its rated capacity is a new one that is
// asked for less: the models are linear in it.
func (m *model) follow(share float64) (p path) {
	o := m.options
	o.EndOfLife = min(1, max(0.01, share))
	scale := o.EndOfLife / share
	state, err := m.bank.Model(o)
	if err != nil { // newModel has made one of them
		panic(err)
	}
	state.Reset(m.startZ)
	p.end, p.read = make([]float64, len(m.bins)), make([]float64, len(m.bins))
	for i, b := range m.bins {
		w, before := b.w*scale, state.SoC()
		done := state.Step(w, b.dtH)
		if w > 0 {
			p.shortWh += (w - done) / scale * b.dtH
		}
		p.end[i] = state.SoC()
		p.read[i] = before + (p.end[i]-before)*max(0, (1-m.stepH/b.dtH)/2)
	}
	return p
}

// shortTolerance is how much of what was drawn the simulated bank may fail to give before it counts as empty: a step of
// the log is no finer.
const shortTolerance = 0.002

// carries says whether a bank with that share gives what was drawn.
func (m *model) carries(share float64) bool {
	return m.follow(share).shortWh <= shortTolerance*m.drawnWh
}

// least is the smallest share that carries the log; ok is false where not even the largest does.
func (m *model) least() (share float64, ok bool) {
	lo, hi := leastShare, mostShare
	if !m.carries(hi) {
		return hi, false
	}
	if m.carries(lo) {
		return lo, true
	}
	for range 40 {
		if mid := (lo + hi) / 2; m.carries(mid) {
			hi = mid
		} else {
			lo = mid
		}
	}
	return hi, true
}

// used is how far the state of charge of a bank with its whole capacity falls up to each bin, drawn a tenth as hard so
// that nothing empties it: with another share it falls by so much over that share.
func (m *model) used() path {
	const tenth = 10
	p := m.follow(tenth)
	for i := range p.end {
		p.end[i], p.read[i] = tenth*(m.startZ-p.end[i]), tenth*(m.startZ-p.read[i])
	}
	return p
}

// rest and sag of the bank at a state of charge: V, and by how much they fall with the bin's power. Where nothing is
// known of the fall it is drawn in proportion to the power, and only its measure is fitted.
func (m *model) volts(z, w float64) (rest, sag float64) {
	rest = m.bank.SourceV(z, m.tempC)
	if w <= 0 {
		return rest, 0
	}
	on, _ := m.bank.PowerV(w, z, m.tempC)
	if sag = rest - on; !(sag > 0) {
		sag = w / (m.bank.CapacityAh() * m.bank.NominalV())
	}
	return rest, sag
}

// A fit is how well the volts of the log are those of the model with one share.
type fit struct {
	cost float64 // mean square, V2
	sag  float64 // by which the model's fall under load is multiplied
}

// leastSag and mostSag bound what a real bank makes of the model's fall: own. Cells age to twice their resistance.
const leastSag, mostSag = 0.3, 4.0

// fitVolts holds a share against the volts; shift adds to those of the log, by bin.
func (m *model) fitVolts(share float64, shift func(i int) float64) (f fit, model []float64) {
	z := m.follow(share).read
	var ss, sd float64
	n := 0.0
	rests, sags := make([]float64, len(z)), make([]float64, len(z))
	for i, b := range m.bins {
		rests[i], sags[i] = m.volts(z[i], b.w)
		if !m.counts(i) {
			continue
		}
		d := rests[i] - (b.volts + shift(i))
		ss += sags[i] * sags[i] * b.dtH
		sd += sags[i] * d * b.dtH
		n += b.dtH
	}
	f.sag = 1
	if ss > 0 {
		f.sag = min(mostSag, max(leastSag, sd/ss))
		if m.bank.ResistanceOhm() == 0 && m.bank.Unit.Chemistry.LeadAcid() {
			f.sag = max(0, sd/ss)
		}
	}
	model = make([]float64, len(z))
	for i, b := range m.bins {
		model[i] = rests[i] - f.sag*sags[i]
		if m.counts(i) {
			d := model[i] - (b.volts + shift(i))
			f.cost += d * d * b.dtH
		}
	}
	f.cost /= n
	return f, model
}

// surfaceH: the volts of a lead-acid bank that was charged a moment ago are no measure of its charge. Own.
const surfaceH = 0.5

// counts says whether the volts of a bin say anything.
func (m *model) counts(i int) bool {
	b := m.bins[i]
	return b.volts == b.volts && b.w >= 0 && !(m.bank.Unit.Chemistry.LeadAcid() && b.atH < surfaceH)
}

// bestShare is the share whose volts are nearest, from least on.
func (m *model) bestShare(least float64, shift func(i int) float64) float64 {
	const steps = 40
	lo, hi := math.Log(least), math.Log(max(2*least, 2))
	cost := func(x float64) float64 {
		f, _ := m.fitVolts(math.Exp(x), shift)
		return f.cost
	}
	best, bestCost := lo, math.Inf(1)
	width := (hi - lo) / steps
	for i := range steps + 1 {
		if c := cost(lo + float64(i)*width); c < bestCost {
			best, bestCost = lo+float64(i)*width, c
		}
	}
	a, b := max(lo, best-width), min(hi, best+width)
	golden := (math.Sqrt(5) - 1) / 2
	for range 24 {
		x, y := b-golden*(b-a), a+golden*(b-a)
		if cost(x) <= cost(y) {
			b = y
		} else {
			a = x
		}
	}
	return math.Exp((a + b) / 2)
}
