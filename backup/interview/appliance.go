package interview

import (
	"cmp"
	"errors"
	"slices"
	"strconv"
	"strings"

	"outlast/backup/measured/tabular"
	"outlast/backup/pattern"
	"outlast/backup/phrase"
	"outlast/catalog"
	"outlast/catalog/strict"
)

// A listed load is one item of an answer.
type listed struct {
	said     string // as typed
	class    catalog.Appliance
	own      string // its name, where no class fits
	quantity int
	runningW float64 // 0: not told
	hours    float64 // 0: not told
	ofSizeW  float64 // output of the motor that was told, where no class has just that; 0: the class fits
	unsized  bool    // no size was told of a class that comes in sizes: the largest is taken
	depends  bool    // somebody depends on it
}

// motor says whether the class is one of motors whose plate would tell more.
func (l listed) motor() bool {
	if l.own != "" {
		return false
	}
	_, _, ok := sizeOf(l.class.ID)
	return ok
}

// commaInFigure is a comma that parts no items: "1,1 kW".
var commaInFigure = pattern.Of(`(?i)\d,\d{1,2} ?(?:kw|w|hp|h)\b`)

// items parts a list; each item stays as it was typed.
func items(text string) (out []string) {
	from := 0
	within := commaInFigure.FindAllStringIndex(text)
	cut := func(to int) {
		if item := strings.TrimSpace(text[from:to]); item != "" {
			out = append(out, item)
		}
		from = to + 1
	}
	for at, r := range text {
		inFigure := slices.ContainsFunc(within, func(m []int) bool { return at > m[0] && at < m[1] })
		if r == ';' || r == '\n' || r == ',' && !inFigure {
			cut(at)
		}
	}
	cut(len(text))
	return out
}

// listed are all loads that were named, those on which somebody depends last. What is named in both answers is one
// load.
func (in *Interview) listed() []listed {
	on, _ := in.parseList(in.stays())
	depends, _ := in.parseList(in.known(keyDepends))
	for _, d := range depends {
		d.depends = true
		on = slices.DeleteFunc(on, func(l listed) bool { return l.own == d.own && l.class.ID == d.class.ID })
		on = append(on, d)
	}
	return on
}

// stays is the list of what stays on, that of the basics where nobody knows.
func (in *Interview) stays() string {
	if a := in.known(KeyStaysOn); a != "" {
		return a
	}
	return strings.Join(basics, ", ")
}

// checkList refuses a list with an item that is wrong, or an empty one where something is wanted.
func (in *Interview) checkList(text string, some bool) error {
	list, err := in.parseList(text)
	if err == nil && some && len(list) == 0 {
		return refuse(noHint, phrase.Of("nothing stays on: there is nothing to plan"))
	}
	return err
}

// parseList reads a list; what is right of it comes back too where something is wrong.
func (in *Interview) parseList(text string) (list []listed, err error) {
	if IsNone(text) {
		return nil, nil
	}
	for _, item := range items(text) {
		l, ierr := in.parseItem(item)
		if ierr != nil {
			err = cmp.Or(err, ierr)
			continue
		}
		list = append(list, l)
	}
	return list, err
}

const (
	mostUnits = 10_000
	mostW     = 1e7
	dayH      = 24
)

var (
	countBefore = pattern.Of(`^(\d{1,6}) ?[x×*]? (.+)$`)
	countBehind = pattern.Of(`^(.+?) ?[*×] ?(\d{1,6})$`)
	countWord   = pattern.Of(`^(.+) x ?(\d{1,6})$`)
	figure      = pattern.Of(`(?i)^(.*\S) (\d+(?:[.,]\d+)?) ?(w|kw|h)$`)
)

