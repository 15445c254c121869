package homes

import (
	"context"
	"errors"
	"fmt"
	"io"

	"outlast/backup"
	"outlast/backup/site"
	"outlast/backup/workers"
	"outlast/catalog"
	"outlast/catalog/strict"
)

// ErrChecksFail ends a command whose output has already said which checks fail.
var ErrChecksFail = errors.New("a check fails")

// PlanAll reads and plans site files side by side; the problems of all come in one error.
func PlanAll(ctx context.Context, names *Names, cat *catalog.Catalog,
	plan func(context.Context, *site.Site) (*backup.Plan, error)) ([]*backup.Plan, error) {
	type outcome struct {
		plan *backup.Plan
		err  error
	}
	var plans []*backup.Plan
	var problems strict.Problems
	err := workers.InOrder(ctx, names.Each(), func(name Name) (o outcome) {
		if o.err = name.Err; o.err != nil {
			return o
		}
		s, _, err := Read(ctx, names.In, name.Path, cat)
		if err != nil {
			return outcome{err: err}
		}
		if o.plan, err = plan(ctx, s); err != nil {
			o.err = fmt.Errorf("%s: %w", s.File, err)
		}
		return o
	}, func(o outcome) error {
		if o.err != nil {
			return Gather(&problems, o.err)
		}
		plans = append(plans, o.plan)
		return nil
	})
	if err == nil && problems != nil {
		err = problems
	}
	return plans, err
}

// PlanOne reads and plans one site file, without its options.
func PlanOne(ctx context.Context, in io.Reader, file string, catalogs []string) (*backup.Plan, error) {
	cat, err := ReadCatalog(ctx, in, catalogs)
	if err != nil {
		return nil, err
	}
	s, _, err := Read(ctx, in, file, cat)
	if err != nil {
		return nil, err
	}
	p, err := backup.Alone(ctx, s)
	if err != nil {
		return nil, fmt.Errorf("%s: %w", s.File, err)
	}
	return p, nil
}
