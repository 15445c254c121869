package sheet

import (
	"bytes"
	"cmp"
	"fmt"
	"io"
	"slices"
	"strconv"
	"strings"

	"outlast/backup/sheet/record"
	"outlast/backup/sheet/speech"
	"outlast/backup/sizing"
	"outlast/backup/verdict"
	"outlast/backup/wording"
)

// WriteSizing writes the combinations that pass, those that nothing beats, and the nearest misses: text, markdown, csv or json. top
// cuts each list; 0 leaves them whole.
func WriteSizing(w io.Writer, s record.Sizing, top int, o Options) error {
	switch o.Format {
	case "", "text":
		return writeSections(w, sizeHeadline(s), sizeSections(s, top, width(o) >= wideFrom), o)
	case "markdown":
		var b bytes.Buffer
		markdownPage(&b, speech.Clean(s.Site.Name)+": equipment", sizeHeadline(s), sizeSections(s, top, true))
		_, err := io.WriteString(w, strings.TrimRight(b.String(), "\n")+"\n")
		return err
	case "csv":
		return record.SizeCSV(w, s, top, o.Spreadsheet)
	case "json":
		return record.SizeJSON(w, s, top)
	}
	return fmt.Errorf("format %q, want one of %s", o.Format, strings.Join(formats, ", "))
}

func sizeHeadline(s record.Sizing) []string {
	name := speech.Clean(s.Site.Name)
	if len(s.Targets) > 1 {
		none := 0
		var hours []string
		for _, z := range s.Targets {
			hours = append(hours, short(z.AutonomyH))
			if len(z.Passing) == 0 {
				none++
			}
		}
		text := fmt.Sprintf("%s: sized for %s h", name, strings.Join(hours, ", "))
		if none > 0 {
			text += fmt.Sprintf("; for %d of %d nothing in the catalog passes", none, len(s.Targets))
		}
		return []string{text, ownLine(s.Targets[0])}
	}
	z := s.Targets[0]
	if len(z.Passing) == 0 {
		return []string{fmt.Sprintf("%s: nothing in the catalog passes for %s", name, wording.AmountText(z.AutonomyH, "h")), ownLine(z)}
	}
	return []string{
		fmt.Sprintf("%s: %s of the catalog %s for %s", name, plural(len(z.Passing), "combination", "combinations"), passVerb(len(z.Passing)), wording.AmountText(z.AutonomyH, "h")),
		"First: " + fitWords(z.Passing[0]) + ".",
		ownLine(z),
	}
}

func passVerb(n int) string {
	if n == 1 {
		return "passes"
	}
	return "pass"
}

// fitWords tells a combination in words.
func fitWords(f sizing.Fit) string {
	text := fmt.Sprintf("%d x %s with %d x %s", f.Count, speech.Clean(f.Inverter.ID), f.Units(), speech.Clean(f.Unit.ID))
	if f.Price != nil {
		text += ", price " + whole(*f.Price)
	}
	text += ", " + lasting(f.AutonomyH, f.Capped) + " h"
	if f.MassKg > 0 {
		text += ", " + whole(f.MassKg) + " kg"
	}
	return text
}

// ownLine tells how the design of the file does, as its plan has it.
func ownLine(z *sizing.Sizes) string {
	m := z.Own
	text := fmt.Sprintf("The file's own design, as planned: %d x %s with %d x %s", m.Count, speech.Clean(m.Inverter.ID), m.Strings*m.Series, speech.Clean(m.Unit.ID))
	if m.Price != nil {
		text += ", price " + whole(*m.Price)
	}
	switch {
	case len(m.Failing) > 0:
		text += ", fails by " + failWords(m.Failing)
	case m.Cautions > 0:
		text += ", passes with " + plural(m.Cautions, "caution", "cautions")
	default:
		text += ", passes"
	}
	if len(m.LeavesOut) > 0 {
		text += "; of the circuits below it leaves out " + names(m.LeavesOut)
	}
	if len(m.Besides) > 0 {
		text += "; it supplies " + names(m.Besides) + " besides"
	}
	return text + "."
}

