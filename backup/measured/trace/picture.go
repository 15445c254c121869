package trace

import (
	"fmt"
	"html"
	"math"
	"strconv"
	"strings"

	"outlast/backup/phrase"
)

// Sizes of the drawing, in pixels.
const (
	picW, plotLeft, plotRight = 900.0, 74.0, 24.0
	plotTop, plotH            = 86.0, 240.0
	bandH                     = 10.0 // of the times on, below the axis
	lineH                     = 17.0
	letters                   = 132 // of a line of text below
	mostDoubtSpots            = 60  // marks of doubts: more would hide the curve
	mostStartMarks            = 200
)

// picture is an SVG under work.
type picture struct {
	b    strings.Builder
	span float64 // seconds
	top  float64 // W
}

func (p *picture) x(s float64) float64 { return plotLeft + (picW-plotLeft-plotRight)*s/p.span }
func (p *picture) y(w float64) float64 { return plotTop + plotH*(1-w/p.top) }

func px(v float64) string { return strconv.FormatFloat(math.Round(v*10)/10, 'f', -1, 64) }

func (p *picture) text(x, y float64, class, s string) {
	fmt.Fprintf(&p.b, `<text class="%s" x="%s" y="%s">%s</text>`+"\n", class, px(x), px(y), html.EscapeString(s))
}

func (p *picture) line(x1, y1, x2, y2 float64, class string) {
	fmt.Fprintf(&p.b, `<line class="%s" x1="%s" y1="%s" x2="%s" y2="%s"/>`+"\n", class, px(x1), px(y1), px(x2), px(y2))
}

func (p *picture) rect(x, y, w, h float64, class string) {
	fmt.Fprintf(&p.b, `<rect class="%s" x="%s" y="%s" width="%s" height="%s"/>`+"\n", class, px(x), px(y), px(w), px(h))
}

// start is a triangle that points down at the peak of a start.
func (p *picture) start(x, y float64) {
	fmt.Fprintf(&p.b, `<path class="start" d="M%s %sl-5 -9h10z"/>`+"\n", px(x), px(y-1))
}

// mark is the number of a doubt in a circle.
func (p *picture) mark(x, y float64, n int) {
	fmt.Fprintf(&p.b, `<circle class="mark" cx="%s" cy="%s" r="8"/>`+"\n", px(x), px(y))
	p.text(x, y+4, "number", strconv.Itoa(n))
}

const pictureStyle = `<style>
text{font:12px sans-serif;fill:#111}
.title{font-weight:bold;font-size:16px}
.right{text-anchor:end}.middle,.number{text-anchor:middle}
.number{font-size:11px;font-weight:bold}
.grid{stroke:#ccc;stroke-width:1}.axis{stroke:#111;stroke-width:1.2}
.mean{fill:#9bb3c9;stroke:none}.most{fill:none;stroke:#1b3a57;stroke-width:1}
.running{stroke:#111;stroke-width:1.2;stroke-dasharray:6 4}
.on{fill:#1b3a57}.start{fill:#b3261e;stroke:#fff;stroke-width:.8}
.doubt{fill:url(#hatch);stroke:#8a5a00;stroke-width:.8}.mark{fill:#fff;stroke:#8a5a00;stroke-width:1.4}
</style>
<defs><pattern id="hatch" width="6" height="6" patternUnits="userSpaceOnUse" patternTransform="rotate(45)"><rect width="6" height="6" fill="#fff" fill-opacity=".55"/><line x1="0" y1="0" x2="0" y2="6" stroke="#8a5a00" stroke-width="1.6"/></pattern></defs>
`

