package workbook

import (
	"archive/zip"
	"bytes"
	"cmp"
	"context"
	"fmt"
	"io"
	"maps"
	"math"
	"slices"
	"strconv"
	"strings"

	"github.com/xuri/excelize/v2"
)

// A kind says what a cell is to its reader.
type kind int

const (
	plain  kind = iota // words
	title              // of a sheet
	head               // of a column, or of a part of a sheet
	input              // a figure of the site file or of a data sheet: it may be changed
	live               // a formula
	result             // a formula that the plan prints
	table              // a figure of a published table
	worked             // worked out by the program, and not followed here
	note               // small print
)

// Formats of numbers. A spreadsheet shows them with the signs of its own language.
const (
	asWhole   = "#,##0"
	asTenth   = "#,##0.0"
	asCent    = "#,##0.00"
	asMille   = "#,##0.000"
	asFine    = "0.000000"
	asGiven   = "General"
	asPercent = "0.0%"
	asClock   = "[hh]:mm"
)

// formatOf is the format of a figure by its unit.
func formatOf(unit string) string {
	switch unit {
	case "W", "VA", "VAr", "Wh", "Ah", "m", "mm", "cm2", "ms":
		return asWhole
	case "A", "C", "K":
		return asTenth
	case "V", "h", "s", "kWh":
		return asCent
	case "%":
		return asCent
	case "circuits", "strings":
		return asWhole
	case "ohm", "A/Ah", "1/K":
		return asFine
	}
	return asMille
}

// A cell is one cell of a sheet.
type cell struct {
	kind    kind
	text    string // where it holds words
	number  float64
	isNum   bool
	formula string
	words   bool   // the formula gives words
	format  string // of a number
	wrap    bool
	middle  bool
	inset   bool // words that stand beside a number
	across  int  // columns that it takes; 0: its own
}

// A ref is the place of a cell, with its sheet, as formulas write it: 'Bank'!$C$5.
type ref string

// A sheet of the workbook, while it is filled.
type sheet struct {
	name   string
	cells  map[[2]int]cell // by row and column, from 1
	widths map[int]float64
	row    int // the next free one of a list
	frozen [2]int
	heads  int // rows that stand on every printed page
	upward bool
	marks  []string // ranges in which statuses are marked by colour too
	bars   []string // ranges in which a 1 is filled, as a bar of a chart
	flags  []string // ranges that take 0 or 1
	times  []string // ranges that take a time of the day
}

// A book is a workbook while it is filled.
type book struct {
	sheets []*sheet
	names  map[string]ref // names of cells, for who writes formulas and for who checks them
}

