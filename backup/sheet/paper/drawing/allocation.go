package drawing

import (
	"slices"

	"outlast/backup/facts"
	"outlast/backup/sheet/paper/findings"
	"outlast/backup/site"
	"outlast/loads"
)

// shareBar is how the circuits share one limit of the backup board.
type shareBar struct {
	label   string
	figures string
	limit   float64
	parts   []sharePart
}

// sharePart is what one circuit takes of a limit. An out part is of a circuit that may go on either board and was left
// out.
type sharePart struct {
	ref    string
	amount float64
	out    bool
}

func (b shareBar) total(withOut bool) (sum float64) {
	for _, p := range b.parts {
		if !p.out || withOut {
			sum += p.amount
		}
	}
	return sum
}

// sharing is what counts for the split: every circuit of the backup board, and those of the main board that were left
// out.
func sharing(r *findings.Report) (in, out []facts.Circuit) {
	for _, c := range r.Plan.Circuits {
		switch {
		case c.OnBackup:
			in = append(in, c)
		case c.Asked == loads.BoardEither:
			out = append(out, c)
		}
	}
	return in, out
}

// shareBars are the limits that the circuits share as plain sums: the power of the worst minute (of each phase, where
// there are several), the energy of the autonomy, and the ways of the board.
func shareBars(r *findings.Report) []shareBar {
	p := r.Plan
	in, out := sharing(r)
	refs := r.RefsOf()
	var bars []shareBar
	phases := p.Site.Phases
	for phase := 1; phase <= phases; phase++ {
		limit := p.Inverter.LimitW() / float64(phases)
		label := r.Say("share.power")
		if phases > 1 {
			label = r.Say("share.power-phase", phase)
		}
		bar := shareBar{label: label, limit: limit}
		bar.parts = powerParts(r, in, out, phase, refs)
		bar.figures = r.Say("limits.of", r.Figure(bar.total(false), "W"), r.Figure(limit, "W"), "W")
		bars = append(bars, bar)
	}
	if bar := energyBar(r, in, out, refs); bar.limit > 0 {
		bars = append(bars, bar)
	}
	if p.Site.Ways > 0 {
		bar := shareBar{label: r.Say("check.board-ways"), limit: float64(p.Site.Ways),
			figures: ofLimit(r, "limits.of", r.Fixed(float64(len(in)), 0), r.Fixed(float64(p.Site.Ways), 0), "")}
		for _, c := range in {
			bar.parts = append(bar.parts, sharePart{refs[c.ID], 1, false})
		}
		for _, c := range out {
			bar.parts = append(bar.parts, sharePart{refs[c.ID], 1, true})
		}
		bars = append(bars, bar)
	}
	return bars
}

// used are the loads of a circuit that run in the outage.
func used(r *findings.Report, c facts.Circuit) []loads.Load {
	return loads.InMonth(site.InUse(c.Loads), r.Plan.Month)
}

// powerParts are the watts of each circuit on a phase at the minute in which the backup board takes most there. Of an
// interlock the largest member counts, on its own circuit.
func powerParts(r *findings.Report, in, out []facts.Circuit, phase int, refs map[string]string) []sharePart {
	share := func(c facts.Circuit) []loads.Load { return onPhase(used(r, c), phase, r.Plan.Site.Phases) }
	at := func(cs []facts.Circuit, minute int) (parts []sharePart, sum float64) {
		largest := map[string]string{} // by interlock: the load that counts
		most := map[string]float64{}
		for _, c := range cs {
			for _, l := range share(c) {
				if w := l.RunningAll().W; l.Interlock != "" && l.ActiveAt(minute) && w > most[l.Interlock] {
					largest[l.Interlock], most[l.Interlock] = l.Name, w
				}
			}
		}
		for _, c := range cs {
			part := sharePart{ref: refs[c.ID], out: !c.OnBackup}
			for _, l := range share(c) {
				if l.ActiveAt(minute) && (l.Interlock == "" || largest[l.Interlock] == l.Name) {
					part.amount += l.RunningAll().W
				}
			}
			parts, sum = append(parts, part), sum+part.amount
		}
		return parts, sum
	}
	worst, most := 0, -1.0
	for _, minute := range loads.Beginnings(r.Plan.Site.Loads) {
		if _, sum := at(in, minute); sum > most*(1+1e-9) {
			worst, most = minute, sum
		}
	}
	parts, _ := at(append(slices.Clone(in), out...), worst)
	return parts
}

// energyBar is the energy of the autonomy at the bank's terminals, its losses and growth shared out evenly, against
// what the installed bank gives at the end of its life.
func energyBar(r *findings.Report, in, out []facts.Circuit, refs map[string]string) shareBar {
	p := r.Plan
	b := p.Bank
	limit := p.UsableWh()
	bar := shareBar{label: r.Say("share.energy", r.Exactly(p.Site.Outage.AutonomyH)), limit: limit}
	if b.EnergyACWh <= 0 {
		return shareBar{}
	}
	losses := b.EnergyDCWh * (1 + p.Site.Practice.Growth) / b.EnergyACWh
	for _, c := range append(slices.Clone(in), out...) {
		wh := loads.NewSet(p.Site.Phases, used(r, c)).Profile().EnergyWh(b.StartMin, p.Site.Outage.AutonomyH)
		bar.parts = append(bar.parts, sharePart{refs[c.ID], wh * losses, !c.OnBackup})
	}
	bar.figures = r.Say("limits.of", r.Figure(bar.total(false), "Wh"), r.Figure(limit, "Wh"), "Wh")
	return bar
}
