package main

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"strings"

	"outlast/backup/interview"
)

// A keeper keeps the answers of an interview in a file beside the site file, until that stands: whatever ends the
// interview, Ctrl-C or a terminal that is closed, loses nothing that was answered.
type keeper struct {
	iv   *interview.Interview
	site string // the file that is to be written
	path string // "": nothing is kept
	ours bool   // the file is made here, and is not needed once the site file stands
	made bool   // and it has been made
	text string // what stands in it
}

// keptPath is where answers are kept.
func keptPath(site string) string {
	if site == "-" {
		site = "site.toml"
	}
	return strings.TrimSuffix(site, ".toml") + ".answers"
}

// begin finds the file, and refuses one that is there already, unless the answers are read from it: then the rest is
// added to it.
func (k *keeper) begin(answers string) error {
	path := keptPath(k.site)
	there, err := os.Stat(path)
	if errors.Is(err, fs.ErrNotExist) {
		k.path, k.ours = path, true
		k.text = "# Answers of an interview. To " + k.goOn() + "\n"
		return nil
	}
	if err != nil {
		return &usageError{fmt.Sprintf("%s cannot be written: %s", path, cause(err)), ""}
	}
	if given, err := os.Stat(answers); answers == "" || err != nil || !os.SameFile(there, given) {
		return &usageError{path + " is there already, with the answers of an interview that was not ended",
			"go on with --answers " + path + ", or remove it"}
	}
	text, err := os.ReadFile(path)
	if err != nil {
		return &usageError{fmt.Sprintf("%s cannot be opened: %s", path, cause(err)), ""}
	}
	k.path, k.text = path, string(text)
	return nil
}

// keep keeps what was answered since.
func (k *keeper) keep() error {
	text := k.iv.AnswersText(k.text)
	if k.path == "" || text == k.text {
		return nil
	}
	if k.ours && !k.made {
		if err := writeNew(k.path, []byte(text)); err != nil {
			return err
		}
		k.made = true
	} else if err := replaceFile(k.path, []byte(text)); err != nil {
		return &usageError{fmt.Sprintf("%s cannot be written: %s", k.path, cause(err)), "the file is as it was"}
	}
	k.text = text
	return nil
}

// done takes away what is not needed any more.
func (k *keeper) done() {
	if k.made {
		os.Remove(k.path)
	}
}

// told adds to what ended an interview where its answers are kept.
func (k *keeper) told(err error) error {
	var failed *usageError
	switch {
	case k.path == "" || k.ours && !k.made:
	case errors.Is(err, context.Canceled):
		return &keptError{k}
	case errors.Is(err, errEnded):
		return &usageError{err.Error() + "; those that were given are kept in " + k.path, k.goOn()}
	case errors.As(err, &failed):
		return &usageError{failed.msg + "; the answers are kept in " + k.path, k.goOn()}
	}
	return err
}

// goOn tells how an interview is taken up again.
func (k *keeper) goOn() string {
	return fmt.Sprintf("go on with: outlast init --ask --answers %s %s", k.path, k.site)
}

// A keptError ends an interview that was interrupted and whose answers are kept.
type keptError struct{ *keeper }

func (e *keptError) Error() string { return "what was answered is kept in " + e.path }

func (e *keptError) Unwrap() error { return context.Canceled }
