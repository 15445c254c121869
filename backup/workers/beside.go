package workers

import "runtime"

// Beside does some work beside whatever follows, and gives what takes its outcome: it waits for it. On a single
// processor the work is done when its outcome is taken, and not at all where nobody takes it. A panic of the work is one
// of who takes the outcome.
//
// The outcome is taken once, or not at all.
func Beside[T any](work func() T) (outcome func() T) {
	if runtime.GOMAXPROCS(0) == 1 {
		return work
	}
	type ending struct {
		value T
		fault any
	}
	done := make(chan ending, 1)
	go func() {
		var end ending
		defer func() {
			end.fault = recover()
			done <- end
		}()
		end.value = work()
	}()
	return func() T {
		end := <-done
		if end.fault != nil {
			panic(end.fault)
		}
		return end.value
	}
}
