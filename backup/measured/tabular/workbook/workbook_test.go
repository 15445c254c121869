package workbook

import (
	"archive/zip"
	"bytes"
	"errors"
	"fmt"
	"io"
	"math"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/xuri/excelize/v2"

	"outlast/backup/measured/tabular"
	"outlast/catalog/strict"
)

// list is a workbook of three rows, with a text, a number, a time and a sum.
func list(tb testing.TB) []byte {
	tb.Helper()
	f := excelize.NewFile()
	defer f.Close()
	for cell, v := range map[string]any{"A1": "Load", "B1": "Watts", "A2": "Kettle", "B2": 2200.5, "A3": "Fan",
		"B3": 45,
		"C3": true} {
		if err := f.SetCellValue("Sheet1", cell, v); err != nil {
			tb.Fatal(err)
		}
	}
	if err := f.SetCellFormula("Sheet1", "B4", "SUM(B2:B3)"); err != nil {
		tb.Fatal(err)
	}
	var b bytes.Buffer
	if err := f.Write(&b); err != nil {
		tb.Fatal(err)
	}
	return b.Bytes()
}

// parts are the files in a workbook, by name, in their order.
func parts(tb testing.TB, packed []byte) (names []string, texts map[string][]byte) {
	tb.Helper()
	z, err := zip.NewReader(bytes.NewReader(packed), int64(len(packed)))
	if err != nil {
		tb.Fatal(err)
	}
	texts = map[string][]byte{}
	for _, f := range z.File {
		r, err := f.Open()
		if err != nil {
			tb.Fatal(err)
		}
		text, err := io.ReadAll(r)
		if err != nil {
			tb.Fatal(err)
		}
		names, texts[f.Name] = append(names, f.Name), text
	}
	return names, texts
}

// readAll reads a workbook twice, which must come out the same: a table, or problems with a text.
func readAll(t *testing.T, packed []byte) {
	t.Helper()
	var told [2]string
	for i := range told {
		table, err := Read("list.xlsx", bytes.NewReader(packed), tabular.Options{})
		var problems strict.Problems
		switch {
		case err == nil && table == nil:
			t.Fatal("neither a table nor an error")
		case err != nil && (!errors.As(err, &problems) || len(problems) == 0 || problems[0].Msg == ""):
			t.Fatalf("%T %v, want problems with a text", err, err)
		case err != nil:
			told[i] = err.Error()
		default:
			rows := 0
			for table.Next() {
				rows++
			}
			if rows > maxCells {
				t.Fatalf("%d rows", rows)
			}
			if err := table.Err(); err != nil {
				told[i] = err.Error()
			}
		}
	}
	if told[0] != told[1] {
		t.Fatalf("%s\nthen\n%s", told[0], told[1])
	}
}

// repacked is the workbook of a list with some of its parts put in place of those that are there.
func repacked(tb testing.TB, with map[string]string) []byte {
	tb.Helper()
	names, texts := parts(tb, list(tb))
	for name, text := range with {
		if _, ok := texts[name]; !ok {
			names = append(names, name)
		}
		texts[name] = []byte(text)
	}
	var b bytes.Buffer
	z := zip.NewWriter(&b)
	for _, name := range names {
		w, err := z.Create(name)
		if err != nil {
			tb.Fatal(err)
		}
		if _, err := w.Write(texts[name]); err != nil {
			tb.Fatal(err)
		}
	}
	if err := z.Close(); err != nil {
		tb.Fatal(err)
	}
	return b.Bytes()
}

const sheetPart, sharedPart = "xl/worksheets/sheet1.xml", "xl/sharedStrings.xml"

