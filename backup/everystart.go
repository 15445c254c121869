package backup

import (
	"context"
	"errors"
	"fmt"
	"math"
	"sync"

	"outlast/backup/outage"
	"outlast/battery"
	"outlast/loads"
)

// EveryStartOptions say how outages from every hour of a year are followed.
type EveryStartOptions struct {
	MaxH     int     // longest outage that is followed
	TargetH  int     // hours that bank and reserve shall outlast
	Chance   float64 // with this chance
	StepMin  int     // length of a step, a divisor of 60; 0: 1 for lithium, 15 for lead-acid
	New      bool    // the bank is new
	NoArray  bool
	Seed     uint64 // of the days of sun
	Reserves bool   // also work out the reserve of each month

	// Progress is told how much of a part (of [EveryStartParts]) is done, now and then, one call at a time; nil: not wanted. Only
	// a lead-acid bank, which is stepped through every outage, takes long enough.
	Progress func(part, done, of int)
}

// EveryStartParts are the parts of the work: the hours survived, the wished bank, the reserves.
const EveryStartParts = 3

// EveryStart is what became of outages from every start hour of a year.
type EveryStart struct {
	outage.Starts
	Plan     *Plan
	Options  EveryStartOptions
	StepMin  int
	LoadW    []float64 // mean load of each hour of the year, on the AC side
	Bank     WishedBank
	Reserves *[12]outage.Reserve
	Cautions []string
}

// WishedBank is the smallest bank that outlasts the target with the wished chance.
type WishedBank struct {
	UsableWh float64 // between full and the floor, at the bank's age and temperature
	Strings  int     // of the plan's units; the least number that gives it
	Possible bool    // false: no bank does, because some step asks for more than the inverter or the units give
}

// EveryStart follows an outage from each of the 8,760 hours of a year: the day's profile of each month, the arrays' year, and
// the bank. Generators are left out, and nothing is dropped. For lithium every question is answered exactly at once; a lead-acid bank is
// stepped through each outage, which may take seconds: ctx ends it.
func (p *Plan) EveryStart(ctx context.Context, o EveryStartOptions) (*EveryStart, error) {
	if o.MaxH < 1 || o.MaxH > 8760 || o.TargetH < 1 || o.TargetH > o.MaxH {
		return nil, fmt.Errorf("outages of %d h, target %d h: want 1 to 8760, the target not longer than the longest", o.MaxH, o.TargetH)
	}
	if !(o.Chance > 0 && o.Chance <= 1) {
		return nil, fmt.Errorf("a chance of %g, want a number above 0 and at most 1", o.Chance)
	}
	e := &EveryStart{Plan: p, Options: o, StepMin: o.StepMin}
	if e.StepMin == 0 {
		e.StepMin = 1
		if p.Bank.Unit.Chemistry.LeadAcid() {
			e.StepMin = 15
		}
	}
	if e.StepMin < 1 || 60%e.StepMin != 0 {
		return nil, fmt.Errorf("steps of %d min, want a divisor of 60", e.StepMin)
	}
	year, err := e.year()
	if err != nil {
		return nil, err
	}
	endOfLife := p.Site.Practice.EndOfLife
	if o.New {
		endOfLife = 1
	}
	if p.Bank.Unit.Chemistry.LeadAcid() {
		return e, e.step(ctx, year, endOfLife)
	}
	return e, e.study(year, endOfLife)
}

