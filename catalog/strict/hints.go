package strict

import (
	"fmt"
	"strconv"
	"strings"
	"unicode"

	"outlast/backup/pattern"
)

// What people write in place of a number, and what they then should write. A hint never picks one of two meanings: a
// thousand times too little is a bank that is dark in the first night.

// likeNumber is a text that is a number to people: digits with marks between them, and perhaps a unit.
var likeNumber = pattern.Of(`^([+-]?)\s*(\d[\d.,_'’ \x{00a0}\x{202f}]*?)\s*(%|°|[\pL°µ][\pL\d²/°]*)?\.?$`)

// spelledNumber is the number that a text spells, in its unit as written. two is the other number that it may be meant
// for, where the mark in it may part thousands or decimals.
type spelledNumber struct {
	v, two    float64
	ambiguous bool
	quoted    bool
	unit      string
}

func spell(text string) (s spelledNumber, ok bool) {
	m := likeNumber.FindStringSubmatch(strings.TrimSpace(text))
	if m == nil {
		return s, false
	}
	digits := strings.TrimRight(m[2], ".,_'’ \u00a0\u202f")
	s.unit = m[3]
	plain := strings.NewReplacer("_", "", "'", "", "’", "", " ", "", "\u00a0", "", "\u202f", "").Replace(digits)
	points, commas := strings.Count(plain, "."), strings.Count(plain, ",")
	read := func(t string) float64 {
		v, err := strconv.ParseFloat(m[1]+t, 64)
		ok = ok && err == nil
		return v
	}
	ok = true
	switch {
	case points+commas == 0:
		s.v = read(plain)
	case points > 0 && commas > 0:
		// The later mark parts decimals; it stands once.
		decimal, group := ".", ","
		if strings.LastIndex(plain, ",") > strings.LastIndex(plain, ".") {
			decimal, group = ",", "."
		}
		if strings.Count(plain, decimal) > 1 {
			return s, false
		}
		s.v = read(strings.ReplaceAll(strings.ReplaceAll(plain, group, ""), decimal, "."))
	case points+commas > 1:
		s.v = read(strings.NewReplacer(".", "", ",", "").Replace(plain))
	default:
		s.v = read(strings.ReplaceAll(plain, ",", "."))
		if grouped.MatchString(plain) {
			s.two, s.ambiguous = s.v, true
			s.v = read(strings.NewReplacer(".", "", ",", "").Replace(plain))
		}
	}
	return s, ok
}

// grouped is a number with one mark that may part thousands: "2,000" and "2.000", but not "0.125" or "2.5".
var grouped = pattern.Of(`^[1-9]\d{0,2}[.,]\d{3}$`)

// idle is such a number with a point whose last decimal says nothing: as decimals nobody would write it.
var idle = pattern.Of(`^[+-]?[1-9]\d{0,2}\.\d\d0$`)

// coarse says whether nobody gives the key to a thousandth of its unit, so that "2.000" is two thousand as likely as
// two.
func (k *Key) coarse() bool {
	switch k.Unit {
	case "W", "VA", "Wh", "Ah":
		return true
	}
	return k.Coarse
}

// thousands is what is wrong with a number whose point may part thousands.
func (k *Key) thousands(n *node) complaint {
	if n.form != formFraction || !k.coarse() || !idle.MatchString(n.text) {
		return complaint{}
	}
	s, ok := spell(n.text)
	if !ok {
		return complaint{}
	}
	return complaint{fmt.Sprintf("found %s, which may be meant for %s or for %s", n.text, num(s.v), num(s.two)),
		s.hint(k)}
}