// Every kind of cell that the standard knows, rows and cells with places of their own or without, and what is beside the
// cells.
func TestKindsOfCells(t *testing.T) {
	packed := repacked(t, map[string]string{
		sharedPart: `<?xml version="1.0" encoding="UTF-8"?><sst><si><t xml:space="preserve"> Load </t></si>` +
			`<si><r><t>Run</t></r><r><rPr><b/></rPr><t>ning W</t></r><rPh sb="0" eb="1"><t>no</t></rPh></si>` +
			`<si><t>two_x000A_lines_xyz_</t></si></sst>`,
		sheetPart: `<worksheet><cols><col min="1" max="2"/></cols><sheetData>` +
			`<row r="2"><c r="A2" t="s"><v>0</v></c><c r="C2" t="s"><v>1</v></c></row>` +
			`<row><c t="inlineStr"><is><t>Ket</t><t>tle</t></is></c><c><f>1+1</f><v>2200.5</v></c><c t="str"><f>A1</f><v>12</v></c></row>` +
			`<row r="7" s="1"><c r="B7" t="b"><v>1</v></c><c r="D7" t="e"><v>#N/A</v></c><c r="E7" s="0"/><c r="F7" t="n"><v> 3 </v></c></row>` +
			`<row r="8"/><row r="1048576"><c r="A1048576" t="s"><v>2</v></c><c r="B1048576" t="d"><v>2024-05-31T18:04:05</v></c></row>` +
			`</sheetData><mergeCells><mergeCell ref="A2:B2"/></mergeCells></worksheet>`})
	table, err := Read("list.xlsx", bytes.NewReader(packed), tabular.Options{})
	if err != nil {
		t.Fatal(err)
	}
	text := func(s string) tabular.Cell { return tabular.Cell{Text: s} }
	number := func(s string) tabular.Cell { return tabular.Cell{Text: s, Typed: true} }
	for _, want := range []tabular.Row{
		{Line: 2, Cells: []tabular.Cell{text("Load"), {}, text("Running W")}},
		{Line: 3, Cells: []tabular.Cell{text("Kettle"), number("2200.5"), text("12")}},
		{Line: 7, Cells: []tabular.Cell{{}, text("1"), {}, text("#N/A"), {}, number("3")}},
		{Line: 1048576, Cells: []tabular.Cell{text("two\nlines_xyz_"), text("2024-05-31T18:04:05")}},
	} {
		if !table.Next() {
			t.Fatalf("no row of line %d: %v", want.Line, table.Err())
		}
		if table.Line() != want.Line || !slices.Equal(table.Cells(), want.Cells) {
			t.Errorf("line %d has %+v, want line %d with %+v", table.Line(), table.Cells(), want.Line, want.Cells)
		}
	}
	if table.Next() || table.Err() != nil {
		t.Errorf("more than four rows, or %v", table.Err())
	}
}

// How numbers are shown tells dates, times of day and shares from others, whatever they are.
func TestShownNumbers(t *testing.T) {
	f := excelize.NewFile()
	defer f.Close()
	cases := []struct {
		format string
		value  any
		want   tabular.Cell
	}{
		{"", 45000.5, tabular.Cell{Text: "45000.5", Typed: true}},
		{"#,##0.00", 45000.5, tabular.Cell{Text: "45000.5", Typed: true}},
		{"m/d/yy h:mm", 45000.5, tabular.Cell{Text: "2023-03-15 12:00:00"}},
		{"dd.mm.yyyy", 45000, tabular.Cell{Text: "2023-03-15"}},
		{"d mmmm yyyy", 45000.5, tabular.Cell{Text: "2023-03-15 12:00:00"}},
		{"mmm yy", 45000, tabular.Cell{Text: "2023-03-15"}},
		{"0.0 \"kWh in 15 min\"", 45000.5, tabular.Cell{Text: "45000.5", Typed: true}},
		{"0 \"of 23\"", 45000.5, tabular.Cell{Text: "45000.5", Typed: true}},
		{"dd.mm.yyyy", 0.5, tabular.Cell{Text: "00.01.1900"}}, // of no day: as it is shown
		{"h:mm", 0.03125, tabular.Cell{Text: "0:45"}},
		{"h:mm", 0.03125 + 5.0/86400, tabular.Cell{Text: "00:45:05"}},
		{"0%", 0.5, tabular.Cell{Text: "50%"}},
		{"0.0%", 45000.5, tabular.Cell{Text: "4500050.0%"}},
		{"yyyy-mm-dd", "text", tabular.Cell{Text: "text"}},
	}
	for i, c := range cases {
		at, err := excelize.CoordinatesToCellName(1, i+1)
		if err != nil {
			t.Fatal(err)
		}
		if err := f.SetCellValue("Sheet1", at, c.value); err != nil {
			t.Fatal(err)
		}
		if c.format == "" {
			continue
		}
		style, err := f.NewStyle(&excelize.Style{CustomNumFmt: &c.format})
		if err != nil {
			t.Fatal(err)
		}
		if err := f.SetCellStyle("Sheet1", at, at, style); err != nil {
			t.Fatal(err)
		}
	}
	var b bytes.Buffer
	if err := f.Write(&b); err != nil {
		t.Fatal(err)
	}
	table, err := Read("list.xlsx", &b, tabular.Options{})
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range cases {
		if !table.Next() || table.Cell(0) != c.want {
			t.Errorf("%v as %q: got %+v, want %+v", c.value, c.format, table.Cell(0), c.want)
		}
	}
}

