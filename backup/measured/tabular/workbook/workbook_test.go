package workbook

import (
	"archive/zip"
	"bytes"
	"errors"
	"io"
	"strings"
	"testing"

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
