package main

import (
	"errors"
	"slices"
	"strings"
	"testing"

	"outlast/backup/interview"
	"outlast/backup/phrase"
	"outlast/backup/sheet/paper/words"
	"outlast/backup/sheet/speech"
	"outlast/catalog"
)

// spoken is an interview in a language, and what of it had no words there.
func spoken(t *testing.T, cat *catalog.Catalog, lang string) (*interview.Interview, *speech.Speaker) {
	t.Helper()
	voice, err := speech.NewVoice(lang, false)
	if err != nil {
		t.Fatal(err)
	}
	speaker := speech.NewSpeaker(voice, nil, func(string) string { return "" })
	iv := interview.New(cat)
	iv.CallAlso(words.Called)
	iv.Speak(speaker.Prose)
	return iv, speaker
}

// wholeAnswers answer an interview with all its parts, in each language.
var wholeAnswers = map[string][]string{
	"en": {"name: M", "supply: 120x2", "latitude: 51,5", "altitude: ?", "hours: 24", "battery-stands: cellar", "coldest: ?", "hottest: don't know",
		"stays-on: 2 chest freezers, well pump 1,1 kW, sump pump 0,25 kW, well pump 4 kW, other kiln 300 W", "depends-on: oxygen concentrator",
		"plate well-pump-1100w: 1,1 kW 8 A 240 V code G", "plate sump-pump-250w: ?", "plate well-pump-2200w: unknown",
		"inverter: none", "battery: none yet", "panels: 12 panels of 430 W", "slope: 30", "facing: south-east", "coldest-air: ?",
		"sun: ?", "generator: 6,5 kVA gasoline"},
	"de": {"name: M", "supply: 120x2", "latitude: 51,5", "altitude: ?", "hours: 24", "battery-stands: Keller", "coldest: ?", "hottest: weiß nicht",
		"stays-on: 2 Gefriertruhen, Brunnenpumpe 1,1 kW, Sumpfpumpe 0,25 kW, Brunnenpumpe 4 kW, anderer kiln 300 W",
		"depends-on: Sauerstoffkonzentrator",
		"plate well-pump-1100w: 1,1 kW 8 A 240 V code G", "plate sump-pump-250w: ?", "plate well-pump-2200w: Unbekannt",
		"inverter: Keiner", "battery: noch keine", "panels: 12 Module zu 430 W", "slope: 30", "facing: Südosten", "coldest-air: ?",
		"sun: ?", "generator: 6,5 kVA Benzin"},
	"es": {"name: M", "supply: 120x2", "latitude: 51,5", "altitude: ?", "hours: 24", "battery-stands: sótano", "coldest: ?", "hottest: no sé",
		"stays-on: 2 arcón congelador, bomba de pozo 1,1 kW, bomba de achique 0,25 kW, bomba de pozo 4 kW, otro kiln 300 W",
		"depends-on: concentrador de oxígeno",
		"plate well-pump-1100w: 1,1 kW 8 A 240 V code G", "plate sump-pump-250w: ?", "plate well-pump-2200w: desconocido",
		"inverter: ninguno", "battery: todavía no", "panels: 12 módulos de 430 W", "slope: 30", "facing: sureste", "coldest-air: ?",
		"sun: ?", "generator: 6,5 kVA gasolina"},
	"fr": {"name: M", "supply: 120x2", "latitude: 51,5", "altitude: ?", "hours: 24", "battery-stands: cave", "coldest: ?", "hottest: je ne sais pas",
		"stays-on: 2 congélateur coffre, pompe de puits 1,1 kW, pompe vide-cave de 0,25 kW, pompe de puits 4 kW, autre kiln 300 W",
		"depends-on: concentrateur d’oxygène",
		"plate well-pump-1100w: 1,1 kW 8 A 240 V code G", "plate sump-pump-250w: ?", "plate well-pump-2200w: inconnu",
		"inverter: aucun", "battery: pas encore", "panels: 12 modules de 430 W", "slope: 30", "facing: sud-est", "coldest-air: ?",
		"sun: ?", "generator: 6,5 kVA essence"},
}

