package sizing

import (
	"context"
	"fmt"
	"math"
	"slices"
	"sync"

	"outlast/backup/facts"
	"outlast/backup/site"
	"outlast/backup/split"
	"outlast/backup/verdict"
	"outlast/backup/wording"
	"outlast/backup/workers"
	"outlast/battery"
	"outlast/catalog"
	"outlast/loads"
)

// sizer tries the pairs of inverters and batteries.
type sizer struct {
	plan    PlanFunc
	ctx     context.Context
	file    *site.Site // as the user wrote it
	site    *site.Site // with every circuit on a board
	options Options
	shared  *facts.Shared
	asked   workers.Memo[string, asked] // by the phases of the circuits whose phase is open
	out     *Sizes
	larger  []Fit // banks larger than the smallest that pass, for the front

	telling  sync.Mutex
	done, of int
}

// asked is what the circuits ask for, or why it is not known.
type asked struct {
	facts *facts.Asked
	err   error
}

// frontTimes is up to how many times the autonomy asked for a larger bank still counts as longer: what lasts longer is
// another site.
const frontTimes = 2

func (z *sizer) run(cat *catalog.Catalog) error {
	units := z.units(cat)
	var groups []site.Site // the site with one kind and number of inverters
	for _, inv := range cat.Inverters() {
		for count := 1; count <= z.options.MaxCount; count++ {
			if Suits(z.site, inv, count) {
				v := *z.site
				v.Inverter, v.InverterCount = inv, count
				groups = append(groups, v)
			}
		}
	}
	z.of = len(groups) * len(units)
	behind := make([]behind, len(groups))
	if err := workers.Each(len(groups), func(i int) (err error) {
		behind[i], err = z.group(&groups[i], len(units))
		return err
	}); err != nil {
		return err
	}
	// Pairs have nothing to do with each other. What is found is put together in their order, whoever found it first.
	found := make([]found, z.of)
	err := workers.Each(len(found), func(i int) error {
		if b := behind[i/len(units)]; b.failing == nil {
			if err := z.ctx.Err(); err != nil {
				return err
			}
			t := &trial{sizer: z, site: *b.site, asked: b.asked, common: b.common, found: &found[i]}
			if err := t.pair(units[i%len(units)]); err != nil {
				return err
			}
			z.progress(1)
		}
		return nil
	})
	if err != nil {
		return err
	}
	if z.out.Standing, err = z.standing(found); err != nil {
		return err
	}
	for g, b := range behind {
		if b.failing != nil {
			v := &groups[g]
			z.out.Misses = append(z.out.Misses, Miss{Inverter: v.Inverter, Count: v.InverterCount, Failing: b.failing})
			continue
		}
		for i := range units {
			f := &found[g*len(units)+i]
			f.count(f.constant.differing(z.out.Standing))
			z.out.Pairs, z.out.Worked = z.out.Pairs+f.pairs, z.out.Worked+f.worked
			z.out.Passing, z.out.Misses = append(z.out.Passing, f.passing...), append(z.out.Misses, f.misses...)
			z.larger = append(z.larger, f.larger...)
		}
	}
	rank(z.out.Passing)
	z.front()
	z.out.Misses = nearest(z.out.Misses)
	return z.own()
}

// units are the batteries of the catalog that have anything to give with the site's reserve.
func (z *sizer) units(cat *catalog.Catalog) []battery.Unit {
	var out []battery.Unit
	for _, u := range cat.Batteries() {
		u, _ = u.WithDefaults()
		if dod, _ := u.DoD(z.site.Practice.MaxDoD); z.site.Outage.Reserve > 1-dod {
			out = append(out, u)
		}
	}
	return out
}

// progress tells of more pairs, unless the search was ended: another pair may have been at work then.
func (z *sizer) progress(more int) {
	z.telling.Lock()
	defer z.telling.Unlock()
	z.done += more
	if z.options.Progress != nil && z.ctx.Err() == nil {
		z.options.Progress(z.done, z.of)
	}
}

// A behind is one kind and number of inverters: what batteries behind them have to serve.
type behind struct {
	site    *site.Site
	asked   *facts.Asked
	failing []verdict.Check // whatever the bank
	common  *facts.Behind
}

// group puts the circuits behind one kind and number of inverters, with so many batteries to be tried.
func (z *sizer) group(v *site.Site, units int) (b behind, err error) {
	if b.site, b.asked, err = z.placed(v); err != nil {
		return b, err
	}
	if b.failing, b.common, err = z.shared.MeetInverters(b.site, b.asked); len(b.failing) > 0 {
		z.progress(units)
	}
	return b, err
}

