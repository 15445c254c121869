package paper

import "testing"

// setting is a row of the settings sheet, by the words of its first cell.
func setting(t *testing.T, r *report, id string) Row {
	t.Helper()
	for _, b := range r.settings().Blocks {
		if b.Table == nil || b.Table.ID != "settings" {
			continue
		}
		for _, row := range b.Table.Rows {
			if row.Cells[0].S == r.say(id) {
				return row
			}
		}
	}
	t.Fatalf("no setting %q", r.say(id))
	return Row{}
}

// The limit of the charge current that people are told to enter is the smaller of what the bank takes and what its chargers give: entering
// the bank's would allow what nothing in the plant stands.
func TestChargeLimitIsTheSmaller(t *testing.T) {
	for home, want := range map[string]string{
		"overloaded": "50", // the pack takes 50 A, the charger could give 70 A
		"town-flat":  "60", // the charger's, as there is no array; the packs take more
	} {
		r := reportOn(t, home, "en")
		row := setting(t, r, "settings.charge-limit")
		if row.Cells[1].S != want {
			c := r.plan.Details.Charge
			t.Errorf("%s: the sheet says %q A, want %s (the bank takes %g A, the sources give %g A)", home, row.Cells[1].S, want, c.MostA, c.SourcesA)
		}
	}
}
