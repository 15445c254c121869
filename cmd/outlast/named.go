package main

import (
	"bufio"
	"errors"
	"fmt"
	"io"
	"iter"
	"os"
	"path/filepath"
	"strings"

	"github.com/spf13/cobra"

	"outlast/catalog/strict"
)

// siteNames are the site files that a command was given: arguments, of which a folder stands for the site files in it,
// and then the lines of a list of names.
type siteNames struct {
	args []string
	list string // a file with names, "-": standard input; "": none
	in   io.Reader
}

// A siteName is one of them, or why there is none.
type siteName struct {
	path string
	err  error
}

// listFlag adds --files-from to a command.
func listFlag(cmd *cobra.Command, list *string) {
	cmd.Flags().Var(named{list, "a list of site files"}, "files-from",
		"also take the site files that `LIST` names, one a line; - is standard input")
}

// given wants at least one FILE argument, or a list.
func (n *siteNames) given(cmd *cobra.Command, args []string) error {
	if n.list == "" || len(args) > 0 {
		if err := siteFiles(cmd, args); err != nil {
			return err
		}
	}
	for _, a := range args {
		if a == "-" && n.list == "-" {
			return &usageError{"- is given twice, as a site file and as a list of names, but there is one standard input", ""}
		}
	}
	return nil
}

// many tells whether more than one home may be meant: several files, a folder or a list, even of one.
func (n *siteNames) many() bool {
	if len(n.args) != 1 || n.list != "" {
		return true
	}
	return isFolder(n.args[0])
}

func isFolder(path string) bool {
	info, err := os.Stat(path)
	return err == nil && info.IsDir()
}

// longestName is how long a line of a list may be, in bytes: longer than any system takes for the name of a file.
const longestName = 1 << 16

// each gives the names one after the other. The list is read as it comes, so that it may be as long as it likes.
func (n *siteNames) each() iter.Seq[siteName] {
	return func(yield func(siteName) bool) {
		for _, a := range n.args {
			if !isFolder(a) {
				if !yield(siteName{path: a}) {
					return
				}
				continue
			}
			for name := range inFolder(a) {
				if !yield(name) {
					return
				}
			}
		}
		if n.list != "" {
			n.listed(yield)
		}
	}
}

// inFolder gives the site files of a folder by name, those of folders in it not.
func inFolder(folder string) iter.Seq[siteName] {
	return func(yield func(siteName) bool) {
		refuse := func(msg string) { yield(siteName{folder, strict.Problems{{File: folder, Msg: msg}}}) }
		entries, err := os.ReadDir(folder)
		if err != nil {
			refuse("cannot be opened: " + cause(err))
			return
		}
		found := false
		for _, e := range entries {
			if strings.EqualFold(filepath.Ext(e.Name()), ".toml") && !isFolder(filepath.Join(folder, e.Name())) {
				found = true
				if !yield(siteName{path: filepath.Join(folder, e.Name())}) {
					return
				}
			}
		}
		if !found {
			refuse("is a folder without a .toml file")
		}
	}
}

// listed gives the names of the list. Blank lines are left out, and so is the carriage return of Windows.
func (n *siteNames) listed(yield func(siteName) bool) {
	name, from := n.list, n.in
	refuse := func(line int, msg string) bool {
		p := strict.Problem{File: name, Line: line, Msg: msg}
		if line > 0 {
			p.Col = 1
		}
		return yield(siteName{name, strict.Problems{p}})
	}
	if n.list == "-" {
		name = standardInput
	} else {
		f, err := os.Open(n.list)
		if err != nil {
			refuse(0, "cannot be opened: "+cause(err))
			return
		}
		defer f.Close()
		from = f
	}
	lines := bufio.NewScanner(from)
	lines.Buffer(nil, longestName)
	line := 0
	for lines.Scan() {
		line++
		path, goOn := strings.TrimSuffix(lines.Text(), "\r"), true
		switch {
		case strings.TrimSpace(path) == "":
		case path == "-":
			goOn = refuse(line, "found -, want the name of a file")
		default:
			goOn = yield(siteName{path: path})
		}
		if !goOn {
			return
		}
	}
	switch err := lines.Err(); {
	case errors.Is(err, bufio.ErrTooLong):
		refuse(line+1, fmt.Sprintf("is longer than %d bytes, want the name of a file", longestName))
	case err != nil:
		refuse(0, "cannot be read: "+cause(err))
	}
}
