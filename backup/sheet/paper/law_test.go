package paper_test

import (
	"context"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"
	"testing"

	"outlast/backup"
	"outlast/backup/calendar"
	"outlast/backup/sheet/paper"
	"outlast/backup/sheet/paper/doc"
	"outlast/backup/site"
	"outlast/backup/study"
	"outlast/backup/verdict"
	"outlast/loads"
)

// A law compares what the papers of one home tell people to do with what its plan was worked out with.
type law struct {
	*testing.T
	home   string
	plan   *backup.Plan
	papers *doc.Document
	made   map[string]int // comparisons, by kind
}

// holds makes one comparison of a kind.
func (l *law) holds(kind string, ok bool, format string, args ...any) {
	l.Helper()
	l.made[kind]++
	if !ok {
		l.Errorf("%s: %s: %s", l.home, kind, fmt.Sprintf(format, args...))
	}
}

// table is a printed table.
func (l *law) table(id string) *doc.Table {
	l.Helper()
	return tableOf(l.T, l.papers, id)
}

// settings are the printed figures to enter, by their words; as printed, not with all their digits.
func (l *law) settings() map[string]float64 {
	out := map[string]float64{}
	for _, row := range l.table("settings").Rows {
		if x, err := strconv.ParseFloat(strings.ReplaceAll(row.Cells[1].S, ",", ""), 64); err == nil {
			out[row.Cells[0].S] = x
		}
	}
	return out
}

// darkStep is the steps of the owner's page that say how everything is switched on again, in one text; "" where there
// are none, as the plan fails: then the page says that nothing may be switched on yet.
func (l *law) darkStep() string {
	l.Helper()
	for _, part := range l.papers.Parts {
		for _, s := range part.Sections {
			if s.ID == "dark" {
				var steps []string
				for _, it := range s.Blocks[0].List.Items {
					steps = append(steps, strings.TrimSpace(it.Lead+" "+it.Text.S))
				}
				return strings.Join(steps, " ")
			}
		}
	}
	return ""
}

// inUse are the loads that run in the outage.
func (l *law) inUse() []loads.Load {
	return loads.InMonth(site.InUse(l.plan.Site.OnBoard(loads.BoardBackup)), l.plan.Month)
}

func share(percent float64) float64 { return percent / 100 }

// generator: the printed charges are those of the plan, and a home whose file says what is printed runs so, and is dark
// no longer.
func (l *law) generator(printed map[string]float64, src string) {
	g := l.plan.GeneratorRuns
	start, starts := printed["Generator starts at"]
	stop, stops := printed["Generator stops at"]
	if g == nil {
		l.holds("generator", !starts && !stops, "settings of a generator that is not there")
		return
	}
	l.holds("generator", starts && math.Abs(start-100*g.StartSoC) < 1e-9, "printed start %g %%, the plan's %g", start,
		100*g.StartSoC)
	l.holds("generator", stops && math.Abs(stop-100*g.StopSoC) < 1e-9, "printed stop %g %%, the plan's %g", stop,
		100*g.StopSoC)

	s := siteOf(l.T, src)
	s.Generator.StartSoC, s.Generator.StartGiven, s.Generator.StopSoC = share(start), true, share(stop)
	for i := range s.Loads {
		if below, ok := printed["Load shedding: "+s.Loads[i].Name]; ok {
			s.Loads[i].DropBelow = share(below)
		}
	}
	q, err := backup.NewPlan(l.Context(), s)
	if err != nil {
		l.Errorf("%s: as printed: %v", l.home, err)
		return
	}
	l.holds("generator as printed", math.Abs(q.GeneratorRuns.StartSoC-g.StartSoC) < 1e-9 &&
		math.Abs(q.GeneratorRuns.StopSoC-g.StopSoC) < 1e-9,
		"runs from %g to %g, planned %g to %g", q.GeneratorRuns.StartSoC, q.GeneratorRuns.StopSoC, g.StartSoC,
		g.StopSoC)
	o := study.OutageOptions{Hours: 48, EvenSpread: true}
	before, err := study.RunOutage(l.Context(), l.plan.Facts, o)
	if err != nil {
		l.Fatal(err)
	}
	after, err := study.RunOutage(l.Context(), q.Facts, o)
	if err != nil {
		l.Fatal(err)
	}
	l.holds("generator as printed", after.DarkMin <= before.DarkMin, "%d min dark, planned %d", after.DarkMin,
		before.DarkMin)
}