// What is larger than any list is refused, however little of the file it takes.
func TestTooLarge(t *testing.T) {
	cells := strings.Repeat(`<row><c t="s"><v>0</v></c></row>`, 20_000)
	for _, c := range []struct {
		name string
		with map[string]string
		want string
	}{
		{"unpacked", map[string]string{"xl/media/a.xml": strings.Repeat(" ", maxUnpacked)}, "unzip size exceeds"},
		{"far columns", map[string]string{sheetPart: `<worksheet><sheetData><row><c r="XFD1"><v>1</v></c></row></sheetData></worksheet>`},
			"more than 1024 columns in row 1"},
		{"far rows", map[string]string{sheetPart: `<worksheet><sheetData><row r="1048577"><c><v>1</v></c></row></sheetData></worksheet>`},
			`found r "1048577" of a row, want 1 to 1048576`},
		{"cells", map[string]string{sheetPart: `<worksheet><sheetData>` +
			strings.Repeat(`<row><c r="ALJ1"><v>1</v></c></row>`, 1+maxCells/998) + `</sheetData></worksheet>`}, "more than 2000000 cells"},
		{"one long text for all", map[string]string{sharedPart: `<sst><si><t>` + strings.Repeat("1", 20_000) + `</t></si></sst>`,
			sheetPart: `<worksheet><sheetData>` + cells + `</sheetData></worksheet>`}, "cells of more than 256 MiB"},
		{"a text that is not there", map[string]string{sheetPart: `<worksheet><sheetData><row><c t="s"><v>9</v></c></row></sheetData></worksheet>`},
			`found the number "9" of a text that is not there`},
		{"cut off", map[string]string{sheetPart: `<worksheet><sheetData><row><c t="n"><v>9</v>`}, "unexpected EOF"},
	} {
		_, err := Read("list.xlsx", bytes.NewReader(repacked(t, c.with)), tabular.Options{})
		if err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: %v, want %q", c.name, err, c.want)
		}
	}
}

// yearOfQuarters is a workbook of a year of quarters of an hour in eight columns, and the sum of its second one.
func yearOfQuarters(tb testing.TB) (packed []byte, sum float64) {
	tb.Helper()
	f := excelize.NewFile()
	defer f.Close()
	date, err := f.NewStyle(&excelize.Style{NumFmt: 22})
	if err != nil {
		tb.Fatal(err)
	}
	w, err := f.NewStreamWriter("Sheet1")
	if err != nil {
		tb.Fatal(err)
	}
	if err := w.SetRow("A1", []any{"Time", "kWh", "a", "b", "c", "d", "e", "f"}); err != nil {
		tb.Fatal(err)
	}
	for i := range 35_040 {
		v := float64(100+i%37) / 1000
		sum += v
		row := []any{excelize.Cell{StyleID: date, Value: 45658 + float64(i)/96}, v, i, i % 7, float64(i) / 3, 1.5, "text", "R"}
		if err := w.SetRow(fmt.Sprintf("A%d", i+2), row); err != nil {
			tb.Fatal(err)
		}
	}
	if err := w.Flush(); err != nil {
		tb.Fatal(err)
	}
	var b bytes.Buffer
	if err := f.Write(&b); err != nil {
		tb.Fatal(err)
	}
	return b.Bytes(), sum
}

