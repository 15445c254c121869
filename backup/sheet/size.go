package sheet

import (
	"bytes"
	"cmp"
	"fmt"
	"io"
	"math"
	"slices"
	"strconv"
	"strings"

	"outlast/backup/phrase"
	"outlast/backup/sheet/grid"
	"outlast/backup/sheet/record"
	"outlast/backup/sheet/speech"
	"outlast/backup/site"
	"outlast/backup/sizing"
	"outlast/backup/verdict"
	"outlast/backup/wording"
)

// WriteSizing writes the combinations that pass, those that nothing beats, and the nearest misses: text, markdown, csv
// or json. top cuts each list; 0 leaves them whole.
func WriteSizing(w io.Writer, s record.Sizing, top int, o Options) error {
	switch o.Format {
	case "", "text", "markdown":
		speaker, err := SpeakOf(s.Site)(o)
		if err != nil {
			return err
		}
		headline := sizeHeadline(s, speaker.CheckName)
		if o.Format != "markdown" {
			return WriteSections(w, SpeakOf(s.Site), headline, sizeSections(s, top, width(o) >= wideFrom, speaker.CheckName), o)
		}
		var b bytes.Buffer
		grid.MarkdownPage(&b, phrase.Of("%s: equipment", phrase.Name(s.Site.Name)), headline,
			sizeSections(s, top, true, speaker.CheckName), speaker)
		_, err = io.WriteString(w, strings.TrimRight(b.String(), "\n")+"\n")
		return err
	case "csv":
		return record.SizeCSV(w, s, top, o.Spreadsheet)
	case "json":
		return record.SizeJSON(w, s, top)
	}
	return fmt.Errorf("format %q, want one of %s", o.Format, strings.Join(formats, ", "))
}

// sizeHeadline tells what fails with everything, what passes, and how the design of the file does. Checks go by their
// names, as on the first screen of a plan.
func sizeHeadline(s record.Sizing, checkName func(id string) string) []phrase.Phrase {
	name := phrase.Name(s.Site.Name)
	var out []phrase.Phrase
	standing := s.Targets[0].Standing
	for _, c := range standing {
		out = append(out, phrase.Of("%s: fails with every inverter and battery (%s): %s", name,
			phrase.Name(checkName(c.ID)), c.Reason))
	}
	if text := nothingRuns(s.Targets[0].Site, s.Targets[0].Site.Outage.Month); !text.Empty() {
		return append(out, text, ownLine(s.Targets[0], checkName))
	}
	if len(s.Targets) > 1 {
		none := 0
		var hours []phrase.Phrase
		for _, z := range s.Targets {
			hours = append(hours, grid.Num(grid.Short(z.AutonomyH)))
			if len(z.Passing) == 0 {
				none++
			}
		}
		text := phrase.Of("%s: sized for %s h", name, phrase.Separated(hours, ", "))
		if none > 0 {
			text = text.Then(phrase.Of("; for %d of %d nothing in the catalog passes", none, len(s.Targets)))
		}
		return append(out, text, ownLine(s.Targets[0], checkName))
	}
	z := s.Targets[0]
	hours := wording.Amount(z.AutonomyH, "h")
	if len(z.Passing) == 0 {
		text := phrase.Of("%s: nothing in the catalog passes for %s", name, hours)
		if len(standing) > 0 {
			text = phrase.Of("%s: apart from that, nothing in the catalog passes for %s", name, hours)
		}
		return append(out, text, ownLine(z, checkName))
	}
	pass := phrase.Count(len(z.Passing), "%d combination of the catalog passes", "%d combinations of the catalog pass")
	text := phrase.Of("%s: %s for %s", name, pass, hours)
	if len(standing) > 0 {
		text = phrase.Of("%s: apart from that, %s for %s", name, pass, hours)
	}
	return append(out, text, phrase.Of("First: %s.", fitWords(z.Passing[0])), ownLine(z, checkName))
}