// placed puts the circuits whose phase is open on phases that the inverters bear, and works out what is asked for
// there, once for equal phases.
func (z *sizer) placed(v *site.Site) (*site.Site, *facts.Asked, error) {
	d := split.NewDecider(v, z.shared, verdict.IDsOn(verdict.OnInverterAlone)...)
	picks := []int(nil)
	if len(d.Open) > 0 {
		picks = d.EvenOut(d.Place(d.Must).Picks)
		v = d.Split(picks)
	}
	a := z.asked.Of(fmt.Sprint(picks), func() asked {
		a, err := z.shared.Ask(v, facts.Trial(v))
		return asked{a, err}
	})
	return v, a.facts, a.err
}

// effort is enough to tell how long a bank lasts as far as the front asks.
func (z *sizer) effort() facts.Effort {
	return facts.Effort{WalkH: frontTimes * z.site.Outage.AutonomyH}
}

// A trial is of one battery behind one kind and number of inverters.
type trial struct {
	*sizer
	site   site.Site
	asked  *facts.Asked
	common *facts.Behind
	found  *found
}

// found is what became of a trial.
type found struct {
	pairs, worked   int
	passing, larger []Fit
	misses          []Miss
	constant        constant
}

// pair tries one battery behind the inverters, with as many strings as it takes.
func (z *trial) pair(u battery.Unit) error {
	v, a, out := z.site, z.asked, z.found
	series, fits, err := battery.Series(u, v.Inverter.NominalDCV, v.Inverter.DCMinV, v.Inverter.DCMaxV, v.ColdestC,
		v.Inverter.Equalises)
	if err != nil {
		return nil // of these batteries no string comes near the inverter's volts
	}
	out.pairs++
	v.Unit, v.Series, v.SeriesFits, v.Strings = u, series, fits, 0
	var miss *Miss
	var missed *facts.Facts
	limit := facts.MostStrings
	tooMany := func(p *facts.Facts) bool {
		if v.Strings > 0 {
			return v.Strings > limit
		}
		return p.Bank.Strings > z.mostStrings(u, p.Bank.Strings)
	}
	for {
		p, err := z.serve(&v, a, func(p *facts.Facts) bool {
			failing, _ := apart(p.Checks)
			return tooMany(p) || len(failing) > 0
		})
		if err != nil {
			c := verdict.Check{ID: verdict.Unworkable, Status: verdict.Fail, Reason: wording.ReasonOf(err)}
			out.misses = append(out.misses, Miss{v.Inverter, v.InverterCount, &u, series, v.Strings,
				[]verdict.Check{c}})
			return nil
		}
		if v.Strings == 0 {
			v.Strings = p.Bank.Strings
			limit = z.mostStrings(u, v.Strings)
		}
		failing, constant := apart(p.Checks)
		if len(constant) > len(out.constant) { // what ended early has not asked for all
			out.constant = constant
		}
		if v.Strings > limit {
			failing = append(failing, verdict.AtMost("bank-parallel", float64(v.Strings), float64(limit), "strings"))
		}
		if len(failing) == 0 {
			out.passing = append(out.passing, fitOf(p, v.Strings))
			return z.ladder(v, a, p)
		}
		if m := (Miss{v.Inverter, v.InverterCount, &u, series, v.Strings, failing}); miss == nil || m.nearer(*miss) {
			miss, missed = &m, p
		}
		if v.Strings >= limit || !p.StringsHelp(failing) {
			more, constant := apart(missed.AllChecks())
			for _, c := range more {
				if !has(miss.Failing, c.ID) {
					miss.Failing = append(miss.Failing, c)
				}
			}
			out.misses, out.constant = append(out.misses, *miss), constant
			return nil
		}
		v.Strings++
	}
}

// mostStrings is how many strings of a unit are tried, where the capacity needs so many.
func (z *sizer) mostStrings(u battery.Unit, needed int) int {
	if z.options.MoreStrings {
		return min(facts.MostStrings, max(u.MaxParallel, needed+facts.MoreStrings))
	}
	return u.MaxParallel
}

func (z *trial) serve(v *site.Site, a *facts.Asked, enough func(*facts.Facts) bool) (*facts.Facts, error) {
	z.found.worked++
	s, e := *v, z.effort()
	e.Enough, e.Behind, e.Curt = enough, z.common, true
	return z.shared.Serve(&s, a, e)
}