// parseItem reads one item: a number of, the name, then watts and hours a day of one unit, where they are known.
func (in *Interview) parseItem(item string) (listed, error) {
	l := listed{said: item, quantity: 1}
	rest, counted, err := l.count(decimals(item))
	if err != nil {
		return l, err
	}
	rest, own := cutOther(rest)
	if !own {
		if class, ok := in.classNamed(rest); ok { // a name may end in figures
			l.class = class
			return l, nil
		}
	}
	for {
		m := figure.FindStringSubmatch(rest)
		if m == nil {
			break
		}
		if !own && strings.EqualFold(m[3], "kw") && in.family(m[1]) != "" {
			break // the size of a motor
		}
		if err := l.figure(m[2], strings.ToLower(m[3])); err != nil {
			return l, err
		}
		rest = m[1]
	}
	if !counted {
		if rest, _, err = l.count(rest); err != nil {
			return l, err
		}
	}
	if own {
		if l.own = rest; l.runningW == 0 {
			return l, refuse(phrase.Of("other beer cooler 300 W 5 h"), phrase.Of("found %q without its watts",
				strict.Clip(item)))
		}
		return l, nil
	}
	return l, in.sized(&l, rest)
}

// cutOther takes away the word that leads to what no class fits.
func cutOther(text string) (string, bool) {
	for _, word := range otherWords {
		if rest, ok := cutWord(text, word); ok {
			return rest, true
		}
	}
	return text, false
}

// cutWord takes a first word away.
func cutWord(text, word string) (string, bool) {
	if len(text) > len(word) && strings.EqualFold(text[:len(word)], word) &&
		(text[len(word)] == ' ' || text[len(word)] == ':') {
		return strings.TrimSpace(text[len(word)+1:]), true
	}
	return text, false
}

// errMany refuses how many there are of something.
func errMany(digits, of string) error {
	return refuse(noHint, phrase.Of("found %s of %q, want 1 to %d", digits, strict.Clip(of), mostUnits))
}

// count takes how many of it from a text.
func (l *listed) count(text string) (rest string, found bool, err error) {
	digits := ""
	switch {
	case countBefore.MatchString(text):
		m := countBefore.FindStringSubmatch(text)
		digits, rest = m[1], m[2]
	case countBehind.MatchString(text):
		m := countBehind.FindStringSubmatch(text)
		rest, digits = m[1], m[2]
	case countWord.MatchString(text):
		m := countWord.FindStringSubmatch(text)
		rest, digits = m[1], m[2]
	default:
		return text, false, nil
	}
	if l.quantity, _ = strconv.Atoi(digits); l.quantity < 1 || l.quantity > mostUnits {
		return rest, true, errMany(digits, rest)
	}
	return rest, true, nil
}

// figure takes watts or hours.
func (l *listed) figure(digits, unit string) error {
	v, err := number(digits)
	if err != nil {
		return err
	}
	switch {
	case unit == "h" && v > dayH:
		return refuse(phrase.Of("hours a day, of each unit"), phrase.Of("found %s h a day, want at most %d", digits, dayH))
	case unit == "h":
		l.hours = v
		return nil
	case unit == "kw":
		v *= 1000
	}
	if v <= 0 || v > mostW {
		return refuse(noHint, phrase.Of("found %s %s, want a power above 0, at most %.0f W", digits, unit, mostW))
	}
	l.runningW = v
	return nil
}

// slug writes a name as ids are written.
func slug(text string) string {
	return strings.Trim(strings.Join(strings.FieldsFunc(strings.ToLower(text),
		func(r rune) bool { return r == ' ' || r == '-' || r == '_' }), "-"), "-")
}

// classNamed finds a class by its id or its label, in the singular or the plural.
func (in *Interview) classNamed(text string) (catalog.Appliance, bool) {
	want := slug(text)
	for _, name := range []string{want, strings.TrimSuffix(want, "s"), strings.TrimSuffix(want, "es")} {
		if i, ok := in.byName[name]; ok && name != "" {
			return in.classes[i], true
		}
	}
	if i, ok := in.others.class(text); ok {
		return in.classes[i], true
	}
	return catalog.Appliance{}, false
}

