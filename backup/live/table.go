package live

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"strings"
	"sync/atomic"

	"outlast/backup"
	"outlast/backup/edit"
	"outlast/backup/phrase"
	"outlast/backup/sheet/speech"
	"outlast/backup/site"
	"outlast/catalog"
)

// A Home is what a page is opened for.
type Home struct {
	File    string // what messages call it
	Text    []byte // of the site file, valid
	Catalog *catalog.Catalog
	Open    func(name string) (io.ReadCloser, error) // a file that the site file names; nil: there is none
}

// A Table is a home on the kitchen table. It may be asked from several goroutines.
type Table struct {
	home      Home
	file      *edit.File                // of the home's text
	latest    atomic.Pointer[edit.File] // as it was asked about last
	first     *site.Site                // as the home was put on the table, by [New]; its sky is that of all others
	files     memo[*edit.File]          // by the changes
	sites     memo[*site.Site]          // by the text
	plans     memo[*planned]            // by the text and the option
	figures   memo[figure]              // by the text, the option and the view
	forecasts forecasts
	warmUps   atomic.Int32 // questions asked by WarmUp
}

// New puts a home on the table. The error is that of [site.Read]: its file is not valid.
func New(h Home) (*Table, error) {
	t := &Table{home: h, file: edit.Open(h.Text)}
	t.latest.Store(t.file)
	if _, err := t.read(h.Text); err != nil {
		return nil, err
	}
	return t, nil
}

// read reads a site file with what it names. The site must not be changed.
func (t *Table) read(text []byte) (*site.Site, error) {
	k := keyOf(text)
	if s, ok := t.sites.get(k); ok {
		return s, nil
	}
	s, err := site.Read(t.home.File, text, t.home.Catalog)
	if err != nil {
		return nil, err
	}
	if err := s.TakeWeather(t.weather); err != nil {
		return nil, err
	}
	if t.first == nil {
		t.first = s
	}
	s.UnderSkyOf(t.first)
	t.sites.put(k, s)
	return s, nil
}

// MaxChanges is how many changes a question may hold.
const MaxChanges = 5000

// Text is the site file with changes. Its error is an [*edit.Refusal], or that of [site.Read]: the file is not valid
// with them.
func (t *Table) Text(changes []edit.Change) ([]byte, error) {
	text, err := t.text(changes)
	if err != nil {
		return nil, err
	}
	_, err = t.read(text)
	return text, err
}

// text is Text, and the file may not be valid.
func (t *Table) text(changes []edit.Change) ([]byte, error) {
	if len(changes) > MaxChanges {
		return nil, &edit.Refusal{Change: MaxChanges, Why: fmt.Sprintf("there are %d changes, %d at most", len(changes),
			MaxChanges)}
	}
	return t.apply(changes)
}

// apply makes the changes. What a hand did before the last touch was asked for already, and is remembered.
func (t *Table) apply(changes []edit.Change) ([]byte, error) {
	keys := make([]key, len(changes)+1)
	for i, c := range changes {
		one, err := json.Marshal(c)
		if err != nil {
			return nil, &edit.Refusal{Change: i, Why: err.Error()}
		}
		keys[i+1] = keyOf(keys[i][:], one)
	}
	known, file := 0, t.file
	for i := len(changes); i > 0; i-- {
		if before, ok := t.files.get(keys[i]); ok {
			known, file = i, before
			break
		}
	}
	for i := known; i < len(changes); i++ {
		next, err := file.Change(changes[i])
		if err != nil {
			return nil, &edit.Refusal{Change: i, Why: err.Error()}
		}
		file = next
	}
	t.files.put(keys[len(changes)], file)
	t.latest.Store(file)
	return file.Text, nil
}

// Prepare does what the next change to the file would have to wait for. It is for a moment in which nobody waits.
func (t *Table) Prepare() { t.latest.Load().Look() }

// A badQuestion is one that no page of ours asks.
type badQuestion struct{ why string }

func (b badQuestion) Error() string { return b.why }

func (v View) check() error {
	switch {
	case v.StartMin != nil && (*v.StartMin < 0 || *v.StartMin >= 1440):
		return badQuestion{fmt.Sprintf("an outage from minute %d of the day, want 0 to 1439", *v.StartMin)}
	case v.Hours < 0 || v.Hours > MaxHours:
		return badQuestion{fmt.Sprintf("an outage of %d h, want 1 to %d", v.Hours, MaxHours)}
	case v.Month < 0 || v.Month > 12:
		return badQuestion{fmt.Sprintf("month %d, want 1 to 12", v.Month)}
	}
	if _, ok := skies[v.Sky]; !ok {
		return badQuestion{fmt.Sprintf("sky %q, want dull, usual or bright", v.Sky)}
	}
	return nil
}

// Read reads a question.
func Read(request []byte) (q Question, err error) {
	d := json.NewDecoder(bytes.NewReader(request))
	d.DisallowUnknownFields()
	if err := d.Decode(&q); err != nil {
		return q, badQuestion{"no question: " + err.Error()}
	}
	if d.More() {
		return q, badQuestion{"more than one question"}
	}
	return q, nil
}

// Kinds lists the kinds of questions.
func Kinds() []string { return []string{"answer", "weigh", "try", "why", "words", "classes", "text"} }

