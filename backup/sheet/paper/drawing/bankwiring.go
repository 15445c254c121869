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

// BankWiring is the diagram of the bank: units in series, strings in parallel, where plus and minus are taken off.
func BankWiring(r *findings.Report) *doc.Figure {
	b := r.Plan.Bank
	f := &doc.Figure{ID: "fig-bank", Caption: r.Say("bank.figure"),
		Describe: r.Say("bank.describe", r.Count(b.Strings, "unit.strings"), r.Count(b.Series, "bank.units"),
			r.Amount(b.NominalV(), "V"))}
	strings, units := shown(b.Strings, mostStrings), shown(b.Series, mostUnits)
	const pitch, rowH, top = 112.0, 62.0, 34.0
	minusX, first := 86.0, 122.0
	plusX := first + float64(len(units))*pitch + 60
	d := &drawing{w: plusX + 185, h: top + float64(len(strings))*rowH + 40}
	fused := r.StringsFused()
	for i, n := range strings {
		y := top + float64(i)*rowH + 20
		if n < 0 {
			d.text(first+8, y+4, left, "", r.Say("bank.more-strings", b.Strings-mostStrings+1))
			continue
		}
		d.text(minusX-12, y+4, end, "small", r.Say("bank.string", n+1))
		d.line(minusX, y, first, y, "wire")
		for j, u := range units {
			x := first + float64(j)*pitch
			if u < 0 {
				d.line(x, y, x+pitch, y, "wire dashed-short")
				d.text(x+pitch/2-6, y-8, middle, "small", r.Say("bank.more-units", b.Series-mostUnits+1))
				continue
			}
			d.rect(x, y-16, 84, 32, "wire hollow")
			d.text(x+42, y+4, middle, "small", strconv.Itoa(u+1)+": "+r.Amount(b.Unit.NominalV, "V"))
			d.text(x+5, y-5, left, "small", "−")
			d.text(x+79, y-5, end, "small", "+")
			d.line(x+84, y, x+pitch, y, "wire")
		}
		x := first + float64(len(units))*pitch
		if fused {
			d.line(x, y, x+14, y, "wire")
			d.at(x+14+fuseLen, y, 1, d.fuse)
			d.line(x+14+fuseLen, y, plusX, y, "wire")
			d.text(x+14+fuseLen/2, y-9, middle, "small", findings.StringFuse(n+1))
		} else {
			d.line(x, y, plusX, y, "wire")
		}
	}
	topY, bottomY := top+20, top+float64(len(strings)-1)*rowH+20
	d.line(minusX, topY-8, minusX, bottomY+22, "bus")
	d.line(plusX, topY-22, plusX, bottomY+8, "bus")
	// Plus leaves at the first string and minus at the last: every string then has the same length of conductor.
	d.path("M"+px(plusX)+" "+px(topY-16)+"H"+px(plusX+16), "wire")
	d.at(plusX+16+fuseLen, topY-16, 1, d.fuse)
	d.line(plusX+16+fuseLen, topY-16, plusX+66, topY-16, "wire")
	d.text(plusX+30, topY-26, middle, "strong", "F1")
	d.text(plusX+70, topY-12, left, "", "+ "+r.Say("bank.to-inverter"))
	d.path("M"+px(minusX)+" "+px(bottomY+16)+"H"+px(plusX+66), "wire")
	d.text(plusX+70, bottomY+20, left, "", "− "+r.Say("bank.to-inverter"))
	f.Wide = d.svg("fig-bank-w", f.Caption, f.Describe)
	return f
}
