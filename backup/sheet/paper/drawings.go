package paper

import (
	"slices"

	"outlast/backup/sheet/paper/doc"
	"outlast/backup/sheet/paper/drawing"
	"outlast/backup/sheet/paper/findings"
)

// drawings are the figures of the calculation sheet.
func (r *report) drawings() (doc.Section, error) {
	s := doc.Section{ID: "drawings", Title: r.Say("drawings.title"), Blocks: []doc.Block{
		{Figure: drawing.LimitFigure(r.Report)}, {Figure: drawing.DayFigure(r.Report)},
	}}
	starts, others := drawing.StartFigure(r.Report)
	s.Blocks = append(s.Blocks, doc.Block{Figure: starts})
	if len(others) > 0 {
		s.Blocks = append(s.Blocks, doc.Para(r.Say("starts.others", findings.List(others))))
	}
	s.Blocks = append(s.Blocks, doc.Block{Figure: drawing.ChargeFigure(r.Report)})
	if r.Draws != nil {
		s.Blocks = append(s.Blocks, doc.Para(drawing.DrawsText(r.Report)))
	}
	if shares := drawing.ShareFigure(r.Report); shares != nil {
		s.Blocks = slices.Insert(s.Blocks, 1, doc.Block{Figure: shares})
	}
	survive, err := drawing.SurviveFigure(r.Report)
	if survive != nil {
		s.Blocks = append(s.Blocks, doc.Block{Figure: survive}, doc.Para(r.Prose(r.Year.Counted.Text())))
	}
	if months := drawing.MonthFigure(r.Report); months != nil {
		s.Blocks = append(s.Blocks, doc.Block{Figure: months})
	}
	return s, err
}
