package record

import (
	"strconv"

	"outlast/backup"
	"outlast/backup/phrase"
	"outlast/backup/working"
)

// runJSON is one conductor with its device.
type runJSON struct {
	ID              string   `json:"id" doc:"of its check"`
	Label           string   `json:"label"`
	Count           int      `json:"count" doc:"equal runs"`
	Conductor       string   `json:"conductor" doc:"name of its size"`
	MM2             float64  `json:"mm2"`
	ConductorChosen bool     `json:"conductor_chosen"`
	LengthM         *float64 `json:"length_m"`
	CarriesA        float64  `json:"carries_a"`
	NeedsA          float64  `json:"needs_a"`
	Device          string   `json:"device"`
	DeviceA         *float64 `json:"device_a"`
	DeviceChosen    bool     `json:"device_chosen"`
	Drop            *float64 `json:"drop" doc:"fractions of the voltage"`
	StartDrop       *float64 `json:"start_drop" doc:"fraction of the voltage"`
	TotalDrop       *float64 `json:"total_drop" doc:"fraction of the voltage"`
}

type genJSON struct {
	ID        string   `json:"id"`
	RatedVA   float64  `json:"rated_va"`
	DeratedVA float64  `json:"derated_va"`
	DeratedW  float64  `json:"derated_w"`
	RunningVA float64  `json:"running_va"`
	RunningW  float64  `json:"running_w"`
	StartVA   float64  `json:"start_va"`
	Dip       float64  `json:"dip" doc:"fraction of the voltage"`
	MeanW     float64  `json:"mean_w"`
	FuelLPerH *float64 `json:"fuel_l_per_h"`
	TankH     *float64 `json:"tank_h"`
	StartSoC  float64  `json:"start_soc" doc:"as the plan runs it"`
	StopSoC   float64  `json:"stop_soc"`
}

type questionJSON struct {
	Topic  phrase.Phrase `json:"topic"`
	Text   phrase.Phrase `json:"text"`
	Source phrase.Phrase `json:"source"`
}

// wiresJSON is the wires' part of a plan.
type wiresJSON struct {
	Wiring    []runJSON      `json:"wiring"`
	Notes     []string       `json:"wiring_notes"`
	Questions []questionJSON `json:"questions"`
	Generator *genJSON       `json:"generator" doc:"null: the site has none"`
}

func toWiresJSON(p *backup.Plan) wiresJSON {
	out := wiresJSON{Wiring: []runJSON{}, Notes: phrase.Strings(p.WireNotes), Questions: []questionJSON{}}
	for _, r := range p.Runs {
		measured := r.LengthM > 0
		out.Wiring = append(out.Wiring, runJSON{ID: r.ID, Label: r.Label.String(), Count: r.Count,
			Conductor: r.Conductor.Name, MM2: r.Conductor.MM2,
			ConductorChosen: r.ConductorChosen, LengthM: known(r.LengthM, measured),
			CarriesA: r.CarriesA, NeedsA: r.NeedsA, Device: string(r.Device), DeviceA: known(r.DeviceA, r.DeviceA > 0),
			DeviceChosen: r.DeviceChosen,
			Drop:         known(r.Drop, measured), StartDrop: known(r.StartDrop, measured),
			TotalDrop: known(r.TotalDrop, measured)})
	}
	for _, q := range p.Questions {
		out.Questions = append(out.Questions, questionJSON{Topic: q.Name, Text: q.Text,
			Source: working.Cite(q.Sources)})
	}
	if g := p.Generator; g != nil {
		out.Generator = &genJSON{ID: p.Site.Generator.ID, RatedVA: p.Site.Generator.RatedVA, DeratedVA: g.DeratedVA,
			DeratedW: g.DeratedW, RunningVA: g.RunningVA,
			RunningW: g.RunningW, StartVA: g.StartVA, Dip: g.Dip, MeanW: g.MeanW,
			FuelLPerH: known(g.FuelLPerH, g.FuelLPerH > 0), TankH: known(g.TankH, g.TankH > 0),
			StartSoC: p.GeneratorRuns.StartSoC, StopSoC: p.GeneratorRuns.StopSoC}
	}
	return out
}

// wires are the wires' figures for a CSV list.
func (w *figureRows) wires(p *backup.Plan) {
	for _, r := range p.Runs {
		w.text("wiring", r.ID, "label", r.Label.String(), "")
		w.text("wiring", r.ID, "conductor", r.Conductor.Name, "")
		w.number("wiring", r.ID, "mm2", r.Conductor.MM2, "mm2")
		w.text("wiring", r.ID, "conductor_chosen", strconv.FormatBool(r.ConductorChosen), "")
		w.number("wiring", r.ID, "carries_a", r.CarriesA, "A")
		w.number("wiring", r.ID, "needs_a", r.NeedsA, "A")
		device := ""
		if r.DeviceA > 0 {
			device = string(r.Device)
		}
		w.text("wiring", r.ID, "device", device, "")
		w.number("wiring", r.ID, "device_a", orNaN(r.DeviceA, r.DeviceA > 0), "A")
		w.number("wiring", r.ID, "length_m", orNaN(r.LengthM, r.LengthM > 0), "m")
		w.number("wiring", r.ID, "drop", orNaN(100*r.Drop, r.LengthM > 0), "%")
		w.number("wiring", r.ID, "total_drop", orNaN(100*r.TotalDrop, r.LengthM > 0), "%")
	}
	if g := p.Generator; g != nil {
		id := p.Site.Generator.ID
		w.number("generator", id, "derated_va", g.DeratedVA, "VA")
		w.number("generator", id, "derated_w", g.DeratedW, "W")
		w.number("generator", id, "running_va", g.RunningVA, "VA")
		w.number("generator", id, "running_w", g.RunningW, "W")
		w.number("generator", id, "fuel_l_per_h", orNaN(g.FuelLPerH, g.FuelLPerH > 0), "l/h")
		w.number("generator", id, "tank_h", orNaN(g.TankH, g.TankH > 0), "h")
		w.number("generator", id, "start_soc", 100*p.GeneratorRuns.StartSoC, "%")
		w.number("generator", id, "stop_soc", 100*p.GeneratorRuns.StopSoC, "%")
	}
}
