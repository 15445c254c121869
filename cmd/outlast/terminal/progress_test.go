package terminal

import (
	"bytes"
	"strings"
	"testing"
	"time"
)

// TestProgress: nothing within the first second, then a bar that grows and goes without a trace; nothing at all but on
// a terminal.
func TestProgress(t *testing.T) {
	var w bytes.Buffer
	p := &Progress{w: &w, parts: 2, since: time.Now()}
	p.Show(0, 1, 2)
	p.End()
	if w.Len() > 0 {
		t.Errorf("within the first second: %q", w.String())
	}
	p.since = time.Now().Add(-2 * progressAfter)
	p.Show(1, 1, 2)
	if want := "\r[" + strings.Repeat("=", 22) + strings.Repeat(" ", 8) + "]  75 %"; w.String() != want {
		t.Errorf("three quarters: %q, want %q", w.String(), want)
	}
	drawn := w.Len()
	p.Show(1, 2, 2) // at once again
	if w.Len() != drawn {
		t.Error("drawn twice within a tenth of a second")
	}
	p.End()
	p.End()
	if got := w.String()[drawn:]; got != "\r"+strings.Repeat(" ", progressWidth+8)+"\r" {
		t.Errorf("at the end: %q", got)
	}
	if p := NewProgress(&w, 1); p.w != nil {
		t.Error("a bar where there is no terminal")
	}
}
