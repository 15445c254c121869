package phrase

import (
	"fmt"
	"io"
)

// A Language writes phrases. All of its functions must be set.
type Language struct {
	Format  func(english string) (string, bool) // the translation of a format; false: there is none. Symbols may do without
	Missed  func(english string)                // is told of every format, and every text, without a translation
	Name    func(s string) string               // a text of the user's inside a sentence
	Quote   func(s string) string               // the same in quotation marks
	Number  func(printed string) string         // a number that was printed with a point
	Amount  func(v float64, unit string) string
	Measure func(printed string) string      // "2.5 mm2"
	Unit    func(printed string) string      // "mm2"
	Check   func(id string) string           // the name of a check
	Label   func(english string) string      // a label of the catalog
	And     func(before, last string) string // "a, b and c", of "a, b" and "c"
	Lower   func(title string) string        // a title as part of a longer one
}

// In writes the phrase in a language.
func (p Phrase) In(l *Language) string {
	if p.Empty() {
		return ""
	}
	format := p.format
	switch p.kind {
	case foreign:
		l.Missed(format)
		return l.Name(format)
	case translated:
		var ok bool
		if format, ok = l.Format(p.format); !ok {
			l.Missed(p.format)
			format = p.format
		}
	case symbols:
		if better, ok := l.Format(format); ok { // a language may have signs of its own
			format = better
		}
	}
	args := make([]any, len(p.args))
	for i, arg := range p.toldApart().args {
		args[i] = l.written(arg)
	}
	return p.filled(format, args)
}

// written is an argument in the language: a string, or what the format's verb decides.
func (l *Language) written(arg any) any {
	switch a := arg.(type) {
	case Phrase:
		return a.In(l)
	case string:
		return userText{a, l}
	case Amount:
		return l.Amount(a.Value, a.Unit)
	case Figure:
		return l.Number(a.String())
	case Number:
		return l.Number(string(a))
	case Measure:
		return l.Measure(string(a))
	case Unit:
		return l.Unit(string(a))
	case Check:
		return l.Check(string(a))
	case Label:
		return l.Label(string(a))
	case float64, int:
		return number{a, l}
	case row:
		text, by := "", a.by
		if translated, ok := l.Format(by); ok {
			by = translated
		}
		for i, item := range a.items {
			if i > 0 {
				text += by
			}
			text += item.In(l)
		}
		return text
	case list:
		return l.And(a.first.In(l), a.last.In(l))
	case lower:
		return l.Lower(a.of.In(l))
	}
	l.Missed(fmt.Sprintf("an argument of type %T", arg))
	return arg
}

// number is printed as its verb says, with a point, before the language gets it.
type number struct {
	value any
	l     *Language
}

// Format implements [fmt.Formatter].
func (n number) Format(s fmt.State, verb rune) {
	io.WriteString(s, n.l.Number(fmt.Sprintf(fmt.FormatString(s, verb), n.value)))
}

// userText is quoted in the manner of the language.
type userText struct {
	text string
	l    *Language
}

// Format implements [fmt.Formatter].
func (u userText) Format(s fmt.State, verb rune) {
	if verb == 'q' {
		io.WriteString(s, u.l.Quote(u.text))
		return
	}
	io.WriteString(s, u.l.Name(u.text))
}
