package words

import (
	"go/ast"
	"go/token"
	"slices"
	"strings"
	"testing"
)

// A heading uses the glossary's word, in every language: what is called otherwise somewhere is another thing to its
// reader.
func TestHeadingsUseTheGlossary(t *testing.T) {
	ids := map[string]row{}
	for _, r := range rows("texts") {
		ids[r.key] = r
	}
	held := 0
	for _, term := range rows("glossary") {
		if term.in["headings"] == "-" {
			continue
		}
		for _, id := range strings.Split(term.in["headings"], ", ") {
			text, ok := ids[id]
			if !ok {
				t.Errorf("%s: %q is no text of the papers", term.place(), id)
				continue
			}
			held++
			for _, lang := range Languages() {
				usable := strings.Split(strings.ToLower(term.in[lang]), "; ")
				if said := strings.ToLower(text.in[lang]); !slices.ContainsFunc(usable,
					func(word string) bool { return strings.Contains(said, word) }) {
					t.Errorf("%s: %s: %q says %q, want %q in it (%s)", text.place(), lang, id, text.in[lang],
						term.in[lang], term.place())
				}
			}
		}
	}
	if held < 100 {
		t.Errorf("%d headings: this test sees too few", held)
	}
}

// homeMade are turns that no electrician uses for what is meant, with what to say instead.
var homeMade = map[string]map[string]string{
	"en": {"goes dark": "loses power", "go dark": "lose power", "went dark": "lost power",
		"hangs on": "is connected to, depends on", "own use": "standby consumption",
		"as it is laid": "as installed", "street": "grid", "bears": "is rated for", "hardest": "largest",
		"by-pass": "bypass", "by the cold": "temperature factor",
		"bunched": "grouped"},
	"de": {"Notstromkreis": "Ersatzstromkreis", "Notstromverteiler": "Ersatzstromverteiler", "Straße": "Netz",
		"Umgehung": "Bypass", "gleich dick": "gleicher Querschnitt",
		"Solarfeld": "PV-Generator", "Schutzgerät": "Schutzeinrichtung", "Plätze": "Abgänge",
		"Funktionsproben": "Funktionsprüfungen", " hängt": "ist angeschlossen", "Eigenverbrauch": "Leerlaufverbrauch",
		"Rechenblatt": "Berechnungsblatt", " an bleib": "in Betrieb bleib", "Anlagendatei": "Standortdatei",
		"Regelbereich": "Trackingbereich", "Planungszuschlag": "Planungsreserve", "Vorrang %s": "Priorität",
		"der Generator": "der Stromerzeuger", "und Generator": "und Stromerzeuger", "vom Generator": "vom Stromerzeuger",
		"wird er trotzdem": "wird trotzdem eingeschaltet: a load has any gender", "nicht bestanden": "nicht erfüllt"},
	"es": {"la calle": "la red", "derivación": "by-pass", "arranque más duro": "arranque más exigente",
		"campo solar": "campo fotovoltaico", "consumo propio": "consumo en vacío", "cuadro principal": "cuadro general",
		"ecualiza": "igualación", "hoja de cálculo": "memoria de cálculo", "el generador": "el grupo electrógeno",
		"del generador": "del grupo electrógeno", "ni generador": "ni grupo electrógeno"},
	"fr": {"la rue": "le réseau", "contournement": "by-pass", "le plus dur": "le plus exigeant",
		"champ solaire": "champ photovoltaïque", "sensée": "plausible", "la table": "le tableau",
		"une table":         "un tableau",
		"feuille de calcul": "note de calcul", "consommation propre": "consommation à vide",
		"est utilisé malgré tout": "si on l’utilise malgré tout: a load has any gender"},
}

// A full load is none of the battery: "pleine charge" and "plena carga" are what the glossary calls a full battery.
func TestFullLoadIsNoFullBattery(t *testing.T) {
	seen := 0
	for _, r := range slices.Concat(rows("texts"), rows("sentences")) {
		english := r.key
		if text, ok := r.in["en"]; ok {
			english = text
		}
		if !strings.Contains(english, "full simultaneous load") && !strings.Contains(english, "full load") {
			continue
		}
		seen++
		for lang, text := range r.in {
			if strings.Contains(text, "pleine charge") || strings.Contains(text, "plena carga") {
				t.Errorf("%s: %s: %q reads as a full battery, but is %q", r.place(), lang, text, english)
			}
		}
	}
	if seen < 10 {
		t.Errorf("%d rows of a full load: this test sees too few", seen)
	}
}

// Nothing on the papers is told in home-made turns; the owner's page, which nobody of the trade reads, may say where
// power is missing: in the street.
func TestNoHomeMadeTurns(t *testing.T) {
	for _, r := range slices.Concat(rows("texts"), rows("sentences")) {
		said := map[string]string{"en": r.key}
		for lang, text := range r.in {
			said[lang] = text
		}
		for lang, text := range said {
			for turn, instead := range homeMade[lang] {
				if strings.Contains(text, turn) && !(r.key == "call.grid-for" &&
					strings.Contains("street Straße la calle la rue", turn)) {
					t.Errorf("%s: %s: %q says %q, want %s", r.place(), lang, text, turn, instead)
				}
			}
		}
	}
}

// What commands print is held to the same, as far as a turn is of several words: a word alone may be a key.
func TestNoHomeMadeTurnsInTheSource(t *testing.T) {
	eachSource(t, func(path string, fset *token.FileSet, f *ast.File) {
		eachLiteral(f, func(at token.Pos, text string) {
			for turn, instead := range homeMade["en"] {
				if strings.Contains(turn, " ") && strings.Contains(text, turn) {
					t.Errorf("%s: %q says %q, want %s", fset.Position(at), text, turn, instead)
				}
			}
		})
	})
}

// The glossary is whole, and each of its terms once.
func TestGlossary(t *testing.T) {
	terms := Glossary()
	if len(terms) < 80 {
		t.Fatalf("%d terms: too few", len(terms))
	}
	for _, term := range terms {
		for _, lang := range Languages() {
			if term.In[lang] == "" {
				t.Errorf("%s: no word in %s", term.Name, lang)
			}
		}
		if strings.HasPrefix(term.Norm, "IEV") && !strings.Contains(term.Norm, "memory") &&
			term.Norm != "IEV 482-05-42" {
			t.Errorf("%s: %s was not looked up, and does not say so", term.Name, term.Norm)
		}
	}
}
