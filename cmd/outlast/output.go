package main

import (
	"bytes"
	"context"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"

	"github.com/spf13/cobra"
	"golang.org/x/term"

	"outlast/backup/sheet"
	"outlast/backup/site"
)

// output says where the result of a command goes: to out, or to a file that appears whole or not at all.
type output struct {
	path string
	flag string // that it was given by; "": -o
}

// by is the flag that it was given by.
func (o output) by() string {
	if o.flag == "" {
		return "-o"
	}
	return o.flag
}

// outputFlag adds --output to a command.
func outputFlag(cmd *cobra.Command, o *output) {
	cmd.Flags().VarP(named{&o.path, "a file"}, "output", "o", "write to `FILE` instead, whole or not at all")
}

// named is a flag that takes a name: a script whose variable is empty is told so, and is not given what it did not ask
// for.
type named struct {
	name *string
	what string
}

func (n named) String() string {
	if n.name == nil {
		return ""
	}
	return *n.name
}

func (n named) Type() string { return "name" }

func (n named) Set(s string) error {
	if s == "" {
		return fmt.Errorf("want the name of %s", n.what)
	}
	*n.name = s
	return nil
}

// spreadsheet says whether the result is a file that a spreadsheet opens, if it is CSV at all: on a pipe a byte order
// mark would be part of the first name.
func (o output) spreadsheet() bool {
	if !strings.EqualFold(filepath.Ext(o.path), ".csv") {
		return false
	}
	info, err := os.Stat(o.path)
	return err != nil || info.Mode().IsRegular()
}

// sparesInputs refuses an output that would take the place of a file that is read, or of another file of the kind that
// only people write: it may be somebody's only copy.
func (o output) sparesInputs(read ...[]string) error {
	out, err := os.Stat(o.path)
	if o.path == "" || err != nil || !out.Mode().IsRegular() {
		return nil
	}
	for _, f := range slices.Concat(read...) {
		if in, err := os.Stat(f); err == nil && os.SameFile(in, out) {
			return &usageError{fmt.Sprintf("%s %s would overwrite a file that is read", o.by(), o.path),
				"name another file"}
		}
	}
	if strings.EqualFold(filepath.Ext(o.path), ".toml") {
		return &usageError{fmt.Sprintf("%s %s would overwrite a TOML file, and no result is one", o.by(), o.path),
			"name another file"}
	}
	return nil
}

// sparesNamed is sparesInputs for the files that a site names.
func (o output) sparesNamed(s *site.Site) error {
	var read []string
	if s.Meter != "" {
		read = append(read, besidePath(s.File, s.Meter))
	}
	for _, a := range s.Arrays {
		if a.Weather != "" {
			read = append(read, besidePath(s.File, a.Weather))
		}
	}
	return o.sparesInputs(read)
}

// onScreen says whether the result goes to standard output.
func (o output) onScreen() bool { return o.path == "" || o.path == "-" }

// write renders in memory first, so that an error leaves nothing half-written, and then puts the result where it
// belongs.
func (o output) write(ctx context.Context, out io.Writer, render func(io.Writer) error) error {
	var b bytes.Buffer
	if err := render(&b); err != nil {
		return err
	}
	return o.stream(ctx, out, func(w io.Writer) error {
		_, err := w.Write(b.Bytes())
		return err
	})
}

// stream has the result filled in as it comes: on standard output it appears bit by bit, a file only when all of it is
// there.
func (o output) stream(ctx context.Context, out io.Writer, fill func(io.Writer) error) error {
	if err := ctx.Err(); err != nil { // what was rendered may lack what could not be worked out any more
		return err
	}
	if o.onScreen() {
		return fill(out)
	}
	path := o.path
	// A symbolic link stays a link: its target is replaced, or appears where there is none yet.
	if real, err := filepath.EvalSymlinks(path); err == nil {
		path = real
	} else if target, err := os.Readlink(path); err == nil {
		if path = target; !filepath.IsAbs(target) {
			path = filepath.Join(filepath.Dir(o.path), target)
		}
	}
	refuse := func(err error, hint string) error {
		return &usageError{fmt.Sprintf("%s cannot be written: %s", o.path, cause(err)), hint}
	}
	info, err := os.Stat(path)
	switch {
	case err == nil && info.IsDir():
		return &usageError{fmt.Sprintf("%s is a folder, want the name of a file", o.path), ""}
	case err == nil && !info.Mode().IsRegular():
		// A device must not be replaced by a file.
		f, err := os.OpenFile(path, os.O_WRONLY, 0)
		if err != nil {
			return refuse(err, "")
		}
		defer f.Close()
		to := &watched{w: f}
		if err := fill(to); to.err == nil {
			return err
		}
		return refuse(to.err, "")
	}
	f, err := beginFile(path)
	if err != nil {
		return refuse(err, "the file is as it was")
	}
	defer f.abandon()
	to := &watched{w: f}
	err = fill(to)
	switch {
	case to.err != nil:
		err = refuse(to.err, "the file is as it was")
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

// replaceFile writes a file so that it appears whole or not at all.
func replaceFile(path string, data []byte) error {
	f, err := beginFile(path)
	if err != nil {
		return err
	}
	defer f.abandon()
	if _, err := f.Write(data); err != nil {
		return err
	}
	return f.commit()
}

// The width of text: that of the terminal within bounds, else 80.
const (
	plainWidth, maxWidth = 80, 160
	mostWidth            = 1000 // that may be asked for
)

// checkWidth refuses a --width at which tables do not fit, or that nobody can mean.
func checkWidth(cmd *cobra.Command, width int) error {
	if cmd.Flags().Changed("width") && (width < sheet.MinWidth || width > mostWidth) {
		return &usageError{fmt.Sprintf("--width %d is out of range", width),
			fmt.Sprintf("give %d to %d columns", sheet.MinWidth, mostWidth)}
	}
	return nil
}

// terminal tells whether w is a terminal, how wide it is, and whether colours are welcome on it.
func terminal(w io.Writer) (width int, colour bool) {
	f, ok := file(w)
	if !ok || !term.IsTerminal(int(f.Fd())) {
		return plainWidth, false
	}
	width, _, err := term.GetSize(int(f.Fd()))
	if err != nil || width == 0 {
		width = plainWidth
		if n, err := strconv.Atoi(os.Getenv("COLUMNS")); err == nil {
			width = n
		}
	}
	_, noColour := os.LookupEnv("NO_COLOR")
	return min(max(width, sheet.MinWidth), maxWidth), !noColour && os.Getenv("TERM") != "dumb"
}
