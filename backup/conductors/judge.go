package conductors

import (
	"slices"

	"outlast/backup/phrase"
	"outlast/backup/verdict"
	"outlast/backup/wiring"
	"outlast/backup/wording"
)

// A judge makes one check of the many that package wiring makes of a run: the worst of them, with the names of the
// others that fail.
type judge struct {
	run   *Run
	skip  wiring.Comparison // one that is made elsewhere; 0: none
	wants map[wiring.Comparison]want
	curt  bool // without the words of what does not fail
}

// A want is what a comparison lacks. Those that are not listed lack what the planner tells in a note: a device that it
// chose itself has no rated voltage to compare, but one that it must have.
type want struct {
	text    phrase.Phrase
	caution bool // the missing comparison alone is worth a caution
}

// decide sets the check of the run. better looks for a conductor in the place of one that the file gives and that
// fails.
func (j judge) decide(checks []wiring.Check, better func() wiring.Choice) {
	r := j.run
	var worst *wiring.Check
	var failing []wiring.Comparison
	var said, missing []phrase.Phrase
	status := verdict.Pass
	for i := range checks {
		c := &checks[i]
		what := c.Of
		switch {
		case what == j.skip:
			continue
		case c.Wants != "":
			if w, ok := j.wants[what]; ok {
				missing = append(missing, w.text)
				if w.caution {
					status = verdict.Worse(status, verdict.Caution)
				}
			}
			continue
		case c.Status == wiring.Fail:
			failing = append(failing, what)
		}
		if !j.curt {
			r.Laid.Compared = append(r.Laid.Compared, *c)
		}
		if worst == nil || harder(*c, *worst) {
			worst = c
		}
	}
	r.Check = verdict.Check{ID: r.ID, Status: status, Unit: "A"}
	if worst != nil {
		r.worst = worst
		r.Check.Demand, r.Check.Limit, r.Check.Unit, r.Check.HasLimit, r.Check.Margin = worst.Demand, worst.Limit,
			worst.Unit, worst.Limit != 0, worst.Margin
		if len(failing) > 0 {
			r.Check.Status = verdict.Worse(status, j.failure(failing))
		}
		if j.curt && r.Check.Status != verdict.Fail {
			return
		}
		said = append(said, r.words(*worst))
	}
	said = append(append(said, j.rest(failing, worst, better)...), missing...)
	r.Check.Reason = phrase.Separated(said, "; ")
}

// harder says whether a is the worse of two comparisons: a failure before a pass, then the smaller margin.
func harder(a, b wiring.Check) bool {
	if (a.Status == wiring.Fail) != (b.Status == wiring.Fail) {
		return a.Status == wiring.Fail
	}
	return a.Margin < b.Margin
}

// failure is how bad it is that some comparisons fail. What is there and does not do fails. Where the planner looked
// for something and the tables end before it is found, there is nothing yet that fails: conductors in parallel, or a
// device from a maker's list, are the electrician's business.
func (j judge) failure(failing []wiring.Comparison) verdict.Status {
	for _, what := range failing {
		chosen := what == wiring.OfDevice && j.run.DeviceChosen
		if what.OfConductor() {
			chosen = j.run.ConductorChosen
		}
		if !chosen {
			return verdict.Fail
		}
	}
	return verdict.Caution
}

// rest says what else fails, and what would help; it marks a run for which nothing of the tables does.
func (j judge) rest(failing []wiring.Comparison, worst *wiring.Check, better func() wiring.Choice) []phrase.Phrase {
	if len(failing) == 0 {
		return nil
	}
	var out, others []phrase.Phrase
	for _, what := range failing {
		if worst != nil && what != worst.Of {
			others = append(others, subjects[what])
		}
	}
	if len(others) > 0 {
		out = append(out, phrase.Of("it also fails by %s", phrase.List(others)))
	}
	if !slices.ContainsFunc(failing, wiring.Comparison.OfConductor) {
		return out
	}
	if j.run.ConductorChosen {
		j.run.NoneDoes = true
		return append(out, phrase.Of("no single conductor of the tables will do"))
	}
	if c := better(); c.Found {
		return append(out, phrase.Of("%s would do", phrase.Measure(c.Size.Name)))
	}
	return append(out, phrase.Of("no single conductor of the tables would do"))
}

