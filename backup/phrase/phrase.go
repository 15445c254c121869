// Package phrase holds sentences that are not written yet: an English format with its arguments.
//
// [Of] makes a [Phrase], which costs little: most plans are made for a search, and nobody reads their reasons.
// [Phrase.String] writes it in English, [Phrase.In] in another [Language], which has a translation for every format.
// What is the same in every language, units, formulas of the keys of the site file and citations of standards, is made
// by [Symbols], what the user wrote by [Name].
//
// Arguments are strings (names of the user's: "%s" or, in quotation marks, "%q"), numbers, an [Amount], a [Figure], a
// [Number] or a [Measure] that is printed already, a [Unit], the id of a [Check], a [Label] of the catalog, or other
// phrases. A format takes each of them once and in order; a translation may take them in another order, with %[2]s.
package phrase

import (
	"fmt"
	"math"
	"regexp"
	"strconv"
	"strings"
	"unicode/utf8"
)

// A Phrase is a piece of prose that is not written yet. The zero value is the empty one. It is small, because plans
// carry thousands of them about.
type Phrase struct{ *text }

type text struct {
	format string
	args   []any
	kind   kind
	rest   bool // only what stands behind the last colon or semicolon, see [Phrase.Rest]
}

type kind byte

const (
	translated kind = iota // the format has a translation
	symbols                // the format is the same in every language
	foreign                // there is only English
)

// Of makes a phrase of an English format and its arguments. The format is a literal, so that the languages can be held
// against the source.
func Of(format string, args ...any) Phrase { return Phrase{&text{format: format, args: args}} }

// Symbols makes a phrase whose format is the same in every language; its numbers are not.
func Symbols(format string, args ...any) Phrase {
	return Phrase{&text{format: format, args: args, kind: symbols}}
}

// Name is a text of the user's, or the name of a thing.
func Name(s string) Phrase {
	if s == "" {
		return Phrase{}
	}
	return Symbols("%s", s)
}

// Foreign is an English text that no table of translations can know. [Phrase.In] reports it as missed.
func Foreign(english string) Phrase { return Phrase{&text{format: english, kind: foreign}} }

// Count takes one of two formats, for one thing or for several; both take the number.
func Count(n int, one, many string) Phrase {
	if n == 1 {
		return Of(one, n)
	}
	return Of(many, n)
}

// Empty says whether there is nothing to write.
func (p Phrase) Empty() bool { return p.text == nil || p.format == "" }

// Then is p with more behind it.
func (p Phrase) Then(more Phrase) Phrase {
	switch {
	case p.Empty():
		return more
	case more.Empty():
		return p
	}
	return Symbols("%s%s", p, more)
}

// Rest is what stands behind the last colon or semicolon of an English sentence: in the reason of a check what follows
// from it, or what to do. Of phrases that stand behind each other it is the rest of each. It is empty where there is
// none.
func (p Phrase) Rest() Phrase {
	if p.Empty() {
		return Phrase{}
	}
	if restAt(p.format) > 0 {
		return Phrase{&text{p.format, p.args, p.kind, true}}
	}
	var rests []Phrase
	if p.kind == symbols {
		for _, arg := range p.args {
			if part, ok := arg.(Phrase); ok && !part.Rest().Empty() {
				rests = append(rests, part.Rest())
			}
		}
	}
	return Separated(rests, "; ")
}

// restAt is where the rest of a format begins; 0: it has none.
func restAt(format string) int {
	if at := max(strings.LastIndex(format, ": "), strings.LastIndex(format, "; ")); at >= 0 {
		return at + len(": ")
	}
	return 0
}

// onlyRest is the rest of a format, for the arguments of the whole.
func onlyRest(format string) string {
	at := restAt(format)
	next := 1 // argument
	for _, m := range verb.FindAllStringSubmatch(format[:at], -1) {
		if m[2] == "%" {
			continue
		}
		if m[1] != "" {
			next, _ = strconv.Atoi(m[1])
		}
		next++
	}
	first := true
	return verb.ReplaceAllStringFunc(format[at:], func(v string) string {
		if m := verb.FindStringSubmatch(v); m[2] == "%" || m[1] != "" || !first {
			first = first && m[2] == "%"
			return v
		}
		first = false
		return v[:len(v)-1] + "[" + strconv.Itoa(next) + "]" + v[len(v)-1:]
	})
}

