// Package inventory turns a list of appliances, as people keep it, into the circuits and loads of a site file.
//
// [Read] takes a table ([outlast/backup/measured/tabular]) whose columns are found by their words in English, German,
// Spanish and French, or named by the user. A row gives an appliance: how many, what one of them draws, how it starts,
// how long it is on. A row whose name is a class of the catalog takes from the class what it leaves out. Nothing is
// guessed: what is unsure is a problem with row and column. [List.Text] writes circuits and loads with a comment for
// each decision, in the language of who reads them.
//
// Powers are W and VA of one unit, times hours of a day.
package inventory

import (
	"math"
	"slices"
	"strings"

	"outlast/backup/draft"
	"outlast/backup/measured/tabular"
	"outlast/backup/phrase"
	"outlast/catalog/strict"
)

// Options are what a list itself does not tell.
type Options struct {
	Wishes []tabular.Wish
	Volts  float64 // of the supply to neutral; 0: not told
	Phases int
	// Assumed are the volts of the home, of one phase, where Volts are not told; 0: nothing is assumed.
	Assumed float64
}

// A List is what was read.
type List struct {
	Notes []phrase.Phrase // decisions about the list as a whole

	items  []item
	phases int
}

// reader reads a list.
type reader struct {
	t      *tabular.Table
	cols   tabular.Columns
	names  *Names
	o      Options
	list   List
	titled []phrase.Phrase  // rows that are titles
	marks  map[string][]int // words of the essential column, with their lines
	ended  bool             // the row of sums was met
	// threePhase: the amps of the row are those of each of three phases
	threePhase bool
	tally      struct{ w, each, wh float64 }
}

// mostItems is more than any home has.
const mostItems = 2000

// Read reads a list. The error is of type [strict.Problems].
func Read(t *tabular.Table, names *Names, o Options) (*List, error) {
	r := &reader{t: t, names: names, o: o, list: List{phases: o.Phases}, marks: map[string][]int{}}
	cols, ok := tabular.FindColumns(t, kinds, units, o.Wishes, func(ids map[string]bool) bool {
		named := ids[kindName] || ids[kindNombre] || ids[kindClass]
		return named && (ids[kindPower] || ids[kindAmps] || ids[kindHours] || ids[kindQuantity] || ids[kindEnergy] ||
			ids[kindClass])
	})
	if !ok {
		return nil, t.Err()
	}
	r.cols = cols
	r.settle()
	for t.Next() {
		r.row()
	}
	r.marked()
	if len(r.list.items) == 0 && t.Err() == nil {
		t.ReportAt(r.cols.Line, 0, "", "found no row that is an appliance")
	}
	if err := t.Err(); err != nil {
		return nil, err
	}
	r.describe()
	return &r.list, nil
}

// settle decides about columns that are told in two ways.
func (r *reader) settle() {
	if c, ok := r.cols.Of(kindNombre); ok {
		for _, kind := range []string{kindName, kindQuantity} {
			if _, there := r.cols.Of(kind); !there {
				r.cols.By[kind] = []tabular.Column{c}
				break
			}
		}
	}
}

// describe notes what holds for the whole list.
func (r *reader) describe() {
	note := func(p phrase.Phrase) { r.list.Notes = append(r.list.Notes, p) }
	var read []phrase.Phrase
	for _, k := range kinds {
		if c, ok := r.cols.Of(k.ID); ok && k.ID != kindNombre {
			read = append(read, phrase.Of("%s from %s", k.ID, nameOf(c)))
		}
	}
	note(phrase.Of("read: %s", phrase.Separated(read, ", ")))
	var unread []phrase.Phrase
	for _, c := range r.cols.Unread {
		unread = append(unread, nameOf(c))
	}
	if unread != nil {
		note(phrase.Of("not read: %s", phrase.Separated(unread, ", ")))
	}
	if r.titled != nil {
		note(phrase.Of("taken for titles: %s", phrase.Separated(r.titled, ", ")))
	}
}

