package drawing

import (
	"strconv"

	"outlast/backup/sheet/paper/doc"
	"outlast/backup/sheet/paper/findings"
)

// What is drawn of a bank: the first strings and the last, and in each the first units and the last.
const (
	mostStrings = 4
	mostUnits   = 4
)

// shown are the places of a row of n things of which most are drawn: 0-based numbers, -1 where some are left out.
func shown(n, most int) []int {
	var out []int
	for i := range n {
		switch {
		case n <= most || i < most-2 || i == n-1:
			out = append(out, i)
		case i == most-2:
			out = append(out, -1)
		}
	}
	return out
}

// A bankLayout says where the parts of the diagram stand: strings below each other, units beside each other, between
// the bar of all minus and that of all plus.
type bankLayout struct {
	strings, units       []int // as [shown] gives them
	minusX, first, plusX float64
}

// Between two units, between two strings, and above the first of them.
const (
	unitPitch  = 112.0
	stringH    = 62.0
	firstLineY = 54.0
)

func (l bankLayout) stringY(row int) float64  { return firstLineY + float64(row)*stringH }
func (l bankLayout) unitX(column int) float64 { return l.first + float64(column)*unitPitch }

// BankWiring is the diagram of the bank: units in series, strings in parallel, where plus and minus are taken off.
func BankWiring(r *findings.Report) *doc.Figure {
	b := r.Plan.Bank
	f := &doc.Figure{ID: "fig-bank", Caption: r.Say("bank.figure"),
		Describe: r.Say("bank.describe", r.Count(b.Strings, "unit.strings"), r.Count(b.Series, "bank.units"),
			r.Amount(b.NominalV(), "V"))}
	l := bankLayout{strings: shown(b.Strings, mostStrings), units: shown(b.Series, mostUnits), minusX: 86, first: 122}
	l.plusX = l.unitX(len(l.units)) + 60
	d := &drawing{w: l.plusX + 185, h: l.stringY(len(l.strings)-1) + 40}
	for row, n := range l.strings {
		if n < 0 {
			d.text(l.first+8, l.stringY(row)+4, left, "", r.Say("bank.more-strings", b.Strings-mostStrings+1))
			continue
		}
		drawString(r, d, l, n, l.stringY(row))
	}
	drawTakeOff(r, d, l)
	f.Wide = d.svg("fig-bank-w", f.Caption, f.Describe)
	return f
}

// drawString draws string n, from 0, from the bar of all minus to that of all plus.
func drawString(r *findings.Report, d *drawing, l bankLayout, n int, y float64) {
	b := r.Plan.Bank
	d.text(l.minusX-12, y+4, end, "small", r.Say("bank.string", n+1))
	d.line(l.minusX, y, l.first, y, "wire")
	for column, u := range l.units {
		x := l.unitX(column)
		if u < 0 {
			d.line(x, y, x+unitPitch, y, "wire dashed-short")
			d.text(x+unitPitch/2-6, y-8, middle, "small", r.Say("bank.more-units", b.Series-mostUnits+1))
			continue
		}
		d.rect(x, y-16, 84, 32, "wire hollow")
		d.text(x+42, y+4, middle, "small", r.Headed(strconv.Itoa(u+1), r.Amount(b.Unit.NominalV, "V")))
		d.text(x+5, y-5, left, "small", "−")
		d.text(x+79, y-5, end, "small", "+")
		d.line(x+84, y, x+unitPitch, y, "wire")
	}
	x := l.unitX(len(l.units))
	if !r.StringsFused() {
		d.line(x, y, l.plusX, y, "wire")
		return
	}
	d.line(x, y, x+14, y, "wire")
	d.at(x+14+fuseLen, y, 1, d.fuse)
	d.line(x+14+fuseLen, y, l.plusX, y, "wire")
	d.text(x+14+fuseLen/2, y-9, middle, "small", findings.StringFuse(n+1))
}

// drawTakeOff draws both bars and the conductors to the inverter. Plus leaves at the first string and minus at the
// last: every string then has the same length of conductor.
func drawTakeOff(r *findings.Report, d *drawing, l bankLayout) {
	topY, bottomY := l.stringY(0), l.stringY(len(l.strings)-1)
	d.line(l.minusX, topY-8, l.minusX, bottomY+22, "bus")
	d.line(l.plusX, topY-22, l.plusX, bottomY+8, "bus")
	d.path("M"+px(l.plusX)+" "+px(topY-16)+"H"+px(l.plusX+16), "wire")
	d.at(l.plusX+16+fuseLen, topY-16, 1, d.fuse)
	d.line(l.plusX+16+fuseLen, topY-16, l.plusX+66, topY-16, "wire")
	d.text(l.plusX+30, topY-26, middle, "strong", "F1")
	d.text(l.plusX+70, topY-12, left, "", "+ "+r.Say("bank.to-inverter"))
	d.path("M"+px(l.minusX)+" "+px(bottomY+16)+"H"+px(l.plusX+66), "wire")
	d.text(l.plusX+70, bottomY+20, left, "", "− "+r.Say("bank.to-inverter"))
}
