package drawing

import (
	"html/template"

	"outlast/backup/sheet/paper/doc"
	"outlast/backup/sheet/paper/findings"
	"outlast/backup/sheet/speech"
)

// ShareFigure draws how the circuits share the limits of the backup board, and what those that were left out would add.
func ShareFigure(r *findings.Report) *doc.Figure {
	in, out := sharing(r)
	if len(in)+len(out) == 0 {
		return nil
	}
	f := &doc.Figure{ID: "fig-shares", Caption: r.Say("share.title"), Across: true}
	f.Describe = r.Say("share.describe")
	bars := shareBars(r)
	for _, b := range bars {
		f.Describe += " " + r.Headed(b.label, b.figures) + "."
	}
	if len(out) > 0 {
		var left []string
		refs := r.RefsOf()
		for _, c := range out {
			left = append(left, refs[c.ID]+" "+speech.Name(r.Called(c.Label)))
		}
		f.Describe += " " + r.Say("share.left-out", findings.List(left))
	}
	f.Wide = shareChart(r, wide, "fig-shares-w", f, bars)
	f.Narrow = shareChart(r, narrow, "fig-shares-n", f, bars)
	return f
}

func shareChart(r *findings.Report, w float64, id string, f *doc.Figure, bars []shareBar) template.HTML {
	_, out := sharing(r)
	const top, rowH = 2.0, 46.0
	d := &drawing{w: w, h: top + float64(len(bars))*rowH + 4}
	if len(out) > 0 {
		d.h += 20
	}
	d.h += 12 // the word at the foot of the limits
	most := 1.0
	for _, b := range bars {
		most = max(most, b.total(true)/b.limit)
	}
	// The bars have one scale, so that their limits stand below each other; one that goes far beyond is broken.
	x := scale{lo: 0, hi: min(most, mostShared) * 1.03, from: 2, to: w - 4}
	limit := x.at(1)
	for i, b := range bars {
		y := top + float64(i)*rowH
		drawShares(r, d, b, x, y+18)
		d.line(limit, y+15, limit, y+39, "limit")
		d.text(2, y+12, left, "", doc.Shorten(b.label, w-20-doc.Width(b.figures, sizeSmall), sizeText))
		d.text(w-4, y+12, end, "small", b.figures)
	}
	word, anchor := r.Say("limits.limit"), middle
	if limit+doc.Width(word, sizeText)/2 > w-2 {
		anchor = end
	}
	d.text(limit, top+float64(len(bars))*rowH+4, anchor, "accent", word)
	if len(out) > 0 {
		y := d.h - 16
		d.rect(2, y, 18, 11, "segment left-out")
		d.text(26, y+10, left, "small", doc.Shorten(r.Say("share.key"), w-34, sizeSmall))
	}
	return d.svg(id, f.Caption, f.Describe)
}

// mostShared is where a bar of the shares is broken: so many times its limit.
const mostShared = 1.6

// drawShares draws the parts of one bar, each with its mark where there is room beside the line of the limit.
func drawShares(r *findings.Report, d *drawing, b shareBar, x scale, y float64) {
	limit, at := x.at(1), 0.0
	for j, part := range b.parts {
		next := at + part.amount/b.limit
		x1, x2 := x.at(at), x.at(next)
		at = next
		if x2 <= x1 {
			continue
		}
		class := "segment"
		switch {
		case part.out:
			class = "segment left-out"
		case j%2 == 1:
			class = "segment second"
		}
		d.rect(x1, y, x2-x1, 18, class)
		if limit > x1 && limit < x2 { // the longer piece has the mark
			if limit-x1 > x2-limit {
				x2 = limit
			} else {
				x1 = limit
			}
		}
		if x2-x1 > doc.Width(part.ref, sizeSmall)+6 {
			d.text((x1+x2)/2, y+13, middle, "small", part.ref)
		}
	}
	if at > x.hi {
		d.broken(x.to-16, y+9, 18)
	}
}
