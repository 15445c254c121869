package sheet

import (
	"bytes"
	"cmp"
	"fmt"
	"slices"
	"strings"

	"github.com/clipperhouse/displaywidth"

	"outlast/backup"
	"outlast/backup/calendar"
	"outlast/backup/facts"
	"outlast/backup/phrase"
	"outlast/backup/sheet/record"
	"outlast/backup/sheet/speech"
	"outlast/backup/study"
	"outlast/backup/verdict"
	"outlast/backup/wording"
	"outlast/loads"
)

// The first screen of a plan: the answer, what is wrong with it, what stays on, the limits that are nearest, and what to settle. It
// fits a terminal of ScreenLines lines of 80 columns, unless more checks fail than that.
const (
	ScreenLines = 24
	widestProse = 100 // lines of prose are no longer than that on the widest terminal
)

// A block is one part of the first screen, in several lengths, the shortest first.
type block struct {
	lengths [][]string
	wanted  int  // the length that it should have before others grow, an index
	near    bool // to the block above, without a blank line between
}

// screen is the first screen of a plan. Each block begins at its shortest. What is wrong with the plan then grows to its wanted length, and
// after it all blocks in turn, as long as all of it fits.
func screen(p *backup.Plan, width int) []string {
	width = min(width, widestProse)
	broken := brokenLengths(p, width)
	blocks := []block{
		{lengths: [][]string{opening(p, width)}},
		{lengths: broken, wanted: len(broken) / 2},
		{lengths: staysLengths(p, width), wanted: 1},
		{lengths: leaveLengths(p, width), wanted: 1, near: true},
		{lengths: tightLengths(p, width), wanted: 1 + mostTight},
		{lengths: settleLengths(p, width), near: true},
		{lengths: [][]string{moreLines(p, width)}},
	}
	chosen := make([]int, len(blocks))
	grow := func(i int) bool {
		if chosen[i]+1 >= len(blocks[i].lengths) {
			return false
		}
		if chosen[i]++; len(stacked(blocks, chosen)) > ScreenLines {
			chosen[i]--
			return false
		}
		return true
	}
	for i, b := range blocks {
		for chosen[i] < b.wanted && grow(i) {
			continue
		}
	}
	for grown := true; grown; {
		grown = false
		for i := range blocks {
			grown = grow(i) || grown
		}
	}
	return stacked(blocks, chosen)
}

// stacked puts blocks below each other.
func stacked(blocks []block, chosen []int) []string {
	var out []string
	for i, b := range blocks {
		if len(b.lengths) == 0 {
			continue
		}
		lines := b.lengths[chosen[i]]
		if len(out) > 0 && len(lines) > 0 && !b.near {
			out = append(out, "")
		}
		out = append(out, lines...)
	}
	return out
}

// opening is the verdict and how long the bank lasts.
func opening(p *backup.Plan, width int) []string {
	return append(Wrapped(verdictLine(p), width, "", "  "), Wrapped(lastsLine(p), width, "", "  ")...)
}

// brokenLengths names all checks that fail, and all that call for caution: with their figures, then more and more of them with what
// follows, then with their whole reasons. What fails has a line of its own even where there is no room; cautions then share lines.
func brokenLengths(p *backup.Plan, width int) [][]string {
	fails, cautions := p.With(verdict.Fail), p.With(verdict.Caution)
	all := slices.Concat(fails, cautions)
	if len(all) == 0 {
		return nil
	}
	lead := displaywidth.String(string(verdict.Caution)) + 2
	line := func(status verdict.Status, text string) []string {
		return Wrapped(text, width, fmt.Sprintf("%-*s", lead, status), strings.Repeat(" ", lead))
	}
	// told says the first so many of a list in one way and the others in another.
	told := func(list []verdict.Check, most int, first, then func(*backup.Plan, verdict.Check) string) (out []string) {
		for i, c := range list {
			say := then
			if i < most {
				say = first
			}
			out = append(out, line(c.Status, say(p, c))...)
		}
		return out
	}
	short := told(fails, 0, inFigures, inFigures)
	if len(cautions) > 0 {
		var named []string
		for _, c := range cautions {
			named = append(named, record.CheckName(p, c.ID))
		}
		short = append(short, line(verdict.Caution, strings.Join(named, "; "))...)
	}
	out := [][]string{short}
	for n := range len(all) + 1 {
		out = append(out, told(all, n, withRest, inFigures))
	}
	for n := range all {
		out = append(out, told(all, n+1, inWords, withRest))
	}
	return out
}

