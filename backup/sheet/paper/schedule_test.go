package paper_test

import (
	"strings"
	"testing"

	"outlast/backup/samplehome"
	"outlast/backup/sheet/paper"
)

// A load that the month of the plan does not have is marked in the circuit schedule, whose power is without it: a blower
// of winter on a circuit of its own stands there with 0 W in August.
func TestScheduleMarksWhatTheMonthLacks(t *testing.T) {
	_, src := samplehome.Text(t, "six-lines")
	text := string(src) + `
[[circuit]]
id = "blower"
board = "backup"

[[load]]
name = "Blower"
circuit = "blower"
running_w = 300
hours_per_day = 0.1
months = [1, 2, 12]
`
	for month, want := range map[string]bool{"8": true, "1": false} {
		p := planText(t, strings.Replace(text, "[outage]", "[outage]\nmonth = "+month, 1))
		for lang, note := range map[string]string{"en": "Blower (not in August, and not counted)",
			"de": "Blower (nicht im August und nicht mitgezählt)"} {
			if got := write(t, p, paper.Options{For: "electrician", Lang: lang}); strings.Contains(got, note) != want {
				t.Errorf("month %s, %s: the schedule says %q: %t, want %t", month, lang, note, !want, want)
			}
		}
	}
}
