package words

import (
	"strings"
	"testing"

	"outlast/backup/verdict"
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

// More current than an input takes is lost, and harms as little as more power: the owner reads the same of both.
func TestCurrentOfTheArrayIsNoAlarm(t *testing.T) {
	for _, lang := range Languages() {
		table, _ := In(lang)
		for _, number := range []string{"", "-2"} {
			current, _ := Check(table, "trouble.", "string-current"+number, "")
			power, _ := Check(table, "trouble.", "string-power"+number, "")
			if current == "" || current != power {
				t.Errorf("%s: of the current %q, of the power %q, want the same", lang, current, power)
			}
		}
	}
}

// A caution that keeps its limit is not told to the owner as a limit that is broken, in any language.
func TestKeptLimitIsNotToldAsBroken(t *testing.T) {
	kept := verdict.AtMost("ventilation", 100, 160, "cm2")
	kept.Status = verdict.Caution
	broken := verdict.AtMost("ventilation", 170, 160, "cm2")
	broken.Status = verdict.Caution
	passing := verdict.AtMost("ventilation", 100, 160, "cm2")
	for _, lang := range Languages() {
		table, _ := In(lang)
		for _, c := range []struct {
			check verdict.Check
			words string
		}{{kept, "kept.ventilation"}, {broken, "trouble.ventilation"}, {passing, "trouble.ventilation"}} {
			if got, _ := Trouble(table, c.check, ""); got == "" || got != table[c.words] {
				t.Errorf("%s: of %g of %g cm2, %s: %q, want the words %s", lang, c.check.Demand, c.check.Limit,
					c.check.Status, got, c.words)
			}
		}
		input := verdict.AtMost("string-voc-cold-2", 300, 500, "V")
		input.Status = verdict.Caution
		if got := filled(Trouble(table, input, "")); !strings.Contains(got, " 2") || got == filled(Check(table, "trouble.", input.ID, "")) {
			t.Errorf("%s: an input within its limit: %q", lang, got)
		}
	}
}
