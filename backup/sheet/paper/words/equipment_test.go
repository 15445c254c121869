package words

import (
	"slices"
	"strings"
	"testing"

	"outlast/catalog"
)

func comma(printed string) string { return strings.Replace(printed, ".", ",", 1) }

// Every label of the generic catalog is told in every language, and there is no piece that none of them has.
func TestEquipment(t *testing.T) {
	used := map[string]bool{}
	check := func(label string) {
		for _, part := range strings.Split(label, ", ") {
			used[number.ReplaceAllString(part, "%s")] = true
		}
		for _, lang := range Languages()[1:] {
			text, ok := Equipment(lang, label, comma)
			if !ok {
				t.Errorf("%s: no words for %q", lang, label)
			}
			if want := len(number.FindAllString(label, -1)); len(
				number.FindAllString(strings.ReplaceAll(text, ",", "."), -1)) != want {
				t.Errorf("%s: %q has not the numbers of %q", lang, text, label)
			}
		}
	}
	c, err := catalog.Generic()
	if err != nil {
		t.Fatal(err)
	}
	for _, e := range c.Inverters() {
		check(e.Label)
	}
	for _, e := range c.Batteries() {
		check(e.Label)
	}
	for _, e := range c.Modules() {
		check(e.Label)
	}
	for _, e := range c.Generators() {
		check(e.Label)
	}
	for _, e := range c.Appliances() {
		check(e.Label)
	}
	for _, r := range rows("labels") {
		if !used[r.key] {
			t.Errorf("%s: no label has %q", r.place(), r.key)
		}
		for lang, text := range r.in {
			if strings.Count(text, "%s") != strings.Count(r.key, "%s") {
				t.Errorf("%s: %s: %q takes other numbers than %q", r.place(), lang, text, r.key)
			}
			alike := []string{"%s V", "%s V %s Ah", "%s V %s Ah (%s h)", "%s V lithium"}
			if text == r.key && !slices.Contains(alike, text) {
				t.Errorf("%s: %s: %q is still English", r.place(), lang, text)
			}
		}
	}
}

func TestEquipmentInWords(t *testing.T) {
	for _, tt := range []struct{ lang, label, want string }{
		{"de", "LFP drop-in block, 12.8 V 100 Ah", "LFP-Block in der Bauform einer Bleibatterie, 12,8 V 100 Ah"},
		{"es", "Hybrid 6 kVA, 48 V, split phase 120/240 V, two solar inputs",
			"Inversor híbrido de 6 kVA, 48 V, monofásico de tres hilos 120/240 V, dos entradas fotovoltaicas"},
		{"fr", "Portable petrol set 2.2 kVA, quiet, single phase 230 V",
			"Groupe portable à essence de 2,2 kVA, silencieux, monophasé 230 V"},
	} {
		if got, ok := Equipment(tt.lang, tt.label, comma); !ok || got != tt.want {
			t.Errorf("%s: got %q, %v, want %q", tt.lang, got, ok, tt.want)
		}
	}
	// A user's own label stays as it is, whatever stands in it.
	for _, label := range []string{"", "Pack from the shed, 48 V", "%s V", "Hybrid 5 kVA, 100 % hot", "hybrid 5 kVA"} {
		if got, ok := Equipment("de", label, comma); ok {
			t.Errorf("%q was told as %q", label, got)
		}
	}
	if _, ok := Equipment("en", "AGM block, 12 V 60 Ah (20 h)", comma); ok {
		t.Error("English was translated")
	}
}
