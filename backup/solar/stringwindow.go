package solar

import (
	"math"
)

// An Input is one tracker input of an inverter or charge controller. 0 means not given.
type Input struct {
	MaxV                 float64 // highest voltage that it survives
	StartV               float64 // voltage at which it starts
	TrackMinV, TrackMaxV float64 // range in which it finds the array's best point
	MaxA                 float64 // operating current
	MaxShortCircuitA     float64 // short-circuit current of what is connected
	MaxW                 float64 // power of what is connected
}

func (in Input) check() error {
	for _, f := range []struct {
		name, unit string
		v          float64
	}{
		{"max_v", "V", in.MaxV}, {"start_v", "V", in.StartV}, {"track_min_v", "V", in.TrackMinV},
		{"track_max_v", "V", in.TrackMaxV}, {"max_a", "A", in.MaxA},
		{"max_short_circuit_a", "A", in.MaxShortCircuitA}, {"max_w", "W", in.MaxW},
	} {
		if err := inRange("input "+f.name, f.unit, f.v, 0, 1e7); err != nil {
			return err
		}
	}
	if in.TrackMaxV > 0 && in.TrackMinV > in.TrackMaxV {
		return errs.Errorf("input track_min_v %g V, want at most track_max_v, %g V", in.TrackMinV, in.TrackMaxV)
	}
	return nil
}

// A Climate is the range of air temperatures that strings must live with.
type Climate struct {
	ColdestC float64 // lowest expected, a record rather than a mean; cells at dawn are as cold as the air
	HottestC float64 // highest expected; cells in the sun are hotter
}

func (c Climate) check() error {
	if err := inRange("coldest air", "C", c.ColdestC, leastAirC, MostAirC); err != nil {
		return err
	}
	return inRange("hottest air", "C", c.HottestC, c.ColdestC, MostAirC)
}

// A WindowCheck compares one figure of the strings with one limit of the input.
type WindowCheck struct {
	ID            string
	Demand, Limit float64
	Unit          string
	AtLeast       bool   // Demand must reach Limit; otherwise it must not exceed it
	Clips         bool   // beyond the limit energy is lost; otherwise something may break
	OK            bool   // false too when the limit is not given
	Missing       string // key of the input that would allow the check, or ""
	// Modules is how many modules in the string would suit Limit: at most so many, with AtLeast at least so many. 0: no
	// number would, the limit is not given, or it is not about a voltage of one string. Of several sets it is for the
	// module of the one that decides.
	Modules int
}

// ShortCircuitFactor is for sun that is brighter than at standard test conditions for hours. Source: NEC 690.8(A)(1) (SEEN-S).
const ShortCircuitFactor = 1.25

// ParallelSpread is how far the voltages of strings on one input may lie apart. Source: IEC 62548 (memory).
const ParallelSpread = 0.05

