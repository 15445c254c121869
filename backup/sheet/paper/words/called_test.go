package words

import (
	"slices"
	"strings"
	"testing"
)

// People call a class by its names in all languages, with its numbers; what is the user's own has none.
func TestCalled(t *testing.T) {
	for label, want := range map[string][]string{
		"Fridge":                     {"Kühlschrank", "refrigerator", "nevera", "frigo"},
		"Well pump 1.1 kW (1.5 hp)":  {"Brunnenpumpe 1.1 kW (1.5 hp)", "Bore pump 1.1 kW (1.5 hp)"},
		"My own cooler":              nil,
		"Well pump %s kW (%s hp)":    nil,
		"50 % less, 1.1 kW (1.5 hp)": nil,
	} {
		got := Called(label)
		for _, name := range want {
			if !slices.Contains(got, name) {
				t.Errorf("%s: %q is not among %q", label, name, got)
			}
		}
		if len(want) == 0 && len(got) > 0 || slices.ContainsFunc(got, func(s string) bool { return strings.Contains(s, "%") }) {
			t.Errorf("%s is called %q", label, got)
		}
	}
}
