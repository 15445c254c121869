package live

import (
	"context"
	"fmt"
	"math"
	"slices"

	"outlast/backup/facts"
	"outlast/backup/verdict"
	"outlast/loads"
)

// Try tells what would happen if a load that is left off were switched on now, while everything else runs that may.
func (t *Table) Try(ctx context.Context, q Question) (*Trial, error) {
	p, s, err := t.spoken(ctx, q)
	if err != nil {
		return nil, err
	}
	i := slices.IndexFunc(p.Site.Loads, func(l loads.Load) bool { return q.Load.At != "" && l.Name == q.Load.At })
	if q.Load.At == "" && q.Load.Place >= 1 && q.Load.Place <= len(p.Site.Loads) {
		i = q.Load.Place - 1
	}
	if i < 0 {
		return nil, badQuestion{fmt.Sprintf("load %q is not in the home", q.Load.At)}
	}
	a := &answering{planned: p, speaker: s}
	out := &Trial{Name: s.name(p.Site.Loads[i].Name), Holds: true}
	for _, c := range p.Circuits {
		if c.ID == p.Site.Loads[i].CircuitID && !c.OnBackup {
			out.Sentence, out.Limits = s.Say("live.try.main"), a.limits(p.Facts)
			return out, nil
		}
	}
	v := *p.Site
	v.Loads = slices.Clone(v.Loads)
	l := &v.Loads[i]
	l.HeldOff, l.Windows, l.Months = false, nil, loads.AllMonths // people do so at any time, not only when they would use it
	f, err := p.Shared.ForOtherLoads(ctx).Full(&v, facts.Trial(&v))
	if err != nil {
		return nil, err
	}
	out.Limits = a.limits(f)
	out.Seconds, out.Sentence = a.happens(f, v.Loads[i].Name)
	if out.Holds = out.Seconds == nil; out.Holds && p.Verdict() != verdict.Fail {
		if err := a.costs(p.Facts, out, i); err != nil {
			return nil, err
		}
	}
	return out, nil
}

// happens says after how many seconds the inverter switches off with a load in use, nil: it does not.
func (a *answering) happens(f *facts.Facts, name string) (seconds *float64, says string) {
	n := float64(f.Site.Phases)
	for _, st := range f.Starts.All {
		limit := f.Inverter.RatingVA(st.Seconds)
		if st.Phase > 0 {
			limit /= n
		}
		if st.Load == name && st.DemandVA > limit*(1+verdict.Slack) {
			return new(float64), a.Say("live.try.start", a.name(name), a.Amount(st.DemandVA, "VA"),
				a.Amount(limit, "VA"))
		}
	}
	d := f.Demand.Scheduled
	va, w := d.VA, d.W // spread evenly over the phases, the fullest of them counts
	if n > 1 {
		va, w = max(va, n*slices.Max(d.PhaseVA)), max(w, n*slices.Max(d.PhaseW))
	}
	holds := f.Inverter.HoldsSeconds(va * (1 - verdict.Slack))
	switch {
	case w > f.Inverter.DeratedW()*(1+verdict.Slack):
		return new(float64), a.Say("live.try.at-once", a.Amount(w, "W"), a.Amount(f.Inverter.DeratedW(), "W"))
	case math.IsInf(holds, 1):
		return nil, a.Say("live.try.holds")
	case holds == 0:
		return &holds, a.Say("live.try.at-once", a.Amount(va, "VA"), a.Amount(f.Inverter.DeratedVA(), "VA"))
	case holds < 120:
		return &holds, a.Say("live.try.seconds", a.Fixed(math.Floor(holds), 0), a.Amount(va, "VA"),
			a.Amount(f.Inverter.DeratedVA(), "VA"))
	}
	return &holds, a.Say("live.try.minutes", a.Fixed(math.Floor(holds/60), 0), a.Amount(va, "VA"),
		a.Amount(f.Inverter.DeratedVA(), "VA"))
}

// costs adds what a load that holds costs in promised hours if it stays in use as the file says, with the bank as it
// is.
func (a *answering) costs(p *facts.Facts, out *Trial, i int) error {
	now, _, err := p.LeastAutonomy()
	if err != nil || p.Bank.AutonomyCap {
		return err
	}
	l := p.Site.Loads[i]
	l.HeldOff = false
	set := loads.NewSet(p.Site.Phases, append(p.InOutage(), loads.InMonth([]loads.Load{l}, p.Month)...))
	then, _, _, err := p.Least(set, facts.LongestLevelH)
	if err != nil {
		return err
	}
	if out.CostsH = max(0, now-then); out.CostsH > 1.0/60 {
		out.Sentence += " " + a.Say("live.try.costs", a.lasts(out.CostsH))
	}
	return nil
}