// failWords tells the first of some failing checks with its figures, and the names of the others.
func failWords(list []verdict.Check) string {
	c := list[0]
	text := speech.Clean(c.ID)
	if c.HasLimit {
		text += fmt.Sprintf(", %s of %s", wording.AmountText(c.Demand, c.Unit), wording.AmountText(c.Limit, c.Unit))
	}
	var more []string
	for _, c := range list[1:] {
		more = append(more, speech.Clean(c.ID))
	}
	if len(more) > 0 {
		text += "; also " + strings.Join(more, ", ")
	}
	return text
}

func sizeSections(s record.Sizing, top int, wide bool) []section {
	out := []section{carriedSection(s)}
	if len(s.Targets) > 1 {
		out = append(out, targetSection(s))
	}
	for i, z := range s.Targets {
		of := ""
		if len(s.Targets) > 1 {
			of = " for " + wording.AmountText(z.AutonomyH, "h")
		}
		if len(z.Passing) > 0 {
			passing := section{title: "Best first" + of, table: fitTable(z.Passing, top, wide)}
			if n := len(z.Passing) - len(passing.table.rows); n > 0 {
				passing.lines = append(passing.lines, fmt.Sprintf("%s more.", plural(n, "combination passes", "combinations pass")))
			}
			if text := manyText(z.Passing); text != "" {
				passing.lines = append(passing.lines, text)
			}
			if i == 0 {
				passing.lines = append(passing.lines, "Bank: strings x batteries in series. Of each inverter and battery the smallest bank that passes. Hours: at the end of its life, from the start that takes most energy in the required hours, followed up to twice as long.")
			}
			out = append(out, passing)
		}
		if len(z.Front) > 0 {
			front := section{title: "No better option in price, hours and weight together" + of, table: fitTable(z.Front, top, wide)}
			if n := len(z.Front) - len(front.table.rows); n > 0 {
				front.lines = append(front.lines, fmt.Sprintf("%d more.", n))
			}
			out = append(out, front)
		}
		out = append(out, missSection(z, of, top))
	}
	if z := s.Targets[0]; len(z.Passing) > 0 {
		f := z.Passing[0]
		out = append(out, section{title: "To plan the first one" + planFor(s) + ", in the site file", drawing: []string{
			"[inverter]", fmt.Sprintf("use = %q", speech.Clean(f.Inverter.ID)), fmt.Sprintf("count = %d", f.Count), "",
			"[bank]", fmt.Sprintf("use = %q", speech.Clean(f.Unit.ID)), fmt.Sprintf("strings = %d", f.Strings),
		}})
	}
	return append(out, section{title: "Cautions", list: true, lines: []string{
		"Prices and weights are those of the catalog, inverters and batteries alone: no cables, devices, racks or work.",
		"The generic entries are classes of equipment, not products: what is bought is to be planned with its own data sheet.",
	}})
}

// manyUnits is how many batteries are many to connect and to look after: more than a string of 2 V cells at 48 V has. Own planning rule.
const manyUnits = 24

// manyText warns of a first combination with many batteries, and names the first one with few; "" where there is nothing to say.
func manyText(list []sizing.Fit) string {
	f := list[0]
	if f.Units() <= manyUnits {
		return ""
	}
	text := fmt.Sprintf("Caution: No 1 has %d batteries to connect and to look after, in %s", f.Units(), plural(f.Strings, "string", "strings"))
	for i, o := range list {
		if o.Units() > manyUnits {
			continue
		}
		text += fmt.Sprintf("; No %d has %d", i+1, o.Units())
		if f.Price != nil && o.Price != nil {
			text += fmt.Sprintf(", for %s more", whole(*o.Price-*f.Price))
		}
		break
	}
	return text + "."
}

// planFor tells which of several autonomies the first one is for.
func planFor(s record.Sizing) string {
	if len(s.Targets) == 1 {
		return ""
	}
	return " for " + wording.AmountText(s.Targets[0].AutonomyH, "h")
}

func carriedSection(s record.Sizing) section {
	z := s.Targets[0]
	carried, left := z.Carried(s.Site)
	lines := []string{fmt.Sprintf("Sized to supply %s: %s.", plural(len(carried), "circuit", "circuits"), names(carried))}
	if len(left) > 0 {
		lines = append(lines, fmt.Sprintf("Left on the main board, of those free to assign: %s.", names(left)))
	}
	return section{title: "What is supplied", lines: lines}
}

