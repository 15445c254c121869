package workers

import (
	"context"
	"errors"
	"iter"
	"runtime"
	"slices"
	"sync/atomic"
	"testing"
	"time"
)

// counting gives the numbers from 0 to n-1 and tells how many were taken.
func counting(n int, taken *atomic.Int64) iter.Seq[int] {
	return func(yield func(int) bool) {
		for i := range n {
			taken.Add(1)
			if !yield(i) {
				return
			}
		}
	}
}

// TestInOrder: the outcomes come in the order of the items, however long each takes, on one core and on several.
func TestInOrder(t *testing.T) {
	for _, cores := range []int{1, 2, 7} {
		defer runtime.GOMAXPROCS(runtime.GOMAXPROCS(cores))
		var got []int
		var taken atomic.Int64
		err := InOrder(t.Context(), counting(2000, &taken), func(i int) int {
			if i%97 == 0 {
				time.Sleep(time.Millisecond)
			}
			return i * i
		}, func(r int) error { got = append(got, r); return nil })
		if err != nil || len(got) != 2000 || !slices.IsSorted(got) {
			t.Errorf("on %d cores: %d outcomes, in order: %v, %v", cores, len(got), slices.IsSorted(got), err)
		}
	}
}

// TestInOrderIsBounded: while the first item is at work, no more of the others are begun than may wait.
func TestInOrderIsBounded(t *testing.T) {
	cores := runtime.GOMAXPROCS(0)
	if cores == 1 {
		defer runtime.GOMAXPROCS(runtime.GOMAXPROCS(2))
		cores = 2
	}
	var taken atomic.Int64
	most := int64(cores*waitingPerCore + cores + 2) // those that wait, those at work, and the one that is to be handed out
	done := 0
	err := InOrder(t.Context(), counting(100_000, &taken), func(i int) int {
		if i == 0 {
			for last := int64(-1); taken.Load() != last; time.Sleep(20 * time.Millisecond) {
				last = taken.Load()
			}
			if n := taken.Load(); n > most || n < int64(cores) {
				t.Errorf("%d items were taken while the first was at work, want %d to %d", n, cores, most)
			}
		}
		return i
	}, func(int) error { done++; return nil })
	if err != nil || done != 100_000 {
		t.Errorf("%d items, %v", done, err)
	}
}

// TestInOrderEnds: an error of the taker, or an interruption, ends it, also while the next item is waited for.
func TestInOrderEnds(t *testing.T) {
	enough := errors.New("enough")
	var taken atomic.Int64
	n := 0
	err := InOrder(t.Context(), counting(1_000_000, &taken), func(i int) int { return i }, func(int) error {
		if n++; n == 10 {
			return enough
		}
		return nil
	})
	if !errors.Is(err, enough) || n != 10 || taken.Load() > 10_000 {
		t.Errorf("%v after %d of %d items", err, n, taken.Load())
	}
	ctx, cancel := context.WithCancel(t.Context())
	never := make(chan int)
	defer close(never)
	waiting := func(yield func(int) bool) {
		yield(1)
		cancel()
		<-never
	}
	if err := InOrder(ctx, waiting, func(i int) int { return i }, func(int) error { return nil }); !errors.Is(err,
		context.Canceled) {
		t.Errorf("%v, want that it was interrupted", err)
	}
}
