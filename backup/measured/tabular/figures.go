package tabular

import (
	"regexp"
	"strconv"
	"strings"

	"outlast/catalog/strict"
)

// A Figure is a number with what stands behind it: "1,5 kW" is 1.5 and "kw".
type Figure struct {
	Value float64
	Unit  string // in lower case; "" for none
}

// mostFigures is more than any cell of a list needs: amps and volts, hours and minutes.
const mostFigures = 4

var (
	broken = regexp.MustCompile(`^(?:(\d{1,3})[ -])?(\d{1,2})/(\d{1,2})(?:[^\d/.,]|$)|^(\d{1,3})? ?([¼½¾])`)
	parts  = map[string]float64{"¼": 0.25, "½": 0.5, "¾": 0.75}
)

// Figures reads the figures of a cell, with their units and with fractions: "4 A 230 V", "1 1/2 hp". ok is false if
// something was reported.
func (t *Table) Figures(col int) (fs []Figure, ok bool) {
	c := t.Cell(col)
	fs, msg, hint := t.signs.figures(c, col)
	if msg != "" {
		t.Report(col, hint, "%s", msg)
		return nil, false
	}
	return fs, true
}

func (s *signs) figures(c Cell, col int) (fs []Figure, msg, hint string) {
	if c.Typed {
		v, _, msg, hint := s.number(c, col)
		return []Figure{{Value: v}}, msg, hint
	}
	wrong := "found " + strict.Quote(oneLine(c.Text)) + ", want a number"
	for rest := c.Text; rest != ""; {
		if len(fs) == mostFigures {
			return nil, wrong, ""
		}
		var f Figure
		if v, n := fractionOf(rest); n > 0 {
			f.Value, rest = v, rest[n:]
		} else {
			v, behind, msg, hint := s.number(Cell{Text: rest}, col)
			if msg != "" {
				if len(fs) > 0 {
					msg, hint = wrong, ""
				}
				return nil, msg, hint
			}
			f.Value, rest = v, behind
		}
		rest = trimmed(rest)
		end := strings.IndexFunc(rest, func(r rune) bool {
			return r >= '0' && r <= '9' || r == '¼' || r == '½' ||
				r == '¾'
		})
		if end < 0 {
			end = len(rest)
		}
		unit := strings.TrimRight(rest[:end], " \u00a0\u202f@,;=~")
		f.Unit, rest = strings.ToLower(trimmed(unit)), rest[end:]
		fs = append(fs, f)
	}
	if len(fs) == 0 {
		return nil, "found nothing, want a number", ""
	}
	return fs, "", ""
}

// fractionOf reads a fraction, and tells how many bytes it takes; 0: there is none.
func fractionOf(text string) (float64, int) {
	at := broken.FindStringSubmatchIndex(text)
	if at == nil {
		return 0, 0
	}
	group := func(i int) string {
		if at[2*i] < 0 {
			return ""
		}
		return text[at[2*i]:at[2*i+1]]
	}
	whole, _ := strconv.ParseFloat("0"+group(1)+group(4), 64)
	if sign := group(5); sign != "" {
		return whole + parts[sign], at[1]
	}
	over, _ := strconv.ParseFloat(group(2), 64)
	under, _ := strconv.ParseFloat(group(3), 64)
	if under == 0 || over >= under {
		return 0, 0
	}
	return whole + over/under, at[2*3+1]
}

// Peek reads the figures of a cell and reports nothing: msg says what is wrong.
func (t *Table) Peek(col int) (fs []Figure, msg string, ok bool) {
	fs, msg, _ = t.signs.figures(t.Cell(col), col)
	return fs, msg, msg == ""
}
