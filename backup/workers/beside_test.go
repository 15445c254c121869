package workers

import (
	"runtime"
	"testing"
)

// TestBeside: the outcome is that of the work, on one processor and on two, and so is its panic.
func TestBeside(t *testing.T) {
	for _, cores := range []int{1, 2} {
		defer runtime.GOMAXPROCS(runtime.GOMAXPROCS(cores))
		if got := Beside(func() int { return 42 })(); got != 42 {
			t.Errorf("on %d: %d, want 42", cores, got)
		}
		outcome := Beside(func() int { panic("a fault") })
		func() {
			defer func() {
				if fault := recover(); fault != "a fault" {
					t.Errorf("on %d: %v, want the panic of the work", cores, fault)
				}
			}()
			outcome()
		}()
	}
}

// TestBesideGoesOn: on two processors the work goes on while nobody takes its outcome yet; on one it waits for that.
func TestBesideGoesOn(t *testing.T) {
	defer runtime.GOMAXPROCS(runtime.GOMAXPROCS(2))
	told := make(chan int)
	outcome := Beside(func() int { told <- 1; return 2 })
	if got := <-told + outcome(); got != 3 {
		t.Errorf("%d, want 3", got)
	}
	runtime.GOMAXPROCS(1)
	begun := false
	outcome = Beside(func() int { begun = true; return 2 })
	if begun {
		t.Error("on one processor the work began before its outcome was taken")
	}
	if outcome(); !begun {
		t.Error("on one processor the work was never done")
	}
}
