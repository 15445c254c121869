// Package workbook reads a sheet of a workbook (.xlsx) as a table.
//
// [Read] gives its rows to [tabular.OpenRows]. Numbers come as they are kept, whatever they look like; times, dates and
// shares as they are shown, because as numbers they would be taken for others: 0:45 is kept as 0.03125.
package workbook

import (
	"bytes"
	"fmt"
	"io"
	"strings"

	"github.com/xuri/excelize/v2"

	"outlast/backup/measured/tabular"
	"outlast/catalog/strict"
)

// Bounds of a workbook, packed and unpacked.
const (
	maxPacked   = 16 << 20
	maxUnpacked = 64 << 20
	maxCells    = 200_000
	maxColumns  = 1024
)

// Read reads a sheet; "" is the first one. The error is of type [strict.Problems].
func Read(file string, r io.Reader, sheet string, o tabular.Options) (t *tabular.Table, err error) {
	wrong := func(hint, format string, args ...any) error {
		return strict.Problems{{File: file, Msg: fmt.Sprintf(format, args...), Hint: hint}}
	}
	packed, err := io.ReadAll(io.LimitReader(r, maxPacked+1))
	if err != nil {
		return nil, wrong("", "cannot be read: %v", err)
	}
	if len(packed) > maxPacked {
		return nil, wrong("", "is larger than %d MiB, which no list needs", maxPacked>>20)
	}
	defer func() { // what is no workbook is a fault of the file, whatever it makes the library do
		if p := recover(); p != nil {
			t, err = nil, wrong("save it again, or as .csv", "cannot be read as a workbook")
		}
	}()
	f, err := excelize.OpenReader(bytes.NewReader(packed), excelize.Options{UnzipSizeLimit: maxUnpacked,
		UnzipXMLSizeLimit: maxUnpacked, RawCellValue: true})
	if err != nil {
		return nil, wrong("save it again, or as .csv", "cannot be read as a workbook: %v", err)
	}
	defer f.Close()
	names := f.GetSheetList()
	switch {
	case len(names) == 0:
		return nil, wrong("", "has no sheet")
	case sheet == "":
		sheet = names[0]
	default:
		if i, _ := f.GetSheetIndex(sheet); i < 0 {
			return nil, wrong("the sheets are "+strings.Join(names, ", "), "has no sheet %s", strict.Quote(sheet))
		}
	}
	rows, err := read(f, sheet)
	if err != nil {
		return nil, wrong("save it again, or as .csv", "cannot be read as a workbook: %v", err)
	}
	if len(rows) == 0 {
		return nil, wrong("", "has nothing on sheet %s", strict.Quote(sheet))
	}
	return tabular.OpenRows(file, rows, o), nil
}

func read(f *excelize.File, sheet string) (rows []tabular.Row, err error) {
	it, err := f.Rows(sheet)
	if err != nil {
		return nil, err
	}
	defer it.Close()
	left := maxCells
	for line := 1; it.Next(); line++ {
		texts, err := it.Columns()
		if err != nil {
			return nil, err
		}
		if len(texts) > maxColumns {
			return nil, fmt.Errorf("found more than %d columns in row %d", maxColumns, line)
		}
		if left -= len(texts) + 1; left < 0 {
			return nil, fmt.Errorf("found more than %d cells", maxCells)
		}
		row := tabular.Row{Line: line}
		for i, text := range texts {
			c := tabular.Cell{Text: strings.TrimSpace(text)}
			if c.Text != "" {
				if c, err = typed(f, sheet, i+1, line, c); err != nil {
					return nil, err
				}
			}
			row.Cells = append(row.Cells, c)
		}
		rows = append(rows, row)
	}
	return rows, it.Error()
}

// typed tells numbers from text, and gives times, dates and shares as they are shown.
func typed(f *excelize.File, sheet string, col, line int, c tabular.Cell) (tabular.Cell, error) {
	at, err := excelize.CoordinatesToCellName(col, line)
	if err != nil {
		return c, err
	}
	kind, err := f.GetCellType(sheet, at)
	if err != nil {
		return c, err
	}
	switch kind {
	case excelize.CellTypeUnset, excelize.CellTypeNumber, excelize.CellTypeDate:
	default:
		return c, nil // text, a formula's text, an error such as #N/A
	}
	shown, err := f.GetCellValue(sheet, at, excelize.Options{RawCellValue: false})
	if err != nil {
		return c, err
	}
	if strings.ContainsAny(shown, ":/%") || strings.Count(shown, "-") > 1 {
		c.Text = strings.TrimSpace(shown)
		return c, nil
	}
	c.Typed = true
	return c, nil
}
