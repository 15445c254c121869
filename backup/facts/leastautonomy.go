package facts

import (
	"context"
	"math"

	"outlast/backup/calendar"
	"outlast/backup/verdict"
	"outlast/battery"
	"outlast/loads"
)

// LeastAutonomy is the shortest time that the bank carries the backup board at the end of its life, over all starts of
// the day, and that start, in minutes from midnight: an outage does not wait for the start that the file gives. It is
// shorter than the autonomy from the start that needs the most energy in the hours asked for, as soon as the bank lasts
// longer than those.
func (p *Facts) LeastAutonomy() (hours, startMin float64, err error) {
	find := p.promised
	if find == nil {
		find = p.promise
	}
	least, err := find()
	return least.hours, least.startMin, err
}

// A promise is what the bank does from whatever moment the grid fails. Sheets and papers come back to it in many
// places, so a plan finds it once, when it is first asked for.
type promise struct{ hours, startMin float64 }

func (p *Facts) promise() (least promise, err error) {
	if p.Bank.AutonomyCap {
		return promise{p.Bank.AutonomyH, p.StartMin()}, nil
	}
	least.hours, least.startMin, _, err = p.Least(p.Asked.Set, LongestWalkH)
	return least, err
}

// LeastAutonomyWith is the same for the bank as it stands with another share of its capacity left by age, 0.01 to 1;
// capped says that nothing emptied it within [LongestWalkH].
func (p *Facts) LeastAutonomyWith(endOfLife float64) (hours float64, capped bool, err error) {
	m, err := p.Model(endOfLife)
	if err != nil {
		return 0, false, err
	}
	hours, _, capped, err = p.least(p.Asked.Set, m, LongestWalkH)
	return hours, capped, err
}

// StartMin is the minute of the day from which the plan's autonomy is counted.
func (p *Facts) StartMin() float64 { return math.Mod(p.Bank.StartMin, calendar.DayMin) }

// Least is the shortest time that the bank carries a set of loads at the end of its life, over all starts of the day.
// ended says that it is walkH, and nothing was shorter.
func (p *Facts) Least(set *loads.Set, walkH float64) (hours, startMin float64, ended bool, err error) {
	m, err := p.ModelUnder(set.Scheduled().W, p.Site.Practice.EndOfLife)
	if err != nil {
		return 0, 0, false, err
	}
	return p.least(set, m, walkH)
}

// least is Least for a bank as it is given.
func (p *Facts) least(set *loads.Set, m battery.State, walkH float64) (hours, startMin float64, ended bool, err error) {
	o := dayOutage{p.drawn(set.Profile()), m, p.Site.Outage.Reserve}
	startMin = p.StartMin()
	r := o.lasts(startMin, walkH)
	if r.ended && walkH >= LongestLevelH { // after weeks no start stands out
		return r.hours, startMin, true, nil
	}
	h, start, err := o.shortest(p.Shared.Ctx, r.hours)
	if err != nil {
		return 0, 0, false, err
	}
	if h < r.hours {
		return h, start, false, nil
	}
	return r.hours, startMin, r.ended, nil
}

// dcStep is the power drawn from the bank until a minute of the day.
type dcStep struct {
	endMin int
	w      float64
}

// FromBank is the power that the bank gives for a load, losses and growth included.
func (p *Facts) FromBank(acW float64) float64 {
	return p.Inverter.DCPower(acW) * (1 + p.Site.Practice.Growth)
}

