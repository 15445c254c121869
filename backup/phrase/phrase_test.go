package phrase_test

import (
	"encoding/json"
	"fmt"
	"slices"
	"strings"
	"testing"

	"outlast/backup/fault"
	"outlast/backup/phrase"
)

// backwards is a language that can be told from English letter by letter. It notes what it misses.
func backwards(missed *[]string) *phrase.Language {
	return &phrase.Language{
		Format: func(english string) (string, bool) {
			text, ok := map[string]string{
				"%s draws %s, %q %s":   "%[4]s %[3]q: %[2]s by %[1]s",
				"the bank":             "BANK",
				"%s ohm":               "%s Ω",
				"%d string":            "%d STRING",
				"%d strings":           "%d STRINGS",
				"%.1f %% of %g, %+.2f": "%[2]g, %[1]f %%, %+.2[3]f",
			}[english]
			return text, ok
		},
		Missed:  func(english string) { *missed = append(*missed, english) },
		Name:    func(s string) string { return "<" + s + ">" },
		Quote:   func(s string) string { return "«" + s + "»" },
		Number:  func(printed string) string { return strings.Replace(printed, ".", ",", 1) },
		Amount:  func(v float64, unit string) string { return fmt.Sprintf("%.0f_%s", v, unit) },
		Measure: func(printed string) string { return strings.Replace(printed, " ", "_", 1) },
		Unit:    func(printed string) string { return "unit " + printed },
		Check:   func(id string) string { return "check " + id },
		Label:   func(english string) string { return "label " + english },
		And:     func(before, last string) string { return before + " und " + last },
		Lower:   strings.ToLower,
	}
}

func TestWritten(t *testing.T) {
	bank := phrase.Of("the bank")
	for _, tt := range []struct {
		p             phrase.Phrase
		english, says string
	}{
		{phrase.Phrase{}, "", ""},
		{phrase.Of("%s draws %s, %q %s", bank, phrase.Amount{Value: 850, Unit: "W"}, "Pump \"1\"",
			phrase.Check("autonomy")),
			`the bank draws 850 W, "Pump \"1\"" autonomy`, `check autonomy «Pump "1"»: 850_W by BANK`},
		{phrase.Of("%.1f %% of %g, %+.2f", 12.34, 1.5, 2.0), "12.3 % of 1.5, +2.00", "1,5, 12,340000 %, +2,00"},
		{phrase.Count(1, "%d string", "%d strings"), "1 string", "1 STRING"},
		{phrase.Count(3, "%d string", "%d strings"), "3 strings", "3 STRINGS"},
		{phrase.Symbols("%s x %s", phrase.Number("1.25"), phrase.Measure("2.5 mm2")), "1.25 x 2.5 mm2",
			"1,25 x 2.5_mm2"},
		{phrase.Symbols("%s, %s", phrase.Figure(1.23456), phrase.Figure(-12345.6)), "1.235, -12346", "1,235, -12346"},
		{phrase.Symbols("%s ohm", phrase.Figure(1.5)), "1.5 ohm", "1,5 Ω"},
		{phrase.Symbols("%s, %s", phrase.Unit("mm2"), phrase.Label("AGM block")), "mm2, AGM block",
			"unit mm2, label AGM block"},
		{phrase.Name("Anna"), "Anna", "<Anna>"},
		{phrase.Name(""), "", ""},
		{bank.Then(phrase.Name("!")), "the bank!", "BANK<!>"},
		{phrase.Phrase{}.Then(bank), "the bank", "BANK"},
		{bank.Then(phrase.Phrase{}), "the bank", "BANK"},
		{phrase.List(nil), "", ""},
		{phrase.List([]phrase.Phrase{bank}), "the bank", "BANK"},
		{phrase.List([]phrase.Phrase{bank, phrase.Name("b"), phrase.Name("c")}), "the bank, b and c",
			"BANK, <b> und <c>"},
		{phrase.Separated([]phrase.Phrase{bank, bank}, " + "), "the bank + the bank", "BANK + BANK"},
		{phrase.Symbols("%s: %s", bank, phrase.Lower(phrase.Symbols("%s", phrase.Number("AC")))), "the bank: aC",
			"BANK: ac"},
		{phrase.Symbols("100 %%"), "100 %", "100 %"},
	} {
		if got := tt.p.String(); got != tt.english {
			t.Errorf("in English %q, want %q", got, tt.english)
		}
		var missed []string
		if got := tt.p.In(backwards(&missed)); got != tt.says || len(missed) > 0 {
			t.Errorf("%q in another language is %q, missed %q; want %q", tt.english, got, missed, tt.says)
		}
		if text, err := json.Marshal(tt.p); err != nil || !slices.Equal(text, must(json.Marshal(tt.english))) {
			t.Errorf("as JSON %s, %v, want %q", text, err, tt.english)
		}
		if tt.p.Empty() != (tt.english == "") {
			t.Errorf("%q: empty %v", tt.english, tt.p.Empty())
		}
	}
}

