package inventory

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"

	"outlast/backup/draft"
	"outlast/backup/measured/tabular"
	"outlast/backup/pattern"
	"outlast/backup/phrase"
	"outlast/catalog"
	"outlast/catalog/strict"
	"outlast/loads"
)

// A told figure, and how it was come by.
type told struct {
	v    float64 // 0: not told
	says phrase.Phrase
}

// An item is an appliance of the list, or several equal ones.
type item struct {
	line      int
	said      string // its name in the list
	name      string
	class     *catalog.Appliance
	classSays phrase.Phrase
	classAlso []phrase.Phrase // what no list tells, and the class gives
	quantity  int
	counted   phrase.Phrase // how the quantity was told, where it has no column
	power     told          // W
	pf        told
	start     told
	startKey  string
	startS    told
	hours     told
	when      []string
	circuit   string // as the list calls it
	allPhases bool   // it is connected between them
	board     string
	priority  int
	notes     []phrase.Phrase
}

// typicalW, typicalHours and startVA are what counts, with what the class gives.
func (it *item) typicalW() float64 {
	if it.power.v == 0 && it.class != nil {
		return it.class.Typical.RunningW
	}
	return it.power.v
}

func (it *item) typicalHours() float64 {
	if it.hours.v == 0 && it.hours.says.Empty() && it.class != nil {
		return it.class.Typical.HoursPerDay
	}
	return it.hours.v
}

func (it *item) startVA() float64 {
	if it.start.v == 0 && it.class != nil {
		return it.class.Typical.StartingVA
	}
	return it.start.v
}

func (it *item) typicalPF() float64 {
	switch {
	case it.pf.v > 0:
		return it.pf.v
	case it.class != nil && it.class.PowerFactor > 0:
		return it.class.PowerFactor
	}
	return 1
}

const (
	mostUnits = 10_000
	mostW     = 1e7
	dayH      = 24
)

// item reads the row of an appliance. ok is false if something was reported.
func (r *reader) item(name string) (it item, ok bool) {
	it = item{line: r.t.Line(), said: name, quantity: 1}
	ok = r.named(&it, name)
	ok = r.counts(&it) && ok
	ok = r.supply(&it) && ok
	shaft, sound := r.powers(&it)
	ok = r.classOf(&it, shaft) && sound && ok
	if it.class != nil {
		it.classAlso = r.names.also[it.class.ID]
	}
	if it.quantity == 0 {
		r.list.Notes = append(r.list.Notes, phrase.Of("line %d, %q, is left out: there are 0 of it", it.line, strict.Clip(it.name)))
		return it, false
	}
	if sound {
		ok = r.apparent(&it) && ok
		ok = r.starts(&it) && ok
	}
	ok = r.times(&it) && ok
	if ok {
		ok = r.complete(&it)
	}
	if ok {
		ok = r.energies(&it)
	}
	return it, r.places(&it) && ok
}

var (
	countBefore = pattern.Of(`^(\d{1,5}) ?[x×] ?(\D.*)$`)
	countBehind = pattern.Of(`^(.*\S) [x×] ?(\d{1,5})$`)
)

// named takes the name, and the number that it may hold: "8 x LED lamp".
func (r *reader) named(it *item, name string) bool {
	col, _ := r.cols.Of(kindName)
	if m := countBefore.FindStringSubmatch(name); m != nil {
		it.quantity, _ = strconv.Atoi(m[1])
		name, it.counted = m[2], phrase.Of("as its name says")
	} else if m := countBehind.FindStringSubmatch(name); m != nil {
		it.quantity, _ = strconv.Atoi(m[2])
		name, it.counted = m[1], phrase.Of("as its name says")
	}
	it.name = name
	if n := utf8.RuneCountInString(name); n > strict.MaxText-10 {
		r.t.Report(col.Index, "", "found a name of %d characters, want at most %d", n, strict.MaxText-10)
		return false
	}
	if strings.ContainsFunc(name, func(c rune) bool {
		return !unicode.IsGraphic(c) && !unicode.Is(unicode.Cf, c) || c == unicode.ReplacementChar
	}) {
		r.t.Report(col.Index, "", "found %s, want signs that can be printed", strict.Quote(name))
		return false
	}
	if !it.counted.Empty() && it.quantity > mostUnits {
		r.t.Report(col.Index, "", "found %d of %s, want at most %d", it.quantity, strict.Quote(name), mostUnits)
		return false
	}
	return true
}

