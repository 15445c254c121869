package study

import (
	"context"
	"errors"
	"fmt"
	"math"
	"slices"

	"outlast/backup/calendar"
	"outlast/backup/facts"
	"outlast/backup/fault"
	"outlast/backup/outage"
	"outlast/backup/phrase"
	"outlast/backup/site"
	"outlast/backup/verdict"
	"outlast/backup/wording"
	"outlast/loads"
)

// EveryStartOptions say how outages from every hour of a year are followed.
type EveryStartOptions struct {
	MaxH        int     // longest outage that is followed
	TargetH     int     // hours that bank and reserve shall outlast
	Chance      float64 // with this chance
	StepMin     int     // length of a step, a divisor of 60; 0: as short as the home needs
	New         bool    // the bank is new
	NoArray     bool
	NoGenerator bool
	Seed        uint64 // of the days of sun
	Reserves    bool   // also work out the reserve of each month

	// Progress is told how much of a part (of [EveryStartParts]) is done, now and then, one call at a time; nil: not
	// wanted. Only a home that is stepped through every outage takes long enough.
	Progress func(part, done, of int)
}

// EveryStartParts are the parts of the work: the hours survived, the wished bank, the reserves.
const EveryStartParts = 3

// EveryStart is what became of outages from every start hour of a year.
type EveryStart struct {
	outage.Starts
	Plan     *facts.Facts
	Options  EveryStartOptions
	Counted  Counted
	StepMin  int
	LoadW    []float64 // mean load of each hour of the year, on the AC side, with what is dropped
	Bank     WishedBank
	Reserves *[12]outage.Reserve
	Cautions []phrase.Phrase

	ctx       context.Context
	endOfLife float64
	pv        []float64 // by hour of the year; nil: no array is counted
	generator *outage.Generator

	overloaded bool                     // some month's loads are more than the inverters carry
	homes      map[int]*outage.HomeYear // by the length of a step
}

// Counted is what helps or spares the bank in the outages of an [EveryStart].
type Counted struct {
	New       bool // the bank is; else it is at the end of its life
	Array     bool
	Generator bool
	FuelL     float64  // in the tank, filled once; 0: not given, as if fuel never ended
	Dropped   []string // names of the loads that are dropped by the state of charge, sorted
}

// WishedBank is the smallest bank that outlasts the target with the wished chance.
type WishedBank struct {
	UsableWh float64 // between full and the floor, at the bank's age and temperature
	Strings  int     // of the plan's units; the least number that gives it
	Possible bool    // false: no bank does, because some step asks for more than the inverter or the units give

	Fails []string // checks of a plan with that many strings: hours are not all that a number of strings decides
}

// FromEveryStart follows an outage from each of the 8,760 hours of a year: the day's profile of each month, the arrays'
// year, the bank, the generator, and the loads that are dropped by the state of charge. It ends with the error of ctx
// when that is done.
//
// A lithium bank by itself, or with an array, is a store of energy, and every question is answered exactly at once.
// Lead-acid, whose wells no sum of energies can stand for, generators, drops and loads above the inverters' rating are
// stepped through each outage, which may take seconds; so is a bank whose voltage or cold may end an outage before its
// charge does.
func FromEveryStart(ctx context.Context, p *facts.Facts, o EveryStartOptions) (*EveryStart, error) {
	if o.MaxH < 1 || o.MaxH > 8760 || o.TargetH < 1 || o.TargetH > o.MaxH {
		return nil, fmt.Errorf("outages of %d h, target %d h: want 1 to 8760, the target not longer than the longest",
			o.MaxH, o.TargetH)
	}
	if !(o.Chance > 0 && o.Chance <= 1) {
		return nil, fmt.Errorf("a chance of %g, want a number above 0 and at most 1", o.Chance)
	}
	if o.StepMin < 0 || o.StepMin > 0 && 60%o.StepMin != 0 {
		return nil, fmt.Errorf("steps of %d min, want a divisor of 60", o.StepMin)
	}
	e := &EveryStart{Plan: p, Options: o, ctx: ctx, endOfLife: p.Site.Practice.EndOfLife,
		homes: map[int]*outage.HomeYear{}}
	if o.New {
		e.endOfLife = 1
	}
	if err := e.count(); err != nil {
		return nil, err
	}
	e.StepMin = e.stepFor(p.Bank.Strings)
	follow := e.study
	if !e.exact(p.Bank.Strings) {
		follow = e.step
	}
	if err := follow(); err != nil {
		return e, err
	}
	return e, e.plan()
}

