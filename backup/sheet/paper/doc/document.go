// Package doc is a document of parts, sections and blocks, and how it is set: as one page of HTML ([Document.Write])
// that prints well, as Markdown, and its tables as CSV ([Document.Tables]). It knows nothing of what stands on it.
package doc

import (
	"fmt"
	"html/template"
	"io"
	"slices"
	"strings"

	"outlast/backup/sheet/speech"
)

// A Document is the papers of one plan, ready to be drawn.
type Document struct {
	Lang     string
	Title    string // the home
	Kicker   string // what this is, above the title
	Date     string
	Stamp    []string // program, site file and revision
	Page     string   // the word for the foot of a printed page
	Size     string   // of the paper, one of [Sizes]
	Contents string
	Parts    []Part
	Aside    []Part // that are not printed; their tables are CSV files all the same

	// Untranslated are the English texts for which the language has no words; they stand on the papers in English.
	// There are none of ours.
	Untranslated []string
}

// A Part is the papers for one reader. It begins on a page of its own.
type Part struct {
	ID, Title, Lead string
	OnePage         bool    // set so that it fills one printed page
	Type, Gap       float64 // of one page: its type in points, and mm between its sections (fit.go)
	Split           int     // of one page: how many of the sections that stand in columns are in the left one,
	LeftShare       float64 // and how wide that is, as a share of both
	Sections        []Section
}

// A Section is a headed group of blocks. On a part of one page, sections of the class "full" take its whole width and
// the others stand in columns between them. Elsewhere "flow" is set in two columns where paper is wide enough.
type Section struct {
	ID, Title, Class string
	Blocks           []Block
}

// A Run is neighbouring sections that are set alike: below each other, or in two columns.
type Run struct {
	Columns               bool
	Sections, Left, Right []Section
}

// Runs are the sections of a part, those that stand in columns together.
func (p Part) Runs() []Run {
	var out []Run
	n := 0 // sections in columns so far
	for _, s := range p.Sections {
		columns := p.OnePage && s.Class != "full"
		if len(out) == 0 || out[len(out)-1].Columns != columns {
			out = append(out, Run{Columns: columns})
		}
		switch run := &out[len(out)-1]; {
		case !columns:
			run.Sections = append(run.Sections, s)
		case n < p.Split:
			run.Left = append(run.Left, s)
			n++
		default:
			run.Right = append(run.Right, s)
			n++
		}
	}
	return out
}

// A Block is one of the things that stand below each other on paper: just one of its fields is set.
type Block struct {
	Head   string // a heading inside the section
	Text   *Text
	List   *List
	Table  *Table
	Figure *Figure
	Box    *Box
	Fields *Fields
}

// Text is a paragraph, or any piece of text.
type Text struct{ S string }

// List is a list of items: plain, numbered, or with a box to tick before each.
type List struct {
	Ordered, Tick bool
	Items         []Item
}

// An Item of a list may begin with a lead, which is set in bold.
type Item struct {
	Lead string
	Text Text
}

// A Box is text that must not be missed. Kind is "pass", "caution", "fail", "medical" or "safety"; Title says the same
// in words, for the frame alone must not.
type Box struct {
	Kind, Title string
	Texts       []Text
	Items       []Item
}

// Fields are lines to be filled in by hand: each has a label, and words that say what it is for.
type Fields struct{ Rows []Item }

// Columns is how many of them stand beside each other: three, where that fills the lines.
func (f Fields) Columns() int {
	if len(f.Rows)%3 == 0 {
		return 3
	}
	return 2
}

// A Table has an id that names its CSV file.
type Table struct {
	ID, Caption string
	Columns     []Column
	Rows        []Row
	Note        string
	Plain       bool // few short columns: it stays a table on a phone instead of becoming a list
	Dense       bool // many long rows: set smaller
	Named       bool // the names of its rows are long words, which long heads of numbers must not squeeze
	Steps       bool // each row is a step of a calculation (annex.go), set on lines of its own
}

// A Column has a head and its unit. Columns of numbers are set to the right.
type Column struct {
	Head, Unit string
	Right      bool
	Tight      bool // marks and units, which must not be broken
	Whole      bool // words that must not be broken where the table is one
	Blank      bool // room to write by hand
}

// A Row is the cells of a line; Group, where it is set, heads the rows from this one on. ID, where it is set, is where
// links lead to.
type Row struct {
	ID, Group string
	Cells     []Cell
	DataOnly  bool    // in the CSV file alone: what another table of the papers says already
	Detail    *Detail // of a step: what its cell of numbers says, line by line
}

// A Link leads to the row of that id.
type Link struct{ Text, To string }