// targetSection sets the autonomies side by side, each with the first combination.
func targetSection(s record.Sizing) section {
	out := section{title: "Targets side by side", table: table{
		head: []string{"Hours", "Pass", "Inverter", "Bank", "Price", "kg", "Lasts"}, right: []bool{true, true, false, false, true, true, true},
	}}
	for _, z := range s.Targets {
		row := []string{short(z.AutonomyH), strconv.Itoa(len(z.Passing)), "-", "-", "-", "-", "-"}
		if len(z.Passing) > 0 {
			row = append(row[:2], fitCells(z.Passing[0])...)
		}
		out.table.rows = append(out.table.rows, row)
	}
	return out
}

// fitCells are inverter, bank, price, weight and hours of a combination.
func fitCells(f sizing.Fit) []string {
	price := "-"
	if f.Price != nil {
		price = whole(*f.Price)
	}
	return []string{fmt.Sprintf("%d %s", f.Count, speech.Clean(f.Inverter.ID)), fmt.Sprintf("%d x %d %s", f.Strings, f.Series, speech.Clean(f.Unit.ID)),
		price, orNone(f.MassKg), lasting(f.AutonomyH, f.Capped)}
}

func fitTable(list []sizing.Fit, top int, wide bool) table {
	t := table{head: []string{"No", "Inverter", "Bank", "Price", "kg", "Hours"}, right: []bool{true, false, false, true, true, true}}
	if wide {
		t.head, t.right = append(t.head, "kWh", "Tightest", "Margin %", "To be checked"), append(t.right, true, false, true, false)
	} else {
		t.head, t.right = append(t.head, "Cautions"), append(t.right, true)
	}
	for i, f := range list[:record.Cut(len(list), top)] {
		row := append([]string{strconv.Itoa(i + 1)}, fitCells(f)...)
		if !wide {
			t.rows = append(t.rows, append(row, strconv.Itoa(len(f.Cautions))))
			continue
		}
		look, tightest, left := "-", "-", "-"
		if len(f.Cautions) > 0 {
			look = speech.Clean(strings.Join(grouped(f.Cautions), ", "))
		}
		if f.Tightest != "" {
			tightest, left = speech.Clean(f.Tightest), whole(100*f.Margin)
		}
		t.rows = append(t.rows, append(row, tenth(f.EnergyWh/1000), tightest, left, look))
	}
	return t
}

// grouped joins checks of one kind: seven of the solar strings are one thing to look at.
func grouped(ids []string) []string {
	count := map[string]int{}
	kind := func(id string) string { return cmp.Or(verdict.Family(id), id) }
	for _, id := range ids {
		count[kind(id)]++
	}
	var out []string
	for _, id := range ids {
		switch k := kind(id); {
		case count[k] == 1:
			out = append(out, id)
		case count[k] > 1:
			out = append(out, fmt.Sprintf("%d %s checks", count[k], strings.TrimSuffix(k, "-")))
			count[k] = 0
		}
	}
	return out
}

func missSection(z *sizing.Sizes, of string, top int) section {
	s := section{title: "Closest rejected combinations" + of, table: table{head: []string{"Inverter", "Bank", "Fails by"}, right: []bool{false, false, false}}}
	seen := map[string]bool{} // one of each inverter: the others of it miss by the same
	for _, m := range z.Misses {
		if seen[m.Inverter.ID] || top > 0 && len(s.table.rows) == top {
			continue
		}
		seen[m.Inverter.ID] = true
		bank := "any"
		if m.Unit != nil {
			bank = fmt.Sprintf("%d x %d %s", m.Strings, m.Series, speech.Clean(m.Unit.ID))
		}
		s.table.rows = append(s.table.rows, []string{fmt.Sprintf("%d %s", m.Count, speech.Clean(m.Inverter.ID)), bank, failWords(m.Failing)})
	}
	if len(s.table.rows) == 0 {
		s.lines = []string{"Every combination that makes a bank passes."}
	}
	if slices.ContainsFunc(z.Misses, func(m sizing.Miss) bool { return m.TooWide() }) {
		s.lines = append(s.lines, "Banks with more parallel strings than are usual for the battery (max_parallel) are left out; --more-strings takes them too.")
	}
	return s
}