// A year of quarters of an hour is read whole, and every moment of it is right.
func TestYearOfQuarters(t *testing.T) {
	packed, want := yearOfQuarters(t)
	table, err := Read("year.xlsx", bytes.NewReader(packed), tabular.Options{})
	if err != nil {
		t.Fatal(err)
	}
	rows, sum := 0, 0.0
	at := time.Date(2025, 1, 1, 0, 0, 0, 0, time.UTC)
	for table.Next() {
		if rows++; rows == 1 {
			continue // the head
		}
		v, _, ok := table.Number(1)
		if !ok {
			t.Fatal(table.Err())
		}
		sum += v
		said := at.Format("2006-01-02 15:04:05")
		if got := table.Cell(0).Text; got != strings.TrimSuffix(said, " 00:00:00") {
			t.Fatalf("line %d is of %s, want %s", table.Line(), got, said)
		}
		at = at.Add(15 * time.Minute)
	}
	if err := table.Err(); err != nil || rows != 35_041 || math.Abs(sum-want) > 1e-6 {
		t.Errorf("%d rows with %g, %v, want 35041 with %g", rows, sum, err, want)
	}
}

func BenchmarkYearOfQuarters(b *testing.B) {
	packed, _ := yearOfQuarters(b)
	b.ReportAllocs()
	for b.Loop() {
		if _, err := Read("year.xlsx", bytes.NewReader(packed), tabular.Options{}); err != nil {
			b.Fatal(err)
		}
	}
}

// FuzzPacked: whatever bytes are taken for a workbook.
func FuzzPacked(f *testing.F) {
	packed := list(f)
	f.Add(packed)
	f.Add(packed[:len(packed)/2])
	f.Add([]byte("PK\x03\x04"))
	f.Add([]byte("Load,Watts\nKettle,2200\n"))
	f.Fuzz(func(t *testing.T, packed []byte) { readAll(t, packed) })
}

// FuzzSheet: a workbook whose sheet and texts are any.
func FuzzSheet(f *testing.F) {
	packed := list(f)
	names, texts := parts(f, packed)
	const sheet, shared, styles = "xl/worksheets/sheet1.xml", "xl/sharedStrings.xml", "xl/styles.xml"
	f.Add(texts[sheet], texts[shared], texts[styles])
	f.Add(
		[]byte(
			`<worksheet><sheetData><row r="1048576"><c r="XFD1048576" t="s"><v>7</v></c></row></sheetData></worksheet>`),
		[]byte(`<sst count="-1"><si><t>a</t></si></sst>`), texts[styles])
	f.Add([]byte(strings.Replace(string(texts[sheet]), `r="B2"`, `r="B0" s="99"`, 1)), texts[shared],
		[]byte(`<styleSheet/>`))
	f.Fuzz(func(t *testing.T, sheetXML, sharedXML, stylesXML []byte) {
		var b bytes.Buffer
		z := zip.NewWriter(&b)
		for _, name := range names {
			text := texts[name]
			switch name {
			case sheet:
				text = sheetXML
			case shared:
				text = sharedXML
			case styles:
				text = stylesXML
			}
			w, err := z.Create(name)
			if err != nil {
				t.Fatal(err)
			}
			if _, err := w.Write(text); err != nil {
				t.Fatal(err)
			}
		}
		if err := z.Close(); err != nil {
			t.Fatal(err)
		}
		readAll(t, b.Bytes())
	})
}