// volts: the printed cut-off is the one decided, suits bank and inverter, and comes only below the printed lowest
// charge; else a check says so.
func (l *law) volts(printed map[string]float64) {
	b, u := l.plan.Bank, l.plan.Inverter.Unit
	cutoff := printed["Low-voltage cut-off"]
	l.holds("cut-off", math.Abs(cutoff-b.CutoffV) < 1e-9, "printed %g V, decided %g", cutoff, b.CutoffV)
	l.holds("cut-off", cutoff >= b.MinV()-1e-6 && cutoff >= u.DCMinV-1e-6,
		"printed %g V, the bank wants %g and the inverter %g", cutoff, b.MinV(), u.DCMinV)
	floor := printed["Minimum state of charge in an outage"]
	l.holds("lowest charge", floor >= 100*b.FloorSoC-1e-6, "printed %g %%, planned %g", floor, 100*b.FloorSoC)
	if b.Unit.Chemistry.LeadAcid() && b.Unit.ResistanceMohm == 0 {
		return // nobody knows how far it falls under load
	}
	if b.NeverAbove {
		l.holds("volts at the lowest charge", l.status("dc-cutoff") != verdict.Pass,
			"no charge keeps it above %g V, and the check passes", cutoff)
		return
	}
	v, ok := b.PowerV(l.plan.Inverter.DCPower(l.plan.Demand.Scheduled.W), share(floor), l.plan.Site.ColdestC)
	l.holds("volts at the lowest charge", ok && v >= cutoff*(1-1e-6), "%g V at %g %%, below the cut-off of %g V", v,
		floor, cutoff)
}

func (l *law) status(id string) verdict.Status {
	l.Helper()
	for _, c := range l.plan.Checks {
		if c.ID == id {
			return c.Status
		}
	}
	l.Fatalf("%s: no check %q", l.home, id)
	return verdict.Pass
}

// currents: the printed limits are within what bank, chargers, breaker and input bear.
func (l *law) currents(printed map[string]float64) {
	p, c := l.plan, l.plan.Details.Charge
	if a, ok := printed["Maximum charge current"]; ok {
		_, most, _ := p.Bank.ChargeRange()
		l.holds("charge current", a > 0 && a <= most+1e-6, "printed %g A, the bank takes %g", a, most)
		if limit := p.Inverter.Unit.MaxChargeA * float64(p.Inverter.Count); limit > 0 {
			l.holds("charge current", a <= limit+1e-6, "printed %g A, the inverters allow %g", a, limit)
		}
	} else {
		l.holds("charge current", c.SetA == 0, "%g A is not printed", c.SetA)
	}
	a, ok := printed["Maximum AC input current"]
	l.holds("grid current", ok == (p.Grid.LimitA > 0), "printed %t, the plan's limit %g A", ok, p.Grid.LimitA)
	if !ok {
		return
	}
	if bears := p.Inverter.Unit.ACInputA; bears > 0 {
		l.holds("grid current", a <= bears+1e-6, "printed %g A, the input bears %g", a, bears)
	}
	for _, run := range p.Runs {
		if run.ID == "cable-input" && run.DeviceA > 0 {
			l.holds("grid current", a <= run.DeviceA+1e-6, "printed %g A, the breaker is for %g", a, run.DeviceA)
		}
	}
}

// drops: the loads to switch off are those that the file drops, at the same charge; what someone depends on is never
// one of them.
func (l *law) drops(printed map[string]float64) {
	want := 0
	for _, load := range l.inUse() {
		below, ok := printed["Load shedding: "+load.Name]
		l.holds("loads to switch off", ok == (load.DropBelow > 0) && !(ok && load.Medical),
			"%q: printed %t, dropped below %g, medical %t", load.Name, ok, load.DropBelow, load.Medical)
		if ok {
			want++
			l.holds("charge to switch off at", math.Abs(below-100*load.DropBelow) < 1e-9,
				"%q: printed %g %%, dropped below %g", load.Name, below, load.DropBelow)
		}
	}
	got := 0
	for what := range printed {
		if strings.HasPrefix(what, "Load shedding: ") {
			got++
		}
	}
	l.holds("loads to switch off", got == want, "%d printed, %d run", got, want)
}

// moments are the minutes from which other loads are scheduled.
func moments(ls []loads.Load) []int {
	out := []int{0}
	for _, load := range ls {
		for _, w := range load.Windows {
			out = append(out, w.StartMin%1440, w.EndMin%1440)
		}
	}
	slices.Sort(out)
	return slices.Compact(out)
}