// plan finds what fails in a plan with the wished bank.
func (e *EveryStart) plan() error {
	if !e.Bank.Possible {
		return nil
	}
	s := *e.Plan.Site
	s.Strings = e.Bank.Strings
	p, err := e.Plan.Shared.Serve(&s, e.Plan.Asked, facts.Trial(&s))
	if err != nil {
		return e.failed(err)
	}
	for _, c := range p.Checks {
		if c.Status == verdict.Fail {
			e.Bank.Fails = append(e.Bank.Fails, c.ID)
		}
	}
	return nil
}

// count settles what is counted, and what is asked for.
func (e *EveryStart) count() error {
	p, s := e.Plan, e.Plan.Site
	e.Counted.New = e.Options.New
	if !e.Options.NoArray {
		sun, err := s.Sunlit()
		switch {
		case errors.Is(err, site.ErrNoSun):
			e.Cautions = append(e.Cautions, site.NoSun())
		case err != nil:
			return fmt.Errorf("the array: %w", fault.Reason(err))
		case sun != nil:
			e.Cautions = append(e.Cautions, sun.Cautions...)
			if e.pv, err = sun.Year(e.Options.Seed); err != nil {
				return fmt.Errorf("the array: %w", fault.Reason(err))
			}
			e.Counted.Array = true
		}
	}
	if !e.Options.NoGenerator {
		if e.generator = p.OutageGenerator(); e.generator != nil {
			e.Counted.Generator, e.Counted.FuelL = true, e.generator.FuelL
			e.Cautions = append(e.Cautions, p.FuelCautions()...)
		}
	}
	for _, l := range site.InUse(s.OnBoard(loads.BoardBackup)) {
		if facts.DropsOut(&l) {
			e.Counted.Dropped = append(e.Counted.Dropped, l.Name)
		}
	}
	slices.Sort(e.Counted.Dropped)
	e.overloaded = e.inverterOverloaded()
	for m, days := range calendar.DaysIn {
		hourly := e.profile(m+1, func(*loads.Load) bool { return true }).HourlyW()
		for range days {
			e.LoadW = append(e.LoadW, hourly[:]...)
		}
	}
	return nil
}

// profile is what some of the loads of the backup board ask in a month.
func (e *EveryStart) profile(month int, which func(*loads.Load) bool) loads.Profile {
	used := loads.InMonth(site.InUse(e.Plan.Site.OnBoard(loads.BoardBackup)), month)
	return loads.NewSet(e.Plan.Site.Phases, loads.Where(used, which)).Profile()
}

// exact says whether sums of energies answer for a bank of so many strings.
func (e *EveryStart) exact(strings int) bool {
	return e.balanced() && !e.Plan.Bank.Unit.Chemistry.LeadAcid() && !e.voltageEnds(strings) &&
		!e.Plan.TooColdToDischarge()
}

// balanced says whether what is asked of the bank depends on nothing but the time, and the inverters carry all of it.
func (e *EveryStart) balanced() bool {
	return e.generator == nil && len(e.Counted.Dropped) == 0 && !e.overloaded
}

// inverterOverloaded says whether the loads of some month are more than the inverters carry.
func (e *EveryStart) inverterOverloaded() bool {
	limitW := e.Plan.Inverter.DeratedW() * (1 + verdict.Slack)
	for month := range calendar.DaysIn {
		for _, st := range e.profile(month+1, func(*loads.Load) bool { return true }) {
			if st.W > limitW {
				return true
			}
		}
	}
	return false
}

// voltageEnds says whether the voltage under load may end an outage before the charge does. It is lowest at the floor.
func (e *EveryStart) voltageEnds(strings int) bool {
	p := e.Plan
	if !p.Sags() {
		return false
	}
	bank := p.Bank.Bank
	bank.Strings = strings
	v, ok := bank.PowerV(e.peakW(), p.FloorSoC(), p.Site.ColdestC)
	return p.Bank.NeverAbove || !ok || v < p.Bank.CutoffV*(1+verdict.Slack)
}

// peakW is the most that is asked of the bank in any minute of the year.
func (e *EveryStart) peakW() float64 {
	most := 0.0
	for month := range calendar.DaysIn {
		for _, st := range e.profile(month+1, func(*loads.Load) bool { return true }) {
			most = max(most, e.Plan.FromBank(st.W))
		}
	}
	return most
}

// Steps that are tried, the longest first, and by which share of its capacity a bank may fall in one of them where the
// state of charge decides something: by less than a generator starts above the floor, or it would be too late. Own
// rule.
var stepsMin = []int{15, 5, 1}

const stepSoC = site.GeneratorAbove / 2