// nothingTold says whether a cell says that nothing is known.
func nothingTold(text string) bool {
	switch strings.ToLower(text) {
	case "", "-", "–", "—", "?", "n/a", "na", "n.a.", "none", "unknown", "unbekannt", "k.a.", "keine", "desconocido",
		"inconnu":
		return true
	}
	return false
}

// figures reads those of the column of a kind; none where the cell is empty.
func (r *reader) figures(kind string) (fs []tabular.Figure, col tabular.Column, ok bool) {
	col, there := r.cols.Of(kind)
	if !there || nothingTold(r.t.Cell(col.Index).Text) {
		return nil, col, true
	}
	fs, ok = r.t.Figures(col.Index)
	for i := range fs {
		if s, ok := spelled[fs[i].Unit]; ok {
			fs[i].Unit = s
		}
	}
	return fs, col, ok
}

// headUnit is the unit of a column: of its flag, or in its head, if it is one of some.
func headUnit(c tabular.Column, among ...string) string {
	u := c.UnitAmong(func(u string) bool {
		if s, ok := spelled[u]; ok {
			u = s
		}
		return slices.Contains(among, u)
	})
	if s, ok := spelled[u]; ok {
		return s
	}
	return u
}

func (r *reader) counts(it *item) bool {
	fs, col, ok := r.figures(kindQuantity)
	if !ok || fs == nil {
		return ok
	}
	switch fs[0].Unit {
	case "", "x", "×", "st", "st.", "stk", "stk.", "stück", "pcs", "pc", "pieces", "ud", "uds", "unidades", "pièces":
	default:
		fs = append(fs, fs[0]) // no number of things
	}
	n := fs[0].Value
	if len(fs) != 1 || n != math.Trunc(n) || n < 0 || n > mostUnits {
		r.t.Report(col.Index, "", "found %s, want how many there are, a whole number from 1 to %d",
			strict.Quote(r.t.Cell(col.Index).Text), mostUnits)
		return false
	}
	if !it.counted.Empty() && int(n) != it.quantity {
		r.t.Report(col.Index, "", "found %g, but the name says %d", n, it.quantity)
		return false
	}
	it.quantity, it.counted = int(n), phrase.Phrase{}
	return true
}

// volts are those of a row, or of the supply; what is unsure is asked back.
func (r *reader) volts(fs []tabular.Figure, col tabular.Column) (v float64, says phrase.Phrase, ok bool) {
	for _, f := range fs {
		if f.Unit == "v" {
			return f.Value, phrase.Symbols("%s", phrase.Measure(draft.Num(f.Value)+" V")), true
		}
	}
	vs, vcol, ok := r.figures(kindVolts)
	switch {
	case !ok:
		return 0, says, false
	case len(vs) == 1 && (vs[0].Unit == "" || vs[0].Unit == "v") && vs[0].Value >= 5 && vs[0].Value <= 1000:
		return vs[0].Value, phrase.Symbols("%s", phrase.Measure(draft.Num(vs[0].Value)+" V")), true
	case vs != nil:
		r.t.Report(vcol.Index, "", "found %s, want volts from 5 to 1000", strict.Quote(r.t.Cell(vcol.Index).Text))
		return 0, says, false
	case r.o.Volts == 0:
		r.t.Report(col.Index, `a column of volts, "4 A 230 V", or that of the supply: --answer "supply: 230"`,
			"found amps, and the volts are not told")
		return 0, says, false
	case r.o.Phases == 2:
		r.t.Report(col.Index, `a column of volts, or "4 A 240 V"`, "found amps, and whether at %g or %g V is not told",
			r.o.Volts, 2*r.o.Volts)
		return 0, says, false
	}
	return r.o.Volts, phrase.Of("%s V of the supply", phrase.Number(draft.Num(r.o.Volts))), true
}