// StringWindow checks everything that is connected to one input.
//
// The checks, always all of them and in this order: string-voc-cold, string-vmp-cold, string-vmp-hot, string-start,
// string-current, string-short-circuit, string-power and, where sets differ, string-parallel. Of several sets voltages
// are the worst one's, currents and powers are added. Voltages: [StringVoltages].
//
// An error reports an input, a climate or a set that is out of range, or none at all.
//
// Sources: NEC 690.7 for the longest string (the lowest of input, module and building limit belongs into MaxV: 600 V in
// one- and two-family dwellings); that the shortest is rounded up is the practice of design guidelines.
func StringWindow(in Input, climate Climate, sets ...StringSet) ([]WindowCheck, error) {
	if err := in.check(); err != nil {
		return nil, err
	}
	if len(sets) == 0 {
		return nil, errs.Errorf("no strings on the input, want at least 1")
	}
	var amps, shortA, watts float64
	var vocCold, vmpCold deciding
	vmpHot := deciding{volts: math.Inf(1)}
	vmpHigh, vmpLow := 0.0, math.Inf(1)
	for _, s := range sets {
		v, err := s.Voltages(climate)
		if err != nil {
			return nil, err
		}
		one, err := StringSet{s.Module, 1, 1}.Voltages(climate)
		if err != nil {
			return nil, err
		}
		if v.VocColdV > vocCold.volts {
			vocCold = deciding{v.VocColdV, one.VocColdV}
		}
		if v.VmpColdV > vmpCold.volts {
			vmpCold = deciding{v.VmpColdV, one.VmpColdV}
		}
		if v.VmpHotV < vmpHot.volts {
			vmpHot = deciding{v.VmpHotV, one.VmpHotV}
		}
		vmp := s.Module.VmpV * float64(s.PerString)
		vmpHigh, vmpLow = max(vmpHigh, vmp), min(vmpLow, vmp)
		strings := float64(s.Strings)
		amps += strings * s.Module.ImpA
		shortA += strings * s.Module.IscA * ShortCircuitFactor
		watts += s.RatedW()
	}
	checks := []WindowCheck{
		{ID: "string-voc-cold", Demand: vocCold.volts, Limit: in.MaxV, Unit: "V", Missing: "max_v"},
		{ID: "string-vmp-cold", Demand: vmpCold.volts, Limit: in.TrackMaxV, Unit: "V", Missing: "track_max_v",
			Clips: true},
		{ID: "string-vmp-hot", Demand: vmpHot.volts, Limit: in.TrackMinV, Unit: "V", Missing: "track_min_v",
			Clips: true, AtLeast: true},
		{ID: "string-start", Demand: vmpHot.volts, Limit: in.StartV, Unit: "V", Missing: "start_v", Clips: true,
			AtLeast: true},
		{ID: "string-current", Demand: amps, Limit: in.MaxA, Unit: "A", Missing: "max_a", Clips: true},
		{ID: "string-short-circuit", Demand: shortA, Limit: in.MaxShortCircuitA, Unit: "A",
			Missing: "max_short_circuit_a"},
		{ID: "string-power", Demand: watts, Limit: in.MaxW, Unit: "W", Missing: "max_w", Clips: true},
	}
	if len(sets) > 1 {
		checks = append(checks, WindowCheck{ID: "string-parallel", Demand: vmpHigh,
			Limit: vmpLow * (1 + ParallelSpread), Unit: "V", Clips: true})
	}
	for i := range checks {
		c := &checks[i]
		if c.Limit > 0 {
			c.Missing = ""
			c.OK = c.Demand <= c.Limit && !c.AtLeast || c.Demand >= c.Limit && c.AtLeast
		}
	}
	for i, each := range []float64{vocCold.each, vmpCold.each, vmpHot.each, vmpHot.each} {
		c := &checks[i]
		switch {
		case c.Limit == 0:
		case c.AtLeast:
			c.Modules = leastFor(c.Limit, each)
		default:
			c.Modules = mostWithin(c.Limit, each)
		}
	}
	return checks, nil
}

// deciding is the voltage of the string that decides a check, and that of one module of it.
type deciding struct{ volts, each float64 }

// mostWithin returns the largest n, from 0 up to maxModules with n*eachV <= limitV. The division alone may miss by one
// where it comes out even, and would then contradict StringWindow, which multiplies.
func mostWithin(limitV, eachV float64) int {
	n := int(min(maxModules, limitV/eachV))
	for n > 0 && float64(n)*eachV > limitV {
		n--
	}
	for n < maxModules && float64(n+1)*eachV <= limitV {
		n++
	}
	return n
}

// leastFor returns the smallest n with n*eachV >= limitV, 0 where none up to maxModules does.
func leastFor(limitV, eachV float64) int {
	n := mostWithin(limitV, eachV)
	if float64(n)*eachV < limitV {
		n++
	}
	if n > maxModules {
		return 0
	}
	return max(1, n)
}
