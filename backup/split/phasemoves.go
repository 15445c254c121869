package split

import (
	"cmp"
	"slices"

	"outlast/backup/facts"
	"outlast/backup/phrase"
	"outlast/backup/site"
	"outlast/backup/verdict"
	"outlast/loads"
)

// mostTries bounds how many arrangements of the phases are worked through before the search's own is kept.
const mostTries = 60

// EvenOut moves the circuits whose phase is open to the phases that carry most evenly, as far as the checks pass:
// exactly while all arrangements can be compared, else step by step as long as it gets better.
func (d *Decider) EvenOut(picks []int) []int {
	var open []int // places in picks
	for n, i := range d.Open {
		if d.site.Circuits[i].AnyPhase && picks[n] != onMain {
			open = append(open, n)
		}
	}
	if len(open) == 0 {
		return picks
	}
	id := func(n int) string { return d.site.Circuits[d.Open[n]].ID }
	slices.SortFunc(open, func(a, b int) int { return cmp.Compare(id(a), id(b)) }) // ties must not follow the file
	var movers []string
	for _, n := range open {
		movers = append(movers, id(n))
	}
	s := d.Split(picks)
	e := newEvener(s.Phases, loads.InMonth(site.InUse(s.OnBoard(loads.BoardBackup)), s.Outage.Month), movers, false)
	with := func(a arrangement) []int {
		out := slices.Clone(picks)
		for k, n := range open {
			out[n] = a.at[k]
		}
		return out
	}
	passes := d.try(picks).broken == nil
	choose := func(list []arrangement) bool {
		for _, a := range list[:min(len(list), mostTries)] {
			if next := with(a); !passes || d.try(next).broken == nil {
				picks = next
				return true
			}
		}
		return false
	}
	if list := e.all(); list != nil {
		choose(list)
		return picks
	}
	now := func() arrangement {
		var at []int
		for _, n := range open {
			at = append(at, picks[n])
		}
		return arrangement{at, e.imbalance(at)}
	}
	for {
		from := now()
		better := slices.DeleteFunc(e.near(from.at, 1),
			func(a arrangement) bool { return !(a.imbalance < from.imbalance-verdict.Slack) })
		if !choose(better) {
			return picks
		}
	}
}

// A Balancing is a suggestion: which single-phase circuits of the backup board to move to which phase so that the
// phases carry more evenly.
type Balancing struct {
	Before, After float64 // imbalance: largest phase less smallest over the mean
	Moves         []PhaseMove
	// Best says that no other arrangement with as few moves is more even.
	Best bool
}

// A PhaseMove puts one circuit on another phase.
type PhaseMove struct {
	ID       string
	From, To int
}

// mostMoves is how many circuits a suggestion moves: more is a new board, not a change.
const mostMoves = 3

// Balance looks for the fewest moves that bring the imbalance within what the check forgives, or else lower it most.
// Moves that make a check fail, or a failing one worse, are no help. nil: the phases carry evenly enough, or nothing
// helps.
func Balance(p *facts.Facts) *Balancing {
	s := p.Site
	if s.Phases == 1 || p.ByID()["phase-balance"].Status == verdict.Pass {
		return nil
	}
	single := slices.Clone(s.Circuits)
	single = slices.DeleteFunc(single, func(c loads.Circuit) bool {
		return c.Board != loads.BoardBackup ||
			c.Phase == 0
	})
	slices.SortFunc(single, func(a, b loads.Circuit) int { return cmp.Compare(a.ID, b.ID) }) // ties must not follow the file
	var movers []string
	var at []int
	for _, c := range single {
		movers = append(movers, c.ID)
		at = append(at, c.Phase)
	}
	e := newEvener(s.Phases, p.InOutage(), movers, false)
	before := e.imbalance(at)
	base := NewDecider(s, p.Shared)
	base.base = p.ByID()
	var found *Balancing
	for moves := 1; moves <= min(mostMoves, len(movers)); moves++ {
		if ways(len(movers), s.Phases-1, moves) > mostArrangements {
			break
		}
		for tries, a := range e.near(at, moves) {
			if a.imbalance > before-verdict.Slack || found != nil && a.imbalance > found.After-verdict.Slack ||
				tries == mostTries {
				break
			}
			if base.bears(at, movers, a) {
				found = &Balancing{Before: before, After: a.imbalance, Best: e.exact}
				for n, phase := range a.at {
					if phase != at[n] {
						found.Moves = append(found.Moves, PhaseMove{movers[n], at[n], phase})
					}
				}
				break
			}
		}
		if found != nil && found.After <= facts.MaxImbalance*(1+verdict.Slack) {
			break
		}
	}
	return found
}

// ways is how many arrangements there are with so many of n circuits moved, each to one of so many phases.
func ways(n, to, moves int) int {
	out := 1
	for k := range moves {
		out = out * (n - k) * to / (k + 1)
	}
	return out
}

// bears says whether an arrangement breaks no check that holds now.
func (d *Decider) bears(at []int, movers []string, a arrangement) bool {
	s := *d.site
	s.Circuits = slices.Clone(s.Circuits)
	moved := map[string]int{}
	for n, phase := range a.at {
		if phase != at[n] {
			moved[movers[n]] = phase
		}
	}
	putOnPhases(&s, moved)
	p, err := d.work(&s)
	return err == nil && len(d.broken(p)) == 0
}

// Text says in a sentence what a suggestion is worth.
func (b *Balancing) Text(label func(id string) string) phrase.Phrase {
	var moves []phrase.Phrase
	for _, m := range b.Moves {
		moves = append(moves, phrase.Of("%q from phase %d to %d", label(m.ID), m.From, m.To))
	}
	return phrase.Of("Moving %s lowers the imbalance of the phases from %.2f to %.2f.", phrase.List(moves), b.Before,
		b.After)
}
