package asking

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"strings"

	"outlast/backup/interview"
	"outlast/backup/phrase"
	"outlast/cmd/outlast/files"
	"outlast/cmd/outlast/terminal"
)

// A Keeper keeps the answers of an interview in a file beside the site file, until that stands: whatever ends the
// interview, Ctrl-C or a terminal that is closed, loses nothing that was answered.
type Keeper struct {
	Interview *interview.Interview
	Site      string // the file that is to be written
	Flags     string // besides those of GoOn, what an interview is taken up with: its language
	path      string // "": nothing is kept
	ours      bool   // the file is made here, and is not needed once the site file stands
	made      bool   // and it has been made
	text      string // what stands in it
}

// keptPath is where answers are kept.
func keptPath(site string) string {
	if site == "-" {
		site = "site.toml"
	}
	return strings.TrimSuffix(site, ".toml") + ".answers"
}

// Begin finds the file, and refuses one that is there already, unless the answers are read from it: then the rest is
// added to it.
func (k *Keeper) Begin(answers string) error {
	path := keptPath(k.Site)
	there, err := os.Stat(path)
	if errors.Is(err, fs.ErrNotExist) {
		k.path, k.ours = path, true
		k.text = "# " + k.Interview.Say(phrase.Of("Answers of an interview.")) + " " + phrase.UpperFirst(k.GoOn()) + "\n"
		return nil
	}
	if err != nil {
		return terminal.Usage(fmt.Sprintf("%s cannot be written: %s", path, terminal.Cause(err)), "")
	}
	if given, err := os.Stat(answers); answers == "" || err != nil || !os.SameFile(there, given) {
		return terminal.Usage(k.Interview.Say(phrase.Of("%s is there already, with the answers of an interview that was not ended", path)),
			k.Interview.Say(phrase.Of("go on with --answers %s, or remove it", path)))
	}
	text, err := os.ReadFile(path)
	if err != nil {
		return terminal.Usage(fmt.Sprintf("%s cannot be opened: %s", path, terminal.Cause(err)), "")
	}
	k.path, k.text = path, string(text)
	return nil
}

// Keep keeps what was answered since.
func (k *Keeper) Keep() error {
	text := k.Interview.AnswersText(k.text)
	if k.path == "" || text == k.text {
		return nil
	}
	if k.ours && !k.made {
		if err := files.WriteNew(k.path, []byte(text)); err != nil {
			return err
		}
		k.made = true
	} else if err := files.Replace(k.path, []byte(text)); err != nil {
		return terminal.Usage(fmt.Sprintf("%s cannot be written: %s", k.path, terminal.Cause(err)), "the file is as it was")
	}
	k.text = text
	return nil
}

// Done takes away what is not needed any more.
func (k *Keeper) Done() {
	if k.made {
		os.Remove(k.path)
	}
}

// Told adds to what ended an interview where its answers are kept.
func (k *Keeper) Told(err error) error {
	var failed *terminal.UsageError
	switch {
	case k.path == "" || k.ours && !k.made:
	case errors.Is(err, context.Canceled):
		return &KeptError{k}
	case errors.Is(err, errEnded):
		return terminal.Usage(k.Interview.Say(phrase.Of("%s; those that were given are kept in %s", errEnded.Phrase, k.path)), k.GoOn())
	case errors.As(err, &failed):
		return terminal.Usage(k.Interview.Say(phrase.Of("%s; the answers are kept in %s", phrase.Name(failed.Msg), k.path)), k.GoOn())
	}
	return err
}

// GoOn tells how an interview is taken up again.
func (k *Keeper) GoOn() string {
	return k.Interview.Say(phrase.Of("go on with: %s", "outlast init --ask "+k.Flags+"--answers "+k.path+" "+k.Site))
}

// A KeptError ends an interview that was interrupted and whose answers are kept.
type KeptError struct{ *Keeper }

func (e *KeptError) Error() string {
	return e.Interview.Say(phrase.Of("what was answered is kept in %s", e.path))
}

func (e *KeptError) Unwrap() error { return context.Canceled }
