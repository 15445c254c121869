package manual

import (
	"fmt"
	"io"
	"strings"

	"outlast/backup/sheet/columns"
	"outlast/backup/sheet/paper/words"
)

// GlossaryTopic is written from the table of terms.
const GlossaryTopic = "glossary"

// writeGlossary writes the words of the trade: what each means, its unit, its words in the other languages of the
// papers, and its standard.
func writeGlossary(w io.Writer, width int) error {
	width = min(width, widestHelp)
	page, err := TopicPage(GlossaryTopic)
	if err != nil {
		return err
	}
	var b strings.Builder
	b.WriteString(rendered(page, width) + "\n")
	for _, t := range words.Glossary() {
		name := t.Name
		if t.Unit != "-" {
			name += " (" + t.Unit + ")"
		}
		var other []string
		for _, lang := range words.Languages()[1:] {
			word, _, _ := strings.Cut(t.In[lang], "; ")
			other = append(other, lang+" "+word)
		}
		text := fmt.Sprintf("%s: %s. %s [%s]", name, t.Meaning, strings.Join(other, ", "), t.Norm)
		b.WriteString(strings.Join(columns.Wrapped(text, width, "", "    "), "\n") + "\n")
	}
	_, err = io.WriteString(w, b.String())
	return err
}
