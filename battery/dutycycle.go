package battery

import (
	"math"

	"outlast/backup/phrase"
	"outlast/backup/working"
)

// A Period is a constant current of the bank, in A, for some minutes.
type Period struct{ CurrentA, Minutes float64 }

// A DutyCycle is what a stationary battery has to deliver, and under which conditions: the question of IEEE 485.
type DutyCycle struct {
	Periods      []Period // in order, at most 2000; shorter than a minute counts as a minute
	Random       Period   // a load that may come at any time; zero: none
	TemperatureC float64  // of the electrolyte, coldest
	Margin       float64  // design margin as a fraction, above -1; the standard has 0.10 to 0.15, memory
	EndOfLife    float64  // share of capacity at which it is replaced, (0, 1]; the standard has 0.80, memory
}

// A DutySection is one section of the method: the periods from the first to the Section-th.
type DutySection struct {
	Terms     []DutyTerm
	Ah        float64 // size that the section asks for
	Skippable bool    // the next period draws more, so that a later section governs
}

// A DutyTerm is one change of current in a section.
type DutyTerm struct {
	ChangeA float64 // against the period before
	Minutes float64 // from its start to the end of the section
	Kt      float64 // rated Ah over the current that the unit can give for so long
	Ah      float64 // ChangeA * Kt
}

// A DutySizing is the answer of [Unit.DutyCycle].
type DutySizing struct {
	Sections      []DutySection
	Governing     int     // index of the largest section
	RandomAh      float64 // size of the random load by itself
	UncorrectedAh float64 // largest section and random load
	Multiplier    float64 // for temperature
	RequiredAh    float64
	Strings       int
	Cautions      []phrase.Phrase

	steps func(*working.Part)
}

// Working is how the size came about, step by step. Inputs that the caller has go by the keys of a site file: rated_ah,
// coldest_c, margin, end_of_life, capacity, and the periods by the name periods.
func (s DutySizing) Working(origins working.Origins) []working.Step { return written(origins, s.steps) }

const (
	maxPeriods   = 2000 // the work grows with the square of it
	minPeriodMin = 1    // IEEE 485: a shorter load counts as a minute, public page quoting it, SEEN
)

var ieee485 = working.IEEE485.At(phrase.Phrase{}, working.Memory)

// DutyCycle sizes a lead-acid bank of this unit by the method of the stationary-battery standard, section by section:
//
//	size(S) = sum over p of (A_p - A_(p-1)) Kt(t_p), t_p from the start of period p to the end of section S
//
// to the end voltage of the unit's discharge table. Depth of discharge is no part of it, so it is a cross-check of
// [Size] and not another sizing. Source: IEEE 485, memory.
func (u Unit) DutyCycle(d DutyCycle) (DutySizing, error) {
	if !u.Chemistry.LeadAcid() {
		return DutySizing{}, errs.Errorf("chemistry %q, want lead-acid for the duty-cycle method", u.Chemistry)
	}
	if err := checkSizable(u, 1); err != nil {
		return DutySizing{}, err
	}
	if err := d.check(); err != nil {
		return DutySizing{}, err
	}
	var s DutySizing
	fast := false
	kt := func(minutes float64) float64 {
		a, extrapolated := u.DischargeA(minutes / 60)
		fast = fast || extrapolated
		return u.RatedAh / a
	}
	s.Sections = make([]DutySection, len(d.Periods))
	for end := range d.Periods {
		s.Sections[end] = d.section(end, kt)
		if s.Sections[end].Ah > s.Sections[s.Governing].Ah {
			s.Governing = end
		}
	}
	if d.Random.CurrentA > 0 {
		s.RandomAh = d.Random.CurrentA * kt(max(minPeriodMin, d.Random.Minutes))
	}
	governing := s.Sections[s.Governing]
	s.UncorrectedAh = governing.Ah + s.RandomAh
	var inTable bool
	s.Multiplier, inTable = IEEE485Multiplier(d.TemperatureC)
	s.RequiredAh = s.UncorrectedAh * s.Multiplier * (1 + d.Margin) / d.EndOfLife
	n := math.Ceil(s.RequiredAh / u.RatedAh * (1 - slack))
	if !(n <= maxStrings) {
		return DutySizing{}, failure(phrase.Of("the duty cycle requires %.3g Ah, want at most %g strings of %g Ah",
			s.RequiredAh, maxStrings, u.RatedAh))
	}
	s.Strings = max(1, int(n))
	if fast {
		s.Cautions = append(s.Cautions,
			phrase.Of("a period is shorter than the capacity table of the unit; its first segment is extrapolated"))
	}
	if !inTable {
		s.Cautions = append(s.Cautions, phrase.Of("%s is colder than the temperature table; it is extrapolated",
			phrase.Amount{Value: d.TemperatureC, Unit: "C"}))
	}

	s.steps = func(w *working.Part) { u.dutySteps(w, d, s) }
	return s, nil
}

