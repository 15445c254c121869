package paper

import (
	"math"
	"outlast/backup/sheet/speech"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

func voiceOf(t testing.TB, lang string) voice {
	t.Helper()
	v, err := speech.NewVoice(lang, false)
	if err != nil {
		t.Fatal(err)
	}
	return voice{v}
}

// Times for people: rounded down in the unit that they think in, but for the hundredth that nobody knows.
func TestHours(t *testing.T) {
	v := voiceOf(t, "en")
	for _, tt := range []struct {
		h    float64
		want string
	}{
		{0, "about 0 minutes"}, {0.98, "about 55 minutes"}, {1.47, "about 85 minutes"}, {1.5, "about 1.5 hours"}, {2.47, "about 2 hours"},
		{9.89, "about 9.5 hours"}, {9.91, "about 10 hours"}, {10.88, "about 10 hours"}, {11 + 58.0/60, "about 12 hours"}, {11.8, "about 11 hours"},
		{71.2, "about 71 hours"}, {72, "about 3 days"}, {73, "about 3 days"}, {74, "about 3 days and 2 hours"},
		{237.4, "about 9 days and 23 hours"}, {240, "about 10 days"}, {261, "about 10 days"},
	} {
		if got := v.hours(tt.h); got != tt.want {
			t.Errorf("hours(%g) = %q, want %q", tt.h, got, tt.want)
		}
	}
}

// A metric cross-section is told as the smallest AWG size that is not smaller. Sizes in mm2: NEC Chapter 9 Table 8 (SEEN-S).
func TestAWG(t *testing.T) {
	check := func(mm2 float64, want string) {
		t.Helper()
		if got, _ := awg(mm2); got != want {
			t.Errorf("awg(%g) = %q, want %q", mm2, got, want)
		}
	}
	check(2.08, "14 AWG")
	check(2.5, "12 AWG") // 14 AWG has 2.08 mm2
	check(3.3, "12 AWG") // 3.31: a rounding of catalogues
	check(4, "10 AWG")
	check(5.26, "10 AWG")
	check(6, "8 AWG")
	check(10, "6 AWG")
	check(16, "4 AWG")
	if name, ok := awg(1e6); ok {
		t.Errorf("awg(1e6) = %q, but there is none", name)
	}
	if name, ok := awg(math.NaN()); ok {
		t.Errorf("awg(NaN) = %q", name)
	}
}

// The step of an axis is 1, 2 or 5 times a power of ten, cuts the span into no more parts than asked, and half as many at least.
func TestNice(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		span := math.Pow(10, rapid.Float64Range(-6, 12).Draw(t, "power"))
		parts := rapid.IntRange(1, 12).Draw(t, "parts")
		step := nice(span, parts)
		if n := span / step; n > float64(parts)*(1+1e-6) || n < float64(parts)/2.5*(1-1e-6) {
			t.Fatalf("nice(%g, %d) = %g: %g parts", span, parts, step, n)
		}
		lead := step / math.Pow(10, math.Floor(math.Log10(step)+1e-9))
		if math.Abs(lead-1) > 1e-6 && math.Abs(lead-2) > 1e-6 && math.Abs(lead-5) > 1e-6 {
			t.Fatalf("nice(%g, %d) = %g", span, parts, step)
		}
		if top := roundUp(span, step); top < span*(1-1e-6) || top > span+step*(1+1e-6) {
			t.Fatalf("roundUp(%g, %g) = %g", span, step, top)
		}
	})
	if nice(0, 5) != 1 || nice(math.NaN(), 5) != 1 {
		t.Error("a span that is none wants a step all the same")
	}
}

// Whatever a text holds, it stays one string of the style sheet.
func TestCSSString(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := cssString(rapid.String().Draw(t, "text"))
		inner := strings.TrimSuffix(strings.TrimPrefix(s, `"`), `"`)
		if len(s) < 2 || strings.ContainsAny(inner, "\"<>{};\n\r()/*") {
			t.Fatalf("%q", s)
		}
	})
	if got, want := cssString(`a"b</style>`), `"a\000022b\00003c\00002fstyle\00003e"`; got != want {
		t.Errorf("got %s, want %s", got, want)
	}
}

// What is shortened fits, and what fits is left alone; what is wrapped has no more lines than asked, and loses nothing when it fits.
func TestShortenAndWrap(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := rapid.StringMatching(`[a-zA-ZäöüßéÀ漢 ,-]{0,60}`).Draw(t, "text")
		most := rapid.Float64Range(20, 400).Draw(t, "most")
		got := shorten(s, most, sizeText)
		if width(got, sizeText) > most && len([]rune(got)) > 2 {
			t.Fatalf("shorten(%q, %g) = %q, %g wide", s, most, got, width(got, sizeText))
		}
		if width(s, sizeText) <= most && got != s {
			t.Fatalf("shorten(%q, %g) = %q, but it fits", s, most, got)
		}
		lines := wrap(s, most, sizeText, 3)
		if len(lines) > 3 {
			t.Fatalf("wrap(%q) has %d lines", s, len(lines))
		}
	})
	if got := wrap("switch-disconnector", 70, sizeSmall, 2); len(got) != 2 || got[0] != "switch-" || got[1] != "disconnector" {
		t.Errorf("a hyphen is a place to break at: %q", got)
	}
}

// Labels find room beside their marks as long as there is any.
func TestPlace(t *testing.T) {
	area := plotArea{x: scale{from: 40, to: 600}, y: scale{from: 300, to: 20}}
	var taken []box
	for range 10 {
		b, _, ok := place(taken, 200, 150, 90, area)
		if !ok {
			t.Fatalf("no room beside %d labels", len(taken))
		}
		for _, other := range taken {
			if b.meets(other) {
				t.Fatalf("%v lies on %v", b, other)
			}
		}
		taken = append(taken, b)
	}
	if _, _, ok := place([]box{{0, 0, 700, 400}}, 200, 150, 90, area); ok {
		t.Error("there is room where everything is taken")
	}
}

// The rows of a bank that are drawn: all of a few, of many the first and the last.
func TestShown(t *testing.T) {
	check := func(n int, want ...int) {
		t.Helper()
		got := shown(n, 4)
		if len(got) != len(want) {
			t.Fatalf("shown(%d) = %v, want %v", n, got, want)
		}
		for i := range got {
			if got[i] != want[i] {
				t.Errorf("shown(%d) = %v, want %v", n, got, want)
			}
		}
	}
	check(1, 0)
	check(4, 0, 1, 2, 3)
	check(5, 0, 1, -1, 4) // 2 and 3 are left out
	check(24, 0, 1, -1, 23)
}

// Supplies by the names that they go by: 230/400 V, not 230/398 V.
func TestBetweenLines(t *testing.T) {
	for v, want := range map[float64]float64{230: 400, 240: 415, 220: 380, 127: 220, 120: 208, 277: 480} {
		if got := betweenLines(v); got != want {
			t.Errorf("betweenLines(%g) = %g, want %g", v, got, want)
		}
	}
	if got := betweenLines(100); math.Abs(got-173.2) > 0.05 {
		t.Errorf("betweenLines(100) = %g: a voltage without a name is worked out", got)
	}
}