// inWords is a check with its reason. The first screen knows one autonomy, the promised one.
func inWords(p *backup.Plan, c verdict.Check) string {
	if c.ID == "autonomy" {
		return inFigures(p, c)
	}
	return record.CheckName(p, c.ID) + ": " + speech.Clean(c.Reason.String())
}

// withRest is a check with what it compares and what follows from that; where nothing does, with its reason, which tells what it is about.
func withRest(p *backup.Plan, c verdict.Check) string {
	rest := speech.Clean(c.Reason.Rest().String())
	switch {
	case !c.HasLimit || c.ID == "autonomy":
		return inFigures(p, c)
	case rest == "":
		return inWords(p, c)
	}
	return inFigures(p, c) + ": " + rest
}

// inFigures is a check with what it compares, or with what is missing for that.
func inFigures(p *backup.Plan, c verdict.Check) string {
	name := record.CheckName(p, c.ID) + ": "
	demand, limit, unit := c.Shown()
	switch {
	case c.ID == "autonomy":
		hours, start, err := p.LeastAutonomy()
		if err != nil {
			return name + speech.Clean(err.Error())
		}
		return fmt.Sprintf("%s%s from the least favourable start (%s), required: %s", name, wording.Amount(hours, "h"), calendar.ClockAt(start), wording.Amount(p.Site.Outage.AutonomyH, "h"))
	case !c.HasLimit && c.Reason.Rest().Empty():
		return name + speech.Clean(c.Reason.String())
	case !c.HasLimit:
		return name + speech.Clean(c.Reason.Rest().String())
	case c.ID == "bank-capacity":
		return fmt.Sprintf("%s%s required, %s installed", name, wording.Amount(demand, unit), wording.Amount(limit, unit))
	case verdict.Family(c.ID) == "cable-" && unit == "%":
		return fmt.Sprintf("%s%s of the voltage lost, at most %s", name, wording.Amount(demand, unit), wording.Amount(limit, unit))
	case c.AtLeast:
		return fmt.Sprintf("%s%s, at least %s", name, wording.Amount(demand, unit), wording.Amount(limit, unit))
	}
	return fmt.Sprintf("%s%s, at most %s", name, wording.Amount(demand, unit), wording.Amount(limit, unit))
}

// staysLengths tells what the backup board carries, and how much longer the bank lasts for what matters more.
func staysLengths(p *backup.Plan, width int) [][]string {
	var on []string
	carried := 0
	for _, c := range p.Circuits {
		if !c.OnBackup {
			continue
		}
		carried++
		// A circuit whose loads must all be left off is live, but nobody is to count on it.
		if len(c.Loads) == 0 || slices.ContainsFunc(c.Loads, func(l loads.Load) bool { return !l.HeldOff }) {
			on = append(on, speech.Clean(c.Label))
		}
	}
	switch {
	case carried == 0:
		return [][]string{{"Stays on: nothing, no circuit is on the backup board."}}
	case len(on) == 0:
		return [][]string{Wrapped("Stays on: nothing, all that is on the backup board must be left off.", width, "", "  ")}
	}
	what := "Stays on: "
	if p.Verdict() == verdict.Fail {
		what = "Meant to stay on: "
	}
	longer := longerLines(p, width)
	return [][]string{inLines(what, on, width, 2), append(inLines(what, on, width, 2), longer...), append(inLines(what, on, width, 4), longer...)}
}

