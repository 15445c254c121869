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

// Bounds of a workbook, packed and unpacked. A year of minutes in three columns is within them, and one of quarters of an
// hour in fifty. The parts are unpacked into memory, and the cells of one sheet are kept beside them: 24 bytes each, and
// what they say.
const (
	maxPacked   = 16 << 20
	maxUnpacked = 128 << 20
	maxCells    = 2_000_000
	maxColumns  = 1024
	maxTexts    = tabular.MaxBytes // of all cells together: many may share a long one
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

func read(f *excelize.File, name string) (rows []tabular.Row, err error) {
	props, err := f.GetWorkbookProps()
	if err != nil {
		return nil, err
	}
	s := &sheets{f: f}
	sheet, err := s.open(name)
	if err != nil {
		return nil, err
	}
	texts, err := s.texts()
	if err != nil {
		return nil, err
	}
	l := look{f: f, from1904: props.Date1904 != nil && *props.Date1904, dates: map[int]bool{}, seen: map[kept]string{}}
	defer l.close()
	length := 0
	return s.rows(sheet, func(k kept) (tabular.Cell, error) {
		if k.kind == "s" {
			i, err := strconv.Atoi(strings.TrimSpace(k.text))
			if err != nil || i < 0 || i >= len(texts) {
				return tabular.Cell{}, fmt.Errorf("found the number %.20q of a text that is not there", k.text)
			}
			k.text = texts[i]
		}
		k.text = strings.TrimSpace(k.text)
		if length += len(k.text); length > maxTexts {
			return tabular.Cell{}, fmt.Errorf("found cells of more than %d MiB", maxTexts>>20)
		}
		switch {
		case k.text == "":
			return tabular.Cell{}, nil
		case k.kind != "" && k.kind != "n": // text, a formula's text, a date as text, an error such as #N/A
			return tabular.Cell{Text: k.text}, nil
		}
		return l.typed(k)
	})
}

// look tells how numbers are shown.
type look struct {
	f        *excelize.File
	from1904 bool
	scratch  *excelize.File // with the same styles; nil: not needed yet
	dates    map[int]bool   // by style: it shows days as a date
	seen     map[kept]string
}

// mostSeen is how many shown numbers are remembered: times of day come again each day.
const mostSeen = 10_000

// isDate says whether a style shows days as dates: with signs between their figures, or with a year of its own, as
// "15 March 2023" does.
func (l *look) isDate(style int) (bool, error) {
	if is, known := l.dates[style]; known {
		return is, nil
	}
	const of2023, of2024 = "45000.5", "45366.5" // both 15 March
	one, err := l.shown(kept{style: style, text: of2023})
	if err != nil {
		return false, err
	}
	other, err := l.shown(kept{style: style, text: of2024})
	if err != nil {
		return false, err
	}
	l.dates[style] = isDate(one) || strings.Contains(one, "23") && strings.Contains(other, "24") && !strings.Contains(other, "23")
	return l.dates[style], nil
}

// typed gives times, dates and shares as they are shown, and other numbers as they are kept.
func (l *look) typed(k kept) (tabular.Cell, error) {
	if k.style == 0 { // none: as it is kept
		return tabular.Cell{Text: k.text, Typed: true}, nil
	}
	date, err := l.isDate(k.style)
	if err != nil {
		return tabular.Cell{}, err
	}
	if days, err := strconv.ParseFloat(k.text, 64); date && err == nil && days >= 1 && days < endOfDays {
		return tabular.Cell{Text: moment(k.text, "2006-01-02", l.from1904)}, nil // setting it in type takes long
	}
	shown, err := l.shown(k)
	if err != nil {
		return tabular.Cell{}, err
	}
	if strings.ContainsAny(shown, ":/%") || isDate(shown) {
		return tabular.Cell{Text: moment(k.text, strings.TrimSpace(shown), l.from1904)}, nil
	}
	return tabular.Cell{Text: k.text, Typed: true}, nil
}

// shown is a number as its style shows it.
func (l *look) shown(k kept) (string, error) {
	k.kind = ""
	if s, ok := l.seen[k]; ok {
		return s, nil
	}
	const sheet, cell = "Sheet1", "A1" // of a new workbook
	if l.scratch == nil {
		l.scratch = excelize.NewFile()
		l.scratch.Styles = l.f.Styles
		if err := l.scratch.SetWorkbookProps(&excelize.WorkbookPropsOptions{Date1904: &l.from1904}); err != nil {
			return "", err
		}
	}
	if err := l.scratch.SetCellDefault(sheet, cell, k.text); err != nil {
		return "", err
	}
	shown := k.text
	if err := l.scratch.SetCellStyle(sheet, cell, cell, k.style); err == nil { // else there is no such style
		if shown, err = l.scratch.GetCellValue(sheet, cell); err != nil {
			return "", err
		}
	}
	if len(l.seen) < mostSeen {
		l.seen[k] = shown
	}
	return shown, nil
}

func (l *look) close() {
	if l.scratch != nil {
		_ = l.scratch.Close() // nothing of it was written
	}
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
