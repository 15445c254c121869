package paper

import "html/template"

// shareFigure draws how the circuits share the limits of the backup board, and what those that were left out would add.
func (r *report) shareFigure() *Figure {
	in, out := r.sharing()
	if len(in)+len(out) == 0 {
		return nil
	}
	f := &Figure{ID: "fig-shares", Caption: r.say("share.title")}
	f.Describe = r.say("share.describe")
	bars := r.shareBars()
	for _, b := range bars {
		f.Describe += " " + b.label + ": " + b.figures + "."
	}
	if len(out) > 0 {
		var left []string
		refs := r.refsOf()
		for _, c := range out {
			left = append(left, refs[c.ID]+" "+name(r.called(c.Label)))
		}
		f.Describe += " " + r.say("share.left-out", list(left))
	}
	f.Wide = r.shareChart(wide, "fig-shares-w", f, bars)
	f.Narrow = r.shareChart(narrow, "fig-shares-n", f, bars)
	return f
}

func (r *report) shareChart(w float64, id string, f *Figure, bars []shareBar) template.HTML {
	_, out := r.sharing()
	const top, rowH = 24.0, 46.0
	d := &drawing{w: w, h: top + float64(len(bars))*rowH + 4}
	if len(out) > 0 {
		d.h += 20
	}
	most := 1.0
	for _, b := range bars {
		most = max(most, b.total(true)/b.limit)
	}
	// The bars have one scale, so that their limits stand below each other; only one that goes far beyond has its own.
	scaleOf := func(b shareBar) scale {
		return scale{lo: 0, hi: max(min(most, 1.6), b.total(true)/b.limit) * 1.03, from: 2, to: w - 4}
	}
	for i, b := range bars {
		x, y, at := scaleOf(b), top+float64(i)*rowH+18, 0.0
		for j, part := range b.parts {
			next := at + part.amount/b.limit
			x1, x2 := x.at(at), x.at(next)
			class := "segment"
			switch {
			case part.out:
				class = "segment left-out"
			case j%2 == 1:
				class = "segment second"
			}
			if x2 > x1 {
				d.rect(x1, y, x2-x1, 18, class)
			}
			if x2-x1 > width(part.ref, sizeSmall)+4 {
				d.text((x1+x2)/2, y+13, middle, "small", part.ref)
			}
			at = next
		}
	}
	for i, b := range bars {
		x, y := scaleOf(b).at(1), top+float64(i)*rowH+12
		from := y + 3
		if i == 0 {
			from = top - 4
			anchor := end
			if x < w/2 {
				anchor = left
			}
			d.text(x, top-9, anchor, "accent", r.say("limits.limit"))
		}
		d.line(x, from, x, y+27, "limit")
		figures := b.figures
		d.text(2, y, left, "halo", shorten(b.label, w-20-width(figures, sizeSmall), sizeText))
		d.text(w-4, y, end, "halo small", figures)
	}
	if len(out) > 0 {
		y := d.h - 16
		d.rect(2, y, 18, 11, "segment left-out")
		d.text(26, y+10, left, "small", shorten(r.say("share.key"), w-34, sizeSmall))
	}
	return d.svg(id, f.Caption, f.Describe)
}