// A Cell is what is printed, and for CSV the number behind it with all its digits.
type Cell struct {
	Text
	Exact  string // "": the same as S
	Status string // "pass", "caution" or "fail" for a cell that tells one
	Links  []Link // of which S is the text
}

// A Figure is a drawing, once for wide and once for narrow paper, with words for those who do not see it.
type Figure struct {
	ID, Caption  string
	Wide, Narrow template.HTML // Narrow may be empty: then Wide is shown everywhere and can be moved sideways
	Describe     string
	Across       bool // of both columns, where printed figures stand in two
}

func Para(s string) Block { return Block{Text: &Text{S: s}} }

// Plain makes a cell of words.
func Plain(s string) Cell { return Cell{Text: Text{S: s}} }

// Head makes a column of words, tight one of marks, right one of numbers.
func Head(s string) Column { return Column{Head: s} }

func Tight(s string) Column { return Column{Head: s, Tight: true} }

func Right(s, unit string) Column { return Column{Head: s, Unit: unit, Right: true} }

// Blank makes a column in which somebody writes by hand.
func Blank(s string) Column { return Column{Head: s, Blank: true} }

// WithoutEmpty leaves the columns out in which no row has anything.
func (t *Table) WithoutEmpty() *Table {
	var kept []int
	for i := range t.Columns {
		if slices.ContainsFunc(t.Rows, func(r Row) bool { return r.Cells[i].S != None }) {
			kept = append(kept, i)
		}
	}
	if len(t.Rows) == 0 || len(kept) == len(t.Columns) {
		return t
	}
	columns := t.Columns
	t.Columns = nil
	for _, i := range kept {
		t.Columns = append(t.Columns, columns[i])
	}
	for n, row := range t.Rows {
		t.Rows[n].Cells = nil
		for _, i := range kept {
			t.Rows[n].Cells = append(t.Rows[n].Cells, row.Cells[i])
		}
	}
	return t
}

// A Group is rows of a table under one head, which may be empty.
type Group struct {
	Head string
	Rows []Row
}

// Groups are the rows of a table by their groups.
func (t *Table) Groups() []Group {
	var out []Group
	for _, row := range t.Rows {
		if row.DataOnly {
			continue
		}
		if len(out) == 0 || row.Group != "" {
			out = append(out, Group{Head: row.Group})
		}
		g := &out[len(out)-1]
		g.Rows = append(g.Rows, row)
	}
	return out
}

// A Step is a row of a table of steps, by what stands on its lines.
type Step struct {
	No, Title, Formula, Expr, Numbers, Result, Source string
	Detail
}

// A Detail is what goes into a step, line by line.
type Detail struct {
	Inputs  []Input
	Between string     // what stands between two of them
	Columns []string   // what the columns of Rows are
	Rows    [][]string // the first has the heads; the last cell of each says what the row is of
	Lines   []string   // rows that are too wide for a table, one by one
}

// An Input is a figure that goes into a step, and where it comes from.
type Input struct {
	Text string
	From Link // To is empty where it does not lead anywhere
}

// Step reads a row of the table of steps.
func (r Row) Step() Step {
	c := r.Cells
	result := c[5].S
	if c[6].S != "" {
		result += speech.Hard + c[6].S
	}
	s := Step{No: c[0].S, Title: c[1].S, Formula: c[2].S, Expr: c[3].S, Result: result, Source: c[7].S}
	if r.Detail != nil {
		s.Detail = *r.Detail
	} else {
		s.Numbers = c[4].S
	}
	return s
}

// Class is how the cells of a column are set: numbers to the right, marks and units unbroken. Up to the first column of
// words cells are the title of their row, which stands alone where rows become cards.
func (t *Table) Class(column int) string {
	title := true
	for _, c := range t.Columns[:column] {
		title = title && c.Tight
	}
	c := t.Columns[column]
	class := "words"
	switch {
	case c.Right:
		class, title = "num", false
	case c.Tight:
		class = "tight"
	case c.Blank:
		class, title = "blank", false
	}
	if c.Whole {
		class += " whole"
	}
	if title {
		class += " title"
	}
	return class
}

// None is how the papers write that there is nothing; in CSV the cell is empty.
const None = "–"

// formats are those that [Document.Write] knows, the default first.
var formats = []string{"html", "markdown"}

// Formats lists the formats that [Document.Write] knows, the default first.
func Formats() []string { return append([]string(nil), formats...) }

// Write writes the papers to w, as "html" (which "" is too) or "markdown". Another format or an error of w is the
// error.
func (d *Document) Write(w io.Writer, format string) error {
	switch format {
	case "", "html":
		return writeHTML(w, d)
	case "markdown":
		return writeMarkdown(w, d)
	}
	return fmt.Errorf("format %q, want one of %s", format, strings.Join(formats, ", "))
}
