package facts

import (
	"slices"

	"outlast/backup/phrase"
	"outlast/backup/site"
	"outlast/backup/wording"
	"outlast/loads"
)

// safety is what every plan says, whatever its checks found.
var safety = []phrase.Phrase{
	phrase.Of("This plan is an aid to planning, not a design certificate: its figures are as good as the data given to it."),
	phrase.Of("Fixed wiring, changeover and isolation, earthing and the neutral arrangement, " +
		"and residual-current protection follow the local code and are the work of licensed people."),
	phrase.Of("Where the bank stands, how it is ventilated and what protects it follow the local code and the " +
		"maker's instructions."),
	phrase.Of("No life-supporting equipment may depend on this installation alone: keep a second way to power it, " +
		"and a plan to leave."),
}

// SafetyTexts is what every sheet and paper ends with.
func SafetyTexts() []phrase.Phrase { return slices.Clone(safety) }

// MedicalTexts are what every sheet says of the loads among some that someone depends on. s is a site whose circuits all
// have a board.
func MedicalTexts(s *site.Site, ls []loads.Load) (out []phrase.Phrase) {
	var neverDropped []string
	for _, l := range ls {
		if !l.Medical {
			continue
		}
		onBackup := slices.ContainsFunc(s.Circuits, func(c loads.Circuit) bool {
			return c.ID == l.CircuitID && c.Board == loads.BoardBackup
		})
		switch {
		case !onBackup:
			out = append(out, phrase.Of("Someone depends on %q, but its circuit is not on the backup board: it loses power with the grid.", l.Name))
		case l.HeldOff:
			out = append(out, phrase.Of("Someone depends on %q, but it is not to be used in an outage.", l.Name))
		default:
			neverDropped = append(neverDropped, l.Name)
		}
	}
	switch names := phrase.List(wording.Quoted(neverDropped)); len(neverDropped) {
	case 0:
	case 1:
		out = append(out, phrase.Of("Someone depends on %s: it is never switched off to save charge here, but the bank runs out. "+
			"Ask its supplier for a battery of its own, and tell the grid operator.", names))
	default:
		out = append(out, phrase.Of("Someone depends on %s: they are never switched off to save charge here, "+
			"but the bank runs out. Ask their suppliers for batteries of their own, and tell the grid operator.", names))
	}
	return out
}