// fitWords tells a combination in words.
func fitWords(f sizing.Fit) phrase.Phrase {
	text := together(f.Count, f.Inverter.ID, f.Units(), f.Unit.ID, f.Price)
	text = text.Then(phrase.Symbols(", %s", grid.Measured(grid.Lasting(f.AutonomyH, f.Capped), "h")))
	if f.MassKg > 0 {
		text = text.Then(phrase.Symbols(", %s", wording.Amount(math.Round(f.MassKg), "kg")))
	}
	return text
}

// together are inverters and batteries, with their price where it is known.
func together(count int, inverter string, units int, unit string, price *float64) phrase.Phrase {
	text := phrase.Of("%d x %s with %d x %s", count, phrase.Name(inverter), units, phrase.Name(unit))
	if price != nil {
		text = text.Then(phrase.Of(", price %s", phrase.Number(grid.Whole(*price))))
	}
	return text
}

// ownLine tells how the design of the file does, as its plan has it.
func ownLine(z *sizing.Sizes, checkName func(id string) string) phrase.Phrase {
	m := z.Own
	text := phrase.Of("The file's own design, as planned: %s",
		together(m.Count, m.Inverter.ID, m.Strings*m.Series, m.Unit.ID, m.Price))
	switch {
	case len(m.Failing) > 0:
		text = text.Then(phrase.Of(", fails by %s", failWords(m.Failing, checkName)))
	case m.Cautions > 0:
		text = text.Then(phrase.Count(m.Cautions, ", passes with %d caution", ", passes with %d cautions"))
	default:
		text = text.Then(phrase.Of(", passes"))
	}
	if len(m.LeavesOut) > 0 {
		text = text.Then(phrase.Of("; of the circuits below it leaves out %s", grid.Named(m.LeavesOut)))
	}
	if len(m.Besides) > 0 {
		text = text.Then(phrase.Of("; it supplies %s besides", grid.Named(m.Besides)))
	}
	return text.Then(phrase.Symbols("."))
}

// failWords tells the first of some failing checks with its figures, and the names of the others.
func failWords(list []verdict.Check, checkName func(id string) string) phrase.Phrase {
	called := func(id string) phrase.Phrase { return phrase.Symbols("%s", phrase.Name(checkName(id))) }
	c := list[0]
	text := called(c.ID)
	if c.HasLimit {
		demand, limit, unit := c.Told()
		text = phrase.Of("%s, %s of %s", text, wording.Amount(demand, unit), wording.Amount(limit, unit))
	}
	var more []phrase.Phrase
	for _, c := range list[1:] {
		more = append(more, called(c.ID))
	}
	if len(more) > 0 { // names hold commas
		text = text.Then(phrase.Of("; also %s", phrase.Separated(more, "; ")))
	}
	return text
}

func sizeSections(s record.Sizing, top int, wide bool, checkName func(id string) string) []grid.Section {
	out := []grid.Section{suppliedSection(s)}
	several, us := len(s.Targets) > 1, s.Site.Units == "us"
	if several {
		out = append(out, targetSection(s))
	}
	// of tells which of several autonomies a title is about.
	of := func(z *sizing.Sizes, title phrase.Phrase) phrase.Phrase {
		if !several {
			return title
		}
		return phrase.Of("%s for %s", title, wording.Amount(z.AutonomyH, "h"))
	}
	for i, z := range s.Targets {
		if len(z.Passing) > 0 {
			passing := fitSection(of(z, phrase.Of("Best first")), z.Passing, top, wide, us, checkName)
			if n := len(z.Passing) - len(passing.Table.Rows); n > 0 {
				passing.Lines = append(passing.Lines, phrase.Count(n, "%d more combination passes.",
					"%d more combinations pass."))
			}
			for _, text := range []phrase.Phrase{manyText(z.Passing), arrayText(s.Site.Arrays, z.Passing)} {
				if !text.Empty() {
					passing.Lines = append(passing.Lines, text)
				}
			}
			if i == 0 {
				passing.Lines = append(passing.Lines,
					phrase.Of("Bank: strings x batteries in series. Of each inverter and battery the smallest bank "+
						"that passes. Hours: at the end of its life, from the start that takes most energy in the "+
						"required hours, followed up to twice as long."),
					phrase.Of("Cautions: of the month and the start of the day that are sized for; the plan of a "+
						"combination tells of others."))
			}
			out = append(out, passing)
		}
		if len(z.Front) > 0 {
			front := fitSection(of(z, phrase.Of("No better option in price, hours and weight together")), z.Front, top,
				wide, us, checkName)
			if n := len(z.Front) - len(front.Table.Rows); n > 0 {
				front.Lines = append(front.Lines, phrase.Of("%d more.", n))
			}
			out = append(out, front)
		}
		out = append(out, missSection(z, of(z, phrase.Of("Closest rejected combinations")), top, checkName))
	}
	if z := s.Targets[0]; len(z.Passing) > 0 {
		f := z.Passing[0]
		title := phrase.Of("To plan the first one, in the site file")
		if several {
			title = phrase.Of("To plan the first one for %s, in the site file", wording.Amount(z.AutonomyH, "h"))
		}
		out = append(out, grid.Section{Title: title, Drawing: []string{
			"[inverter]", fmt.Sprintf("use = %q", speech.Clean(f.Inverter.ID)), fmt.Sprintf("count = %d", f.Count), "",
			"[bank]", fmt.Sprintf("use = %q", speech.Clean(f.Unit.ID)), fmt.Sprintf("strings = %d", f.Strings),
		}})
	}
	return append(out, SafetySection(record.SizeCautions(s)...))
}

