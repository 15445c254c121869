// Package files is how the program reads and writes files: a result appears whole or not at all, nothing that is read or
// that only people write is ever overwritten, and what was there before is kept where it is changed.
//
// [Output] is where a result goes, [WriteNew] writes a file that must not be there yet, [Replace] one that is, and
// [WriteFolder] the tables of a report beside whatever else stands in their folder. What cannot be read or written is an
// error with the name of the file, as package terminal tells them.
package files

import (
	"bytes"
	"context"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"outlast/cmd/outlast/terminal"
)

// Output says where the result of a command goes: to out, or to a file that appears whole or not at all.
type Output struct {
	Path string
	Flag string // that it was given by; "": -o
}

// by is the flag that it was given by.
func (o Output) by() string {
	if o.Flag == "" {
		return "-o"
	}
	return o.Flag
}

// Spreadsheet says whether the result is a file that a spreadsheet opens, if it is CSV at all: on a pipe a byte order
// mark would be part of the first name.
func (o Output) Spreadsheet() bool {
	if !strings.EqualFold(filepath.Ext(o.Path), ".csv") {
		return false
	}
	info, err := os.Stat(o.Path)
	return err != nil || info.Mode().IsRegular()
}

// SparesInputs refuses an output that would take the place of a file that is read, or of another file of the kind that
// only people write: it may be somebody's only copy.
func (o Output) SparesInputs(read ...[]string) error {
	out, err := os.Stat(o.Path)
	if o.Path == "" || err != nil || !out.Mode().IsRegular() {
		return nil
	}
	for _, f := range slices.Concat(read...) {
		if in, err := os.Stat(f); err == nil && os.SameFile(in, out) {
			return terminal.Usage(fmt.Sprintf("%s %s would overwrite a file that is read", o.by(), o.Path),
				"name another file")
		}
	}
	if strings.EqualFold(filepath.Ext(o.Path), ".toml") {
		return terminal.Usage(fmt.Sprintf("%s %s would overwrite a TOML file, and no result is one", o.by(), o.Path),
			"name another file")
	}
	return nil
}

// OnScreen says whether the result goes to standard output.
func (o Output) OnScreen() bool { return o.Path == "" || o.Path == "-" }

// Write renders in memory first, so that an error leaves nothing half-written, and then puts the result where it
// belongs.
func (o Output) Write(ctx context.Context, out io.Writer, render func(io.Writer) error) error {
	var b bytes.Buffer
	if err := render(&b); err != nil {
		return err
	}
	return o.Stream(ctx, out, func(w io.Writer) error {
		_, err := w.Write(b.Bytes())
		return err
	})
}

// Stream has the result filled in as it comes: on standard output it appears bit by bit, a file only when all of it is
// there.
func (o Output) Stream(ctx context.Context, out io.Writer, fill func(io.Writer) error) error {
	if err := ctx.Err(); err != nil { // what was rendered may lack what could not be worked out any more
		return err
	}
	if o.OnScreen() {
		return fill(out)
	}
	path := o.Path
	// A symbolic link stays a link: its target is replaced, or appears where there is none yet.
	if real, err := filepath.EvalSymlinks(path); err == nil {
		path = real
	} else if target, err := os.Readlink(path); err == nil {
		if path = target; !filepath.IsAbs(target) {
			path = filepath.Join(filepath.Dir(o.Path), target)
		}
	}
	refuse := func(err error, hint string) error {
		return terminal.Usage(fmt.Sprintf("%s cannot be written: %s", o.Path, terminal.Cause(err)), hint)
	}
	info, err := os.Stat(path)
	switch {
	case err == nil && info.IsDir():
		return terminal.Usage(fmt.Sprintf("%s is a folder, want the name of a file", o.Path), "")
	case err == nil && !info.Mode().IsRegular():
		// A device must not be replaced by a file.
		f, err := os.OpenFile(path, os.O_WRONLY, 0)
		if err != nil {
			return refuse(err, "")
		}
		defer f.Close()
		to := &terminal.Watched{W: f}
		if err := fill(to); to.Err == nil {
			return err
		}
		return refuse(to.Err, "")
	}
	f, err := beginFile(path)
	if err != nil {
		return refuse(err, "the file is as it was")
	}
	defer f.abandon()
	to := &terminal.Watched{W: f}
	err = fill(to)
	switch {
	case to.Err != nil:
		err = refuse(to.Err, "the file is as it was")
	case err != nil:
	case ctx.Err() != nil:
		err = ctx.Err()
	default:
		if err = f.commit(); err != nil {
			err = refuse(err, "the file is as it was")
		}
	}
	return err
}
