package homes

import (
	"bufio"
	"errors"
	"fmt"
	"io"
	"iter"
	"os"
	"path/filepath"
	"strings"

	"outlast/catalog/strict"
	"outlast/cmd/outlast/files"
	"outlast/cmd/outlast/terminal"
)

// Names are the site files that a command was given: arguments, of which a folder stands for the site files in it,
// and then the lines of a list of names.
type Names struct {
	Args []string
	List string // a file with names, "-": standard input; "": none
	In   io.Reader
}

// A Name is one of them, or why there is none.
type Name struct {
	Path string
	Err  error
}

// Many tells whether more than one home may be meant: several files, a folder or a list, even of one.
func (n *Names) Many() bool {
	if len(n.Args) != 1 || n.List != "" {
		return true
	}
	return isFolder(n.Args[0])
}

func isFolder(path string) bool {
	info, err := os.Stat(path)
	return err == nil && info.IsDir()
}

// longestName is how long a line of a list may be, in bytes: longer than any system takes for the name of a file.
const longestName = 1 << 16

// Each gives the names one after the other. The list is read as it comes, so that it may be as long as it likes.
func (n *Names) Each() iter.Seq[Name] {
	return func(yield func(Name) bool) {
		for _, a := range n.Args {
			if !isFolder(a) {
				if !yield(Name{Path: a}) {
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
		if n.List != "" {
			n.listed(yield)
		}
	}
}

// inFolder gives the site files of a folder by name, those of folders in it not.
func inFolder(folder string) iter.Seq[Name] {
	return func(yield func(Name) bool) {
		refuse := func(msg string) { yield(Name{folder, strict.Problems{{File: folder, Msg: msg}}}) }
		entries, err := os.ReadDir(folder)
		if err != nil {
			refuse("cannot be opened: " + terminal.Cause(err))
			return
		}
		found := false
		for _, e := range entries {
			if strings.EqualFold(filepath.Ext(e.Name()), ".toml") && !isFolder(filepath.Join(folder, e.Name())) {
				found = true
				if !yield(Name{Path: filepath.Join(folder, e.Name())}) {
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
func (n *Names) listed(yield func(Name) bool) {
	name, from := n.List, n.In
	refuse := func(line int, msg string) bool {
		p := strict.Problem{File: name, Line: line, Msg: msg}
		if line > 0 {
			p.Col = 1
		}
		return yield(Name{name, strict.Problems{p}})
	}
	if n.List == "-" {
		name = files.StandardInput
	} else {
		f, err := os.Open(n.List)
		if err != nil {
			refuse(0, "cannot be opened: "+terminal.Cause(err))
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
			goOn = yield(Name{Path: path})
		}
		if !goOn {
			return
		}
	}
	switch err := lines.Err(); {
	case errors.Is(err, bufio.ErrTooLong):
		refuse(line+1, fmt.Sprintf("is longer than %d bytes, want the name of a file", longestName))
	case err != nil:
		refuse(0, "cannot be read: "+terminal.Cause(err))
	}
}