// hpW is a mechanical horsepower, in W.
const hpW = 745.7

var (
	sizedID   = pattern.Of(`^(.+)-(\d+)w$`)
	sizedName = pattern.Of(`^(.+?)-?(\d+(?:[.,]\d+)?)-?(w|kw|hp)$`)
)

// sizeOf parts the id of a class that comes in sizes by the output of its motor: the kind, and its W.
func sizeOf(id string) (kind string, w float64, ok bool) {
	m := sizedID.FindStringSubmatch(id)
	if m == nil {
		return "", 0, false
	}
	w, err := strconv.ParseFloat(m[2], 64)
	return m[1], w, err == nil
}

// family is the kind of a name, where there are classes of that kind by size; "" where there are none.
func (in *Interview) family(name string) string {
	want := slug(name)
	for _, c := range in.classes {
		if kind, _, ok := sizeOf(c.ID); ok && (kind == want || kind+"s" == want) {
			return kind
		}
	}
	return in.others.family(name)
}

// sizes are the classes of a kind, smallest first.
func (in *Interview) sizes(kind string) (out []catalog.Appliance) {
	for _, c := range in.classes {
		if k, _, ok := sizeOf(c.ID); ok && k == kind {
			out = append(out, c)
		}
	}
	slices.SortStableFunc(out, func(a, b catalog.Appliance) int { return cmp.Compare(outputOf(a), outputOf(b)) })
	return out
}

func outputOf(c catalog.Appliance) float64 {
	_, w, _ := sizeOf(c.ID)
	return w
}

// sizeSlack is how much larger a motor may be than its class and still be of it: half a horsepower is 373 W, its class
// 370 W.
const sizeSlack = 1.02

// ofSize is the smallest class of a kind for a motor of so many W, else the largest; fits says whether its size is just
// that.
func (in *Interview) ofSize(kind string, w float64) (c catalog.Appliance, fits bool) {
	all := in.sizes(kind)
	for _, c := range all {
		if out := outputOf(c); w <= out*sizeSlack {
			return c, w >= out/sizeSlack
		}
	}
	return all[len(all)-1], false
}

// sized finds the class of a name: a class, or a kind with the size of its motor.
func (in *Interview) sized(l *listed, name string) error {
	var ok bool
	if l.class, ok = in.classNamed(name); ok {
		return nil
	}
	if kind := in.family(name); kind != "" {
		if l.runningW > 0 { // a motor gives no more than it takes: it is no larger than this
			l.class, _ = in.ofSize(kind, l.runningW)
			return nil
		}
		all := in.sizes(kind)
		l.class, l.unsized = all[len(all)-1], len(all) > 1
		return nil
	}
	if m := sizedName.FindStringSubmatch(slug(name)); m != nil {
		if kind := in.family(m[1]); kind != "" {
			v, err := number(m[2])
			if err != nil {
				return err
			}
			switch m[3] {
			case "kw":
				v *= 1000
			case "hp":
				v *= hpW
			}
			if v <= 0 || v > mostW {
				return refuse(noHint, phrase.Of("found a motor of %s %s, want a power above 0, at most %.0f W", m[2], m[3], mostW))
			}
			var fits bool
			if l.class, fits = in.ofSize(kind, v); !fits {
				l.ofSizeW = v
			}
			return nil
		}
	}
	return in.unknown(name)
}

// unknown refuses a name, with those that are near.
func (in *Interview) unknown(name string) error {
	hint := phrase.Of("`outlast catalog` lists all; what no name fits: other %s 300 W 5 h", name)
	if near := in.near(name); near != nil {
		hint = phrase.Of("near are %s; what no name fits: other %s 300 W 5 h", or(named(near)), name)
	}
	return refuse(hint, phrase.Of("no appliance is called %q", strict.Clip(name)))
}

