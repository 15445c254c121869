package wiring

import (
	"fmt"

	"outlast/backup/phrase"
	"outlast/backup/working"
)

// A PVString is the cable of one string of the array, or of several strings together, with its fuse and isolator.
type PVString struct {
	Laying           Laying  // its System is taken as DC
	ShortCircuitA    float64 // of one module at standard conditions
	MaxPowerA        float64 // current of one string at its maximum power
	MaxPowerV        float64 // voltage of the string at its maximum power, hot cells for the highest drop
	ColdOpenCircuitV float64 // of the string at the lowest temperature
	Strings          int     // in parallel on the same input; 0 means 1
	// whose current this cable carries: 1 (and 0) for a string's own cable, up to Strings after they are joined
	StringsInCable int
	MaxSeriesFuseA float64 // of the module; 0 means unknown
	LengthM        float64 // one way; 0 means unknown
	CableMM2       float64 // 0: chosen
	Fuse           Device  // in each string, where one is needed; a zero rating is chosen
	Isolator       Device
	Practice       Practice
}

// A PVResult is the conductor, the fuse and the checks.
type PVResult struct {
	MaximumA  float64 // highest current of the cable: factor x short-circuit current
	RatingA   float64 // what the conductor's table and a fuse have to give: factor x that
	FuseA     float64 // in the string; 0 for a joined cable, where none is needed, or where no standard rating is large enough
	Choice    Choice
	IsolatorV float64 // the least that an isolator in this cable must be rated for, DC
	IsolatorA float64
	Checks    []Check // those of the choice first
	steps     func(*working.Part)
	Cautions  []string
}

// Working is how conductor and fuse came about.
func (r PVResult) Working(origins working.Origins) []Step { return written(origins, r.steps) }

// SizePV sizes or tests a cable of the array.
//
// Sources: NEC 690.8(A)(1), 690.8(B) and 690.9: the current is PVFactor (1.25) times the short-circuit current; table
// current and fuse PVFactor times that; what the conductor carries as it is laid at least the former. More than
// UnfusedStrings strings in parallel get a fuse each, at most the module's maximum series fuse (course page, SEEN-S).
// Fewer do without, while what the others feed back stays below that rating (NEC 690.9(A), memory). The input of a
// tracker is held against the physical current, not against these.
func SizePV(s PVString) (PVResult, error) {
	p, err := s.Practice.Filled()
	if err != nil {
		return PVResult{}, err
	}
	s.Strings, s.StringsInCable = max(s.Strings, 1), max(s.StringsInCable, 1)
	if err := firstError(within(phrase.Of("short-circuit current"), s.ShortCircuitA, 0.001, 1000, "A"),
		within(phrase.Of("current at maximum power"), s.MaxPowerA, 0, s.ShortCircuitA, "A"),
		voltRange(phrase.Of("voltage at maximum power"), s.MaxPowerV),
		within(phrase.Of("cold open-circuit voltage"), s.ColdOpenCircuitV, s.MaxPowerV, maxV, "V"),
		within(phrase.Of("strings"), float64(s.Strings), 1, 25, ""),
		within(phrase.Of("strings in the cable"), float64(s.StringsInCable), 1, float64(s.Strings), ""),
		optional(phrase.Of("maximum series fuse"), s.MaxSeriesFuseA, 0.1, maxA, "A"), s.Fuse.check(),
		s.Isolator.check()); err != nil {
		return PVResult{}, err
	}
	n := float64(s.StringsInCable)
	r := PVResult{MaximumA: p.PVFactor * s.ShortCircuitA * n, IsolatorV: s.ColdOpenCircuitV}
	r.RatingA, r.IsolatorA = p.PVFactor*r.MaximumA, r.MaximumA
	t := s.Laying.Tables
	// A joined cable is protected, if at all, by a device of its own: the strings' fuses are in the strings' cables.
	fused := s.StringsInCable == 1 && float64(s.Strings) > p.unfused(practiceDefaults.unfusedArray).value
	if fused {
		if r.FuseA = s.Fuse.RatedA; r.FuseA == 0 {
			r.FuseA, _ = NextRating(t, Fuse, r.RatingA)
		}
	}
	s.Laying.System = DC
	wire := run{Laying: s.Laying, VoltageV: s.MaxPowerV, LengthM: s.LengthM, LoadA: s.MaxPowerA * n,
		NeedA:      r.MaximumA,
		NeedTableA: r.RatingA, DeviceA: r.FuseA, Practice: s.Practice}
	if r.Choice, err = wire.sized(OnWall, s.CableMM2); err != nil {
		return PVResult{}, err
	}
	r.Checks = append(r.Checks, r.Choice.Checks...)
	s.protect(&r, p, fused)
	r.steps = func(w *working.Part) { s.steps(w, r, p, fused) }
	r.Cautions = append(r.Cautions,
		fmt.Sprintf("the array cannot be switched off in daylight and reaches %s V on a cold morning: "+
			"never open a DC connector under load",
			num(s.ColdOpenCircuitV)))
	return r, nil
}

