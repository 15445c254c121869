package split

import (
	"cmp"
	"context"
	"math"
	"slices"

	"outlast/backup/facts"
	"outlast/backup/phrase"
	"outlast/backup/site"
	"outlast/backup/verdict"
	"outlast/backup/wording"
	"outlast/loads"
)

// A placement is a set of open circuits put on phases, and the first check that breaks there, nil for none.
type placement struct {
	Picks  []int
	broken *verdict.Check
}

// Bounds of the search for phases. Boards of a dozen circuits with open phases stay far below; the bounds only keep a
// large one whose phases are all but full from running for ever.
const (
	mostPlaces = 50_000 // partly filled boards that are looked at
	mostLeaves = 60     // full boards that are worked through
)

// Place looks for phases on which a set of open circuits breaks no check. What a phase cannot carry on any account is
// left out at once; the boards that remain are worked through, the most even ones first.
func (d *Decider) Place(set []bool) placement {
	if err := d.shared.Ctx.Err(); err != nil { // what comes of it is thrown away
		return placement{d.none(), &verdict.Check{ID: verdict.Unworkable, Status: verdict.Fail,
			Reason: wording.ReasonOf(err)}}
	}
	key := make([]byte, len(set))
	for n, in := range set {
		if in {
			key[n] = 1
		}
	}
	if p, known := d.placed[string(key)]; known {
		return p
	}
	p := d.newPlacer(set)
	placed := p.run()
	d.unsure = d.unsure || placed.broken != nil && p.full
	d.placed[string(key)] = placed
	return placed
}

// A placer fills the phases, one circuit after the other.
type placer struct {
	ctx    context.Context
	try    func(picks []int) outcome // works a split through
	picks  []int
	movers []int // places in picks of the circuits whose phase is open, the largest first
	boards []board
	best   placement // of those that break something, the one with the most left
	places int
	leaves int
	phases int
	fixed  [4]bool // by phase: a circuit stands on it that stays
	// hopeless says that no phases help, full that a bound was reached.
	hopeless, full bool
}

// A board is what is together on the phases, and what each phase bears.
type board struct {
	rows            []evenRow
	limitW, limitVA float64
	limitStartVA    func(seconds float64) float64
}

func (d *Decider) newPlacer(set []bool) *placer {
	p := &placer{ctx: d.shared.Ctx, try: d.try, picks: d.none(), phases: d.site.Phases}
	var ids []string
	size := map[int]float64{}
	for n, i := range d.Open {
		if !set[n] {
			continue
		}
		c := d.site.Circuits[i]
		p.picks[n] = c.Phase
		if !c.AnyPhase {
			continue
		}
		p.movers = append(p.movers, n)
		for _, l := range d.used(n) {
			size[n] += l.RunningAll().VA()
		}
	}
	id := func(n int) string { return d.site.Circuits[d.Open[n]].ID }
	slices.SortFunc(p.movers, func(a, b int) int {
		return cmp.Or(cmp.Compare(size[b], size[a]),
			cmp.Compare(id(a), id(b)))
	})
	for _, n := range p.movers {
		ids = append(ids, id(n))
	}
	if len(ids) == 0 {
		return p
	}
	s := d.Split(p.picks)
	for i, c := range s.Circuits {
		if n := slices.Index(d.Open, i); c.Board == loads.BoardBackup && !slices.Contains(p.movers, n) {
			p.fixed[c.Phase] = true
		}
	}
	onBackup := loads.InMonth(s.OnBoard(loads.BoardBackup), s.Outage.Month)
	if g, err := facts.InvertersOf(s); err == nil {
		n := float64(s.Phases)
		start := func(seconds float64) float64 { return g.StartLimitVA(seconds) / n * d.allowance("inverter-surge") }
		p.boards = append(p.boards, board{newEvener(s.Phases, site.InUse(onBackup), ids, true).rows,
			g.LimitW() / n * d.allowance("inverter-continuous-w"), g.LimitVA() / n * d.allowance("inverter-continuous"),
			start})
		if limit := g.PassThroughA() * s.NominalV; limit > 0 {
			p.boards = append(p.boards, board{newEvener(s.Phases, onBackup, ids, false).rows, math.Inf(1),
				limit * d.allowance("pass-through"), nil})
		}
	}
	return p
}

