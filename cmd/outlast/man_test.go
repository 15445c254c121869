package main

import (
	"bytes"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/spf13/pflag"

	"outlast/cmd/outlast/manual"
)

// TestManual: every command that is listed has a page with all of its flags, every topic has one, and equal builds have
// equal pages.
func TestManual(t *testing.T) {
	date := time.Date(2026, 5, 4, 0, 0, 0, 0, time.UTC)
	pages, err := manual.ManPages(newRoot(), version, date)
	if err != nil {
		t.Fatal(err)
	}
	text := map[string]string{}
	for _, p := range pages {
		text[p.File] = string(p.Text)
		if !strings.Contains(string(p.Text), ".TH") || !strings.Contains(string(p.Text), "May 2026") {
			t.Errorf("%s has no head, or not the date of the build:\n%.200s", p.File, p.Text)
		}
	}
	root := newRoot()
	for _, c := range root.Commands() {
		page := strings.ReplaceAll(text["outlast-"+c.Name()+".1"], `\-`, "-")
		if c.Hidden != (page == "") {
			t.Errorf("%s: listed %v, page %.80q", c.Name(), !c.Hidden, page)
			continue
		}
		c.LocalFlags().VisitAll(func(f *pflag.Flag) {
			if page != "" && !strings.Contains(page, "--"+f.Name) {
				t.Errorf("%s: --%s is not on its page", c.Name(), f.Name)
			}
		})
	}
	for _, topic := range manual.Topics {
		if len(text["outlast-"+topic+".7"]) < 500 {
			t.Errorf("%s has no page", topic)
		}
	}
	// A list stands line by line; a paragraph does not.
	if schema := text["outlast-schema.1"]; !strings.Contains(schema, "\n  catalog ") ||
		strings.Contains(schema, "\n  The ") {
		t.Errorf("the list of schemas is no list:\n%s", schema)
	}
	again, err := manual.ManPages(newRoot(), version, date)
	if err != nil || len(again) != len(pages) {
		t.Fatalf("%d pages and %d (%v)", len(pages), len(again), err)
	}
	for i := range again {
		if !bytes.Equal(again[i].Text, pages[i].Text) {
			t.Errorf("%s comes out otherwise a second time", pages[i].File)
		}
	}
}

// TestManualSpares: a page that is there stays, and then none is written.
func TestManualSpares(t *testing.T) {
	folder := filepath.Join(t.TempDir(), "new", "man")
	if err := manual.WriteManPages(folder, newRoot(), version, time.Time{}); err != nil {
		t.Fatal(err)
	}
	last := filepath.Join(folder, "outlast.1")
	if err := os.WriteFile(last, []byte("mine"), 0o600); err != nil {
		t.Fatal(err)
	}
	first := filepath.Join(folder, "outlast-catalog.1")
	if err := os.Remove(first); err != nil {
		t.Fatal(err)
	}
	var out, errw bytes.Buffer
	if status := run([]string{"man", folder}, strings.NewReader(""), &out, &errw); status != 2 ||
		!strings.Contains(errw.String(), "is there already and is left as it is") {
		t.Errorf("status %d, %q", status, errw.String())
	}
	if kept, err := os.ReadFile(last); err != nil || string(kept) != "mine" {
		t.Errorf("the page that was there: %q (%v)", kept, err)
	}
	if _, err := os.Stat(first); err == nil {
		t.Error("a page was written all the same")
	}
}
