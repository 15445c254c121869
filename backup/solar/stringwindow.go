package solar

import (
	"fmt"
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
		return fmt.Errorf("solar: input track_min_v %g V, want at most track_max_v, %g V", in.TrackMinV, in.TrackMaxV)
	}
	return nil
}

// A Climate is the range of air temperatures that strings must live with.
type Climate struct {
	ColdestC float64 // lowest expected, a record rather than a mean; cells at dawn are as cold as the air
	HottestC float64 // highest expected; cells in the sun are hotter
}

func (c Climate) check() error {
	if err := inRange("coldest air", "C", c.ColdestC, leastAirC, mostAirC); err != nil {
		return err
	}
	return inRange("hottest air", "C", c.HottestC, c.ColdestC, mostAirC)
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
}

// shortCircuitFactor: sun brighter than standard test conditions for hours. Source: NEC 690.8(A)(1) (SEEN-S).
const shortCircuitFactor = 1.25

// parallelSpread is how far the voltages of strings on one input may lie apart. Source: IEC 62548 (memory).
const parallelSpread = 0.05

// StringWindow checks everything that is connected to one input.
//
// The checks, always all of them and in this order: string-voc-cold, string-vmp-cold, string-vmp-hot, string-start,
// string-current, string-short-circuit, string-power and, where sets differ, string-parallel. Of several sets voltages
// are the worst one's, currents and powers are added. Voltages: [StringVoltages].
//
// An error reports an input, a climate or a set that is out of range, or none at all.
func StringWindow(in Input, climate Climate, sets ...StringSet) ([]WindowCheck, error) {
	if err := in.check(); err != nil {
		return nil, err
	}
	if len(sets) == 0 {
		return nil, fmt.Errorf("solar: no strings on the input, want at least 1")
	}
	var vocCold, vmpCold, amps, shortA, watts float64
	vmpHot, vmpHigh, vmpLow := math.Inf(1), 0.0, math.Inf(1)
	for _, s := range sets {
		v, err := s.Voltages(climate)
		if err != nil {
			return nil, err
		}
		vocCold, vmpCold, vmpHot = max(vocCold, v.VocColdV), max(vmpCold, v.VmpColdV), min(vmpHot, v.VmpHotV)
		vmp := s.Module.VmpV * float64(s.PerString)
		vmpHigh, vmpLow = max(vmpHigh, vmp), min(vmpLow, vmp)
		strings := float64(s.Strings)
		amps += strings * s.Module.ImpA
		shortA += strings * s.Module.IscA * shortCircuitFactor
		watts += s.RatedW()
	}
	checks := []WindowCheck{
		{ID: "string-voc-cold", Demand: vocCold, Limit: in.MaxV, Unit: "V", Missing: "max_v"},
		{ID: "string-vmp-cold", Demand: vmpCold, Limit: in.TrackMaxV, Unit: "V", Missing: "track_max_v", Clips: true},
		{ID: "string-vmp-hot", Demand: vmpHot, Limit: in.TrackMinV, Unit: "V", Missing: "track_min_v", Clips: true, AtLeast: true},
		{ID: "string-start", Demand: vmpHot, Limit: in.StartV, Unit: "V", Missing: "start_v", Clips: true, AtLeast: true},
		{ID: "string-current", Demand: amps, Limit: in.MaxA, Unit: "A", Missing: "max_a", Clips: true},
		{ID: "string-short-circuit", Demand: shortA, Limit: in.MaxShortCircuitA, Unit: "A", Missing: "max_short_circuit_a"},
		{ID: "string-power", Demand: watts, Limit: in.MaxW, Unit: "W", Missing: "max_w", Clips: true},
	}
	if len(sets) > 1 {
		checks = append(checks, WindowCheck{ID: "string-parallel", Demand: vmpHigh, Limit: vmpLow * (1 + parallelSpread), Unit: "V", Clips: true})
	}
	for i := range checks {
		c := &checks[i]
		if c.Limit > 0 {
			c.Missing = ""
			c.OK = c.Demand <= c.Limit && !c.AtLeast || c.Demand >= c.Limit && c.AtLeast
		}
	}
	return checks, nil
}

// StringLengths returns the shortest and the longest string of a module whose voltages suit the input, in modules.
// A limit that is not given does not bind; longest is 1000 when none does. longest below shortest: no string fits, and
// shortest is 1001 when no string of the module is long enough.
//
// Source: NEC 690.7 for the longest (the lowest of input, module and building limit belongs into MaxV: 600 V in
// one- and two-family dwellings); rounding the shortest up is the practice of design guidelines.
func StringLengths(in Input, climate Climate, m Module) (shortest, longest int, err error) {
	if err := in.check(); err != nil {
		return 0, 0, err
	}
	one, err := StringSet{m, 1, 1}.Voltages(climate)
	if err != nil {
		return 0, 0, err
	}
	shortest, longest = 1, maxModules
	if in.MaxV > 0 {
		longest = min(longest, mostWithin(in.MaxV, one.VocColdV))
	}
	if in.TrackMaxV > 0 {
		longest = min(longest, mostWithin(in.TrackMaxV, one.VmpColdV))
	}
	if low := max(in.TrackMinV, in.StartV); low > 0 {
		shortest = mostWithin(low, one.VmpHotV)
		if float64(shortest)*one.VmpHotV < low {
			shortest++
		}
	}
	return max(1, shortest), longest, nil
}

// mostWithin returns the largest n up to maxModules with n*eachV <= limitV. The division alone may miss by one where it comes out
// even, and would then contradict StringWindow, which multiplies.
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
