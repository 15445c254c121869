package sheet

import (
	"bytes"
	"maps"
	"regexp"
	"slices"
	"strings"
	"testing"
	"unicode"
	"unicode/utf8"

	"github.com/clipperhouse/displaywidth"

	"outlast/backup"
	"outlast/backup/outage"
	"outlast/backup/phrase"
	"outlast/backup/samplehome"
	"outlast/backup/sheet/columns"
	"outlast/backup/sheet/grid"
	"outlast/backup/sheet/paper/words"
	"outlast/backup/sheet/record"
	"outlast/backup/sheet/speech"
	"outlast/backup/site"
	"outlast/backup/sizing"
	"outlast/backup/study"
	"outlast/catalog"
)

// inEnglish is a table as it is read.
func inEnglish(t *testing.T, tab grid.Table) columns.Table {
	t.Helper()
	v, err := speech.NewVoice("", false)
	if err != nil {
		t.Fatal(err)
	}
	return tab.In(speech.NewSpeaker(v, nil, func(string) string { return "" }))
}

// sampleHomes are the plans of the sample sites, by the name of their file.
func sampleHomes(t *testing.T) map[string]*backup.Plan {
	t.Helper()
	out := map[string]*backup.Plan{}
	for _, path := range samplehome.Files(t) {
		name := samplehome.Name(path)
		out[name] = samplehome.Plan(t, name)
	}
	return out
}

// english finds words of the sheets that only English has.
var english = samplehome.English("at least", "at most", "hours", "loads", "bank", "fails", "required")

// asInTheFile finds the keys and values of the site file and words of the command line, which are the same in every
// language, and names that the first screen has cut.
var asInTheFile = regexp.MustCompile(
	`start = worst|worst -|bank \| -|\S+ and \S+ ` +
		`\.\.\.|\[\[?[a-z.]+\]?\]|\w+\.\w+|[a-z]+_\w+|--[a-z-]+|(?s)(Teile|partes|parties)\s*:.*?\. `)

// checkSpoken holds a text against its language.
func checkSpoken(t *testing.T, what, lang, text string, s *speech.Speaker, names []string) {
	t.Helper()
	if len(s.Missed) > 0 {
		t.Errorf("%s in %s: no words for %q", what, lang, s.Missed)
	}
	if i := strings.Index(text, "%!"); i >= 0 {
		t.Errorf("%s in %s: words without what they take: %q", what, lang, text[max(0, i-40):min(len(text), i+60)])
	}
	if lang == "en" {
		return
	}
	plain := strings.Join(strings.Fields(text), " ")
	for _, n := range names {
		plain = strings.ReplaceAll(plain, n, "|")
	}
	plain = asInTheFile.ReplaceAllString(plain, "|")
	for _, at := range english.FindAllStringIndex(plain, -1) {
		if r, _ := utf8.DecodeRuneInString(plain[at[1]:]); unicode.IsLetter(r) {
			continue // "limité"
		}
		t.Errorf("%s in %s: English: %q", what, lang, plain[max(0, at[0]-60):min(len(plain), at[1]+40)])
	}
}

// given gives the same speaker to whoever asks.
func given(s *speech.Speaker) Speaking {
	return func(Options) (*speech.Speaker, error) { return s, nil }
}