// manyUnits is how many batteries are many to connect and to look after: more than a string of 2 V cells at 48 V has.
// Own planning rule.
const manyUnits = 24

// manyText warns of a first combination with many batteries, and names the first one with few; empty where there is
// nothing to say.
func manyText(list []sizing.Fit) phrase.Phrase {
	f := list[0]
	if f.Units() <= manyUnits {
		return phrase.Phrase{}
	}
	text := phrase.Of("Caution: No 1 has %d batteries to connect and to look after, in %s", f.Units(),
		phrase.Count(f.Strings, "%d string", "%d strings"))
	for i, o := range list {
		if o.Units() > manyUnits {
			continue
		}
		text = dearer(text.Then(phrase.Of("; No %d has %d", i+1, o.Units())), f, o)
		break
	}
	return text.Then(phrase.Symbols("."))
}

// dearer adds what a combination costs more than the first one.
func dearer(text phrase.Phrase, first, o sizing.Fit) phrase.Phrase {
	if first.Price == nil || o.Price == nil {
		return text
	}
	return text.Then(phrase.Of(", for %s more", phrase.Number(grid.Whole(*o.Price-*first.Price))))
}

// arrayText warns where the data of the first inverter name no solar input and the home has an array, and names the first
// combination whose inverter takes it; empty where there is nothing to say.
func arrayText(arrays []site.Array, list []sizing.Fit) phrase.Phrase {
	takes := func(f sizing.Fit) bool { return len(f.Inverter.Inputs) > 0 }
	f := list[0]
	if len(arrays) == 0 || takes(f) {
		return phrase.Phrase{}
	}
	text := phrase.Of("Caution: the inverter of No 1 has no solar input in its data, so that the array takes a charge controller, " +
		"which is not in the price")
	if i := slices.IndexFunc(list, takes); i >= 0 {
		text = dearer(text.Then(phrase.Of("; that of No %d has one", i+1)), f, list[i])
	}
	return text.Then(phrase.Symbols("."))
}

func suppliedSection(s record.Sizing) grid.Section {
	carried, heldOff, left := s.Targets[0].Carried(s.Site)
	var lines []phrase.Phrase
	if len(carried) > 0 {
		lines = append(lines, phrase.Of("Sized to supply %s: %s.",
			phrase.Count(len(carried), "%d circuit", "%d circuits"), grid.Named(carried)))
	} else {
		lines = append(lines, phrase.Of("Sized to supply no circuit."))
	}
	if len(heldOff) > 0 {
		lines = append(lines, phrase.Of("On the backup board as well, where all must be left off in an outage: %s.",
			grid.Named(heldOff)))
	}
	if len(left) > 0 {
		lines = append(lines, phrase.Of("Left on the main board, of those free to assign: %s.", grid.Named(left)))
	}
	return grid.Section{Title: phrase.Of("What is supplied"), Lines: lines}
}

