package facts

import (
	"errors"
	"fmt"
	"math"
	"slices"

	"outlast/backup/calendar"
	"outlast/backup/fault"
	"outlast/backup/outage"
	"outlast/backup/phrase"
	"outlast/backup/site"
	"outlast/backup/verdict"
	"outlast/backup/wording"
	"outlast/backup/workers"
	"outlast/loads"
)

// Recharge is what refills the bank, month by month.
type Recharge struct {
	Months    [12]RechargeMonth
	Generator bool
	Draws     int // of the days of each month, on which the spread rests; 1: the days of a weather file; 0: no sun is known
	Cautions  []phrase.Phrase
	// NoCharging is why the generator does not charge, or not enough in some month; empty: it does, or the cold forbids it,
	// which is one of the cautions.
	NoCharging phrase.Phrase
}

// RechargeMonth is one month's balance of a day of outage.
type RechargeMonth struct {
	LoadWh      float64     // drawn from the bank's side on a day of outage, inverter losses included
	ArrayWh     float64     // what the arrays give on a mean day
	ArrayDays   site.Tenths // Wh, on single days: dull ones, middling ones, bright ones
	Carries     bool        // the arrays cover the mean day, losses in and out of the bank included
	RefillDays  site.Tenths // days of sun until the emptied bank is full again while the loads run on; +Inf: not in RefillMostDays
	GeneratorH  float64     // hours a day that the generator runs, as the plan starts and stops it
	GeneratorL  float64     // litres for that
	GeneratorOK bool        // with it nothing loses power
}

// Recharge works the months out. ok is false where the site has neither array nor generator.
func (p *Facts) Recharge() (r Recharge, ok bool, err error) {
	if len(p.Site.Arrays) == 0 && p.Site.Generator == nil {
		return r, false, nil
	}
	find := p.recharged
	if find == nil {
		find = p.recharge
	}
	r, err = find()
	return r, err == nil, err
}

func (p *Facts) recharge() (r Recharge, err error) {
	s := p.Site
	sun, err := s.Sunlit()
	if errors.Is(err, site.ErrNoSun) {
		r.Cautions = append(r.Cautions, site.NoSun())
	} else if err != nil {
		return r, fmt.Errorf("the array: %w", fault.Reason(err))
	}
	if sun != nil {
		r.Cautions = append(r.Cautions, sun.Cautions...)
		r.Draws = sun.Draws()
	}
	takes := p.takesCharge()
	if !takes {
		r.Cautions = append(r.Cautions,
			phrase.Of("At %s, the coldest of the battery space, the bank takes no charge: every month is counted with that.",
				wording.Amount(s.ColdestC, "C")))
	}
	r.Generator = s.Generator != nil
	profiles := p.profilesOf(p.inUse())
	if err := workers.Each(len(r.Months), func(m int) error {
		if err := p.Shared.Ctx.Err(); err != nil {
			return err
		}
		month := &r.Months[m]
		steps(profiles[m], 0, 24, func(w, h float64) bool {
			month.LoadWh += p.Inverter.DCPower(w) * (1 + s.Practice.Growth) * h
			return true
		})
		month.RefillDays = site.Tenths{P10: math.Inf(1), P50: math.Inf(1), P90: math.Inf(1)}
		if sun != nil {
			days, err := sun.SunMonth(m + 1)
			if err != nil {
				return fmt.Errorf("the array: %w", fault.Reason(err))
			}
			month.ArrayWh, month.ArrayDays = days.MeanWh, days.Days
			if takes {
				month.RefillDays = p.refill(days, month.LoadWh)
			}
		}
		// What the arrays give beyond the load goes through the bank; of what goes through it, the round trip comes
		// back. To be on the safe side the whole day's load is taken through it.
		month.Carries = takes && month.LoadWh <= month.ArrayWh*p.Bank.Unit.RoundTrip+verdict.Slack*month.LoadWh
		return nil
	}); err != nil || !r.Generator {
		return r, err
	}
	if p.Inverter.ChargerA() == 0 {
		r.NoCharging = phrase.Of("It is not known what the chargers take from the generator, so it is counted " +
			"with carrying the loads alone, and the bank is not recharged by it; give charger_a of the inverter.")
	}
	fuel, err := p.fuelling(sun)
	for m, f := range fuel {
		r.Months[m].GeneratorH, r.Months[m].GeneratorL, r.Months[m].GeneratorOK = f.day.GeneratorH, f.day.FuelL, f.ok
	}
	if err == nil && takes && r.NoCharging.Empty() && slices.ContainsFunc(fuel[:], func(f fuelling) bool { return !f.ok }) {
		r.NoCharging = phrase.Of("None: as the generator is entered, it does not carry the loads and keep the " +
			"bank charged as well; its checks say what it lacks.")
	}
	return r, err
}

