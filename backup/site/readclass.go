package site

import (
	"fmt"
	"math"
	"strings"

	"outlast/backup/wiring"
	"outlast/backup/wording"
	"outlast/catalog"
	"outlast/catalog/strict"
	"outlast/loads"
)

// A class is the class of appliances that a load uses, with the load's own table laid over it.
type class struct {
	catalog.Appliance
	t *strict.Table
}

// classOf gives the class that a load uses, and the table of the load filled by it; nil and the table as it is where
// the load uses none, or one that is not there. A load without a class must tell its figures itself.
func (r *reader) classOf(t *strict.Table) (*class, *strict.Table) {
	if !t.Has("use") {
		t.RequireAlone("")
		return nil, t
	}
	base, ok := lookup(t, nil, r.cat.Appliance)
	if !ok {
		return nil, t
	}
	c := &class{*base, base.Under(t)}
	return c, c.t
}

// name is what a load is called that only names its class.
func (c *class) name() string {
	if c.Label == "" {
		return c.ID
	}
	return c.Label
}

// fitHours shortens the hours of the class to what the windows of the load hold.
func (c *class) fitHours(l *loads.Load) {
	if have := l.WindowHours(); c.t.FromBase("hours_per_day") && l.HoursPerDay > have {
		l.HoursPerDay = have
		c.t.NoteTypical("hours_per_day", string(wording.WithUnit(have, "h")), c.ID)
	}
}

// grown is by how much the start of a class is raised for a load that runs at more than the class: a larger motor
// starts harder. A load that runs at less keeps the start, the safe side. It is 1 without a class, and for a start that
// the load gives itself.
func (c *class) grown(key string, l *loads.Load) float64 {
	if c == nil || !c.t.FromBase(key) || c.Typical.RunningW == 0 {
		return 1
	}
	typical := c.Typical.RunningW
	factor := max(1, l.RunningW/typical, l.Running().VA()*c.PowerFactor/typical)
	if factor > 1 {
		v, _ := c.t.Number(key)
		c.t.NoteTypical(key, string(wording.WithUnit(factor*v,
			strings.ToUpper(strings.TrimPrefix(key, "starting_")))), c.ID)
	}
	return factor
}

// typical tells what of a load rests on the class, once all else of it is known, and notes it.
func (c *class) typical(l *loads.Load) *loads.Typical {
	keys := c.t.Filling()
	for _, key := range keys {
		c.t.NoteTypical(key, c.t.Written(key), c.ID)
	}
	out := &loads.Typical{Class: c.ID, Keys: keys, Low: c.ends(l, c.Low), High: c.ends(l, c.High)}
	if !c.t.Has("name") {
		out.Label = c.name()
	}
	return out
}

// ends are the figures of a load at one end of its class: what the load gives itself does not spread.
func (c *class) ends(l *loads.Load, f catalog.ApplianceFigures) loads.Ends {
	e := loads.Ends{RunningW: l.RunningW, HoursPerDay: l.HoursPerDay}
	if c.t.FromBase("running_w") {
		e.RunningW = f.RunningW
	}
	if c.t.FromBase("hours_per_day") {
		e.HoursPerDay = min(f.HoursPerDay, l.WindowHours())
	}
	va := 0.0
	if l.Start != nil {
		va = l.Start.VA()
	}
	if !c.t.Gives(catalog.LoadExclusive[0]...) && f.StartingVA > 0 {
		va = f.StartingVA
		if c.Appliance.Typical.StartingVA > 0 && l.Start != nil {
			va *= l.Start.VA() / c.Appliance.Typical.StartingVA
		}
	}
	if va > 0 {
		end := *l
		end.RunningW = e.RunningW
		e.Start = c.start(l.Start, max(va, end.Running().VA()))
	}
	return e
}

// start is a start of another size: with the angle and the seconds of the typical one, or of the class where that has
// none.
func (c *class) start(typical *loads.Start, va float64) *loads.Start {
	if typical != nil {
		k := va / typical.VA()
		return &loads.Start{Power: typical.Power.Scale(k), PlainVA: typical.PlainVA * k, Seconds: typical.Seconds,
			PFAssumed: typical.PFAssumed}
	}
	seconds, _ := c.t.Number("starting_s")
	if pf, given := c.t.Number("starting_pf"); given {
		return &loads.Start{Power: loads.FromPF(va*pf, pf), Seconds: seconds}
	}
	return &loads.Start{PlainVA: va, Seconds: seconds}
}

// tropicsDeg is the latitude up to which the sun stands overhead once a year: no winter and summer to heat and cool in.
const tropicsDeg = 23.5

