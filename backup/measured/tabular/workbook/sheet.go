package workbook

import (
	"bytes"
	"encoding/xml"
	"errors"
	"fmt"
	"io"
	"path"
	"strconv"
	"strings"
	"unicode/utf8"

	"github.com/xuri/excelize/v2"

	"outlast/backup/measured/tabular"
)

// A sheet is read as a stream, row by row, because the library would keep all of it in memory, in a form that takes a
// hundred times what a cell says. Its parts are XML by ECMA-376, part 1: 18.2 (the workbook), 18.3 (a sheet), 18.4 (texts
// that cells share).

// sheets finds the parts of a workbook, by the path of each within the packed file.
type sheets struct {
	f      *excelize.File
	folder string            // of the workbook's own part
	target map[string]string // of its relations, by id
	shared string            // where texts are kept that cells share; "": nowhere
}

func (s *sheets) part(name string) ([]byte, bool) {
	v, ok := s.f.Pkg.Load(name)
	if !ok {
		return nil, false
	}
	text, ok := v.([]byte)
	return text, ok
}

func (s *sheets) decoder(text []byte) *xml.Decoder {
	d := xml.NewDecoder(bytes.NewReader(text))
	d.CharsetReader = s.f.CharsetReader
	d.Strict = false // as the library reads it
	return d
}

// relations are those of the part base, "" for the whole file.
type relations struct {
	Relationship []struct {
		ID     string `xml:"Id,attr"`
		Type   string `xml:"Type,attr"`
		Target string `xml:"Target,attr"`
	} `xml:"Relationship"`
}

func (s *sheets) relations(of string) (r relations, err error) {
	folder, base := path.Split(of)
	text, ok := s.part(folder + "_rels/" + base + ".rels")
	if !ok {
		return r, errors.New("no relations of " + of)
	}
	return r, s.decoder(text).Decode(&r)
}

// within is the path of a relation's target; they are written from the folder of the part, or from the root.
func within(folder, target string) string {
	if strings.HasPrefix(target, "/") {
		return strings.TrimPrefix(path.Clean(target), "/")
	}
	return path.Join(folder, target)
}

// open finds the part of a sheet.
func (s *sheets) open(name string) ([]byte, error) {
	own := ""
	all, err := s.relations("")
	if err != nil {
		return nil, err
	}
	for _, r := range all.Relationship {
		if strings.HasSuffix(r.Type, "/officeDocument") {
			own = within("", r.Target)
		}
	}
	s.folder = path.Dir(own)
	if all, err = s.relations(own); err != nil {
		return nil, err
	}
	s.target = map[string]string{}
	for _, r := range all.Relationship {
		s.target[r.ID] = within(s.folder, r.Target)
		if strings.HasSuffix(r.Type, "/sharedStrings") {
			s.shared = s.target[r.ID]
		}
	}
	for _, sheet := range s.f.WorkBook.Sheets.Sheet {
		if strings.EqualFold(sheet.Name, name) {
			if text, ok := s.part(s.target[sheet.ID]); ok {
				return text, nil
			}
		}
	}
	return nil, errors.New("the sheet is not in the file")
}

// texts are those that cells share, in their order.
func (s *sheets) texts() ([]string, error) {
	text, ok := s.part(s.shared)
	if !ok {
		return nil, nil
	}
	var out []string
	d := s.decoder(text)
	for {
		token, err := d.Token()
		if err == io.EOF {
			return out, nil
		}
		if err != nil {
			return nil, err
		}
		if start, ok := token.(xml.StartElement); ok && start.Name.Local == "si" {
			one, err := textWithin(d)
			if err != nil {
				return nil, err
			}
			if out = append(out, one); len(out) > maxCells {
				return nil, errTooMany
			}
		}
	}
}

// textWithin is the text of an element up to its end: in one piece, or in several of different looks. How it is
// pronounced is no part of it.
func textWithin(d *xml.Decoder) (string, error) {
	var b strings.Builder
	inText := false
	for depth := 1; depth > 0; {
		token, err := d.Token()
		if err != nil {
			return "", ended(err)
		}
		switch x := token.(type) {
		case xml.StartElement:
			if x.Name.Local == "rPh" {
				if err := d.Skip(); err != nil {
					return "", ended(err)
				}
				continue
			}
			depth++
			inText = x.Name.Local == "t"
		case xml.EndElement:
			depth--
			inText = false
		case xml.CharData:
			if inText {
				b.Write(x)
			}
		}
	}
	return unescaped(b.String()), nil
}

// ended: the end of the file within an element is none.
func ended(err error) error {
	if err == io.EOF {
		return io.ErrUnexpectedEOF
	}
	return err
}

