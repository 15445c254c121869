package manual

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

	"outlast/cmd/outlast/files"
	"outlast/cmd/outlast/terminal"
)

// A ManPage is a page of the manual by the name of its file: "outlast-plan.1".
type ManPage struct {
	File string
	Text []byte
}

// WriteManPages writes all pages or none. A date that is not known is that of today, as for what is built by hand.
func WriteManPages(folder string, root *cobra.Command, version string, date time.Time) error {
	if date.IsZero() {
		date = time.Now()
	}
	pages, err := ManPages(root, version, date)
	if err != nil {
		return err
	}
	if err := os.MkdirAll(folder, 0o755); err != nil {
		return terminal.Usage(fmt.Sprintf("%s cannot be made: %s", folder, terminal.Cause(err)), "")
	}
	for _, p := range pages {
		path := filepath.Join(folder, p.File)
		if _, err := os.Lstat(path); !errors.Is(err, fs.ErrNotExist) {
			return files.ThereAlready(path)
		}
	}
	for _, p := range pages {
		if err := files.WriteNew(filepath.Join(folder, p.File), p.Text); err != nil {
			return err
		}
	}
	return nil
}

// ManPages is every page: those of the commands below root, then the topics'. Root is changed, and good
// for nothing else afterwards.
func ManPages(root *cobra.Command, version string, date time.Time) ([]ManPage, error) {
	var pages []ManPage
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
		pages = append(pages, ManPage{name + ".1", b.Bytes()})
	}
	for _, topic := range Topics {
		text, err := topicMarkdown(topic)
		if err != nil {
			return nil, err
		}
		title, body, _ := strings.Cut(text, "\n")
		name := "outlast-" + topic
		head := fmt.Sprintf("%% %q \"7\" %q %q \"outlast\"\n# NAME\n%s \\- %s\n\n# DESCRIPTION\n",
			strings.ToUpper(name), date.Format("Jan 2006"), "outlast "+version,
			name, strings.TrimPrefix(title, "# "))
		pages = append(pages, ManPage{name + ".7", md2man.Render([]byte(head + body))})
	}
	return pages, nil
}

// topicMarkdown is a topic in Markdown. Those that are written from tables stand as they do on a terminal.
func topicMarkdown(topic string) (string, error) {
	const width = 72
	var b bytes.Buffer
	var err error
	switch topic {
	case KeysTopic:
		err = WriteKeys(&b, "", width)
	case GlossaryTopic:
		err = writeGlossary(&b, width)
	default:
		return TopicPage(topic)
	}
	return "# " + TopicTitle(topic) + "\n\n```\n" + b.String() + "```\n", err
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