// failure is an error that the papers can tell in any language.
func failure(text phrase.Phrase) error { return errs.Of(phrase.Error{Phrase: text}) }

// section works one section: from the first period to the one with index end.
func (d DutyCycle) section(end int, kt func(minutes float64) float64) DutySection {
	minutes, before := 0.0, make([]float64, end+1)
	for p := end; p >= 0; p-- {
		minutes += max(minPeriodMin, d.Periods[p].Minutes)
		before[p] = minutes
	}
	var sec DutySection
	last := 0.0
	for p := range end + 1 {
		change := d.Periods[p].CurrentA - last
		last = d.Periods[p].CurrentA
		if change == 0 {
			continue
		}
		t := DutyTerm{ChangeA: change, Minutes: before[p], Kt: kt(before[p])}
		t.Ah = t.ChangeA * t.Kt
		sec.Terms = append(sec.Terms, t)
		sec.Ah += t.Ah
	}
	sec.Skippable = end+1 < len(d.Periods) && d.Periods[end+1].CurrentA > d.Periods[end].CurrentA
	return sec
}

func (d DutyCycle) check() error {
	if len(d.Periods) == 0 || len(d.Periods) > maxPeriods {
		return errs.Errorf("%d periods, want 1 to %d", len(d.Periods), maxPeriods)
	}
	for _, p := range append(d.Periods[:len(d.Periods):len(d.Periods)], d.Random) {
		if !(p.CurrentA >= 0) || !(p.Minutes >= 0) || math.IsInf(p.CurrentA, 1) || math.IsInf(p.Minutes, 1) {
			return errs.Errorf("period of %g A for %g min, want finite numbers of at least 0", p.CurrentA, p.Minutes)
		}
	}
	if !(d.Margin > -1) || math.IsInf(d.Margin, 1) {
		return errs.Errorf("margin %g, want a finite number above -1", d.Margin)
	}
	if !(d.EndOfLife > 0 && d.EndOfLife <= 1) {
		return errs.Errorf("end_of_life %g, want above 0 and at most 1", d.EndOfLife)
	}
	if !finite(d.TemperatureC) {
		return errs.Errorf("temperature %g C, want a finite number", d.TemperatureC)
	}
	return nil
}

// ieee485Multiplier is the multiplier of the required capacity by temperature in degrees F. Above 77 F the standard
// goes on down to 0.85; common practice takes no credit for it, so the table ends there.
var ieee485Multiplier = []point{
	{25, 1.520, ieee485}, {30, 1.430, ieee485}, {35, 1.350, ieee485}, {40, 1.300, ieee485}, {45, 1.250, ieee485},
	{50, 1.190, ieee485}, {55, 1.150, ieee485}, {60, 1.110, ieee485}, {65, 1.080, ieee485}, {68, 1.056, ieee485},
	{70, 1.040, ieee485}, {75, 1.011, ieee485}, {77, 1.000, ieee485},
}

// IEEE485Multiplier returns by how much a lead-acid battery must be larger in cells at tempC: the table of IEEE 485,
// memory, straight between its points, 1 at 25 C and above. inTable is false where it is colder than the table.
// [TemperatureFactor], whose source was seen, is what [Size] uses; the two agree at 40, 50, 60 and 70 F.
func IEEE485Multiplier(tempC float64) (m float64, inTable bool) {
	if tempC >= referenceC {
		return 1, true
	}
	m, inTable = interpolate(ieee485Multiplier, toF(tempC))
	return min(m, 1/capacityFloor), inTable
}
