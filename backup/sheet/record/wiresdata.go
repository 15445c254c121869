package record

import (
	"strconv"

	"outlast/backup"
	"outlast/backup/phrase"
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
		out.Wiring = append(out.Wiring, runJSON{r.ID, r.Label.String(), r.Count, r.Conductor.Name, r.Conductor.MM2,
			r.ConductorChosen, known(r.LengthM, measured),
			r.CarriesA, r.NeedsA, string(r.Device), known(r.DeviceA, r.DeviceA > 0), r.DeviceChosen,
			known(r.Drop, measured), known(r.StartDrop, measured), known(r.TotalDrop, measured)})
	}
	for _, q := range p.Questions {
		out.Questions = append(out.Questions, questionJSON{q.Name, q.Text, q.Source})
	}
	if g := p.Generator; g != nil {
		out.Generator = &genJSON{p.Site.Generator.ID, p.Site.Generator.RatedVA, g.DeratedVA, g.DeratedW, g.RunningVA,
			g.RunningW, g.StartVA, g.Dip, g.MeanW,
			known(g.FuelLPerH, g.FuelLPerH > 0), known(g.TankH, g.TankH > 0),
			p.GeneratorRuns.StartSoC, p.GeneratorRuns.StopSoC}
	}
	return out
}

// wireRows are the wires' figures for a CSV list.
func wireRows(p *backup.Plan, text func(section, item, name, value, unit string),
	number func(section, item, name string, v float64, unit string)) {
	for _, r := range p.Runs {
		text("wiring", r.ID, "label", r.Label.String(), "")
		text("wiring", r.ID, "conductor", r.Conductor.Name, "")
		number("wiring", r.ID, "mm2", r.Conductor.MM2, "mm2")
		text("wiring", r.ID, "conductor_chosen", strconv.FormatBool(r.ConductorChosen), "")
		number("wiring", r.ID, "carries_a", r.CarriesA, "A")
		number("wiring", r.ID, "needs_a", r.NeedsA, "A")
		device := ""
		if r.DeviceA > 0 {
			device = string(r.Device)
		}
		text("wiring", r.ID, "device", device, "")
		number("wiring", r.ID, "device_a", orNaN(r.DeviceA, r.DeviceA > 0), "A")
		number("wiring", r.ID, "length_m", orNaN(r.LengthM, r.LengthM > 0), "m")
		number("wiring", r.ID, "drop", orNaN(100*r.Drop, r.LengthM > 0), "%")
		number("wiring", r.ID, "total_drop", orNaN(100*r.TotalDrop, r.LengthM > 0), "%")
	}
	if g := p.Generator; g != nil {
		id := p.Site.Generator.ID
		number("generator", id, "derated_va", g.DeratedVA, "VA")
		number("generator", id, "derated_w", g.DeratedW, "W")
		number("generator", id, "running_va", g.RunningVA, "VA")
		number("generator", id, "running_w", g.RunningW, "W")
		number("generator", id, "fuel_l_per_h", orNaN(g.FuelLPerH, g.FuelLPerH > 0), "l/h")
		number("generator", id, "tank_h", orNaN(g.TankH, g.TankH > 0), "h")
		number("generator", id, "start_soc", 100*p.GeneratorRuns.StartSoC, "%")
		number("generator", id, "stop_soc", 100*p.GeneratorRuns.StopSoC, "%")
	}
}