// amount reads one power of a cell: W, VA, or the W of a shaft. says tells what was converted.
func (r *reader) amount(fs []tabular.Figure, col tabular.Column, what string) (w, va, shaftW float64, says phrase.Phrase,
	ok bool) {
	said := r.t.Cell(col.Index).Text
	var main *tabular.Figure
	for i := range fs {
		f := &fs[i]
		if f.Unit == "" && len(fs) == 1 {
			f.Unit = headUnit(col, "w", "kw", "va", "kva", "a", "ma", "hp", "metric hp")
		}
		switch f.Unit {
		case "v":
			continue
		case "":
			r.t.Report(col.Index, fmt.Sprintf(`write the unit into the head, or say it: --column "%s=%d W"`, what,
				col.Index+1), "found %s, and neither the cell nor the head of its column tells the unit",
				strict.Quote(said))
			return 0, 0, 0, says, false
		case "w", "kw", "va", "kva", "a", "ma", "hp", "metric hp":
			if main == nil {
				main = f
				continue
			}
		}
		r.t.Report(col.Index, "", "found %s, want W, kW, VA, kVA, A with V, or hp", strict.Quote(said))
		return 0, 0, 0, says, false
	}
	if main == nil {
		r.t.Report(col.Index, "", "found %s, want W, kW, VA, kVA, A with V, or hp", strict.Quote(said))
		return 0, 0, 0, says, false
	}
	v := main.Value
	if strings.HasPrefix(main.Unit, "k") || main.Unit == "ma" {
		says = phrase.Of("%q in the list", strict.Clip(said))
	}
	switch main.Unit {
	case "w":
		w = v
	case "kw":
		w = 1000 * v
	case "va":
		va = v
	case "kva":
		va = 1000 * v
	case "hp":
		shaftW = v * 745.7
	case "metric hp":
		shaftW = v * 735.5
	case "a", "ma":
		if main.Unit == "ma" {
			v /= 1000
		}
		volts, at, ok := r.volts(fs, col)
		if !ok {
			return 0, 0, 0, says, false
		}
		va = v * volts
		says = phrase.Of("%s A at %s", phrase.Number(draft.Num(v)), at)
		if r.threePhase {
			va *= math.Sqrt(3)
			says = phrase.Of("%s A at %s of three phases", phrase.Number(draft.Num(v)), at)
		}
	}
	for _, x := range []*float64{&w, &va, &shaftW} {
		*x = tidy(*x)
	}
	if x := max(w, va, shaftW); !(x > 0 && x <= mostW) || math.Min(w, math.Min(va, shaftW)) < 0 {
		r.t.Report(col.Index, "", "found %s, want a power above 0, at most %.0f W", strict.Quote(said), mostW)
		return 0, 0, 0, says, false
	}
	return w, va, shaftW, says, true
}

// tidy takes away what multiplying decimals adds.
func tidy(v float64) float64 {
	t, err := strconv.ParseFloat(strconv.FormatFloat(v, 'g', 10, 64), 64)
	if err != nil {
		return v
	}
	return t
}

// powers reads what one draws while it runs; shaft is the output of a motor in W, where the list tells that.
func (r *reader) powers(it *item) (shaft float64, ok bool) {
	fs, col, ok := r.figures(kindPF)
	if !ok {
		return 0, false
	}
	if fs != nil {
		pf := fs[0].Value
		if fs[0].Unit == "%" {
			pf /= 100
		}
		if len(fs) != 1 || pf < 0.01 || pf > 1 {
			r.t.Report(col.Index, "", "found %s, want a power factor up to 1", strict.Quote(r.t.Cell(col.Index).Text))
			return 0, false
		}
		it.pf = told{pf, phrase.Phrase{}}
	}
	kind := kindPower
	fs, col, ok = r.figures(kind)
	if !ok {
		return 0, false
	}
	if fs == nil {
		kind = kindAmps
		fs, col, ok = r.figures(kind)
		if ok && len(fs) == 1 && fs[0].Unit == "" {
			if fs[0].Unit = headUnit(col, "a", "ma"); fs[0].Unit == "" {
				fs[0].Unit = "a"
			}
		}
	}
	if !ok {
		return 0, false
	}
	if fs == nil {
		return r.shareOfTotal(it)
	}
	w, va, shaftW, says, ok := r.amount(fs, col, kind)
	if !ok {
		return 0, false
	}
	it.power = told{w, says}
	if va > 0 {
		it.power = told{-va, says} // until its power factor is known
	}
	return shaftW, true
}

