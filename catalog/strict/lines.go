package strict

import (
	"bytes"
	"unicode/utf8"
)

// Pos is a place in a file: line and column from 1, the column in characters.
type Pos struct{ Line, Col int }

// Before says whether p stands before q.
func (p Pos) Before(q Pos) bool {
	return p.Line < q.Line || p.Line == q.Line && p.Col < q.Col
}

// lines turns offsets into lines and columns.
//
// The parser could do so too, but scans from the start for each place; and a file may be one line of a mebibyte, so
// that counting characters from the start of the line each time would take minutes.
type lines struct {
	src    []byte
	starts []int // offset of each line
	offset int   // the latest place
	at     Pos
}

func newLines(src []byte) *lines {
	l := &lines{src: src, starts: []int{0}, at: Pos{1, 1}}
	for i, b := range src {
		if b == '\n' {
			l.starts = append(l.starts, i+1)
		}
	}
	return l
}

func (l *lines) pos(offset int) Pos {
	line := l.line(offset)
	from, col := l.starts[line], 1
	if l.at.Line == line+1 && l.offset <= offset {
		from, col = l.offset, l.at.Col
	}
	l.offset, l.at = offset, Pos{Line: line + 1, Col: col + utf8.RuneCount(l.src[from:offset])}
	return l.at
}

// line is the index of the line in which offset lies.
func (l *lines) line(offset int) int {
	lo, hi := 0, len(l.starts)
	for hi-lo > 1 {
		if mid := (lo + hi) / 2; l.starts[mid] <= offset {
			lo = mid
		} else {
			hi = mid
		}
	}
	return lo
}

// bracket is the place of the bracket that opens the header in which offset lies.
func (l *lines) bracket(offset int) Pos {
	start := l.starts[l.line(offset)]
	return l.pos(start + max(0, bytes.IndexByte(l.src[start:offset], '[')))
}

// firstBad finds the first byte that no text file has: one that is not UTF-8, or a zero.
func (l *lines) firstBad() (at Pos, isZero, ok bool) {
	for i := 0; i < len(l.src); {
		r, n := utf8.DecodeRune(l.src[i:])
		if r == 0 || (r == utf8.RuneError && n == 1) {
			return l.pos(i), r == 0, false
		}
		i += n
	}
	return Pos{}, false, true
}
