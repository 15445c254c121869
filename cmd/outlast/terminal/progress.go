package terminal

import (
	"fmt"
	"io"
	"os"
	"strings"
	"time"

	"golang.org/x/term"
)

// Progress draws a bar on a terminal, once the work takes longer than a second; elsewhere it draws nothing.
type Progress struct {
	w     io.Writer // nil: no terminal
	parts int
	since time.Time
	drawn time.Time // zero: never
}

const (
	progressAfter = time.Second
	progressEvery = 100 * time.Millisecond
	progressWidth = 30
)

// NewProgress is the progress of a work in so many equal parts.
func NewProgress(w io.Writer, parts int) *Progress {
	p := &Progress{parts: parts, since: time.Now()}
	if f, ok := w.(*os.File); ok && term.IsTerminal(int(f.Fd())) {
		p.w = w
	}
	return p
}

// Show tells how much of a part (from 0) is done.
func (p *Progress) Show(part, done, of int) {
	now := time.Now()
	if p.w == nil || of == 0 || now.Sub(p.since) < progressAfter || now.Sub(p.drawn) < progressEvery {
		return
	}
	p.drawn = now
	share := (float64(part) + float64(done)/float64(of)) / float64(p.parts)
	full := int(share * progressWidth)
	fmt.Fprintf(p.w, "\r[%s%s] %3.0f %%", strings.Repeat("=", full), strings.Repeat(" ", progressWidth-full), 100*share)
}

// End wipes the bar out.
func (p *Progress) End() {
	if p.w != nil && !p.drawn.IsZero() {
		fmt.Fprintf(p.w, "\r%s\r", strings.Repeat(" ", progressWidth+8))
		p.drawn = time.Time{}
	}
}