// shareOfTotal divides what all of them draw.
func (r *reader) shareOfTotal(it *item) (shaft float64, ok bool) {
	fs, col, ok := r.figures(kindTotal)
	if !ok || fs == nil || it.quantity == 0 {
		return 0, ok
	}
	w, _, _, _, ok := r.amount(fs, col, kindTotal)
	if ok && w == 0 {
		r.t.Report(col.Index, "", "found %s, want the W of all of them", strict.Quote(r.t.Cell(col.Index).Text))
		return 0, false
	}
	it.power = told{tidy(w / float64(it.quantity)), phrase.Of("%s W of all %d", phrase.Number(draft.Num(w)), it.quantity)}
	return 0, ok
}

// classOf finds the class of the row: by a column, by its name, or by a name and the size of its motor.
func (r *reader) classOf(it *item, shaftW float64) bool {
	base, sized := it.name, shaftW
	if m := size.FindStringSubmatch(it.name); m != nil {
		if w := outputOf(m[2], m[3]); w > 0 && r.names.family(m[1]) != "" {
			base, sized = m[1], w
		}
	}
	col, _ := r.cols.Of(kindName)
	if id := r.text(kindClass); !nothingTold(id) {
		ccol, _ := r.cols.Of(kindClass)
		c, ok := r.names.find(id)
		if !ok {
			r.t.Report(ccol.Index, r.askClass(id, ""), "found %s, want a class of appliances", strict.Quote(id))
			return false
		}
		if it.class, it.classSays = &c, phrase.Of("the class that the list names"); it.name == "" {
			it.name = c.Label
		}
		if shaftW == 0 {
			return true
		}
		if m := sizedID.FindStringSubmatch(c.ID); m != nil {
			if same, ok := r.names.ofSize(m[1], shaftW); ok && same.ID == c.ID {
				return true
			}
		}
	} else if kind := r.names.family(base); kind != "" && sized > 0 {
		c, ok := r.names.ofSize(kind, sized)
		if !ok {
			r.t.Report(col.Index, "give W or A, and name one of them in a column of classes",
				"found a motor of %.0f W, and there is no such class: %s", sized,
				strings.Join(r.names.sizes(kind), ", "))
			return false
		}
		if in := math.Abs(it.power.v); in > 0 && in < sized {
			r.t.Report(col.Index, "of the plate, what goes in is wanted as its power, and what comes out behind its name",
				"found a motor that gives %.0f W and takes %s: more comes out than goes in", sized, draft.Num(in))
			return false
		}
		it.class, it.classSays = &c, phrase.Of("by its name and its motor of %.0f W", sized)
		return true
	} else if c, ok := r.names.find(it.name); ok {
		it.class, it.classSays = &c, phrase.Of("by its name")
	} else if kind != "" && it.power.v == 0 && shaftW == 0 {
		r.t.Report(col.Index, "its hp or kW behind the name, or W, hours and start in their columns",
			"found %s, which comes in sizes: %s", strict.Quote(it.name), strings.Join(r.names.sizes(kind), ", "))
		return false
	}
	if shaftW > 0 {
		pcol, _ := r.cols.Of(kindPower)
		r.t.Report(pcol.Index, "give W or A, or a class that comes by the output of its motor, such as well-pump-370w",
			"found %s, which is what a shaft gives, not what the motor draws", strict.Quote(r.t.Cell(pcol.Index).Text))
		return false
	}
	return true
}

// outputOf is the output of a motor in W, as a name has it.
func outputOf(digits, unit string) float64 {
	v := 0.0
	switch digits {
	case "¼":
		v = 0.25
	case "½":
		v = 0.5
	case "¾":
		v = 0.75
	default:
		for _, part := range strings.Fields(strings.ReplaceAll(digits, ",", ".")) {
			over, under, cut := strings.Cut(part, "/")
			a, _ := strconv.ParseFloat(over, 64)
			b, _ := strconv.ParseFloat(under, 64)
			if cut && b > 0 {
				a /= b
			}
			v += a
		}
	}
	switch strings.ToLower(unit) {
	case "kw":
		return 1000 * v
	case "hp":
		return 745.7 * v
	case "ps", "cv", "ch":
		return 735.5 * v
	}
	return v
}

