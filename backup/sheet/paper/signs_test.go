package paper

import (
	"bytes"
	"context"
	"html"
	"regexp"
	"strings"
	"testing"

	"outlast/backup/samplehome"
	"outlast/backup/sheet/paper/doc"
)

// tight is a word or a bracket directly before a colon or a semicolon that ends a piece of a sentence. Times, addresses
// and keys go on without a blank.
var tight = regexp.MustCompile(`[\pL)»%][:;]([\s*<|]|$)`)

// French has a blank before a colon and a semicolon, in what is translated as in what is put together.
func TestFrenchSignsHaveTheirBlank(t *testing.T) {
	seen := 0
	for _, home := range []string{"cottage", "clinic"} {
		r := reportOn(t, home, "fr")
		d, err := New(context.Background(), r.Plan, Options{Lang: "fr", Annex: true, Source: home + ".toml"})
		if err != nil {
			t.Fatal(err)
		}
		for _, format := range doc.Formats() {
			var b bytes.Buffer
			if err := d.Write(&b, format); err != nil {
				t.Fatal(err)
			}
			text := b.String()
			if i := strings.Index(text, "<body"); i >= 0 {
				text = text[i:] // before it are rules of style
			}
			text = withoutCut(html.UnescapeString(text))
			for _, n := range samplehome.Named(r.Plan) {
				text = strings.ReplaceAll(text, n, "")
			}
			seen += strings.Count(text, "\u00a0: ") + strings.Count(text, "\u00a0; ")
			for _, at := range tight.FindAllStringIndex(text, -1) {
				t.Errorf("%s, %s: no blank before the sign: %q", home, format, text[max(0, at[0]-60):min(len(text), at[1]+30)])
			}
		}
	}
	if seen < 200 {
		t.Errorf("%d signs with their blank: this test sees too few", seen)
	}
}
