package workbook

import (
	"fmt"
	"strings"

	"outlast/backup/facts"
	"outlast/backup/phrase"
	"outlast/backup/sheet/speech"
	"outlast/backup/sheet/workbook/book"
)

// fillFirst is the first sheet: the verdict, the figures that matter most, how the workbook is read, and which text of
// the site file it belongs to.
func (m *maker) fillFirst() {
	s := m.first
	s.Upward = true
	s.Width(52, 1)
	s.Width(16, 2)
	s.Width(12, 3)
	s.Width(16, 4)
	s.Say(1, 1, book.Title, speech.Name(m.Plan.Site.Name))
	s.Say(2, 1, book.Note,
		m.Prose(phrase.Of("Workbook of the plan: every result is a formula on the cells that it comes from.")))
	s.Row = 4
	m.firstVerdict()
	s.Row++
	m.firstFigures()
	s.Row++
	m.howToRead()
	s.Row++
	m.firstHead(m.Say("revision.title"))
	for _, f := range []struct{ id, value string }{{"revision.file", m.o.Source}, {"revision.hash", m.o.Revision},
		{"revision.program", m.o.Program}, {"revision.date", m.o.Date}} {
		if f.value != "" {
			s.Put(s.Row, 1, book.Cell{Kind: book.Plain, Text: m.Headed(m.Say(f.id), speech.Clean(f.value)), Wrap: true, Across: 4})
			s.Row++
		}
	}
	s.Row++
	m.firstHead(m.Say("safety.title"))
	for _, id := range []string{"safety.aid", "safety.wiring", "safety.bank", "safety.life"} {
		s.Put(s.Row, 1, book.Cell{Kind: book.Plain, Text: m.Say(id), Wrap: true, Across: 4})
		s.Row++
	}
}

// firstHead heads a part of the first sheet.
func (m *maker) firstHead(words string, more ...string) {
	s := m.first
	s.Say(s.Row, 1, book.Head, words)
	for i := range 3 {
		text := ""
		if i < len(more) {
			text = more[i]
		}
		s.Put(s.Row, 2+i, book.Cell{Kind: book.Head, Text: text, Format: book.AsGiven})
	}
	s.Row++
}

// firstVerdict is the worst of all checks, and how many there are of each status.
func (m *maker) firstVerdict() {
	s, out := m.first, m.Out
	statuses := fmt.Sprintf("%s:%s", out["checks_first"], strings.Split(string(out["checks_last"]), "!")[1])
	m.firstHead(m.Prose(phrase.Of("Verdict")), m.Prose(phrase.Of("Now")), "", m.Prose(phrase.Of("As planned")))
	s.Say(s.Row, 1, book.Plain, m.Prose(phrase.Of("Worst of all checks")))
	m.Out["verdict"] = s.Put(s.Row, 2, book.Cell{Kind: book.Result, Words: true, Format: book.AsGiven,
		Formula: fmt.Sprintf("IF(COUNTIF(%[1]s,%[2]s)>0,%[2]s,IF(COUNTIF(%[1]s,%[3]s)>0,%[3]s,%[4]s))", statuses,
			book.Quote(m.Pass[0]),
			book.Quote(m.Pass[1]), book.Quote(m.Pass[2]))})
	s.Put(s.Row, 4, book.Cell{Kind: book.Plain, Text: m.Say("status." + string(m.Plan.Verdict())), Format: book.AsGiven})
	s.Marks = append(s.Marks, fmt.Sprintf("B%d:B%d", s.Row, s.Row), fmt.Sprintf("D%d:D%d", s.Row, s.Row))
	s.Row++
	for i, label := range []phrase.Phrase{phrase.Of("Checks that fail"), phrase.Of("Checks to be looked at"),
		phrase.Of("Checks that pass")} {
		s.Say(s.Row, 1, book.Plain, m.Prose(label))
		s.Calc(s.Row, 2, book.Result, book.AsGiven, "COUNTIF(%s,%s)", statuses, book.Quote(m.Pass[i]))
		n := 0
		for _, c := range m.Plan.Checks {
			if m.Say("status."+string(c.Status)) == m.Pass[i] {
				n++
			}
		}
		s.Num(s.Row, 4, book.Plain, float64(n), book.AsGiven)
		s.Row++
	}
}

