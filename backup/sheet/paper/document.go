package paper

import "html/template"

// A Document is the papers of one plan, ready to be drawn.
type Document struct {
	Lang     string
	Title    string // the home
	Kicker   string // what this is, above the title
	Date     string
	Stamp    []string // program, site file and revision
	Page     string   // the word for the foot of a printed page
	Contents string
	Parts    []Part
}

// A Part is the papers for one reader. It begins on a page of its own.
type Part struct {
	ID, Title, Lead string
	OnePage         bool // set tightly, so that it fits on one printed page
	Sections        []Section
}

// A Section is a headed group of blocks. Class sets the owner's page in columns: "full", or "" for half its width.
type Section struct {
	ID, Title, Class string
	Blocks           []Block
}

// A Block is one of the things that stand below each other on paper: just one of its fields is set.
type Block struct {
	Text   *Text
	List   *List
	Table  *Table
	Figure *Figure
	Box    *Box
	Fields *Fields
}

// Text is a paragraph, or any piece of text. Lang is its language where that is not the document's.
type Text struct{ S, Lang string }

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

// A Box is text that must not be missed. Kind is "pass", "caution", "fail", "medical" or "safety"; Title says the same in words, for
// the frame alone must not.
type Box struct {
	Kind, Title string
	Texts       []Text
	Items       []Item
}

// Fields are lines to be filled in by hand: each has a label, and words that say what it is for.
type Fields struct{ Rows []Item }

// A Table has an id that names its CSV file.
type Table struct {
	ID, Caption string
	Columns     []Column
	Rows        []Row
	Note        string
	Plain       bool // few short columns: it stays a table on a phone instead of becoming a list
}

// A Column has a head and its unit. Columns of numbers are set to the right.
type Column struct {
	Head, Unit string
	Right      bool
}

// A Row is the cells of a line; Group, where it is set, heads the rows from this one on.
type Row struct {
	Group string
	Cells []Cell
}

// A Cell is what is printed, and for CSV the number behind it with all its digits.
type Cell struct {
	Text
	Exact  string // "": the same as S
	Status string // "pass", "caution" or "fail" for a cell that tells one
}

// A Figure is a drawing, once for wide and once for narrow paper, with words for those who do not see it.
type Figure struct {
	ID, Caption  string
	Wide, Narrow template.HTML // Narrow may be empty: then Wide is shown everywhere and can be moved sideways
	Describe     string
}

func para(s string) Block { return Block{Text: &Text{S: s}} }

func cell(s string) Cell { return Cell{Text: Text{S: s}} }

// head makes a column of words, figure one of numbers.
func head(s string) Column { return Column{Head: s} }

func right(s, unit string) Column { return Column{Head: s, Unit: unit, Right: true} }