// year is the power balance at the bank, and the hourly loads.
func (e *EveryStart) year() (outage.Year, error) {
	p, s := e.Plan, e.Plan.Site
	perDay := dayMin / e.StepMin
	y := outage.Year{StepMin: e.StepMin, NetW: make([]float64, 0, 365*perDay)}
	var pv []float64
	if !e.Options.NoArray {
		sun, err := s.Sunlit()
		switch {
		case errors.Is(err, errNoSun):
			e.Cautions = append(e.Cautions, "Give monthly_kwh_m2_day or weather of each array to count what it gives.")
		case err != nil:
			return y, fmt.Errorf("the array: %s", trimPrefix(err))
		case sun != nil:
			e.Cautions = append(e.Cautions, sun.Cautions...)
			if pv, err = sun.Year(e.Options.Seed); err != nil {
				return y, fmt.Errorf("the array: %s", trimPrefix(err))
			}
		}
	}
	for m, days := range daysIn {
		profile := loads.NewSet(s.Phases, loads.InMonth(InUse(s.OnBoard(loads.BoardBackup)), m+1)).Profile()
		hourly := profile.HourlyW()
		drawn := make([]float64, perDay)
		for i := range drawn {
			meanW := profile.EnergyWh(float64(i*e.StepMin), float64(e.StepMin)/60) * 60 / float64(e.StepMin)
			drawn[i] = p.Inverter.DCPower(meanW) * (1 + s.Practice.Growth)
		}
		for range days {
			day := len(y.NetW) / perDay
			for i, w := range drawn {
				sun := 0.0
				if pv != nil {
					sun = pv[day*24+i*e.StepMin/60]
				}
				y.NetW = append(y.NetW, sun-w)
			}
			e.LoadW = append(e.LoadW, hourly[:]...)
		}
	}
	return y, nil
}

// study answers for a lithium bank: a store of energy whose losses are all counted on the way in, as in the model of package
// battery, where a full store gives its rated energy at the terminals.
func (e *EveryStart) study(y outage.Year, endOfLife float64) error {
	p, s, b := e.Plan, e.Plan.Site, e.Plan.Bank
	path := func(strings int) outage.Path {
		return outage.Path{
			ChargeEfficiency: b.Unit.RoundTrip, DischargeEfficiency: 1,
			ChargeLimitW:    p.limitW(b.Unit.MaxChargeA*float64(strings), s.Inverter.MaxChargeA*float64(s.InverterCount)),
			DischargeLimitW: p.limitW(b.Unit.MaxDischargeA*float64(strings), p.Inverter.MaxDischargeA()),
		}
	}
	study, err := outage.NewStudy(y, path(b.Strings), e.Options.MaxH)
	if err != nil {
		return e.failed(err)
	}
	perString := b.NominalV() * b.Unit.RatedAh * endOfLife * b.Sizing.KTemperature * b.DoD
	usable, soc := perString*float64(b.Strings)*p.rateCredit(b.Bank), (s.Outage.Reserve-(1-b.DoD))/b.DoD
	if e.Starts, err = study.Survive(usable, min(1, max(0, soc))); err != nil {
		return e.failed(err)
	}
	wh, possible, err := study.SmallestBank(e.Options.TargetH, min(1, soc), e.Options.Chance)
	if err != nil {
		return e.failed(err)
	}
	if possible {
		e.Bank = WishedBank{UsableWh: wh, Strings: max(1, int(math.Ceil(wh/perString*(1-slack)))), Possible: true}
	}
	if e.Options.Reserves {
		r, err := study.Reserves(usable, e.Options.TargetH, e.Options.Chance)
		if err != nil {
			return e.failed(err)
		}
		for i := range r {
			r[i].SoC = 1 - b.DoD + r[i].SoC*b.DoD // of the whole bank, not of what lies above the floor
		}
		e.Reserves = &r
	}
	return nil
}

// limitW is the smaller of two currents that are given, as power at the bank's nominal volts; 0 when neither is.
func (p *Plan) limitW(a, b float64) float64 {
	if a == 0 || (b > 0 && b < a) {
		a = b
	}
	return a * p.Bank.NominalV()
}

func (e *EveryStart) failed(err error) error {
	if errors.Is(err, context.Canceled) || errors.Is(err, context.DeadlineExceeded) {
		return err
	}
	return fmt.Errorf("the year cannot be followed: %s", trimPrefix(err))
}

// A pass is one time through all starts: which of how many, in a part of the work.
type pass struct{ part, done, of int }

