package book

import (
	"context"
	"fmt"
	"strconv"
	"strings"

	"github.com/xuri/excelize/v2"
)

// Calculated works every formula out with the library's own engine. What a spreadsheet shows before it calculates
// itself, as on a phone, are these figures. One that cannot be worked out is left without.
func (b *Book) Calculated(ctx context.Context) (values map[Ref]string, failed []string, err error) {
	f := excelize.NewFile()
	defer f.Close()
	for i, s := range b.Sheets {
		if i == 0 {
			err = f.SetSheetName("Sheet1", s.Name)
		} else {
			_, err = f.NewSheet(s.Name)
		}
		if err != nil {
			return nil, nil, err
		}
		for _, at := range s.places() {
			c, name := s.Cells[at], ColumnName(at[1])+strconv.Itoa(at[0])
			switch {
			case c.Formula != "":
				err = f.SetCellFormula(s.Name, name, s.local(c.Formula))
			case c.IsNum:
				err = f.SetCellFloat(s.Name, name, c.Number, -1, 64)
			case c.Text != "":
				err = f.SetCellStr(s.Name, name, c.Text)
			}
			if err != nil {
				return nil, nil, err
			}
		}
	}
	values = map[Ref]string{}
	for _, s := range b.Sheets {
		for _, at := range s.places() {
			if s.Cells[at].Formula == "" {
				continue
			}
			name := ColumnName(at[1]) + strconv.Itoa(at[0])
			if err := ctx.Err(); err != nil {
				return nil, nil, err
			}
			v, err := f.CalcCellValue(s.Name, name, excelize.Options{RawCellValue: true})
			if err != nil || strings.HasPrefix(v, "#") {
				failed = append(failed, fmt.Sprintf("%s!%s: %v %s: %s", s.Name, name, err, v, s.Cells[at].Formula))
				continue
			}
			values[s.At(at[0], at[1])] = v
		}
	}
	return values, failed, nil
}