// nameOf is what a column is called.
func nameOf(c tabular.Column) phrase.Phrase {
	if c.Head == "" {
		return phrase.Of("column %d", c.Index+1)
	}
	return phrase.Of("column %q", strict.Clip(c.Head))
}

// row reads a row.
func (r *reader) row() {
	t := r.t
	if r.repeatsHead() {
		return
	}
	name := r.text(kindName)
	switch {
	case r.isTotal(name):
		r.compare()
		r.ended = true
		return
	case r.onlyName():
		_, class := r.names.find(name)
		if class && !r.ended {
			break
		}
		if r.ended || strings.HasSuffix(name, ":") || isTitle(name) {
			r.titled = append(r.titled, phrase.Of("%q in line %d", strict.Clip(name), t.Line()))
			return
		}
		col, _ := r.cols.Of(kindName)
		t.Report(col.Index, r.askClass(name, "a title ends with a colon"),
			"found %s and nothing else in the row, which is no class of appliances", strict.Quote(name))
		return
	case name == "" && r.text(kindClass) == "":
		if r.sumsUp() {
			return
		}
		col, _ := r.cols.Of(kindName)
		t.Report(col.Index, "", "found a row without a name, which is no row of sums either")
		return
	}
	if r.beyondHead() {
		return
	}
	if len(r.list.items) == mostItems {
		t.Report(-1, "", "found more than %d appliances", mostItems)
		return
	}
	if it, ok := r.item(name); ok {
		r.list.items = append(r.list.items, it)
		r.tally.w += float64(it.quantity) * it.typicalW()
		r.tally.each += it.typicalW()
		r.tally.wh += float64(it.quantity) * it.typicalW() * it.typicalHours()
	}
}

// text is what stands in the column of a kind, on one line.
func (r *reader) text(kind string) string {
	c, ok := r.cols.Of(kind)
	if !ok {
		return ""
	}
	return strings.Join(strings.Fields(r.t.Cell(c.Index).Text), " ")
}

func (r *reader) repeatsHead() bool {
	return r.cols.Head != nil && slices.EqualFunc(r.cols.Head, r.t.Cells(),
		func(a, b tabular.Cell) bool { return a.Text == b.Text })
}

// onlyName says whether nothing stands in the row but a name.
func (r *reader) onlyName() bool {
	c, ok := r.cols.Of(kindName)
	for i, cell := range r.t.Cells() {
		if cell.Text != "" && i != c.Index {
			return false
		}
	}
	return ok && r.t.Cell(c.Index).Text != ""
}

// titles are words over a part of a list.
var titles = wordSet("kitchen bathroom bath bedroom bedrooms garage cellar basement attic garden outdoors outside " +
	"office workshop laundry hall lounge living room rooms floor ground upstairs downstairs " +
	"lighting lights cooling heating other others various miscellaneous kuche bad schlafzimmer wohnzimmer keller " +
	"dachboden garten buro werkstatt flur sonstiges beleuchtung " +
	"cocina bano dormitorio salon garaje sotano jardin oficina taller pasillo otros iluminacion cuisine salle de " +
	"bain chambre sejour cave grenier bureau atelier couloir divers eclairage")

func isTitle(name string) bool {
	all := strings.Fields(tabular.Plain(name))
	return len(all) > 0 && !slices.ContainsFunc(all, func(w string) bool { return !titles[w] })
}

// isTotal says whether the row holds sums: by its name, or by a word in another column where there is no name.
func (r *reader) isTotal(name string) bool {
	if name != "" {
		return totalName(name)
	}
	return slices.ContainsFunc(r.t.Cells(), func(c tabular.Cell) bool { return !c.Typed && totalName(c.Text) })
}

func totalName(text string) bool {
	sum := false
	for _, w := range strings.Fields(tabular.Plain(text)) {
		if totalWords[w] {
			sum = true
		} else if !besideTotal[w] {
			return false
		}
	}
	return sum
}

