// Package interview turns what an owner can answer at the kitchen table into a first site file.
//
// [New] begins an [Interview] with a catalog. [Interview.Next] gives the questions of the next part that is not
// answered yet, [Interview.Take] takes an answer as it was typed, or says what is allowed; [Interview.Propose] finds
// equipment for what was not chosen, and [Interview.SiteText] writes the site file, which says of every figure whether
// it was answered or assumed. What nobody knows is answered with "?" and takes a default on the safe side.
//
// An answer is only taken if the site file that it leads to is one that every command accepts. The package reads no
// file and asks nobody: doors (a terminal, flags, a file of answers) stand elsewhere. What it asks and refuses are
// phrases; [Interview.Say] writes them in the language of [Interview.Speak], in which the comments of the site file stand
// as well. Answers are read in every language. Powers are W, times h, temperatures degrees C.
package interview

import (
	"errors"
	"slices"
	"strings"
	"unicode"

	"outlast/backup/phrase"
	"outlast/backup/site"
	"outlast/catalog"
	"outlast/catalog/strict"
)

// Unknown is the answer of who does not know.
const Unknown = "?"

// An Interview is what has been answered so far.
type Interview struct {
	cat     *catalog.Catalog
	classes []catalog.Appliance
	byName  map[string]int    // in classes, by id and by label, as slugs
	others  *otherNames       // of classes in other languages; nil: none
	answers map[string]string // as typed; Unknown; the questions that are not here have not been answered
	stand   Equipment         // what the supply takes, to try the rest of the answers with
	loads   string            // what stays on, where it is known from elsewhere, as it stands in a site file
	say     func(phrase.Phrase) string
}

// New begins an interview; cat is where appliances and equipment are looked up.
func New(cat *catalog.Catalog) *Interview {
	in := &Interview{cat: cat, classes: cat.Appliances(), byName: map[string]int{}, answers: map[string]string{},
		say: phrase.Phrase.String}
	for i, c := range in.classes {
		in.byName[slug(c.Label)] = i
	}
	for i, c := range in.classes { // an id goes before a label
		in.byName[slug(c.ID)] = i
	}
	return in
}

// Speak has the interview speak another language than English: say writes a phrase in it.
func (in *Interview) Speak(say func(phrase.Phrase) string) { in.say = say }

// Say writes a phrase in the language of the interview.
func (in *Interview) Say(p phrase.Phrase) string { return in.say(p) }

// WithLoads begins an interview about a home whose circuits and loads are known, as they stand in a site file: what
// stays on is not asked.
func WithLoads(cat *catalog.Catalog, loads string) *Interview {
	in := New(cat)
	in.loads = loads
	return in
}

// Same takes every answer of another interview, and leaves open what that has not answered.
func (in *Interview) Same(other *Interview) error {
	for _, part := range in.parts() {
		for _, q := range part {
			if text, ok := other.answers[q.Key]; ok {
				if err := in.Take(q.Key, text); err != nil {
					return err
				}
			}
		}
	}
	return in.LeaveOpen()
}

// Supply is what the grid brings, volts to neutral and phases; ok is false where it was not answered.
func (in *Interview) Supply() (volts float64, phases int, ok bool) {
	s := in.supplied()
	return s.volts, s.phases, in.known(keySupply) != ""
}

// A Refusal says why an answer is not taken.
type Refusal struct{ Msg, Hint phrase.Phrase }

func (r *Refusal) Error() string { return r.Msg.String() }

func refuse(hint, msg phrase.Phrase) error { return &Refusal{Msg: msg, Hint: hint} }

// noHint is the hint of a refusal that says all.
var noHint phrase.Phrase

// Answer is what was answered to a question; ok is false where nothing was.
func (in *Interview) Answer(key string) (text string, ok bool) {
	text, ok = in.answers[key]
	return text, ok
}

// known is an answer that says something; "" stands for none.
func (in *Interview) known(key string) string {
	if a := in.answers[key]; a != Unknown {
		return a
	}
	return ""
}

// Take takes the answer to a question. The error is a [*Refusal]: then everything is as it was.
func (in *Interview) Take(key, text string) error {
	q, err := in.question(key)
	if err != nil {
		return err
	}
	if text, err = clean(q, text); err != nil {
		return err
	}
	before, had := in.answers[key]
	stand := in.stand
	in.answers[key] = text
	if text != Unknown {
		err = q.check(text)
	}
	if err == nil {
		err = in.accepted(q)
	}
	if err == nil {
		return nil
	}
	in.stand = stand
	if delete(in.answers, key); had {
		in.answers[key] = before
	}
	return err
}

// Check says what [Interview.Take] would say, and takes nothing.
func (in *Interview) Check(key, text string) error { return in.without("").Take(key, text) }

// LeaveOpen answers every question that is left with what nobody knows.
func (in *Interview) LeaveOpen() error {
	for open := in.Next(); open != nil; open = in.Next() {
		for _, q := range open {
			if err := in.Take(q.Key, Unknown); err != nil {
				return err
			}
		}
	}
	return nil
}

// Add takes more items of a question that takes several: those that are right are kept, the error tells of the others.
func (in *Interview) Add(key, text string) error {
	var msgs, hints []phrase.Phrase
	for _, item := range items(text) {
		all := item
		if have := in.known(key); have != "" && !IsNone(have) {
			all = have + ", " + item
		}
		if err := in.Take(key, all); err != nil {
			var r *Refusal
			if !errors.As(err, &r) {
				return err
			}
			msgs, hints = append(msgs, r.Msg), append(hints, r.Hint)
		}
	}
	if msgs == nil {
		return nil
	}
	hints = slices.CompactFunc(hints, func(a, b phrase.Phrase) bool { return a.String() == b.String() })
	return refuse(phrase.Separated(slices.DeleteFunc(hints, phrase.Phrase.Empty), "; "), phrase.Separated(msgs, "; "))
}

// Lengths of what is typed, in characters: a list of everything that a large home holds is longer than one answer.
const longestAnswer, longestList = strict.MaxText, 20_000

// clean is an answer without what surrounds it; nothing is an answer of who does not know.
func clean(q Question, text string) (string, error) {
	text = strings.Join(strings.Fields(text), " ")
	longest := longestAnswer
	if q.Several {
		longest = longestList
	}
	if n := len([]rune(text)); n > longest {
		return "", refuse(noHint, phrase.Of("found %q, which is too long", strict.Clip(text)))
	}
	if strings.ContainsFunc(text, func(r rune) bool { return unicode.IsControl(r) || r == unicode.ReplacementChar }) {
		return "", refuse(noHint, phrase.Of("found %q, want signs that can be printed", strict.Clip(text)))
	}
	if IsUnknown(text) {
		return Unknown, nil
	}
	return text, nil
}

// accepted refuses an answer whose site file would be refused.
func (in *Interview) accepted(q Question) error {
	eq, err := in.standIn()
	if err != nil {
		return err
	}
	src := in.SiteText(in.chosen(eq))
	if _, err = site.Read("", []byte(src), in.cat); err == nil {
		return nil
	}
	var ps strict.Problems
	if !errors.As(err, &ps) {
		return err
	}
	for _, p := range ps { // one that the answer itself makes, if there is such
		if slices.Contains(q.writes, keyOf(p.Msg)) {
			return refuse(phrase.Foreign(p.Hint), phrase.Foreign(p.Msg))
		}
	}
	return refuse(phrase.Foreign(ps[0].Hint), phrase.Foreign(ps[0].Msg))
}

// keyOf is the key at the beginning of a message of the reader.
func keyOf(msg string) string {
	key, _, _ := strings.Cut(msg, " ")
	return key
}
