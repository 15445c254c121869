// Package manual is what the program tells about itself: the topics of help, whose pages stand in the folder topics, the
// keys of its files and the words of the trade, the pages for man, the schemas for editors, and the licences of what it
// is made of.
//
// Keys and words are written from the tables that the readers and the papers use. The commands that show all this are
// above; the pages of man are made of them (see [ManPages]).
package manual

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

// KeysTopic is written from the table of keys.
const KeysTopic = "keys"

// Topics are the pages of help, in the order in which a newcomer reads them.
var Topics = []string{"interview", "importing", "site", KeysTopic, "wiring", "bank", "capacity", "allocation", "outage",
	"papers",
	"page", "trust", GlossaryTopic}

// TopicPage is the text of a topic.
func TopicPage(name string) (string, error) {
	page, err := topicFiles.ReadFile("topics/" + name + ".md")
	return string(page), err
}

// TopicTitle is the title of a topic, the first line of its page.
func TopicTitle(name string) string {
	page, err := TopicPage(name)
	if err != nil {
		panic(err) // the pages are part of the program
	}
	title, _, _ := strings.Cut(page, "\n")
	return strings.TrimPrefix(title, "# ")
}

// WriteTopic writes the page of a topic as a terminal shows it, or as it stands: in Markdown. The glossary is made of a
// table, and looks the same in both.
func WriteTopic(w io.Writer, name string, width int, markdown bool) error {
	if name == GlossaryTopic {
		return writeGlossary(w, width)
	}
	page, err := TopicPage(name)
	if err != nil {
		return err
	}
	if !markdown {
		page = rendered(page, width)
	}
	_, err = io.WriteString(w, page)
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

// TopicList is the list of the topics, for the help of the program.
func TopicList() string {
	var b strings.Builder
	for _, name := range Topics {
		fmt.Fprintf(&b, "  %-11s %s\n", name, TopicTitle(name))
	}
	return b.String()
}

// IsTopic says whether there is a page of that name.
func IsTopic(name string) bool { return slices.Contains(Topics, name) }
