package backup

import (
	"context"

	"outlast/backup/phrase"
	"outlast/catalog"
)

// A Plan is everything that is worked out for a [Site]: the facts of its home, how its circuits were decided, and its options beside it.
type Plan struct {
	*Facts

	// Allocation tells how the circuits that may go on either board were decided; nil: there were none.
	Allocation *Allocation
	// Balancing is how the phases could carry more evenly; nil: they carry evenly enough, or there is one.
	Balancing *Balancing

	Options []OptionPlan
}

// NewPlan works out the plan of a site: circuits that may go on either board are decided first, then everything is worked through,
// and the options are set beside it. An error means that the site cannot be planned at all; a plan whose checks fail is no
// error.
//
// When ctx is done it ends with its error. The plan keeps ctx for what is only worked out when it is asked for, such as
// [Facts.LeastAutonomy], [Levels] or [Sensitivity]: these end with it too, so a plan is of no use after its ctx.
func NewPlan(ctx context.Context, s *Site) (*Plan, error) {
	p, err := withoutOptions(ctx, s)
	if err != nil {
		return nil, err
	}
	if p.Options, err = options(ctx, p); err != nil {
		return nil, err
	}
	return p, ctx.Err() // what was ended early does not get out
}

// withoutOptions is the plan without its options.
func withoutOptions(ctx context.Context, s *Site) (*Plan, error) {
	undecided := *s
	undecided.setMonth()
	sh := newShared(ctx)
	decided, allocation, err := decide(&undecided, sh)
	if err != nil {
		return nil, err
	}
	facts, err := New(sh, decided, Settled{File: s, Unproven: allocation != nil && !allocation.Proven,
		LeftOut: func(circuit string) phrase.Phrase { return allocation.LeftOutOf(circuit).Text(decided.Label) }})
	if err != nil {
		return nil, err
	}
	return &Plan{Facts: facts, Allocation: allocation, Balancing: Balance(facts)}, nil
}

// Size looks for every combination of a catalog's inverters and batteries on which no check of the site's plan fails ([Search]).
func Size(ctx context.Context, s *Site, cat *catalog.Catalog, o SizeOptions) (*Sizes, error) {
	return Search(ctx, s, cat, func(ctx context.Context, s *Site) (*Facts, error) {
		p, err := withoutOptions(ctx, s)
		if err != nil {
			return nil, err
		}
		return p.Facts, nil
	}, o)
}
