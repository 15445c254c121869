// Package backup is the front door: it plans a home.
//
// A site file is read by package site; [NewPlan] works the whole of it through. Behind the door each room answers one
// question, and knows only the rooms after it:
//
//   - study: what else is worth knowing of a planned home
//   - sizing: which equipment would do
//   - split: which circuits go on which board and phase, and why each of the others is left out
//   - facts: what follows for a home whose circuits are settled
//   - conductors, generator: which cables and devices it needs; what its generator has left
//   - site: what the site file says
//   - verdict: how a comparison comes out
//   - wording, calendar: words for reasons, and the clock
//
// How a plan looks on paper is the business of package sheet. Data flows one way: site file, Site, Plan, sheet.
package backup

import (
	"context"
	"sync"

	"outlast/backup/account"
	"outlast/backup/facts"
	"outlast/backup/phrase"
	"outlast/backup/site"
	"outlast/backup/sizing"
	"outlast/backup/split"
	"outlast/catalog"
)

// A Plan is everything that is worked out for a [site.Site]: the facts of its home, how its circuits were decided, and
// its options beside it.
type Plan struct {
	*facts.Facts
	*account.Account // how its figures came about

	// Allocation tells how the circuits that may go on either board were decided; nil: there were none.
	Allocation *split.Allocation
	// Balancing is how the phases could carry more evenly; nil: they carry evenly enough, or there is one. It is looked for
	// when it is first asked for.
	Balancing func() *split.Balancing

	Options []OptionPlan
}

// NewPlan works out the plan of a site: circuits that may go on either board are decided first, then everything is
// worked through, and the options are set beside it. An error means that the site cannot be planned at all; a plan
// whose checks fail is no error.
//
// When ctx is done it ends with its error. The plan keeps ctx for what is only worked out when it is asked for, such as
// [facts.Facts.LeastAutonomy] or package study: these end with it too, so a plan is of no use after its ctx.
func NewPlan(ctx context.Context, s *site.Site) (*Plan, error) {
	p, err := withOptions(ctx, s)
	if err != nil {
		return nil, err
	}
	return p, ctx.Err() // what was ended early does not get out
}

// Alone is [NewPlan] without the options, for whoever does not ask for them.
func Alone(ctx context.Context, s *site.Site) (*Plan, error) {
	undecided := *s
	undecided.SetMonth()
	sh := facts.NewShared(ctx)
	decided, allocation, err := split.Decide(&undecided, sh)
	if err != nil {
		return nil, err
	}
	f, err := facts.New(sh, decided, facts.Settled{File: s, Unproven: allocation != nil && !allocation.Proven,
		LeftOut: func(circuit string) phrase.Phrase { return allocation.LeftOutOf(circuit).Text(decided.Label) }})
	if err != nil {
		return nil, err
	}
	return &Plan{Facts: f, Account: account.Of(f), Allocation: allocation,
		Balancing: sync.OnceValue(func() *split.Balancing { return split.Balance(f) })}, nil
}

// Figures works a site out as [Alone] does, for whoever asks for the checks that can fail and for hours only: what sheets
// show besides is left out. sh is of the same home, with whatever loads.
func Figures(sh *facts.Shared, s *site.Site) (*facts.Facts, error) {
	undecided := *s
	undecided.SetMonth()
	decided, _, err := split.Decide(&undecided, sh)
	if err != nil {
		return nil, err
	}
	return sh.Full(decided, facts.Effort{WalkH: facts.LongestWalkH})
}

// Size looks for every combination of a catalog's inverters and batteries on which no check of the site's plan fails
// ([sizing.Search]).
func Size(ctx context.Context, s *site.Site, cat *catalog.Catalog, o sizing.Options) (*sizing.Sizes, error) {
	return sizing.Search(ctx, s, cat, func(ctx context.Context, s *site.Site) (*facts.Facts, error) {
		p, err := Alone(ctx, s)
		if err != nil {
			return nil, err
		}
		return p.Facts, nil
	}, o)
}
