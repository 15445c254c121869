package tabular

import (
	"fmt"
	"slices"
	"strconv"
	"strings"
	"unicode"

	"golang.org/x/text/unicode/norm"

	"outlast/catalog/strict"
)

// A Kind is something that a column may tell.
type Kind struct {
	ID       string
	Number   bool     // its cells begin with a figure
	Unitless bool     // a head that ends with a unit is no such column
	Words    []string // of heads, as [Plain] writes them: each may be several words that follow one another
	Units    []string // that tell the kind by themselves, as "V" in a head does volts; lower case
}

// And is the kind with more words.
func (k Kind) And(words ...string) Kind {
	k.Words = slices.Concat(k.Words, words)
	return k
}

// A Column is one that was found.
type Column struct {
	Index int    // from 0
	Head  string // as it stands; "" where the table names none
	Unit  string // in its head, below it or in its flag, in lower case; "" for none
	words []string
}

// Has says whether the head has one of some words.
func (c Column) Has(words ...string) bool {
	return slices.ContainsFunc(words, func(w string) bool { return hasWords(c.words, strings.Fields(w)) })
}

// UnitAmong is the unit of the column's flag, of its head or below it, or the last word of its head, that is one of some;
// "" for none.
func (c Column) UnitAmong(some func(unit string) bool) string {
	if some(c.Unit) {
		return c.Unit
	}
	for _, w := range slices.Backward(c.words) {
		if some(w) {
			return w
		}
	}
	return ""
}

// Name is what messages call it.
func (c Column) Name() string {
	if c.Head == "" {
		return fmt.Sprintf("column %d", c.Index+1)
	}
	return "column " + strict.Quote(c.Head)
}

// Plain writes a text in small letters without accents, its words divided by single blanks: what is neither letter nor
// figure divides.
func Plain(text string) string { return strings.Join(plainWords(text), " ") }

// Forms are a name, plainly written, and what it would be in the singular of some language.
func Forms(name string) []string {
	name = Plain(name)
	out := []string{name}
	for _, end := range []string{"s", "es", "n", "en", "e"} {
		if one, ok := strings.CutSuffix(name, end); ok && len(one) > 2 {
			out = append(out, one)
		}
	}
	return out
}

// ID makes an id of a name; other is taken where nothing of the name may stand in one.
func ID(name, other string) string {
	if id := strings.Join(plainWords(name), "-"); id != "" {
		return id
	}
	return other
}

func plainWords(text string) []string {
	text = strings.NewReplacer("ß", "ss", "œ", "oe", "æ", "ae", "ø", "o", "φ", "phi").Replace(strings.ToLower(text))
	var b strings.Builder
	for _, r := range norm.NFD.String(text) {
		switch {
		case unicode.Is(unicode.Mn, r):
		case unicode.IsLetter(r), unicode.IsDigit(r):
			b.WriteRune(r)
		default:
			b.WriteByte(' ')
		}
	}
	return strings.Fields(b.String())
}

func hasWords(all, some []string) bool {
	for i := 0; len(some) > 0 && i+len(some) <= len(all); i++ {
		if slices.Equal(all[i:i+len(some)], some) {
			return true
		}
	}
	return false
}

// kindOf is the kind of a head: the first of which it has words, else the first whose unit it has.
func kindOf(words []string, unit string, kinds []Kind) (id string) {
	for _, k := range kinds {
		if k.Unitless && unit != "" && unit == words[len(words)-1] {
			continue
		}
		for _, w := range k.Words {
			if hasWords(words, strings.Fields(w)) {
				return k.ID
			}
		}
	}
	for _, k := range kinds {
		for _, u := range k.Units {
			if slices.Contains(words, u) {
				return k.ID
			}
		}
	}
	return ""
}

// unitOf is the unit in a head: in brackets, or its last word that is one.
func unitOf(words []string, units []string) string {
	for _, w := range slices.Backward(words) {
		if slices.Contains(units, w) {
			return w
		}
	}
	return ""
}

// Columns are those of a table, by the ID of their kind.
type Columns struct {
	By     map[string][]Column
	Unread []Column // that no kind is known of
	Head   []Cell   // the row that names them; nil: none does
	Line   int      // of that row
}

// A Wish is a column that the user names: "power=3", "power=Running W", "power=3 kW".
type Wish struct{ Kind, Which, Unit string }