// sumsUp says whether a row without a name holds the sums of the rows before it.
func (r *reader) sumsUp() bool {
	found := false
	for i, cell := range r.t.Cells() {
		if cell.Text == "" {
			continue
		}
		fs, _, ok := r.t.Peek(i)
		if !ok || len(fs) != 1 {
			return false
		}
		v := fs[0].Value
		if !r.sum(v) {
			return false
		}
		found = true
	}
	if found {
		r.ended = true
	}
	return found && len(r.list.items) > 1
}

// sum says whether a figure is one of the sums so far.
func (r *reader) sum(v float64) bool {
	quantity := 0
	hours := 0.0
	for _, it := range r.list.items {
		quantity += it.quantity
		hours += it.typicalHours()
	}
	for _, s := range []float64{r.tally.w, r.tally.each, r.tally.wh, float64(quantity), hours} {
		for _, unit := range []float64{1, 1000} {
			if math.Abs(v*unit-s) <= 0.01*s {
				return true
			}
		}
	}
	return false
}

// compare holds the row of sums to the rows.
func (r *reader) compare() {
	for _, c := range []struct {
		kinds []string
		sums  []float64
		unit  string
	}{{[]string{kindPower, kindTotal}, []float64{r.tally.w, r.tally.each}, "W"},
		{[]string{kindEnergy}, []float64{r.tally.wh}, "Wh"}} {
		for _, kind := range c.kinds {
			col, ok := r.cols.Of(kind)
			if !ok || r.t.Cell(col.Index).Text == "" {
				continue
			}
			fs, _, ok := r.t.Peek(col.Index)
			if !ok || len(fs) != 1 {
				continue
			}
			near := slices.ContainsFunc(c.sums, func(s float64) bool {
				return math.Abs(fs[0].Value-s) <= 0.01*s || math.Abs(fs[0].Value*1000-s) <= 0.01*s
			})
			text, sum := strict.Clip(r.t.Cell(col.Index).Text), phrase.Measure(draft.Num(math.Round(c.sums[0]))+" "+c.unit)
			says := phrase.Of("the sum in line %d, %q, agrees with the rows before it: %s", r.t.Line(), text, sum)
			if !near {
				says = phrase.Of("the sum in line %d, %q, does NOT agree with the rows before it: %s", r.t.Line(), text, sum)
			}
			r.list.Notes = append(r.list.Notes, says)
		}
	}
}

// marked turns the marks of the essential column into boards, once all of them are known: where nothing says no, a
// blank does.
func (r *reader) marked() {
	if len(r.marks["no"]) > 0 && len(r.marks[""]) > 0 {
		col, _ := r.cols.Of(kindEssential)
		for _, line := range r.marks[""] {
			r.t.ReportAt(line, col.Index, "", "found nothing, want yes or no, as other rows have it")
		}
	}
}

// Summary tells the sums of what was read.
func (l *List) Summary() phrase.Phrase {
	var w, wh, most float64
	units := 0
	for _, it := range l.items {
		units += it.quantity
		w += float64(it.quantity) * it.typicalW()
		wh += float64(it.quantity) * it.typicalW() * it.typicalHours()
		most = max(most, it.startVA())
	}
	whole := func(v float64) phrase.Number { return phrase.Number(draft.Num(math.Round(v))) }
	if most > 0 {
		return phrase.Of("%d loads of %d appliances: %s W running, %s Wh a day, the largest start %s VA", len(l.items), units,
			whole(w), whole(wh), whole(most))
	}
	return phrase.Of("%d loads of %d appliances: %s W running, %s Wh a day", len(l.items), units, whole(w), whole(wh))
}

func wordSet(text string) map[string]bool {
	out := map[string]bool{}
	for _, w := range strings.Fields(text) {
		out[w] = true
	}
	return out
}

func contains(all []string, one string) bool { return slices.Contains(all, one) }