// stepFor is the length of a step for a bank of so many strings.
func (e *EveryStart) stepFor(strings int) int {
	p := e.Plan
	switch {
	case e.Options.StepMin > 0:
		return e.Options.StepMin
	case e.balanced() && p.Bank.Unit.Chemistry.LeadAcid():
		return stepsMin[0]
	case e.balanced():
		return 1
	}
	fullWh, peakW := e.fullWh(strings), e.peakW()
	for _, step := range stepsMin {
		if peakW*float64(step)/60 <= stepSoC*fullWh {
			return step
		}
	}
	return 1
}

// fullWh is what a bank of so many strings holds at its age and temperature.
func (e *EveryStart) fullWh(strings int) float64 {
	b := e.Plan.Bank
	b.Strings = strings
	return b.NominalV() * b.CapacityAh() * e.endOfLife * b.Sizing.KTemperature * e.Plan.RateCredit(b.Bank)
}

// meanW are the means of a day's profile over steps.
func meanW(profile loads.Profile, stepMin int) []float64 {
	out := make([]float64, calendar.DayMin/stepMin)
	for i := range out {
		out[i] = profile.EnergyWh(float64(i*stepMin), float64(stepMin)/60) * 60 / float64(stepMin)
	}
	return out
}

// levelW are those means for steps that are gone through one after the other: they are equal to the last bit within a
// step of the profile, where energies round each otherwise, so that many of them can be done at once.
func levelW(profile loads.Profile, stepMin int) []float64 {
	out := meanW(profile, stepMin)
	on := 0 // the step of the profile that the first minute is in
	for i := range out {
		for i*stepMin >= profile[on].EndMin {
			on++
		}
		if (i+1)*stepMin <= profile[on].EndMin {
			out[i] = profile[on].W
		}
	}
	return out
}

// year is the power balance at the bank, of means over steps.
func (e *EveryStart) year(means func(loads.Profile, int) []float64) outage.Year {
	perDay := calendar.DayMin / e.StepMin
	y := outage.Year{StepMin: e.StepMin, NetW: make([]float64, 0, 365*perDay)}
	for m, days := range calendar.DaysIn {
		drawn := means(e.profile(m+1, func(*loads.Load) bool { return true }), e.StepMin)
		for i := range drawn {
			drawn[i] = e.Plan.FromBank(drawn[i])
		}
		for range days {
			day := len(y.NetW) / perDay
			for i, w := range drawn {
				sun := 0.0
				if e.pv != nil {
					sun = e.pv[day*24+i*e.StepMin/60]
				}
				y.NetW = append(y.NetW, sun-w)
			}
		}
	}
	return y
}

// home is the year with what a balance cannot hold: generator and drops, and a bank of so many strings.
func (e *EveryStart) home(strings int) (*outage.HomeYear, error) {
	h, err := e.homeIn(e.stepFor(strings))
	if err != nil {
		return nil, err
	}
	of := *h
	bank := e.Plan.Bank.Bank
	bank.Strings = strings
	of.ChargeLimitW = e.Plan.OutageChargeA(bank) * bank.NominalV()
	return &of, nil
}

// homeIn is that year in steps of a length, for whatever bank.
func (e *EveryStart) homeIn(stepMin int) (*outage.HomeYear, error) {
	if h, known := e.homes[stepMin]; known {
		return h, nil
	}
	sc, err := e.Plan.Scenario(e.endOfLife)
	if err != nil {
		return nil, err
	}
	growth := 1 + e.Plan.Site.Practice.Growth
	asked := func(which func(*loads.Load) bool) []float64 {
		var w []float64 // megabytes, where a step is a minute
		for m, days := range calendar.DaysIn {
			day := levelW(e.profile(m+1, which), stepMin)
			for i := range day {
				day[i] *= growth
			}
			if w == nil {
				w = make([]float64, 0, 365*len(day))
			}
			for range days {
				w = append(w, day...)
			}
		}
		return w
	}
	h := &outage.HomeYear{StepMin: stepMin, PVW: e.pv, Inverter: sc.Inverter, Generator: e.generator,
		AskW: asked(func(l *loads.Load) bool { return !facts.DropsOut(l) })}
	var below []float64 // the states of charge at which something is dropped
	for _, l := range site.InUse(e.Plan.Site.OnBoard(loads.BoardBackup)) {
		if facts.DropsOut(&l) {
			below = append(below, l.DropBelow)
		}
	}
	slices.Sort(below)
	for _, soc := range slices.Compact(below) {
		h.Dropped = append(h.Dropped, outage.Dropped{Below: soc, BackAt: min(1, soc+outage.DefaultReturnMargin),
			AskW: asked(func(l *loads.Load) bool { return facts.DropsOut(l) && l.DropBelow == soc })})
	}
	e.homes[stepMin] = h
	return h, nil
}

