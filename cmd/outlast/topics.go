package main

import (
	"bytes"
	"embed"
	"fmt"
	"io"
	"slices"
	"strings"

	"outlast/backup/sheet/columns"
)

// The topics of help are pages in the simplest Markdown: titles, paragraphs, items, and blocks that stand as they are.
// Tests run the sessions in them.
//
//go:embed topics
var topicFiles embed.FS

// keysTopic is written from the table of keys.
const keysTopic = "keys"

// topics are the pages of help, in the order in which a newcomer reads them.
var topics = []string{"interview", "importing", "site", keysTopic, "wiring", "bank", "capacity", "allocation", "outage",
	"papers",
	"page", "trust", glossaryTopic}

// topicPage is the text of a topic.
func topicPage(name string) (string, error) {
	page, err := topicFiles.ReadFile("topics/" + name + ".md")
	return string(page), err
}

// topicTitle is the title of a topic, the first line of its page.
func topicTitle(name string) string {
	page, err := topicPage(name)
	if err != nil {
		panic(err) // the pages are part of the program
	}
	title, _, _ := strings.Cut(page, "\n")
	return strings.TrimPrefix(title, "# ")
}

// writeTopic writes the page of a topic.
func writeTopic(w io.Writer, name string, width int) error {
	page, err := topicPage(name)
	if err != nil {
		return err
	}
	_, err = io.WriteString(w, rendered(page, width))
	return err
}

// widestHelp is how long the lines of a page of help may get on a wide terminal.
const widestHelp = 100

// rendered is a page as a terminal shows it: paragraphs and items wrapped, everything else as it stands.
func rendered(page string, width int) string {
	width = min(width, widestHelp)
	var b bytes.Buffer
	var text []string // the lines of a paragraph or an item
	flush := func() {
		if len(text) == 0 {
			return
		}
		first, next := "", ""
		if strings.HasPrefix(text[0], "- ") {
			text[0], first, next = strings.TrimPrefix(text[0], "- "), "- ", "  "
		}
		prose := strings.ReplaceAll(strings.Join(text, " "), "`", "")
		b.WriteString(strings.Join(columns.Wrapped(prose, width, first, next), "\n") + "\n")
		text = nil
	}
	fenced := false
	for line := range strings.Lines(page) {
		line = strings.TrimSuffix(line, "\n")
		title := strings.TrimLeft(line, "#")
		switch {
		case strings.HasPrefix(line, "```"):
			flush()
			fenced = !fenced
		case fenced && len(line) > width && strings.HasPrefix(line, "$ "): // a long command goes on as it does in a shell
			b.WriteString(strings.Replace(line, " | ", " \\\n    | ", 1) + "\n")
		case fenced, strings.HasPrefix(line, "    "):
			flush()
			b.WriteString(line + "\n")
		case line == "":
			flush()
			b.WriteByte('\n')
		case title != line:
			flush()
			title = strings.TrimSpace(title)
			fmt.Fprintf(&b, "%s\n%s\n", title, strings.Repeat("-", len(title)))
		case strings.HasPrefix(line, "- "):
			flush()
			text = []string{line}
		default:
			text = append(text, strings.TrimSpace(line))
		}
	}
	flush()
	return b.String()
}

// topicList is the list of the topics, for the help of the program.
func topicList() string {
	var b strings.Builder
	for _, name := range topics {
		fmt.Fprintf(&b, "  %-11s %s\n", name, topicTitle(name))
	}
	return b.String()
}

func isTopic(name string) bool { return slices.Contains(topics, name) }
