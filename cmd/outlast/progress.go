package main

import (
	"fmt"
	"io"
	"os"
	"strings"
	"time"

	"golang.org/x/term"
)

// progress draws a bar on a terminal, once the work takes longer than a second; elsewhere it draws nothing.
type progress struct {
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

// newProgress is the progress of a work in so many equal parts.
func newProgress(w io.Writer, parts int) *progress {
	p := &progress{parts: parts, since: time.Now()}
	if f, ok := w.(*os.File); ok && term.IsTerminal(int(f.Fd())) {
		p.w = w
	}
	return p
}

// show tells how much of a part (from 0) is done.
func (p *progress) show(part, done, of int) {
	now := time.Now()
	if p.w == nil || of == 0 || now.Sub(p.since) < progressAfter || now.Sub(p.drawn) < progressEvery {
		return
	}
	p.drawn = now
	share := (float64(part) + float64(done)/float64(of)) / float64(p.parts)
	full := int(share * progressWidth)
	fmt.Fprintf(p.w, "\r[%s%s] %3.0f %%", strings.Repeat("=", full), strings.Repeat(" ", progressWidth-full), 100*share)
}

// end wipes the bar out.
func (p *progress) end() {
	if p.w != nil && !p.drawn.IsZero() {
		fmt.Fprintf(p.w, "\r%s\r", strings.Repeat(" ", progressWidth+8))
		p.drawn = time.Time{}
	}
}
