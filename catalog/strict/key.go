package strict

import (
	"fmt"
	"math"
	"strconv"
	"strings"
)

// Kind is the type of value that a key takes.
type Kind int

// The kinds of value. A Number may be written 48 or 48.0; a Whole must be written without a decimal point. Texts,
// Numbers and Wholes are lists.
const (
	Text Kind = iota
	Number
	Whole
	Switch
	Texts
	Numbers
	Wholes
	Group  // a table: [x] or x = { … }
	Groups // a list of tables: [[x]] or x = [{ … }]
)

// A Key says what one key of a file may hold.
type Key struct {
	Name     string
	Kind     Kind
	Required bool
	Default  any // nil: none. float64, int, string or bool, by Kind

	Min, Max  float64 // of a Number or a Whole, or of each in a list of them; inclusive
	Above     bool    // Min itself is not allowed
	Unit      string  // "W", "h"; empty for plain numbers
	Choices   []string
	Words     []string // texts that a Number or a Whole may be instead, such as "any"
	MinLen    int      // of a list
	MaxLen    int      // of a list; 0: no limit
	Distinct  bool     // no item of a list twice
	MayBeNone bool     // allows an empty Text
	// nobody gives it to a thousandth of its unit: "1.200" may be meant for 1200. Powers and charges are, by their unit
	Coarse bool

	// Spelled reads a word that people write for a number of the key, such as the name of a month, for a hint; nil:
	// none.
	Spelled func(word string) (v float64, ok bool)

	IfZero string // what to do where somebody writes that there is none, as 0 is not allowed: a hint; "" where there is nothing to say

	ZeroMeans string // what 0 stands for where it is no number like the others: a hint to who gives one that is not allowed

	Keys *Keys  // of a Group or Groups
	Doc  string // one line for people

	Alone     bool   // must be given where the table begins from no entry of a catalog
	Unless    string // a key of the table in whose presence one that must be given alone may be left out
	Otherwise string // what holds where the key is not given, in words; "" where Default tells
	Example   string // a value as a file writes it
}

// Keys says what one table of a file may hold.
type Keys struct {
	Name      string // the table's header as users write it: "[site]", "[[load]]"
	List      []Key
	AtMostOne [][]string // keys that exclude each other; reported at the later one
	OneOf     [][]string // of these keys exactly one is wanted
}

func (ks *Keys) find(name string) *Key {
	for i := range ks.List {
		if ks.List[i].Name == name {
			return &ks.List[i]
		}
	}
	return nil
}

func (ks *Keys) names() []string {
	names := make([]string, len(ks.List))
	for i, k := range ks.List {
		names[i] = k.Name
	}
	return names
}

// Wants says in words what the key allows: "a number from 0 to 10000000 W".
func (k *Key) Wants() string {
	switch k.Kind {
	case Number, Whole:
		noun := "a number"
		if k.Kind == Whole {
			noun = "a whole number"
		}
		if len(k.Words) > 0 {
			return noun + " " + k.span() + ", or " + anyOf(k.Words)
		}
		return noun + " " + k.span()
	case Text:
		if len(k.Choices) > 0 {
			return anyOf(k.Choices)
		}
		return "a text in quotes"
	case Switch:
		return "true or false"
	case Texts:
		if len(k.Choices) > 0 {
			return "a list of " + anyOf(k.Choices)
		}
		return "a list of texts"
	case Numbers:
		return "a list of numbers " + k.span()
	case Wholes:
		return "a list of whole numbers " + k.span()
	case Group:
		if k.ofRoot() {
			return "a table headed " + k.Keys.Name
		}
		return "a table { … } with " + strings.Join(k.Keys.names(), ", ")
	default:
		if k.ofRoot() {
			return "a table headed " + k.Keys.Name + " for each"
		}
		return "a list of tables { … } with " + strings.Join(k.Keys.names(), ", ")
	}
}

// ofRoot says whether the tables of a Group or Groups have headers of their own: "[site]", "[[load]]".
func (k *Key) ofRoot() bool { return strings.HasPrefix(k.Keys.Name, "[") }