// starting says whether loads can be switched on together while others run, in total and on every phase, at the rating
// for their longest start.
func (l *law) starting(on, start []loads.Load) (va, limit float64, ok bool) {
	p := l.plan
	limit = p.Inverter.StartLimitVA(math.Inf(1))
	longest := 0.0
	for _, load := range start {
		if load.Start != nil && load.Start.Seconds > longest {
			longest = load.Start.Seconds
			limit = p.Inverter.StartLimitVA(longest)
		}
	}
	for lane := range p.Site.Phases + 1 {
		var sum loads.Power
		plain := 0.0
		part := func(load loads.Load) float64 {
			switch {
			case lane == 0 || load.Phase == lane:
				return 1
			case load.Phase == 0:
				return 1 / float64(p.Site.Phases)
			}
			return 0
		}
		for _, load := range on {
			sum = sum.Add(load.RunningAll().Scale(part(load)))
		}
		for _, load := range start {
			if load.Start == nil {
				sum = sum.Add(load.RunningAll().Scale(part(load)))
				continue
			}
			k := part(load) * float64(load.Quantity)
			sum, plain = sum.Add(load.Start.Power.Scale(k)), plain+load.Start.PlainVA*k
		}
		lim := limit
		if lane > 0 {
			lim /= float64(p.Site.Phases)
		}
		if va = sum.VA() + plain; va > lim*(1+1e-6) {
			return va, lim, false
		}
	}
	return va, limit, true
}

// choices are what may be scheduled at a minute: of each interlock one member.
func choices(ls []loads.Load, minute int) [][]loads.Load {
	out := [][]loads.Load{nil}
	done := map[string]bool{}
	for i, load := range ls {
		if !load.ActiveAt(minute) || load.Quantity == 0 || done[load.Interlock] {
			continue
		}
		members := []loads.Load{load}
		if load.Interlock != "" {
			done[load.Interlock] = true
			members = loads.Where(ls[i:], func(m *loads.Load) bool {
				return m.Interlock == load.Interlock &&
					m.ActiveAt(minute)
			})
		}
		var more [][]loads.Load
		for _, chosen := range out {
			for _, m := range members {
				more = append(more, append(slices.Clone(chosen), m))
			}
		}
		out = more
	}
	return out
}

// circuit switches a circuit on while others run, at every minute from which other loads are scheduled and whatever the
// interlocks choose.
func (l *law) circuit(id string, on map[string]bool) {
	there := loads.Where(l.inUse(), func(load *loads.Load) bool { return load.CircuitID == id || on[load.CircuitID] })
	for _, minute := range moments(there) {
		for _, chosen := range choices(there, minute) {
			start := loads.Where(chosen, func(load *loads.Load) bool { return load.CircuitID == id })
			run := loads.Where(chosen, func(load *loads.Load) bool { return load.CircuitID != id })
			if len(start) == 0 {
				continue
			}
			va, limit, ok := l.starting(run, start)
			l.holds("start in the restart order", ok, "circuit %q at %s takes %.0f VA of %.0f", id,
				calendar.Clock(minute), va, limit)
		}
	}
}

// restart: what the papers say of switching on again, done as printed, never asks more than the inverters bear; nothing
// is left out.
func (l *law) restart() {
	p, step, note := l.plan, l.darkStep(), l.table("starts").Note
	fails := p.Verdict() == verdict.Fail
	l.holds("restart on the owner's page", (step == "") == fails, "the plan fails: %t, and the page says %q",
		fails, step)
	ids, all, onBoard := map[string]string{}, map[string]bool{}, 0
	for _, c := range p.Circuits {
		if c.OnBackup {
			onBoard++
			ids[c.Label] = c.ID
		}
	}
	for _, load := range l.inUse() {
		all[load.CircuitID] = true
	}
	const byCircuit, byLoad, rest = "Restart order of the circuits: ", "Restart order of the loads at ",
		"; then the others, one after the other, in any order."
	if _, list, ok := strings.Cut(note, byLoad); ok {
		l.made["(homes with an order of loads)"]++
		clock, list, _ := strings.Cut(list, ": ")
		l.byLoad(clock, strings.Split(strings.TrimSuffix(list, "."), "; "))
		l.holds("restart on the owner's page", fails || strings.Contains(step, "Switch off, or unplug"),
			"loads one by one on the sheet, and %q", step)
		return
	}
	list, ordered := strings.CutPrefix(note, byCircuit)
	if !ordered {
		if fails { // nobody is told to switch on, and checks say what is too much
			return
		}
		l.holds("restart on the owner's page", l.status("inverter-restart") != verdict.Fail,
			"no order helps, and the page has %q", step)
		one := onBoard == 1 && strings.HasSuffix(strings.TrimRight(step, " "), " Switch on B1.")
		l.holds("restart on the owner's page", one != strings.Contains(step, "in any order") && (onBoard > 1 || one),
			"no order on the sheet, and %q", step)
		for id := range all {
			others := map[string]bool{}
			for o := range all {
				others[o] = o != id
			}
			l.circuit(id, others)
		}
		return
	}
	l.made["(homes with an order of circuits)"]++
	list, others := strings.CutSuffix(list, rest)
	on := map[string]bool{}
	for i, label := range strings.Split(strings.TrimSuffix(list, "."), "; ") {
		ref, label, _ := strings.Cut(label, "\u00a0")
		id, known := ids[label]
		l.holds("restart order", known && !on[id], "%q is no circuit of the backup board, or twice there", label)
		l.circuit(id, on)
		on[id] = true
		if i == 0 {
			l.holds("restart on the owner's page", fails || strings.Contains(step, "next: "+ref+" "+label) ||
				strings.Contains(step, "…"), "an order on the sheet, and %q", step)
		}
	}
	for id := range all {
		l.holds("restart order", on[id] || others, "circuit %q is not in it: %s", id, note)
		if !on[id] { // in any order: on top of everything
			rest := map[string]bool{}
			for o := range all {
				rest[o] = o != id
			}
			l.circuit(id, rest)
		}
	}
}