// saidOf are all phrases of the open questions.
func saidOf(q interview.Question) []phrase.Phrase {
	out := []phrase.Phrase{q.Part, q.Ask, q.Help, q.Assumed}
	for _, c := range slices.Concat(q.Choices, q.Picks) {
		out = append(out, c.Typed, c.Label)
	}
	return out
}

// sameEverywhere are phrases that are spelt alike in English and another language, or hold no words.
var sameEverywhere = []string{"garage", "230", "230x3", "120x2", "120", "24 h", "in m, -500 to 6000: 250"}

// Whatever language an interview is held in, everything that it says has words there, and the home is the same; each
// file of answers is read in each language.
func TestInterviewInEveryLanguage(t *testing.T) {
	cat, err := catalog.Generic()
	if err != nil {
		t.Fatal(err)
	}
	want := ""
	for _, lang := range words.Languages() {
		for _, answering := range words.Languages() {
			iv, speaker := spoken(t, cat, lang)
			given, err := interview.ReadAnswers("answers", strings.Join(wholeAnswers[answering], "\n"))
			if err != nil {
				t.Fatal(err)
			}
			for open := iv.Next(); open != nil; open = iv.Next() {
				for _, q := range open {
					for _, p := range saidOf(q) {
						said := iv.Say(p)
						if lang != "en" && said == p.String() && strings.Contains(said, " ") && !slices.Contains(sameEverywhere, said) &&
							strings.ContainsAny(said, "abcdefghijklmnopqrstuvwxyz") {
							t.Errorf("%s: %q is English", lang, said)
						}
					}
					i := slices.IndexFunc(given, func(g interview.Given) bool { return g.Key == q.Key })
					if i < 0 {
						t.Fatalf("%s: no answer to %s", answering, q.Key)
					}
					if err := iv.Take(q.Key, given[i].Text); err != nil {
						t.Fatalf("%s: %s: %v", answering, q.Key, err)
					}
				}
			}
			e := interview.Equipment{Inverter: "split-8k-48", Count: 1, Battery: "lfp-51-100"}
			text := iv.SiteText(e)
			assumed := iv.Assumed(e)
			if len(assumed) < 5 {
				t.Errorf("%s: only %d assumptions", lang, len(assumed))
			}
			if speaker.Missed != nil {
				t.Errorf("%s has no words for %q", lang, speaker.Missed)
			}
			for _, english := range []string{"assumed", "answered", "nobody", "known"} {
				if lang != "en" && strings.Contains(text+strings.Join(assumed, "\n"), english) {
					t.Errorf("%s: %q is in\n%s", lang, english, text)
				}
			}
			for _, typed := range given { // as typed: "51,5" does not become "51.5"
				for v := range strings.SplitSeq(typed.Text, ", ") {
					if strings.Contains(v, ",") && !strings.HasPrefix(typed.Key, "plate") && !strings.Contains(strings.Join(strings.Fields(text), " "), v) {
						t.Errorf("%s: the answer %q does not stand in\n%s", lang, v, text)
					}
				}
			}
			home := withoutComments(text)
			if want == "" {
				want = home
			}
			// The name of a circuit is the class's in the language.
			home = strings.Replace(home, `label = "`+speaker.Equipment("Well pump 1.1 kW (1.5 hp)")+`"`, `label = "Well pump 1.1 kW (1.5 hp)"`, 1)
			if home != want {
				t.Errorf("answered in %s, in an interview in %s:\n%s\nwant\n%s", answering, lang, home, want)
			}
		}
	}
}

// withoutComments is a site file without its comments.
func withoutComments(text string) string {
	var b strings.Builder
	for line := range strings.Lines(text) {
		if line, _, _ = strings.Cut(line, "#"); strings.TrimSpace(line) != "" {
			b.WriteString(strings.TrimRight(line, " \n") + "\n")
		}
	}
	return b.String()
}

