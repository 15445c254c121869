package backup

import (
	"errors"
	"fmt"
	"math"

	"outlast/loads"
)

// Recharge is what refills the bank, month by month.
type Recharge struct {
	Months    [12]RechargeMonth
	Generator bool
	Draws     int // of the days of each month, on which the spread rests; 1: the days of a weather file; 0: no sun is known
	Cautions  []string
}

// RechargeMonth is one month's balance of a day of outage.
type RechargeMonth struct {
	LoadWh      float64 // drawn from the bank's side on a day of outage, inverter losses included
	ArrayWh     float64 // what the arrays give on a mean day
	ArrayDays   Tenths  // Wh, on single days: dull ones, middling ones, bright ones
	Carries     bool    // the arrays cover the mean day, losses in and out of the bank included
	RefillDays  Tenths  // days of sun until the emptied bank is full again while the loads run on; +Inf: not in RefillMostDays
	GeneratorH  float64 // hours that the generator runs on a day of outage for what the arrays do not cover
	GeneratorL  float64 // litres for that
	GeneratorOK bool    // the generator can do it within the day
}

// Recharge works the months out. ok is false where the site has neither array nor generator.
func (p *Plan) Recharge() (r Recharge, ok bool, err error) {
	s := p.Site
	if len(s.Arrays) == 0 && s.Generator == nil {
		return r, false, nil
	}
	sun, err := s.Sunlit()
	if errors.Is(err, errNoSun) {
		r.Cautions = append(r.Cautions, "Give monthly_kwh_m2_day or weather of each array to count its recharge.")
	} else if err != nil {
		return r, false, fmt.Errorf("the array: %s", trimPrefix(err))
	}
	if sun != nil {
		r.Cautions = append(r.Cautions, sun.Cautions...)
		r.Draws = sun.draws()
	}
	r.Generator = s.Generator != nil
	for m := range r.Months {
		month := &r.Months[m]
		profile := loads.NewSet(s.Phases, loads.InMonth(InUse(s.OnBoard(loads.BoardBackup)), m+1)).Profile()
		steps(profile, 0, 24, func(w, h float64) bool {
			month.LoadWh += p.Inverter.DCPower(w) * (1 + s.Practice.Growth) * h
			return true
		})
		if sun != nil {
			days, err := sun.sunMonth(m + 1)
			if err != nil {
				return r, false, fmt.Errorf("the array: %s", trimPrefix(err))
			}
			month.ArrayWh, month.ArrayDays = days.MeanWh, days.Days
			month.RefillDays = p.refill(days, month.LoadWh)
		}
		p.balance(month)
	}
	return r, true, nil
}

var daysIn = [12]int{31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31}

// balance works out the mean day of one month. What the arrays give beyond the load goes through the bank; of what goes through it, the
// round trip comes back. To be on the safe side the whole day's load is taken through it.
func (p *Plan) balance(m *RechargeMonth) {
	roundTrip := p.Bank.Unit.RoundTrip
	missing := m.LoadWh - m.ArrayWh*roundTrip
	m.Carries = missing <= slack*m.LoadWh
	g := p.Site.Generator
	if g == nil || m.Carries {
		m.GeneratorOK = g != nil
		return
	}
	// The generator charges at what its rating, the charger and the bank allow, and carries the loads meanwhile.
	chargeW := p.generatorChargeW()
	if chargeW <= 0 {
		return
	}
	m.GeneratorH = missing / (chargeW*roundTrip + m.LoadWh/24)
	m.GeneratorOK = m.GeneratorH <= 24
	m.GeneratorL = m.GeneratorH * p.generatorLPerH(chargeW/p.Site.Inverter.Efficiency+m.LoadWh/24)
}

// RefillMostDays is how long a refill is waited for, in days.
const RefillMostDays = 100

// refill lets the emptied bank wait for its sun from each day of each draw of a month, whose days come round again and again. As
// in balance the whole day's load goes through the bank too; what a dull day lacks is taken from it, as far as it has any.
func (p *Plan) refill(sun SunMonth, loadWh float64) Tenths {
	fullWh := p.Bank.NominalV() * p.Bank.CapacityAh() * p.Bank.DoD
	var waits []float64
	for _, days := range sun.draws {
		for first := range days {
			storedWh, wait := 0.0, math.Inf(1)
			for n := range RefillMostDays {
				gainWh := days[(first+n)%len(days)]*p.Bank.Unit.RoundTrip - loadWh
				if gainWh > 0 && storedWh+gainWh >= fullWh {
					wait = float64(n) + (fullWh-storedWh)/gainWh
					break
				}
				storedWh = max(0, storedWh+gainWh)
			}
			waits = append(waits, wait)
		}
	}
	return tenths(waits)
}

// generatorW is the real power that the generator gives at the site's heat and altitude.
func (p *Plan) generatorW() float64 {
	g := p.Site.Generator
	d, err := p.Site.generatorDerating()
	if err != nil {
		return 0
	}
	return g.RatedVA * g.PowerFactor * d.Factor
}

// generatorChargeW is the mean power into the bank while the generator runs: the chargers' current at the bank's nominal volts, as far as
// the bank bears it and the loads leave it, hour by hour of the day.
func (p *Plan) generatorChargeW() float64 {
	a := p.Inverter.ChargerA()
	if limit := p.Bank.Unit.MaxChargeA * float64(p.Bank.Strings); limit > 0 {
		a = min(a, limit)
	}
	most, generatorW, wh := a*p.Bank.NominalV(), p.generatorW(), 0.0
	steps(p.Demand.Profile, 0, 24, func(w, h float64) bool {
		wh += h * max(0, min(most, (generatorW-w)*p.Site.Inverter.Efficiency))
		return true
	})
	return wh / 24
}

// generatorLPerH is what the generator burns at a power, from its table or, without one, from the published use of a small diesel set.
func (p *Plan) generatorLPerH(w float64) float64 {
	ratedW := p.Site.Generator.RatedVA * p.Site.Generator.PowerFactor
	points := p.generatorFuel()
	load := min(w/ratedW, 1)
	if load <= points[0].Load {
		return points[0].LPerH
	}
	for i := 1; i < len(points); i++ {
		if a, b := points[i-1], points[i]; load <= b.Load {
			return a.LPerH + (b.LPerH-a.LPerH)*(load-a.Load)/(b.Load-a.Load)
		}
	}
	return points[len(points)-1].LPerH
}