// inUse are the loads of the backup board without those that are held off.
func (p *Facts) inUse() []loads.Load { return site.InUse(p.Site.OnBoard(loads.BoardBackup)) }

// firstAlike tells for each month, from 0, the first one that has the same of these loads.
func firstAlike(all []loads.Load) (first [12]int) {
	for m := range first {
		for first[m] < m && slices.ContainsFunc(all, func(l loads.Load) bool {
			return l.Months.Has(m+1) != l.Months.Has(first[m]+1)
		}) {
			first[m]++
		}
	}
	return first
}

// profilesOf are the days of these loads by month, from 0.
func (p *Facts) profilesOf(all []loads.Load) (out [12]loads.Profile) {
	for m, first := range firstAlike(all) {
		if out[m] = out[first]; first == m {
			out[m] = loads.NewSet(p.Site.Phases, loads.InMonth(all, m+1)).Profile()
		}
	}
	return out
}

// minutesOf are the days of these months minute by minute, W; those that have the same day share it.
func minutesOf(months [12]loads.Profile) (out [12][]float64) {
	for m, day := range months {
		if before := slices.IndexFunc(months[:m], func(o loads.Profile) bool { return slices.Equal(o, day) }); before >= 0 {
			out[m] = out[before]
			continue
		}
		out[m] = make([]float64, 0, calendar.DayMin)
		for _, st := range day {
			for range st.EndMin - st.StartMin {
				out[m] = append(out[m], st.W)
			}
		}
	}
	return out
}

// takesCharge tells whether the bank takes any charge in the coldest battery space.
func (p *Facts) takesCharge() bool {
	m, err := p.Model(p.Site.Practice.EndOfLife)
	if err != nil {
		return false
	}
	m.Reset(0)
	return m.ChargeLimitW(1) > 0
}

// fuelDraws is on how many draws of the days of a month its fuel rests: two months of days, which is what one waits
// for.
const fuelDraws = 2

// A fuelling is what the generator does in a month.
type fuelling struct {
	day outage.Day
	ok  bool // with it nothing loses power
}

// fuelling works the months out side by side. Without sun, months with the same loads are the same.
func (p *Facts) fuelling(sun *site.Sunlit) (out [12]fuelling, err error) {
	bank, err := p.Model(p.Site.Practice.EndOfLife)
	if err != nil {
		return out, errFuel(err)
	}
	sc := p.scenarioWith(bank)
	p.Limits(&sc)
	sc.StartMin, sc.EvenSpread = 0, true
	if sc.Generator = p.OutageGenerator(); sc.Generator == nil {
		return out, nil
	}
	sc.Generator.FuelL = 0
	sc.StartSoC = sc.Generator.StopSoC
	growing := p.growing(p.inUse())
	sc.Loads = loads.Where(growing, DropsOut)
	steady := minutesOf(p.profilesOf(loads.Where(growing, func(l *loads.Load) bool { return !DropsOut(l) })))
	var own []int // the months that are like none before
	first := firstAlike(growing)
	for m := range out {
		if sun != nil || first[m] == m {
			own = append(own, m)
		}
	}
	if err := workers.Each(len(own), func(i int) (err error) {
		if err := p.Shared.Ctx.Err(); err != nil {
			return err
		}
		if out[own[i]], err = p.fuelIn(own[i]+1, sc, steady[own[i]], sun, func() outage.Bank { return bank.Copy() }); err != nil {
			return errFuel(err)
		}
		return nil
	}); err != nil {
		return out, err
	}
	for m := range out {
		if sun == nil {
			out[m] = out[first[m]]
		}
	}
	return out, nil
}

func errFuel(err error) error {
	return fmt.Errorf("the fuel cannot be worked out: %w", fault.Reason(err))
}

