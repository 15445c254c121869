package sheet

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"github.com/clipperhouse/displaywidth"

	"outlast/backup"
	"outlast/backup/calendar"
	"outlast/backup/facts"
	"outlast/backup/phrase"
	"outlast/backup/sheet/columns"
	"outlast/backup/sheet/grid"
	"outlast/backup/sheet/record"
	"outlast/backup/sheet/speech"
	"outlast/backup/study"
	"outlast/backup/verdict"
	"outlast/backup/wording"
	"outlast/loads"
)

// The first screen of a plan: the answer, what is wrong with it, what stays on, the limits that are nearest, and what
// to settle. It fits a terminal of ScreenLines lines of 80 columns, unless more checks fail than that.
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

// A front is the first screen of a plan in a language and a width.
type front struct {
	p *backup.Plan
	*speech.Speaker
	width int
}

// screen is the first screen of a plan. Each block begins at its shortest. What is wrong with the plan then grows to
// its wanted length, and after it all blocks in turn, as long as all of it fits.
func screen(p *backup.Plan, s *speech.Speaker, width int) []string {
	f := front{p, s, min(width, widestProse)}
	broken := f.brokenLengths()
	blocks := []block{
		{lengths: [][]string{f.opening()}},
		{lengths: broken, wanted: len(broken) / 2},
		{lengths: f.staysLengths(), wanted: 1},
		{lengths: f.leaveLengths(), wanted: 1, near: true},
		{lengths: f.tightLengths(), wanted: 1 + mostTight},
		{lengths: f.settleLengths(), near: true},
		{lengths: [][]string{f.moreLines()}},
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
func (f front) opening() []string {
	return append(f.lines(verdictLine(f.p)), f.lines(lastsLine(f.p))...)
}

// semicolon parts items.
func (f front) semicolon() string { return f.Prose(phrase.Symbols("; ")) }

// lines are a sentence of its own.
func (f front) lines(p phrase.Phrase) []string { return columns.Wrapped(f.Prose(p), f.width, "", "  ") }

// brokenLengths names all checks that fail, and all that call for caution: with their figures, then more and more of
// them with what follows, then with their whole reasons. What fails has a line of its own even where there is no room;
// cautions then share lines.
func (f front) brokenLengths() [][]string {
	fails, cautions := f.p.With(verdict.Fail), f.p.With(verdict.Caution)
	all := slices.Concat(fails, cautions)
	if len(all) == 0 {
		return nil
	}
	lead := 0
	for _, s := range []verdict.Status{verdict.Fail, verdict.Caution} {
		if len(f.p.With(s)) > 0 || f.Lang == "en" { // in English they are nearly as wide
			lead = max(lead, displaywidth.String(f.status(s))+2)
		}
	}
	line := func(status verdict.Status, text string) []string {
		word := f.status(status)
		return columns.Wrapped(text, f.width, word+spaces(lead-displaywidth.String(word)), spaces(lead))
	}
	// told says the first so many of a list in one way and the others in another.
	told := func(list []verdict.Check, most int, first, then func(verdict.Check) phrase.Phrase) (out []string) {
		for i, c := range list {
			say := then
			if i < most {
				say = first
			}
			out = append(out, line(c.Status, f.Prose(say(c)))...)
		}
		return out
	}
	short := told(fails, 0, f.inFigures, f.inFigures)
	if len(cautions) > 0 {
		var named []string
		for _, c := range cautions {
			named = append(named, f.CheckName(c.ID))
		}
		short = append(short, line(verdict.Caution, strings.Join(named, f.semicolon()))...)
	}
	out := [][]string{short}
	for n := range len(all) + 1 {
		out = append(out, told(all, n, f.withRest, f.inFigures))
	}
	for n := range all {
		out = append(out, told(all, n+1, f.inWords, f.withRest))
	}
	return out
}

// status is a status in a word.
func (f front) status(s verdict.Status) string { return f.Prose(grid.StatusWord(string(s))) }

// about is what is said of a check, behind its name.
func (f front) about(c verdict.Check, text phrase.Phrase) phrase.Phrase {
	return phrase.Of("%s: %s", phrase.Name(f.CheckName(c.ID)), text)
}

// inWords is a check with its reason. The first screen knows one autonomy, the promised one.
func (f front) inWords(c verdict.Check) phrase.Phrase {
	if c.ID == "autonomy" || c.Elsewhere() {
		return f.inFigures(c)
	}
	return f.about(c, c.Reason)
}

// withRest is a check with what it compares and what follows from that, or from what it is a caution for though it keeps
// its limit; where nothing does, with its reason, which tells what it is about.
func (f front) withRest(c verdict.Check) phrase.Phrase {
	rest := c.Reason.Rest()
	if c.KeepsLimit() && !c.Concern.Empty() {
		rest = c.Concern.Rest()
	}
	switch {
	case !c.HasLimit || c.ID == "autonomy" || c.Elsewhere():
		return f.inFigures(c)
	case rest.Empty():
		return f.inWords(c)
	}
	return phrase.Of("%s: %s", f.compared(c), rest)
}

// inFigures is a check with what it compares, or with what is missing for that. A caution that keeps its limit is one
// for something else: its figures would look like those of a check that passes.
func (f front) inFigures(c verdict.Check) phrase.Phrase {
	if c.KeepsLimit() && c.ID != "autonomy" {
		return f.about(c, phrase.Of("see --show checks"))
	}
	return f.compared(c)
}

// compared is a check with what it compares, or with what is missing for that.
func (f front) compared(c verdict.Check) phrase.Phrase {
	of, than, in := c.Told()
	demand, limit := wording.Amount(of, in), wording.Amount(than, in)
	x, y := phrase.Apart(of, than, in)
	switch {
	case c.ID != "autonomy" && c.Elsewhere():
		return f.about(c, phrase.Of("in %s: %s", wording.MonthWord(c.InMonth), c.There))
	case c.ID == "autonomy":
		hours, start, err := f.p.LeastAutonomy()
		if err != nil {
			return f.about(c, wording.ReasonOf(err))
		}
		if month, h, err := f.p.ShortestMonth(); err == nil && month > 0 && c.Status == verdict.Caution && f.p.FallsShortIn(h) {
			return f.about(c, phrase.Of("in %s only %s, required: %s", wording.MonthWord(month), wording.Amount(h, "h"),
				wording.Amount(f.p.Site.Outage.AutonomyH, "h")))
		}
		return f.about(c, phrase.Of("%s from the least favourable start (%s), required: %s", wording.Amount(hours, "h"),
			phrase.Name(calendar.ClockAt(start)),
			wording.Amount(f.p.Site.Outage.AutonomyH, "h")))
	case !c.HasLimit && c.Reason.Rest().Empty():
		return f.about(c, c.Reason)
	case !c.HasLimit:
		return f.about(c, c.Reason.Rest())
	case c.ID == "bank-capacity":
		return f.about(c, phrase.Of("%s required, %s installed", wording.Amount(f.p.EnoughAh(), in), limit))
	case c.ID == "ventilation":
		return f.about(c, phrase.Of("openings of %s each required, %s there", demand, limit))
	case c.Status == verdict.Fail && x == y: // no digits tell them apart
		return f.about(c, phrase.Of("just beyond the limit of %s", limit))
	case verdict.Family(c.ID) == "cable-" && in == "%":
		return f.about(c, phrase.Of("%s of the voltage lost, at most %s", demand, limit))
	case c.AtLeast:
		return f.about(c, phrase.Of("%s, at least %s", demand, limit))
	}
	return f.about(c, phrase.Of("%s, at most %s", demand, limit))
}

// staysLengths tells what the backup board carries, and how much longer the bank lasts for what matters more.
func (f front) staysLengths() [][]string {
	var on []string
	carried := 0
	for _, c := range f.p.Circuits {
		if !c.OnBackup {
			continue
		}
		carried++
		switch {
		case c.CountedOn() && c.IdleIn(f.p.Month):
			on = append(on, f.Prose(phrase.Of("%s (not in %s)", phrase.Name(c.Label), wording.MonthWord(f.p.Month))))
		case c.CountedOn():
			on = append(on, f.called(c.Label))
		}
	}
	switch {
	case carried == 0:
		return [][]string{f.lines(phrase.Of("Stays on: nothing, no circuit is on the backup board."))}
	case len(on) == 0:
		return [][]string{f.lines(phrase.Of("Stays on: nothing, all that is on the backup board must be left off."))}
	}
	what := phrase.Of("Stays on:")
	if f.p.Verdict() == verdict.Fail {
		what = phrase.Of("Meant to stay on:")
	}
	longer := f.longerLines()
	return [][]string{f.inLines(what, on, 2), append(f.inLines(what, on, 2), longer...),
		append(f.inLines(what, on, 4), longer...)}
}

// called is what people call a load or a circuit.
func (f front) called(name string) string { return f.Prose(phrase.Name(name)) }

// longerLines tell how long the bank lasts when only what matters more is in use.
func (f front) longerLines() []string {
	levels, err := study.Levels(f.p.Facts)
	if err != nil || len(levels) < 2 || f.p.TooColdToDischarge() { // it gives nothing, whatever is in use
		return nil
	}
	var out []string
	for i, l := range levels[:len(levels)-1] {
		hours := grid.Measured(grid.Lasting(l.Hours, l.Capped), "h")
		text := phrase.Of("1 to %d: %s", l.Priority, hours)
		switch {
		case i == 0:
			text = phrase.Of("Only %s: %s", levelName(l.Priority, false), hours)
		case l.Priority == 2:
			text = phrase.Of("1 and 2: %s", hours)
		}
		out = append(out, f.Prose(text))
	}
	return columns.Wrapped(strings.Join(out, f.semicolon())+".", f.width, "  ", "  ")
}

// leaveLengths tells what must not be used in an outage, and what has no power in it.
func (f front) leaveLengths() [][]string {
	var held, off []string
	for _, l := range f.p.HeldOff {
		held = append(held, f.called(l.Name))
	}
	for _, c := range f.p.Circuits {
		if !c.OnBackup {
			off = append(off, f.called(c.Label))
		}
	}
	shed, reached := shedFirst(f.p)
	for i, name := range shed {
		shed[i] = f.called(name)
	}
	of := func(most int) (out []string) {
		if len(held) > 0 {
			out = append(out, f.inLines(phrase.Of("Must be left off:"), held, most)...)
		}
		if len(shed) > 0 {
			what := phrase.Of("To last %s switch off too:", wording.Amount(f.p.Site.Outage.AutonomyH, "h"))
			if !reached {
				what = phrase.Of("Too small a bank, even without:")
			}
			out = append(out, f.inLines(what, shed, most)...)
		}
		if len(off) > 0 {
			out = append(out, f.inLines(phrase.Of("Off with the grid (main board):"), off, most)...)
		}
		return out
	}
	if len(held)+len(shed)+len(off) == 0 {
		return nil
	}
	return [][]string{of(1), of(2), of(3)}
}

// shedFirst is what has to be switched off for the hours asked for, where the bank does not last so long; reached says
// that this is enough.
func shedFirst(p *backup.Plan) (names []string, reached bool) {
	hours := record.Wished(p, 0)
	if hours == 0 || p.TooColdToDischarge() { // nothing that is switched off helps a bank that gives nothing
		return nil, true
	}
	shed, err := study.Shed(p.Facts, hours)
	if err != nil {
		return nil, false
	}
	for _, d := range shed.Drops {
		names = append(names, d.Load)
	}
	return names, shed.Reached
}

// mostTight is how many limits the first screen names.
const mostTight = 3

// tightLengths names the limits that leave least, of the checks that pass: with figures, and more and more of them with
// reasons.
func (f front) tightLengths() [][]string {
	list := tightestOf(f.p, mostTight)
	if len(list) == 0 {
		return nil
	}
	title := f.Prose(phrase.Of("Tightest limits, with their margins:"))
	left := make([]string, len(list))
	wide := 6 // columns
	for i, c := range list {
		left[i] = f.Prose(phrase.Symbols("%s", leftOf(c)))
		wide = max(wide, displaywidth.String(left[i]))
	}
	said := func(reasons int) []string {
		out := columns.Wrapped(title, f.width, "", "  ")
		for i, c := range list {
			text := f.inFigures(c)
			if i < reasons {
				text = f.inWords(c)
			}
			out = append(out, columns.Wrapped(f.Prose(text), f.width,
				spaces(wide-displaywidth.String(left[i]))+left[i]+"  ",
				spaces(wide+2))...)
		}
		return out
	}
	var short []string
	for i, c := range list {
		short = append(short, fmt.Sprintf("%s (%s)", f.CheckName(c.ID), left[i]))
	}
	named := columns.Wrapped(title+" "+strings.Join(short, f.semicolon())+".", f.width, "", "  ")
	if f.p.Verdict() == verdict.Fail {
		return [][]string{nil, named}
	}
	return [][]string{named, said(0), said(1), said(2), said(3)}
}

// tightestOf are the passing checks with the smallest margins, one of each kind: of ten cables the tightest tells
// enough. The autonomy stands in the headline, and what is held off is not meant to be used.
func tightestOf(p *backup.Plan, most int) []verdict.Check {
	var list []verdict.Check
	for _, c := range p.Checks {
		if c.Status == verdict.Pass && c.Ranks() && c.ID != "autonomy" && verdict.Family(c.ID) != "slip-" &&
			!designed(p, c.ID) {
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

// settleLengths is what of the plan is open: who depends on a load, of many checks that fail the first with what would
// mend it, and what is worth saying of this home. What holds of every home stands in a line of its own.
func (f front) settleLengths() [][]string {
	p, width := f.p, f.width
	var open []string
	for _, c := range concerns(p) {
		open = append(open, f.Prose(c))
	}
	if i := p.ClassCaution; i >= 0 {
		if m, ok, err := study.FirstToMeasure(p.Facts); ok && err == nil { // tells more
			open[i] = f.Prose(record.MeasureText(m, f.CheckName))
		}
	}
	medical := slices.ContainsFunc(p.Site.Loads, func(l loads.Load) bool { return l.Medical })
	fails := p.With(verdict.Fail)
	if len(fails) > manyFails {
		after := 0
		if medical { // the first of the concerns is of it
			after = 1
		}
		open = slices.Insert(open, after, f.Prose(f.withRest(fails[0]))+".")
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
			return f.Prose(phrase.Of("To settle first:"))
		}
		return f.Prose(phrase.Of("To settle first (%d of %d):", n, len(open)))
	}
	first := columns.Wrapped(head(1)+" "+open[0], width, "", "  ")
	out := [][]string{begun(first, least, width), begun(first, 2, width), first}
	if least == 1 { // what is cut within its first line may not have said anything yet
		if !wholeSentence(out[0]) {
			out[0] = f.lines(phrase.Of("To settle first: %s, see --show cautions.",
				phrase.Count(len(open), "%d point", "%d points")))
		}
	}
	for n := 2; n <= len(open); n++ {
		lines := []string{head(n)}
		for _, text := range open[:n] {
			lines = append(lines, columns.Wrapped(text, width, "- ", "  ")...)
		}
		out = append(out, lines)
	}
	return out
}

// more stands where a text goes on that is not shown.
const more = " ..."

// wholeSentence says whether lines do not end within their only sentence.
func wholeSentence(lines []string) bool {
	before, cut := strings.CutSuffix(lines[len(lines)-1], more)
	return !cut || strings.HasSuffix(before, ".")
}

// begun is the beginning of a text in lines that is too long: its first sentences, or as much of the first as there is
// room for.
func begun(lines []string, most, width int) []string {
	if len(lines) <= most {
		return lines
	}
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
func (f front) moreLines() []string {
	return append(f.lines(phrase.Of("More: outlast plan --show PART FILE; parts: %s.",
		phrase.Name(strings.Join(partsOf(f.p), ", ")))),
		f.lines(phrase.Of("A planning aid, not a design certificate: local code and licensed people decide."))...)
}

// inLines names things in at most so many lines; those that have no room are counted.
func (f front) inLines(what phrase.Phrase, list []string, most int) []string {
	for n := len(list); ; n-- {
		text := strings.Join(list[:n], f.semicolon())
		if n < len(list) {
			text += f.semicolon() + f.Prose(phrase.Of("and %d more", len(list)-n))
		}
		if lines := columns.Wrapped(f.Prose(what)+" "+text+".", f.width, "", "  "); len(lines) <= most || n == 1 {
			return lines
		}
	}
}
