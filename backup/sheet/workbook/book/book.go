// Package book is a spreadsheet while it is filled: sheets of cells, each with its kind, its look and its formula.
//
// [New] begins one, [Book.Sheet] adds a sheet, [Book.List] makes it one of figures below each other. Formulas are put
// together from the places of other cells ([Ref]). [Book.Calculated] works them out, [Book.Write] writes the file.
// What stands in the sheets is no business of this package.
package book

import (
	"cmp"
	"fmt"
	"maps"
	"math"
	"slices"
	"strconv"
	"strings"

	"github.com/xuri/excelize/v2"

	"outlast/backup/sheet/speech"
)

// A Kind says what a cell is to its reader.
type Kind int

// The kinds of cells.
const (
	Plain  Kind = iota // words
	Title              // of a sheet
	Head               // of a column, or of a part of a sheet
	Input              // a figure of the site file or of a data sheet: it may be changed
	Live               // a formula
	Result             // a formula that the plan prints
	Table              // a figure of a published table
	Worked             // worked out by the program, and not followed here
	Note               // small print
)

// Formats of numbers. A spreadsheet shows them with the signs of its own language.
const (
	AsWhole = "#,##0"
	AsTenth = "#,##0.0"
	AsCent  = "#,##0.00"
	AsMille = "#,##0.000"
	AsFine  = "0.000000"
	AsGiven = "General"
	AsClock = "[hh]:mm"
)

// FormatOf is the format of a figure by its unit.
func FormatOf(unit string) string {
	switch unit {
	case "W", "VA", "VAr", "Wh", "Ah", "m", "mm", "cm2", "ms":
		return AsWhole
	case "A", "C", "K":
		return AsTenth
	case "V", "h", "s", "kWh":
		return AsCent
	case "%":
		return AsCent
	case "circuits", "strings":
		return AsWhole
	case "ohm", "A/Ah", "1/K":
		return AsFine
	}
	return AsMille
}

// A Cell is one cell of a sheet.
type Cell struct {
	Kind    Kind
	Text    string // where it holds words
	Number  float64
	IsNum   bool
	Formula string
	Words   bool   // the formula gives words
	Format  string // of a number
	Wrap    bool
	Middle  bool
	Inset   bool // words that stand beside a number
	Across  int  // columns that it takes; 0: its own
}

// A Ref is the place of a cell, with its sheet, as formulas write it: 'Bank'!$C$5.
type Ref string

// A Sheet of the workbook, while it is filled.
type Sheet struct {
	Name   string
	Cells  map[[2]int]Cell // by row and column, from 1
	widths map[int]float64
	Row    int // the next free one of a list
	Frozen [2]int
	Heads  int // rows that stand on every printed page
	Upward bool
	Marks  []string // ranges in which statuses are marked by colour too
	Bars   []string // ranges in which a 1 is filled, as a bar of a chart
	Flags  []string // ranges that take 0 or 1
	Times  []string // ranges that take a time of the day
}

// A Book is a workbook while it is filled. It speaks the language of its speaker.
type Book struct {
	*speech.Speaker
	Sheets  []*Sheet
	In, Out map[string]Ref // the cells of inputs and results by their names, for who writes formulas and who checks them
}

// New is a workbook without sheets.
func New(s *speech.Speaker) *Book {
	return &Book{Speaker: s, In: map[string]Ref{}, Out: map[string]Ref{}}
}

// Named are all cells that have a name.
func (b *Book) Named() map[string]Ref {
	names := maps.Clone(b.In)
	maps.Copy(names, b.Out)
	return names
}

// Sheet adds a sheet. A name that is taken gets a number.
func (b *Book) Sheet(name string) *Sheet {
	name = sheetName(name)
	for n := 2; slices.ContainsFunc(b.Sheets, func(s *Sheet) bool { return strings.EqualFold(s.Name, name) }); n++ {
		name = fmt.Sprintf("%s %d", name, n)
	}
	s := &Sheet{Name: name, Cells: map[[2]int]Cell{}, widths: map[int]float64{}, Row: 1}
	b.Sheets = append(b.Sheets, s)
	return s
}

