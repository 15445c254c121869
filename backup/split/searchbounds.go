package split

import (
	"fmt"
	"math"
	"slices"

	"outlast/backup/allocate"
	"outlast/backup/calendar"
	"outlast/backup/facts"
	"outlast/backup/site"
	"outlast/backup/verdict"
	"outlast/battery"
	"outlast/loads"
)

// problem states the search: what each circuit is worth, and sums that every good split meets, so that few candidates
// have to be worked through. The sums are weaker than the checks, never stronger: a vector is never longer than the sum
// of what its parts reach in one direction, interlocked loads are not counted, and only some windows of the day are
// looked at.
func (d *Decider) problem() allocate.Problem {
	p := d.onWays()
	mine := make([][]loads.Load, len(d.Open))
	for n := range d.Open {
		mine[n] = d.used(n)
	}
	r := relaxed{site: d.site, open: d.Open, fixedLoads: d.fixed, allowance: d.allowance, problem: &p, mine: mine,
		fixed: d.fixed(false)}
	r.powers()
	r.energies()
	r.phases()
	return p
}

// onWays is the search with nothing but the ways of the board to meet.
func (d *Decider) onWays() allocate.Problem {
	p := allocate.Problem{Limits: allocate.Unlimited()}
	for n := range d.Open {
		p.Items = append(p.Items, d.item(n))
	}
	if ways, limited := d.freeWays(); limited {
		p.Limits.Ways = ways
	}
	return p
}

// item is what an open circuit is worth, and what it takes whatever the equipment.
func (d *Decider) item(n int) allocate.Item {
	item := allocate.Item{ID: d.site.Circuits[d.Open[n]].ID, Ways: 1, Values: d.values(n),
		Phases: []int{allocate.AllPhases}}
	used := d.used(n)
	switch {
	case d.Must[n]:
		item.Rule = allocate.Include
	case len(used) == 0, d.trips(n):
		item.Rule = allocate.Exclude // it would take a way for nothing, or its own breaker fails wherever the others are
	}
	for _, l := range used {
		item.EnergyWhPerDay += l.EnergyWhPerDay()
	}
	return item
}

// trips says whether an open circuit is too much for its own breaker, beyond what fails without it.
func (d *Decider) trips(n int) bool {
	i := d.Open[n]
	c := verdict.AtMost("circuit-breaker", d.shared.Currents.Breaker(d.site, d.site.Circuits[i]).A,
		d.site.Circuits[i].BreakerA, "A")
	b := d.base[c.ID]
	return d.site.Circuits[i].BreakerA > 0 && c.Status == verdict.Fail &&
		!(b.Status == verdict.Fail && c.Margin >= b.Margin-verdict.Slack)
}

// freeWays is how many ways are left for the open circuits; limited is false where the site sets no limit.
func (d *Decider) freeWays() (ways float64, limited bool) {
	if d.site.Ways == 0 {
		return 0, false
	}
	used := 0
	for i, c := range d.site.Circuits {
		if c.Board == loads.BoardBackup && !slices.Contains(d.Open, i) {
			used++
		}
	}
	return max(0, float64(d.site.Ways-used)), true
}

// fixed are the loads of the month that are on the backup board in any case and on a given phase; with heldOff those as
// well.
func (d *Decider) fixed(heldOff bool) []loads.Load {
	on := map[string]bool{}
	for i, c := range d.site.Circuits {
		on[c.ID] = c.Board == loads.BoardBackup && !slices.Contains(d.Open, i)
	}
	var out []loads.Load
	for _, l := range loads.InMonth(d.site.Loads, d.site.Outage.Month) {
		if on[l.CircuitID] && (heldOff || !l.HeldOff) {
			out = append(out, l)
		}
	}
	return out
}

// relaxed states what every good split meets.
type relaxed struct {
	site       *site.Site
	open       []int                           // indices of the circuits that are to be settled
	fixedLoads func(heldOff bool) []loads.Load // of the circuits that stay on the backup board
	allowance  func(check string) float64      // by how much a limit may be exceeded, as a factor
	problem    *allocate.Problem
	mine       [][]loads.Load // by open circuit
	fixed      []loads.Load
}

// limit is what a row may sum up to beside the fixed loads, with what the check allows and what rounding to millionths
// adds.
func (r relaxed) limit(check string, limit, fixed float64) float64 {
	return max(0, limit*r.allowance(check)-fixed+1e-6*float64(len(r.open)+1))
}