// ReadWishes reads them; none of a kind is "none".
func ReadWishes(given []string, kinds []Kind, units []string) ([]Wish, error) {
	var ids []string
	for _, k := range kinds {
		ids = append(ids, k.ID)
	}
	var out []Wish
	for _, text := range given {
		id, which, ok := strings.Cut(text, "=")
		w := Wish{Kind: strings.TrimSpace(id), Which: strings.TrimSpace(which)}
		if !ok || w.Which == "" {
			return nil, fmt.Errorf("--column %s, want a kind, = and a column: --column %s=3", strict.Quote(text),
				ids[0])
		}
		if !slices.Contains(ids, w.Kind) {
			return nil, fmt.Errorf("--column %s: no kind is called so, want one of %s", strict.Quote(text),
				strings.Join(ids, ", "))
		}
		if slices.ContainsFunc(out, func(o Wish) bool { return o.Kind == w.Kind }) {
			return nil, fmt.Errorf("--column %s: %s is given a second time", strict.Quote(text), w.Kind)
		}
		if number, unit, ok := strings.Cut(w.Which, " "); ok && slices.Contains(units, strings.ToLower(unit)) {
			if _, err := strconv.Atoi(number); err == nil {
				w.Which, w.Unit = number, strings.ToLower(unit)
			}
		}
		out = append(out, w)
	}
	return out, nil
}

// headRows is how far down the head is looked for: there may be a title above it.
const headRows = 30

// SumWords are those that a row of sums is called by, in four languages.
var SumWords = []string{"total", "totals", "sum", "sums", "summe", "summen", "gesamt", "gesamtsumme", "suma", "sumas", "somme",
	"totaux", "subtotal", "zwischensumme"}

// FindColumns goes to the row that names the columns, the first in which enough says that the kinds are told, and reads
// it; wishes go before words. Without such a row the columns that wishes give by number are taken, and the first row is
// data, unless words stand where figures are wanted. What is wrong is reported, and then ok is false.
func FindColumns(t *Table, kinds []Kind, units []string, wishes []Wish,
	enough func(ids map[string]bool) bool) (c Columns, ok bool) {
	var above []Row
	numbered := len(wishes) > 0
	for _, w := range wishes {
		if _, err := strconv.Atoi(w.Which); err != nil && w.Which != "none" {
			numbered = false
		}
	}
	for len(above) < headRows && t.Next() {
		head := slices.Clone(t.Cells())
		if found, ids := nameColumns(head, kinds, units, wishes); enough(ids) && found.heads(head, kinds) {
			found.Head, found.Line = head, t.Line()
			ok := found.settle(t, kinds, wishes)
			if ok {
				found.unitsBelow(t, kinds, units)
			}
			return found, ok
		}
		above = append(above, Row{t.Line(), head})
	}
	if len(above) == 0 {
		if t.Err() == nil {
			t.ReportAt(0, 0, "", "is empty, want a table")
		}
		return c, false
	}
	if !numbered {
		for _, w := range wishes {
			if _, err := strconv.Atoi(w.Which); err != nil && w.Which != "none" {
				t.ReportAt(above[0].Line, 0, "the first row has "+heads(above[0].Cells),
					"--column %s=%s: no row names such a column, or none beside it with words that are known", w.Kind,
					w.Which)
				return c, false
			}
		}
		t.ReportAt(above[0].Line, 0,
			"name them: --column KIND=1, or with its unit --column \"KIND=2 kW\"; the kinds are "+kindList(kinds),
			"no row names its columns with words that are known")
		return c, false
	}
	widest := 0
	for _, r := range above {
		widest = max(widest, len(r.Cells))
	}
	for _, w := range wishes {
		if n, _ := strconv.Atoi(w.Which); w.Which != "none" && (n < 1 || n > widest) {
			t.ReportAt(above[0].Line, 0, "", "--column %s=%s: there is no such column", w.Kind, w.Which)
			return c, false
		}
	}
	found, ids := nameColumns(nil, kinds, units, wishes)
	if !enough(ids) {
		t.ReportAt(above[0].Line, 0, "the kinds are "+kindList(kinds),
			"no row names its columns with words that are known, and --column does not name enough of them")
		return c, false
	}
	t.src, t.failed = &rest{above, t.src, t.failed}, nil
	return found, true
}

// heads says whether a row may name columns: where figures are wanted stand words.
func (c *Columns) heads(row []Cell, kinds []Kind) bool {
	words := false
	for _, k := range kinds {
		for _, col := range c.By[k.ID] {
			if k.Number && col.Index < len(row) && row[col.Index].Text != "" {
				if digits, _ := cutNumber(row[col.Index].Text); digits != "" {
					return false
				}
				words = true
			}
		}
	}
	return words
}