// ladder adds the larger banks of a pair for the front, as long as they last longer.
func (z *trial) ladder(v site.Site, a *facts.Asked, p *facts.Facts) error {
	for !p.Bank.AutonomyCap && v.Strings < v.Unit.MaxParallel {
		v.Strings++
		var err error
		if p, err = z.serve(&v, a, func(*facts.Facts) bool { return true }); err != nil {
			return err
		}
		failing, _ := apart(p.Checks)
		if len(failing) == 0 {
			z.found.larger = append(z.found.larger, fitOf(p, v.Strings))
		} else if !p.StringsHelp(failing) {
			return nil
		}
	}
	return nil
}

func fitOf(p *facts.Facts, n int) Fit {
	b := p.Bank
	f := Fit{Inverter: p.Site.Inverter, Count: p.Site.InverterCount, Unit: b.Unit, Series: b.Series, Strings: n,
		AutonomyH: b.AutonomyH, Capped: b.AutonomyCap, EnergyWh: b.NominalV() * b.CapacityAh()}
	if price, ok := p.Price(); ok {
		f.Price = &price
	}
	if kg, ok := p.MassKg(); ok {
		f.MassKg = kg
	}
	f.Margin = math.Inf(1)
	for _, c := range p.Checks {
		if c.Status == verdict.Caution {
			f.Cautions = append(f.Cautions, c.ID)
		}
		if c.Ranks() && c.Status == verdict.Pass && c.Margin < f.Margin && verdict.Depends(c.ID, verdict.OnEquipment) {
			f.Tightest, f.Margin = c.ID, c.Margin
		}
	}
	return f
}

// own plans the file as it stands, for the autonomy that is sized for.
func (z *sizer) own() error {
	s := *z.file
	own := Own{Miss: Miss{Inverter: s.Inverter, Count: s.InverterCount, Unit: &s.Unit, Series: s.Series,
		Strings: s.Strings}}
	defer func() { z.out.Own = own }()
	p, err := z.plan(z.ctx, &s)
	if z.ctx.Err() != nil {
		return z.ctx.Err()
	}
	if err != nil {
		own.Failing = []verdict.Check{{ID: verdict.Unworkable, Status: verdict.Fail, Reason: wording.ReasonOf(err)}}
		return nil
	}
	own.Series, own.Strings, own.Failing, own.Cautions = p.Bank.Series, p.Bank.Strings, p.With(verdict.Fail),
		len(p.With(verdict.Caution))
	own.AutonomyH, own.Capped = p.Bank.AutonomyH, p.Bank.AutonomyCap
	if price, ok := p.Price(); ok {
		own.Price = &price
	}
	if kg, ok := p.MassKg(); ok {
		own.MassKg = kg
	}
	for i, c := range p.Circuits {
		if !c.CountedOn() {
			continue
		}
		if c.OnBackup {
			own.Carried = append(own.Carried, c.Label)
		}
		switch sized := z.site.Circuits[i].Board == loads.BoardBackup; {
		case sized && !c.OnBackup:
			own.LeavesOut = append(own.LeavesOut, c.Label)
		case !sized && c.OnBackup:
			own.Besides = append(own.Besides, c.Label)
		}
	}
	return nil
}

// missing is how much is missing in all checks that fail, as shares of their limits.
func (m Miss) missing() float64 {
	sum := 0.0
	for _, c := range m.Failing {
		switch {
		case !c.HasLimit:
			sum++
		case c.Unit == "C":
			sum += math.Abs(c.Margin) / 10 // kelvin are no share: ten of them count as a whole
		default:
			sum += math.Abs(c.Margin)
		}
	}
	return sum
}

// TooWide says whether more strings side by side than are usual is all that fails.
func (m Miss) TooWide() bool { return len(m.Failing) == 1 && m.Failing[0].ID == "bank-parallel" }

// nearer says whether a miss is nearer to passing than another: by all that fails, first by how many checks do, then by
// how much is missing in all of them together.
func (m Miss) nearer(o Miss) bool {
	if len(m.Failing) != len(o.Failing) {
		return len(m.Failing) < len(o.Failing)
	}
	return m.missing() < o.missing()-verdict.Slack
}

// nearest keeps of each inverter and battery the nearest miss, and sorts them.
func nearest(list []Miss) []Miss {
	best := map[string]Miss{}
	var keys []string
	for _, m := range list {
		key := m.Inverter.ID
		if m.Unit != nil {
			key += " " + m.Unit.ID
		}
		b, known := best[key]
		if !known {
			keys = append(keys, key)
		}
		if !known || m.nearer(b) {
			best[key] = m
		}
	}
	var out []Miss
	for _, key := range keys {
		out = append(out, best[key])
	}
	slices.SortStableFunc(out, func(a, b Miss) int {
		switch {
		case a.nearer(b):
			return -1
		case b.nearer(a):
			return 1
		}
		return 0
	})
	return out
}
