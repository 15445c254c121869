package sheet

import (
	"outlast/backup"
	"outlast/backup/phrase"
	"outlast/backup/wording"
)

// wireSection lists the conductors with their devices.
func wireSection(p *backup.Plan) section {
	s := section{title: phrase.Of("Conductors and protective devices"), list: true, table: table{
		head: []phrase.Phrase{phrase.Of("Run"), phrase.Of("Conductor"), {}, phrase.Of("Capacity A"),
			phrase.Of("Required A"), phrase.Of("Device A"), phrase.Of("Drop %%")},
		right: []bool{false, true, false, true, true, true, true},
	}}
	for _, r := range p.Runs {
		label := r.Label
		if r.Count > 1 {
			label = phrase.Of("%s, each of %d", label, r.Count)
		}
		var chosen phrase.Phrase
		if r.ConductorChosen {
			chosen = phrase.Of("chosen")
		}
		drop := "-"
		if r.LengthM > 0 {
			drop = tenth(100 * r.Drop)
		}
		s.table.rows = append(s.table.rows, []phrase.Phrase{label, conductorName(r.Conductor.Name), chosen,
			num(tenth(r.CarriesA)), num(tenth(r.NeedsA)), num(orNone(r.DeviceA)), num(drop)})
	}
	w := p.Site.Wiring
	how := phrase.Of("Tables: %s, copper, %s around the cables", phrase.Name(string(w.Tables)),
		wording.Amount(w.AmbientC, "C"))
	if w.Grouped > 1 {
		how = how.Then(phrase.Of(", %d circuits grouped", w.Grouped))
	}
	s.lines = append(s.lines, sentences(how.Then(phrase.Symbols(".")),
		phrase.Of("Capacity: current-carrying capacity as installed. What is chosen is the smallest that passes; the required current includes the factors of [wiring].")))
	s.lines = append(s.lines, p.WireNotes...)
	s.lines = append(s.lines,
		phrase.Of("Planning figures from published tables: the local code and a licensed person decide on conductors and devices."))
	return s
}

// conductorName is a size as its table names it: "2.5 mm2", "12 AWG".
func conductorName(size string) phrase.Phrase {
	return phrase.Symbols("%s", phrase.Measure(size))
}

// generatorSection is what the generator has left and what it does.
func generatorSection(p *backup.Plan) section {
	g, gen := p.Generator, p.Site.Generator
	rows := [][]phrase.Phrase{
		{phrase.Of("Continuous rating"), num(whole(gen.RatedVA)), unit("VA"),
			measure(whole(gen.RatedVA*gen.PowerFactor), "W")},
		{phrase.Of("At %s and %s", wording.Amount(p.Site.HottestC, "C"), wording.Amount(p.Site.AltitudeM, "m")),
			num(whole(g.DeratedVA)), unit("VA"), measure(whole(g.DeratedW), "W")},
		{phrase.Of("Loads and chargers at once"), num(whole(g.RunningVA)), unit("VA"),
			phrase.Of("%s, %s of it loads", measured(whole(g.RunningW), "W"), measured(whole(g.LoadsW), "W"))},
	}
	if g.StartVA > 0 {
		rows = append(rows, []phrase.Phrase{phrase.Of("Largest start alone"), num(whole(g.StartVA)), unit("VA"),
			phrase.Of("voltage dip %s", measured(tenth(100*g.Dip), "%"))})
	}
	runs := p.GeneratorRuns
	rows = append(rows, []phrase.Phrase{phrase.Of("Starts at a charge of"), num(whole(100 * runs.StartSoC)), unit("%"),
		phrase.Of("stops at %s", measured(whole(100*runs.StopSoC), "%"))})
	if g.FuelLPerH > 0 {
		from := phrase.Of("by its data sheet")
		if g.FuelByChart {
			from = phrase.Of("by a chart of diesel sets")
		}
		rows = append(rows, []phrase.Phrase{phrase.Of("Fuel at %s on average", wording.Amount(g.MeanW, "W")),
			num(tenth(g.FuelLPerH)), unit("l/h"), from})
	}
	if g.TankH > 0 {
		rows = append(rows, []phrase.Phrase{phrase.Of("A tank lasts"), num(tenth(g.TankH)), unit("h"),
			measure(short(gen.FuelL), "l")})
	}
	return section{title: phrase.Of("Generator: %s", equipment(gen.ID, gen.Label)),
		table: values(phrase.Of("Generator"), rows)}
}

// questionSection is what a licensed electrician has to answer.
func questionSection(p *backup.Plan) section {
	s := section{title: phrase.Of("Questions for the electrician"), list: true}
	for _, q := range p.Questions {
		text := phrase.Of("%s: %s", q.Name, q.Text)
		if !q.Source.Empty() {
			text = text.Then(phrase.Symbols(" [%s]", q.Source))
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
