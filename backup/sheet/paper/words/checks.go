package words

import (
	"strings"

	"outlast/backup/verdict"
)

// Check finds the words of a kind, "check." or "trouble.", for a check: those for itself, else those for the numbered
// one of an input or array, else those of its family. About is what is to be put in for %s, and empty where nothing is:
// the number, or for a family the label of what the check is about, or, where it has none, what follows the prefix.
func Check(table map[string]string, kind, id, label string) (text, about string) {
	if text, ok := table[kind+id]; ok {
		return text, ""
	}
	if i := strings.LastIndexByte(id, '-'); i > 0 {
		if text, ok := table[kind+id[:i]+"-#"]; ok {
			return text, id[i+1:]
		}
	}
	f := verdict.Family(id)
	if f == "" {
		return "%s", id
	}
	if label == "" {
		label = strings.TrimPrefix(id, f)
	}
	return table[kind+f], label
}