// add puts a row into the problem, unless all circuits together meet it.
func (r relaxed) add(row allocate.Row) {
	total, extra := 0.0, 0.0
	for n, a := range row.Amount {
		total += a
		if row.Extra != nil {
			extra = max(extra, row.Extra[n])
		}
	}
	if total+extra > row.Limit {
		r.problem.Rows = append(r.problem.Rows, row)
	}
}

// powers adds what runs and starts at once: in each interval of the day the watts, the reach of the volt-amperes in the
// direction of all of them together, and the largest start on top.
func (r relaxed) powers() {
	s := r.site
	g, err := facts.InvertersOf(s)
	if err != nil {
		return
	}
	all := slices.Concat(append(slices.Clone(r.mine), r.fixed)...)
	for _, at := range loads.Beginnings(all) {
		to := directionAt(all, at)
		watts := allocate.Row{Name: "watts at " + calendar.Clock(at), Unit: "W",
			Limit: r.limit("inverter-continuous-w", g.LimitW(), powerAt(r.fixed, at).W)}
		reach := allocate.Row{Name: "volt-amperes at " + calendar.Clock(at), Unit: "VA",
			Limit: r.limit("inverter-continuous", g.LimitVA(), to.of(powerAt(r.fixed, at)))}
		start := allocate.Row{Name: "start at " + calendar.Clock(at), Unit: "VA"}
		shortest := math.Inf(1)
		for n := range r.open {
			p := powerAt(r.mine[n], at)
			watts.Amount = append(watts.Amount, p.W)
			reach.Amount = append(reach.Amount, to.of(p))
			most := 0.0
			for _, l := range r.mine[n] {
				if extra := to.ofStart(l); extra > 0 && l.ActiveAt(at) {
					most = max(most, extra)
					shortest = min(shortest, l.Start.Seconds)
				}
			}
			start.Extra = append(start.Extra, most)
		}
		r.add(watts)
		r.add(reach)
		if !math.IsInf(shortest, 1) {
			start.Amount = reach.Amount
			// A split on which nothing starts has only the volt-amperes to meet, and where those are too many already,
			// more are allowed.
			start.Limit = max(reach.Limit, r.limit("inverter-surge", g.StartLimitVA(shortest),
				to.of(powerAt(r.fixed, at))))
			r.add(start)
		}
	}
}

// A direction is a unit vector in the plane of W and VAr, both parts of it at least 0.
type direction struct{ cos, sin float64 }

// of is how far a power reaches in the direction: at most its VA.
func (u direction) of(p loads.Power) float64 { return p.W*u.cos + p.VAr*u.sin }

// ofStart is what the start of one unit adds to the reach of all units running; 0 for a load that does not start, and
// for an interlocked one, which is not counted among those that run.
func (u direction) ofStart(l loads.Load) float64 {
	if l.Start == nil || l.Interlock != "" {
		return 0
	}
	return u.of(l.Start.Power) + l.Start.PlainVA - u.of(l.Running())
}

// directionAt is the direction of all that surely runs in a minute together: there the reach loses least.
func directionAt(ls []loads.Load, minute int) direction {
	p := powerAt(ls, minute)
	if va := p.VA(); va > 0 {
		return direction{p.W / va, p.VAr / va}
	}
	return direction{cos: 1}
}

// powerAt is what surely runs together in a minute: loads with an interlock are left out.
func powerAt(ls []loads.Load, minute int) loads.Power {
	var p loads.Power
	for _, l := range ls {
		if l.Interlock == "" && l.ActiveAt(minute) {
			p = p.Add(l.RunningAll())
		}
	}
	return p
}

// energies adds the energy of the autonomy from every full hour, against the most that the given bank has.
func (r relaxed) energies() {
	s := r.site
	if s.Strings == 0 {
		return
	}
	most, ok := mostEnergyACWh(s, r.allowance("bank-capacity"))
	if !ok {
		return
	}
	var profiles []loads.Profile
	for _, ls := range r.mine {
		profiles = append(profiles, loads.NewSet(s.Phases, ls).Profile())
	}
	fixed := loads.NewSet(s.Phases, r.fixed).Profile()
	for _, start := range energyStarts(s) {
		row := allocate.Row{Name: "energy from " + calendar.Clock(start), Unit: "Wh",
			Limit: r.limit("", most, fixed.EnergyWh(float64(start), s.Outage.AutonomyH))}
		for _, p := range profiles {
			row.Amount = append(row.Amount, p.EnergyWh(float64(start), s.Outage.AutonomyH))
		}
		r.add(row)
	}
}