func must(text []byte, err error) []byte {
	if err != nil {
		panic(err)
	}
	return text
}

// What has no translation is written in English and told, wherever it stands: it must not pass for one.
func TestMissed(t *testing.T) {
	type kind string
	inner := phrase.List([]phrase.Phrase{phrase.Of("unknown %s", phrase.Number("1.5")), phrase.Foreign("100 % odd")})
	p := phrase.Symbols("%s, %s", phrase.Separated([]phrase.Phrase{inner}, ", "), kind("fuse"))
	if got, want := p.String(), "unknown 1.5 and 100 % odd, fuse"; got != want {
		t.Errorf("in English %q, want %q", got, want)
	}
	var missed []string
	if got, want := p.In(backwards(&missed)), "unknown 1,5 und <100 % odd>, fuse"; got != want {
		t.Errorf("in another language %q, want %q", got, want)
	}
	if want := []string{"unknown %s", "100 % odd", "an argument of type phrase_test.kind"}; !slices.Equal(missed,
		want) {
		t.Errorf("missed %q, want %q", missed, want)
	}
}

func TestAmount(t *testing.T) {
	for _, tt := range []struct {
		v    float64
		unit string
		want string
	}{
		{850, "W", "850 W"}, {3210, "VA", "3.21 kVA"}, {-12345, "Wh", "-12.3 kWh"}, {123456, "W", "123 kW"},
		{25.34, "h", "25.3 h"}, {25, "h", "25 h"}, {123.4, "A", "123 A"}, {0.1234, "", "0.12"},
		{0.1234, "A/Ah", "0.123 A/Ah"}, {2, "strings", "2 strings"}, {0.5, "ms", "0.5 ms"},
	} {
		if got := (phrase.Amount{Value: tt.v, Unit: tt.unit}).String(); got != tt.want {
			t.Errorf("%g %s is %q, want %q", tt.v, tt.unit, got, tt.want)
		}
	}
}

// Two amounts that differ are seen to, with no more decimals than that takes.
func TestApart(t *testing.T) {
	for _, tt := range []struct {
		v, w   float64
		unit   string
		first  string
		second string
	}{
		{15_368, 15_360, "Wh", "15.37 kWh", "15.36 kWh"}, {15_360.4, 15_360, "Wh", "15.3604 kWh", "15.3600 kWh"},
		{3004, 3001, "VA", "3.004 kVA", "3.001 kVA"}, {850.2, 850, "W", "850.2 W", "850.0 W"}, {16.04, 16, "A", "16.04 A", "16.00 A"},
		{16, 16, "A", "16 A", "16 A"}, {3210, 3200, "VA", "3.21 kVA", "3.20 kVA"}, {0.1234, 0.1231, "", "0.12", "0.12"},
	} {
		if v, w := phrase.Apart(tt.v, tt.w, tt.unit); v != tt.first || w != tt.second {
			t.Errorf("%g and %g %s are %q and %q, want %q and %q", tt.v, tt.w, tt.unit, v, w, tt.first, tt.second)
		}
	}
}

