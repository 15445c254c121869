package backup_test

import (
	"slices"
	"testing"

	"outlast/backup"
	"outlast/backup/drawnhome"
	"outlast/backup/samplehome"
	"outlast/backup/verdict"
)

// Every check of every plan is in the table of kinds, with its unit: searches leave out what a check does not depend
// on.
func TestEveryCheckHasItsKind(t *testing.T) {
	seen := map[string]bool{}
	look := func(name string, p *backup.Plan) {
		for _, c := range p.Checks {
			k, ok := verdict.KindOf(c.ID)
			if !ok {
				t.Errorf("%s: check %s is in no kind", name, c.ID)
			}
			if !slices.Contains(k.Units, c.Unit) {
				t.Errorf("%s: check %s has unit %q, its kind has %q", name, c.ID, c.Unit, k.Units)
			}
			seen[k.ID] = true
		}
	}
	for seed := range uint64(40) {
		p, err := planOf(string(drawnhome.Draw(seed)))
		if err != nil {
			t.Fatal(err)
		}
		look(p.Site.Name, p)
	}
	for _, name := range []string{"farmhouse", "clinic", "split-phase"} {
		look(name, samplehome.Plan(t, name))
	}
	for _, id := range verdict.IDsOn(0) {
		k, _ := verdict.KindOf(id)
		if !seen[k.ID] && k.ID != verdict.Unworkable {
			t.Errorf("no plan has a check of kind %s", k.ID)
		}
	}
}
