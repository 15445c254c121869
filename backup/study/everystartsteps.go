package study

import (
	"math"
	"sync"

	"outlast/backup/facts"
	"outlast/backup/outage"
)

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

// A survivor follows outages of up to maxH hours from every start, with a bank of so many strings that holds soc when
// the grid fails.
type survivor func(at pass, strings int, soc float64, maxH int) (outage.Starts, error)

// balance steps through the balance at the bank.
func (e *EveryStart) balance() survivor {
	y := e.year(levelW)
	return func(at pass, strings int, soc float64, maxH int) (outage.Starts, error) {
		newBank, err := e.newBank(strings)
		if err != nil {
			return outage.Starts{}, err
		}
		return outage.SurviveStepping(e.ctx, y, newBank, soc, maxH, e.ticks(at, y.Hours()))
	}
}

// byHome steps through the home with its generator and with what is dropped.
func (e *EveryStart) byHome() survivor {
	return func(at pass, strings int, soc float64, maxH int) (outage.Starts, error) {
		home, err := e.home(strings)
		if err != nil {
			return outage.Starts{}, err
		}
		newBank, err := e.newBank(strings)
		if err != nil {
			return outage.Starts{}, err
		}
		return home.Survive(e.ctx, newBank, soc, maxH, e.ticks(at, home.Hours()))
	}
}

// newBank makes banks of so many of the plan's strings.
func (e *EveryStart) newBank(strings int) (func() outage.Bank, error) {
	p := e.Plan
	bank := p.Bank.Bank
	bank.Strings = strings
	o := p.ModelOptions(bank, e.endOfLife)
	o.MaxChargeA = p.OutageChargeA(bank)
	if _, err := bank.Model(o); err != nil {
		return nil, err
	}
	return func() outage.Bank {
		m, err := bank.Model(o)
		if err != nil {
			panic(err) // it was made a moment ago
		}
		return m
	}, nil
}

// step answers where no sum of energies can.
func (e *EveryStart) step() error {
	survive := e.byHome()
	if e.balanced() {
		survive = e.balance()
	}
	var err error
	if e.Starts, err = survive(pass{part: 0, of: 1}, e.Plan.Bank.Strings, e.Plan.Site.Outage.Reserve,
		e.Options.MaxH); err != nil {
		return e.failed(err)
	}
	// The plan's own strings were followed for longer already.
	known := func(at pass, strings int, soc float64, maxH int) (outage.Starts, error) {
		if strings == e.Plan.Bank.Strings {
			if starts := len(e.Starts.Hours); e.Options.Progress != nil {
				e.Options.Progress(at.part, (at.done+1)*starts, at.of*starts)
			}
			return e.Starts, nil
		}
		return survive(at, strings, soc, maxH)
	}
	if err := e.wish(known); err != nil {
		return e.failed(err)
	}
	if !e.Options.Reserves {
		return nil
	}
	return e.reserves(survive)
}

// wish looks for the least number of strings that outlasts the target with the wished chance. More strings never
// survive less where the bank is alone with an array, so the border is found by halving. A generator may rest for just
// too long with more of them, and a load stay on: there it is a number that is enough, and one less is not.
func (e *EveryStart) wish(survive survivor) error {
	target, tries := e.Options.TargetH, 0
	enough := func(strings int) (bool, error) {
		tries++ // how many it takes is not known before; there is always one more to come
		st, err := survive(pass{1, tries - 1, tries + 1}, strings, e.Plan.Site.Outage.Reserve, target)
		if err != nil {
			return false, err
		}
		chance, err := st.Chance(target)
		return chance >= e.Options.Chance, err
	}
	lo, hi := 0, 1
	for {
		ok, err := enough(hi)
		if err != nil {
			return err
		}
		if ok {
			break
		}
		if lo, hi = hi, hi*2; hi > facts.MostStrings {
			e.Bank = WishedBank{}
			return nil
		}
	}
	for hi-lo > 1 {
		mid := (lo + hi) / 2
		ok, err := enough(mid)
		if err != nil {
			return err
		}
		if ok {
			hi = mid
		} else {
			lo = mid
		}
	}
	e.Bank = WishedBank{Strings: hi, Possible: true, UsableWh: e.fullWh(hi) * e.Plan.Depth()}
	return nil
}

// reserveStep is how finely the reserve is told of a bank that is stepped.
const reserveStep = 0.05

// reserves looks for the lowest charge of each month from which on upwards the target is outlasted with the wished
// chance.
func (e *EveryStart) reserves(survive survivor) error {
	var r [12]outage.Reserve
	var short [12]bool
	for i := range r {
		r[i].SoC = 1
	}
	floor := e.Plan.FloorSoC()
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
			// Below a charge that is too low another may do, where the generator starts at once: that is no reserve to
			// keep.
			if short[m] = short[m] || monthChance(table[m]) < e.Options.Chance; !short[m] {
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
