package paper_test

import (
	"encoding/xml"
	"errors"
	"flag"
	"io"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"outlast/backup/sheet/paper"
)

// An element of a page, with what a reader's program goes by.
type element struct {
	name  string
	attrs map[string]string
	above []string // the names of the elements around it, the outermost first
}

// elements reads a page as a forgiving XML reader does: HTML leaves its empty elements open.
func elements(t *testing.T, page string) (out []element) {
	t.Helper()
	d := xml.NewDecoder(strings.NewReader(page))
	d.Strict, d.AutoClose, d.Entity = false, xml.HTMLAutoClose, xml.HTMLEntity
	var open []string
	for {
		tok, err := d.Token()
		if errors.Is(err, io.EOF) {
			return out
		}
		if err != nil {
			t.Fatalf("the page cannot be read: %v", err)
		}
		switch tok := tok.(type) {
		case xml.StartElement:
			e := element{name: tok.Name.Local, attrs: map[string]string{}, above: append([]string(nil), open...)}
			for _, a := range tok.Attr {
				e.attrs[a.Name.Local] = a.Value
			}
			out = append(out, e)
			open = append(open, e.name)
		case xml.EndElement:
			open = open[:len(open)-1]
		}
	}
}

// TestStructure holds what the page is made of: headings that never skip a level, ids that are there once, links and
// labels that lead to one of them, tables with a caption and heads for their columns, and nothing that loads, runs or
// leads away. What it says is held in Markdown.
func TestStructure(t *testing.T) {
	for _, home := range homes {
		p := planOf(t, home)
		all := elements(t, write(t, p, paper.Options{Date: "2026-05-04", Annex: true}))
		ids, counts := map[string]int{}, map[string]int{}
		level := 0
		for _, e := range all {
			counts[e.name]++
			if id, ok := e.attrs["id"]; ok {
				ids[id]++
			}
			if len(e.name) == 2 && e.name[0] == 'h' && e.name[1] >= '1' && e.name[1] <= '6' {
				if now := int(e.name[1] - '0'); now > level+1 {
					t.Errorf("%s: a heading h%d follows h%d", home, now, level)
				} else {
					level = now
				}
			}
			switch e.name {
			case "script", "img", "link", "iframe", "object", "form", "input", "use", "image":
				t.Errorf("%s: the page has the element %s", home, e.name)
			case "th":
				if e.attrs["scope"] == "" {
					t.Errorf("%s: a head of a table without a scope", home)
				}
			}
			for name := range e.attrs {
				if strings.HasPrefix(name, "on") || name == "src" || name == "style" {
					t.Errorf("%s: %s has the attribute %s", home, e.name, name)
				}
			}
		}
		for id, n := range ids {
			if n != 1 {
				t.Errorf("%s: the id %q is there %d times", home, id, n)
			}
		}
		for _, e := range all {
			for _, id := range strings.Fields(e.attrs["aria-labelledby"] + " " +
				strings.TrimPrefix(e.attrs["href"], "#")) {
				if ids[id] != 1 {
					t.Errorf("%s: %s leads to %q, which is not there", home, e.name, id)
				}
			}
			if href := e.attrs["href"]; href != "" && !strings.HasPrefix(href, "#") {
				t.Errorf("%s: a link leads away: %q", home, href)
			}
		}
		if counts["h1"] != 1 || counts["article"] != 4 || counts["main"] != 1 || counts["table"] != counts["caption"] ||
			counts["svg"] != counts["desc"] || counts["svg"] == 0 {
			t.Errorf("%s: the page is made of %v", home, counts)
		}
	}
}

// drawingsHeld are drawings that are read by eye, one element a line, in testdata/golden.
var drawingsHeld = map[string][]string{"farmhouse": {"line-w", "day-w", "charge-w", "limits-n"},
	"clinic": {"bank-w", "starts-w"}}

var oneDrawing = regexp.MustCompile(`(?s)<svg [^>]*aria-labelledby="fig-(\S+)-t .*?</svg>`)

// TestDrawingsHeld compares single drawings with what was looked at.
func TestDrawingsHeld(t *testing.T) {
	for home, names := range drawingsHeld {
		page := write(t, planOf(t, home), paper.Options{})
		found := map[string]string{}
		for _, m := range oneDrawing.FindAllStringSubmatch(page, -1) {
			found[m[1]] = strings.ReplaceAll(m[0], "><", ">\n<") + "\n"
		}
		for _, name := range names {
			path := filepath.Join("testdata/golden", home+"-"+name+".svg")
			got, ok := found[name]
			if !ok {
				t.Errorf("%s has no drawing %q", home, name)
				continue
			}
			if flag.Lookup("update").Value.String() == "true" { // defined beside the tests of the package
				if err := os.WriteFile(path, []byte(got), 0o644); err != nil {
					t.Fatal(err)
				}
			}
			if want, err := os.ReadFile(path); err != nil || got != string(want) {
				t.Errorf("%s differs from what is drawn now (%v); look at it and run with -update", path, err)
			}
		}
	}
}
