package main

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"strings"
)

// A keeper keeps the answers of an interview in a file beside the site file, until that stands: whatever ends the interview, Ctrl-C or a
// terminal that is closed, loses nothing that was answered.
type keeper struct {
	site string          // the file that is to be written
	path string          // "": nothing is kept
	ours bool            // the file is made here, and is not needed once the site file stands
	made bool            // and it has been made
	kept map[string]bool // the lines that stand in it, or come from elsewhere
}

// keptPath is where answers are kept.
func keptPath(site string) string {
	if site == "-" {
		site = "site.toml"
	}
	return strings.TrimSuffix(site, ".toml") + ".answers"
}

// begin finds the file, and refuses one that is there already, unless the answers are read from it: then the rest is added to it.
func (k *keeper) begin(answers string) error {
	path := keptPath(k.site)
	there, err := os.Stat(path)
	if errors.Is(err, fs.ErrNotExist) {
		k.path, k.ours = path, true
		return nil
	}
	if err != nil {
		return &usageError{fmt.Sprintf("%s cannot be written: %s", path, cause(err)), ""}
	}
	if given, err := os.Stat(answers); answers == "" || err != nil || !os.SameFile(there, given) {
		return &usageError{path + " is there already, with the answers of an interview that was not ended", "go on with --answers " + path + ", or remove it"}
	}
	k.path = path
	return nil
}

// given tells what a file that is there holds already.
func (k *keeper) given(text string) {
	k.kept = map[string]bool{}
	if !k.ours {
		for line := range strings.Lines(text) {
			k.kept[line] = true
		}
	}
}

// keep adds what was answered since. Lines are only ever added, so that nothing of a file that somebody wrote is lost.
func (k *keeper) keep(text string) error {
	var more strings.Builder
	for line := range strings.Lines(text) {
		if !k.kept[line] {
			more.WriteString(line)
		}
	}
	if k.path == "" || more.Len() == 0 {
		return nil
	}
	if err := k.add(more.String()); err != nil {
		return err
	}
	for line := range strings.Lines(text) {
		k.kept[line] = true
	}
	return nil
}

func (k *keeper) add(lines string) error {
	if k.ours && !k.made {
		k.made = true
		return writeNew(k.path, []byte("# Answers of an interview. To "+k.goOn()+"\n"+lines))
	}
	f, err := os.OpenFile(k.path, os.O_WRONLY|os.O_APPEND, 0)
	if err == nil {
		_, err = f.WriteString(lines)
		err = errors.Join(err, f.Close())
	}
	if err != nil {
		return &usageError{fmt.Sprintf("%s cannot be written: %s", k.path, cause(err)), ""}
	}
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
	switch {
	case k.path == "" || k.ours && !k.made:
		return err
	case errors.Is(err, context.Canceled):
		return &keptError{k}
	case errors.Is(err, errEnded):
		return &usageError{err.Error() + "; those that were given are kept in " + k.path, k.goOn()}
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
