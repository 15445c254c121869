package sheet

import (
	"fmt"

	"outlast/backup"
	"outlast/backup/phrase"
	"outlast/backup/sheet/record"
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
	s.lines = append(s.lines, record.CleanAll(phrase.Strings(p.WireNotes))...)
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

// designed says whether a check compares what the planner chose itself: its margin is small by design.
func designed(p *backup.Plan, id string) bool {
	for _, r := range p.Runs {
		if r.ID == id {
			return r.ConductorChosen && r.DeviceChosen
		}
	}
	return false
}
