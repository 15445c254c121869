package strict

import (
	"testing"

	"github.com/google/go-cmp/cmp"
)

// What to do instead of a number of 0 is said with the refusal of 0, and of nothing else.
func TestInsteadOfZero(t *testing.T) {
	keys := Keys{List: []Key{{Name: "inverter", Kind: Group, Keys: &Keys{Name: "[inverter]", List: []Key{
		AboveKey("charger_a", 0, 100, "A", "").Not0("leave it out")}}}}}
	for value, want := range map[string][]string{
		"60":  nil,
		"0":   {"2:1: charger_a in [inverter]: found 0, want a number above 0, at most 100 A | leave it out"},
		"0.0": {"2:1: charger_a in [inverter]: found 0.0, want a number above 0, at most 100 A | leave it out"},
		"-1":  {"2:1: charger_a in [inverter]: found -1, want a number above 0, at most 100 A"},
	} {
		root, err := Parse("f", []byte("[inverter]\ncharger_a = "+value), &keys)
		if err != nil {
			t.Fatal(err)
		}
		if diff := cmp.Diff(want, lined(root.Problems())); diff != "" {
			t.Errorf("of %s (-want +got):\n%s", value, diff)
		}
	}
}

// A number that may also be a word.
func TestWordInsteadOfANumber(t *testing.T) {
	keys := Keys{List: []Key{{Name: "circuit", Kind: Group, Keys: &Keys{Name: "[circuit]", List: []Key{
		{Name: "phase", Kind: Whole, Max: 3, Default: 1, Words: []string{"any"}},
	}}}}}
	for _, tt := range []struct {
		src    string
		number int // -1: none
		word   string
		want   []string
	}{
		{"[circuit]\nphase = 2", 2, "", nil},
		{"[circuit]\nphase = \"any\"", -1, "any", nil},
		{"[circuit]", 1, "", nil},
		{"[circuit]\nphase = \"ayn\"", -1, "", []string{
			`2:1: phase in [circuit]: found the text "ayn", want a whole number from 0 to 3, or "any" | did you mean "any"?`}},
		{"[circuit]\nphase = \"2\"", -1, "", []string{
			`2:1: phase in [circuit]: found the text "2", want a whole number from 0 to 3, or "any" | write it without quotes`}},
		{"[circuit]\nphase = 4", -1, "", []string{
			`2:1: phase in [circuit]: found 4, want a whole number from 0 to 3, or "any"`}},
	} {
		root, err := Parse("f", []byte(tt.src), &keys)
		if err != nil {
			t.Fatal(err)
		}
		if diff := cmp.Diff(tt.want, lined(root.Problems())); diff != "" {
			t.Errorf("of %q (-want +got):\n%s", tt.src, diff)
		}
		c := root.Table("circuit")
		number, ok := c.Whole("phase")
		if !ok {
			number = -1
		}
		if word, _ := c.Word("phase"); number != tt.number || word != tt.word {
			t.Errorf("%q: the number %d and the word %q, want %d and %q", tt.src, number, word, tt.number, tt.word)
		}
	}
}