// A sentence tells its amounts apart where they differ, those of the sentences in it too, and only those.
func TestSentencesTellApart(t *testing.T) {
	a := func(v float64, unit string) phrase.Amount { return phrase.Amount{Value: v, Unit: unit} }
	for _, tt := range []struct {
		of   phrase.Phrase
		want string
	}{
		{phrase.Of("%s of %s", a(3004, "VA"), a(3000, "VA")), "3.004 kVA of 3.000 kVA"},
		{phrase.Of("%s of %s", a(3000, "VA"), a(3000, "VA")), "3.00 kVA of 3.00 kVA"},
		{phrase.Of("%s of %s", a(3100, "VA"), a(3000, "VA")), "3.10 kVA of 3.00 kVA"},
		{phrase.Of("%s of %s", a(3004, "VA"), a(3000, "W")), "3.00 kVA of 3.00 kW"},
		{phrase.Of("%s, rated for %s", phrase.Of("%q takes %s", "Kettle", a(16.04, "A")), a(16, "A")),
			`"Kettle" takes 16.04 A, rated for 16.00 A`},
		{phrase.Of("%s of %s, a quarter of %s", a(3004, "VA"), a(3000, "VA"), a(12000, "VA")),
			"3.004 kVA of 3.000 kVA, a quarter of 12.0 kVA"},
		{phrase.Of("%s, %s, %s", a(3004, "W"), a(3000, "W"), a(3000.2, "W")), "3.004 kW, 3.0000 kW, 3.0002 kW"},
		{phrase.Of("at %s: %s", a(3004, "W"), a(3000, "W")).Rest(), "3.000 kW"},
	} {
		if got := tt.of.String(); got != tt.want {
			t.Errorf("%q, want %q", got, tt.want)
		}
		l := &phrase.Language{Format: func(s string) (string, bool) { return s, true },
			Amount:  func(v float64, unit string) string { return a(v, unit).String() },
			Measure: func(s string) string { return s }, Quote: func(s string) string { return `"` + s + `"` }}
		if got := tt.of.In(l); got != tt.want {
			t.Errorf("in a language %q, want %q", got, tt.want)
		}
	}
}

// An error tells its phrase, and reads as the others do.
func TestError(t *testing.T) {
	err := fault.In("wiring").Of(phrase.Error{Phrase: phrase.Of("the bank")})
	if got, want := fmt.Errorf("not planned: %w", err).Error(), "not planned: wiring: the bank"; got != want {
		t.Errorf("got %q, want %q", got, want)
	}
}

// TestRest: the rest has the arguments that belong to it, whatever stands in the names before it.
func TestRest(t *testing.T) {
	for _, tt := range []struct {
		of   phrase.Phrase
		want string
	}{
		{phrase.Phrase{}, ""},
		{phrase.Of("nothing to do"), ""},
		{phrase.Of("%q takes %g %%: leave out %s", "a: b; c", 12.5, "the rest"), "leave out the rest"},
		{phrase.Of("one; two: three"), "three"},
		{phrase.Of("%s: start it later", phrase.Of("too much: 3")), "start it later"},
		{phrase.Of("the bank wants air; give %s", "vent_cm2").Then(phrase.Of("; at %g C: keep it cooler", 41.0)),
			"give vent_cm2; keep it cooler"},
		{phrase.Of("all is well").Then(phrase.Of(", and so on")), ""},
		{phrase.Name("a: b"), ""},
	} {
		if got := tt.of.Rest().String(); got != tt.want {
			t.Errorf("the rest of %q is %q, want %q", tt.of, got, tt.want)
		}
	}
}
