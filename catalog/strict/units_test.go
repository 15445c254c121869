package strict

import (
	"regexp"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

var hinted = regexp.MustCompile(`([0-9][0-9.]*)(?:[ ,:]|$)`)

func TestUnitsConvert(t *testing.T) {
	for _, tt := range []struct {
		from, to string
		v, want  float64
	}{
		{"kW", "W", 1.5, 1500}, {"hp", "W", 1, 746}, {"kVA", "VA", 5, 5000}, {"mAh", "Ah", 2000, 2},
		{"cm", "m", 250, 2.5},
		{"min", "h", 90, 1.5}, {"days", "h", 3, 72}, {"s", "ms", 0.02, 20}, {"MJ", "kWh", 3.6, 1},
		{"lb", "kg", 100, 45.3592},
		{"F", "C", 14, -10}, {"C", "F", 40, 104}, {"%", "", 80, 0.8}, {"ft", "m", 1000, 304.8},
		// ASTM B258, as the tables of conductors print it: 10 AWG is 5.26 mm2, 4 AWG 21.15.
		{"AWG", "mm2", 10, 5.26}, {"AWG", "mm2", 4, 21.15},
	} {
		from, ok := unitOf(tt.from)
		to, ok2 := unitOf(tt.to)
		got, same := from.to(to, tt.v)
		if !ok || !ok2 || !same || got != tt.want {
			t.Errorf("%g %s in %q: %g (%v, %v, %v), want %g", tt.v, tt.from, tt.to, got, ok, ok2, same, tt.want)
		}
	}
	for _, pair := range [][2]string{{"W", "VA"}, {"A", "W"}, {"h", "m"}} {
		from, _ := unitOf(pair[0])
		to, _ := unitOf(pair[1])
		if v, ok := from.to(to, 1); ok {
			t.Errorf("a %s is %g %s", pair[0], v, pair[1])
		}
	}
	if _, ok := unitOf("stripes"); ok {
		t.Error("stripes are a unit")
	}
}

// A hint that names a number to write names one that the reader then takes, with the value that was meant.
func TestHintedNumbersAreTaken(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		digits := rapid.StringMatching(`[1-9]\d{0,2}([.,]\d{1,4}){0,2}`).Draw(t, "digits")
		unit := rapid.SampledFrom([]string{"", "W", " W", "kW", " kw"}).Draw(t, "unit")
		key := &Key{Name: "running_w", Kind: Number, Max: 1e10, Unit: "W"}
		hint := key.textHint(digits + unit)
		for _, found := range hinted.FindAllStringSubmatch(hint, -1) {
			n := &node{form: formFraction, text: found[1], num: fraction(found[1])}
			if !strings.Contains(found[1], ".") {
				n.form = formWhole
			}
			if c := key.fault(n); c.msg != "" {
				t.Fatalf("%q: the hint %q names a number that is refused: %s", digits+unit, hint, c.msg)
			}
		}
	})
}

// What the reader says has no words of the library that it is built on.
func TestNoProgrammersWords(t *testing.T) {
	keys := &Keys{List: []Key{{Name: "load", Kind: Groups, Keys: &Keys{Name: "[[load]]", List: []Key{
		{Name: "running_w", Kind: Number, Max: 1e7, Unit: "W"}, {Name: "held_off", Kind: Switch},
		{Name: "months", Kind: Wholes, Min: 1, Max: 12}}}}}}
	rapid.Check(t, func(t *rapid.T) {
		value := rapid.OneOf(rapid.StringMatching(`[-+0-9._,eExXbnaifT: "']{1,12}`),
			rapid.StringOf(rapid.RuneFrom([]rune("0123456789.eE+-_xob\"'[]{}=, #WkVinfatruelsyo")))).Draw(t, "value")
		key := rapid.SampledFrom([]string{"running_w", "held_off", "months", "running_kw"}).Draw(t, "key")
		root, err := Parse("f", []byte("[[load]]\n"+key+" = "+value+"\n"), keys)
		said := ""
		if err != nil {
			said = err.Error()
		} else {
			for _, p := range root.Problems() {
				said += p.Msg + p.Hint
			}
		}
		for _, word := range []string{"strconv", "ParseFloat", "ParseInt", "invalid syntax", "float64", "int64", "%!"} {
			if strings.Contains(said, word) {
				t.Fatalf("%s = %s: %s", key, value, said)
			}
		}
	})
}
