// Package strict reads TOML against a table of keys and says everything that is wrong with a file in one run.
//
// Call [Parse] with the text and the keys that the file may hold; then take the values out of the [Table] that
// comes back. Every problem carries the line and column where the user can mend it. Keys, their types, ranges,
// choices and defaults are data ([Key]), so that the reader, the documentation and the list of defaults that a
// plan used cannot drift apart.
//
// The grammar is github.com/pelletier/go-toml's business. Its decoder gives up at the first wrong type, so the values
// come from its syntax tree (see tree.go), each with its place, and are checked here. What a value means (references,
// windows, sums) is the caller's business: see [Table.Report].
package strict

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
)

// A Problem is one thing wrong with a file, where the user can go and look.
//
// Msg is in lower case: what was found and what is allowed. Hint is the nearest right spelling, or what to try; it
// may be empty. Line and Col count from 1, Col in characters; both are 0 when the problem is the whole file's.
type Problem struct {
	File      string
	Line, Col int
	Msg, Hint string
}

// Error gives the place and the message, without the hint.
func (p Problem) Error() string {
	if p.Line == 0 {
		return fmt.Sprintf("%s: %s", p.File, p.Msg)
	}
	return fmt.Sprintf("%s:%d:%d: %s", p.File, p.Line, p.Col, p.Msg)
}

// Problems is everything wrong with one or more files, as one error.
type Problems []Problem

// Error gives one line for each problem.
func (ps Problems) Error() string {
	lines := make([]string, len(ps))
	for i, p := range ps {
		lines[i] = p.Error()
	}
	return strings.Join(lines, "\n")
}

// log collects what is said about one file.
type log struct {
	file     string
	root     *Keys
	problems []Problem
	seen     map[Problem]bool // two checks may meet at the same fault
}

func (l *log) report(at Pos, hint, format string, args ...any) {
	p := Problem{File: l.file, Line: at.Line, Col: at.Col, Msg: fmt.Sprintf(format, args...), Hint: hint}
	if l.seen[p] {
		return
	}
	if l.seen == nil {
		l.seen = make(map[Problem]bool)
	}
	l.seen[p] = true
	l.problems = append(l.problems, p)
}

// sorted gives the problems in the order of the file; those of one place in the order in which they were found.
func (l *log) sorted() []Problem {
	return slices.SortedStableFunc(slices.Values(l.problems), func(a, b Problem) int {
		return cmp.Or(cmp.Compare(a.Line, b.Line), cmp.Compare(a.Col, b.Col))
	})
}
