package live

import (
	"context"
	"fmt"
	"testing"
)

// A table keeps the sky of its home through touches. What is changed under it, the arrays, the place or the climate, is
// answered as on a table that has never seen another sky.
func TestSkyIsNeverStale(t *testing.T) {
	const change = `{"do": "set", "table": %q, "at": %q, "place": %d, "key": %q, "value": %s}`
	kept := tableOf(t, "farmhouse")
	var changes string
	for _, c := range []string{
		fmt.Sprintf(change, "array", "", 1, "tilt_deg", "61"), fmt.Sprintf(change, "site", "", 0, "latitude", "-12.5"),
		fmt.Sprintf(change, "site", "", 0, "hottest_c", "44"),
		fmt.Sprintf(change, "array", "", 1, "monthly_kwh_m2_day", "[1, 1, 1, 1, 1, 1, 1, 1, 1, 1, 1, 1]"),
		fmt.Sprintf(change, "outage", "", 0, "autonomy_h", "5"), fmt.Sprintf(change, "array", "", 1, "modules_per_string", "7"),
	} {
		if changes != "" {
			changes += ", "
		}
		changes += c
		for _, sky := range []string{"usual", "dull", "bright"} {
			question := []byte(fmt.Sprintf(`{"changes": [%s], "view": {"month": 3, "sky": %q}}`, changes, sky))
			got := string(kept.Do(context.Background(), "answer", question))
			want := string(tableOf(t, "farmhouse").Do(context.Background(), "answer", question))
			if got != want {
				t.Errorf("under a sky that was kept, %s is answered with %.300s, afresh with %.300s", question, got, want)
			}
			answer := ask[Answer](t, kept, "answer", string(question))
			if len(answer.Problems) > 0 {
				t.Fatalf("%s: %v", question, answer.Problems)
			}
		}
	}
}
