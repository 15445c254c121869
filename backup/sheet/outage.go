package sheet

import (
	"bytes"
	"fmt"
	"io"
	"strings"

	"outlast/backup/calendar"
	"outlast/backup/facts"
	"outlast/backup/outage"
	"outlast/backup/phrase"
	"outlast/backup/sheet/record"
	"outlast/backup/sheet/speech"
	"outlast/backup/study"
	"outlast/backup/wording"
)

// WriteOutage writes one outage through time: text, csv or json.
func WriteOutage(w io.Writer, r *study.OutageRun, o Options) error {
	switch o.Format {
	case "", "text":
		return writeSections(w, outageHeadline(r), outageSections(r, width(o)), o)
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

// writeSections writes sentences and sections as text.
func writeSections(w io.Writer, headline []string, sections []section, o Options) error {
	var b bytes.Buffer
	for _, line := range headline {
		paragraph(&b, line, width(o), "", "  ")
	}
	for _, s := range sections {
		if err := textSection(&b, s, width(o)); err != nil {
			return err
		}
	}
	_, err := w.Write(b.Bytes())
	return err
}

func outageHeadline(r *study.OutageRun) []string {
	p := r.Plan
	verdict := fmt.Sprintf("no interruption in %d h", r.Options.Hours)
	if hours, dark := r.HoursUntilDark(); dark {
		verdict = fmt.Sprintf("circuits lose power after %s of %d h, for %s in all", wording.AmountText(hours, "h"), r.Options.Hours, wording.AmountText(float64(r.DarkMin)/60, "h"))
	}
	age := "at the end of its life"
	if r.Options.New {
		age = "new"
	}
	from := ""
	if r.Options.Start == nil {
		from = ", the least favourable start for the bank"
	}
	var lines []string
	name := speech.Clean(p.Site.Name)
	if text := medicalText(r); text != "" {
		lines = append(lines, name+": "+text)
		name = "Backup board"
	}
	lines = append(lines,
		fmt.Sprintf("%s: %s", name, verdict),
		fmt.Sprintf("The grid fails at %s in %s%s; the bank is %s and its state of charge is %.0f %%.", calendar.Clock(r.StartMin), wording.MonthName(r.Month), from, age, 100*r.SoC[0]))
	if r.Options.Sky != study.SkyDrawn {
		lines = append(lines, skyText(r))
	}
	low, at := 1.0, 0
	for i, soc := range r.SoC {
		if soc < low {
			low, at = soc, i
		}
	}
	hours, clock := record.After(r, at)
	lines = append(lines, fmt.Sprintf("The state of charge is lowest after %s h (%s): %.0f %%.", hours, clock, 100*low))
	if r.Draws != nil {
		lines = append(lines, drawsText(r))
	}
	return lines
}

// medicalText names what someone depends on and that loses power, before all else; "" where nothing does.
func medicalText(r *study.OutageRun) string {
	if len(r.Medical) == 0 {
		return ""
	}
	var texts []string
	for _, m := range r.Medical {
		when := "after " + wording.AmountText(float64(m.FirstMin)/60, "h")
		if m.FirstMin == 0 {
			when = "at once"
		}
		text := fmt.Sprintf("%q, which someone depends on, loses power %s, for %s in all", speech.Clean(m.Load), when, wording.AmountText(float64(m.Minutes)/60, "h"))
		switch m.Why {
		case study.LossMain:
			text += " (its circuit is not on the backup board)"
		case study.LossHeldOff:
			text += " (it is held off)"
		}
		texts = append(texts, text)
	}
	return strings.Join(texts, "; ")
}

// skyText says which of the month's days were taken.
func skyText(r *study.OutageRun) string {
	kind := "brightest"
	if r.Options.Sky == study.SkyDull {
		kind = "dullest"
	}
	return fmt.Sprintf("The days are the %s run of %d h that begins in the month.", kind, r.Options.Hours)
}

// drawsText says that one draw was followed, and what others come to.
func drawsText(r *study.OutageRun) string {
	d := r.Draws
	what := "the days of sun and the cycles of the loads"
	switch {
	case !d.Sun:
		what = "the cycles of the loads"
	case !d.Rhythms:
		what = "the days of sun"
	}
	text := fmt.Sprintf("This is one simulated run of %s (seed %d). Of %d runs", what, r.Options.Seed, d.Draws)
	if d.Dark == 0 {
		return text + fmt.Sprintf(", none has an interruption; the lowest charge is %.0f %% in one of ten, %.0f %% in the middle.", 100*d.LowestSoC.P10, 100*d.LowestSoC.P50)
	}
	return text + fmt.Sprintf(", circuits lose power in %d; 10 %% of them last no longer than %s, half no longer than %s, 90 %% no longer than %s.",
		d.Dark, wording.AmountText(d.UntilDarkH.P10, "h"), wording.AmountText(d.UntilDarkH.P50, "h"), wording.AmountText(d.UntilDarkH.P90, "h"))
}

func outageSections(r *study.OutageRun, width int) []section {
	out := []section{{title: "State of charge, %, by hours since the grid failed", lines: chart(r.Result.SoC, width), plain: true}, outageEvents(r), outageCircuits(r), outageEnergy(r)}
	if len(r.Cautions) > 0 {
		out = append(out, section{title: "Notes", lines: record.CleanAll(r.Cautions), list: true})
	}
	return append(out, section{title: "Cautions", lines: append(record.MedicalCautions(r), phrase.Strings(facts.SafetyTexts())...), list: true})
}

// maxEvents is how many events a sheet lists; the rest is in CSV and JSON.
const maxEvents = 40

var eventWords = map[outage.EventKind]string{
	outage.EventDark: "loses power", outage.EventReturn: "supplied again", outage.EventDropped: "switched off, the charge is low",
	outage.EventRestored: "switched on again", outage.EventGeneratorStarts: "the generator starts", outage.EventGeneratorStops: "the generator stops",
}

func outageEvents(r *study.OutageRun) section {
	s := section{title: "What happens when", table: table{[]string{"After h", "At", "What"}, []bool{true, true, false}, nil}}
	for i, e := range r.Events {
		if i == maxEvents {
			s.lines = append(s.lines, fmt.Sprintf("… and %d more, in --format csv and json.", len(r.Events)-maxEvents))
			break
		}
		hours, clock := record.After(r, e.Min)
		what := eventWords[e.Kind]
		switch {
		case e.Load != "":
			what = speech.Clean(e.Load) + ": " + what
		case e.CircuitID != "":
			what = speech.Clean(label(r.Plan, e.CircuitID)) + ": " + what
		}
		s.table.rows = append(s.table.rows, []string{hours, clock, what})
	}
	if len(r.Events) == 0 {
		s.lines = append(s.lines, "No interruption, nothing is switched off.")
	}
	return s
}

func label(p *facts.Facts, id string) string {
	for _, c := range p.Circuits {
		if c.ID == id {
			return c.Label
		}
	}
	return id
}

func outageCircuits(r *study.OutageRun) section {
	s := section{title: "Circuits", table: table{[]string{"Circuit", "Demand Wh", "Not supplied Wh", "Shed Wh"}, []bool{false, true, true, true}, nil}}
	for _, c := range r.Circuits {
		s.table.rows = append(s.table.rows, []string{speech.Clean(label(r.Plan, c.ID)), whole(c.DemandWh), whole(c.UnservedWh), whole(c.DroppedWh)})
	}
	if len(r.Circuits) == 0 {
		s.lines = []string{"Nothing runs on the backup board."}
	}
	return s
}

func outageEnergy(r *study.OutageRun) section {
	e := r.Energy
	rows := [][]string{
		{"Supplied to loads", whole(e.ServedWh), "of " + whole(e.DemandWh) + " required"},
		{"From the array", whole(e.PVUsedWh), whole(e.PVCurtailedWh) + " more could not be used"},
		{"From the generator", whole(e.GeneratorWh), fmt.Sprintf("%.1f l in %.1f h", r.FuelL, float64(r.GeneratorMin)/60)},
		{"From the bank", whole(e.BankOutWh), ""},
		{"Into the bank", whole(e.BankInWh), ""},
		{"Lost in inverter and charger", whole(e.LossWh), "standby consumption included"},
	}
	return section{title: "Energy", table: table{[]string{"Energy", "Wh", ""}, []bool{false, true, false}, rows}}
}

// chart draws shares from 0 to 1 over minutes with plain characters: a column shows the least of its minutes.
func chart(soc []float64, width int) []string {
	const rows, left = 10, 5
	columns := min(width-left-1, len(soc))
	if columns < 1 {
		return nil
	}
	least := make([]float64, columns)
	for c := range least {
		from, to := c*len(soc)/columns, (c+1)*len(soc)/columns
		least[c] = 1
		for _, v := range soc[from:max(to, from+1)] {
			least[c] = min(least[c], v)
		}
	}
	var lines []string
	for row := rows; row >= 1; row-- {
		var b strings.Builder
		fmt.Fprintf(&b, "%4d |", row*100/rows)
		for _, v := range least {
			if v*rows >= float64(row)-0.5 {
				b.WriteByte('#')
			} else {
				b.WriteByte(' ')
			}
		}
		lines = append(lines, strings.TrimRight(b.String(), " "))
	}
	lines = append(lines, "   0 +"+strings.Repeat("-", columns))
	hours := float64(len(soc)-1) / 60
	axis := []byte(strings.Repeat(" ", columns+6))
	for i := 0; i <= 4; i++ {
		mark := fmt.Sprintf("%.4g", hours*float64(i)/4)
		at := left + 1 + (columns-1)*i/4 - len(mark)/2
		at = max(left+1, min(at, len(axis)-len(mark)))
		copy(axis[at:], mark)
	}
	return append(lines, strings.TrimRight(string(axis), " "))
}