// drawn is the power that the bank gives through a day, losses and growth included.
func (p *Facts) drawn(profile loads.Profile) []dcStep {
	powers := make([]dcStep, len(profile))
	for i, st := range profile {
		powers[i] = dcStep{st.EndMin, p.FromBank(st.W)}
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
func (o *dayOutage) lasts(minute, walkH float64) lasting {
	o.bank.Reset(o.reserve)
	return lasts(o.powers, o.bank, minute, walkH)
}

// lasting is how long a bank carried the powers of a day.
type lasting struct {
	hours float64
	ended bool // hours is all that was asked about
	step  int  // that was not carried to its end, counted from the midnight before the start on
	into  bool // some of that step was carried
}

// lasts is how long a bank gives the powers of a day from a minute of it on (0 to 1440), for walkH at most. Where a
// power is constant the models are closed forms, so each step of the day is one step of the bank, and the end is told
// to the moment.
func lasts(powers []dcStep, m battery.State, minute, walkH float64) lasting {
	n := len(powers)
	step := 0
	for step < n && float64(powers[step].endMin) <= minute {
		step++
	}
	if step == n {
		minute -= calendar.DayMin
	}
	for hours := 0.0; ; step++ {
		st := powers[step%n]
		stepH := (float64(st.endMin) - minute) / 60
		lasts := m.Lasts(st.w, stepH)
		if hours+min(lasts, stepH) >= walkH {
			m.Step(st.w, walkH-hours)
			return lasting{walkH, true, step, true}
		}
		m.Step(st.w, lasts)
		if hours += lasts; lasts < stepH {
			return lasting{hours, false, step, lasts > 0}
		}
		if minute = float64(st.endMin); minute == calendar.DayMin {
			minute = 0
		}
	}
}

// leastToH is how exactly the shortest time is found: half a second.
const leastToH = 0.5 / 3600

// shortest is the shortest time, to half a second, and a start that has it, the first of equal ones that were looked
// at; walkH, and minute 0, where nothing is shorter.
//
// Starts are moments, not minutes, and still few have to be followed: from two starts it mostly follows that none
// between them lasts shorter than the shortest known. Where it does not, the time between them is halved.
func (o *dayOutage) shortest(ctx context.Context, walkH float64) (hours, startMin float64, err error) {
	o.bank.Reset(o.reserve)
	x := &shortening{dayOutage: o, drain: newDrain(o.powers, o.bank), ctx: ctx, hours: walkH}
	ends := make([]follow, len(o.powers)+1) // the starts between which the power is constant
	for i, st := range o.powers {
		ends[i+1].minute = float64(st.endMin)
	}
	known := 0 // the last start that was followed
	for i := range ends {
		ends[i].walkH = x.hours + 24
		if i == 0 || !x.noneUntil(ends[known], ends[i].minute) {
			x.follow(&ends[i])
			known = i
		}
	}
	for i, st := range o.powers {
		if ends[i].followed {
			known = i
		}
		if x.noneUntil(ends[known], ends[i+1].minute) {
			continue
		}
		x.follow(&ends[i])
		x.follow(&ends[i+1])
		x.between(ends[i], ends[i+1], st.w)
	}
	if x.drain != nil && x.hours < walkH {
		x.hours = x.lasts(x.startMin, walkH).hours // to the last digit
	}
	return x.hours, x.startMin, ctx.Err()
}

// A shortening looks for the shortest time.
type shortening struct {
	*dayOutage
	drain           *drain // nil: starts are walked through
	ctx             context.Context
	hours, startMin float64 // the shortest known
}

// A follow is one start with what the bank does from it, for walkH at most.
type follow struct {
	minute, walkH float64
	followed      bool
	lasting
}

// follow tries a start, once. It is followed longer than needed: what it lasts tells of others.
func (x *shortening) follow(f *follow) {
	if f.followed {
		return
	}
	if f.followed = true; x.drain != nil {
		f.lasting = x.drain.lasts(f.minute, f.walkH)
	} else {
		f.lasting = x.lasts(f.minute, f.walkH)
	}
	if f.hours < x.hours*(1-verdict.Slack) {
		x.hours, x.startMin = f.hours, math.Mod(f.minute, calendar.DayMin)
	}
}

// noneUntil says that no start from a to a minute lasts shorter than the shortest known: an outage that begins later
// ends no earlier.
func (x *shortening) noneUntil(a follow, minute float64) bool {
	return a.hours-(minute-a.minute)/60 > x.hours
}

// between looks at the starts between two, in a time of constant power.
func (x *shortening) between(a, b follow, startW float64) {
	if x.leastBetween(a, b, startW) > x.hours-leastToH || x.ctx.Err() != nil {
		return
	}
	middle := (a.minute + b.minute) / 2
	if b.minute-a.minute > 1 {
		middle = math.Round(middle) // clocks tell minutes
	}
	m := follow{minute: middle, walkH: x.hours + 24}
	x.follow(&m)
	x.between(a, m, startW)
	x.between(m, b, startW)
}

// leastBetween is a time that no start between a and b falls short of.
//
//   - An outage that begins later ends no earlier: the bank is fuller than one that has carried the loads for some time already.
//   - Where the loads ask the same power throughout the ends, each of what can end the autonomy (charge, volts, what is
//     in reach) lets the time fall or rise in one way only: what a start dt later leaves in the bank at the end is a
//     share of startW*dt, at least Kept and at most all of it, and it lasts for its share of endW. So time gained is at
//     least (Kept*startW/endW - 1)*dt.
//   - If endW is no less than startW, the time has no lowest point within. For charge and volts it is a straight line.
//     For the charge in reach of the two wells, with e^-k't what has not yet flowed back, A in reach at the start, D
//     drawn, c and k' those of the model: d(end)/d(start) = (c+(1-c)e^-k't)*startW / (endW - k'(A - c*D)). Where that
//     is 1, t stands still, and its derivative has the sign of startW - endW: a highest point, or a constant. (Own
//     derivation; the test follows every start.)
func (x *shortening) leastBetween(a, b follow, startW float64) float64 {
	betweenH := (b.minute - a.minute) / 60
	least := max(0, a.hours-betweenH)
	endW, same := x.powerAtEnd(a.step, b.step)
	if a.ended || b.ended || !same || !a.into {
		return least
	}
	if endW >= startW {
		return min(a.hours, b.hours)
	}
	return max(least, a.hours+min(0, x.bank.Kept()*startW/endW-1)*betweenH)
}

// powerAtEnd is the power of the steps from one to another, counted on over the days, where it is the same.
func (x *shortening) powerAtEnd(from, to int) (w float64, same bool) {
	n := len(x.powers)
	w = x.powers[from%n].w
	for step := from + 1; step <= to && step < from+n; step++ {
		if x.powers[step%n].w != w {
			return 0, false
		}
	}
	return w, true
}

// LongestLevelH ends the simulation where what stays on is little: weeks are as good as for ever.
const LongestLevelH = 1000