// apparent turns VA into W.
func (r *reader) apparent(it *item) bool {
	if it.power.v >= 0 {
		return true
	}
	va := -it.power.v
	says := it.power.says
	in := phrase.Symbols("%s VA", phrase.Number(draft.Num(va)))
	if says.Empty() {
		says = in
	} else {
		says = phrase.Separated([]phrase.Phrase{says, in}, ", ")
	}
	switch pf := it.typicalPF(); {
	case it.pf.v > 0:
		it.power = told{tidy(va * pf), phrase.Of("%s, times its power factor", says)}
	case it.class != nil && it.class.PowerFactor > 0:
		it.power = told{tidy(va * pf), phrase.Of("%s, times the power factor of the class", says)}
	default:
		it.power = told{va, phrase.Of("%s: no power factor is told, so all of it counts as W, the safe side", says)}
	}
	return true
}

// starts reads what one draws while it starts.
func (r *reader) starts(it *item) bool {
	fs, col, ok := r.figures(kindStartingS)
	if !ok {
		return false
	}
	if fs != nil {
		s := fs[0].Value
		if fs[0].Unit == "ms" {
			s /= 1000
		}
		if len(fs) != 1 || !(s > 0 && s <= 3600) {
			r.t.Report(col.Index, "", "found %s, want seconds, at most 3600", strict.Quote(r.t.Cell(col.Index).Text))
			return false
		}
		it.startS = told{v: s}
	}
	fs, col, ok = r.figures(kindStarting)
	if !ok || fs == nil {
		return ok
	}
	said := r.t.Cell(col.Index).Text
	running := it.typicalW()
	runningVA := running / it.typicalPF()
	switch fs[0].Unit {
	case "x", "×", "times", "fach", "-fach", "mal", "veces", "fois":
		if len(fs) != 1 || !(fs[0].Value >= 1 && fs[0].Value <= 20) || running == 0 {
			r.t.Report(col.Index, "", "found %s, want 1 to 20 times what it runs at", strict.Quote(said))
			return false
		}
		it.startKey, it.start = "starting_va", told{tidy(fs[0].Value * runningVA),
			phrase.Of("%q of what it runs at", strict.Clip(said))}
	default:
		if len(fs) == 1 && fs[0].Value == 0 {
			return true
		}
		w, va, shaftW, says, ok := r.amount(fs, col, kindStarting)
		if !ok {
			return false
		}
		if shaftW > 0 {
			r.t.Report(col.Index, "", "found %s, want W, VA or A while it starts", strict.Quote(said))
			return false
		}
		if it.startKey, it.start = "starting_w", (told{w, says}); va > 0 {
			it.startKey, it.start = "starting_va", told{va, says}
		}
	}
	if running == 0 {
		return true
	}
	least := running
	if it.startKey == "starting_va" {
		least = runningVA
	}
	switch {
	case it.start.v < running*(1-1e-9) || it.start.v < least*(1-1e-9) && it.pf.v > 0:
		r.t.Report(col.Index, "", "found a start of %s, want at least what it runs at, %.4g", strict.Quote(said), least)
		return false
	case it.start.v <= running*(1+1e-9) && (it.class == nil || it.class.Typical.StartingVA == 0):
		it.start, it.startKey = told{}, ""
		it.notes = append(it.notes, phrase.Of("starts with what it runs at: counted as no start"))
	case it.start.v < runningVA:
		it.startKey, it.start = "starting_va", told{math.Ceil(runningVA),
			phrase.Of("%q in the list; what it runs at, at the power factor of the class", strict.Clip(said))}
	}
	return true
}

