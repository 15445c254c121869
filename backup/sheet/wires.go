package sheet

import (
	"fmt"
	"strconv"

	"outlast/backup"
	"outlast/backup/phrase"
	"outlast/backup/sheet/speech"
	"outlast/backup/wording"
)

// wireSection lists the conductors with their devices.
func wireSection(p *backup.Plan) section {
	s := section{title: "Conductors and protective devices", list: true, table: table{
		head:  []string{"Run", "Conductor", "", "Capacity A", "Required A", "Device A", "Drop %"},
		right: []bool{false, true, false, true, true, true, true},
	}}
	for _, r := range p.Runs {
		label := speech.Clean(r.Label.String())
		if r.Count > 1 {
			label += fmt.Sprintf(", each of %d", r.Count)
		}
		chosen := ""
		if r.ConductorChosen {
			chosen = "chosen"
		}
		drop := "-"
		if r.LengthM > 0 {
			drop = tenth(100 * r.Drop)
		}
		s.table.rows = append(s.table.rows, []string{label, r.Conductor.Name, chosen, tenth(r.CarriesA), tenth(r.NeedsA), orNone(r.DeviceA), drop})
	}
	w := p.Site.Wiring
	how := fmt.Sprintf("Tables: %s, copper, %g C around the cables", w.Tables, w.AmbientC)
	if w.Grouped > 1 {
		how += fmt.Sprintf(", %d circuits grouped", w.Grouped)
	}
	s.lines = append(s.lines, how+". Capacity: current-carrying capacity as installed. What is chosen is the smallest that passes; the required current includes the factors of [wiring].")
	s.lines = append(s.lines, cleanAll(phrase.Strings(p.WireNotes))...)
	s.lines = append(s.lines, "Planning figures from published tables: the local code and a licensed person decide on conductors and devices.")
	return s
}

// generatorSection is what the generator has left and what it does.
func generatorSection(p *backup.Plan) section {
	g, gen := p.Generator, p.Site.Generator
	rows := [][]string{
		{"Continuous rating", whole(gen.RatedVA), "VA", whole(gen.RatedVA*gen.PowerFactor) + " W"},
		{fmt.Sprintf("At %g C and %g m", p.Site.HottestC, p.Site.AltitudeM), whole(g.DeratedVA), "VA", whole(g.DeratedW) + " W"},
		{"Loads and chargers at once", whole(g.RunningVA), "VA", fmt.Sprintf("%s W, %s W of it loads", whole(g.RunningW), whole(g.LoadsW))},
	}
	if g.StartVA > 0 {
		rows = append(rows, []string{"Largest start alone", whole(g.StartVA), "VA", fmt.Sprintf("voltage dip %s %%", tenth(100*g.Dip))})
	}
	runs := p.GeneratorRuns
	rows = append(rows, []string{"Starts at a charge of", whole(100 * runs.StartSoC), "%", fmt.Sprintf("stops at %s %%", whole(100*runs.StopSoC))})
	if g.FuelLPerH > 0 {
		from := "by its data sheet"
		if g.FuelByChart {
			from = "by a chart of diesel sets"
		}
		rows = append(rows, []string{fmt.Sprintf("Fuel at %s on average", wording.AmountText(g.MeanW, "W")), tenth(g.FuelLPerH), "l/h", from})
	}
	if g.TankH > 0 {
		rows = append(rows, []string{"A tank lasts", tenth(g.TankH), "h", short(gen.FuelL) + " l"})
	}
	name := "Generator: " + equipment(gen.ID, gen.Label)
	return section{title: name, table: table{[]string{"Generator", "Value", "", ""}, []bool{false, true, false, false}, rows}}
}

// questionSection is what a licensed electrician has to answer.
func questionSection(p *backup.Plan) section {
	s := section{title: "Questions for the electrician", list: true}
	for _, q := range p.Questions {
		text := q.Topic.String() + ": " + q.Text.String()
		if !q.Source.Empty() {
			text += " [" + q.Source.String() + "]"
		}
		s.lines = append(s.lines, text)
	}
	return s
}

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
		out.Wiring = append(out.Wiring, runJSON{r.ID, r.Label.String(), r.Count, r.Conductor.Name, r.Conductor.MM2, r.ConductorChosen, known(r.LengthM, measured),
			r.CarriesA, r.NeedsA, string(r.Device), known(r.DeviceA, r.DeviceA > 0), r.DeviceChosen,
			known(r.Drop, measured), known(r.StartDrop, measured), known(r.TotalDrop, measured)})
	}
	for _, q := range p.Questions {
		out.Questions = append(out.Questions, questionJSON{q.Topic, q.Text, q.Source})
	}
	if g := p.Generator; g != nil {
		out.Generator = &genJSON{p.Site.Generator.ID, p.Site.Generator.RatedVA, g.DeratedVA, g.DeratedW, g.RunningVA, g.RunningW, g.StartVA, g.Dip, g.MeanW,
			known(g.FuelLPerH, g.FuelLPerH > 0), known(g.TankH, g.TankH > 0),
			p.GeneratorRuns.StartSoC, p.GeneratorRuns.StopSoC}
	}
	return out
}

// wireRows are the wires' figures for a CSV list.
func wireRows(p *backup.Plan, text func(section, item, name, value, unit string), number func(section, item, name string, v float64, unit string)) {
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

// designed says whether a check compares what the planner chose itself: its margin is small by design.
func designed(p *backup.Plan, id string) bool {
	for _, r := range p.Runs {
		if r.ID == id {
			return r.ConductorChosen && r.DeviceChosen
		}
	}
	return false
}

// RunLabel is what a check of a conductor is about, in words; "" where a check is about something else.
func RunLabel(p *backup.Plan, id string) string {
	for _, r := range p.Runs {
		if r.ID == id {
			return r.Label.String()
		}
	}
	return ""
}
