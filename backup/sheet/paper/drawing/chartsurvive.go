package drawing

import (
	"fmt"
	"html/template"

	"outlast/backup/sheet/paper/doc"
	"outlast/backup/sheet/paper/findings"
)

// SurviveFigure is the chance to outlast an outage by its length, over outages from every hour of a year; nil where
// they were not followed.
func SurviveFigure(r *findings.Report) (*doc.Figure, error) {
	e := r.Year
	if e == nil {
		return nil, nil
	}
	chance, err := e.Chance(e.Options.TargetH)
	if err != nil {
		return nil, fmt.Errorf("the survival curve: %w", err)
	}
	f := &doc.Figure{ID: "fig-survival", Caption: r.Say("survive.title")}
	f.Describe = r.Say("survive.describe", r.Fixed(100*chance, 1), r.Fixed(float64(e.Options.TargetH), 0),
		r.Fixed(e.MeanH(), 1))
	f.Wide = surviveChart(r, wide, "fig-survival-w", f, chance)
	f.Narrow = surviveChart(r, narrow, "fig-survival-n", f, chance)
	return f, nil
}

func surviveChart(r *findings.Report, w float64, id string, f *doc.Figure, chance float64) template.HTML {
	e := r.Year
	curve := e.Curve()
	// The axis ends where nothing survives any more, with some room, but not before the target.
	last := len(curve) - 1
	for last > 1 && curve[last-1] == 0 {
		last--
	}
	last = max(last, min(len(curve)-1, e.Options.TargetH*5/4))
	const height = 250.0
	d := &drawing{w: w, h: height}
	dot := func(d *drawing, x, y float64) { d.circle(x+keySample/2, y, 3.6, "dot") }
	d.key(44, 10, w-4, []keyItem{{dot, r.Say("survive.target", r.Fixed(100*chance, 1),
		r.Fixed(float64(e.Options.TargetH), 0))}})
	area := plotArea{d, scale{lo: 0, hi: float64(max(last, 1)), from: 44, to: w - 14},
		scale{lo: 0, hi: 100, from: height - 36, to: 36}}
	area.yAxis(r.Voice, 20, 1, "%")
	parts := 12
	if w < 500 {
		parts = 6
	}
	step := clockStep(float64(last), parts)
	for h := 0.0; h <= float64(last); h += max(step, 1) {
		x := area.x.at(h)
		d.line(x, area.bottom(), x, area.bottom()+4, "axis")
		d.text(x, area.bottom()+16, middle, "", r.Short(h))
	}
	d.text(area.x.to, area.bottom()+30, end, "small", r.Say("survive.axis"))
	var t trace
	for h := 0; h <= last; h++ {
		t.to(area.x.at(float64(h)), area.y.at(100*curve[h]))
		if h < last { // whole hours were survived: the curve holds until the next
			t.to(area.x.at(float64(h+1)), area.y.at(100*curve[h]))
		}
	}
	d.path(t.open(), "line")
	x, y := area.x.at(float64(e.Options.TargetH)), area.y.at(100*chance)
	d.line(x, area.bottom(), x, y, "dotted")
	d.circle(x, y, 3.6, "dot")
	return d.svg(id, f.Caption, f.Describe)
}
