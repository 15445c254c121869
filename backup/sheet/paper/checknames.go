package paper

import (
	"strings"

	"outlast/backup"
)

// families are checks of which there are several: what follows the prefix tells which, or for which load, cable or input it is.
var families = []string{"slip-", "cable-", "string-", "generator-"}

// family is the prefix of a check's id, or "" where it stands for itself.
func family(id string) string {
	for _, f := range families {
		if strings.HasPrefix(id, f) {
			return f
		}
	}
	return ""
}

// checkName is a check in the words of the papers.
func (r *report) checkName(id string) string { return r.checkWords("check.", id) }

// checkTrouble says in plain words what it means that a check does not pass.
func (r *report) checkTrouble(id string) string { return r.checkWords("trouble.", id) }

// checkWords looks for words for the check itself, then for the numbered one of an input or array, then for its family.
func (r *report) checkWords(kind, id string) string {
	if text, ok := r.words[kind+id]; ok {
		return text
	}
	if i := strings.LastIndexByte(id, '-'); i > 0 {
		if text, ok := r.words[kind+id[:i]+"-#"]; ok {
			return strings.ReplaceAll(text, "%s", name(r.called(id[i+1:])))
		}
	}
	f := family(id)
	if f == "" {
		return name(id)
	}
	rest := strings.TrimPrefix(id, f)
	for _, run := range r.plan.Runs {
		if run.ID == id {
			rest = run.Label.String()
		}
	}
	return r.say(kind+f, name(r.called(rest)))
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
func grouped(checks []backup.Check) map[string][]backup.Check {
	out := map[string][]backup.Check{}
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
