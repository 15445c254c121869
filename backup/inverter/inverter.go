// Package inverter says what an inverter can carry, start and pass through, and what it draws from the bank.
//
// Start with [New], which puts the data sheet of one unit, the number of units and the site's heat and altitude
// together; then ask the [Group] for its ratings ([Group.RatingVA]), its draw from the bank ([Group.DCPower]) or its
// limits per phase. Powers are W or VA of the whole group, currents A, potentials V, temperatures degrees C. Whether a
// demand passes is the caller's question: this package only gives the limits.
package inverter

import (
	"math"

	"outlast/backup/fault"
	"outlast/catalog"
)

// errs makes the errors of this package.
const errs = fault.In("inverter")

// A Group is one or more equal inverter units that feed one backup board.
type Group struct {
	Unit       catalog.Inverter
	Count      int
	SitePhases int
	// Derating is the share of the ratings left at the site's heat and altitude, 0 to 1; its two factors multiply.
	Derating, DeratingHeat, DeratingAltitude float64
	// Headroom is the share of the ratings that a plan keeps free, from 0 to below 1. Ratings are told in full; limits
	// are less it.
	Headroom float64
}

// New puts count units of inv into a group that feeds sitePhases phases, where it is hottestC hot at altitudeM.
//
// The factors follow the data sheet: each falls in proportion from its threshold on, and never below 0. Ratings and
// efficiencies must be finite and above 0, efficiencies at most 1, the site's heat and altitude finite. The unit must
// fit the site's phases ([Fits]), and units of one phase must be as many on each of them.
func New(inv catalog.Inverter, count, sitePhases int, hottestC, altitudeM float64) (Group, error) {
	if count < 1 || sitePhases < 1 || sitePhases > 3 || inv.Phases < 1 {
		return Group{},
			errs.Errorf("%d units of %d phases for %d phases, want at least one of each and at most 3 phases", count,
				inv.Phases, sitePhases)
	}
	if !Fits(inv.Phases, sitePhases) {
		return Group{},
			errs.Errorf("units of %d phases on %d phases, want the same number, or units of one phase: "+
				"outputs of different phases are never joined",
				inv.Phases, sitePhases)
	}
	if inv.Phases*count%sitePhases != 0 {
		return Group{}, errs.Errorf("%d units of one phase for %d phases, want a multiple of them", count, sitePhases)
	}
	if err := checkNumbers(inv, hottestC, altitudeM); err != nil {
		return Group{}, err
	}
	g := Group{Unit: inv, Count: count, SitePhases: sitePhases}
	g.DeratingHeat = left(inv.DeratePerC * (hottestC - inv.DerateFromC))
	g.DeratingAltitude = left(inv.DeratePer100M * (altitudeM - inv.DerateFromM) / 100)
	g.Derating = g.DeratingHeat * g.DeratingAltitude
	return g, nil
}

// Fits says whether a unit of so many phases may feed a site: one that has the site's phases, or one phase. Voltages of
// different phases differ at every moment, so that joining two outputs is a short circuit; a unit with more or other
// phases than the site has no place for them.
func Fits(unitPhases, sitePhases int) bool { return unitPhases == 1 || unitPhases == sitePhases }

// checkNumbers refuses what would make a rating or a draw from the bank no number.
func checkNumbers(inv catalog.Inverter, hottestC, altitudeM float64) error {
	for _, v := range []struct {
		what string
		x    float64
		unit string
	}{{"rated power", inv.RatedW, "W"}, {"rated apparent power", inv.RatedVA, "VA"}} {
		if !(v.x > 0) || math.IsInf(v.x, 1) {
			return errs.Errorf("%s %g %s, want a finite number above 0", v.what, v.x, v.unit)
		}
	}
	if !(inv.Efficiency > 0 && inv.Efficiency <= 1) {
		return errs.Errorf("efficiency %g, want a number above 0 and at most 1", inv.Efficiency)
	}
	for _, p := range inv.EfficiencyCurve {
		if !(p.Efficiency > 0 && p.Efficiency <= 1) {
			return errs.Errorf("efficiency %g at a load of %g, want a number above 0 and at most 1", p.Efficiency,
				p.Load)
		}
	}
	if loss := inv.DeratePerC*(hottestC-inv.DerateFromC) +
		inv.DeratePer100M*(altitudeM-inv.DerateFromM); math.IsNaN(loss) || math.IsInf(loss, 0) {
		return errs.Errorf("%g C at %g m, want finite numbers", hottestC, altitudeM)
	}
	return nil
}

// left is what remains after a loss, a share from 0 to 1.
func left(loss float64) float64 { return min(1, max(0, 1-max(0, loss))) }

// RatedW is the continuous power of the data sheet, all units.
func (g Group) RatedW() float64 { return g.Unit.RatedW * float64(g.Count) }

// RatedVA is the continuous apparent power of the data sheet, all units.
func (g Group) RatedVA() float64 { return g.Unit.RatedVA * float64(g.Count) }