// sheetName makes words into the name of a sheet: at most 31 characters, and none that a formula would misread.
func sheetName(words string) string {
	words = strings.Map(func(r rune) rune {
		if strings.ContainsRune(`[]:*?/\'`, r) {
			return ' '
		}
		return r
	}, words)
	if runes := []rune(words); len(runes) > 31 {
		words = string(runes[:31])
	}
	return strings.TrimSpace(words)
}

// ColumnName is the letters of a column, from 1.
func ColumnName(col int) string {
	s, err := excelize.ColumnNumberToName(col)
	if err != nil {
		panic(err.Error())
	}
	return s
}

// At is the place of a cell.
func (s *Sheet) At(row, col int) Ref {
	return Ref(fmt.Sprintf("'%s'!$%s$%d", s.Name, ColumnName(col), row))
}

// Span is a block of cells.
func (s *Sheet) Span(row, col, lastRow, lastCol int) string {
	return fmt.Sprintf("'%s'!$%s$%d:$%s$%d", s.Name, ColumnName(col), row, ColumnName(lastCol), lastRow)
}

// Strip is a piece of a column, without the name of its sheet.
func Strip(col, from, to int) string {
	return ColumnName(col) + strconv.Itoa(from) + ":" + ColumnName(col) + strconv.Itoa(to)
}

// Put puts a cell in its place.
func (s *Sheet) Put(row, col int, c Cell) Ref {
	s.Cells[[2]int{row, col}] = c
	return s.At(row, col)
}

// Say puts words into a cell.
func (s *Sheet) Say(row, col int, k Kind, words string) Ref {
	return s.Put(row, col, Cell{Kind: k, Text: words})
}

// Long puts words that run on over several lines.
func (s *Sheet) Long(row, col int, k Kind, words string) Ref {
	return s.Put(row, col, Cell{Kind: k, Text: words, Wrap: true})
}

// Num puts a number into a cell.
func (s *Sheet) Num(row, col int, k Kind, x float64, format string) Ref {
	return s.Put(row, col, Cell{Kind: k, Number: x, IsNum: true, Format: format})
}

// Count puts the number of a row, a column or a step: nothing that anybody worked out.
func (s *Sheet) Count(row, col, n int) Ref {
	return s.Put(row, col, Cell{Kind: Plain, Number: float64(n), IsNum: true, Format: AsGiven, Middle: true})
}

// Calc puts a formula; args are put in as %s and so on.
func (s *Sheet) Calc(row, col int, k Kind, format, formula string, args ...any) Ref {
	if len(args) > 0 {
		formula = fmt.Sprintf(formula, args...)
	}
	return s.Put(row, col, Cell{Kind: k, Formula: formula, Format: format})
}

// CalcWords is Calc for a formula that gives words.
func (s *Sheet) CalcWords(row, col int, k Kind, formula string, args ...any) Ref {
	if len(args) > 0 {
		formula = fmt.Sprintf(formula, args...)
	}
	return s.Put(row, col, Cell{Kind: k, Formula: formula, Words: true})
}

// Width makes columns so many characters wide.
func (s *Sheet) Width(w float64, cols ...int) {
	for _, c := range cols {
		s.widths[c] = w
	}
}

// Lit writes a number for a formula.
func Lit(x float64) string { return strconv.FormatFloat(x, 'G', -1, 64) }

// Quote writes words for a formula.
func Quote(words string) string { return `"` + strings.ReplaceAll(words, `"`, `""`) + `"` }

// places are the cells of a sheet in the order of rows and columns, so that equal books give equal bytes.
func (s *Sheet) places() [][2]int {
	return slices.SortedFunc(maps.Keys(s.Cells), func(a, b [2]int) int {
		return cmp.Or(cmp.Compare(a[0], b[0]), cmp.Compare(a[1], b[1]))
	})
}

// local takes the name of the own sheet out of a formula: it says nothing there.
func (s *Sheet) local(formula string) string { return strings.ReplaceAll(formula, "'"+s.Name+"'!", "") }

// Digits cuts a figure that was worked out of others, such as 2340/5200, to the digits that somebody would type.
func Digits(x float64) float64 {
	if cut, err := strconv.ParseFloat(strconv.FormatFloat(x, 'g', 12, 64), 64); err == nil && math.Abs(cut-x) < 1e-12 {
		return cut
	}
	return x
}
