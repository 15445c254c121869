// Package workers does jobs that have nothing to do with each other side by side, on all processors.
package workers

import (
	"runtime"
	"sync"
	"sync/atomic"
)

// Each does the jobs 0 to n-1. Where some fail it returns the error of the first of them, however many processors there
// are, and later jobs may be left undone.
func Each(n int, do func(i int) error) error {
	errs := make([]error, n)
	var next atomic.Int64
	var failed atomic.Bool
	var all sync.WaitGroup
	for range min(n, runtime.GOMAXPROCS(0)) {
		all.Go(func() {
			for i := int(next.Add(1)) - 1; i < n && !failed.Load(); i = int(next.Add(1)) - 1 {
				if errs[i] = do(i); errs[i] != nil {
					failed.Store(true)
				}
			}
		})
	}
	all.Wait()
	for _, err := range errs { // a job is begun before all later ones: the first that fails has been done
		if err != nil {
			return err
		}
	}
	return nil
}