// longerLines tell how long the bank lasts when only what matters more is in use.
func longerLines(p *backup.Plan, width int) []string {
	levels, err := study.Levels(p.Facts)
	if err != nil || len(levels) < 2 {
		return nil
	}
	var out []string
	for i, l := range levels[:len(levels)-1] {
		name := fmt.Sprintf("1 to %d", l.Priority)
		switch {
		case i == 0:
			name = "Only " + levelName(l.Priority, false)
		case l.Priority == 2:
			name = "1 and 2"
		}
		out = append(out, name+": "+lasting(l.Hours, l.Capped)+" h")
	}
	return Wrapped(strings.Join(out, "; ")+".", width, "  ", "  ")
}

// leaveLengths tells what must not be used in an outage, and what has no power in it.
func leaveLengths(p *backup.Plan, width int) [][]string {
	var held, off []string
	for _, l := range p.HeldOff {
		held = append(held, speech.Clean(l.Name))
	}
	for _, c := range p.Circuits {
		if !c.OnBackup {
			off = append(off, speech.Clean(c.Label))
		}
	}
	shed, reached := shedFirst(p)
	of := func(most int) (out []string) {
		if len(held) > 0 {
			out = append(out, inLines("Must be left off: ", held, width, most)...)
		}
		if len(shed) > 0 {
			what := fmt.Sprintf("To last %s switch off too: ", wording.Amount(p.Site.Outage.AutonomyH, "h"))
			if !reached {
				what = "Too small a bank, even without: "
			}
			out = append(out, inLines(what, shed, width, most)...)
		}
		if len(off) > 0 {
			out = append(out, inLines("Off with the grid (main board): ", off, width, most)...)
		}
		return out
	}
	if len(held)+len(shed)+len(off) == 0 {
		return nil
	}
	return [][]string{of(1), of(2), of(3)}
}

// shedFirst is what has to be switched off for the hours asked for, where the bank does not last so long; reached says that this is enough.
func shedFirst(p *backup.Plan) (names []string, reached bool) {
	hours := record.Wished(p, 0)
	if hours == 0 {
		return nil, true
	}
	shed, err := study.Shed(p.Facts, hours)
	if err != nil {
		return nil, false
	}
	for _, d := range shed.Drops {
		names = append(names, speech.Clean(d.Load))
	}
	return names, shed.Reached
}

// mostTight is how many limits the first screen names.
const mostTight = 3

// tightLengths names the limits that leave least, of the checks that pass: with figures, and more and more of them with reasons.
func tightLengths(p *backup.Plan, width int) [][]string {
	list := tightestOf(p, mostTight)
	if len(list) == 0 {
		return nil
	}
	said := func(reasons int) []string {
		out := []string{"Tightest limits, with their margins:"}
		for i, c := range list {
			text := inFigures(p, c)
			if i < reasons {
				text = inWords(p, c)
			}
			out = append(out, Wrapped(text, width, fmt.Sprintf("%6s  ", leftOf(c)), strings.Repeat(" ", 8))...)
		}
		return out
	}
	var short []string
	for _, c := range list {
		short = append(short, fmt.Sprintf("%s (%s)", record.CheckName(p, c.ID), leftOf(c)))
	}
	named := Wrapped(strings.Join(short, "; ")+".", width, "Tightest limits, with their margins: ", "  ")
	if p.Verdict() == verdict.Fail {
		return [][]string{nil, named}
	}
	return [][]string{named, said(0), said(1), said(2), said(3)}
}

// tightestOf are the passing checks with the smallest margins, one of each kind: of ten cables the tightest tells enough. The autonomy
// stands in the headline, and what is held off is not meant to be used.
func tightestOf(p *backup.Plan, most int) []verdict.Check {
	var list []verdict.Check
	for _, c := range p.Checks {
		if c.Status == verdict.Pass && c.Ranks() && c.ID != "autonomy" && verdict.Family(c.ID) != "slip-" && !designed(p, c.ID) {
			list = append(list, c)
		}
	}
	slices.SortStableFunc(list, func(a, b verdict.Check) int { return cmp.Compare(a.Margin, b.Margin) })
	var out []verdict.Check
	seen := map[string]bool{}
	for _, c := range list {
		kind := cmp.Or(verdict.Family(c.ID), strings.TrimSuffix(c.ID, "-w"))
		if len(out) < most && !seen[kind] {
			seen[kind] = true
			out = append(out, c)
		}
	}
	return out
}