// steps adds the currents of the cable, its fuse and the conductor.
func (s PVString) steps(w *working.Part, r PVResult, p Practice, fused bool) {
	n := float64(s.StringsInCable)
	w.Add(Step{Name: "maximum_a", Title: phrase.Of("Highest current of the cable"),
		Expr: "pv_factor * strings * isc_a", Inputs: []working.Input{in("pv_factor", p.PVFactor, ""),
			in("strings", n, ""), in("isc_a", s.ShortCircuitA, "A")}, Value: r.MaximumA, Unit: "A",
		Sources: whose(p.PVFactor, practiceDefaults.pv)})
	w.Add(Step{Name: "required_table_a", Title: phrase.Of("Rating before conditions of use"),
		Expr: "pv_factor * maximum_a", Inputs: []working.Input{in("pv_factor", p.PVFactor, ""),
			in("maximum_a", r.MaximumA, "A")}, Value: r.RatingA, Unit: "A",
		Sources: whose(p.PVFactor, practiceDefaults.pv)})
	if fused && s.Fuse.RatedA == 0 && r.FuseA > 0 {
		next(w, "fuse_a", eachFuse, "required_table_a", s.Laying.Tables, Fuse, r.RatingA, r.FuseA)
	}
	r.Choice.steps(w)
	if !fused && s.StringsInCable == 1 && s.Strings > 1 {
		w.Add(Step{Name: "reverse_a", Title: phrase.Of("Current that the other strings feed into a faulty one"),
			Expr: "(strings_beside - 1) * pv_factor * isc_a", Inputs: []working.Input{
				in("strings_beside", float64(s.Strings), ""), in("pv_factor", p.PVFactor, ""),
				in("isc_a", s.ShortCircuitA, "A")}, Value: s.reverseA(p), Unit: "A",
			Sources: whose(p.PVFactor, practiceDefaults.pv)})
	}
}

// reverseA is what the other strings of the input feed into a faulty one.
func (s PVString) reverseA(p Practice) float64 {
	return float64(s.Strings-1) * p.PVFactor * s.ShortCircuitA
}

// eachFuse is what a fused string has.
var eachFuse = phrase.Of("fuse in each string")

// protect adds the checks of fuse and isolator.
func (s PVString) protect(r *PVResult, p Practice, fused bool) {
	switch {
	case fused && r.FuseA == 0:
		r.Checks = append(r.Checks, Check{Of: OfFuse, Status: Fail, Demand: r.RatingA, Unit: "A",
			Reason: phrase.Of("no standard %s is rated that high", Fuse.Word())})
	case fused:
		r.Checks = append(r.Checks, compare(OfFuse, r.RatingA, r.FuseA, "A",
			phrase.Of("rating of the %s", eachFuse)))
		r.Checks = append(r.Checks, s.moduleFuse(OfModuleFuse, r.FuseA,
			phrase.Of("fuse in each string, against the module's maximum series fuse")))
		r.Checks = append(r.Checks, s.Fuse.voltCheck(OfFuseVolts, "fuse in each string", eachFuse,
			s.ColdOpenCircuitV))
	case s.StringsInCable == 1 && s.Strings > 1:
		r.Checks = append(r.Checks, s.moduleFuse(OfReverse, s.reverseA(p),
			phrase.Of("what the other strings feed into a faulty one, against the module's maximum series fuse")))
	}
	r.Checks = append(r.Checks, s.Isolator.voltCheck(OfIsolatorVolts, "isolator", phrase.Of("DC isolator"),
		s.ColdOpenCircuitV))
	if s.Isolator.RatedA == 0 {
		r.Checks = append(r.Checks, unknown(OfIsolatorA, r.IsolatorA, "A",
			"rated current of the DC isolator",
			phrase.Of("the DC isolator must carry and switch at least %s A DC", enough(r.IsolatorA))))
	} else {
		r.Checks = append(r.Checks, compare(OfIsolatorA, r.IsolatorA, s.Isolator.RatedA, "A",
			phrase.Of("rated current of the DC isolator")))
	}
}

func (s PVString) moduleFuse(of Comparison, amps float64, what phrase.Phrase) Check {
	if s.MaxSeriesFuseA == 0 {
		return unknown(of, amps, "A", "maximum series fuse of the module",
			phrase.Of("the module's maximum series fuse is not known: it must be at least %s A", enough(amps)))
	}
	return compare(of, amps, s.MaxSeriesFuseA, "A", what)
}
