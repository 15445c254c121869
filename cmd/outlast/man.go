package main

import (
	"bytes"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"time"

	"github.com/cpuguy83/go-md2man/v2/md2man"
	"github.com/spf13/cobra"
	"github.com/spf13/cobra/doc"
)

// newMan is for those who pack the program; it stands in no list.
func newMan() *cobra.Command {
	return &cobra.Command{
		Use:    "man FOLDER",
		Hidden: true,
		Short:  "Write the pages of the manual into a folder",
		Long: `man writes a page of the manual for each command (section 1) and each topic of help (section 7) into FOLDER, which is
made if it is not there. Pages that are there already are left as they are, and none is written.`,
		Example: `  outlast man ~/.local/share/man-outlast
  outlast man build/man`,
		Args: func(_ *cobra.Command, args []string) error {
			if len(args) != 1 {
				return &usageError{fmt.Sprintf("man wants one folder, %d are named", len(args)), ""}
			}
			return nil
		},
		ValidArgsFunction: func(*cobra.Command, []string, string) ([]cobra.Completion, cobra.ShellCompDirective) {
			return nil, cobra.ShellCompDirectiveFilterDirs
		},
		RunE: func(_ *cobra.Command, args []string) error { return writeManual(args[0], buildStamp().time) },
	}
}

// A manPage is a page of the manual by the name of its file: "outlast-plan.1".
type manPage struct {
	file string
	text []byte
}

// writeManual writes all pages or none. A date that is not known is that of today, as for what is built by hand.
func writeManual(folder string, date time.Time) error {
	if date.IsZero() {
		date = time.Now()
	}
	pages, err := manual(date)
	if err != nil {
		return err
	}
	if err := os.MkdirAll(folder, 0o755); err != nil {
		return &usageError{fmt.Sprintf("%s cannot be made: %s", folder, cause(err)), ""}
	}
	for _, p := range pages {
		path := filepath.Join(folder, p.file)
		if _, err := os.Lstat(path); !errors.Is(err, fs.ErrNotExist) {
			return thereAlready(path)
		}
	}
	for _, p := range pages {
		if err := writeNew(filepath.Join(folder, p.file), p.text); err != nil {
			return err
		}
	}
	return nil
}

// manual is every page: the commands', then the topics'.
func manual(date time.Time) ([]manPage, error) {
	var pages []manPage
	root := newRoot()
	root.DisableAutoGenTag = true
	root.InitDefaultHelpCmd()
	for _, c := range append([]*cobra.Command{root}, root.Commands()...) {
		if c.Hidden {
			continue
		}
		c.Long = manProse(c.Long)
		name := strings.ReplaceAll(c.CommandPath(), " ", "-")
		var b bytes.Buffer
		if err := doc.GenMan(c, &doc.GenManHeader{Section: "1", Date: &date, Source: "outlast " + version,
			Manual: "outlast"}, &b); err != nil {
			return nil, err
		}
		pages = append(pages, manPage{name + ".1", b.Bytes()})
	}
	for _, topic := range topics {
		text, err := topicMarkdown(topic)
		if err != nil {
			return nil, err
		}
		title, body, _ := strings.Cut(text, "\n")
		name := "outlast-" + topic
		head := fmt.Sprintf("%% %q \"7\" %q %q \"outlast\"\n# NAME\n%s \\- %s\n\n# DESCRIPTION\n",
			strings.ToUpper(name), date.Format("Jan 2006"), "outlast "+version,
			name, strings.TrimPrefix(title, "# "))
		pages = append(pages, manPage{name + ".7", md2man.Render([]byte(head + body))})
	}
	return pages, nil
}

// topicMarkdown is a topic in Markdown. Those that are written from tables stand as they do on a terminal.
func topicMarkdown(topic string) (string, error) {
	const width = 72
	var b bytes.Buffer
	var err error
	switch topic {
	case keysTopic:
		err = writeKeys(&b, "", width)
	case glossaryTopic:
		err = writeGlossary(&b, width)
	default:
		return topicPage(topic)
	}
	return "# " + topicTitle(topic) + "\n\n```\n" + b.String() + "```\n", err
}

// manProse is the text of a command's help in Markdown: what is indented in it is a list that stands as it is.
func manProse(text string) string {
	lines := strings.Split(text, "\n")
	var out []string
	for i, line := range lines {
		listed := strings.HasPrefix(line, "  ")
		if listed && (i == 0 || !strings.HasPrefix(lines[i-1], "  ")) {
			out = append(out, "")
		}
		if listed {
			line = "    " + line
		}
		out = append(out, line)
	}
	return strings.Join(out, "\n")
}