// mostNear is how many names are offered for one that is unknown.
const mostNear = 5

// near are the ids of classes that may be meant: those with most of its words, then the one that is spelt alike. Names in
// other languages are looked at where none in English is near.
func (in *Interview) near(name string) []string {
	own := make([]nearName, len(in.classes))
	var others []nearName
	for i, c := range in.classes {
		own[i] = nearName{c.ID, slug(c.ID), "-" + slug(c.ID) + "-" + slug(c.Label)}
		for _, other := range in.others.of(c.ID) {
			others = append(others, nearName{c.ID, other, "-" + slug(other)})
		}
	}
	if ids := nearest(slug(name), own, func(text, word string) bool { return strings.Contains(text, "-"+word) }); ids != nil {
		return ids
	}
	return nearest(slug(tabular.Plain(name)), others, func(text, word string) bool {
		return strings.Contains(text, "-"+word) || len(word) > 4 && strings.Contains(text, word) // Pumpe: Brunnenpumpe
	})
}

// A nearName is a name of a class, and the text in which words are looked for.
type nearName struct{ id, name, text string }

func nearest(want string, names []nearName, has func(text, word string) bool) (ids []string) {
	words := strings.FieldsFunc(want, func(r rune) bool { return r == '-' })
	hits := map[string]int{}
	all := make([]string, len(names))
	for i, n := range names {
		all[i] = n.name
		some := 0
		for _, w := range words {
			if w = strings.TrimSuffix(w, "s"); len(w) > 2 && has(n.text, w) {
				some++
			}
		}
		if some > 0 && hits[n.id] == 0 {
			ids = append(ids, n.id)
		}
		hits[n.id] = max(hits[n.id], some)
	}
	slices.SortStableFunc(ids, func(a, b string) int {
		return cmp.Or(hits[b]-hits[a], strings.Count(a, "-")-strings.Count(b, "-")) // a short name holds little else
	})
	if best := strict.Nearest(want, all); best != "" {
		id := names[slices.Index(all, best)].id
		ids = slices.DeleteFunc(ids, func(other string) bool { return other == id })
		ids = slices.Insert(ids, 0, id)
	}
	return ids[:min(len(ids), mostNear)]
}

// Classes lists the classes of appliances that a word is found in, by id and label; all without a word.
func (in *Interview) Classes(word string) (out []catalog.Appliance) {
	plain := tabular.Plain(word)
	word = slug(word)
	for _, c := range in.classes {
		if strings.Contains(slug(c.ID), word) || strings.Contains(slug(c.Label), word) ||
			slices.ContainsFunc(in.others.of(c.ID), func(name string) bool { return strings.Contains(name, plain) }) {
			out = append(out, c)
		}
	}
	return out
}

// A pieceKind is a kind of equipment that an answer names. Its zero value takes any name.
type pieceKind struct {
	find      func(id string) error         // nil: all are there
	none      func(id string) phrase.Phrase // tells of one that is not found
	uncounted phrase.Phrase                 // the hint to who counts wrong
}

// read reads "lfp-51-100*3"; n is 0 where no number is given, and id is "" for none.
func (k pieceKind) read(text string) (id string, n int, err error) {
	if IsNone(text) {
		return "", 0, nil
	}
	var l listed
	id, counted, err := l.count(text)
	var r *Refusal
	if errors.As(err, &r) {
		return "", 0, refuse(k.uncounted, r.Msg)
	}
	if counted {
		n = l.quantity
	}
	id = slug(id)
	if k.find == nil {
		return id, n, nil
	}
	if err := k.find(id); err != nil {
		var unknown *catalog.UnknownID
		hint := phrase.Of("`outlast catalog` lists all")
		if errors.As(err, &unknown) && unknown.Nearest != "" {
			hint = phrase.Of("did you mean %q?", unknown.Nearest)
		}
		return "", 0, refuse(hint, k.none(id))
	}
	return id, n, nil
}