func (b *book) sheet(name string) *sheet {
	name = sheetName(name)
	for n := 2; slices.ContainsFunc(b.sheets, func(s *sheet) bool { return strings.EqualFold(s.name, name) }); n++ {
		name = fmt.Sprintf("%s %d", name, n)
	}
	s := &sheet{name: name, cells: map[[2]int]cell{}, widths: map[int]float64{}, row: 1}
	b.sheets = append(b.sheets, s)
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

// name gives a cell a name.
func (b *book) name(name string, at ref) { b.names[name] = at }

func colName(col int) string {
	s, err := excelize.ColumnNumberToName(col)
	if err != nil {
		panic(err.Error())
	}
	return s
}

// at is the place of a cell.
func (s *sheet) at(row, col int) ref {
	return ref(fmt.Sprintf("'%s'!$%s$%d", s.name, colName(col), row))
}

// span is a block of cells.
func (s *sheet) span(row, col, lastRow, lastCol int) string {
	return fmt.Sprintf("'%s'!$%s$%d:$%s$%d", s.name, colName(col), row, colName(lastCol), lastRow)
}

// strip is a piece of a column, without the name of its sheet.
func strip(col, from, to int) string {
	return colName(col) + strconv.Itoa(from) + ":" + colName(col) +
		strconv.Itoa(to)
}

func (s *sheet) put(row, col int, c cell) ref {
	s.cells[[2]int{row, col}] = c
	return s.at(row, col)
}

// say puts words into a cell.
func (s *sheet) say(row, col int, k kind, words string) ref {
	return s.put(row, col, cell{kind: k, text: words})
}

// long puts words that run on over several lines.
func (s *sheet) long(row, col int, k kind, words string) ref {
	return s.put(row, col, cell{kind: k, text: words, wrap: true})
}

func (s *sheet) num(row, col int, k kind, x float64, format string) ref {
	return s.put(row, col, cell{kind: k, number: x, isNum: true, format: format})
}

// calc puts a formula; args are put in as %s and so on.
func (s *sheet) calc(row, col int, k kind, format, formula string, args ...any) ref {
	if len(args) > 0 {
		formula = fmt.Sprintf(formula, args...)
	}
	return s.put(row, col, cell{kind: k, formula: formula, format: format})
}

// calcWords is calc for a formula that gives words.
func (s *sheet) calcWords(row, col int, k kind, formula string, args ...any) ref {
	if len(args) > 0 {
		formula = fmt.Sprintf(formula, args...)
	}
	return s.put(row, col, cell{kind: k, formula: formula, words: true})
}

func (s *sheet) width(w float64, cols ...int) {
	for _, c := range cols {
		s.widths[c] = w
	}
}

// lit writes a number for a formula.
func lit(x float64) string { return strconv.FormatFloat(x, 'g', -1, 64) }

// quote writes words for a formula.
func quote(words string) string { return `"` + strings.ReplaceAll(words, `"`, `""`) + `"` }

// places are the cells of a sheet in the order of rows and columns, so that equal books give equal bytes.
func (s *sheet) places() [][2]int {
	return slices.SortedFunc(maps.Keys(s.cells), func(a, b [2]int) int {
		return cmp.Or(cmp.Compare(a[0], b[0]), cmp.Compare(a[1], b[1]))
	})
}

// local takes the name of the own sheet out of a formula: it says nothing there.
func (s *sheet) local(formula string) string { return strings.ReplaceAll(formula, "'"+s.name+"'!", "") }

// calculated works every formula out with the library's own engine. What a spreadsheet shows before it calculates
// itself, as on a phone, are these figures. One that cannot be worked out is left without.
func (b *book) calculated(ctx context.Context) (values map[ref]string, failed []string, err error) {
	f := excelize.NewFile()
	defer f.Close()
	for i, s := range b.sheets {
		if i == 0 {
			err = f.SetSheetName("Sheet1", s.name)
		} else {
			_, err = f.NewSheet(s.name)
		}
		if err != nil {
			return nil, nil, err
		}
		for _, at := range s.places() {
			c, name := s.cells[at], colName(at[1])+strconv.Itoa(at[0])
			switch {
			case c.formula != "":
				err = f.SetCellFormula(s.name, name, s.local(c.formula))
			case c.isNum:
				err = f.SetCellFloat(s.name, name, c.number, -1, 64)
			case c.text != "":
				err = f.SetCellStr(s.name, name, c.text)
			}
			if err != nil {
				return nil, nil, err
			}
		}
	}
	values = map[ref]string{}
	for _, s := range b.sheets {
		for _, at := range s.places() {
			if s.cells[at].formula == "" {
				continue
			}
			name := colName(at[1]) + strconv.Itoa(at[0])
			if err := ctx.Err(); err != nil {
				return nil, nil, err
			}
			v, err := f.CalcCellValue(s.name, name, excelize.Options{RawCellValue: true})
			if err != nil || strings.HasPrefix(v, "#") {
				failed = append(failed, fmt.Sprintf("%s!%s: %v %s: %s", s.name, name, err, v, s.cells[at].formula))
				continue
			}
			values[s.at(at[0], at[1])] = v
		}
	}
	return values, failed, nil
}

// write writes the workbook as .xlsx.
func (b *book) write(w io.Writer, properties *excelize.DocProperties, statuses [3]string,
	values map[ref]string) error {
	f := excelize.NewFile()
	defer f.Close()
	look := looks{file: f, known: map[lookOf]int{}, statuses: statuses}
	for i, s := range b.sheets {
		var err error
		if i == 0 {
			err = f.SetSheetName("Sheet1", s.name)
		} else {
			_, err = f.NewSheet(s.name)
		}
		if err != nil {
			return err
		}
	}
	for _, s := range b.sheets {
		if err := s.write(f, &look, values); err != nil {
			return fmt.Errorf("sheet %s: %w", s.name, err)
		}
	}
	for _, name := range slices.Sorted(maps.Keys(b.names)) {
		if err := f.SetDefinedName(&excelize.DefinedName{Name: name, RefersTo: string(b.names[name])}); err != nil {
			return fmt.Errorf("name %s: %w", name, err)
		}
	}
	if err := f.SetDocProps(properties); err != nil {
		return err
	}
	full := true
	if err := f.SetCalcProps(&excelize.CalcPropsOptions{FullCalcOnLoad: &full}); err != nil {
		return err
	}
	if err := f.ProtectWorkbook(&excelize.WorkbookProtectionOptions{LockStructure: true}); err != nil {
		return err
	}
	var out bytes.Buffer
	if err := f.Write(&out); err != nil {
		return err
	}
	return inOrder(w, out.Bytes())
}

// inOrder writes an archive with its files in the order of their names and without times: the library writes them as
// they come out of a map.
func inOrder(w io.Writer, archive []byte) error {
	from, err := zip.NewReader(bytes.NewReader(archive), int64(len(archive)))
	if err != nil {
		return err
	}
	var packed bytes.Buffer
	into := zip.NewWriter(&packed)
	for _, f := range slices.SortedFunc(slices.Values(from.File),
		func(a, b *zip.File) int { return cmp.Compare(a.Name, b.Name) }) {
		data, err := f.Open()
		if err != nil {
			return err
		}
		to, err := into.CreateHeader(&zip.FileHeader{Name: f.Name, Method: zip.Deflate})
		if err != nil {
			return err
		}
		if _, err := io.Copy(to, data); err != nil {
			return err
		}
	}
	if err := into.Close(); err != nil {
		return err
	}
	_, err = w.Write(packed.Bytes())
	return err
}

func (s *sheet) write(f *excelize.File, look *looks, values map[ref]string) error {
	places := s.places()
	for _, step := range []func() error{
		func() error { return s.page(f) },
		func() error { return s.rules(f, look) },
	} {
		if err := step(); err != nil {
			return err
		}
	}
	out, err := f.NewStreamWriter(s.name)
	if err != nil {
		return err
	}
	for _, col := range slices.Sorted(maps.Keys(s.widths)) {
		if err := out.SetColWidth(col, col, s.widths[col]); err != nil {
			return err
		}
	}
	if s.frozen != [2]int{} {
		corner := colName(s.frozen[1]+1) + strconv.Itoa(s.frozen[0]+1)
		pane := "bottomRight"
		if s.frozen[1] == 0 {
			pane = "bottomLeft"
		}
		if err := out.SetPanes(&excelize.Panes{Freeze: true, XSplit: s.frozen[1], YSplit: s.frozen[0],
			TopLeftCell: corner, ActivePane: pane}); err != nil {
			return err
		}
	}
	for i := 0; i < len(places); {
		row := places[i][0]
		var cells []any
		lines := 1.0
		for ; i < len(places) && places[i][0] == row; i++ {
			c, col := s.cells[places[i]], places[i][1]
			style, err := look.of(c)
			if err != nil {
				return err
			}
			for len(cells) < col {
				cells = append(cells, nil)
			}
			of := excelize.Cell{StyleID: style}
			switch {
			case c.formula != "":
				of.Formula = s.local(c.formula)
				if v, ok := values[s.at(row, col)]; ok {
					if x, err := strconv.ParseFloat(v, 64); err == nil && !c.words {
						of.Value = x
					} else {
						of.Value = v
					}
				}
			case c.isNum:
				of.Value = c.number
			case c.text != "":
				of.Value = c.text
			}
			cells[col-1] = of
			if c.across > 1 {
				if err := out.MergeCell(colName(col)+strconv.Itoa(row),
					colName(col+c.across-1)+strconv.Itoa(row)); err != nil {
					return err
				}
			}
			if c.wrap {
				width := 0.0
				for i := range max(1, c.across) {
					width += s.widthOf(col + i)
				}
				lines = max(lines, wrapped(c.text, width, c.kind == head))
			}
		}
		var o []excelize.RowOpts
		if lines > 1 {
			o = append(o, excelize.RowOpts{Height: 13.5 * lines})
		}
		if err := out.SetRow("A"+strconv.Itoa(row), cells, o...); err != nil {
			return err
		}
	}
	return out.Flush()
}

// widest is how many characters go beside each other on a page that can still be read.
const widest = 190

// widthOf is the width of a column in characters.
func (s *sheet) widthOf(col int) float64 {
	if w, ok := s.widths[col]; ok {
		return w
	}
	return 9
}

// wrapped is how many lines words take in a column of so many characters.
func wrapped(words string, width float64, bold bool) float64 {
	fits := int(width * 1.12)
	if bold {
		fits = int(width * 1.02)
	}
	lines, used := 1, 0
	for _, word := range strings.Fields(words) {
		n := len([]rune(word))
		switch {
		case used == 0:
			used = n
		case used+1+n <= fits:
			used += 1 + n
		default:
			lines++
			used = n
		}
		for used > fits && fits > 0 {
			lines++
			used -= fits
		}
	}
	return float64(lines)
}

// page sets how a sheet is printed and protected. There is no password: the protection is against slips.
func (s *sheet) page(f *excelize.File) error {
	paper, orientation, wide, tall := 9, "landscape", 1, 0
	if s.upward {
		orientation = "portrait"
	}
	// A wide sheet takes several pages beside each other, so that it can still be read.
	last, total := 0, 0.0
	for at := range s.cells {
		last = max(last, at[1])
	}
	for col := 1; col <= last; col++ {
		total += s.widthOf(col)
	}
	wide = max(1, int(math.Ceil(total/widest)))
	fit := true
	if err := f.SetSheetProps(s.name, &excelize.SheetPropsOptions{FitToPage: &fit}); err != nil {
		return err
	}
	if err := f.SetPageLayout(s.name, &excelize.PageLayoutOptions{Size: &paper, Orientation: &orientation,
		FitToWidth: &wide, FitToHeight: &tall}); err != nil {
		return err
	}
	side := 0.4
	if err := f.SetPageMargins(s.name, &excelize.PageLayoutMarginsOptions{Left: &side, Right: &side, Top: &side,
		Bottom: &side}); err != nil {
		return err
	}
	var repeated []string
	if wide > 1 && s.frozen[1] > 0 {
		repeated = append(repeated, fmt.Sprintf("'%s'!$A:$%s", s.name, colName(s.frozen[1])))
	}
	if s.heads > 0 {
		repeated = append(repeated, fmt.Sprintf("'%s'!$1:$%d", s.name, s.heads))
	}
	if len(repeated) > 0 {
		if err := f.SetDefinedName(&excelize.DefinedName{Name: "_xlnm.Print_Titles", Scope: s.name,
			RefersTo: strings.Join(repeated, ",")}); err != nil {
			return err
		}
	}
	return f.ProtectSheet(s.name, &excelize.SheetProtectionOptions{SelectLockedCells: true, SelectUnlockedCells: true,
		FormatCells: true, FormatColumns: true, FormatRows: true})
}

// rules says what cells take, and marks statuses by colour beside their word.
func (s *sheet) rules(f *excelize.File, look *looks) error {
	for _, where := range s.flags {
		v := excelize.NewDataValidation(true)
		v.SetSqref(where)
		if err := v.SetRange(0, 1, excelize.DataValidationTypeWhole,
			excelize.DataValidationOperatorBetween); err != nil {
			return err
		}
		if err := f.AddDataValidation(s.name, v); err != nil {
			return err
		}
	}
	for _, where := range s.times {
		v := excelize.NewDataValidation(true)
		v.SetSqref(where)
		if err := v.SetRange(0, 1, excelize.DataValidationTypeDecimal,
			excelize.DataValidationOperatorBetween); err != nil {
			return err
		}
		if err := f.AddDataValidation(s.name, v); err != nil {
			return err
		}
	}
	for _, where := range s.bars {
		style, err := f.NewConditionalStyle(&excelize.Style{Fill: excelize.Fill{Type: "pattern", Pattern: 1,
			Color: []string{"C5D9EC"}}})
		if err != nil {
			return err
		}
		if err := f.SetConditionalFormat(s.name, where, []excelize.ConditionalFormatOptions{{Type: "cell",
			Criteria: "==", Value: "1", Format: &style}}); err != nil {
			return err
		}
	}
	for _, where := range s.marks {
		for i, fill := range []string{"F6C9C4", "FBE7B2", "D5EBD2"} {
			style, err := f.NewConditionalStyle(&excelize.Style{Fill: excelize.Fill{Type: "pattern", Pattern: 1,
				Color: []string{fill}}})
			if err != nil {
				return err
			}
			if err := f.SetConditionalFormat(s.name, where, []excelize.ConditionalFormatOptions{{Type: "cell",
				Criteria: "==", Value: quote(look.statuses[i]), Format: &style}}); err != nil {
				return err
			}
		}
	}
	return nil
}

// looks are the styles of a file.
type looks struct {
	file     *excelize.File
	known    map[lookOf]int
	statuses [3]string // the words for fail, caution and pass
}

type lookOf struct {
	kind         kind
	format       string
	wrap, middle bool
	inset        bool
}

func (l *looks) of(c cell) (int, error) {
	key := lookOf{c.kind, c.format, c.wrap, c.middle, c.inset}
	if id, ok := l.known[key]; ok {
		return id, nil
	}
	st := &excelize.Style{Font: &excelize.Font{Family: "Arial", Size: 10},
		Alignment:  &excelize.Alignment{Vertical: "top", WrapText: c.wrap},
		Protection: &excelize.Protection{Locked: c.kind != input}}
	fill := ""
	switch c.kind {
	case title:
		st.Font.Size, st.Font.Bold = 14, true
	case head:
		st.Font.Bold, fill = true, "DDE3EA"
		st.Alignment.Vertical = "bottom"
	case input:
		fill = "FFF6CC"
		st.Border = thin("B8A23A", 1)
	case result:
		st.Font.Bold = true
	case table:
		fill = "E6F0F7"
	case worked:
		fill = "E4E4E4"
		st.Font.Italic = true
	case note:
		st.Font.Italic, st.Font.Color = true, "444444"
	}
	if fill != "" {
		st.Fill = excelize.Fill{Type: "pattern", Pattern: 1, Color: []string{fill}}
	}
	if c.format != "" {
		st.Alignment.Horizontal = "right"
		if c.format != asGiven {
			st.CustomNumFmt = &c.format
		}
	}
	if c.inset {
		st.Alignment.Horizontal, st.Alignment.Indent = "left", 1
	}
	if c.middle {
		st.Alignment.Horizontal = "center"
	}
	id, err := l.file.NewStyle(st)
	if err == nil {
		l.known[key] = id
	}
	return id, err
}

func thin(colour string, style int) []excelize.Border {
	var all []excelize.Border
	for _, side := range []string{"left", "right", "top", "bottom"} {
		all = append(all, excelize.Border{Type: side, Color: colour, Style: style})
	}
	return all
}
