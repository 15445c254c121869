package main

import (
	"bytes"
	"fmt"
	"os"
	"regexp"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
)

// pictureFile is the drawing of the papers that the README shows, below testdata/golden.
const pictureFile = "six-lines-diagram.svg"

// TestReadmePicture: the picture of the README is what the program draws, with as much of the style of the papers as it
// needs to stand alone.
func TestReadmePicture(t *testing.T) {
	var out, errw bytes.Buffer
	if status := run([]string{"report", "../../testdata/sites/six-lines.toml"}, strings.NewReader(""), &out,
		&errw); status != 0 {
		t.Fatalf("status %d, %s", status, errw.String())
	}
	page := out.String()
	svg := regexp.MustCompile(`(?s)<svg[^>]* aria-labelledby="fig-line-w-t fig-line-w-d".*?</svg>`).FindString(page)
	style := regexp.MustCompile(`(?s)<style>(.*?)</style>`).FindStringSubmatch(page)
	if svg == "" || style == nil {
		t.Fatal("the papers have no single-line diagram, or no style")
	}
	classes := map[string]bool{}
	for _, m := range regexp.MustCompile(`class="([^"]*)"`).FindAllStringSubmatch(svg, -1) {
		for _, class := range strings.Fields(m[1]) {
			classes[class] = true
		}
	}
	rule := regexp.MustCompile(`^(?::root|\.([\w-]+)[^,{]*) \{.*\}$`)
	var kept []string
	for line := range strings.Lines(style[1]) {
		line = strings.TrimSpace(line)
		if m := rule.FindStringSubmatch(line); m != nil && (m[1] == "" || classes[m[1]]) {
			kept = append(kept, line)
		}
	}
	if len(kept) < 10 {
		t.Errorf("only %d rules of the style suit the drawing", len(kept))
	}
	begin := strings.Index(svg, ">") + 1
	picture := fmt.Sprintf("%s\n<style>\nsvg { font-family: \"Liberation Sans\", Arial, sans-serif; }\n%s\n</style>\n"+
		"<rect width=\"100%%\" height=\"100%%\" fill=\"#fff\"/>%s\n",
		svg[:begin], strings.Join(kept, "\n"), svg[begin:])
	if !strings.Contains(svg[:begin], "xmlns=") {
		picture = strings.Replace(picture, "<svg ", `<svg xmlns="http://www.w3.org/2000/svg" `, 1)
	}
	if len(picture) > 40_000 {
		t.Errorf("the picture has %d bytes, want a small one", len(picture))
	}
	golden(t, pictureFile, picture)
}

// TestReadmeSite: the six lines that the README shows are the file that it plans.
func TestReadmeSite(t *testing.T) {
	page, err := os.ReadFile("../../README.md")
	if err != nil {
		t.Fatal(err)
	}
	src, err := os.ReadFile("../../testdata/sites/six-lines.toml")
	if err != nil {
		t.Fatal(err)
	}
	block := regexp.MustCompile("(?s)```toml\n(.*?)```").FindSubmatch(page)
	if block == nil {
		t.Fatal("the README shows no site file")
	}
	bare := regexp.MustCompile(`(?m)^#.*\n|[ \t]+#.*$`).ReplaceAllString(string(src), "")
	if diff := cmp.Diff(strings.TrimSpace(bare), strings.TrimSpace(string(block[1]))); diff != "" {
		t.Errorf("the site file of the README (-file +README):\n%s", diff)
	}
}

// TestReadmeIsShort: what is longer stands where it is needed, in the pages of help.
func TestReadmeIsShort(t *testing.T) {
	page, err := os.ReadFile("../../README.md")
	if err != nil {
		t.Fatal(err)
	}
	if n := strings.Count(string(page), "\n"); n > 200 {
		t.Errorf("the README has %d lines, want 200 at most", n)
	}
	for _, m := range regexp.MustCompile(`\]\(([^)]+)\)`).FindAllSubmatch(page, -1) {
		if _, err := os.Stat("../../" + string(m[1])); err != nil {
			t.Errorf("the README points to what is not there: %v", err)
		}
	}
}
