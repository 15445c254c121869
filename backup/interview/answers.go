package interview

import (
	"errors"
	"fmt"
	"slices"
	"strings"
	"unicode/utf8"

	"outlast/catalog/strict"
)

// A Given is one line of a file of answers, or an answer from elsewhere.
type Given struct {
	Key, Text string
	From      string // what messages call where it comes from
	Line, Col int    // of the key in a file; 0: elsewhere
}

// ReadAnswers reads a file of answers: on each line the key of a question, a colon, and the answer as it would be
// typed. Empty lines, and those that begin with #, say nothing. The error is of type [strict.Problems].
func ReadAnswers(file, src string) (given []Given, err error) {
	const most = 20 // that are told: what has more is no such file
	var ps strict.Problems
	seen := map[string]int{}
	line := 0
	for text := range strings.Lines(strings.TrimPrefix(src, "\ufeff")) {
		if line++; len(ps) == most {
			break
		}
		if !utf8.ValidString(text) {
			return nil, append(ps, strict.Problem{File: file, Line: line, Col: 1,
				Msg: "found bytes that are no text in UTF-8"})
		}
		text = strings.TrimRight(text, "\r\n")
		trimmed := strings.TrimSpace(text)
		if trimmed == "" || strings.HasPrefix(trimmed, "#") {
			continue
		}
		g, ok := ReadAnswer(trimmed)
		ok = ok && utf8.RuneCountInString(g.Key) <= strict.MaxText
		g.From, g.Line, g.Col = file, line, 1+strings.Index(text, trimmed)
		if !ok {
			ps = append(ps, strict.Problem{File: file, Line: line, Col: g.Col,
				Msg: "found " + strict.Quote(trimmed) + ", want a question, a colon and its answer", Hint: "hours: 24"})
			continue
		}
		if first := seen[g.Key]; first > 0 {
			ps = append(ps, strict.Problem{File: file, Line: line, Col: g.Col,
				Msg: fmt.Sprintf("%s is answered a second time, first in line %d", strict.Quote(g.Key), first)})
			continue
		}
		seen[g.Key] = line
		given = append(given, g)
	}
	if ps != nil {
		return nil, ps
	}
	return given, nil
}

// ReadAnswer reads one line of a file of answers.
func ReadAnswer(line string) (g Given, ok bool) {
	key, text, ok := strings.Cut(line, ":")
	g.Key, g.Text = strings.Join(strings.Fields(key), " "), strings.TrimSpace(text)
	return g, ok && g.Key != ""
}

// TakeAll takes answers in the order of the questions, whatever order they stand in. The error is of type
// [strict.Problems].
func (in *Interview) TakeAll(given []Given) error {
	var ps strict.Problems
	rest := slices.Clone(given)
	take := func(g Given) bool {
		err := in.Take(g.Key, g.Text)
		var r *Refusal
		if errors.As(err, &r) {
			p := strict.Problem{File: g.From, Line: g.Line, Col: g.Col, Msg: in.say(r.Msg),
				Hint: in.say(r.Hint)}
			if _, err := in.question(g.Key); err == nil && p.Line > 0 {
				p.Msg = g.Key + ": " + p.Msg
			}
			ps = append(ps, p)
		}
		return err == nil
	}
	for i := 0; i < len(in.parts()); i++ { // parts grow with the answers, so they are asked for anew
		for _, q := range in.parts()[i] {
			if at := slices.IndexFunc(rest, func(g Given) bool { return g.Key == q.Key }); at >= 0 {
				take(rest[at])
				rest = slices.Delete(rest, at, at+1)
			}
		}
	}
	for _, g := range rest { // no question of this home is called so: that is told
		take(g)
	}
	slices.SortStableFunc(ps, func(a, b strict.Problem) int { return a.Line - b.Line })
	if ps != nil {
		return ps
	}
	return nil
}

// AnswersText writes what was answered so far, as [ReadAnswers] reads it, into the text of a file of answers: lines of
// questions that are answered otherwise now are changed, those that are new stand at its end, and all else stays as
// somebody wrote it.
func (in *Interview) AnswersText(file string) string {
	var b strings.Builder
	told := map[string]bool{}
	for line := range strings.Lines(file) {
		trimmed := strings.TrimSpace(strings.TrimPrefix(line, "\ufeff"))
		g, ok := ReadAnswer(trimmed)
		now, answered := in.answers[g.Key]
		if ok = ok && answered && !strings.HasPrefix(trimmed, "#"); ok {
			told[g.Key] = true
		}
		if before, err := clean(Question{Several: true}, g.Text); ok && (err != nil || before != now) {
			line = g.Key + ": " + now + "\n"
		}
		b.WriteString(line)
	}
	if file != "" && !strings.HasSuffix(file, "\n") {
		b.WriteByte('\n')
	}
	for _, part := range in.parts() {
		for _, q := range part {
			if text, ok := in.answers[q.Key]; ok && !told[q.Key] {
				fmt.Fprintf(&b, "%s: %s\n", q.Key, text)
			}
		}
	}
	return b.String()
}
