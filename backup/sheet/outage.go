package sheet

import (
	"bytes"
	"fmt"
	"io"
	"math"
	"strconv"

	"outlast/backup/calendar"
	"outlast/backup/facts"
	"outlast/backup/measured/meter"
	"outlast/backup/outage"
	"outlast/backup/phrase"
	"outlast/backup/sheet/columns"
	"outlast/backup/sheet/grid"
	"outlast/backup/sheet/record"
	"outlast/backup/sheet/speech"
	"outlast/backup/study"
	"outlast/backup/wording"
)

// WriteOutage writes one outage through time: text, csv or json.
func WriteOutage(w io.Writer, r *study.OutageRun, o Options) error {
	switch o.Format {
	case "", "text":
		return WriteSections(w, SpeakFor(r.Plan), outageHeadline(r), outageSections(r, width(o)), o)
	case "csv":
		return record.OutageCSV(w, r, o.Spreadsheet)
	case "json":
		return record.OutageJSON(w, r)
	}
	return fmt.Errorf("format %q, want one of text, csv, json", o.Format)
}

func width(o Options) int {
	if o.Width == 0 {
		return 80
	}
	return o.Width
}

// WriteSections writes sentences and sections as text.
func WriteSections(w io.Writer, speak Speaking, headline []phrase.Phrase, sections []grid.Section, o Options) error {
	s, err := speak(o)
	if err != nil {
		return err
	}
	return writeSections(w, s, headline, sections, o)
}

func writeSections(w io.Writer, s *speech.Speaker, headline []phrase.Phrase, sections []grid.Section, o Options) error {
	var b bytes.Buffer
	for _, line := range headline {
		columns.Paragraph(&b, s.Prose(line), width(o), "", "  ")
	}
	for _, part := range sections {
		if err := part.Text(&b, width(o), s); err != nil {
			return err
		}
	}
	_, err := w.Write(b.Bytes())
	return err
}

func outageHeadline(r *study.OutageRun) []phrase.Phrase {
	p := r.Plan
	verdict := phrase.Of("no interruption in %d h", r.Options.Hours)
	if hours, dark := r.HoursUntilDark(); dark {
		verdict = phrase.Of("circuits lose power after %s of %d h, for %s in all", wording.Amount(hours, "h"),
			r.Options.Hours, wording.Amount(float64(r.DarkMin)/60, "h"))
	}
	age := phrase.Of("the bank is at the end of its life")
	if r.Options.New {
		age = phrase.Of("the bank is new")
	}
	var lines []phrase.Phrase
	name := phrase.Name(p.Site.Name)
	if text := medicalText(r); !text.Empty() {
		lines = append(lines, phrase.Of("%s: %s", name, text))
		name = phrase.Of("Backup board")
	}
	clock, month, full := phrase.Name(calendar.Clock(r.StartMin)), wording.MonthWord(r.Month),
		grid.Measured(grid.Whole(100*r.SoC[0]), "%")
	begins := phrase.Of("The grid fails at %s in %s; %s and its state of charge is %s.", clock, month, age, full)
	if r.Options.Start == nil {
		begins = phrase.Of("The grid fails at %s in %s, the least favourable start for the bank; %s and its state of charge is %s.",
			clock, month, age, full)
	}
	first := phrase.Of("%s: %s", name, verdict)
	if text := nothingRuns(p.Site, r.Month); !text.Empty() {
		first = text
	}
	lines = append(lines, first, begins)
	if _, dark := r.HoursUntilDark(); dark && p.TooColdToDischarge() {
		lines = append(lines, phrase.Of("The bank is too cold to be discharged: its space gets down to %s, and it may be discharged from %s.",
			wording.Amount(p.Site.ColdestC, "C"), wording.Amount(*p.Bank.Unit.DischargeMinC, "C")))
	}
	if r.Days != nil {
		lines = append(lines, measuredDaysText(r))
	}
	if r.Options.Sky != study.SkyDrawn {
		lines = append(lines, skyText(r))
	}
	low, at := 1.0, 0
	for i, soc := range r.SoC {
		if soc < low {
			low, at = soc, i
		}
	}
	hours, lowest := record.After(r, at)
	lines = append(lines, phrase.Of("The state of charge is lowest after %s h (%s): %s.", phrase.Name(hours),
		phrase.Name(lowest), grid.Measured(grid.Whole(100*low), "%")))
	if r.Draws != nil {
		lines = append(lines, drawsText(r))
	}
	return lines
}

