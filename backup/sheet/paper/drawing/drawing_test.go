package drawing

import (
	"math"
	"testing"

	"outlast/backup/sheet/paper/doc"

	"pgregory.net/rapid"
)

// The step of an axis is 1, 2 or 5 times a power of ten, cuts the span into no more parts than asked, and half as many
// at least.
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

// What is shortened fits, and what fits is left alone; what is wrapped has no more lines than asked, and loses nothing
// when it fits.
func TestShortenAndWrap(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := rapid.StringMatching(`[a-zA-ZäöüßéÀ漢 ,-]{0,60}`).Draw(t, "text")
		most := rapid.Float64Range(20, 400).Draw(t, "most")
		got := doc.Shorten(s, most, sizeText)
		if doc.Width(got, sizeText) > most && len([]rune(got)) > 2 {
			t.Fatalf("shorten(%q, %g) = %q, %g wide", s, most, got, doc.Width(got, sizeText))
		}
		if doc.Width(s, sizeText) <= most && got != s {
			t.Fatalf("shorten(%q, %g) = %q, but it fits", s, most, got)
		}
		lines := wrap(s, most, sizeText, 3)
		if len(lines) > 3 {
			t.Fatalf("wrap(%q) has %d lines", s, len(lines))
		}
	})
	if got := wrap("switch-disconnector", 70, sizeSmall, 2); len(got) != 2 || got[0] != "switch-" ||
		got[1] != "disconnector" {
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
