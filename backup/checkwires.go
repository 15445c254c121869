package backup

import (
	"fmt"
	"slices"
	"strings"

	"outlast/backup/wiring"
)

// A judge makes one check of the many that package wiring makes of a run: the worst of them, with the names of the others that
// fail.
type judge struct {
	run   *Run
	name  string // of the run, in the ids of its checks
	skip  string // a check that is made elsewhere
	wants map[string]want
}

// A want is what a comparison lacks. Those that are not listed lack what the planner tells in a note: a device that it chose
// itself has no rated voltage to compare, but one that it must have.
type want struct {
	text    string
	caution bool // the missing comparison alone is worth a caution
}

// ofConductor are the comparisons that another conductor answers; the others are about the device.
var ofConductor = []string{"ampacity", "table", "protection", "surge", "drop", "total-drop", "start-drop"}

// decide sets the check of the run. better looks for a conductor in the place of one that the file gives and that fails.
func (j judge) decide(checks []wiring.Check, better func() wiring.Choice) {
	r := j.run
	var worst *wiring.Check
	var failing, missing []string
	status := Pass
	for i := range checks {
		c := &checks[i]
		what := j.what(*c)
		switch {
		case what == j.skip:
			continue
		case c.Wants != "":
			if w, ok := j.wants[what]; ok {
				missing = append(missing, w.text)
				if w.caution {
					status = worse(status, Caution)
				}
			}
			continue
		case c.Status == wiring.Fail:
			failing = append(failing, what)
		}
		if worst == nil || harder(*c, *worst) {
			worst = c
		}
	}
	r.Check = Check{ID: r.ID, Status: status, Unit: "A"}
	if worst != nil {
		r.Check.Demand, r.Check.Limit, r.Check.Unit, r.Check.HasLimit, r.Check.Margin = worst.Demand, worst.Limit, worst.Unit, worst.Limit != 0, worst.Margin
		if len(failing) > 0 {
			r.Check.Status = worse(status, j.failure(failing))
		}
		r.Check.Reason = r.words(j.what(*worst), *worst)
	}
	r.Check.Reason += j.rest(failing, worst, better)
	for _, text := range missing {
		r.Check.Reason += "; " + text
	}
	r.Check.Reason = strings.TrimPrefix(r.Check.Reason, "; ")
}

func (j judge) what(c wiring.Check) string { return strings.TrimPrefix(c.ID, "cable-"+j.name+"-") }

// harder says whether a is the worse of two comparisons: a failure before a pass, then the smaller margin.
func harder(a, b wiring.Check) bool {
	if (a.Status == wiring.Fail) != (b.Status == wiring.Fail) {
		return a.Status == wiring.Fail
	}
	return a.Margin < b.Margin
}

// failure is how bad it is that some comparisons fail. What is there and does not do fails. Where the planner looked for something
// and the tables end before it is found, there is nothing yet that fails: conductors in parallel, or a device from a maker's list, are
// the electrician's business.
func (j judge) failure(failing []string) Status {
	for _, what := range failing {
		chosen := what == "device" && j.run.DeviceChosen
		if slices.Contains(ofConductor, what) {
			chosen = j.run.ConductorChosen
		}
		if !chosen {
			return Fail
		}
	}
	return Caution
}

// rest says what else fails, and what would help.
func (j judge) rest(failing []string, worst *wiring.Check, better func() wiring.Choice) string {
	if len(failing) == 0 {
		return ""
	}
	text := ""
	var others []string
	for _, what := range failing {
		if worst != nil && what != j.what(*worst) {
			others = append(others, subjects[what])
		}
	}
	if len(others) > 0 {
		text = "; it fails as well by " + listed(others)
	}
	if !slices.ContainsFunc(failing, func(what string) bool { return slices.Contains(ofConductor, what) }) {
		return text
	}
	if j.run.ConductorChosen {
		return text + "; no single conductor of the tables does"
	}
	if c := better(); c.Found {
		return text + fmt.Sprintf("; %s would do", c.Size.Name)
	}
	return text + "; no single conductor of the tables would do"
}

// subjects names the comparisons for a list.
var subjects = map[string]string{
	"ampacity": "its current", "table": "its current in the table", "protection": "its " + string(wiring.Breaker), "surge": "the heat of the hardest start",
	"drop": "the voltage drop", "total-drop": "the voltage drop of the whole way", "start-drop": "the voltage drop at a start",
	"device": "the rating of its device", "device-volts": "the voltage of its device", "device-breaking": "the breaking capacity of its device",
	"fuse": "its fuse", "module-fuse": "the fuse that the module bears", "reverse": "the current that the module bears", "fuse-volts": "the voltage of its fuse",
	"isolator-volts": "the voltage of its isolator", "isolator-current": "the current of its isolator",
}

