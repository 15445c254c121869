package workers_test

import (
	"errors"
	"fmt"
	"runtime"
	"testing"

	"outlast/backup/workers"
)

func TestEachDoesEveryJobOnce(t *testing.T) {
	for _, n := range []int{0, 1, 2, 1000} {
		done := make([]int, n)
		if err := workers.Each(n, func(i int) error { done[i]++; return nil }); err != nil {
			t.Fatal(err)
		}
		for i, times := range done {
			if times != 1 {
				t.Errorf("%d jobs: job %d done %d times", n, i, times)
			}
		}
	}
}

// The error is that of the first job that fails, on any number of processors.
func TestEachTellsTheFirstError(t *testing.T) {
	defer runtime.GOMAXPROCS(runtime.GOMAXPROCS(0))
	first := errors.New("job 7")
	for processors := 1; processors <= 8; processors++ {
		runtime.GOMAXPROCS(processors)
		for range 100 {
			err := workers.Each(50, func(i int) error {
				switch {
				case i == 7:
					runtime.Gosched() // later ones may fail before it
					return first
				case i > 7:
					return fmt.Errorf("job %d", i)
				}
				return nil
			})
			if !errors.Is(err, first) {
				t.Fatalf("%d processors: %v, want %v", processors, err, first)
			}
		}
	}
}