// medicalText names what someone depends on and that loses power, before all else; empty where nothing does.
func medicalText(r *study.OutageRun) phrase.Phrase {
	var texts []phrase.Phrase
	for _, m := range r.Medical {
		all := wording.Amount(float64(m.Minutes)/60, "h")
		text := phrase.Of("%q, which someone depends on, loses power after %s, for %s in all", m.Load,
			wording.Amount(float64(m.FirstMin)/60, "h"), all)
		if m.FirstMin == 0 {
			text = phrase.Of("%q, which someone depends on, loses power at once, for %s in all", m.Load, all)
		}
		switch m.Why {
		case study.LossMain:
			text = text.Then(phrase.Of(" (its circuit is not on the backup board)"))
		case study.LossHeldOff:
			text = text.Then(phrase.Of(" (it is not to be used in an outage)"))
		}
		texts = append(texts, text)
	}
	return phrase.Separated(texts, "; ")
}

// measuredDaysText says which measured days stand in the place of the list.
func measuredDaysText(r *study.OutageRun) phrase.Phrase {
	d := r.Days
	day := func(d meter.Day) phrase.Phrase {
		return phrase.Name(fmt.Sprintf("%d-%02d-%02d", d.Year, d.Month, d.Day))
	}
	days := phrase.Of("from %s to %s", day(d.From), day(d.To))
	if a, b := d.From, d.To; a.Year == b.Year && a.Month == b.Month && a.Day == b.Day {
		days = phrase.Of("of %s", day(d.From))
	}
	return phrase.Of("The loads are what the meter measured %s, by readings of %s: of %s, those that take most.", days,
		grid.Measured(grid.Short(float64(d.StepS)/60), "min"),
		phrase.Count(d.Runs, "%d run of days that begins in the month",
			"%d runs of days that begin in the month"))
}

// skyText says which of the month's days were taken.
func skyText(r *study.OutageRun) phrase.Phrase {
	if r.Options.Sky == study.SkyDull {
		return phrase.Of("The days are the dullest run of %d h that begins in the month.", r.Options.Hours)
	}
	return phrase.Of("The days are the brightest run of %d h that begins in the month.", r.Options.Hours)
}

// drawsText says that one draw was followed, and what others come to.
func drawsText(r *study.OutageRun) phrase.Phrase {
	d := r.Draws
	what := phrase.Of("the days of sun and the cycles of the loads")
	switch {
	case !d.Sun:
		what = phrase.Of("the cycles of the loads")
	case !d.Rhythms:
		what = phrase.Of("the days of sun")
	}
	text := phrase.Of("This is one simulated run of %s (seed %s).", what,
		phrase.Name(strconv.FormatUint(r.Options.Seed, 10)))
	percent := func(v float64) phrase.Measure { return grid.Measured(grid.Whole(100*v), "%") }
	if d.Dark == 0 {
		return grid.Sentences(text,
			phrase.Of("Of %d runs, none has an interruption; the lowest charge is %s in one of ten, %s in the middle.",
				d.Draws, percent(d.LowestSoC.P10), percent(d.LowestSoC.P50)))
	}
	return grid.Sentences(text,
		phrase.Of("Of %d runs, circuits lose power in %d; 10 %% of them last no longer than %s, "+
			"half no longer than %s, 90 %% no longer than %s.",
			d.Draws, d.Dark, wording.Amount(d.UntilDarkH.P10, "h"), wording.Amount(d.UntilDarkH.P50, "h"),
			wording.Amount(d.UntilDarkH.P90, "h")))
}

func outageSections(r *study.OutageRun, width int) []grid.Section {
	out := []grid.Section{{Title: phrase.Of("State of charge, %%, by hours since the grid failed"),
		Drawing: columns.Chart(r.Result.SoC, width)}, outageEvents(r), outageCircuits(r), outageEnergy(r)}
	if len(r.Cautions) > 0 {
		out = append(out, grid.Section{Title: phrase.Of("Notes"), Lines: r.Cautions, List: true})
	}
	return append(out, SafetySection(record.MedicalCautions(r)...))
}

// maxEvents is how many events a sheet lists; the rest is in CSV and JSON.
const maxEvents = 40

// eventWord says what happens.
func eventWord(kind outage.EventKind) phrase.Phrase {
	switch kind {
	case outage.EventDark:
		return phrase.Of("loses power")
	case outage.EventReturn:
		return phrase.Of("supplied again")
	case outage.EventDropped:
		return phrase.Of("switched off, the charge is low")
	case outage.EventRestored:
		return phrase.Of("switched on again")
	case outage.EventGeneratorStarts:
		return phrase.Of("the generator starts")
	}
	return phrase.Of("the generator stops")
}