// Do answers a question of a kind, both as JSON; what goes wrong is an answer too: {"error": "…"}.
func (t *Table) Do(ctx context.Context, kind string, request []byte) []byte {
	answer, err := t.standing(ctx, kind, request)
	if err != nil {
		wrong := struct {
			Error string `json:"error"`
			Code  string `json:"code,omitempty"`
		}{Error: err.Error()}
		if bad := (*BadName)(nil); errors.As(err, &bad) {
			wrong.Code = bad.Code
		}
		answer = wrong
	}
	var b bytes.Buffer
	e := json.NewEncoder(&b)
	e.SetEscapeHTML(true)
	if err := e.Encode(answer); err != nil { // a number that is none
		b.Reset()
		fmt.Fprintf(&b, "{\"error\":%q}\n", err.Error())
	}
	return b.Bytes()
}

// stumbled begins what is said of a fault of ours.
const stumbled = "the engine stumbled over this question, which is a fault of the program: "

// standing is do, and stands what must not be: the page goes on with the question before.
func (t *Table) standing(ctx context.Context, kind string, request []byte) (answer any, err error) {
	defer func() {
		if fault := recover(); fault != nil {
			err = fmt.Errorf("%s%v", stumbled, fault)
		}
	}()
	return t.do(ctx, kind, request)
}

func (t *Table) do(ctx context.Context, kind string, request []byte) (any, error) {
	q, err := Read(request)
	if err != nil {
		return nil, err
	}
	switch kind {
	case "answer":
		return t.Answer(ctx, q)
	case "weigh":
		return t.Weigh(ctx, q)
	case "try":
		return t.Try(ctx, q)
	case "why":
		return t.Why(ctx, q)
	case "words":
		return t.Words(q)
	case "classes":
		return t.Classes(q)
	case "text":
		if q.Name != "" {
			if err := CheckName(q.Name); err != nil {
				return nil, err
			}
		}
		text, err := t.Text(q.Changes)
		return TextAnswer{string(text)}, err
	}
	return nil, badQuestion{fmt.Sprintf("question %q is unknown", kind)}
}

// WarmUp asks a question for nobody, as a touch would ask it: a program runs faster where it has run before, and on memory
// that it holds already, and the first touch is not to wait for that. It asks as many as are remembered, one at each call,
// and tells whether it asked. lang is the language of the page.
func (t *Table) WarmUp(ctx context.Context, lang string) bool {
	n := int(t.warmUps.Add(1))
	if n > remembered {
		return false
	}
	question, err := json.Marshal(Question{Lang: lang, View: View{Month: 1 + n*5%12},
		Changes: []edit.Change{{Do: "set", Table: "outage", Key: "autonomy_h", Value: 8 + n}}})
	if err != nil {
		return false
	}
	t.Do(ctx, "answer", question)
	return true
}

// A planned home is the one that a question asks about: the changed file, and the plan of it or of one of its options.
type planned struct {
	*backup.Plan
	file  *site.Site // as it was read
	given *site.Site // what was planned of it
	known key
}

// plan works the changed home out, or one of its options, without what the page does not show. Who only looks at
// another outage gets the plan that was made before.
func (t *Table) plan(ctx context.Context, q Question) (*planned, error) {
	if err := q.View.check(); err != nil {
		return nil, err
	}
	text, err := t.text(q.Changes)
	if err != nil {
		return nil, err
	}
	known := keyOf([]byte(q.View.Option), []byte{0}, text)
	if p, ok := t.plans.get(known); ok {
		return p, nil
	}
	s, err := t.read(text)
	if err != nil {
		return nil, err
	}
	chosen := s
	if name := q.View.Option; name != "" {
		chosen = nil
		for _, o := range s.Options {
			if o.Name == name {
				chosen = o.Site
			}
		}
		if chosen == nil {
			return nil, badQuestion{fmt.Sprintf("option %q is not in the file", name)}
		}
	}
	alone := *chosen
	alone.Options = nil
	made, err := backup.NewPlan(ctx, &alone)
	if err != nil {
		return nil, err
	}
	made.Shared.Ctx = context.WithoutCancel(ctx) // it will be asked by others too
	p := &planned{made, s, chosen, known}
	t.plans.put(known, p)
	return p, nil
}

// spoken is the home that a question asks about, and who tells of it in the language of the question.
func (t *Table) spoken(ctx context.Context, q Question) (*planned, speaker, error) {
	p, err := t.plan(ctx, q)
	if err != nil {
		return nil, speaker{}, err
	}
	s, err := speakerOf(q.Lang, p)
	return p, s, err
}

// A speaker says what an answer says in its language.
type speaker struct{ *speech.Speaker }

func speakerOf(lang string, p *planned) (speaker, error) {
	v, err := speech.NewVoice(lang, p.Site.Units == "us")
	if err != nil {
		return speaker{}, badQuestion{err.Error()}
	}
	v.Signs = true
	label := func(check string) string {
		for _, r := range p.Runs {
			if r.ID == check {
				return r.Label.String()
			}
		}
		return ""
	}
	return speaker{speech.NewSpeaker(v, p.Site.Loads, label)}, nil
}

// name is what a load or circuit is called.
func (s speaker) name(of string) string { return speech.Name(s.Called(of)) }

// sentence begins with a capital, and ends with a full stop where it has no sign of its own.
func (s speaker) sentence(p phrase.Phrase) string {
	text := phrase.UpperFirst(s.Prose(p))
	if text != "" && !strings.ContainsRune(".?!", rune(text[len(text)-1])) {
		text += "."
	}
	return text
}
