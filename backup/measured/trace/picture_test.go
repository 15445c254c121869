package trace

import (
	"encoding/xml"
	"fmt"
	"io"
	"strings"
	"testing"

	"outlast/backup/measured/tabular"
)

// shapes counts the shapes of an SVG by their class, and refuses one that is no XML.
func shapes(t *testing.T, svg string) map[string]int {
	t.Helper()
	out := map[string]int{}
	d := xml.NewDecoder(strings.NewReader(svg))
	for {
		token, err := d.Token()
		if err == io.EOF {
			return out
		}
		if err != nil {
			t.Fatalf("%v in\n%s", err, svg)
		}
		if e, ok := token.(xml.StartElement); ok {
			for _, a := range e.Attr {
				if a.Name.Local == "class" {
					out[e.Name.Local+" "+a.Value]++
				}
			}
		}
	}
}

// TestPicture: two times on with a start each, a gap between, and a reading below 0 are all to be seen, the doubtful
// ones with the numbers of the list; what the user wrote is text.
func TestPicture(t *testing.T) {
	var b strings.Builder
	b.WriteString("time s,power W\n")
	for s := range 2400 {
		w := 1.0
		switch {
		case s >= 900 && s < 1200:
			continue // the gap
		case s == 300 || s == 1500:
			w = 900
		case s > 300 && s < 700 || s > 1500 && s < 1900:
			w = 150
		case s == 2000:
			w = -40
		}
		fmt.Fprintf(&b, "%d,%g\n", s, w)
	}
	table, err := tabular.Open("log.csv", strings.NewReader(b.String()), tabular.Options{})
	if err != nil {
		t.Fatal(err)
	}
	tr, err := Read(table, Options{})
	if err != nil {
		t.Fatal(err)
	}
	l := tr.Load()
	svg := l.SVG(`<script>"&' pump`, nil)
	got := shapes(t, svg)
	const inLegend = 1
	if got["path start"] != 2+inLegend || got["rect on"] != 2+inLegend || got["rect doubt"] != 2+inLegend ||
		got["circle mark"] != 2 || got["path mean"] != 1 || got["path most"] != 1 {
		t.Errorf("shapes %v in\n%s", got, svg)
	}
	if strings.Contains(svg, "<script>") || !strings.Contains(svg, "&lt;script&gt;") {
		t.Error("the name is not text")
	}
	for i := range l.Doubts {
		if !strings.Contains(svg, fmt.Sprintf(">%d</text>", i+1)) {
			t.Errorf("doubt %d is not in the list", i+1)
		}
	}
	// The curve has two parts: nothing is drawn across the gap.
	_, area, _ := strings.Cut(svg, `<path class="mean" d="`)
	area, _, _ = strings.Cut(area, `"`)
	if n := strings.Count(area, "M"); n != 2 {
		t.Errorf("the curve has %d parts, want 2", n)
	}
	if again := tr.Load().SVG(`<script>"&' pump`, nil); again != svg {
		t.Error("the same trace is drawn in two ways")
	}
}

// TestPictureOfAnything: a log that is hardly ever on, of one level, or of three readings is drawn too.
func TestPictureOfAnything(t *testing.T) {
	for _, text := range []string{"time s,power W\n0,0\n1,0\n2,1\n", "time s,power W\n0,5\n1,5\n2,5\n",
		"time s,power W\n0,0\n0,0\n0,1e6\n", "time h,power W\n0,0\n1,100\n700,0\n"} {
		table, err := tabular.Open("log.csv", strings.NewReader(text), tabular.Options{})
		if err != nil {
			t.Fatal(err)
		}
		tr, err := Read(table, Options{})
		if err != nil {
			t.Fatal(err)
		}
		svg := tr.Load().SVG("Logged", nil)
		shapes(t, svg)
		if strings.Contains(svg, "NaN") || strings.Contains(svg, "Inf") {
			t.Errorf("%q: a coordinate is no number in\n%s", text, svg)
		}
	}
}
