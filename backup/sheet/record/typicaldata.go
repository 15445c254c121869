package record

import (
	"outlast/backup"
	"outlast/loads"
)

func StartVA(s *loads.Start) float64 {
	if s == nil {
		return 0
	}
	return s.VA()
}

// typicalJSON is what of a load rests on its class. The ends are of one unit.
type typicalJSON struct {
	Load  string   `json:"load"`
	Class string   `json:"class"`
	Keys  []string `json:"keys" doc:"of the site file that the class gave"`
	Now   endsJSON `json:"typical"`
	Low   endsJSON `json:"low"`
	High  endsJSON `json:"high"`
}

type endsJSON struct {
	RunningW    float64 `json:"running_w"`
	StartingVA  float64 `json:"starting_va" doc:"0: it draws no more while it starts"`
	HoursPerDay float64 `json:"hours_per_day"`
}

func ends(e loads.Ends) endsJSON {
	return endsJSON{RunningW: e.RunningW, StartingVA: StartVA(e.Start), HoursPerDay: e.HoursPerDay}
}

func typicalToJSON(p *backup.Plan) []typicalJSON {
	out := []typicalJSON{}
	for _, l := range p.Site.Loads {
		if t := l.Typical; l.RestsOnClass() {
			out = append(out, typicalJSON{Load: l.Name, Class: t.Class, Keys: t.Keys,
				Now:  ends(loads.Ends{RunningW: l.RunningW, Start: l.Start, HoursPerDay: l.HoursPerDay}),
				Low:  ends(t.Low),
				High: ends(t.High)})
		}
	}
	return out
}

// typical are the same in the list of CSV.
func (w *figureRows) typical(p *backup.Plan) {
	for _, t := range typicalToJSON(p) {
		w.text("typical", t.Load, "class", t.Class, "")
		for _, end := range []struct {
			word string
			endsJSON
		}{{"low", t.Low}, {"typical", t.Now}, {"high", t.High}} {
			w.number("typical", t.Load, end.word+"_running_w", end.RunningW, "W")
			w.number("typical", t.Load, end.word+"_starting_va", end.StartingVA, "VA")
			w.number("typical", t.Load, end.word+"_hours_per_day", end.HoursPerDay, "h")
		}
	}
}
