package workers

import (
	"context"
	"iter"
	"runtime"
)

// waitingPerCore is how many outcomes may wait for their turn, for each core: enough that one home which takes long
// does not leave the other cores idle, and few enough that memory stays flat.
const waitingPerCore = 32

// InOrder does the work for each item, on all cores, and hands the outcomes to take one after the other, in the order
// of the items. It ends with the first error of take, or that of ctx; what is at work then is left behind.
func InOrder[T, R any](ctx context.Context, items iter.Seq[T], work func(T) R, take func(R) error) error {
	ctx, cancel := context.WithCancel(ctx)
	defer cancel()
	type job struct {
		item T
		done chan R
	}
	cores := runtime.GOMAXPROCS(0)
	jobs := make(chan job)
	turns := make(chan chan R, cores*waitingPerCore)
	go func() {
		defer close(turns)
		defer close(jobs)
		for item := range items {
			j := job{item, make(chan R, 1)}
			select {
			case turns <- j.done:
			case <-ctx.Done():
				return
			}
			select {
			case jobs <- j:
			case <-ctx.Done():
				return
			}
		}
	}()
	for range cores {
		go func() {
			for j := range jobs {
				j.done <- work(j.item)
			}
		}()
	}
	for {
		var turn chan R
		select {
		case turn = <-turns: // nil once all are taken
		case <-ctx.Done():
			return ctx.Err()
		}
		if turn == nil {
			return ctx.Err()
		}
		select {
		case outcome := <-turn:
			if err := take(outcome); err != nil {
				return err
			}
		case <-ctx.Done():
			return ctx.Err()
		}
	}
}
