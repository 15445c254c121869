package book

import "github.com/xuri/excelize/v2"

// looks are the styles of a file.
type looks struct {
	file     *excelize.File
	known    map[lookOf]int
	statuses [3]string // the words for fail, caution and pass
}

type lookOf struct {
	kind         Kind
	format       string
	wrap, middle bool
	inset        bool
}

func (l *looks) of(c Cell) (int, error) {
	key := lookOf{c.Kind, c.Format, c.Wrap, c.Middle, c.Inset}
	if id, ok := l.known[key]; ok {
		return id, nil
	}
	st := &excelize.Style{Font: &excelize.Font{Family: "Arial", Size: 10},
		Alignment:  &excelize.Alignment{Vertical: "top", WrapText: c.Wrap},
		Protection: &excelize.Protection{Locked: c.Kind != Input}}
	fill := ""
	switch c.Kind {
	case Title:
		st.Font.Size, st.Font.Bold = 14, true
	case Head:
		st.Font.Bold, fill = true, "DDE3EA"
		st.Alignment.Vertical = "bottom"
	case Input:
		fill = "FFF6CC"
		st.Border = thin("B8A23A", 1)
	case Result:
		st.Font.Bold = true
	case Table:
		fill = "E6F0F7"
	case Worked:
		fill = "E4E4E4"
		st.Font.Italic = true
	case Note:
		st.Font.Italic, st.Font.Color = true, "444444"
	}
	if fill != "" {
		st.Fill = excelize.Fill{Type: "pattern", Pattern: 1, Color: []string{fill}}
	}
	if c.Format != "" {
		st.Alignment.Horizontal = "right"
		if c.Format != AsGiven {
			st.CustomNumFmt = &c.Format
		}
	}
	if c.Inset {
		st.Alignment.Horizontal, st.Alignment.Indent = "left", 1
	}
	if c.Middle {
		st.Alignment.Horizontal = "center"
	}
	id, err := l.file.NewStyle(st)
	if err == nil {
		l.known[key] = id
	}
	return id, err
}

func thin(colour string, style int) []excelize.Border {
	var all []excelize.Border
	for _, side := range []string{"left", "right", "top", "bottom"} {
		all = append(all, excelize.Border{Type: side, Color: colour, Style: style})
	}
	return all
}
