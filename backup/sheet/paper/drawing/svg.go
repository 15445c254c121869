// Package drawing makes the drawings of the papers: charts, the single-line diagram and the wiring of the bank, as SVG
// of our own.
//
// What is measured and written on them comes from package findings. A canvas (svg.go) knows lines and letters, axis.go
// scales, symbols.go the symbols of diagrams.
package drawing

import (
	"fmt"
	"html"
	"html/template"
	"math"
	"strconv"
	"strings"

	"outlast/backup/sheet/paper/doc"
)

// A drawing is an SVG under work: shapes in pixels, styled by the classes of the page's style sheet. Everything is
// drawn in black, in greys that differ in print, and in one accent; what must be told apart differs in dashes or labels
// too.
type drawing struct {
	w, h float64
	b    strings.Builder
}

// Widths of the drawings: for paper and large screens, and for a phone held upright.
const (
	wide   = 680.0
	narrow = 324.0
)

// Sizes of type, in pixels.
const (
	sizeText  = 11.5
	sizeSmall = 10.0
)

// px writes a coordinate: a tenth of a pixel is finer than anyone sees.
func px(v float64) string {
	s := strconv.FormatFloat(math.Round(v*10)/10, 'f', -1, 64)
	if s == "-0" {
		return "0"
	}
	return s
}

func (d *drawing) line(x1, y1, x2, y2 float64, class string) {
	fmt.Fprintf(&d.b, `<line class="%s" x1="%s" y1="%s" x2="%s" y2="%s"/>`, class, px(x1), px(y1), px(x2), px(y2))
}

func (d *drawing) rect(x, y, w, h float64, class string) {
	fmt.Fprintf(&d.b, `<rect class="%s" x="%s" y="%s" width="%s" height="%s"/>`, class, px(x), px(y), px(w), px(h))
}

func (d *drawing) circle(x, y, radius float64, class string) {
	fmt.Fprintf(&d.b, `<circle class="%s" cx="%s" cy="%s" r="%s"/>`, class, px(x), px(y), px(radius))
}

// A trace is the points of a line or an area.
type trace struct{ b strings.Builder }

func (t *trace) to(x, y float64) {
	c := "L"
	if t.b.Len() == 0 {
		c = "M"
	}
	t.b.WriteString(c + px(x) + " " + px(y))
}

func (t *trace) closed() string { return t.b.String() + "Z" }
func (t *trace) open() string   { return t.b.String() }

func (d *drawing) path(p, class string) {
	fmt.Fprintf(&d.b, `<path class="%s" d="%s"/>`, class, p)
}

// Anchors of a text.
const (
	left   = "start"
	middle = "middle"
	end    = "end"
)

// text writes a line of text. class may be empty: "small" is smaller, "strong" bold, "accent" in the accent.
func (d *drawing) text(x, y float64, anchor, class, s string) {
	if s == "" {
		return
	}
	a := ""
	if anchor != left {
		a = ` text-anchor="` + anchor + `"`
	}
	if class != "" {
		class = ` class="` + class + `"`
	}
	fmt.Fprintf(&d.b, `<text x="%s" y="%s"%s%s>%s</text>`, px(x), px(y), a, class, html.EscapeString(s))
}

// at draws something moved, and turned by quarters clockwise.
func (d *drawing) at(x, y float64, quarters int, draw func()) {
	turn := ""
	if quarters != 0 {
		turn = fmt.Sprintf(" rotate(%d)", 90*quarters)
	}
	fmt.Fprintf(&d.b, `<g transform="translate(%s %s)%s">`, px(x), px(y), turn)
	draw()
	d.b.WriteString("</g>")
}

// broken shows across a level bar of a height that it goes on beyond the scale: a gap between two slanted lines.
func (d *drawing) broken(x, mid, height float64) {
	up := height/2 + 2
	d.path("M"+px(x-2)+" "+px(mid+up)+"l4 "+px(-2*up)+"h5l-4 "+px(2*up)+"z", "gap")
	d.line(x-2, mid+up, x+2, mid-up, "axis")
	d.line(x+3, mid+up, x+7, mid-up, "axis")
}

// svg closes the drawing. id must be the only one on the page; title and describe are read to those who do not see it.
func (d *drawing) svg(id, title, describe string) template.HTML {
	return template.HTML(
		fmt.Sprintf(
			`<svg class="drawing" viewBox="0 0 %s %s" width="%s" height="%s" role="img" aria-labelledby="%s-t %s-d" `+
				`xmlns="http://www.w3.org/2000/svg"><title id="%s-t">%s</title><desc id="%s-d">%s</desc>%s</svg>`,
			px(d.w), px(d.h), px(d.w), px(d.h), id, id, id, html.EscapeString(title), id, html.EscapeString(describe),
			d.b.String()))
}

// wrap breaks a text at blanks, but not at hard ones, and at hyphens into at most so many lines of a width; what does
// not fit is cut off.
func wrap(s string, most, size float64, lines int) []string {
	var out []string
	line := ""
	for _, word := range strings.FieldsFunc(strings.ReplaceAll(s, "-", "- "), func(r rune) bool { return r == ' ' }) {
		glue := " "
		if strings.HasSuffix(line, "-") {
			glue = ""
		}
		switch {
		case line == "":
			line = word
		case doc.Width(line+glue+word, size) <= most || len(out) == lines-1:
			line += glue + word
		default:
			out = append(out, line)
			line = word
		}
	}
	out = append(out, line)
	for i := range out {
		out[i] = doc.Shorten(out[i], most, size)
	}
	return out
}
