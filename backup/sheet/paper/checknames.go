package paper

import (
	"fmt"
	"strings"

	"outlast/backup/sheet"
	"outlast/backup/sheet/paper/words"
	"outlast/backup/verdict"
)

// checkName is a check in the words of the papers.
func (r *report) checkName(id string) string { return r.checkWords("check.", id) }

// checkTrouble says in plain words what it means that a check does not pass.
func (r *report) checkTrouble(id string) string { return r.checkWords("trouble.", id) }

// checkWords says what the words of a kind say of a check.
func (r *report) checkWords(kind, id string) string {
	text, about := words.Check(r.words, kind, id, sheet.RunLabel(r.plan, id))
	if about == "" {
		return text
	}
	return fmt.Sprintf(text, name(r.called(about)))
}

// groups are the checks of the sheet, by what they look at, in the order in which a designer reads them.
var groups = []struct {
	id  string
	has func(id string) bool
}{
	{"group.inverter", func(id string) bool {
		return strings.HasPrefix(id, "inverter-") || id == "pass-through" || id == "ac-input" || id == "phase-balance" || id == "transfer-time"
	}},
	{"group.bank", func(id string) bool {
		return strings.HasPrefix(id, "bank-") || strings.HasPrefix(id, "dc-") || id == "autonomy" || id == "surge-sag" || id == "ventilation"
	}},
	{"group.board", func(id string) bool {
		return id == "board-ways" || id == "circuit-breaker" || strings.HasPrefix(id, "slip-")
	}},
	{"group.array", func(id string) bool { return strings.HasPrefix(id, "string-") }},
	{"group.generator", func(id string) bool { return strings.HasPrefix(id, "generator-") }},
	{"group.cable", func(id string) bool { return strings.HasPrefix(id, "cable-") }},
	{"group.other", func(string) bool { return true }},
}

// grouped sorts the checks into their groups.
func grouped(checks []verdict.Check) map[string][]verdict.Check {
	out := map[string][]verdict.Check{}
	for _, c := range checks {
		for _, g := range groups {
			if g.has(c.ID) {
				out[g.id] = append(out[g.id], c)
				break
			}
		}
	}
	return out
}