// Subject names a comparison for a list.
func Subject(c wiring.Comparison) phrase.Phrase { return subjects[c] }

// subjects names the comparisons for a list.
var subjects = map[wiring.Comparison]phrase.Phrase{
	wiring.OfAmpacity: phrase.Of("its current"), wiring.OfTable: phrase.Of("its tabulated current"),
	wiring.OfProtection:    phrase.Of("its circuit breaker"),
	wiring.OfSurge:         phrase.Of("the heating of the largest start"),
	wiring.OfDrop:          phrase.Of("the voltage drop"),
	wiring.OfTotalDrop:     phrase.Of("the voltage drop of the whole way"),
	wiring.OfStartDrop:     phrase.Of("the voltage drop at a start"),
	wiring.OfDevice:        phrase.Of("the rating of its device"),
	wiring.OfBehind:        phrase.Of("the protection by its circuit breaker"),
	wiring.OfWindow:        phrase.Of("a circuit breaker that no list has"),
	wiring.OfDeviceVolts:   phrase.Of("the voltage of its device"),
	wiring.OfBreaking:      phrase.Of("the breaking capacity of its device"),
	wiring.OfFuse:          phrase.Of("its fuse"),
	wiring.OfModuleFuse:    phrase.Of("the maximum series fuse of the module"),
	wiring.OfReverse:       phrase.Of("the reverse current of the module"),
	wiring.OfFuseVolts:     phrase.Of("the voltage of its fuse"),
	wiring.OfIsolatorVolts: phrase.Of("the voltage of its DC isolator"),
	wiring.OfIsolatorA:     phrase.Of("the current of its DC isolator"),
}

