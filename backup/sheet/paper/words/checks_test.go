package words

import (
	"strings"
	"testing"
)

// What is the matter with a solar input is said in words in every language, with the number of the input and never with
// the id of the check.
func TestTroubleIsSaidInWords(t *testing.T) {
	for _, lang := range Languages() {
		table, ok := In(lang)
		if !ok {
			t.Fatalf("%s: no table", lang)
		}
		for _, kind := range []string{"voc-cold", "vmp-cold", "vmp-hot", "start", "current", "short-circuit", "power", "input"} {
			for _, number := range []string{"", "-2"} {
				if kind == "input" && number != "" {
					continue
				}
				text := filled(Check(table, "trouble.", "string-"+kind+number, ""))
				if text == "" || strings.Contains(text, "voc-") || strings.Contains(text, "vmp-") || number != "" && strings.Contains(text, kind+number) ||
					strings.Contains(text, "%") || strings.Contains(text, "2") != (number != "") {
					t.Errorf("%s: string-%s%s: %q", lang, kind, number, text)
				}
			}
		}
	}
}
