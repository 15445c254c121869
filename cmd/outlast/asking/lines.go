package asking

import (
	"bufio"
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"strings"
	"unicode/utf8"

	"golang.org/x/term"

	"outlast/backup/interview"
	"outlast/backup/phrase"
	"outlast/backup/sheet/columns"
	"outlast/cmd/outlast/files"
	"outlast/cmd/outlast/terminal"
)

// lineAsker asks line by line. What it says goes to standard error, as the plan goes to standard output.
type lineAsker struct {
	in    *bufio.Reader // one for all questions: what is piped in comes in one piece
	w     io.Writer
	width int
	part  string // the heading that was said last
	echo  bool   // what is read is not seen where it is typed
}

func newLineAsker(in io.Reader, w io.Writer, speak func(phrase.Phrase) string) *lineAsker {
	a := &lineAsker{in: bufio.NewReader(in), w: w}
	a.width = terminal.Width(w)
	f, ok := in.(*os.File)
	a.echo = !ok || !term.IsTerminal(int(f.Fd()))
	a.say(speak(phrase.Of("Answer in a line each. Who does not know answers ? or nothing: then a default on the safe "+
		"side is taken, and listed below the plan. Ctrl-C stops; what was answered till then is kept.")), "")
	return a
}

func (a *lineAsker) say(text, indent string) {
	fmt.Fprintln(a.w, strings.Join(columns.Wrapped(text, a.width, indent, strings.Repeat(" ", len(indent))), "\n"))
}

func (a *lineAsker) ask(ctx context.Context, iv *interview.Interview, questions []interview.Question,
	keep func() error) error {
	for _, q := range questions {
		if part := iv.Say(q.Part); a.part != part {
			a.part = part
			fmt.Fprintf(a.w, "\n%s\n%s\n", part, strings.Repeat("-", utf8.RuneCountInString(part)))
		}
		if err := a.one(ctx, iv, q); err != nil {
			return err
		}
		if err := keep(); err != nil {
			return err
		}
	}
	return nil
}

func (a *lineAsker) one(ctx context.Context, iv *interview.Interview, q interview.Question) error {
	a.say(iv.Say(q.Ask), "")
	widest := 9
	for _, c := range q.Choices {
		widest = max(widest, utf8.RuneCountInString(iv.Say(c.Typed)))
	}
	for _, c := range q.Choices {
		fmt.Fprintf(a.w, "  %-*s %s\n", widest, iv.Say(c.Typed), iv.Say(c.Label))
	}
	a.say(iv.Say(q.Help), "  ")
	a.say(iv.Say(phrase.Of("Not known: %s", q.Assumed)), "  ")
	if q.Several {
		return a.several(ctx, iv, q)
	}
	for {
		text, err := a.line(ctx)
		if err != nil {
			return err
		}
		if err := iv.Take(q.Key, text); a.refused(iv, err) {
			continue
		}
		return nil
	}
}

// several asks until an empty line ends the list, or a line of who knows no more: neither takes back what was listed.
// What is right is taken, however much is wrong beside it.
func (a *lineAsker) several(ctx context.Context, iv *interview.Interview, q interview.Question) error {
	a.say(iv.Say(phrase.Of("Several in a line, parted by commas, or line by line; an empty line or ? ends the list, "+
		"and what it holds is kept. list WORD shows the names that hold a word.")), "  ")
	for {
		text, err := a.line(ctx)
		if err != nil {
			return err
		}
		have, _ := iv.Answer(q.Key)
		word, list := interview.Listing(text)
		switch {
		case list:
			a.list(iv, word)
			continue
		case interview.IsUnknown(text) && have != "":
			return nil
		case interview.IsUnknown(text) || have == "" && interview.IsNone(text):
			if !a.refused(iv, iv.Take(q.Key, text)) {
				return nil
			}
		default:
			a.refused(iv, iv.Add(q.Key, text))
		}
	}
}

// list shows classes of appliances.
func (a *lineAsker) list(iv *interview.Interview, word string) {
	classes := iv.Classes(word)
	for _, c := range classes {
		fmt.Fprintf(a.w, "  %-22s %s\n", c.ID, iv.Say(phrase.Symbols("%s", phrase.Label(c.Label))))
	}
	if len(classes) == 0 {
		fmt.Fprintf(a.w, "  %s\n", terminal.Visible(iv.Say(phrase.Of("no name holds %s", word))))
	}
}

// refused says why an answer is not taken.
func (a *lineAsker) refused(iv *interview.Interview, err error) bool {
	if err == nil {
		return false
	}
	var r *interview.Refusal
	if !errors.As(err, &r) {
		a.say(terminal.Visible(err.Error()), "  ! ")
		return true
	}
	a.say(terminal.Visible(iv.Say(r.Msg)), "  ! ")
	if !r.Hint.Empty() {
		a.say(terminal.Visible(iv.Say(r.Hint)), "    ")
	}
	return true
}

// line reads one answer.
func (a *lineAsker) line(ctx context.Context) (string, error) {
	if _, err := io.WriteString(a.w, "> "); err != nil {
		return "", err
	}
	text, err := files.Interruptible(ctx, func() (string, error) { return a.in.ReadString('\n') })
	if ctx.Err() != nil {
		return "", ctx.Err()
	}
	if err != nil && text == "" { // a last line without its end is an answer too
		fmt.Fprintln(a.w)
		if errors.Is(err, io.EOF) {
			return "", errEnded
		}
		return "", terminal.Usage("standard input cannot be read: "+terminal.Cause(err), "")
	}
	text = strings.TrimSpace(text)
	if a.echo {
		fmt.Fprintln(a.w, terminal.Visible(text))
	}
	return text, nil
}

// For is the asker for what stands at both ends: a form on a full terminal. say writes in the language of the interview.
func For(in io.Reader, errw io.Writer, plain bool, say func(phrase.Phrase) string) Asker {
	keys, ok1 := in.(*os.File)
	screen, ok2 := errw.(*os.File)
	if plain || !ok1 || !ok2 || !term.IsTerminal(int(keys.Fd())) || !term.IsTerminal(int(screen.Fd())) ||
		os.Getenv("TERM") == "dumb" {
		return newLineAsker(in, errw, say)
	}
	return &formAsker{in: keys, w: screen, keys: keyMap(say), typed: map[string]bool{}}
}
