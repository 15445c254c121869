package site

import (
	"errors"
	"fmt"
	"slices"

	"outlast/backup/fault"
	"outlast/catalog"
	"outlast/catalog/strict"
	"outlast/loads"
)

func (r *reader) readLoads() {
	ids := make([]string, len(r.site.Circuits))
	phases := map[string]int{}
	for i, c := range r.site.Circuits {
		ids[i] = c.ID
		phases[c.ID] = c.Phase
	}
	seen := map[string]bool{}
	own := newNamer(r.root.Tables("load"), "name")
	for _, t := range r.root.Tables("load") {
		var l loads.Load
		class, t := r.classOf(t)
		r.loads = append(r.loads, t)
		name, ok := t.Text("name")
		if ok && seen[name] {
			t.Report("name", "", "found %s a second time, want each name once", strict.Quote(name))
		}
		seen[name] = true
		l.Name = name
		if class != nil && !t.Has("name") {
			l.Name = own.unique(class.name(), " ")
			t.NoteDefault("name", l.Name)
		}
		if id, ok := t.Text("circuit"); ok {
			phase, known := phases[id]
			if !known && !r.nameless {
				hint := ""
				if near := strict.Nearest(id, ids); near != "" {
					hint = fmt.Sprintf("did you mean %q?", near)
				}
				t.Report("circuit", hint, "found %s, want the id of a [[circuit]]", strict.Quote(id))
			}
			l.CircuitID, l.Phase = id, phase
		}
		l.Quantity, _ = t.Whole("quantity")
		l.RunningW, _ = t.Number("running_w")
		l.PowerFactor, _ = t.Number("power_factor")
		l.HoursPerDay, _ = t.Number("hours_per_day")
		l.Priority, _ = t.Whole("priority")
		l.HeldOff, _ = t.Switch("held_off")
		l.Interlock, _ = t.Text("interlock")
		l.Medical, _ = t.Switch("medical")
		l.DropBelow, _ = t.Number("drop_below")
		l.RidesThroughMs = optional(t, "rides_through_ms")
		if l.Medical && l.DropBelow > 0 {
			t.Report("drop_below", "", "found %g, want 0: a medical load is never dropped", l.DropBelow)
		}
		r.readMonths(t, &l)
		l.Windows = catalog.DecodeWindows(t)
		if c := t.Table("cycle"); c != nil {
			on, _ := c.Number("on_min")
			off, _ := c.Number("off_min")
			l.Cycle = &loads.Cycle{OnMin: on, OffMin: off}
		}
		if class != nil {
			class.fitHours(&l)
			r.assumeCircuit(class, &l)
		}
		r.readStart(t, &l, class)
		if class != nil {
			l.Typical = class.typical(&l)
		}
		if startUnknown(&l) {
			t.NoteDefault("starting_va", "none")
		}
		r.site.Loads = append(r.site.Loads, l)
	}
}

func (r *reader) readMonths(t *strict.Table, l *loads.Load) {
	l.Months = loads.AllMonths
	list, ok := t.Numbers("months")
	if !ok {
		return
	}
	l.Months = 0
	for _, m := range list {
		l.Months |= loads.MonthsOf(int(m))
	}
	r.season(t, l)
}

// readStart fills the start of a load from starting_va, starting_w or motor.
func (r *reader) readStart(t *strict.Table, l *loads.Load, class *class) {
	key := ""
	for _, k := range []string{"starting_va", "starting_w", "motor"} {
		if t.Given(k) {
			key = k
		}
	}
	if key == "" {
		startless(t, class)
		return
	}
	seconds, _ := t.Number("starting_s")
	pf, hasPF := t.Number("starting_pf")
	start := loads.Start{Seconds: seconds}
	runningVA := l.Running().VA()
	switch key {
	case "starting_va":
		va, _ := t.Number(key)
		va *= class.grown(key, l)
		start.PlainVA = va
		if hasPF {
			start.PlainVA, start.Power = 0, loads.FromPF(va*pf, pf)
		}
	case "starting_w":
		w, _ := t.Number(key)
		w *= class.grown(key, l)
		start.PlainVA = w
		if hasPF {
			start.PlainVA, start.Power = 0, loads.FromPF(w, pf)
		}
		if w < l.RunningW {
			t.Report(key, "", "found %g W, want at least running_w, %g W", w, l.RunningW)
			return
		}
		if !t.Sound("starting_pf") {
			return
		}
	case "motor":
		if l.RunningW == 0 {
			if t.Given("running_w") {
				t.Report(key, "", "found a motor whose running_w is 0, want more than 0")
			}
			return
		}
		m, va, ok := r.motor(t.Table(key), l, runningVA)
		if !ok {
			return
		}
		if !hasPF {
			pf, start.PFAssumed = m.StartingPF(l.RunningW, r.phasesOf(l)), true
			t.NoteDefault("starting_pf", fmt.Sprintf("%.3g with motor", pf))
		}
		l.Motor = &m
		start.Power = loads.FromPF(va*pf, pf)
	}
	if va := start.VA(); va < runningVA*(1-1e-12) {
		t.Report(key, "", "found a start of %.4g VA, want at least the running %.4g VA", va, runningVA)
		return
	}
	l.Start = &start
}

// startless reports what is told of a start where there is none. A start that was written wrongly has been reported, as
// has a class that is not there; one that the class has at an end of its spread is a start.
func startless(t *strict.Table, class *class) {
	switch {
	case slices.ContainsFunc(catalog.LoadExclusive[0], t.Has), class == nil && t.Has("use"),
		class != nil && (class.Low.StartingVA > 0 || class.High.StartingVA > 0):
		return
	}
	for _, key := range []string{"starting_pf", "starting_s"} {
		if t.Given(key) && !t.FromBase(key) {
			t.Report(key, "", "found no start that it belongs to, want starting_va, starting_w or motor beside it")
			return // one start is missing, whatever is told of it
		}
	}
}

// motor reads what the plate tells of a motor, and what it draws while it starts.
func (r *reader) motor(t *strict.Table, l *loads.Load, runningVA float64) (m loads.Motor, va float64, ok bool) {
	if t == nil || t.Faulty() {
		return m, 0, false
	}
	m.HP, _ = t.Number("hp")
	m.KW, _ = t.Number("kw")
	m.Code, _ = t.Text("code")
	m.LockedRotorA, _ = t.Number("locked_rotor_a")
	m.Times, _ = t.Number("times")
	method, _ := t.Text("method")
	m.Method = loads.Method(method)
	if t.Given("code") && m.HP == 0 && m.KW == 0 {
		t.Report("code", "", "found no power that the letter counts for, want hp or kw beside it")
		return m, 0, false
	}
	if t.Given("locked_rotor_a") && r.site.NominalV == 0 {
		return m, 0, false // reported at [site]
	}
	va, err := m.StartingVA(runningVA, r.site.NominalV, r.phasesOf(l))
	if err != nil {
		said := fault.Reason(err)
		var code *loads.CodeError
		if errors.As(err, &code) {
			said = fmt.Errorf("found %q, %s", code.Code, code.Why)
		}
		t.Report(atFirst(t, "code", "locked_rotor_a", "times"), "", "%s", said)
		return m, 0, false
	}
	return m, va, true
}

// phasesOf is how many phases a load uses.
func (r *reader) phasesOf(l *loads.Load) int {
	if l.Phase == 0 {
		return max(1, r.site.Phases)
	}
	return 1
}

// atFirst is the first of the keys that the table gives.
func atFirst(t *strict.Table, keys ...string) string {
	for _, key := range keys {
		if t.Has(key) {
			return key
		}
	}
	return keys[0]
}