// targetSection sets the autonomies side by side, each with the first combination.
func targetSection(s record.Sizing) grid.Section {
	out := grid.Section{Title: phrase.Of("Targets side by side"), Table: grid.Table{
		Head: []phrase.Phrase{phrase.Of("Hours"), phrase.Of("Pass"), phrase.Of("Inverter"), phrase.Of("Bank"),
			phrase.Of("Price"), massUnit(s.Site.Units == "us"), phrase.Of("Lasts")},
		Right: []bool{true, true, false, false, true, true, true},
	}}
	for _, z := range s.Targets {
		row := []phrase.Phrase{grid.Num(grid.Short(z.AutonomyH)), grid.Num(strconv.Itoa(len(z.Passing))), grid.Dash,
			grid.Dash, grid.Dash, grid.Dash, grid.Dash}
		if len(z.Passing) > 0 {
			row = append(row[:2], fitCells(z.Passing[0], s.Site.Units == "us")...)
		}
		out.Table.Rows = append(out.Table.Rows, row)
	}
	return out
}

// fitCells are inverter, bank, price, weight and hours of a combination.
func fitCells(f sizing.Fit, us bool) []phrase.Phrase {
	return []phrase.Phrase{phrase.Symbols("%d %s", f.Count, phrase.Name(f.Inverter.ID)),
		bankCell(f.Strings, f.Series, f.Unit.ID),
		grid.Num(wholeOrNone(f.Price)), massCell(f.MassKg, us), grid.Num(grid.Lasting(f.AutonomyH, f.Capped))}
}

// massUnit heads a column of weights: pounds where the site is American.
func massUnit(us bool) phrase.Phrase {
	if us {
		return grid.Unit("lb")
	}
	return grid.Unit("kg")
}

// massCell is a weight in such a column; 0 is not known.
func massCell(kg float64, us bool) phrase.Phrase {
	if us {
		return grid.Num(grid.OrNone(math.Round(kg / speech.KgPerLb)))
	}
	return grid.Num(grid.OrNone(kg))
}

// bankCell is the layout of a bank and its unit.
func bankCell(strings, series int, unit string) phrase.Phrase {
	return phrase.Symbols("%d x %d %s", strings, series, phrase.Name(unit))
}

// fitSection lists combinations. What is to be checked of them is much the same in all rows: a letter stands for each of
// it, and below the table what it means.
func fitSection(title phrase.Phrase, list []sizing.Fit, top int, wide, us bool,
	checkName func(id string) string) grid.Section {
	var key legend
	t := grid.Table{Head: []phrase.Phrase{phrase.Of("No"), phrase.Of("Inverter"), phrase.Of("Bank"), phrase.Of("Price"),
		massUnit(us), phrase.Of("Hours")},
		Right: []bool{true, false, false, true, true, true}}
	if wide {
		t.Head = append(t.Head, grid.Unit("kWh"), phrase.Of("Tightest"), phrase.Of("Margin %%"),
			phrase.Of("To be checked"))
		t.Right = append(t.Right, true, false, true, false)
	} else {
		t.Head, t.Right = append(t.Head, phrase.Of("Cautions")), append(t.Right, true)
	}
	for i, f := range list[:record.Cut(len(list), top)] {
		row := append([]phrase.Phrase{grid.Num(strconv.Itoa(i + 1))}, fitCells(f, us)...)
		if !wide {
			t.Rows = append(t.Rows, append(row, grid.Num(strconv.Itoa(len(f.Cautions)))))
			continue
		}
		look, tightest, left := grid.Dash, grid.Dash, "-"
		if len(f.Cautions) > 0 {
			look = key.letters(grouped(f.Cautions, checkName))
		}
		if f.Tightest != "" {
			tightest, left = phrase.Symbols("%s", phrase.Name(checkName(f.Tightest))), grid.Whole(100*f.Margin)
		}
		t.Rows = append(t.Rows, append(row, grid.Num(grid.Tenth(f.EnergyWh/1000)), tightest, grid.Num(left), look))
	}
	s := grid.Section{Title: title, Table: t}
	if len(key) > 0 {
		s.Lines = append(s.Lines, phrase.Of("To be checked: %s.", key.meanings()))
	}
	return s
}

