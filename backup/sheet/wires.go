package sheet

import (
	"outlast/backup"
	"outlast/backup/phrase"
	"outlast/backup/sheet/grid"
	"outlast/backup/site"
	"outlast/backup/wording"
	"outlast/backup/working"
)

// wireSection lists the conductors with their devices.
func wireSection(p *backup.Plan) grid.Section {
	s := grid.Section{Title: phrase.Of("Conductors and protective devices"), List: true, Table: grid.Table{
		Head: []phrase.Phrase{phrase.Of("Run"), phrase.Of("Conductor"), {}, phrase.Of("Capacity A"),
			phrase.Of("Required A"), phrase.Of("Device A"), phrase.Of("Drop %%")},
		Right: []bool{false, true, false, true, true, true, true},
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
			drop = grid.Tenth(100 * r.Drop)
		}
		s.Table.Rows = append(s.Table.Rows, []phrase.Phrase{label, conductorName(r.Conductor.Name), chosen,
			grid.Num(grid.Tenth(r.CarriesA)), grid.Num(grid.Tenth(r.NeedsA)), grid.Num(grid.OrNone(r.DeviceA)),
			grid.Num(drop)})
	}
	w := p.Site.Wiring
	how := phrase.Of("Tables: %s, copper, %s around the cables", phrase.Name(string(w.Tables)),
		wording.Amount(w.AmbientC, "C"))
	if w.Grouped > 1 {
		how = how.Then(phrase.Of(", %d circuits grouped", w.Grouped))
	}
	capacity := phrase.Of("Capacity: current-carrying capacity as installed. What is chosen is the smallest that passes; " +
		"the required current includes the factors of [wiring].")
	if p.NoConductorDoes() {
		capacity = phrase.Of("Capacity: current-carrying capacity as installed. What is chosen is the smallest that passes, " +
			"or the largest of the tables where none does; the required current includes the factors of [wiring].")
	}
	s.Lines = append(s.Lines, grid.Sentences(how.Then(phrase.Symbols(".")), capacity))
	s.Lines = append(s.Lines, p.WireNotes...)
	s.Lines = append(s.Lines,
		phrase.Of("Planning figures from published tables: the local code and a licensed person decide on conductors and devices."))
	return s
}

// conductorName is a size as its table names it: "2.5 mm2", "12 AWG".
func conductorName(size string) phrase.Phrase {
	return phrase.Symbols("%s", phrase.Measure(size))
}

// generatorSection is what the generator has left and what it does.
func generatorSection(p *backup.Plan) grid.Section {
	g, gen := p.Generator, p.Site.Generator
	watts := g.Counted(grid.Measure(grid.Whole(g.RunningW), "W"))
	label, remark := phrase.Of("Loads and chargers at once"), phrase.Of("%s, %s of it loads", watts,
		grid.Measured(grid.Whole(g.LoadsW), "W"))
	if g.ChargersUnknown() {
		label, remark = phrase.Of("Loads at once, chargers unknown"), watts
	}
	rows := [][]phrase.Phrase{
		{phrase.Of("Continuous rating"), grid.Num(grid.Whole(gen.RatedVA)), grid.Unit("VA"),
			grid.Measure(grid.Whole(gen.RatedVA*gen.PowerFactor), "W")},
		{phrase.Of("At %s and %s", wording.Amount(p.Site.HottestC, "C"), wording.Amount(p.Site.AltitudeM, "m")),
			grid.Num(grid.Whole(g.DeratedVA)), grid.Unit("VA"), grid.Measure(grid.Whole(g.DeratedW), "W")},
		{label, grid.Num(grid.Whole(g.RunningVA)), grid.Unit("VA"), remark},
	}
	if g.StartVA > 0 {
		rows = append(rows, []phrase.Phrase{phrase.Of("Largest start alone"), grid.Num(grid.Whole(g.StartVA)),
			grid.Unit("VA"),
			phrase.Of("voltage dip %s", grid.Measured(grid.Tenth(100*g.Dip), "%"))})
	}
	runs := p.GeneratorRuns
	rows = append(rows, []phrase.Phrase{phrase.Of("Starts at a charge of"), grid.Num(grid.Whole(100 * runs.StartSoC)),
		grid.Unit("%"),
		phrase.Of("stops at %s", grid.Measured(grid.Whole(100*runs.StopSoC), "%"))})
	if g.FuelLPerH > 0 {
		from := phrase.Of("by its data sheet")
		switch {
		case g.FuelByChart():
			from = phrase.Of("by a chart of diesel sets")
		case g.FuelByKind():
			from = phrase.Of("typical of small sets with this fuel")
		}
		rows = append(rows, []phrase.Phrase{phrase.Of("Fuel at %s on average", wording.Amount(g.MeanW, "W")),
			grid.Num(grid.Tenth(g.FuelLPerH)), grid.Unit("l/h"), from})
	}
	if g.TankH > 0 {
		rows = append(rows, []phrase.Phrase{phrase.Of("A tank lasts"), grid.Num(grid.Tenth(g.TankH)), grid.Unit("h"),
			grid.Measure(grid.Short(gen.FuelL), "l")})
	}
	title := phrase.Of("Generator")
	if gen.ID != site.OwnID || gen.Label != "" {
		title = phrase.Of("Generator: %s", equipment(gen.ID, gen.Label))
	}
	return grid.Section{Title: title,
		Table: grid.Values(phrase.Of("Generator"), rows)}
}

// questionSection is what a licensed electrician has to answer.
func questionSection(p *backup.Plan) grid.Section {
	s := grid.Section{Title: phrase.Of("Questions for the electrician"), List: true}
	for _, q := range p.Questions {
		text := phrase.Of("%s: %s", q.Name, q.Text)
		if source := working.Cite(q.Sources); !source.Empty() {
			text = text.Then(phrase.Symbols(" [%s]", source))
		}
		s.Lines = append(s.Lines, text)
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
