// Package strict reads TOML against a table of keys and says everything that is wrong with a file in one run.
//
// Call [Parse] with the text and the keys that the file may hold; then take the values out of the [Table] that
// comes back. Every problem carries the line and column where the user can mend it. Keys, their types, ranges,
// choices and defaults are data ([Key]), so that the reader, the documentation and the list of defaults that a
// plan used cannot drift apart.
//
// Values are read by github.com/BurntSushi/toml. It gives no position for an unknown key and stops at the first
// wrong type, so the positions come from a second parser's syntax tree (see place.go), and the types are checked
// here. What a value means (references, windows, sums) is the caller's business: see [Table.Report].
package strict

import (
	"fmt"
	"sort"
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

// Default is a value that a file left to us, for the working.
type Default struct {
	Table string // as written in the file: "[site]", "[[load]]"
	Key   string
	Value string // with its unit
	Count int    // how many tables left it out
}

// log collects what is said about one file.
type log struct {
	file     string
	problems []Problem
	defaults []Default
	index    map[string]int // of defaults, by table and key
}

func (l *log) report(at Pos, hint, format string, args ...any) {
	l.problems = append(l.problems, Problem{File: l.file, Line: at.Line, Col: at.Col, Msg: fmt.Sprintf(format, args...), Hint: hint})
}

func (l *log) defaulted(table, key, value string) {
	id := table + "." + key
	if i, ok := l.index[id]; ok {
		l.defaults[i].Count++
		return
	}
	if l.index == nil {
		l.index = make(map[string]int)
	}
	l.index[id] = len(l.defaults)
	l.defaults = append(l.defaults, Default{Table: table, Key: key, Value: value, Count: 1})
}

// sorted gives the problems in the order of the file, each once: two checks may meet at the same fault.
func (l *log) sorted() []Problem {
	ps := append([]Problem(nil), l.problems...)
	sort.SliceStable(ps, func(i, j int) bool {
		if ps[i].Line != ps[j].Line {
			return ps[i].Line < ps[j].Line
		}
		if ps[i].Col != ps[j].Col {
			return ps[i].Col < ps[j].Col
		}
		return ps[i].Msg < ps[j].Msg
	})
	out := ps[:0]
	for _, p := range ps {
		if n := len(out); n > 0 && out[n-1] == p {
			continue
		}
		out = append(out, p)
	}
	return out
}