// complete sees to it that nothing is missing that must be known.
func (r *reader) complete(it *item) bool {
	if it.class != nil {
		return true
	}
	var lacks []string
	if it.power.v == 0 {
		lacks = append(lacks, "W or A")
	}
	if it.hours.v == 0 && it.hours.says.Empty() {
		if fs, _, ok := r.figures(kindEnergy); ok && fs == nil || it.power.v == 0 {
			lacks = append(lacks, "hours a day")
		}
	}
	if lacks == nil {
		return true
	}
	col, _ := r.cols.Of(kindName)
	r.t.Report(col.Index, r.askClass(it.name, ""), "found %s without %s, and no class of appliances is called so",
		strict.Quote(it.name), strings.Join(lacks, " and "))
	return false
}

// askClass is a hint to classes.
func (r *reader) askClass(name, also string) string {
	hint := "`outlast catalog` lists the classes: name one in a column called class"
	if near := r.names.near(name); near != nil {
		hint = "near are " + strings.Join(near, ", ") + ": name one in a column called class"
	}
	if also != "" {
		hint += "; " + also
	}
	return hint
}

// places reads where it is, whether it stays on, how important it is, and what else is noted.
func (r *reader) places(it *item) bool {
	if it.circuit = r.text(kindCircuit); nothingTold(it.circuit) {
		it.circuit = ""
		if room := r.text(kindRoom); !nothingTold(room) {
			it.circuit = room
		}
	}
	ok := true
	if c := it.circuit; utf8.RuneCountInString(c) > strict.MaxText-20 ||
		strings.ContainsFunc(c, func(c rune) bool { return !unicode.IsGraphic(c) || c == unicode.ReplacementChar }) {
		col, _ := r.cols.Of(kindCircuit)
		r.t.Report(col.Index, "", "found the circuit %s, want a short name", strict.Quote(c))
		ok = false
	}
	it.board = "backup"
	if col, there := r.cols.Of(kindEssential); there {
		mark := tabular.Plain(r.text(kindEssential))
		if raw := r.text(kindEssential); raw == "✓" || raw == "✔" || raw == "☑" {
			mark = "x"
		}
		switch {
		case mark == "":
			r.marks[""] = append(r.marks[""], it.line)
			it.board = "main"
		case yesWords[mark]:
		case noWords[mark]:
			r.marks["no"] = append(r.marks["no"], it.line)
			it.board = "main"
		case eitherWords[mark]:
			it.board = "either"
		default:
			r.t.Report(col.Index, "", "found %s, want yes or no", strict.Quote(r.text(kindEssential)))
			ok = false
		}
	}
	if p := r.text(kindPriority); !nothingTold(p) {
		if it.priority = priorities[tabular.Plain(p)]; it.priority == 0 {
			col, _ := r.cols.Of(kindPriority)
			r.t.Report(col.Index, "", "found %s, want 1 to 5, or high, medium or low", strict.Quote(p))
			ok = false
		}
	}
	if n := r.text(kindNotes); n != "" {
		it.notes = append(it.notes, phrase.Of("noted: %q", strict.Clip(n)))
	}
	return ok
}

var window = pattern.Of(`^(\d{1,2}:\d\d)(?: ?h| Uhr)? ?(?:-|–|—|to|bis|a|à) ?(\d{1,2}:\d\d)(?: ?h| Uhr)?$`)