// season turns the months of a class, which are those north of the equator, into those of the site: half a year later
// south of it, and all of them where the site does not tell where it is or has no such seasons, the safe side.
func (r *reader) season(t *strict.Table, l *loads.Load) {
	if !t.FromBase("months") {
		return
	}
	lat := r.site.Latitude
	switch {
	case lat == nil || math.Abs(*lat) < tropicsDeg:
		l.Months = loads.AllMonths
	case *lat < 0:
		l.Months = (l.Months<<6 | l.Months>>6) & loads.AllMonths
	}
	id, _ := t.Text("use")
	t.NoteTypical("months", monthList(l.Months), id)
}

// The circuit that the planner assumes for a load that names none.
const (
	// onePhaseA: what draws more is taken to lie on all phases. 16 A is the rating of a European socket circuit, and 80
	// % of the 20 A of a North American one. Common practice.
	onePhaseA = 16.0
	// longRunning: its breaker has this much to spare, whatever the hours: NEC 210.20(A), see continuousH.
	longRunning = 1.25
	// The smallest breakers of such circuits: common practice; NEC 210.3 for the US.
	leastIECA, leastUSA = 16.0, 15.0
	maxCircuits         = 1000
)

// An assumed circuit, and the load for which it is there.
type assumed struct {
	circuit, load int           // indices in the site's
	t             *strict.Table // of the defaults that are noted
}

func (r *reader) assumedTables() []*strict.Table {
	var out []*strict.Table
	for _, a := range r.assumed {
		out = append(out, a.t)
	}
	return out
}

// assumeCircuit puts a load that names no circuit on one of its own, on the backup board: what the owner lists is what
// shall stay on, and where that is too much, the plan must say so. The planner picks its phase.
func (r *reader) assumeCircuit(c *class, l *loads.Load) {
	s := r.site
	if c.t.Has("circuit") {
		return
	}
	if len(s.Circuits) >= maxCircuits {
		c.t.Missing("circuit", fmt.Sprintf("the id of a [[circuit]]: there are %d of them already", maxCircuits))
		return
	}
	if r.ids == nil {
		r.ids = newNamer(r.root.Tables("circuit"), "id")
	}
	a := assumed{len(s.Circuits), len(s.Loads), strict.Empty(&circuitKeys)}
	made := loads.Circuit{ID: r.ids.unique(c.ID, "-"), Label: l.Name, Phase: 1, Board: loads.BoardBackup, Assumed: true}
	c.t.NoteDefault("circuit", made.ID)
	a.t.NoteDefault("board", string(made.Board))
	if s.Phases > 1 {
		made.AnyPhase = true
		most := *l
		most.RunningW = max(l.RunningW, c.ends(l, c.High).RunningW)
		if most.RunningAll().VA() > onePhaseA*s.NominalV {
			made.AnyPhase, made.Phase = false, 0
		}
	}
	l.CircuitID, l.Phase = made.ID, made.Phase
	s.Circuits = append(s.Circuits, made)
	r.assumed = append(r.assumed, a)
}

// assumeBreakers gives the assumed circuits breakers that carry their loads even at the high end of the class.
func (r *reader) assumeBreakers() {
	s := r.site
	if s.NominalV == 0 {
		return // reported
	}
	least := leastIECA
	if s.Wiring.Tables == wiring.US {
		least = leastUSA
	}
	for _, a := range r.assumed {
		c, l, lines := &s.Circuits[a.circuit], s.Loads[a.load], 1
		if c.Phase == 0 {
			lines = s.Phases
		}
		va := max(l.RunningAll().VA(), l.AtHigh().RunningAll().VA())
		need := longRunning * va / (float64(lines) * s.NominalV)
		if rating, ok := wiring.NextRating(s.Wiring.Tables, wiring.Breaker, max(least, need)); ok {
			c.BreakerA = rating
			a.t.NoteDefault("breaker_a", string(wording.WithUnit(rating, "A")))
		}
	}
}

// A namer finds names that are not taken yet.
type namer struct {
	taken map[string]bool
	next  map[string]int
}

// newNamer holds the names that the tables give, rightly or wrongly.
func newNamer(tables []*strict.Table, key string) *namer {
	n := &namer{map[string]bool{}, map[string]int{}}
	for _, t := range tables {
		if name, ok := t.AsWritten(key); ok {
			n.taken[name] = true
		}
	}
	return n
}

// unique is the name, or the first free one with a number from 2 after it.
func (n *namer) unique(name, gap string) string {
	out := name
	for n.taken[out] {
		n.next[name] = max(n.next[name], 1) + 1
		out = fmt.Sprintf("%s%s%d", name, gap, n.next[name])
	}
	n.taken[out] = true
	return out
}

// monthList writes months as a site file does.
func monthList(months loads.Months) string {
	var list []string
	for m := 1; m <= 12; m++ {
		if months.Has(m) {
			list = append(list, fmt.Sprint(m))
		}
	}
	return "[" + strings.Join(list, ", ") + "]"
}
