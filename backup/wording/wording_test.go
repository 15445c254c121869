package wording

import (
	"testing"

	"outlast/backup/phrase"
)

// TestRange: ends that are words, figures or themselves phrases.
func TestRange(t *testing.T) {
	for _, tt := range []struct {
		from, to any
		want     string
	}{
		{"06:00", "09:00", "06:00–09:00"},
		{phrase.Name("B3"), phrase.Name("B5"), "B3–B5"},
		{phrase.Number("-5"), phrase.Number("0.5"), "-5–0.5"},
	} {
		if got := Range(tt.from, tt.to).String(); got != tt.want {
			t.Errorf("Range(%v, %v) = %q, want %q", tt.from, tt.to, got, tt.want)
		}
	}
}