func (p *placer) run() placement {
	if len(p.movers) == 0 {
		return placement{p.picks, p.try(p.picks).broken}
	}
	sums := make([][][3]loads.Power, len(p.boards))
	for i, b := range p.boards {
		for _, r := range b.rows {
			sums[i] = append(sums[i], r.fixed)
		}
	}
	if p.stays(sums) && p.fill(0, sums) {
		return placement{p.picks, nil}
	}
	if p.best.Picks == nil { // no board was worth working through: what the most even filling breaks is what keeps the set out
		p.level(sums)
		p.best = placement{slices.Clone(p.picks), p.try(p.picks).broken}
	}
	if p.best.broken == nil {
		p.best.broken = &verdict.Check{ID: verdict.Unworkable, Status: verdict.Fail,
			Reason: phrase.Of("no phases were found on which it is within the limits")}
	}
	return p.best
}

// stays says whether the phases bear the circuits that do not move.
func (p *placer) stays(sums [][][3]loads.Power) bool {
	for i, b := range p.boards {
		for j, r := range b.rows {
			for phase := 1; phase <= p.phases; phase++ {
				if !p.bears(b, r, -1, phase, sums[i][j][phase-1]) {
					return false
				}
			}
		}
	}
	return true
}

// fill puts the k-th mover on every phase that bears it, the emptiest first, and says whether a board passes; its picks
// then stand.
func (p *placer) fill(k int, sums [][][3]loads.Power) bool {
	if p.hopeless || p.full {
		return false
	}
	if p.places++; p.places > mostPlaces || p.leaves >= mostLeaves || p.ctx.Err() != nil {
		p.full = true
		return false
	}
	if k == len(p.movers) {
		p.leaves++
		o := p.try(p.picks)
		c := o.broken
		if c != nil && (p.best.Picks == nil || c.Margin > p.best.broken.Margin) {
			p.best = placement{slices.Clone(p.picks), c}
		}
		p.hopeless = o.hopeless
		return c == nil
	}
	for _, phase := range p.order(k, sums) {
		next, bears := p.put(k, phase, sums)
		if !bears {
			continue
		}
		p.picks[p.movers[k]] = phase
		if p.fill(k+1, next) {
			return true
		}
	}
	return false
}

// order lists the phases for the k-th mover, the emptiest first; of those that nothing stands on yet, one is enough.
func (p *placer) order(k int, sums [][][3]loads.Power) []int {
	taken := p.fixed
	for _, n := range p.movers[:k] {
		taken[p.picks[n]] = true
	}
	var out []int
	loaded := map[int]float64{}
	free := false
	for phase := 1; phase <= p.phases; phase++ {
		if !taken[phase] {
			if free {
				continue
			}
			free = true
		}
		for i := range sums {
			for _, row := range sums[i] {
				loaded[phase] = max(loaded[phase], row[phase-1].VA())
			}
		}
		out = append(out, phase)
	}
	slices.SortStableFunc(out, func(a, b int) int { return cmp.Compare(loaded[a], loaded[b]) })
	return out
}

// put adds the k-th mover to a phase, and says whether the phase bears it, beside what stands there by now.
func (p *placer) put(k, phase int, sums [][][3]loads.Power) (next [][][3]loads.Power, bears bool) {
	next = make([][][3]loads.Power, len(sums))
	bears = true
	for i, b := range p.boards {
		next[i] = slices.Clone(sums[i])
		for j, r := range b.rows {
			sum := &next[i][j][phase-1]
			*sum = sum.Add(r.movers[k])
			bears = bears && p.bears(b, r, k, phase, *sum)
		}
	}
	return next, bears
}

// bears says whether a phase bears what runs on it together, and each start on top, when the k-th mover has been put
// there (-1: none).
func (p *placer) bears(b board, r evenRow, k, phase int, sum loads.Power) bool {
	if sum.W > b.limitW || sum.VA() > b.limitVA {
		return false
	}
	for _, st := range r.starts {
		share := 1.0
		switch {
		case st.mover >= 0 && st.mover == k, st.mover < 0 && st.phase == phase,
			st.mover >= 0 && st.mover < k && p.picks[p.movers[st.mover]] == phase:
		case st.mover < 0 && st.phase == 0:
			share = 1 / float64(p.phases)
		default:
			continue // elsewhere, or not placed yet
		}
		if sum.Add(st.more.Scale(share)).VA()+share*st.plainVA > b.limitStartVA(st.seconds) {
			return false
		}
	}
	return true
}

// level puts each mover on the emptiest phase, whatever that bears.
func (p *placer) level(sums [][][3]loads.Power) {
	for k, n := range p.movers {
		phase := p.order(k, sums)[0]
		p.picks[n] = phase
		sums, _ = p.put(k, phase, sums)
	}
}
