package catalog

import (
	"slices"

	"outlast/catalog/strict"
	"outlast/loads"
)

// An Appliance is a class of appliances: figures typical of one unit, and how far they spread in homes.
type Appliance struct {
	ID, Label, Basis string
	Typical          ApplianceFigures
	Low, High        ApplianceFigures // equal to Typical where the entry does not tell
	PowerFactor      float64          // while it runs
	StartingS        float64          // 0: it draws no more while it starts
	Priority         int
	Medical          bool

	windowH float64 // hours of a day in its windows
	table   *strict.Table
}

// ApplianceFigures are the figures of one unit that spread most within a class.
type ApplianceFigures struct {
	RunningW    float64
	StartingVA  float64 // 0: it draws no more while it starts, or its motor tells
	HoursPerDay float64
}

// Under gives the table of a load with the values of the class for all keys that the load does not give itself. A power
// of a start that the load gives (starting_va, starting_w or motor) replaces the whole start of the class: its power
// factor and its seconds belong to it. Hours that the load gives and the usual windows of the class do not hold replace
// those.
func (a Appliance) Under(t *strict.Table) *strict.Table {
	var drop []string
	if slices.ContainsFunc(LoadExclusive[0], t.Has) {
		drop = []string{"starting_va", "starting_w", "starting_pf", "starting_s", "motor"}
	}
	if h, given := t.Number("hours_per_day"); given && !t.Has("when") && h > a.windowH*(1+1e-12) {
		drop = append(drop, "when")
	}
	return t.Filled(a.table, "use", drop...)
}

// DecodeAppliance reads a class of appliances. ok is false if something was reported.
func DecodeAppliance(t *strict.Table) (a Appliance, ok bool) {
	ok = t.RequireAlone("") && t.Given("basis")
	a.table = t
	setText(t, "id", &a.ID)
	setText(t, "label", &a.Label)
	setText(t, "basis", &a.Basis)
	a.PowerFactor, _ = t.Number("power_factor")
	a.Priority, _ = t.Whole("priority")
	a.Medical, _ = t.Switch("medical")
	a.windowH = hoursOf(DecodeWindows(t))
	a.Typical = decodeFigures(t, ApplianceFigures{})
	if w, given := t.Number("starting_w"); given {
		a.Typical.StartingVA = w
		if pf, given := t.Number("starting_pf"); given {
			a.Typical.StartingVA = w / pf
		}
		if w < a.Typical.RunningW {
			t.Report("starting_w", "", "found %g W, want at least running_w, %g W", w, a.Typical.RunningW)
		}
	}
	a.starts(t, "starting_va", a.Typical)
	a.Low, a.High = a.Typical, a.Typical
	if s := t.Table("low"); s != nil {
		a.Low = decodeFigures(s, a.Typical)
		a.spreads(t, s, a.Low, a.Typical, true)
	}
	if s := t.Table("high"); s != nil {
		a.High = decodeFigures(s, a.Typical)
		a.spreads(t, s, a.High, a.Typical, false)
	}
	if a.Typical.StartingVA > 0 || a.High.StartingVA > 0 || t.Given("motor") {
		a.StartingS, _ = t.Number("starting_s")
	}
	if s := t.Table("high"); s != nil && s.Given("hours_per_day") && t.Sound("when") &&
		a.High.HoursPerDay > a.windowH*(1+1e-12) {
		s.Report("hours_per_day", "", "found %g h, want at most the %.4g h of the windows", a.High.HoursPerDay,
			a.windowH)
	}
	return a, ok && !t.Faulty()
}

// decodeFigures reads the figures that a table gives; the others are those of base.
func decodeFigures(t *strict.Table, base ApplianceFigures) ApplianceFigures {
	setNumber(t, "running_w", &base.RunningW)
	setNumber(t, "starting_va", &base.StartingVA)
	setNumber(t, "hours_per_day", &base.HoursPerDay)
	return base
}

// starts reports a start of less than the running power.
func (a Appliance) starts(t *strict.Table, key string, f ApplianceFigures) {
	if !t.Given(key) || a.PowerFactor == 0 {
		return
	}
	if va := f.RunningW / a.PowerFactor; f.StartingVA < va*(1-1e-12) {
		t.Report(key, "", "found a start of %.4g VA, want at least the running %.4g VA", f.StartingVA, va)
	}
}

// spreads reports an end of the spread that lies on the wrong side of the typical figure.
func (a Appliance) spreads(class, end *strict.Table, f, typical ApplianceFigures, low bool) {
	for _, v := range []struct {
		key           string
		found, middle float64
	}{
		{"running_w", f.RunningW, typical.RunningW}, {"starting_va", f.StartingVA, typical.StartingVA},
		{"hours_per_day", f.HoursPerDay, typical.HoursPerDay},
	} {
		switch {
		case !end.Given(v.key) || !class.Sound(v.key):
		case low && v.found > v.middle && v.middle > 0:
			end.Report(v.key, "", "found %g, want at most the typical %g", v.found, v.middle)
		case !low && v.found < v.middle:
			end.Report(v.key, "", "found %g, want at least the typical %g", v.found, v.middle)
		}
	}
	a.starts(end, "starting_va", f)
}

// DecodeWindows reads the windows of a load, or of a class of appliances, and reports those that overlap and
// hours_per_day that have no room in them. Hours that a load has from its class only are not reported: they shrink to
// the windows.
func DecodeWindows(t *strict.Table) []loads.Window {
	const dayMin = 24 * 60
	var busy [dayMin]bool
	var windows []loads.Window
	for i, s := range t.EachText("when") {
		w, err := loads.ParseWindow(s)
		if err != nil {
			t.ReportItem("when", i, loads.WindowHint(s), "found %s, want %s", strict.Quote(s), err)
			continue
		}
		for m := range dayMin {
			if !w.Holds(m) {
				continue
			}
			if busy[m] {
				t.ReportItem("when", i, "", "found %s, which overlaps another window of this load at %02d:%02d",
					strict.Quote(s), m/60, m%60)
				break
			}
			busy[m] = true
		}
		windows = append(windows, w)
	}
	if h, given := t.Number("hours_per_day"); given && t.Sound("when") && !t.FromBase("hours_per_day") {
		if have, over := (loads.Load{Windows: windows, HoursPerDay: h}).OverWindows(); over {
			t.Report("hours_per_day", "", "found %g h, want at most the %.4g h of its windows", h, have)
		}
	}
	return windows
}

func hoursOf(windows []loads.Window) float64 { return loads.Load{Windows: windows}.WindowHours() }
