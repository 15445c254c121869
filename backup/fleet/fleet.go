// Package fleet counts many homes: how many pass, which check fails how often, how long the banks last, which homes are
// worst, and what one change would do to all of them.
//
// A [Home] is what is kept of a planned home; [Count.Add] takes one after the other. Of each home only its hours are
// kept, and of the worst ten their names, so that ten thousand need no memory to speak of.
package fleet

import (
	"cmp"
	"slices"
	"strings"

	"outlast/backup/facts"
	"outlast/backup/verdict"
)

// A Home is what counts of a planned home.
type Home struct {
	File, Name string
	Verdict    verdict.Status
	RequiredH  float64
	Hours      float64 // that the bank supplies the backup board at the end of its life, from the worst moment of the day
	AtLeast    bool    // Hours is where the simulation was ended, not the bank
	Failing    []string
	Cautions   []string // both: checks by the name that they have in every home (see [verdict.Common]), each once
}

// Of takes what counts from the facts of a home.
func Of(f *facts.Facts) (Home, error) {
	hours, _, err := f.LeastAutonomy()
	if err != nil {
		return Home{}, err
	}
	return Home{f.Site.File, f.Site.Name, f.Verdict(), f.Site.Outage.AutonomyH, hours, f.Bank.AutonomyCap,
		common(f.With(verdict.Fail)), common(f.With(verdict.Caution))}, nil
}

func common(checks []verdict.Check) []string {
	var out []string
	for _, c := range checks {
		if name := verdict.Common(c.ID); !slices.Contains(out, name) {
			out = append(out, name)
		}
	}
	return out
}

// Reach is the hours that the bank lasts over those that are required.
func (h *Home) Reach() float64 { return h.Hours / h.RequiredH }

// Passes says whether no check fails.
func (h *Home) Passes() bool { return h.Verdict != verdict.Fail }

// A Tally is in how many homes a check came out as what it should not, however many of its kind a home has.
type Tally struct {
	Check           string // see [verdict.Common]
	Fails, Cautions int
	ChangedFails    int // with the change
}

// MostWorst is how many of the worst homes are kept.
const MostWorst = 10

// A Count is what is known of the homes so far. The zero value has counted none.
type Count struct {
	Homes, Pass, Caution, Fail int
	Hours, Reach               Spread
	Worst                      []Home // the worst first, see [worse]

	// Of the change; all homes are counted above, those that the change does not suit are left out here.
	Changed struct {
		Homes, Unsuited int
		Unsuiting       error // why it does not suit the first of those
		Passed          int   // homes, of those that it suits, that pass without it
		Pass            int   // and with it
		Gained, Lost    int   // homes that pass only with it, and only without it
		Hours           Spread
	}

	tallies map[string]*Tally
}

// Add counts a home.
func (c *Count) Add(h Home) {
	c.Homes++
	switch h.Verdict {
	case verdict.Fail:
		c.Fail++
	case verdict.Caution:
		c.Caution++
	default:
		c.Pass++
	}
	for _, check := range h.Failing {
		c.tally(check).Fails++
	}
	for _, check := range h.Cautions {
		c.tally(check).Cautions++
	}
	c.Hours.add(h.Hours, h.AtLeast)
	c.Reach.add(h.Reach(), h.AtLeast)
	at, _ := slices.BinarySearchFunc(c.Worst, h, func(a, b Home) int {
		if order := worse(a, b); order != 0 {
			return order
		}
		return -1 // behind its equals: they came first
	})
	if at < MostWorst {
		c.Worst = slices.Insert(c.Worst, at, h)
		c.Worst = c.Worst[:min(len(c.Worst), MostWorst)]
	}
}

// AddChanged counts what a change does to a home that was added; err says why it does not suit the home.
func (c *Count) AddChanged(base, changed Home, err error) {
	ch := &c.Changed
	if err != nil {
		if ch.Unsuited++; ch.Unsuiting == nil {
			ch.Unsuiting = err
		}
		return
	}
	ch.Homes++
	was, is := base.Passes(), changed.Passes()
	if was {
		ch.Passed++
	}
	if is {
		ch.Pass++
	}
	if is && !was {
		ch.Gained++
	}
	if was && !is {
		ch.Lost++
	}
	for _, check := range changed.Failing {
		c.tally(check).ChangedFails++
	}
	ch.Hours.add(changed.Hours-base.Hours, base.AtLeast || changed.AtLeast)
}

// Tallies are the checks that did not pass everywhere: those that fail most often first, then by cautions, then as
// sheets have them.
func (c *Count) Tallies() []Tally {
	var out []Tally
	for _, t := range c.tallies {
		out = append(out, *t)
	}
	kinds := verdict.IDsOn(0)
	place := func(check string) int {
		return slices.IndexFunc(kinds, func(kind string) bool {
			return kind == check || strings.HasSuffix(kind, "-") && strings.HasPrefix(check+"-", kind)
		})
	}
	slices.SortFunc(out, func(a, b Tally) int {
		return cmp.Or(cmp.Compare(b.Fails, a.Fails), cmp.Compare(b.ChangedFails, a.ChangedFails),
			cmp.Compare(b.Cautions, a.Cautions),
			cmp.Compare(place(a.Check), place(b.Check)), cmp.Compare(a.Check, b.Check))
	})
	return out
}

func (c *Count) tally(check string) *Tally {
	if c.tallies == nil {
		c.tallies = map[string]*Tally{}
	}
	t := c.tallies[check]
	if t == nil {
		t = &Tally{Check: check}
		c.tallies[check] = t
	}
	return t
}

// worse orders homes: those that fail first, then by the share of the required hours that the bank lasts.
func worse(a, b Home) int {
	rank := func(h Home) int {
		if h.Passes() {
			return 1
		}
		return 0
	}
	return cmp.Or(cmp.Compare(rank(a), rank(b)), cmp.Compare(a.Reach(), b.Reach()))
}
