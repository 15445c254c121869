// Package tabular reads tables as people keep them: inventories, logs and meter readings, as text with delimiters or as
// a workbook.
//
// [Open] begins a [Table] of text: it finds the encoding (UTF-8 with or without a byte order mark, UTF-16, else
// Windows-1252), the delimiter and the decimal sign from the beginning of the file, or takes those of [Options].
// [Table.Next] then gives row by row, in memory that does not grow with the file: lines may end as they like, cells may
// be quoted and hold line ends, blank rows are left out. [Table.Number] reads figures with marks for thousands and
// gives what stands behind them, [Table.Moment] times, [FindColumns] tells which column is what by the words of its
// head. [OpenRows] makes a table of rows that come from elsewhere, such as a workbook.
//
// Nothing is guessed: a figure that may be read in two ways is a problem, with its line in the file and its column,
// counted from 1. A cell with a line end within belongs to the line in which its row begins. What a table tells is the
// caller's business.
package tabular

import (
	"errors"
	"fmt"
	"io"
	"strings"

	"outlast/catalog/strict"
)

// Bounds of a table. A year of minutes is a tenth of what they allow.
const (
	MaxBytes   = 256 << 20 // of a file
	maxRow     = 64 << 10  // bytes of one row
	maxColumns = 1024
	sampleSize = 256 << 10 // of the beginning, from which delimiter and decimal sign are told
	mostTold   = 20        // problems of one table: what has more is read wrongly as a whole
)

// Options settle what else is found in the file.
type Options struct {
	Delimiter rune   // 0: found
	Decimal   rune   // '.' or ','; 0: found
	Sheet     string // of a workbook; "": the first
}

// A Cell is what stands in one column of a row, without blanks around it.
type Cell struct {
	Text  string
	Typed bool // a number of a workbook: it is no matter of decimal signs
}

// A source gives rows; line counts from 1. The cells are good until the next call. Its error is [io.EOF] at the end.
type source interface {
	next() (line int, cells []Cell, err error)
}

// A Table is read from the first row to the last.
type Table struct {
	File     string
	Encoding string // what was found, in words; "" for a workbook

	src      source
	signs    signs
	dates    dates
	comma    bool // between columns of a text
	width    int  // columns that the head of a log names; 0: any number
	head     int  // its line
	line     int
	cells    []Cell
	waiting  bool // the row has been looked at and is to come once more
	problems strict.Problems
	failed   error
}

// Open begins a table of text. file is what messages call it. The error is of type [strict.Problems].
func Open(file string, r io.Reader, o Options) (*Table, error) {
	t := &Table{File: file}
	src, sample, err := openText(t, r, o)
	if err != nil {
		return nil, err
	}
	t.src = src
	t.signs.given = o.Decimal
	for {
		line, cells, err := sample.next()
		if err != nil {
			break // told when it is met
		}
		t.signs.look(line, cells)
		t.dates.look(cells)
	}
	return t, nil
}

// A Row is one row of [OpenRows].
type Row struct {
	Line  int
	Cells []Cell
}

// OpenRows begins a table of rows that are there already.
func OpenRows(file string, rows []Row, o Options) *Table {
	t := &Table{File: file, src: &given{rows}}
	t.signs.given = o.Decimal
	for _, r := range rows {
		t.signs.look(r.Line, r.Cells)
		t.dates.look(r.Cells)
	}
	return t
}

type given struct{ rows []Row }

func (g *given) next() (int, []Cell, error) {
	if len(g.rows) == 0 {
		return 0, nil, io.EOF
	}
	r := g.rows[0]
	g.rows = g.rows[1:]
	return r.Line, r.Cells, nil
}

// Next goes to the next row that is not blank; false at the end, and where reading cannot go on.
func (t *Table) Next() bool {
	if t.waiting {
		if t.waiting = false; !t.parted() {
			return true
		}
	}
	for t.failed == nil && len(t.problems) < mostTold {
		line, cells, err := t.src.next()
		if err != nil {
			t.failed = err
			break
		}
		if blank(cells) {
			continue
		}
		if t.line, t.cells = line, cells; t.parted() {
			break
		}
		return true
	}
	t.cells = nil
	return false
}

// parted reports a row of a log that commas part into more cells than its head has: a comma before decimals does so, and
// what is left of the figure would be taken for all of it.
func (t *Table) parted() bool {
	if !t.comma || t.width == 0 || len(t.cells) <= t.width || blank(t.cells[t.width:]) {
		return false
	}
	t.Report(t.width, "save it with semicolons between columns where figures have a decimal comma, else name each column in the head",
		"found %d cells, but the head in line %d names %d columns: commas part columns here, and perhaps figures too",
		len(t.cells), t.head, t.width)
	t.failed = io.EOF
	return true
}

// Again has the row come once more.
func (t *Table) Again() { t.waiting = true }

func blank(cells []Cell) bool {
	for _, c := range cells {
		if c.Text != "" {
			return false
		}
	}
	return true
}

// Line is where the row begins in the file.
func (t *Table) Line() int { return t.line }

// Cells are those of the row; they are good until the next one.
func (t *Table) Cells() []Cell { return t.cells }

// Cell is the one in a column, which counts from 0; rows may be short.
func (t *Table) Cell(col int) Cell {
	if col < 0 || col >= len(t.cells) {
		return Cell{}
	}
	return t.cells[col]
}

// Report tells of something wrong in a column of the row; one below 0 is the whole row.
func (t *Table) Report(col int, hint, format string, args ...any) {
	t.ReportAt(t.line, col, hint, format, args...)
}

// ReportAt tells of something wrong in a column of another row; line 0 is the whole file.
func (t *Table) ReportAt(line, col int, hint, format string, args ...any) {
	if len(t.problems) >= mostTold {
		return
	}
	t.problems = append(t.problems, strict.Problem{File: t.File, Line: line, Col: max(1, col+1),
		Msg: fmt.Sprintf(format, args...), Hint: hint})
}

// Err is everything that was wrong so far, of type [strict.Problems], or nil.
func (t *Table) Err() error {
	ps := t.problems
	var more strict.Problems
	switch {
	case len(ps) >= mostTold:
		ps = append(ps[:mostTold:mostTold], strict.Problem{File: t.File,
			Msg: "there may be more of the kind: reading ended here"})
	case errors.As(t.failed, &more):
		ps = append(ps[:len(ps):len(ps)], more...)
	case t.failed != nil && t.failed != io.EOF:
		ps = append(ps[:len(ps):len(ps)], strict.Problem{File: t.File, Msg: "cannot be read: " + t.failed.Error()})
	}
	if ps == nil {
		return nil
	}
	return ps
}

// trimmed is a text without what surrounds it, non-breaking blanks included.
func trimmed(s string) string {
	if n := len(s); n == 0 || s[0] > ' ' && s[0] < 0x80 && s[n-1] > ' ' && s[n-1] < 0x80 {
		return s
	}
	return strings.TrimFunc(s, func(r rune) bool {
		return r <= ' ' || r == '\u00a0' || r == '\u202f' || r == '\ufeff' ||
			r == '\u2009'
	})
}