// fuelIn follows the outage of a month just as an outage of package study does, with the same old bank in the same
// cold, the same drawn days and the same rule for the generator, from where it has stopped once; loads are spread
// evenly, and there is as much fuel as it takes. sc is what all months have in common, steadyW what is asked of it by
// the loads that are never dropped, minute by minute of the day.
func (p *Facts) fuelIn(month int, sc outage.Scenario, steadyW []float64, sun *site.Sunlit,
	newBank func() outage.Bank) (f fuelling, err error) {
	sc.Loads, sc.BaseW = loads.InMonth(sc.Loads, month), steadyW
	if sun != nil {
		sc.PVMin = 60
		if sc.PVW, err = sun.FirstDraws(month, min(fuelDraws, sun.Draws())); err != nil {
			return f, err
		}
	}
	f.day, err = p.Site.KnownDays().Daily(sc, newBank)
	f.ok = f.day.DarkMin == 0 && f.day.Holds
	return f, err
}

// RefillMostDays is how long a refill is waited for, in days.
const RefillMostDays = 100

// refill lets the emptied bank wait for its sun from each day of each draw of a month, whose days come round again and
// again. As for Carries the whole day's load goes through the bank too; what a dull day lacks is taken from it, as far
// as it has any.
func (p *Facts) refill(sun site.SunMonth, loadWh float64) site.Tenths {
	fullWh := p.Bank.NominalV() * p.Bank.CapacityAh() * p.Bank.DoD
	var waits, gainsWh []float64
	for _, days := range sun.ByDraw {
		gainsWh = gainsWh[:0]
		for _, wh := range days {
			gainsWh = append(gainsWh, float64(wh*p.Bank.Unit.RoundTrip)-loadWh)
		}
		waits = appendWaits(slices.Grow(waits, len(days)*len(sun.ByDraw)-len(waits)), gainsWh, fullWh)
	}
	return site.TenthsOf(waits)
}

// A wait is how long an empty store is filled: whole days, and the part of the last one that it takes.
type wait struct {
	days int
	part float64
}

// appendWaits appends for each first day how long an empty store waits until it holds fullWh, where the days bring
// gainsWh and come round again and again; +Inf where that takes RefillMostDays or more. A day that leaves the store
// empty begins the wait anew on the next day, so the later first days are asked first.
func appendWaits(out, gainsWh []float64, fullWh float64) []float64 {
	if len(gainsWh) == 0 || slices.Max(gainsWh) <= 0 { // there is nothing left on any day
		return append(out, slices.Repeat([]float64{math.Inf(1)}, len(gainsWh))...)
	}
	known := make([]wait, len(gainsWh))
	for first := len(gainsWh) - 1; first >= 0; first-- {
		storedWh, at := 0.0, first
		w := &known[first]
		for ; w.days < RefillMostDays; w.days++ {
			gainWh := gainsWh[at]
			if gainWh > 0 && storedWh+gainWh >= fullWh {
				w.part = (fullWh - storedWh) / gainWh
				break
			}
			storedWh = max(0, storedWh+gainWh)
			if at++; at == len(gainsWh) {
				at = 0
			}
			if storedWh == 0 && at > first {
				w.days, w.part = w.days+1+known[at].days, known[at].part
				break
			}
		}
	}
	for _, w := range known {
		if w.days >= RefillMostDays {
			out = append(out, math.Inf(1))
		} else {
			out = append(out, float64(w.days)+w.part)
		}
	}
	return out
}

// generatorChargeW is the mean power into the bank while the generator runs: the chargers' current at the bank's
// nominal volts, under the limits that are entered and as far as the loads leave it, hour by hour of the day.
func (p *Facts) generatorChargeW() float64 {
	set := p.OutageGenerator()
	if set == nil {
		return 0
	}
	mostA := min(p.Inverter.ChargerA(), p.EnteredChargeA(p.Bank.Bank))
	if a := p.generatorCharge().A; a > 0 {
		mostA = min(mostA, a)
	}
	most, wh := mostA*p.Bank.NominalV(), 0.0
	steps(p.Demand.Profile, 0, 24, func(w, h float64) bool {
		wh += h * min(most, set.ChargingW(w)*set.ChargerEfficiency)
		return true
	})
	return wh / 24
}