func (k *Key) span() string {
	unit := ""
	if k.Unit != "" {
		unit = " " + k.Unit
	}
	switch {
	case math.IsInf(k.Max, 1) && k.Above:
		return fmt.Sprintf("above %s%s", num(k.Min), unit)
	case k.Above:
		return fmt.Sprintf("above %s, at most %s%s", num(k.Min), num(k.Max), unit)
	default:
		return fmt.Sprintf("from %s to %s%s", num(k.Min), num(k.Max), unit)
	}
}

// holds also refuses NaN and the infinities.
func (k *Key) holds(v float64) bool {
	if !(v >= k.Min && v <= k.Max) || math.IsInf(v, 0) {
		return false
	}
	return !k.Above || v > k.Min
}

// Without says in words what holds where the key is not given: "1.5 h", or that it must be given.
func (k *Key) Without() string {
	switch {
	case k.Required:
		return "must be given"
	case k.Alone:
		text := "must be given without use"
		if k.Unless != "" {
			text += " and " + k.Unless
		}
		if k.Otherwise != "" {
			text += "; " + k.Otherwise
		}
		return text
	case k.Default == nil:
		return k.Otherwise
	}
	return k.defaultText()
}

func (k *Key) defaultText() string {
	text := fmt.Sprint(k.Default)
	if v, ok := k.Default.(float64); ok {
		text = num(v)
	}
	if text == "" {
		text = "none"
	}
	if k.Unit != "" {
		text += " " + k.Unit
	}
	return text
}

// num writes a number as people do: powers of ten only where zeros could not be counted.
func num(v float64) string {
	if a := math.Abs(v); a >= 1e-4 && a < 1e10 {
		return strconv.FormatFloat(v, 'f', -1, 64)
	}
	return strconv.FormatFloat(v, 'g', -1, 64)
}

// anyOf lists words in prose: "petrol", "diesel" or "gas".
func anyOf(words []string) string {
	last := len(words) - 1
	if last < 1 {
		return quoteAll(words)
	}
	return quoteAll(words[:last]) + " or " + strconv.Quote(words[last])
}

func quoteAll(words []string) string {
	quoted := make([]string, len(words))
	for i, w := range words {
		quoted[i] = strconv.Quote(w)
	}
	return strings.Join(quoted, ", ")
}

// What tables of keys are written with.

// NumberKey is a number from lo to hi.
func NumberKey(name string, lo, hi float64, unit, doc string) Key {
	return Key{Name: name, Kind: Number, Min: lo, Max: hi, Unit: unit, Doc: doc}
}

// AboveKey is a number that must be larger than lo, and at most hi.
func AboveKey(name string, lo, hi float64, unit, doc string) Key {
	k := NumberKey(name, lo, hi, unit, doc)
	k.Above = true
	return k
}

// WholeKey is a whole number from lo to hi.
func WholeKey(name string, lo, hi float64, doc string) Key {
	return Key{Name: name, Kind: Whole, Min: lo, Max: hi, Doc: doc}
}

// TextKey is any text.
func TextKey(name, doc string) Key { return Key{Name: name, Kind: Text, Doc: doc} }

// SwitchKey is true or false, and false where it is not given.
func SwitchKey(name, doc string) Key {
	return Key{Name: name, Kind: Switch, Default: false, Doc: doc}
}

// ChoiceKey is one of some words.
func ChoiceKey(name, doc string, words ...string) Key {
	return Key{Name: name, Kind: Text, Choices: words, Doc: doc}
}

// Needed is a key that a table must give.
func Needed(k Key) Key {
	k.Required = true
	return k
}

// Or is a key with the value that holds where it is not given.
func Or(k Key, value any) Key {
	k.Default = value
	return k
}

// NeededAlone is a key that a table must give where it begins from no entry of a catalog.
func NeededAlone(k Key) Key {
	k.Alone = true
	return k
}

// Else is the key with what holds where it is not given, in words.
func (k Key) Else(words string) Key {
	k.Otherwise = words
	return k
}

// Not0 is the key with what to do instead of 0, which it does not allow.
func (k Key) Not0(hint string) Key {
	k.IfZero = hint
	return k
}

// Means0 is the key with what 0 stands for, which its line for people tells as well.
func (k Key) Means0(words string) Key {
	k.Doc += "; 0: " + words
	k.ZeroMeans = "0: " + words
	return k
}

// Eg is the key with an example, as a file writes the value.
func (k Key) Eg(example string) Key {
	k.Example = example
	return k
}
