package doc

import (
	"bytes"
	"fmt"
	"slices"

	"outlast/backup/sheet/record"
)

// A File is one table of the papers as CSV.
type File struct {
	Name string // "checks.csv"
	Data []byte
}

// Tables gives every table of a document as CSV, those of the annex too: heads in the language of the document, numbers
// with a point and six digits, shares in per cent.
func (d *Document) Tables() ([]File, error) {
	var out []File
	seen := map[string]bool{}
	for _, p := range slices.Concat(d.Parts, d.Aside) {
		for _, s := range p.Sections {
			for _, b := range s.Blocks {
				if b.Table == nil {
					continue
				}
				if seen[b.Table.ID] {
					return nil, fmt.Errorf("two tables are called %q", b.Table.ID)
				}
				seen[b.Table.ID] = true
				data, err := tableCSV(b.Table)
				if err != nil {
					return nil, err
				}
				out = append(out, File{b.Table.ID + ".csv", data})
			}
		}
	}
	return out, nil
}

// tableCSV is for spreadsheets, and says so by a byte order mark.
func tableCSV(t *Table) ([]byte, error) {
	head := make([]string, len(t.Columns))
	for i, c := range t.Columns {
		head[i] = record.Guard(c.title())
	}
	rows := [][]string{head}
	for _, r := range t.Rows {
		row := make([]string, len(t.Columns))
		for i, c := range r.Cells {
			switch {
			case c.Exact != "":
				row[i] = c.Exact
			case c.S != None:
				row[i] = record.Guard(c.S)
			}
		}
		rows = append(rows, row)
	}
	var b bytes.Buffer
	err := record.WriteRows(&b, rows, true)
	return b.Bytes(), err
}
