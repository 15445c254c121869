package words

import (
	"fmt"
	"strings"

	"outlast/backup/verdict"
)

// Trouble is what a check means in daily life: of a caution that keeps its limit the words "kept." for it, where there
// are some, as those of "trouble." speak of a limit that is broken; else as [Check] finds them.
func Trouble(table map[string]string, c verdict.Check, label string) (text, about string) {
	if c.KeepsLimit() {
		if text, number, ok := own(table, "kept.", c.ID); ok {
			return text, number
		}
	}
	return Check(table, "trouble.", c.ID, label)
}

// Check finds the words of a kind, "check." or "trouble.", for a check: those for itself, else those for the numbered
// one of an input or array, else those of its family. About is what is to be put in for %s, and empty where nothing is:
// the number, or for a family the label of what the check is about, or, where it has none, what the check is called, or
// what follows the prefix.
func Check(table map[string]string, kind, id, label string) (text, about string) {
	if text, number, ok := own(table, kind, id); ok {
		return text, number
	}
	f := verdict.Family(id)
	if f == "" {
		return "%s", id
	}
	if label == "" {
		label = strings.TrimPrefix(id, f)
		if name, number, ok := own(table, "check.", id); ok {
			label = filled(name, number)
		}
	}
	return table[kind+f], label
}

// own finds the words for a check itself, or for the numbered one of an input or array, with the number.
func own(table map[string]string, kind, id string) (text, number string, ok bool) {
	if text, ok = table[kind+id]; ok {
		return text, "", true
	}
	if i := strings.LastIndexByte(id, '-'); i > 0 {
		if text, ok = table[kind+id[:i]+"-#"]; ok {
			return text, id[i+1:], true
		}
	}
	return "", "", false
}

// filled puts in what a text is about, if it asks for it.
func filled(text, about string) string {
	if about == "" {
		return text
	}
	return fmt.Sprintf(text, about)
}