// study answers for a lithium bank: a store of energy whose losses are all counted on the way in, as in the model of
// package battery, where a full store gives its rated energy at the terminals.
func (e *EveryStart) study() error {
	p, s, b := e.Plan, e.Plan.Site, e.Plan.Bank
	path := func(strings int) outage.Path {
		return outage.Path{
			ChargeEfficiency: b.Unit.RoundTrip, DischargeEfficiency: 1,
			ChargeLimitW: chargeLimitW(p, strings),
			DischargeLimitW: limitW(p, b.Unit.MaxDischargeA*float64(strings), p.Inverter.MaxDischargeA()) *
				(1 + s.Practice.Growth),
		}
	}
	study, err := outage.NewStudy(e.year(meanW), path(b.Strings), e.Options.MaxH)
	if err != nil {
		return e.failed(err)
	}
	usable, soc := e.fullWh(b.Strings)*p.Depth(), (s.Outage.Reserve-p.FloorSoC())/p.Depth()
	if e.Starts, err = study.Survive(usable, min(1, max(0, soc))); err != nil {
		return e.failed(err)
	}
	var wh float64
	var possible bool // not where the reserve is not above the lowest charge
	if soc > 0 {
		if wh, possible, err = study.SmallestBank(e.Options.TargetH, min(1, soc), e.Options.Chance); err != nil {
			return e.failed(err)
		}
	}
	if possible {
		n := max(1, int(math.Ceil(wh/(e.fullWh(1)*p.Depth())*(1-verdict.Slack))))
		for n > 1 && e.fullWh(n-1)*p.Depth() >= wh*(1-verdict.Slack) { // more of them give more than their number, at a slower rate
			n--
		}
		e.Bank = WishedBank{UsableWh: wh, Strings: n, Possible: true}
		if e.voltageEnds(e.Bank.Strings) { // so few of them sag too far
			if err := e.wish(e.balance()); err != nil {
				return e.failed(err)
			}
		}
	}
	if e.Options.Reserves {
		r, err := study.Reserves(usable, e.Options.TargetH, e.Options.Chance)
		if err != nil {
			return e.failed(err)
		}
		for i := range r {
			r[i].SoC = p.FloorSoC() + r[i].SoC*p.Depth() // of the whole bank, not of what lies above the floor
		}
		e.Reserves = &r
	}
	return nil
}

// chargeLimitW is the most that so many strings are given in the coldest battery space.
func chargeLimitW(p *facts.Facts, strings int) float64 {
	const nothing = 1e-6 // as 0 would be no limit
	bank := p.Bank.Bank
	bank.Strings = strings
	if coldA, _, limited := bank.ColdChargeA(p.Site.ColdestC); limited && coldA == 0 {
		return nothing
	}
	if most := bank.Unit.ChargeMaxC; most != nil && p.Site.ColdestC > *most {
		return nothing
	}
	return max(nothing, p.OutageChargeA(bank)*bank.NominalV())
}

// limitW is the smaller of two currents that are given, as power at the bank's nominal volts; 0 when neither is.
func limitW(p *facts.Facts, a, b float64) float64 {
	if a == 0 || (b > 0 && b < a) {
		a = b
	}
	return a * p.Bank.NominalV()
}

func (e *EveryStart) failed(err error) error {
	if errors.Is(err, context.Canceled) || errors.Is(err, context.DeadlineExceeded) {
		return err
	}
	return fmt.Errorf("the year cannot be followed: %w", fault.Reason(err))
}

// Text says in a sentence what was counted.
func (c Counted) Text() phrase.Phrase {
	bank := phrase.Of("the bank at the end of its life")
	if c.New {
		bank = phrase.Of("the new bank")
	}
	parts := []phrase.Phrase{bank}
	if c.Array {
		parts = append(parts, phrase.Of("the array"))
	}
	switch {
	case c.Generator && c.FuelL > 0:
		parts = append(parts, phrase.Of("the generator with %s of fuel", wording.Amount(c.FuelL, "l")))
	case c.Generator:
		parts = append(parts, phrase.Of("the generator, with unlimited fuel"))
	}
	if n := len(c.Dropped); n > 0 {
		parts = append(parts, phrase.Of("load shedding of %s at low charge", phrase.List(wording.Quoted(c.Dropped))))
	}
	if len(parts) == 1 {
		return phrase.Of("Taken into account: %s alone.", bank)
	}
	return phrase.Of("Taken into account: %s.", phrase.List(parts))
}