// times reads how long it is on.
func (r *reader) times(it *item) bool {
	col, there := r.cols.Of(kindHours)
	cell := r.t.Cell(col.Index)
	if !there || nothingTold(cell.Text) {
		return true
	}
	wrong := func() bool {
		r.t.Report(col.Index, "", "found %s, want hours of a day, such as 1.5, 0:45, 30 min or 18:00-22:00",
			strict.Quote(cell.Text))
		return false
	}
	text := strings.Join(strings.Fields(cell.Text), " ")
	share := r.share(col)
	switch {
	case text == "24/7" || text == "24h/24" || text == "24/24":
		it.hours = told{dayH, phrase.Symbols("%q", strict.Clip(text))}
		return true
	case !cell.Typed && strings.Contains(text, ":"):
		return r.clockTimes(it, text, col) || wrong()
	}
	fs, _, ok := r.figures(kindHours)
	if !ok {
		return false
	}
	h, share, ok := hoursOf(fs, col, share)
	if !ok {
		return wrong()
	}
	var says phrase.Phrase
	if h != fs[0].Value || share != 1 || len(fs) > 1 {
		says = phrase.Of("%q in the list", strict.Clip(text))
	}
	if share != 1 {
		says = phrase.Of("%q in the list, over %s days", strict.Clip(text), phrase.Number(draft.Num(math.Round(share*10)/10)))
	}
	h /= share
	ds, dcol, ok := r.figures(kindDays)
	if !ok {
		return false
	}
	if ds != nil {
		d := ds[0].Value
		if len(ds) != 1 || !(d >= 0 && d <= 7) || share != 1 {
			r.t.Report(dcol.Index, "", "found %s, want days of a week, 0 to 7, beside hours of a day",
				strict.Quote(r.t.Cell(dcol.Index).Text))
			return false
		}
		if d < 7 {
			says = phrase.Of("%s h on %s days of a week: the mean", phrase.Number(draft.Num(tidy(h))), phrase.Number(draft.Num(d)))
		}
		h *= d / 7
	}
	h = tidy(h)
	if !(h >= 0 && h <= dayH) {
		r.t.Report(col.Index, "if they are of a week, its head says so: hours per week",
			"found %s, which is %.4g h a day, want at most %d", strict.Quote(cell.Text), h, dayH)
		return false
	}
	if h == 0 && says.Empty() {
		says = phrase.Of("as the list says")
	}
	it.hours = told{h, says}
	return true
}

// hoursOf adds up the figures of a cell: hours, minutes and seconds, over so many days as its unit tells, else as share
// has it. ok is false for what is no time.
func hoursOf(fs []tabular.Figure, col tabular.Column, share float64) (h, days float64, ok bool) {
	days = share
	for i, f := range fs {
		unit, of, given := per(f.Unit)
		if given {
			days = of
		}
		if unit == "" && len(fs) == 1 {
			unit = headUnit(col, "h", "min", "s")
		}
		switch {
		case unit == "h", unit == "" && len(fs) == 1:
			h += f.Value
		case unit == "min":
			h += f.Value / 60
		case unit == "s":
			h += f.Value / 3600
		default:
			return 0, 0, false
		}
		if f.Value < 0 || i > 0 && f.Value >= 60 {
			return 0, 0, false
		}
	}
	return h, days, true
}

// clockTimes reads "0:45" and "18:00-22:00".
func (r *reader) clockTimes(it *item, text string, col tabular.Column) bool {
	total := 0.0
	for _, part := range strings.FieldsFunc(text, func(c rune) bool {
		return c == ',' || c == ';' || c == '/' ||
			c == '+'
	}) {
		part = strings.TrimSpace(part)
		if m := window.FindStringSubmatch(part); m != nil {
			spelled := fmt.Sprintf("%05s-%05s", m[1], m[2])
			w, err := loads.ParseWindow(spelled)
			if err != nil {
				return false
			}
			l := loads.Load{Windows: []loads.Window{w}}
			it.when = append(it.when, spelled)
			total += l.WindowHours()
			continue
		}
		h, m, ok := strings.Cut(strings.TrimSuffix(part, " h"), ":")
		m, _, _ = strings.Cut(m, ":")
		hours, err := strconv.Atoi(h)
		minutes, err2 := strconv.Atoi(m)
		if !ok || err != nil || err2 != nil || len(m) != 2 || minutes > 59 || minutes < 0 || hours < 0 ||
			it.when != nil || total > 0 {
			return false
		}
		total = float64(hours) + float64(minutes)/60
	}
	if share := r.share(col); share != 1 || total > dayH || total == 0 && it.when != nil {
		return false
	}
	if len(it.when) > 1 {
		var all []loads.Window
		for _, s := range it.when {
			w, _ := loads.ParseWindow(s)
			all = append(all, w)
		}
		for m := range dayH * 60 {
			n := 0
			for _, w := range all {
				if w.Holds(m) {
					n++
				}
			}
			if n > 1 {
				return false
			}
		}
	}
	it.hours = told{tidy(total), phrase.Of("%q in the list", strict.Clip(text))}
	if it.when != nil {
		it.hours.says = phrase.Of("%q in the list: on for all of it", strict.Clip(text))
	}
	return true
}