// unescaped gives the signs for which a workbook writes _x000A_.
func unescaped(text string) string {
	if !strings.Contains(text, "_x") {
		return text
	}
	var b strings.Builder
	for {
		before, after, ok := strings.Cut(text, "_x")
		b.WriteString(before)
		if !ok {
			return b.String()
		}
		text = after
		if len(after) >= 5 && after[4] == '_' {
			if r, err := strconv.ParseUint(after[:4], 16, 16); err == nil && utf8.ValidRune(rune(r)) {
				b.WriteRune(rune(r))
				text = after[5:]
				continue
			}
		}
		b.WriteString("_x")
	}
}

// A kept cell is as the file has it.
type kept struct {
	kind  string // "", "n": a number; "s": a text that cells share; "inlineStr", "str", "b", "d", "e"
	style int
	text  string
}

var errTooMany = fmt.Errorf("found more than %d cells", maxCells)

// rows reads a sheet. Rows without a cell are left out.
func (s *sheets) rows(sheet []byte, cell func(kept) (tabular.Cell, error)) (rows []tabular.Row, err error) {
	d := s.decoder(sheet)
	left, line, inSheet := maxCells, 0, false
	for {
		token, err := d.Token()
		if err == io.EOF {
			return rows, nil
		}
		if err != nil {
			return nil, err
		}
		start, ok := token.(xml.StartElement)
		if end, is := token.(xml.EndElement); is && end.Name.Local == "sheetData" {
			return rows, nil
		}
		switch {
		case !ok:
		case start.Name.Local == "sheetData":
			inSheet = true
		case start.Name.Local == "row" && inSheet:
			if line, err = number(start, "r", line+1, maxLines); err != nil {
				return nil, err
			}
			row, err := s.row(d, line, &left, cell)
			if err != nil {
				return nil, err
			}
			if len(row.Cells) > 0 {
				rows = append(rows, row)
			}
		}
	}
}

// maxLines is how many a sheet has.
const maxLines = 1 << 20

// number is an attribute of an element, 1 to most; other where it has none.
func number(e xml.StartElement, name string, other, most int) (int, error) {
	for _, a := range e.Attr {
		if a.Name.Local == name && a.Name.Space == "" {
			n, err := strconv.Atoi(a.Value)
			if err != nil || n < 1 || n > most {
				return 0, fmt.Errorf("found %s %.20q of a %s, want 1 to %d", name, a.Value, e.Name.Local, most)
			}
			return n, nil
		}
	}
	return other, nil
}

// row reads the cells of a row, up to its end.
func (s *sheets) row(d *xml.Decoder, line int, left *int, cell func(kept) (tabular.Cell, error)) (tabular.Row, error) {
	row := tabular.Row{Line: line}
	col := 0
	for {
		token, err := d.Token()
		if err != nil {
			return row, ended(err)
		}
		switch x := token.(type) {
		case xml.EndElement:
			return row, nil // of the row: what is within is read up to its end
		case xml.StartElement:
			if x.Name.Local != "c" {
				if err := d.Skip(); err != nil {
					return row, ended(err)
				}
				continue
			}
			col++
			k := kept{}
			for _, a := range x.Attr {
				switch a.Name.Local {
				case "r":
					if col, _, err = excelize.CellNameToCoordinates(a.Value); err != nil {
						return row, err
					}
				case "t":
					k.kind = a.Value
				case "s":
					k.style, _ = strconv.Atoi(a.Value) // of none: it is shown as it is kept
				}
			}
			if col > maxColumns {
				return row, fmt.Errorf("found more than %d columns in row %d", maxColumns, line)
			}
			if k.text, err = valueWithin(d); err != nil {
				return row, err
			}
			if k.text == "" {
				continue
			}
			if more := col - len(row.Cells); more > 0 {
				if *left -= more; *left < 0 {
					return row, errTooMany
				}
				row.Cells = append(row.Cells, make([]tabular.Cell, more)...)
			}
			if row.Cells[col-1], err = cell(k); err != nil {
				return row, err
			}
		}
	}
}

// valueWithin is what stands in a cell: its value, or its own text. Its formula is left out.
func valueWithin(d *xml.Decoder) (value string, err error) {
	for {
		token, err := d.Token()
		if err != nil {
			return "", ended(err)
		}
		switch x := token.(type) {
		case xml.EndElement:
			return value, nil
		case xml.StartElement:
			switch x.Name.Local {
			case "v", "is":
				value, err = valueOf(d, x.Name.Local)
			default:
				err = d.Skip()
			}
			if err != nil {
				return "", ended(err)
			}
		}
	}
}

func valueOf(d *xml.Decoder, element string) (string, error) {
	if element == "is" {
		return textWithin(d)
	}
	var b strings.Builder
	for {
		token, err := d.Token()
		if err != nil {
			return "", ended(err)
		}
		switch x := token.(type) {
		case xml.CharData:
			b.Write(x)
		case xml.StartElement:
			if err := d.Skip(); err != nil {
				return "", ended(err)
			}
		case xml.EndElement:
			return b.String(), nil
		}
	}
}
