package paper

import (
	"bytes"
	"encoding/csv"
	"fmt"

	"outlast/backup/sheet"
)

// A File is one table of the papers as CSV.
type File struct {
	Name string // "checks.csv"
	Data []byte
}

// Tables gives every table of a document as CSV: heads in the language of the document, numbers with all their digits and a point.
func (d *Document) Tables() ([]File, error) {
	var out []File
	seen := map[string]bool{}
	for _, p := range d.Parts {
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

func tableCSV(t *Table) ([]byte, error) {
	var b bytes.Buffer
	w := csv.NewWriter(&b)
	row := make([]string, len(t.Columns))
	for i, c := range t.Columns {
		row[i] = sheet.Guard(c.title())
	}
	if err := w.Write(row); err != nil {
		return nil, err
	}
	for _, r := range t.Rows {
		for i, c := range r.Cells {
			row[i] = c.Exact
			if c.Exact == "" {
				row[i] = sheet.Guard(c.S)
			}
		}
		if err := w.Write(row); err != nil {
			return nil, err
		}
	}
	w.Flush()
	return b.Bytes(), w.Error()
}
