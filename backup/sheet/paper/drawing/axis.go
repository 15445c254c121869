package drawing

import (
	"math"
	"strconv"

	"outlast/backup/sheet/paper/doc"
	"outlast/backup/sheet/paper/findings"
)

// A scale maps values to pixels, straight or by their logarithm.
type scale struct {
	lo, hi   float64 // values
	from, to float64 // pixels
	log      bool
}

func (s scale) at(v float64) float64 {
	v = min(max(v, s.lo), s.hi)
	part := (v - s.lo) / (s.hi - s.lo)
	if s.log {
		part = math.Log(v/s.lo) / math.Log(s.hi/s.lo)
	}
	return s.from + part*(s.to-s.from)
}

// nice is the step 1, 2 or 5 times a power of ten that cuts span into at most so many parts.
func nice(span float64, parts int) float64 {
	if !(span > 0) {
		return 1
	}
	raw := span / float64(parts)
	power := math.Pow(10, math.Floor(math.Log10(raw)))
	for _, m := range []float64{1, 2, 5, 10} {
		if m*power >= raw*(1-1e-9) {
			return m * power
		}
	}
	return 10 * power
}

// round rounds a limit of an axis up to a whole step.
func roundUp(v, step float64) float64 { return math.Ceil(v/step*(1-1e-9)) * step }

// decimals is how many the multiples of a step need.
func decimals(step float64) int { return max(0, -int(math.Floor(math.Log10(step)+1e-9))) }

// A plotArea is the frame of a diagram with its scales.
type plotArea struct {
	*drawing
	x, y scale
}

func (p plotArea) bottom() float64 { return p.y.from }
func (p plotArea) top() float64    { return p.y.to }

// yAxis draws level lines with their figures, and the unit above them.
func (p plotArea) yAxis(v findings.Voice, step float64, scaleBy float64, unit string) {
	n := decimals(step / scaleBy)
	for i := 0; ; i++ {
		value := p.y.lo + float64(i)*step
		if value > p.y.hi*(1+1e-9) {
			break
		}
		y := p.y.at(value)
		class := "grid"
		if i == 0 {
			class = "axis"
		}
		p.line(p.x.from, y, p.x.to, y, class)
		p.text(p.x.from-6, y+4, end, "", v.Fixed(value/scaleBy, n))
	}
	p.text(p.x.from-6, p.top()-12, end, "small", unit)
}

// hourAxis draws the hours of a day below.
func (p plotArea) hourAxis(every int) {
	for h := 0; h <= 24; h += every {
		x := p.x.at(float64(h * 60))
		p.line(x, p.bottom(), x, p.bottom()+4, "axis")
		p.text(x, p.bottom()+16, middle, "", strconv.Itoa(h))
	}
}

// kilo says whether figures up to v are better told in thousands, and with which unit.
func kilo(v float64, unit string) (by float64, name string) {
	if v >= 2000 {
		return 1000, "k" + unit
	}
	return 1, unit
}

// A keyItem explains one kind of line or mark: a sample that is drawn from (x, y) on, and its words.
type keyItem struct {
	draw func(d *drawing, x, y float64)
	text string
}

// keySample is how wide the samples are.
const keySample = 18.0

// key writes the items beside each other, on as many rows as they need, and gives the height of the last.
func (d *drawing) key(from, y, to float64, items []keyItem) (last float64) {
	x := from
	for _, k := range items {
		text := doc.Shorten(k.text, to-from-keySample-6, sizeSmall)
		long := keySample + 6 + doc.Width(text, sizeSmall)
		if x > from && x+long > to {
			x, y = from, y+15
		}
		k.draw(d, x, y)
		d.text(x+keySample+6, y+4, left, "small", text)
		x += long + 16
	}
	return y
}