// SVG draws the power through time on its own page: the mean and the highest reading of each pixel, when it is on, its
// starts, and every doubtful spot with the number that it has in the list below. Nothing is told by colour alone.
func (l *Load) SVG(name string, say Say) string {
	tr := l.trace
	n := len(tr.at)
	p := &picture{span: tr.at[n-1] + l.hold(n-1) - tr.at[0], top: niceAbove(max(l.HighestW, 1))}
	p.span = max(p.span, 1e-3)
	unit, unitS := phrase.Symbols("min"), 60.0
	if p.span > 3*hourS {
		unit, unitS = phrase.Symbols("h"), hourS
	}
	p.text(plotLeft, 26, "title", name)
	p.text(plotLeft, 46, "", say.of(phrase.Of("Power in W, by time in %s since the first reading", unit)))
	p.legend(say, l)
	p.axes(unitS)
	p.curve(l)
	p.bands(l)
	height := p.notes(l, say)
	title := html.EscapeString(name)
	describe := html.EscapeString(
		say.of(phrase.Of("It went on %s; the highest reading is %s W, and it takes %s Wh a day, %s.",
			times(l.Runs), watts(l.HighestW), watts(l.WhPerDay), l.Basis)))
	return fmt.Sprintf(`<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 %s %s" width="%s" height="%s" role="img" aria-labelledby="title desc">
<title id="title">%s</title>
<desc id="desc">%s</desc>
%s<rect x="0" y="0" width="%s" height="%s" fill="#fff"/>
%s</svg>
`, px(picW), px(height), px(picW), px(height), title, describe, pictureStyle, px(picW), px(height), p.b.String())
}

// legend says what the signs mean, those that are there.
func (p *picture) legend(say Say, l *Load) {
	x, y := plotLeft, 66.0
	item := func(text phrase.Phrase, sign func(x float64)) {
		sign(x)
		s := say.of(text)
		p.text(x+24, y+4, "", s)
		x += 24 + 7*float64(len([]rune(s))) + 18
	}
	item(phrase.Of("mean"), func(x float64) { p.rect(x, y-5, 18, 10, "mean") })
	item(phrase.Of("highest reading"), func(x float64) { p.line(x, y, x+18, y, "most") })
	if l.RunningW > 0 && l.Runs > 0 {
		item(phrase.Of("running, %s W", watts(l.RunningW)), func(x float64) { p.line(x, y, x+18, y, "running") })
		item(phrase.Of("on"), func(x float64) { p.rect(x, y-5, 18, bandH, "on") })
	}
	if l.Starts > 0 {
		item(phrase.Of("start, up to %s W", watts(l.StartingW)), func(x float64) { p.start(x+9, y+5) })
	}
	if len(l.spots) > 0 {
		item(phrase.Of("doubtful"), func(x float64) { p.rect(x, y-6, 18, 12, "doubt") })
	}
}

// niceAbove is a round figure that is not smaller.
func niceAbove(v float64) float64 {
	step := niceStep(v / 4)
	return math.Ceil(v*1.06/step) * step
}

// niceStep is 1, 2 or 5 times a power of ten, not smaller.
func niceStep(v float64) float64 {
	base := math.Pow(10, math.Floor(math.Log10(v)))
	for _, m := range []float64{1, 2, 5, 10} {
		if m*base >= v*(1-1e-9) {
			return m * base
		}
	}
	return 10 * base
}

func (p *picture) axes(unitS float64) {
	left, right, bottom := plotLeft, picW-plotRight, plotTop+plotH
	step := niceStep(p.top / 5)
	for w := 0.0; w <= p.top*(1+1e-9); w += step {
		p.line(left, p.y(w), right, p.y(w), "grid")
		p.text(left-8, p.y(w)+4, "right", px(w))
	}
	p.line(left, bottom, right, bottom, "axis")
	step = niceStep(p.span / unitS / 8)
	for t := 0.0; t*unitS <= p.span*(1+1e-9); t += step {
		x := p.x(t * unitS)
		p.line(x, bottom, x, bottom+bandH+8, "axis")
		p.text(x, bottom+bandH+22, "middle", strconv.FormatFloat(t, 'g', 4, 64))
	}
}

