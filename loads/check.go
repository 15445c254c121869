package loads

import (
	"fmt"
	"math"

	"outlast/backup/fault"
)

// errs makes the errors of this package.
const errs = fault.In("loads")

// maxLoadVA bounds what all units of one load may draw, running or starting: far above any home, and
// small enough that sums stay whole numbers and squares finite.
const maxLoadVA = 1e12

// Check tells the first thing that is wrong with a load on a supply of 1, 2 or 3 phases, or nil.
func (l Load) Check(phases int) error {
	wrong := func(what string, value any, want string) error {
		return errs.Errorf("%q: %s %v, want %s", l.Name, what, value, want)
	}
	if l.Phase < 0 || l.Phase > phases {
		return wrong("phase", l.Phase, fmt.Sprintf("0 to %d", phases))
	}
	if l.Quantity < 0 {
		return wrong("quantity", l.Quantity, "0 or more")
	}
	for _, n := range []struct {
		what  string
		value float64
	}{{"running power", l.RunningW}, {"hours per day", l.HoursPerDay}} {
		if !(n.value >= 0) || math.IsInf(n.value, 1) {
			return wrong(n.what, n.value, "a finite number, 0 or more")
		}
	}
	if l.PowerFactor != 0 && !(l.PowerFactor > 0 && l.PowerFactor <= 1) {
		return wrong("power factor", l.PowerFactor, "above 0 and at most 1")
	}
	if va := l.RunningAll().VA(); !(va <= maxLoadVA) {
		return wrong("running VA of all units", va, fmt.Sprintf("at most %g", maxLoadVA))
	}
	if l.Start != nil {
		s := *l.Start
		if !(min(s.Power.W, s.Power.VAr, s.PlainVA, s.Seconds) >= 0) || math.IsInf(s.Seconds, 1) {
			return wrong("start", s, "finite numbers, 0 or more")
		}
		if va := s.VA() * float64(l.Quantity); !(va <= maxLoadVA) {
			return wrong("starting VA of all units", va, fmt.Sprintf("at most %g", maxLoadVA))
		}
	}
	return l.checkWindows(wrong)
}

func (l Load) checkWindows(wrong func(what string, value any, want string) error) error {
	for k, w := range l.Windows {
		if w.StartMin < 0 || w.StartMin >= minutesPerDay || w.EndMin < 0 || w.EndMin > minutesPerDay ||
			w.Minutes() == 0 {
			return wrong("window", w, "a start of 0 to 1439 and another end, 0 to 1440")
		}
		for _, v := range l.Windows[:k] {
			if v.Holds(w.StartMin) || w.Holds(v.StartMin) { // one of two that overlap begins within the other
				return wrong("window", w, "no minute in two windows")
			}
		}
	}
	if hours, over := l.OverWindows(); over {
		return wrong("hours per day", l.HoursPerDay, fmt.Sprintf("at most the %g h of its windows", hours))
	}
	return nil
}
