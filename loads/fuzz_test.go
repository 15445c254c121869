package loads

import (
	"fmt"
	"testing"
)

// FuzzWindow: what is read as a window or a time of the day is what it would be written as, and holds some minutes of
// the day, not all.
func FuzzWindow(f *testing.F) {
	for _, seed := range []string{"06:00-09:00", "22:00-02:00", "00:00-24:00", "24:00-01:00", "6:00-9:00",
		"06:00–09:00", "+6:00-09:00", "06:00-06:00"} {
		f.Add(seed)
	}
	f.Fuzz(func(t *testing.T, s string) {
		w, err := ParseWindow(s)
		if err != nil {
			if err.Error() == "" {
				t.Error("refused without a word of what is wanted")
			}
			return
		}
		clock := func(min int) string { return fmt.Sprintf("%02d:%02d", min/60, min%60) }
		if back := clock(w.StartMin) + "-" + clock(w.EndMin); back != s {
			t.Errorf("%q is read as %s", s, back)
		}
		held := 0
		for min := range minutesPerDay {
			if w.Holds(min) {
				held++
			}
		}
		want := w.EndMin - w.StartMin
		if want < 0 {
			want += minutesPerDay
		}
		if held != want || held == 0 {
			t.Errorf("%q holds %d minutes, want %d", s, held, want)
		}
	})
}