// energyStarts are the starts of the outage whose energy is compared: the given one, or each full hour; whole days take
// the same energy from every start.
func energyStarts(s *site.Site) []int {
	switch {
	case s.Outage.Start != site.WorstStart:
		return []int{s.Outage.Start}
	case math.Mod(s.Outage.AutonomyH, 24) == 0:
		return []int{0}
	}
	var out []int
	for minute := 0; minute < calendar.DayMin; minute += 60 {
		out = append(out, minute)
	}
	return out
}

// mostEnergyACWh is the most that the backup circuits may take in the hours asked for if the given bank is to suffice:
// at the best efficiency, so that no split that suffices is refused. The capacity may be exceeded by a factor. ok is
// false where that is not known.
func mostEnergyACWh(s *site.Site, allowance float64) (wh float64, ok bool) {
	dod, _ := s.Unit.DoD(s.Practice.MaxDoD)
	have := float64(s.Strings) * s.Unit.RatedAh * allowance
	enough := func(dcWh float64) bool {
		z, err := battery.Size(s.Unit, s.Series, battery.Need{
			EnergyDCWh: dcWh, Hours: s.Outage.AutonomyH, Growth: s.Practice.Growth, Margin: s.Practice.Margin,
			Reserve: s.Outage.Reserve, MaxDoD: dod, EndOfLife: s.Practice.EndOfLife, TemperatureC: s.ColdestC,
		})
		return err == nil && z.RequiredAh <= have
	}
	lo, hi := 0.0, 1.0
	for enough(hi) {
		if lo, hi = hi, 2*hi; hi > 1e15 {
			return 0, false
		}
	}
	for range 60 {
		if mid := (lo + hi) / 2; enough(mid) {
			lo = mid
		} else {
			hi = mid
		}
	}
	best := s.Inverter.Efficiency
	for _, p := range s.Inverter.EfficiencyCurve {
		best = max(best, p.Efficiency)
	}
	return max(0, hi-s.Inverter.IdleW*float64(s.InverterCount)*s.Outage.AutonomyH) * best, true
}

// phases limits each phase, in the minute in which all circuits together ask for most: what the inverter carries on it,
// and what passes through to it while the grid is there. A circuit whose phase is open counts on none.
func (r relaxed) phases() {
	s := r.site
	g, err := facts.InvertersOf(s)
	if err != nil || s.Phases == 1 {
		return
	}
	r.byPhase("inverter-continuous", g.LimitVA()/float64(s.Phases), r.mine, r.fixed)
	if limit := g.PassThroughA(); limit > 0 {
		mine := make([][]loads.Load, len(r.open))
		for n, i := range r.open {
			mine[n] = loads.InMonth(s.OnCircuit(s.Circuits[i].ID), s.Outage.Month)
		}
		r.byPhase("pass-through", limit*s.NominalV, mine, r.fixedLoads(true))
	}
}

// byPhase adds a row for each phase: the reach of each open circuit in the minute that is worst for all together,
// against what the fixed loads leave.
func (r relaxed) byPhase(check string, limitVA float64, mine [][]loads.Load, fixed []loads.Load) {
	all := slices.Concat(append(slices.Clone(mine), fixed)...)
	worst, most := 0, -1.0
	for _, at := range loads.Beginnings(all) {
		if va := powerAt(all, at).VA(); va > most*(1+verdict.Slack) {
			worst, most = at, va
		}
	}
	to, phases := directionAt(all, worst), float64(r.site.Phases)
	on := func(phase int, ls []loads.Load, open bool) float64 {
		sum := 0.0
		for _, l := range ls {
			switch reach := to.of(powerAt([]loads.Load{l}, worst)); {
			case l.Phase == 0:
				sum += reach / phases
			case l.Phase == phase && !open:
				sum += reach
			}
		}
		return sum
	}
	for phase := 1; phase <= r.site.Phases; phase++ {
		row := allocate.Row{Name: fmt.Sprintf("%s on phase %d", check, phase), Unit: "VA",
			Limit: r.limit(check, limitVA, on(phase, fixed, false))}
		for n, i := range r.open {
			row.Amount = append(row.Amount, on(phase, mine[n], r.site.Circuits[i].AnyPhase))
		}
		r.add(row)
	}
}
