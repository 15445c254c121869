package study

import (
	"context"

	"outlast/backup/facts"
)

// InMonth is the plan with its split and its equipment in another month, 1 to 12; 0 is its own.
func InMonth(ctx context.Context, p *facts.Facts, month int) (*facts.Facts, error) {
	return inMonth(ctx, p, month)
}