// words puts a comparison into a sentence.
func (r *Run) words(c wiring.Check) phrase.Phrase {
	size, kind := phrase.Measure(r.Conductor.Name), r.Device.Word()
	demand, limit := phrase.Symbols("%s", wording.Amount(c.Demand, c.Unit)),
		phrase.Symbols("%s", wording.Amount(c.Limit, c.Unit))
	if c.Unit == "%" {
		a, b := wording.Percents(c.Demand, c.Limit)
		demand, limit = phrase.Symbols("%s %%", a), phrase.Symbols("%s %%", b)
	}
	var good, bad phrase.Phrase
	switch c.Of {
	case wiring.OfAmpacity:
		good = phrase.Of("%s as installed: current-carrying capacity %s, required %s", size, limit, demand)
		bad = phrase.Of("%s as installed: current-carrying capacity only %s, required %s", size, limit, demand)
	case wiring.OfTable:
		good = phrase.Of("%s: tabulated current-carrying capacity %s, required by the rule for arrays %s", size, limit,
			demand)
		bad = phrase.Of("%s: tabulated current-carrying capacity only %s, required by the rule for arrays %s", size,
			limit, demand)
	case wiring.OfProtection:
		good = phrase.Of("%s may have a %s of up to %s as installed, and has one of %s", size, kind, limit, demand)
		bad = phrase.Of("%s may have a %s of only %s as installed, but has one of %s", size, kind, limit, demand)
	case wiring.OfSurge:
		good = phrase.Of("%s withstands %s during a start; the starting current is %s", size, limit, demand)
		bad = phrase.Of("%s withstands only %s during a start; the starting current is %s", size, limit, demand)
	case wiring.OfDrop:
		good = phrase.Of("%s: voltage drop %s over %s, permitted %s", size, demand, wording.Amount(r.LengthM, "m"),
			limit)
		bad = phrase.Of("%s: voltage drop %s over %s, permitted only %s", size, demand, wording.Amount(r.LengthM, "m"),
			limit)
	case wiring.OfTotalDrop:
		good = phrase.Of("%s and the runs before it: voltage drop %s, permitted %s", size, demand, limit)
		bad = phrase.Of("%s and the runs before it: voltage drop %s, permitted only %s", size, demand, limit)
	case wiring.OfStartDrop:
		good = phrase.Of("%s: voltage drop %s over %s at the largest start, permitted %s", size, demand,
			wording.Amount(r.LengthM, "m"), limit)
		bad = phrase.Of("%s: voltage drop %s over %s at the largest start, permitted only %s", size, demand,
			wording.Amount(r.LengthM, "m"), limit)
	case wiring.OfDevice, wiring.OfFuse:
		if c.Limit == 0 {
			none := phrase.Of("no standard %s is rated for %s", kind, demand)
			if r.Kind == Bank && r.Device == wiring.Breaker {
				return phrase.Of("%s: plan a fuse (bank_device), or take one from a maker's list", none)
			}
			return none
		}
		good = phrase.Of("the %s is rated for %s, required %s", kind, limit, demand)
		bad = phrase.Of("the %s is rated for only %s, required %s", kind, limit, demand)
	case wiring.OfBehind:
		good = phrase.Of("the circuit breaker of %s protects %s, which is rated for %s", demand, r.protects(), limit)
		bad = phrase.Of("the circuit breaker of %s does not protect %s, which is rated for only %s", demand,
			r.protects(), limit)
	case wiring.OfWindow:
		return r.window(c.Demand)
	case wiring.OfBreaking:
		good = phrase.Of("the %s has a breaking capacity of %s; prospective short-circuit current of the bank: up to %s",
			kind, limit, demand)
		bad = phrase.Of("the %s has a breaking capacity of only %s; prospective short-circuit current of the bank: up to %s",
			kind, limit, demand)
	case wiring.OfDeviceVolts, wiring.OfFuseVolts:
		good = phrase.Of("the %s is rated for %s DC; the voltage there is up to %s", kind, limit, demand)
		bad = phrase.Of("the %s is rated for only %s DC, but the voltage there is up to %s", kind, limit, demand)
	case wiring.OfIsolatorVolts:
		good = phrase.Of("the DC isolator is rated for %s DC, and a string reaches %s on the coldest morning", limit,
			demand)
		bad = phrase.Of("the DC isolator is rated for only %s DC, but a string reaches %s on the coldest morning",
			limit, demand)
	case wiring.OfIsolatorA:
		good = phrase.Of("the DC isolator is rated for %s, and a string gives up to %s", limit, demand)
		bad = phrase.Of("the DC isolator is rated for only %s, but a string gives up to %s", limit, demand)
	case wiring.OfModuleFuse:
		good = phrase.Of("maximum series fuse of the module: %s; each string has a fuse of %s", limit, demand)
		bad = phrase.Of("maximum series fuse of the module: only %s, but each string requires a fuse of %s", limit,
			demand)
	default: // wiring.OfReverse
		good = phrase.Of("permitted reverse current of a module: %s; the other strings could feed %s into a faulty one",
			limit, demand)
		bad = phrase.Of("permitted reverse current of a module: only %s, but the other strings could feed %s into a faulty one",
			limit, demand)
	}
	if c.Status == wiring.Fail {
		return bad
	}
	return good
}

// protects is what the breaker of a run protects beside its conductor.
func (r *Run) protects() phrase.Phrase {
	if r.Kind == Input {
		return phrase.Of("the grid input of the inverter")
	}
	return phrase.Of("the transfer relay of the inverter")
}

// window says why no standard breaker does: on which side there is none.
func (r *Run) window(needA float64) phrase.Phrase {
	asked, bears := wording.Amount(needA, "A"), wording.Amount(r.BearsA, "A")
	switch {
	case r.tooSmallA == 0:
		return phrase.Of("%s is rated for only %s, and no standard circuit breaker is so small: the next has %s",
			r.protects(), bears, wording.Amount(r.tooLargeA, "A"))
	case needA > r.BearsA*(1+verdict.Slack):
		return phrase.Of("the circuit breaker must carry %s, but %s is rated for only %s: move a circuit to the main board",
			asked, r.protects(), bears)
	}
	return phrase.Of("no standard circuit breaker lies between the %s that it must carry and the rating of %s for "+
		"%s: %s is too little and %s too much; move a circuit to the main board, or take a circuit breaker from a maker's list",
		asked, bears, r.protects(), wording.Amount(r.tooSmallA, "A"), wording.Amount(r.tooLargeA, "A"))
}
