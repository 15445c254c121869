package homes

import (
	"context"
	"errors"
	"fmt"
	"io"

	"outlast/backup"
)

// ErrChecksFail ends a command whose output has already said which checks fail.
var ErrChecksFail = errors.New("a check fails")

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
