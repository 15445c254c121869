// Package workbook reads a sheet of a workbook (.xlsx) as a table.
//
// [Open] begins a table of either kind, text or workbook; [Read] gives the rows of a workbook to [tabular.OpenRows].
// Numbers come as they are kept, whatever they look like; times and shares as they are shown, because as numbers they
// would be taken for others: 0:45 is kept as 0.03125. Dates come as 2024-05-31, however a spreadsheet shows them, so that
// day and month cannot be mistaken, and nothing of a time is lost that is not shown.
package workbook

import (
	"bufio"
	"bytes"
	"fmt"
	"io"
	"strconv"
	"strings"
	"time"

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

// Open begins a table of a workbook, which its first bytes or the end of its name tell, or else of text. Its errors are
// those of [Read] and [tabular.Open].
func Open(file string, r io.Reader, o tabular.Options) (*tabular.Table, error) {
	b := bufio.NewReaderSize(r, 64<<10)
	packed, _ := b.Peek(len(packedBegins))
	if string(packed) == packedBegins || strings.HasSuffix(strings.ToLower(file), ".xlsx") {
		return Read(file, b, o)
	}
	if o.Sheet != "" {
		return nil, strict.Problems{{File: file, Msg: "is no workbook, but --sheet is given"}}
	}
	return tabular.Open(file, b, o)
}

// packedBegins is how every file begins that is packed as workbooks are.
const packedBegins = "PK\x03\x04"

// Read reads a sheet. The error is of type [strict.Problems].
func Read(file string, r io.Reader, o tabular.Options) (t *tabular.Table, err error) {
	sheet := o.Sheet
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
	props, err := f.GetWorkbookProps()
	if err != nil {
		return nil, err
	}
	from1904 := props.Date1904 != nil && *props.Date1904
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
				if c, err = typed(f, sheet, i+1, line, c, from1904); err != nil {
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
func typed(f *excelize.File, sheet string, col, line int, c tabular.Cell, from1904 bool) (tabular.Cell, error) {
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
	if strings.ContainsAny(shown, ":/%") || isDate(shown) {
		c.Text = moment(c.Text, strings.TrimSpace(shown), from1904)
		return c, nil
	}
	c.Typed = true
	return c, nil
}

// endOfDays is the first that is no day of a spreadsheet: the year 10000.
const endOfDays = 2_958_466

// moment is the date that a cell shows in some order of day and month, as 2024-05-31 18:04:05, by the days that are kept of
// it; a time of day with the seconds that are not shown; anything else as it is shown.
func moment(kept, shown string, from1904 bool) string {
	days, err := strconv.ParseFloat(kept, 64)
	if err != nil || days < 0 || days >= endOfDays || strings.Contains(shown, "%") {
		return shown
	}
	at, err := excelize.ExcelDateToTime(days, from1904)
	if err != nil {
		return shown
	}
	at = at.Round(time.Millisecond) // days are kept with some rounding
	const clock = "15:04:05.999"
	switch date := isDate(shown); {
	case date && days >= 1 && at.Format("15:04:05") == "00:00:00":
		return at.Format("2006-01-02")
	case date && days >= 1:
		return at.Format("2006-01-02 " + clock)
	case days < 1 && strings.Count(shown, ":") == 1 && at.Second()+at.Nanosecond() > 0:
		return at.Format(clock)
	}
	return shown
}

// isDate says whether a number is shown as a date: with two signs that divide figures. Thousands of workbooks have commas.
func isDate(shown string) bool {
	return strings.Count(shown, "/") > 1 || strings.Count(shown, "-") > 1 || strings.Count(shown, ".") > 1
}