// firstFigures are the figures that matter most, beside those of the plan.
func (m *maker) firstFigures() {
	s, out := m.first, m.Out
	m.firstHead(m.Prose(phrase.Of("Figures")), m.Prose(phrase.Of("Now")), m.Say("col.unit"), m.Prose(phrase.Of("As planned")))
	b := m.Plan.Bank
	type figure struct {
		label   phrase.Phrase
		at      book.Ref
		unit    string
		planned float64
	}
	figures := []figure{{phrase.Of("Required autonomy"), m.In["autonomy_h"], "h", m.Plan.Site.Outage.AutonomyH}}
	if least, _, err := m.Plan.LeastAutonomy(); err == nil {
		figures = append(figures, figure{phrase.Of("Autonomy from the least favourable start"), out["least_autonomy"], "h", least})
	}
	figures = append(figures, []figure{{phrase.Of("Autonomy, from the start that is followed"), out["autonomy"], "h", b.AutonomyH},
		{phrase.Of("Autonomy, new bank"), out["autonomy_new"], "h", b.AutonomyNewH},
		{phrase.Of("Scheduled power"), out["scheduled_w"], "W", m.Plan.Demand.Scheduled.W},
		{phrase.Of("Scheduled apparent power"), out["scheduled_va"], "VA", m.Plan.Demand.Scheduled.VA},
		{phrase.Of("Energy of a day"), out["energy_wh_per_day"], "Wh", m.Plan.Demand.EnergyWhPerDay},
		{phrase.Of("Energy of the autonomy, DC"), out["energy_dc_wh"], "Wh", b.EnergyDCWh},
		{phrase.Of("Required capacity"), out["required_ah"], "Ah", b.Sizing.RequiredAh},
		{phrase.Of("Installed capacity"), out["installed_ah"], "Ah", b.CapacityAh()},
		{phrase.Of("Minimum state of charge of the plan"), out["floor_soc"], "", m.Plan.FloorSoC()},
		{phrase.Of("Low-voltage cut-off to set"), out["cutoff_v"], "V", b.CutoffV}}...)
	for _, f := range figures {
		s.Say(s.Row, 1, book.Plain, m.Prose(f.label))
		s.Calc(s.Row, 2, book.Result, book.FormatOf(f.unit), "%s", f.at)
		s.Put(s.Row, 3, book.Cell{Kind: book.Plain, Text: m.UnitName(f.unit), Inset: true})
		s.Num(s.Row, 4, book.Plain, f.planned, book.FormatOf(f.unit))
		s.Row++
	}
}

// howToRead tells the kinds of cells apart.
func (m *maker) howToRead() {
	s := m.first
	m.firstHead(m.Prose(phrase.Of("How to read it")))
	for _, k := range []struct {
		kind  book.Kind
		words phrase.Phrase
	}{{book.Input, phrase.Of("Input: a figure of the site file, of the catalog or a default. It may be changed.")},
		{book.Live, phrase.Of("Formula: it follows the inputs. It is locked, without a password.")},
		{book.Table, phrase.Of("Figure of a published table, for the place or the material that was planned.")},
		{book.Worked,
			phrase.Of("Worked out by the program: a search, a fit or a part of the layout. It does not follow a change.")}} {
		s.Put(s.Row, 1, book.Cell{Kind: k.kind, Text: m.Prose(k.words), Wrap: true, Across: 4})
		s.Row++
	}
	s.Put(s.Row, 1, book.Cell{Kind: book.Note, Wrap: true, Across: 4,
		Text: m.Prose(phrase.Of("Circuits, phases, month, equipment and conductors stay as planned. To have them chosen " +
			"anew, change the site file and plan again."))})
	s.Row++
}

// fillCautions is what the planner has to say beside the checks, and what every paper ends with.
func (m *maker) fillCautions() {
	s := m.cautions
	s.Upward = true
	s.Width(110, 1)
	s.Say(1, 1, book.Title, m.Prose(phrase.Of("Cautions")))
	row := 3
	own := map[string]bool{}
	for _, p := range facts.SafetyTexts() {
		own[p.String()] = true
	}
	for _, id := range []string{"safety.aid", "safety.wiring", "safety.bank", "safety.life"} {
		s.Put(row, 1, book.Cell{Kind: book.Plain, Text: m.Say(id), Wrap: true})
		row++
	}
	row++
	for _, p := range m.Plan.Cautions {
		if !own[p.String()] {
			s.Put(row, 1, book.Cell{Kind: book.Plain, Text: m.Prose(p), Wrap: true})
			row++
		}
	}
}
