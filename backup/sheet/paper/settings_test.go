package paper

import (
	"slices"
	"strconv"
	"testing"

	"outlast/backup/samplehome"
	"outlast/backup/sheet/paper/doc"
)

// setting is a row of the settings sheet, by the words of its first cell.
func setting(t *testing.T, r *report, id string) doc.Row {
	t.Helper()
	for _, row := range r.settingsTable().Rows {
		if row.Cells[0].S == r.Say(id) {
			return row
		}
	}
	t.Fatalf("no setting %q", r.Say(id))
	return doc.Row{}
}

// The limit of the charge current that people are told to enter is the smaller of what the bank takes and what its
// chargers give: entering the bank's would allow what nothing in the plant stands.
func TestChargeLimitIsTheSmaller(t *testing.T) {
	for home, want := range map[string]string{
		"overloaded": "50", // the pack takes 50 A, the charger could give 70 A
		"town-flat":  "60", // the charger's, as there is no array; the packs take more
	} {
		r := reportOn(t, home, "en")
		row := setting(t, r, "settings.charge-limit")
		if row.Cells[1].S != want {
			c := r.Plan.Details.Charge
			t.Errorf("%s: the sheet says %q A, want %s (the bank takes %g A, the sources give %g A)", home,
				row.Cells[1].S, want, c.MostA, c.SourcesA)
		}
	}
}

// The limit of the current from the grid that people are told to enter is never above the breaker Q2, nor above what
// the input bears: the sheet told the latter alone, where the breaker may be smaller.
func TestGridLimitIsUnderTheBreaker(t *testing.T) {
	for _, home := range homesOf(t) {
		r := reportOn(t, home, "en")
		limit, err := strconv.ParseFloat(setting(t, r, "settings.grid-limit").Cells[1].Exact, 64)
		if err != nil {
			t.Fatalf("%s: %v", home, err)
		}
		for _, run := range r.Plan.Runs {
			if run.ID == "cable-input" && run.DeviceA > 0 && limit > run.DeviceA {
				t.Errorf("%s: %g A to enter behind a breaker of %g A", home, limit, run.DeviceA)
			}
		}
		if bears := r.Plan.Inverter.Unit.ACInputA; bears > 0 && limit > bears {
			t.Errorf("%s: %g A to enter, but the input bears %g A", home, limit, bears)
		}
	}
}

// What the grid input and the relay of the inverter are rated for has the digits of the data sheet: 30.5 A are not 30 A,
// behind which more may be required.
func TestRatingsAsGiven(t *testing.T) {
	r := reportOn(t, "town-flat", "en")
	unit := &r.Plan.Inverter.Unit
	as := *unit
	defer func() { *unit = as }() // other tests have the same plan
	unit.ACInputA, unit.PassThroughA = 30.5, 22.6
	rows := r.inverterTable().Rows
	var got []string
	for _, row := range rows {
		got = append(got, row.Cells[1].S)
	}
	if !slices.Contains(got, "30.5") || !slices.Contains(got, "22.6") {
		t.Errorf("the table has %q, want 30.5 and 22.6 in it", got)
	}
	unit.ACInputA = 0
	if dash := r.inverterTable().Rows[3].Cells[1].S; dash != "–" {
		t.Errorf("of an input that is not known %q, want a dash", dash)
	}
}

// homesOf are the names of the sample sites.
func homesOf(t *testing.T) (names []string) {
	t.Helper()
	for _, f := range samplehome.Files(t) {
		names = append(names, samplehome.Name(f))
	}
	return names
}
