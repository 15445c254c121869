package words

import "strings"

// families are checks of which there are several: what follows the prefix tells which, or for which load, cable or input it is.
var families = []string{"slip-", "cable-", "string-", "generator-"}

// Family is the prefix of a check's id that it shares with others of its kind, or "" where it stands for itself.
func Family(id string) string {
	for _, f := range families {
		if strings.HasPrefix(id, f) {
			return f
		}
	}
	return ""
}

// Check finds the words of a kind, "check." or "trouble.", for a check: those for itself, else those for the numbered one of an input
// or array, else those of its family. About is what is to be put in for %s, and empty where nothing is: the number, or for a family
// the label of what the check is about, or, where it has none, what follows the prefix.
func Check(table map[string]string, kind, id, label string) (text, about string) {
	if text, ok := table[kind+id]; ok {
		return text, ""
	}
	if i := strings.LastIndexByte(id, '-'); i > 0 {
		if text, ok := table[kind+id[:i]+"-#"]; ok {
			return text, id[i+1:]
		}
	}
	f := Family(id)
	if f == "" {
		return "%s", id
	}
	if label == "" {
		label = strings.TrimPrefix(id, f)
	}
	return table[kind+f], label
}
