package book

import (
	"archive/zip"
	"bytes"
	"cmp"
	"fmt"
	"io"
	"maps"
	"math"
	"slices"
	"strconv"
	"strings"

	"github.com/xuri/excelize/v2"
)

// Write writes the workbook as .xlsx.
func (b *Book) Write(w io.Writer, properties *excelize.DocProperties, statuses [3]string,
	values map[Ref]string) error {
	f := excelize.NewFile()
	defer f.Close()
	look := looks{file: f, known: map[lookOf]int{}, statuses: statuses}
	for i, s := range b.Sheets {
		var err error
		if i == 0 {
			err = f.SetSheetName("Sheet1", s.Name)
		} else {
			_, err = f.NewSheet(s.Name)
		}
		if err != nil {
			return err
		}
	}
	for _, s := range b.Sheets {
		if err := s.write(f, &look, values); err != nil {
			return fmt.Errorf("sheet %s: %w", s.Name, err)
		}
	}
	names := b.Named()
	for _, name := range slices.Sorted(maps.Keys(names)) {
		if err := f.SetDefinedName(&excelize.DefinedName{Name: name, RefersTo: string(names[name])}); err != nil {
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

func (s *Sheet) write(f *excelize.File, look *looks, values map[Ref]string) error {
	places := s.places()
	for _, step := range []func() error{
		func() error { return s.page(f) },
		func() error { return s.rules(f, look) },
	} {
		if err := step(); err != nil {
			return err
		}
	}
	out, err := f.NewStreamWriter(s.Name)
	if err != nil {
		return err
	}
	for _, col := range slices.Sorted(maps.Keys(s.widths)) {
		if err := out.SetColWidth(col, col, s.widths[col]); err != nil {
			return err
		}
	}
	if s.Frozen != [2]int{} {
		corner := ColumnName(s.Frozen[1]+1) + strconv.Itoa(s.Frozen[0]+1)
		pane := "bottomRight"
		if s.Frozen[1] == 0 {
			pane = "bottomLeft"
		}
		if err := out.SetPanes(&excelize.Panes{Freeze: true, XSplit: s.Frozen[1], YSplit: s.Frozen[0],
			TopLeftCell: corner, ActivePane: pane}); err != nil {
			return err
		}
	}
	for i := 0; i < len(places); {
		n := i + 1
		for n < len(places) && places[n][0] == places[i][0] {
			n++
		}
		if err := s.writeRow(out, look, values, places[i:n]); err != nil {
			return err
		}
		i = n
	}
	return out.Flush()
}

// writeRow writes the cells of a row, which is as high as its words need.
func (s *Sheet) writeRow(out *excelize.StreamWriter, look *looks, values map[Ref]string, places [][2]int) error {
	var cells []any
	row, lines := places[0][0], 1.0
	for _, at := range places {
		c, col := s.Cells[at], at[1]
		style, err := look.of(c)
		if err != nil {
			return err
		}
		for len(cells) < col {
			cells = append(cells, nil)
		}
		cells[col-1] = excelize.Cell{StyleID: style, Formula: s.local(c.Formula), Value: c.kept(values[s.At(row, col)])}
		if c.Across > 1 {
			if err := out.MergeCell(ColumnName(col)+strconv.Itoa(row), ColumnName(col+c.Across-1)+strconv.Itoa(row)); err != nil {
				return err
			}
		}
		if c.Wrap {
			width := 0.0
			for i := range max(1, c.Across) {
				width += s.widthOf(col + i)
			}
			lines = max(lines, wrapped(c.Text, width, c.Kind == Head))
		}
	}
	var o []excelize.RowOpts
	if lines > 1 {
		o = append(o, excelize.RowOpts{Height: 13.5 * lines})
	}
	return out.SetRow("A"+strconv.Itoa(row), cells, o...)
}

// kept is the value that a cell has in the file: of a formula what it was worked out to, or nothing.
func (c Cell) kept(calculated string) any {
	switch {
	case c.Formula != "" && calculated == "":
		return nil
	case c.Formula != "":
		if x, err := strconv.ParseFloat(calculated, 64); err == nil && !c.Words {
			return x
		}
		return calculated
	case c.IsNum:
		return c.Number
	case c.Text != "":
		return c.Text
	}
	return nil
}

// widest is how many characters go beside each other on a page that can still be read.
const widest = 190

// widthOf is the width of a column in characters.
func (s *Sheet) widthOf(col int) float64 {
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
func (s *Sheet) page(f *excelize.File) error {
	paper, orientation, wide, tall := 9, "landscape", 1, 0
	if s.Upward {
		orientation = "portrait"
	}
	// A wide sheet takes several pages beside each other, so that it can still be read.
	last, total := 0, 0.0
	for at := range s.Cells {
		last = max(last, at[1])
	}
	for col := 1; col <= last; col++ {
		total += s.widthOf(col)
	}
	wide = max(1, int(math.Ceil(total/widest)))
	fit := true
	if err := f.SetSheetProps(s.Name, &excelize.SheetPropsOptions{FitToPage: &fit}); err != nil {
		return err
	}
	if err := f.SetPageLayout(s.Name, &excelize.PageLayoutOptions{Size: &paper, Orientation: &orientation,
		FitToWidth: &wide, FitToHeight: &tall}); err != nil {
		return err
	}
	side := 0.4
	if err := f.SetPageMargins(s.Name, &excelize.PageLayoutMarginsOptions{Left: &side, Right: &side, Top: &side,
		Bottom: &side}); err != nil {
		return err
	}
	var repeated []string
	if wide > 1 && s.Frozen[1] > 0 {
		repeated = append(repeated, fmt.Sprintf("'%s'!$A:$%s", s.Name, ColumnName(s.Frozen[1])))
	}
	if s.Heads > 0 {
		repeated = append(repeated, fmt.Sprintf("'%s'!$1:$%d", s.Name, s.Heads))
	}
	if len(repeated) > 0 {
		if err := f.SetDefinedName(&excelize.DefinedName{Name: "_xlnm.Print_Titles", Scope: s.Name,
			RefersTo: strings.Join(repeated, ",")}); err != nil {
			return err
		}
	}
	return f.ProtectSheet(s.Name, &excelize.SheetProtectionOptions{SelectLockedCells: true, SelectUnlockedCells: true,
		FormatCells: true, FormatColumns: true, FormatRows: true})
}

// rules says what cells take, and marks statuses by colour beside their word.
func (s *Sheet) rules(f *excelize.File, look *looks) error {
	upToOne := func(ranges []string, kind excelize.DataValidationType) error {
		for _, where := range ranges {
			v := excelize.NewDataValidation(true)
			v.SetSqref(where)
			if err := v.SetRange(0, 1, kind, excelize.DataValidationOperatorBetween); err != nil {
				return err
			}
			if err := f.AddDataValidation(s.Name, v); err != nil {
				return err
			}
		}
		return nil
	}
	if err := upToOne(s.Flags, excelize.DataValidationTypeWhole); err != nil {
		return err
	}
	if err := upToOne(s.Times, excelize.DataValidationTypeDecimal); err != nil {
		return err
	}
	for _, where := range s.Bars {
		style, err := f.NewConditionalStyle(&excelize.Style{Fill: excelize.Fill{Type: "pattern", Pattern: 1,
			Color: []string{"C5D9EC"}}})
		if err != nil {
			return err
		}
		if err := f.SetConditionalFormat(s.Name, where, []excelize.ConditionalFormatOptions{{Type: "cell",
			Criteria: "==", Value: "1", Format: &style}}); err != nil {
			return err
		}
	}
	for _, where := range s.Marks {
		for i, fill := range []string{"F6C9C4", "FBE7B2", "D5EBD2"} {
			style, err := f.NewConditionalStyle(&excelize.Style{Fill: excelize.Fill{Type: "pattern", Pattern: 1,
				Color: []string{fill}}})
			if err != nil {
				return err
			}
			if err := f.SetConditionalFormat(s.Name, where, []excelize.ConditionalFormatOptions{{Type: "cell",
				Criteria: "==", Value: Quote(look.statuses[i]), Format: &style}}); err != nil {
				return err
			}
		}
	}
	return nil
}