// manyFails is how many checks may fail before the first of them is singled out.
const manyFails = 3

// settleLengths is what of the plan is open: who depends on a load, of many checks that fail the first with what would mend it, and what is
// worth saying of this home. What holds of every home stands in a line of its own.
func settleLengths(p *backup.Plan, width int) [][]string {
	var open []string
	for _, c := range concerns(p) {
		open = append(open, speech.Clean(c.String()))
	}
	if i := p.ClassCaution; i >= 0 {
		if m, ok, err := study.FirstToMeasure(p.Facts); ok && err == nil { // tells more
			open[i] = speech.Clean(record.MeasureText(p, m).String())
		}
	}
	medical := slices.ContainsFunc(p.Site.Loads, func(l loads.Load) bool { return l.Medical })
	fails := p.With(verdict.Fail)
	if len(fails) > manyFails {
		after := 0
		if medical { // the first of the concerns is of it
			after = 1
		}
		open = slices.Insert(open, after, withRest(p, fails[0])+".")
	}
	if len(open) == 0 {
		return nil
	}
	least := 1 // lines that it has in any case
	if medical || len(fails) > manyFails {
		least = 2
	}
	head := func(n int) string {
		if n == len(open) {
			return "To settle first: "
		}
		return fmt.Sprintf("To settle first (%d of %d): ", n, len(open))
	}
	first := Wrapped(open[0], width, head(1), "  ")
	out := [][]string{begun(first, least, width), begun(first, 2, width), first}
	for n := 2; n <= len(open); n++ {
		lines := []string{strings.TrimSpace(head(n))}
		for _, text := range open[:n] {
			lines = append(lines, Wrapped(text, width, "- ", "  ")...)
		}
		out = append(out, lines)
	}
	return out
}

// begun is the beginning of a text in lines that is too long: its first sentences, or as much of the first as there is room for.
func begun(lines []string, most, width int) []string {
	if len(lines) <= most {
		return lines
	}
	const more = " ..."
	out := slices.Clone(lines[:most])
	for i := most - 1; i >= 0; i-- {
		if at := strings.LastIndex(out[i]+" ", ". "); at >= 0 && at+1+len(more) <= width {
			out[i] = out[i][:at+1] + more
			return out[:i+1]
		}
	}
	last := out[most-1]
	for displaywidth.String(last)+len(more) > width {
		last = last[:max(0, strings.LastIndexByte(last, ' '))]
	}
	out[most-1] = last + more
	return out
}

// concerns are the cautions of this home, without those of every home.
func concerns(p *backup.Plan) []phrase.Phrase {
	return p.Cautions[:max(0, len(p.Cautions)-len(facts.SafetyTexts()))]
}

// moreLines tell where the rest is, and what no plan is.
func moreLines(p *backup.Plan, width int) []string {
	out := Wrapped("More: outlast plan --show PART FILE; parts: "+strings.Join(partsOf(p), ", ")+".", width, "", "  ")
	return append(out, Wrapped("A planning aid, not a design certificate: local code and licensed people decide.", width, "", "  ")...)
}

// inLines names things in at most so many lines; those that have no room are counted.
func inLines(what string, list []string, width, most int) []string {
	for n := len(list); ; n-- {
		text := strings.Join(list[:n], "; ")
		if n < len(list) {
			text += fmt.Sprintf("; and %d more", len(list)-n)
		}
		if lines := Wrapped(text+".", width, what, "  "); len(lines) <= most || n == 1 {
			return lines
		}
	}
}

// Wrapped wraps a text to a width in columns; first and next are put before its first and its other lines.
func Wrapped(text string, width int, first, next string) []string {
	var b bytes.Buffer
	paragraph(&b, text, width, first, next)
	return strings.Split(strings.TrimSuffix(b.String(), "\n"), "\n")
}