// TestSheetsSpeakOneLanguage: what is told of a plan, of an outage and of a year of them has its words in every
// language, and lines keep their width.
func TestSheetsSpeakOneLanguage(t *testing.T) {
	homes := sampleHomes(t)
	for _, name := range slices.Sorted(maps.Keys(homes)) {
		p := homes[name]
		names := samplehome.Named(p)
		run, err := study.RunOutage(t.Context(), p.Facts, study.OutageOptions{Hours: 72, Seed: 1})
		if err != nil {
			t.Fatal(err)
		}
		draws, drawn, err := study.DrawOutage(t.Context(), p.Facts, study.OutageOptions{Hours: 72, Seed: 1})
		if err != nil {
			t.Fatal(err)
		}
		if drawn {
			run.Draws = &draws
		}
		for _, lang := range words.Languages() {
			o := Options{Lang: lang, Show: []string{All}, Working: true, Sensitivity: name == "cottage",
				HoursWished: 200}
			s := speaks(t, p, lang)
			outageText := func(width int) string {
				var b bytes.Buffer
				if err := WriteSections(&b, given(s), outageHeadline(run), outageSections(run, width),
					Options{Width: width}); err != nil {
					t.Fatal(err)
				}
				return b.String()
			}
			for _, o.Width = range []int{80, 120} {
				checkWidth(t, name+" in "+lang, textOf(t, p, o, s)+outageText(o.Width), o.Width)
			}
			const unbroken = 1000
			o.Format = "markdown"
			text := strings.ReplaceAll(write(t, o, p), `\`, "") + outageText(unbroken) +
				textOf(t, p, Options{Width: unbroken}, s)
			checkSpoken(t, name, lang, text, s, names)
		}
	}
}

// textOf is the text of a plan by a speaker who tells what he misses.
func textOf(t *testing.T, p *backup.Plan, o Options, s *speech.Speaker) string {
	t.Helper()
	var b bytes.Buffer
	if err := textPage(&b, p, s, o); err != nil {
		t.Fatal(err)
	}
	return b.String()
}

func checkWidth(t *testing.T, what, text string, width int) {
	t.Helper()
	for i, line := range strings.Split(text, "\n") {
		if n := displaywidth.String(line); n > width && len(strings.Fields(line)) > 1 {
			t.Errorf("%s at %d columns, line %d has %d: %q", what, width, i+1, n, line)
		}
	}
}

// TestEveryStartLasts: where the supply lasts from every start as long as outages are followed, no start is called the
// least favourable one.
func TestEveryStartLasts(t *testing.T) {
	p := samplehome.Plan(t, "cottage")
	for maxH, all := range map[int]bool{2: true, 336: false} {
		year, err := study.FromEveryStart(t.Context(), p.Facts, study.EveryStartOptions{MaxH: maxH, TargetH: 1, Chance: 0.95, Seed: 1})
		if err != nil {
			t.Fatal(err)
		}
		var out strings.Builder
		if err := WriteEveryStart(&out, record.YearOfOutages{EveryStart: year}, Options{Lang: "en", Width: 200}); err != nil {
			t.Fatal(err)
		}
		text := out.String()
		if strings.Contains(text, "From every start the supply lasts 2 h or more.") != all ||
			strings.Contains(text, "From the least favourable start") == all || strings.Contains(text, "Least favourable starts") == all {
			t.Errorf("followed for %d h: %.700s", maxH, text)
		}
	}
}

// TestYearAndEquipmentSpeakOneLanguage: so has what is told of a year of outages, and of the equipment of a catalog.
func TestYearAndEquipmentSpeakOneLanguage(t *testing.T) {
	p := samplehome.Plan(t, "cottage")
	year, err := study.FromEveryStart(t.Context(), p.Facts, study.EveryStartOptions{MaxH: 72, TargetH: 24, Chance: 0.95,
		Seed: 1, Reserves: true})
	if err != nil {
		t.Fatal(err)
	}
	law := phrase.Of("%g outages a year of %g h on average, lengths by the %s law", 2.0, 5.0,
		phrase.Name("exponential"))
	y := record.YearOfOutages{EveryStart: year, Expected: &outage.Expectation{OutageH: 10}, Law: law}
	cat, err := catalog.Generic()
	if err != nil {
		t.Fatal(err)
	}
	sizes := record.Sizing{Site: p.Site}
	for _, hours := range []float64{4, 500} {
		z, err := backup.Size(t.Context(), p.Site, cat, sizing.Options{AutonomyH: hours, MaxCount: 1})
		if err != nil {
			t.Fatal(err)
		}
		sizes.Targets = append(sizes.Targets, z)
	}
	names := samplehome.Named(p)
	for _, i := range cat.Inverters() {
		names = append(names, i.ID)
	}
	for _, b := range cat.Batteries() {
		names = append(names, b.ID)
	}
	names = append(names, "exponential")
	one := record.Sizing{Site: p.Site, Targets: sizes.Targets[:1]}
	for _, lang := range words.Languages() {
		for _, width := range []int{80, 120, 1000} {
			for _, tell := range []struct {
				what  string
				head  func(*speech.Speaker) []phrase.Phrase
				parts func(*speech.Speaker) []grid.Section
				speak func(Options) (*speech.Speaker, error)
			}{
				{"a year", func(s *speech.Speaker) []phrase.Phrase { return yearHeadline(y, s) },
					func(*speech.Speaker) []grid.Section { return yearSections(y) }, SpeakFor(p.Facts)},
				{"equipment", func(s *speech.Speaker) []phrase.Phrase { return sizeHeadline(sizes, s.CheckName) },
					func(s *speech.Speaker) []grid.Section { return sizeSections(sizes, 5, width > 110, s.CheckName) }, SpeakOf(p.Site)},
				{"equipment for one", func(s *speech.Speaker) []phrase.Phrase { return sizeHeadline(one, s.CheckName) },
					func(s *speech.Speaker) []grid.Section { return sizeSections(one, 5, width > 110, s.CheckName) }, SpeakOf(p.Site)},
			} {
				s, err := tell.speak(Options{Lang: lang})
				if err != nil {
					t.Fatal(err)
				}
				var b bytes.Buffer
				if err := WriteSections(&b, given(s), tell.head(s), tell.parts(s), Options{Width: width}); err != nil {
					t.Fatal(err)
				}
				if width == 1000 {
					checkSpoken(t, tell.what, lang, b.String(), s, names)
				}
				checkWidth(t, tell.what+" in "+lang, b.String(), width)
			}
		}
	}
}

// TestUnknownLanguage: a language that nobody speaks is refused.
func TestUnknownLanguage(t *testing.T) {
	p := samplehome.Plan(t, "town-flat")
	var b bytes.Buffer
	if err := Write(&b, []*backup.Plan{p}, Options{Lang: "la"}); err == nil || b.Len() > 0 {
		t.Errorf("Latin: %v, %q", err, b.String())
	}
	if _, err := Say(&site.Site{}, "la", phrase.Of("pass")); err == nil {
		t.Error("a line of Latin is no error")
	}
}

// TestChemistryIsSpoken: the title of the bank has its chemistry in the words of the language.
func TestChemistryIsSpoken(t *testing.T) {
	p := samplehome.Plan(t, "cottage")
	for lang, want := range map[string]string{"": ", flooded", "de": ", Blei mit flüssigem Elektrolyt",
		"es": ", plomo-ácido abierta", "fr": ", plomb ouvert"} {
		s, err := SpeakFor(p.Facts)(Options{Lang: lang})
		if err != nil {
			t.Fatal(err)
		}
		if got := s.Prose(bankSection(p).Title); !strings.HasSuffix(got, want) {
			t.Errorf("%q: %q, want it to end in %q", lang, got, want)
		}
	}
}