// verb finds what a format fills in, with the number of its argument: "%.1f", "%[2]s".
var verb = regexp.MustCompile(`%[-+#0 ]*\d*(?:\.\d+)?(?:\[(\d+)\])?([a-zA-Z%])`)

// filled writes a format, or its rest.
func (t *text) filled(format string, args []any) string {
	if t.rest {
		if format = onlyRest(format); !strings.Contains(strings.ReplaceAll(format, "%%", ""), "%") {
			args = nil // nothing of them is in it
		}
	}
	return fmt.Sprintf(format, args...)
}

// Separated puts phrases in a row with a sign between them.
func Separated(items []Phrase, by string) Phrase {
	switch len(items) {
	case 0:
		return Phrase{}
	case 1:
		return items[0]
	}
	return Symbols("%s", row{items, by})
}

// List puts phrases in a row as prose does: "a, b and c".
func List(items []Phrase) Phrase {
	if last := len(items) - 1; last > 0 {
		return Symbols("%s", list{Separated(items[:last], ", "), items[last]})
	}
	return Separated(items, "")
}

// Lower is a title as part of a longer one: its first letter is a small one, in languages that do so.
func Lower(p Phrase) Phrase { return Symbols("%s", lower{p}) }

// String writes the phrase in English.
func (p Phrase) String() string {
	switch {
	case p.Empty():
		return ""
	case p.kind == foreign:
		return p.format
	case len(p.args) == 0 && !p.rest && !strings.Contains(p.format, "%"):
		return p.format
	}
	p = p.toldApart()
	return p.filled(p.format, p.args)
}

// MarshalText writes the phrase in English, so that JSON has it as a text.
func (p Phrase) MarshalText() ([]byte, error) { return []byte(p.String()), nil }

// Strings writes phrases in English.
func Strings(list []Phrase) []string {
	out := make([]string, len(list))
	for i, p := range list {
		out[i] = p.String()
	}
	return out
}

// row is phrases with a sign between them.
type row struct {
	items []Phrase
	by    string
}

func (r row) String() string { return strings.Join(Strings(r.items), r.by) }

// list is phrases and a last one.
type list struct{ first, last Phrase }

func (l list) String() string { return l.first.String() + " and " + l.last.String() }

type lower struct{ of Phrase }

func (l lower) String() string { return LowerFirst(l.of.String()) }

// LowerFirst gives a text a small letter at its beginning.
func LowerFirst(s string) string {
	_, n := utf8.DecodeRuneInString(s)
	return strings.ToLower(s[:n]) + s[n:]
}

// UpperFirst gives a text a capital at its beginning.
func UpperFirst(s string) string {
	_, n := utf8.DecodeRuneInString(s)
	return strings.ToUpper(s[:n]) + s[n:]
}

// A Number is a number that is printed already, with a point.
type Number string

// A Figure is a number of a working: four digits, and no exponent for the numbers of a home.
type Figure float64

// String writes the figure in English.
func (f Figure) String() string {
	if v := float64(f); math.Abs(v) < 1000 {
		return strconv.FormatFloat(v, 'g', 4, 64)
	}
	return strconv.FormatFloat(float64(f), 'f', 0, 64)
}

// A Measure is a number that is printed already, with a point, and a unit behind a blank: "2.5 mm2".
type Measure string

// A Check is the id of a check of the plan.
type Check string

// A Unit is a unit that stands alone, as in a column of a table.
type Unit string

// A Label is that of a piece of equipment in the catalog.
type Label string

// An Error is an error whose text is a phrase, so that it can be told in any language.
type Error struct{ Phrase }

// Error writes the error in English.
func (e Error) Error() string { return e.String() }