// byLoad is an order of loads at a time of the day; of an interlock one member stands for all.
func (l *law) byLoad(clock string, order []string) {
	var h, m int
	if _, err := fmt.Sscanf(clock, "%d:%d", &h, &m); err != nil {
		l.Errorf("%s: order of the loads at %q", l.home, clock)
		return
	}
	minute := h*60 + m
	left := loads.Where(l.inUse(), func(load *loads.Load) bool { return load.ActiveAt(minute) && load.Quantity > 0 })
	var on []loads.Load
	for _, step := range order {
		_, name, _ := strings.Cut(step, "\u00a0")
		i := slices.IndexFunc(left, func(load loads.Load) bool { return load.Name == name })
		l.holds("restart order", i >= 0, "%q is not scheduled at %s, or stands there twice", name, clock)
		if i < 0 {
			return
		}
		load := left[i]
		va, limit, ok := l.starting(on, []loads.Load{load})
		l.holds("start in the restart order", ok, "%q at %s takes %.0f VA of %.0f", name, clock, va, limit)
		on = append(on, load)
		left = loads.Where(left, func(o *loads.Load) bool {
			return o.Name != name && (load.Interlock == "" || o.Interlock != load.Interlock)
		})
	}
	l.holds("restart order", len(left) == 0, "%d loads at %s are not in it", len(left), clock)
}

// TestLawOfThePapers: what the papers tell people to enter or to do is what the plan was worked out with, and done as
// printed the plan holds. For the sample sites and for drawn homes; what cannot be planned at all has no papers.
func TestLawOfThePapers(t *testing.T) {
	drawn := uint64(60)
	if testing.Short() {
		drawn = 12
	}
	names, sources := manyHomes(t, drawn)
	made, planned := map[string]int{}, 0
	on := func(home string, s *site.Site) *law {
		p, err := backup.NewPlan(context.Background(), s)
		if err != nil {
			t.Logf("%s: no plan: %v", home, err)
			return nil
		}
		d, err := paper.New(context.Background(), p, paper.Options{})
		if err != nil {
			t.Errorf("%s: %v", home, err)
			return nil
		}
		planned++
		return &law{T: t, home: home, plan: p, papers: d, made: made}
	}
	for i, src := range sources {
		l := on(names[i], siteOf(t, src))
		if l == nil {
			continue
		}
		printed := l.settings()
		l.generator(printed, src)
		l.volts(printed)
		l.currents(printed)
		l.drops(printed)
		l.restart()
		// Few homes need an order to restart. With inverters that carry what runs and nearly bear that all starts at
		// once, more do.
		tight := siteOf(t, src)
		u, g, phases := &tight.Inverter, l.plan.Inverter, float64(tight.Phases)
		scale := 1 / (float64(g.Count) * g.Derating * (1 - g.Headroom))
		runs, restart := l.plan.Demand.Scheduled, l.plan.Starts.Restart
		u.RatedVA = 1.02 * scale * max(runs.VA, phases*slices.Max(runs.PhaseVA))
		u.Overload = slices.Clone(u.Overload)
		for k := range u.Overload {
			u.Overload[k].VA = max(u.RatedVA, 0.97*restart.DemandVA/restart.LimitVA*scale*g.StartLimitVA(
				restart.Seconds))
		}
		if l := on(names[i]+", tight", tight); l != nil {
			l.restart()
		}
	}
	t.Logf("%d of %d homes planned, as they are and tight; comparisons: %v", planned, 2*len(sources), made)
	if testing.Short() {
		return
	}
	for _, kind := range []string{"generator", "generator as printed", "cut-off", "lowest charge",
		"volts at the lowest charge", "charge current", "grid current",
		"loads to switch off", "charge to switch off at", "restart order", "start in the restart order",
		"restart on the owner's page"} {
		if made[kind] < 40 {
			t.Errorf("%s: only %d comparisons", kind, made[kind])
		}
	}
}
