package record

import (
	"fmt"

	"outlast/backup"
	"outlast/backup/facts"
	"outlast/backup/phrase"
	"outlast/backup/sheet/paper/words"
	"outlast/backup/sheet/speech"
)

// PhaseText is a phase, 0 being all of them, or that nobody has picked one.
func PhaseText(phase int, open bool) phrase.Phrase {
	switch {
	case open:
		return phrase.Of("any")
	case phase == 0:
		return phrase.Of("all")
	}
	return phrase.Symbols("%d", phase)
}

// Labels gives the words for a circuit's id.
func Labels(p *backup.Plan) func(string) string {
	words := map[string]string{}
	for _, c := range p.Circuits {
		words[c.ID] = c.Label
	}
	return func(id string) string { return words[id] }
}

func board(c facts.Circuit) string {
	if c.OnBackup {
		return "backup"
	}
	return "main"
}

// CheckName is a check in words, as the English papers call it.
func CheckName(p *backup.Plan, id string) string {
	table, _ := words.In("en")
	text, about := words.Check(table, "check.", id, RunLabel(p.Facts, id))
	if about == "" {
		return text
	}
	return fmt.Sprintf(text, speech.Clean(about))
}

// RunLabel is what a check of a conductor is about, in words; "" where a check is about something else.
func RunLabel(p *facts.Facts, id string) string {
	for _, r := range p.Runs {
		if r.ID == id {
			return r.Label.String()
		}
	}
	return ""
}
