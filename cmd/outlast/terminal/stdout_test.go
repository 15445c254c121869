package terminal

import (
	"errors"
	"io"
	"testing"
)

// TestWatched: who printed without looking at errors still left the first one behind.
func TestWatched(t *testing.T) {
	first := errors.New("the disk is full")
	s := &Watched{W: failing{first}}
	if _, err := io.WriteString(s, "x"); !errors.Is(err, first) || !errors.Is(s.Err, first) {
		t.Errorf("the error is %v, remembered as %v", err, s.Err)
	}
	s.W = failing{errors.New("another")}
	if _, err := io.WriteString(s, "y"); err == nil || !errors.Is(s.Err, first) {
		t.Errorf("after another error (%v) %v is remembered, want the first", err, s.Err)
	}
}

// failing is a writer that takes nothing.
type failing struct{ err error }

func (f failing) Write([]byte) (int, error) { return 0, f.err }
