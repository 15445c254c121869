package paper

import (
	"strings"
	"testing"

	"outlast/backup/sheet/paper/doc"
	"outlast/backup/verdict"
)

// TestElectricianIsWarned: each reader may hold only his own papers, so those of the electrician open with the failure
// of a plan that fails, naming every check, and say nothing of the kind of one that does not.
func TestElectricianIsWarned(t *testing.T) {
	for _, home := range []string{"overloaded", "cottage"} {
		for _, lang := range []string{"en", "de", "es", "fr"} {
			r := reportOn(t, home, lang)
			first := r.electrician().Sections[0]
			var box *doc.Box
			if len(first.Blocks) > 0 {
				box = first.Blocks[0].Box
			}
			fails := r.Plan.With(verdict.Fail)
			if warned := box != nil && box.Kind == "fail"; warned != (len(fails) > 0) {
				t.Errorf("%s in %s: warned %t, and %d checks fail", home, lang, warned, len(fails))
				continue
			}
			for _, c := range fails {
				if !strings.Contains(box.Texts[0].S, r.CheckName(c.ID)) {
					t.Errorf("%s in %s: %q is not named", home, lang, r.CheckName(c.ID))
				}
			}
		}
	}
}