// curve draws the mean and the highest reading of each pixel. Readings hold until the next one, but not across a gap.
func (p *picture) curve(l *Load) {
	tr := l.trace
	columns := int(picW - plotLeft - plotRight)
	ws, s, most := make([]float64, columns), make([]float64, columns), make([]float64, columns)
	at := func(t float64) int { return min(columns-1, max(0, int(t/p.span*float64(columns)))) }
	for i := range tr.at {
		from := tr.at[i] - tr.at[0]
		hold, w := l.hold(i), float64(tr.w[i])
		for c := at(from); c <= at(from+hold-1e-9); c++ {
			part := min(from+hold, float64(c+1)/float64(columns)*p.span) - max(from, float64(c)/float64(columns)*p.span)
			if part > 0 {
				ws[c], s[c] = ws[c]+w*part, s[c]+part
			}
			most[c] = max(most[c], w)
		}
	}
	var area, high strings.Builder
	for c := 0; c < columns; c++ {
		if s[c] == 0 {
			continue
		}
		first := c
		fmt.Fprintf(&area, "M%s %s", px(plotLeft+float64(c)), px(p.y(0)))
		for ; c < columns && s[c] > 0; c++ {
			fmt.Fprintf(&area, "L%s %sh1", px(plotLeft+float64(c)), px(p.y(ws[c]/s[c])))
			command := "L"
			if c == first {
				command = "M"
			}
			fmt.Fprintf(&high, "%s%s %sh1", command, px(plotLeft+float64(c)), px(p.y(most[c])))
		}
		fmt.Fprintf(&area, "V%sz", px(p.y(0)))
	}
	fmt.Fprintf(&p.b, `<path class="mean" d="%s"/>`+"\n", area.String())
	fmt.Fprintf(&p.b, `<path class="most" d="%s"/>`+"\n", high.String())
}

// bands draws when it is on, its starts, and the doubtful spots.
func (p *picture) bands(l *Load) {
	tr := l.trace
	if l.Runs > 0 && l.RunningW > 0 {
		p.line(plotLeft, p.y(l.RunningW), picW-plotRight, p.y(l.RunningW), "running")
	}
	lastX := math.Inf(-1)
	marks := 0
	for _, r := range l.runs {
		from := p.x(tr.at[r.from] - tr.at[0])
		to := p.x(tr.at[r.to-1] + l.hold(r.to-1) - tr.at[0])
		if to > lastX+0.2 { // what no pixel shows is left out
			p.rect(max(from, lastX), plotTop+plotH+3, max(0.5, to-max(from, lastX)), bandH, "on")
			lastX = to
		}
		if r.startS > 0 && marks < mostStartMarks {
			p.start(p.x(tr.at[r.peakAt]-tr.at[0]), p.y(r.peakW))
			marks++
		}
	}
	told := 0
	numbered := map[int]float64{} // where the last number of a doubt stands
	for _, s := range l.spots {
		if told++; told > mostDoubtSpots {
			break
		}
		from, to := p.x(s.fromS), p.x(s.toS)
		if to-from < 3 {
			from, to = from-1.5, from+1.5
		}
		p.rect(from, plotTop, to-from, plotH, "doubt")
		x := min(picW-plotRight-8, max(plotLeft+8, (from+to)/2))
		if last, ok := numbered[s.doubt]; !ok || x-last > 20 {
			y := plotTop + 12 + 18*float64(s.doubt%4)
			p.mark(x, y, s.doubt+1)
			numbered[s.doubt] = x
		}
	}
}

// notes lists the doubts below, and gives the height of the whole.
func (p *picture) notes(l *Load, say Say) float64 {
	y := plotTop + plotH + bandH + 52
	if len(l.Doubts) == 0 {
		return y
	}
	p.text(plotLeft, y, "", say.of(phrase.Of("Doubtful:")))
	for i, d := range l.Doubts {
		line := ""
		first := true
		put := func() {
			y += lineH
			if first {
				p.text(plotLeft+14, y, "right", strconv.Itoa(i+1))
			}
			p.text(plotLeft+22, y, "", line)
			first, line = false, ""
		}
		for _, word := range strings.Fields(ended(say.of(d))) {
			if line != "" && len([]rune(line))+1+len([]rune(word)) > letters {
				put()
			}
			line = strings.TrimSpace(line + " " + word)
		}
		put()
	}
	return y + 24
}