// share is over how many days a column counts: that of its head, else one.
func (r *reader) share(col tabular.Column) float64 {
	for word, days := range perDay {
		if word != "a" && word != "d" && word != "j" && word != "an" && col.Has(word) {
			return days
		}
	}
	return 1
}

// per parts "wh/day" and "h per week" into the unit and the days of the period.
func per(unit string) (base string, days float64, given bool) {
	for _, by := range []string{"/", " per ", " pro ", " por ", " par ", " a ", " al ", " am ", " p."} {
		if b, period, ok := strings.Cut(unit, by); ok {
			if days, ok := perDay[tabular.Plain(period)]; ok {
				b = strings.TrimSpace(b)
				if s, ok := spelled[b]; ok {
					b = s
				}
				return b, days, true
			}
		}
	}
	return unit, 1, false
}

// energies holds a column of energy to the rest of the row, or takes hours from it.
func (r *reader) energies(it *item) bool {
	fs, col, ok := r.figures(kindEnergy)
	if !ok || fs == nil {
		return ok && r.sameTotal(it)
	}
	unit, days, given := per(fs[0].Unit)
	if !given {
		days = r.share(col)
	}
	if unit == "" {
		switch {
		case col.Has("kwh", "kilowatt hours") || col.Unit == "kwh":
			unit = "kwh"
		case col.Has("wh", "watt hours", "watthours", "watt hour", "wattstunden") || col.Unit == "wh":
			unit = "wh"
		}
	}
	said := strict.Quote(r.t.Cell(col.Index).Text)
	wh := fs[0].Value / days
	switch {
	case len(fs) != 1 || unit != "wh" && unit != "kwh" || wh < 0:
		r.t.Report(col.Index,
			fmt.Sprintf(
				`its unit stands in the cell or in the head, or say it: --column "energy=%d Wh"; `+
					`--column energy=none leaves the column unread`,
				col.Index+1), "found %s, want Wh or kWh of a day", said)
		return false
	case unit == "kwh":
		wh *= 1000
	}
	all := float64(it.quantity) * it.typicalW()
	if it.hours.v == 0 && it.hours.says.Empty() {
		if it.quantity != 1 {
			r.t.Report(col.Index, "give the hours of one",
				"found %s, and whether it is of one or of all %d is not told", said, it.quantity)
			return false
		}
		h := tidy(wh / all)
		if !(h <= dayH*(1+1e-9)) {
			r.t.Report(col.Index, "", "found %s, which is %.4g h a day at %.4g W, want at most %d", said, h, all, dayH)
			return false
		}
		it.hours = told{min(h, dayH), phrase.Of("%q in the list, over its power", strict.Clip(r.t.Cell(col.Index).Text))}
		return r.sameTotal(it)
	}
	if want := all * it.hours.v; !near(wh, want) && !near(wh, want/float64(it.quantity)) {
		r.t.Report(col.Index, "mend the one that is wrong, or leave the column unread with --column energy=none",
			"found %s, but %.6g W for %.4g h are %.6g Wh", said, all, it.hours.v, want)
		return false
	}
	return r.sameTotal(it)
}

// near says whether two figures are the same but for rounding.
func near(a, b float64) bool { return math.Abs(a-b) <= 0.02*math.Max(a, b)+0.5 }

// sameTotal holds a column of the power of all to the rest of the row.
func (r *reader) sameTotal(it *item) bool {
	fs, col, ok := r.figures(kindTotal)
	if !ok || fs == nil || len(fs) != 1 {
		return ok
	}
	v := fs[0].Value
	if u := fs[0].Unit; u == "kw" || u == "" && headUnit(col, "kw") == "kw" {
		v *= 1000
	}
	all := float64(it.quantity) * it.typicalW()
	if !near(v, all) && !near(v, all*it.typicalHours()) && !near(v*1000, all*it.typicalHours()) {
		r.t.Report(col.Index, "mend the one that is wrong, or leave the column unread with --column total=none",
			"found %s, but %d of %.6g W are %.6g W", strict.Quote(r.t.Cell(col.Index).Text), it.quantity,
			it.typicalW(), all)
		return false
	}
	return true
}