// The words that a choice shows are taken as its answer, in every language, and so are the examples of each question.
func TestChoicesAreTaken(t *testing.T) {
	cat, err := catalog.Generic()
	if err != nil {
		t.Fatal(err)
	}
	for _, lang := range words.Languages() {
		iv, speaker := spoken(t, cat, lang)
		for _, key := range []string{"latitude: 50", "panels: 12", "stays-on: " + "well-pump-1100w"} {
			g, _ := interview.ReadAnswer(key)
			if err := iv.Take(g.Key, g.Text); err != nil {
				t.Fatal(err)
			}
		}
		tried := 0
		plain := strings.NewReplacer(speech.Hard, " ", speech.Thin, " ", "−", "-")
		for open := iv.Next(); open != nil; open = iv.Next() {
			for _, q := range open {
				for _, c := range slices.Concat(q.Choices, q.Picks) {
					tried++
					if err := iv.Check(q.Key, iv.Say(c.Typed)); err != nil {
						t.Errorf("%s: %s: %q is refused: %v", lang, q.Key, iv.Say(c.Typed), err)
					}
				}
				help := plain.Replace(iv.Say(q.Help))
				if at := strings.LastIndex(help, ": "); at >= 0 && q.Key != "supply" && !strings.Contains(help, "`") && !strings.Contains(help, "…") {
					example, _, _ := strings.Cut(help[at+2:], " ou 1 hp")
					for _, or := range []string{" or ", " oder ", " o ", " ou "} {
						example, _, _ = strings.Cut(example, or)
					}
					example, _, _ = strings.Cut(strings.TrimSuffix(example, ","), "; ")
					if strings.Contains(help, "-18") {
						example = "-18"
					}
					tried++
					if err := iv.Check(q.Key, example); err != nil {
						t.Errorf("%s: %s: the example %q is refused: %v", lang, q.Key, example, err)
					}
				}
				if err := iv.Take(q.Key, interview.Unknown); err != nil {
					t.Fatal(err)
				}
			}
		}
		if tried < 20 || speaker.Missed != nil {
			t.Errorf("%s: tried %d, missed %q", lang, tried, speaker.Missed)
		}
	}
}

// Refusals are told in the language.
func TestRefusalsInEveryLanguage(t *testing.T) {
	cat, err := catalog.Generic()
	if err != nil {
		t.Fatal(err)
	}
	for _, lang := range words.Languages()[1:] {
		iv, speaker := spoken(t, cat, lang)
		for _, key := range []string{"latitude: 50", "panels: 12"} {
			g, _ := interview.ReadAnswer(key)
			if err := iv.Take(g.Key, g.Text); err != nil {
				t.Fatal(err)
			}
		}
		for _, wrong := range []string{"supply: x", "latitude: 99", "latitude: 1,000", "altitude: high", "hours: 0", "battery-stands: kelr",
			"coldest: 99", "stays-on: chest-frezer", "stays-on: qqqqqq", "stays-on: none", "stays-on: 0 router", "stays-on: router 99 h",
			"stays-on: router 0 W", "stays-on: other x", "stays-on: well pump 0 kW", "inverter: none-such", "inverter: hybrid-5k-49",
			"battery: lfp-51-100*0", "battery: none-such", "panels: many", "panels: 5000", "panels: 12 x 0 W", "panels: 12 x 10 W",
			"slope: 99", "facing: up", "sun: 1 2 3", "sun: 99 1 1 1 1 1 1 1 1 1 1 1", "generator: x", "generator: 0 VA", "suply: 3",
			"plate router: 3", "name: " + strings.Repeat("x", 5000)} {
			g, _ := interview.ReadAnswer(wrong)
			err := iv.Check(g.Key, g.Text)
			var r *interview.Refusal
			if !errors.As(err, &r) {
				t.Errorf("%q gives %v", wrong, err)
				continue
			}
			said, hint := iv.Say(r.Msg), iv.Say(r.Hint)
			if said == r.Msg.String() || hint == r.Hint.String() && strings.Contains(hint, " ") && hint != "12 x 440 W" ||
				speaker.Missed != nil {
				t.Errorf("%s: %q: %q, %q; no words for %q", lang, wrong, said, hint, speaker.Missed)
			}
			speaker.Missed = nil
		}
	}
}
