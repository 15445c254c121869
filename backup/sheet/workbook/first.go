package workbook

import (
	"fmt"
	"strings"

	"outlast/backup/facts"
	"outlast/backup/phrase"
	"outlast/backup/sheet/speech"
)

// fillFirst is the first sheet: the verdict, the figures that matter most, how the workbook is read, and which text of
// the site file it belongs to.
func (m *maker) fillFirst() error {
	s, out := m.first, m.out
	s.upward = true
	s.width(52, 1)
	s.width(16, 2)
	s.width(12, 3)
	s.width(16, 4)
	s.say(1, 1, title, speech.Name(m.p.Site.Name))
	s.say(2, 1, note,
		m.say(phrase.Of("Workbook of the plan: every result is a formula on the cells that it comes from.")))
	row := 4
	heading := func(words string, more ...string) {
		s.say(row, 1, head, words)
		for i := range 3 {
			text := ""
			if i < len(more) {
				text = more[i]
			}
			s.put(row, 2+i, cell{kind: head, text: text, format: asGiven})
		}
		row++
	}
	statuses := fmt.Sprintf("%s:%s", out["checks_first"], strings.Split(string(out["checks_last"]), "!")[1])
	heading(m.say(phrase.Of("Verdict")), m.say(phrase.Of("Now")), "", m.say(phrase.Of("As planned")))
	s.say(row, 1, plain, m.say(phrase.Of("Worst of all checks")))
	m.out["verdict"] = s.put(row, 2, cell{kind: result, words: true, format: asGiven,
		formula: fmt.Sprintf("IF(COUNTIF(%[1]s,%[2]s)>0,%[2]s,IF(COUNTIF(%[1]s,%[3]s)>0,%[3]s,%[4]s))", statuses,
			quote(m.pass[0]),
			quote(m.pass[1]), quote(m.pass[2]))})
	s.put(row, 4, cell{kind: plain, text: m.r.Say("status." + string(m.p.Verdict())), format: asGiven})
	s.marks = append(s.marks, fmt.Sprintf("B%d:B%d", row, row), fmt.Sprintf("D%d:D%d", row, row))
	row++
	for i, label := range []phrase.Phrase{phrase.Of("Checks that fail"), phrase.Of("Checks to be looked at"),
		phrase.Of("Checks that pass")} {
		s.say(row, 1, plain, m.say(label))
		s.calc(row, 2, result, asGiven, "COUNTIF(%s,%s)", statuses, quote(m.pass[i]))
		n := 0
		for _, c := range m.p.Checks {
			if m.r.Say("status."+string(c.Status)) == m.pass[i] {
				n++
			}
		}
		s.num(row, 4, plain, float64(n), asGiven)
		row++
	}
	row++
	heading(m.say(phrase.Of("Figures")), m.say(phrase.Of("Now")), m.r.Say("col.unit"), m.say(phrase.Of("As planned")))
	b := m.p.Bank
	for _, f := range []struct {
		label   phrase.Phrase
		at      ref
		unit    string
		planned float64
	}{{phrase.Of("Required autonomy"), m.in["autonomy_h"], "h", m.p.Site.Outage.AutonomyH},
		{phrase.Of("Autonomy"), out["autonomy"], "h", b.AutonomyH},
		{phrase.Of("Autonomy, new bank"), out["autonomy_new"], "h", b.AutonomyNewH},
		{phrase.Of("Scheduled power"), out["scheduled_w"], "W", m.p.Demand.Scheduled.W},
		{phrase.Of("Scheduled apparent power"), out["scheduled_va"], "VA", m.p.Demand.Scheduled.VA},
		{phrase.Of("Energy of a day"), out["energy_wh_per_day"], "Wh", m.p.Demand.EnergyWhPerDay},
		{phrase.Of("Energy of the autonomy, DC"), out["energy_dc_wh"], "Wh", b.EnergyDCWh},
		{phrase.Of("Required capacity"), out["required_ah"], "Ah", b.Sizing.RequiredAh},
		{phrase.Of("Installed capacity"), out["installed_ah"], "Ah", b.CapacityAh()},
		{phrase.Of("Minimum state of charge of the plan"), out["floor_soc"], "", m.p.FloorSoC()},
		{phrase.Of("Low-voltage cut-off to set"), out["cutoff_v"], "V", b.CutoffV}} {
		s.say(row, 1, plain, m.say(f.label))
		s.calc(row, 2, result, formatOf(f.unit), "%s", f.at)
		s.put(row, 3, cell{kind: plain, text: m.r.UnitName(f.unit), inset: true})
		s.num(row, 4, plain, f.planned, formatOf(f.unit))
		row++
	}
	row++
	heading(m.say(phrase.Of("How to read it")))
	for _, k := range []struct {
		kind  kind
		words phrase.Phrase
	}{{input, phrase.Of("Input: a figure of the site file, of the catalog or a default. It may be changed.")},
		{live, phrase.Of("Formula: it follows the inputs. It is locked, without a password.")},
		{table, phrase.Of("Figure of a published table, for the place or the material that was planned.")},
		{worked,
			phrase.Of("Worked out by the program: a search, a fit or a part of the layout. It does not follow a change.")}} {
		s.put(row, 1, cell{kind: k.kind, text: m.say(k.words), wrap: true, across: 4})
		row++
	}
	s.put(row, 1, cell{kind: note, wrap: true, across: 4,
		text: m.say(phrase.Of("Circuits, phases, month, equipment and conductors stay as planned. To have them chosen anew, change the site file and plan again."))})
	row += 2
	heading(m.r.Say("revision.title"))
	for _, f := range []struct{ id, value string }{{"revision.file", m.o.Source}, {"revision.hash", m.o.Revision},
		{"revision.program", m.o.Program}, {"revision.date", m.o.Date}} {
		if f.value != "" {
			s.put(row, 1, cell{kind: plain, text: m.r.Say(f.id) + ": " + speech.Clean(f.value), wrap: true, across: 4})
			row++
		}
	}
	row++
	heading(m.r.Say("safety.title"))
	for _, id := range []string{"safety.aid", "safety.wiring", "safety.bank", "safety.life"} {
		s.put(row, 1, cell{kind: plain, text: m.r.Say(id), wrap: true, across: 4})
		row++
	}
	return nil
}

// fillCautions is what the planner has to say beside the checks, and what every paper ends with.
func (m *maker) fillCautions() error {
	s := m.cautions
	s.upward = true
	s.width(110, 1)
	s.say(1, 1, title, m.say(phrase.Of("Cautions")))
	row := 3
	own := map[string]bool{}
	for _, p := range facts.SafetyTexts() {
		own[p.String()] = true
	}
	for _, id := range []string{"safety.aid", "safety.wiring", "safety.bank", "safety.life"} {
		s.put(row, 1, cell{kind: plain, text: m.r.Say(id), wrap: true})
		row++
	}
	row++
	for _, p := range m.p.Cautions {
		if !own[p.String()] {
			s.put(row, 1, cell{kind: plain, text: m.say(p), wrap: true})
			row++
		}
	}
	return nil
}