func outageEvents(r *study.OutageRun) grid.Section {
	s := grid.Section{Title: phrase.Of("What happens when"),
		Table: grid.Table{Head: []phrase.Phrase{phrase.Of("After h"), phrase.Of("At"), phrase.Of("What")},
			Right: []bool{true, true, false}}}
	for i, e := range r.Events {
		if i == maxEvents {
			s.Lines = append(s.Lines, phrase.Of("… and %d more, in --format csv and json.", len(r.Events)-maxEvents))
			break
		}
		hours, clock := record.After(r, e.Min)
		what := eventWord(e.Kind)
		switch {
		case e.Load != "":
			what = phrase.Of("%s: %s", phrase.Name(e.Load), what)
		case e.CircuitID != "":
			what = phrase.Of("%s: %s", outageName(r.Plan, e.CircuitID), what)
		}
		s.Table.Rows = append(s.Table.Rows, []phrase.Phrase{phrase.Name(hours), phrase.Name(clock), what})
	}
	if len(r.Events) == 0 {
		s.Lines = append(s.Lines, phrase.Of("No interruption, nothing is switched off."))
	}
	return s
}

// outageName is the label of a circuit, or the whole home where it is told as one.
func outageName(p *facts.Facts, id string) phrase.Phrase {
	if id == study.WholeHome {
		return phrase.Of("The whole home")
	}
	return phrase.Name(label(p, id))
}

func label(p *facts.Facts, id string) string {
	for _, c := range p.Circuits {
		if c.ID == id {
			return c.Label
		}
	}
	return id
}

func outageCircuits(r *study.OutageRun) grid.Section {
	s := grid.Section{Title: phrase.Of("Circuits"), Table: grid.Table{
		Head: []phrase.Phrase{phrase.Of("Circuit"), phrase.Of("Demand Wh"), phrase.Of("Supplied Wh"),
			phrase.Of("Not supplied Wh"), phrase.Of("Switched off Wh")}, Right: []bool{false, true, true, true, true}}}
	for _, c := range r.Circuits {
		s.Table.Rows = append(s.Table.Rows, askedRow(outageName(r.Plan, c.ID), c.ServedWh(), c.UnservedWh,
			c.DroppedWh))
	}
	if len(r.Circuits) == 0 {
		s.Lines = []phrase.Phrase{phrase.Of("Nothing runs on the backup board.")}
		return s
	}
	e := r.Energy
	s.Table.Rows = append(s.Table.Rows, askedRow(phrase.Of("All circuits"), e.ServedWh, e.UnservedWh(), e.DroppedWh))
	return s
}

// askedRow is what was asked, and what became of it. The first figure is the sum of the others as they are printed, so
// that a row adds up to the last digit; down the column rounding may leave a watt-hour or two.
func askedRow(name phrase.Phrase, servedWh, unservedWh, droppedWh float64) []phrase.Phrase {
	servedWh, unservedWh, droppedWh = math.Round(servedWh), math.Round(unservedWh), math.Round(droppedWh)
	return []phrase.Phrase{name, grid.Num(grid.Whole(servedWh + unservedWh + droppedWh)),
		grid.Num(grid.Whole(servedWh)),
		grid.Num(grid.Whole(unservedWh)), grid.Num(grid.Whole(droppedWh))}
}

// outageEnergy is where the energy came from and went. A home without an array or a generator has no row for it.
func outageEnergy(r *study.OutageRun) grid.Section {
	e := r.Energy
	rows := [][]phrase.Phrase{
		{phrase.Of("Supplied to loads"), grid.Num(grid.Whole(e.ServedWh)),
			phrase.Of("of %s required; %s not supplied, %s switched off",
				phrase.Number(grid.Whole(math.Round(e.ServedWh)+math.Round(e.UnservedWh())+math.Round(e.DroppedWh))),
				phrase.Number(grid.Whole(e.UnservedWh())), phrase.Number(grid.Whole(e.DroppedWh)))}}
	if len(r.Plan.Site.Arrays) > 0 {
		rows = append(rows, []phrase.Phrase{phrase.Of("From the array"), grid.Num(grid.Whole(e.PVUsedWh)),
			phrase.Of("%s more could not be used", phrase.Number(grid.Whole(e.PVCurtailedWh)))})
	}
	if r.Plan.Site.Generator != nil {
		rows = append(rows, []phrase.Phrase{phrase.Of("From the generator"), grid.Num(grid.Whole(e.GeneratorWh)),
			phrase.Of("%s in %s", grid.Measured(grid.Tenth(r.FuelL), "l"),
				grid.Measured(grid.Tenth(float64(r.GeneratorMin)/60), "h"))})
	}
	rows = append(rows,
		[]phrase.Phrase{phrase.Of("From the bank"), grid.Num(grid.Whole(e.BankOutWh)), {}},
		[]phrase.Phrase{phrase.Of("Into the bank"), grid.Num(grid.Whole(e.BankInWh)), {}},
		[]phrase.Phrase{phrase.Of("Lost in inverter and charger"), grid.Num(grid.Whole(e.LossWh)),
			phrase.Of("standby consumption included")})
	return grid.Section{Title: phrase.Of("Energy"),
		Table: grid.Table{Head: []phrase.Phrase{phrase.Of("Energy"), grid.Unit("Wh"), {}},
			Right: []bool{false, true, false}, Rows: rows}}
}