// words puts a comparison into a sentence.
func (r *Run) words(what string, c wiring.Check) string {
	size, kind := r.Conductor.Name, string(r.Device)
	demand, limit := Amount(c.Demand, c.Unit), Amount(c.Limit, c.Unit)
	if c.Unit == "%" {
		demand, limit = fmt.Sprintf("%.3g %%", c.Demand), fmt.Sprintf("%.3g %%", c.Limit)
	}
	good, bad := "", ""
	switch what {
	case "ampacity":
		good = fmt.Sprintf("%s carries %s as it is laid, and %s are asked", size, limit, demand)
		bad = fmt.Sprintf("%s carries only %s as it is laid, and %s are asked", size, limit, demand)
	case "table":
		good = fmt.Sprintf("%s carries %s in the table, and the rule for arrays asks for %s", size, limit, demand)
		bad = fmt.Sprintf("%s carries only %s in the table, and the rule for arrays asks for %s", size, limit, demand)
	case "protection":
		good = fmt.Sprintf("%s may have a %s of up to %s as it is laid, and has one of %s", size, kind, limit, demand)
		bad = fmt.Sprintf("%s may have a %s of only %s as it is laid, but has one of %s", size, kind, limit, demand)
	case "surge":
		good = fmt.Sprintf("%s stands %s while something starts, and %s flow", size, limit, demand)
		bad = fmt.Sprintf("%s stands only %s while something starts, but %s flow", size, limit, demand)
	case "drop":
		good = fmt.Sprintf("%s loses %s of the voltage over %g m, and %s may be lost", size, demand, r.LengthM, limit)
		bad = fmt.Sprintf("%s loses %s of the voltage over %g m, but only %s may be lost", size, demand, r.LengthM, limit)
	case "total-drop":
		good = fmt.Sprintf("%s and the runs before it lose %s of the voltage, and %s may be lost", size, demand, limit)
		bad = fmt.Sprintf("%s and the runs before it lose %s of the voltage, but only %s may be lost", size, demand, limit)
	case "start-drop":
		good = fmt.Sprintf("%s loses %s of the voltage over %g m at the hardest start, and %s may be lost", size, demand, r.LengthM, limit)
		bad = fmt.Sprintf("%s loses %s of the voltage over %g m at the hardest start, but only %s may be lost", size, demand, r.LengthM, limit)
	case "device", "fuse":
		if c.Limit == 0 {
			return fmt.Sprintf("no standard %s is rated for %s", kind, demand)
		}
		good = fmt.Sprintf("the %s is rated for %s, and %s are asked", kind, limit, demand)
		bad = fmt.Sprintf("the %s is rated for only %s, but %s are asked", kind, limit, demand)
	case "device-breaking":
		good = fmt.Sprintf("the %s breaks %s, and a short circuit of the bank drives up to %s", kind, limit, demand)
		bad = fmt.Sprintf("the %s breaks only %s, but a short circuit of the bank drives up to %s", kind, limit, demand)
	case "device-volts", "fuse-volts":
		good = fmt.Sprintf("the %s is rated for %s DC, and up to %s stand there", kind, limit, demand)
		bad = fmt.Sprintf("the %s is rated for only %s DC, but up to %s stand there", kind, limit, demand)
	case "isolator-volts":
		good = fmt.Sprintf("the isolator is rated for %s DC, and a string reaches %s on the coldest morning", limit, demand)
		bad = fmt.Sprintf("the isolator is rated for only %s DC, but a string reaches %s on the coldest morning", limit, demand)
	case "isolator-current":
		good = fmt.Sprintf("the isolator is rated for %s, and a string gives up to %s", limit, demand)
		bad = fmt.Sprintf("the isolator is rated for only %s, but a string gives up to %s", limit, demand)
	case "module-fuse":
		good = fmt.Sprintf("a module bears a fuse of %s, and each string has one of %s", limit, demand)
		bad = fmt.Sprintf("a module bears a fuse of only %s, but each string needs one of %s", limit, demand)
	default: // reverse
		good = fmt.Sprintf("a module bears %s backwards, and the other strings could feed %s into a faulty one", limit, demand)
		bad = fmt.Sprintf("a module bears only %s backwards, but the other strings could feed %s into a faulty one", limit, demand)
	}
	if c.Status == wiring.Fail {
		return bad
	}
	return good
}