func heads(cells []Cell) string {
	var all []string
	for _, c := range cells[:min(len(cells), 12)] {
		all = append(all, strict.Quote(oneLine(c.Text)))
	}
	return strings.Join(all, ", ")
}

// rest gives rows that were read already, and then those that follow.
type rest struct {
	read []Row
	then source
	err  error // that came behind them
}

func (r *rest) next() (int, []Cell, error) {
	if len(r.read) == 0 && r.err != nil {
		return 0, nil, r.err
	}
	if len(r.read) == 0 {
		return r.then.next()
	}
	row := r.read[0]
	r.read = r.read[1:]
	return row.Line, row.Cells, nil
}

func kindList(kinds []Kind) string {
	var ids []string
	for _, k := range kinds {
		ids = append(ids, k.ID)
	}
	return strings.Join(ids, ", ")
}

// nameColumns tells the kind of each column of a head.
func nameColumns(head []Cell, kinds []Kind, units []string, wishes []Wish) (Columns, map[string]bool) {
	c := Columns{By: map[string][]Column{}}
	ids := map[string]bool{}
	wished := map[int]Wish{} // by column
	barred := map[string]bool{}
	for _, w := range wishes {
		barred[w.Kind] = true
		if n, err := strconv.Atoi(w.Which); err == nil {
			wished[n-1] = w
			if n > len(head) && n > 0 {
				c.By[w.Kind], ids[w.Kind] = append(c.By[w.Kind], Column{Index: n - 1, Unit: w.Unit}), true
			}
			continue
		}
		for i, cell := range head {
			if Plain(cell.Text) == Plain(w.Which) && cell.Text != "" {
				wished[i] = w
			}
		}
	}
	for i, cell := range head {
		words := plainWords(cell.Text)
		col := Column{Index: i, Head: oneLine(cell.Text), Unit: unitOf(words, units), words: words}
		id := kindOf(words, col.Unit, kinds)
		if w, ok := wished[i]; ok {
			id = w.Kind
			if w.Unit != "" {
				col.Unit = w.Unit
			}
		} else if barred[id] || cell.Typed {
			id = ""
		}
		if id == "" {
			if cell.Text != "" {
				c.Unread = append(c.Unread, col)
			}
			continue
		}
		c.By[id], ids[id] = append(c.By[id], col), true
	}
	return c, ids
}

func oneLine(text string) string { return strings.Join(strings.Fields(text), " ") }

// settle reports wishes that no column has, and kinds that several columns tell.
func (c *Columns) settle(t *Table, kinds []Kind, wishes []Wish) bool {
	ok := true
	for _, w := range wishes {
		if n, err := strconv.Atoi(w.Which); err == nil && (n < 1 || n > maxColumns) || err != nil &&
			w.Which != "none" && len(c.By[w.Kind]) == 0 {
			t.ReportAt(c.Line, 0, "", "--column %s=%s: there is no such column", w.Kind, w.Which)
			ok = false
		}
	}
	for _, k := range kinds {
		if cols := c.By[k.ID]; len(cols) > 1 {
			t.ReportAt(c.Line, cols[1].Index, fmt.Sprintf("say which: --column %s=%d or --column %s=%d", k.ID,
				cols[0].Index+1, k.ID, cols[1].Index+1),
				"found %s, but %s may tell the %s too", strict.Quote(cols[1].Head), cols[0].Name(), k.ID)
			ok = false
		}
	}
	return ok
}

// unitsBelow reads the row below the head where it has nothing but units and what else belongs to a head: there is one in
// a column of figures, and none of these begins with a figure.
func (c *Columns) unitsBelow(t *Table, kinds []Kind, units []string) {
	if !t.Next() {
		return
	}
	told := map[*Column]string{}
	for _, k := range kinds {
		for i := range c.By[k.ID] {
			col := &c.By[k.ID][i]
			text := t.Cell(col.Index).Text
			if !k.Number || text == "" {
				continue
			}
			unit := unitOf(plainWords(text), units)
			if digits, _ := cutNumber(text); digits != "" || unit == "" || len(plainWords(text)) > 1 ||
				col.Unit != "" && col.Unit != unit {
				t.Again()
				return
			}
			told[col] = unit
		}
	}
	if len(told) == 0 {
		t.Again()
	}
	for col, unit := range told {
		col.Unit = unit
	}
}

// Of is the column of a kind.
func (c *Columns) Of(id string) (Column, bool) {
	if cols := c.By[id]; len(cols) > 0 {
		return cols[0], true
	}
	return Column{}, false
}