// DeratedW is the continuous power that the site's heat and altitude leave.
func (g Group) DeratedW() float64 { return g.RatedW() * g.Derating }

// DeratedVA is the continuous apparent power that the site's heat and altitude leave.
func (g Group) DeratedVA() float64 { return g.RatedVA() * g.Derating }

// RatingVA is the apparent power that may be drawn for so many seconds: the highest of the overload points given for at
// least that time and of the continuous rating, derated. The points are steps: nothing is read between them, which is
// the safe side. Use +Inf for a power that lasts.
func (g Group) RatingVA(seconds float64) float64 {
	va := g.Unit.RatedVA
	for _, p := range g.Unit.Overload {
		if p.Seconds >= seconds {
			va = max(va, p.VA)
		}
	}
	return va * float64(g.Count) * g.Derating
}

// LimitW is what a plan may use of the continuous power.
func (g Group) LimitW() float64 { return g.DeratedW() * (1 - g.Headroom) }

// LimitVA is what a plan may use of the continuous apparent power.
func (g Group) LimitVA() float64 { return g.DeratedVA() * (1 - g.Headroom) }

// StartLimitVA is what a plan may use of the apparent power for so many seconds.
func (g Group) StartLimitVA(seconds float64) float64 { return g.RatingVA(seconds) * (1 - g.Headroom) }

// LimitDischargeA is what a plan may use of the current from the bank.
func (g Group) LimitDischargeA() float64 { return g.MaxDischargeA() * (1 - g.Headroom) }

// HoldsSeconds is the longest time for which the group is rated to carry va: +Inf for a continuous power, 0 for more
// than any overload point allows.
func (g Group) HoldsSeconds(va float64) float64 {
	scale := float64(g.Count) * g.Derating
	if va <= g.Unit.RatedVA*scale {
		return math.Inf(1)
	}
	seconds := 0.0
	for _, p := range g.Unit.Overload {
		if va <= p.VA*scale {
			seconds = max(seconds, p.Seconds)
		}
	}
	return seconds
}

// EfficiencyAt is the conversion efficiency while the group gives acW, without the idle power. A curve is read between
// its points in a straight line over the share of the data sheet's rated power, and held beyond its ends.
func (g Group) EfficiencyAt(acW float64) float64 {
	curve := g.Unit.EfficiencyCurve
	if len(curve) == 0 {
		return g.Unit.Efficiency
	}
	load := acW / g.RatedW()
	if load <= curve[0].Load {
		return curve[0].Efficiency
	}
	for i := 1; i < len(curve); i++ {
		if b := curve[i]; load <= b.Load {
			a := curve[i-1]
			return a.Efficiency + (b.Efficiency-a.Efficiency)*(load-a.Load)/(b.Load-a.Load)
		}
	}
	return curve[len(curve)-1].Efficiency
}

// CurveAround returns the two points of the efficiency curve between which it is read for acW, beyond its ends the two
// at that end; ok is false for a curve of fewer points.
func (g Group) CurveAround(acW float64) (low, high catalog.EfficiencyPoint, ok bool) {
	curve := g.Unit.EfficiencyCurve
	if len(curve) < 2 {
		return low, high, false
	}
	i := 1
	for i < len(curve)-1 && acW/g.RatedW() > curve[i].Load {
		i++
	}
	return curve[i-1], curve[i], true
}

// IdleW is the standby consumption of all units.
func (g Group) IdleW() float64 { return g.Unit.IdleW * float64(g.Count) }

// DCPower is what the group draws from the bank while it gives acW: idle power and conversion losses included.
func (g Group) DCPower(acW float64) float64 { return g.IdleW() + acW/g.EfficiencyAt(acW) }

// MaxDischargeA is the current that all units may draw from the bank.
func (g Group) MaxDischargeA() float64 { return g.Unit.MaxDischargeA * float64(g.Count) }

// ChargerA is the current that the grid chargers of all units put into the bank, never more than their limit for all
// sources; 0 when the data sheet does not tell.
func (g Group) ChargerA() float64 {
	a := g.Unit.ChargerA
	if limit := g.Unit.MaxChargeA; limit > 0 {
		a = min(a, limit)
	}
	return a * float64(g.Count)
}

// PerPhase scales what holds for each phase of a unit to each phase of the site.
func (g Group) PerPhase(a float64) float64 {
	return a * float64(g.Count) * float64(g.Unit.Phases) / float64(g.SitePhases)
}

// PassThroughA is the grid current that each phase may pass to the backup board; 0 when the data sheet does not tell.
func (g Group) PassThroughA() float64 { return g.PerPhase(g.Unit.PassThroughA) }

// ACInputA is the grid current that each phase may take altogether; 0 when the data sheet does not tell.
func (g Group) ACInputA() float64 { return g.PerPhase(g.Unit.ACInputA) }

// ChargerInputW is what the chargers take from the grid at full current into a bank of bankV volts.
func (g Group) ChargerInputW(bankV float64) float64 {
	return g.ChargerA() * bankV / g.Unit.Efficiency
}