// hint tells how the number is written for a key; k may be nil, where it is not known which key it is for.
func (s spelledNumber) hint(k *Key) string {
	if s.ambiguous {
		return fmt.Sprintf("write %s for thousands, %s for decimals", num(s.v), withPoint(s.two))
	}
	why := "no marks but a decimal point stand in a number"
	if s.unit != "" {
		why = "numbers stand without their unit"
		if s.quoted {
			why = "numbers stand without quotes and without their unit"
		}
		from, known := unitOf(s.unit)
		if k != nil {
			to, ok := unitOf(k.Unit)
			switch v, same := from.to(to, s.v); {
			case known && ok && same && from.symbol != to.symbol && to.of == "share":
				return fmt.Sprintf("write %s: a share of 1, not per cent", num(v))
			case known && ok && same && from.symbol != to.symbol:
				return fmt.Sprintf("write %s: %s is in %s", num(v), k.Name, k.Unit)
			case !same && k.Unit != "" && !strings.EqualFold(s.unit, k.Unit):
				return fmt.Sprintf("%s is in %s; numbers stand without their unit", k.Name, k.Unit)
			}
		} else if !known {
			return "numbers stand without their unit, texts in quotes"
		}
	}
	return fmt.Sprintf("write %s: %s", num(s.v), why)
}

// withPoint writes a number with decimals.
func withPoint(v float64) string {
	text := num(v)
	if !strings.Contains(text, ".") {
		return text + ".0"
	}
	return text
}

// textHint tells how a text is written for a key that wants a number.
func (k *Key) textHint(text string) string {
	if _, err := strconv.ParseFloat(text, 64); err == nil && !grouped.MatchString(text) {
		return "write it without quotes"
	}
	if k.Spelled != nil {
		if v, ok := k.Spelled(text); ok {
			return fmt.Sprintf("write %s, without quotes", num(v))
		}
	}
	if s, ok := spell(text); ok {
		s.quoted = true
		return s.hint(k)
	}
	return ""
}

// shareHint tells of a share that was given in per cent.
func (k *Key) shareHint(n *node) string {
	const mostShare = 5 // no share of ours is larger
	if k.Kind != Number || k.Unit != "" || k.Max > mostShare || n.form != formWhole && n.form != formFraction {
		return ""
	}
	// Just above the range it is a share that is too large: by a power factor of 1.01 nobody means 0.0101.
	least := min(max(1, 2*k.Max), 2)
	if v := rounded(n.num / 100); n.num > k.Max && n.num >= least && k.holds(v) {
		return fmt.Sprintf("write %s: a share of 1, not per cent", num(v))
	}
	return ""
}

// switchHint tells what a word means where true or false is wanted.
func switchHint(text string) string {
	switch strings.ToLower(text) {
	case "yes", "on", "1", "y", "true", "ja", "sí", "si", "oui":
		return "write true"
	case "no", "off", "0", "n", "false", "nein", "non":
		return "write false"
	}
	return ""
}

// besideMark is the value that a parser's place lies in: what stands between the = (or a list's mark) before it and the
// end of the line, a list's mark or a comment behind it.
func besideMark(before, after string) (value string) {
	if i := strings.LastIndexAny(before, "=[{"); i >= 0 {
		before = before[i+1:]
	}
	line, _, _ := strings.Cut(after, "\n")
	if i := strings.IndexAny(line, "#]}"); i >= 0 {
		line = line[:i]
	}
	return strings.TrimSpace(before + line)
}

// keyBefore is the name of the key whose value the place lies in.
func keyBefore(before string) string {
	i := strings.Index(before, "=")
	if i < 0 {
		return ""
	}
	name := strings.TrimSpace(before[:i])
	if j := strings.LastIndexFunc(name, func(r rune) bool {
		return !unicode.IsLetter(r) && !unicode.IsDigit(r) &&
			r != '_'
	}); j >= 0 {
		name = name[j+1:]
	}
	return name
}

// named finds a key by its name in any table.
func (ks *Keys) named(name string) *Key {
	if name == "" {
		return nil
	}
	if k := ks.find(name); k != nil {
		return k
	}
	for i := range ks.List {
		if inner := ks.List[i].Keys; inner != nil {
			if k := inner.named(name); k != nil {
				return k
			}
		}
	}
	return nil
}
