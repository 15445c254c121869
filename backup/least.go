package backup

import (
	"math"

	"outlast/battery"
	"outlast/loads"
)

// LeastAutonomy is the shortest time that the bank carries the backup board at the end of its life, over all starts of the day, and
// the minute of that start. It is shorter than the autonomy from the start that needs the most energy in the hours asked for, as soon as
// the bank lasts longer than those.
func (p *Plan) LeastAutonomy() (hours float64, startMin int, err error) {
	find := p.promised
	if find == nil {
		find = p.promise
	}
	least, err := find()
	return least.hours, least.startMin, err
}

// A promise is what the bank does from whatever moment the grid fails. Sheets and papers come back to it in many places, so a plan finds
// it once, when it is first asked for.
type promise struct {
	hours    float64
	startMin int
}

func (p *Plan) promise() (least promise, err error) {
	if p.Bank.AutonomyCap || p.Site.Outage.Start != WorstStart {
		return promise{p.Bank.AutonomyH, int(p.Bank.StartMin) % dayMin}, nil
	}
	least.hours, least.startMin, _, err = p.least(p.Demand.Profile, longestWalkH)
	return least, err
}

// least is the shortest time that the bank carries a day's profile at the end of its life, over all starts of the day where the site
// asks for the worst one. ended says that it is walkH, and nothing was shorter.
func (p *Plan) least(profile loads.Profile, walkH float64) (hours float64, startMin int, ended bool, err error) {
	m, err := p.model(p.Site.Practice.EndOfLife)
	if err != nil {
		return 0, 0, false, err
	}
	o := dayOutage{p.drawn(profile), m, p.Site.Outage.Reserve}
	startMin = int(p.Bank.StartMin) % dayMin
	hours, ended = o.lasts(startMin, walkH)
	if p.Site.Outage.Start != WorstStart || ended && walkH >= longestLevelH { // after weeks no start stands out
		return hours, startMin, ended, nil
	}
	if h, start := o.shortest(hours); h < hours {
		return h, start, false, nil
	}
	return hours, startMin, ended, nil
}

// dcStep is the power drawn from the bank until a minute of the day.
type dcStep struct {
	endMin int
	w      float64
}

// fromBank is the power that the bank gives for a load, losses and growth included.
func (p *Plan) fromBank(acW float64) float64 {
	return p.Inverter.DCPower(acW) * (1 + p.Site.Practice.Growth)
}

// drawn is the power that the bank gives through a day, losses and growth included.
func (p *Plan) drawn(profile loads.Profile) []dcStep {
	powers := make([]dcStep, len(profile))
	for i, st := range profile {
		powers[i] = dcStep{st.EndMin, p.fromBank(st.W)}
	}
	return powers
}

// dayOutage is a bank in an outage whose days are alike.
type dayOutage struct {
	powers  []dcStep // of the day
	bank    battery.State
	reserve float64 // state of charge at the start
}

// lasts is how long the bank carries the loads from a minute of the day on, for walkH at most.
func (o *dayOutage) lasts(minute int, walkH float64) (hours float64, ended bool) {
	o.bank.Reset(o.reserve)
	return lasts(o.powers, o.bank, minute, walkH)
}

// lasts is how long a bank gives the powers of a day from a minute of it on, for walkH at most.
func lasts(powers []dcStep, m battery.State, minute int, walkH float64) (hours float64, ended bool) {
	const stepH = 1.0 / 60
	i := 0
	for powers[i].endMin <= minute {
		i++
	}
	for n, last := 0, int(math.Ceil(walkH*60)); n < last; {
		asked, steps := powers[i].w, min(powers[i].endMin-minute, last-n)
		full, done := m.Carry(asked, stepH, steps)
		if n += full; full < steps {
			return (float64(n) + done/asked) * stepH, false
		}
		if minute += steps; minute == powers[i].endMin {
			if i++; i == len(powers) {
				minute, i = 0, 0
			}
		}
	}
	return walkH, true
}

// leastEvery is how close together the starts are among which the worst is looked for, in minutes; leastFirst those of a first look.
const (
	leastEvery = 5
	leastFirst = 180
)

// shortest is the shortest time, and the first of the starts that have it; walkH, and minute 0, where nothing is shorter.
//
// Few starts have to be followed. An outage that begins later ends no earlier: the bank is fuller than one that has carried the loads
// for some time already. So where one start lasts an hour longer than the shortest known, those of the next hour last no shorter than
// that one either.
func (o *dayOutage) shortest(walkH float64) (hours float64, startMin int) {
	const rounding = 0.01 // min
	known := walkH
	for start := 0; start < dayMin; start += leastFirst {
		h, _ := o.lasts(start, known)
		known = min(known, h)
	}
	hours = walkH
	for start := 0; start < dayMin; {
		h, ended := o.lasts(start, known+24) // followed longer than needed: what it lasts tells of others
		if !ended && h < hours {
			hours, startMin = h, start
		}
		known = min(known, h)
		start += leastEvery * max(1, int(math.Ceil(((h-known)*60-rounding)/leastEvery)))
	}
	return hours, startMin
}