// ticks counts the starts of a pass for the progress.
func (e *EveryStart) ticks(at pass, starts int) func() {
	if e.Options.Progress == nil {
		return nil
	}
	var one sync.Mutex
	n := 0
	return func() {
		one.Lock()
		defer one.Unlock()
		n++
		e.Options.Progress(at.part, at.done*starts+n, at.of*starts)
	}
}

// step answers for a lead-acid bank, whose wells no sum of energies can stand for.
func (e *EveryStart) step(ctx context.Context, y outage.Year, endOfLife float64) error {
	p, s := e.Plan, e.Plan.Site
	survive := func(at pass, strings int, soc float64, maxH int) (outage.Starts, error) {
		bank := battery.Bank{Unit: p.Bank.Unit, Series: p.Bank.Series, Strings: strings}
		var failed error
		newBank := func() outage.Bank {
			o := p.modelOptions(bank, endOfLife)
			o.MaxChargeA = s.Inverter.MaxChargeA * float64(s.InverterCount)
			m, err := bank.Model(o)
			if err != nil {
				failed = err
			}
			return m
		}
		if newBank(); failed != nil {
			return outage.Starts{}, failed
		}
		return outage.SurviveStepping(ctx, y, newBank, soc, maxH, e.ticks(at, y.Hours()))
	}
	var err error
	if e.Starts, err = survive(pass{part: 0, of: 1}, p.Bank.Strings, s.Outage.Reserve, e.Options.MaxH); err != nil {
		return e.failed(err)
	}
	target, tries := e.Options.TargetH, 0
	enough := func(strings int) (bool, error) {
		tries++ // how many it takes is not known before; there is always one more to come
		st, err := survive(pass{1, tries - 1, tries + 1}, strings, s.Outage.Reserve, target)
		if err != nil {
			return false, err
		}
		chance, err := st.Chance(target)
		return chance >= e.Options.Chance, err
	}
	// More strings never survive less, so the border is found by halving.
	lo, hi := 0, 1
	for {
		ok, err := enough(hi)
		if err != nil {
			return e.failed(err)
		}
		if ok {
			break
		}
		if lo, hi = hi, hi*2; hi > mostStrings {
			break
		}
	}
	for hi <= mostStrings && hi-lo > 1 {
		mid := (lo + hi) / 2
		ok, err := enough(mid)
		if err != nil {
			return e.failed(err)
		}
		if ok {
			hi = mid
		} else {
			lo = mid
		}
	}
	if hi <= mostStrings {
		e.Bank = WishedBank{Strings: hi, Possible: true,
			UsableWh: float64(hi) * p.Bank.NominalV() * p.Bank.Unit.RatedAh * endOfLife * p.Bank.Sizing.KTemperature * p.Bank.DoD}
	}
	if !e.Options.Reserves {
		return nil
	}
	return e.stepReserves(survive)
}

// reserveStep is how finely the reserve of a lead-acid bank is told.
const reserveStep = 0.05

func (e *EveryStart) stepReserves(survive func(at pass, strings int, soc float64, maxH int) (outage.Starts, error)) error {
	var r [12]outage.Reserve
	for i := range r {
		r[i].SoC = 1
	}
	floor := e.Plan.floorSoC()
	steps := int(math.Round((1 - floor) / reserveStep))
	for n := steps; n >= 0; n-- {
		soc := floor + float64(n)*reserveStep
		st, err := survive(pass{2, steps - n, steps + 1}, e.Plan.Bank.Strings, soc, e.Options.TargetH)
		if err != nil {
			return e.failed(err)
		}
		table, err := st.MonthHour(e.Options.TargetH)
		if err != nil {
			return e.failed(err)
		}
		for m := range table {
			if monthChance(table[m]) >= e.Options.Chance {
				r[m] = outage.Reserve{SoC: soc, Possible: true}
			}
		}
	}
	e.Reserves = &r
	return nil
}

// monthChance is the chance of all starts of a month: its hours of the day have equally many.
func monthChance(hours [24]outage.Cell) float64 {
	sum := 0.0
	for _, c := range hours {
		sum += c.Chance
	}
	return sum / 24
}