// A legend is what letters in a table stand for, in the order of the letters.
type legend []phrase.Phrase

// letters gives the letters of some texts, with those that had none yet.
func (l *legend) letters(texts []phrase.Phrase) phrase.Phrase {
	var at []int
	for _, text := range texts {
		i := slices.IndexFunc(*l, func(o phrase.Phrase) bool { return o.String() == text.String() })
		if i < 0 {
			i = len(*l)
			*l = append(*l, text)
		}
		at = append(at, i)
	}
	slices.Sort(at)
	out := make([]phrase.Phrase, len(at))
	for k, i := range at {
		out[k] = phrase.Name(letter(i))
	}
	return phrase.Separated(out, " ")
}

func (l legend) meanings() phrase.Phrase {
	out := make([]phrase.Phrase, len(l))
	for i, text := range l {
		out[i] = phrase.Symbols("%s = %s", phrase.Name(letter(i)), text)
	}
	return phrase.Separated(out, "; ") // names hold commas
}

// letter is a to z, then aa, ab and so on.
func letter(i int) string {
	last := string(rune('a' + i%26))
	if i < 26 {
		return last
	}
	return letter(i/26-1) + last
}

// grouped joins checks of one kind: seven of the solar strings are one thing to look at.
func grouped(ids []string, checkName func(id string) string) []phrase.Phrase {
	count := map[string]int{}
	kind := func(id string) string { return cmp.Or(verdict.Family(id), id) }
	for _, id := range ids {
		count[kind(id)]++
	}
	var out []phrase.Phrase
	for _, id := range ids {
		switch k := kind(id); {
		case count[k] == 1:
			out = append(out, phrase.Symbols("%s", phrase.Name(checkName(id))))
		case count[k] > 1:
			out = append(out, severalOf(k, count[k]))
			count[k] = 0
		}
	}
	return out
}

// severalOf counts checks of a family.
func severalOf(family string, n int) phrase.Phrase {
	switch family {
	case "generator-":
		return phrase.Of("%d checks of the generator", n)
	case "string-":
		return phrase.Of("%d checks of PV strings", n)
	case "slip-":
		return phrase.Of("%d checks of unplanned use", n)
	}
	return phrase.Of("%d checks of cables", n)
}

func missSection(z *sizing.Sizes, title phrase.Phrase, top int, checkName func(id string) string) grid.Section {
	s := grid.Section{Title: title, Table: grid.Table{Head: []phrase.Phrase{phrase.Of("Inverter"), phrase.Of("Bank"),
		phrase.Of("Fails by")}, Right: []bool{false, false, false}}}
	seen := map[string]bool{} // one of each inverter: the others of it miss by the same
	for _, m := range z.Misses {
		if seen[m.Inverter.ID] || top > 0 && len(s.Table.Rows) == top {
			continue
		}
		seen[m.Inverter.ID] = true
		bank := phrase.Of("any")
		if m.Unit != nil {
			bank = bankCell(m.Strings, m.Series, m.Unit.ID)
		}
		s.Table.Rows = append(s.Table.Rows, []phrase.Phrase{phrase.Symbols("%d %s", m.Count,
			phrase.Name(m.Inverter.ID)), bank, failWords(m.Failing, checkName)})
	}
	if len(s.Table.Rows) == 0 {
		s.Lines = []phrase.Phrase{phrase.Of("Every combination that makes a bank passes.")}
	}
	if slices.ContainsFunc(z.Misses, func(m sizing.Miss) bool { return m.TooWide() }) {
		s.Lines = append(s.Lines,
			phrase.Of("Banks with more parallel strings than are usual for the battery (max_parallel) are left out; "+
				"--more-strings takes them too."))
	}
	return s
}
