// Package samplehome is for tests only: the invented homes of testdata/sites, and how the languages of what is written
// of them are told apart.
package samplehome

import (
	"context"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"outlast/backup"
	"outlast/backup/site"
	"outlast/catalog"
)

// Files are the site files of all sample homes, wherever the test runs.
func Files(t testing.TB) []string {
	t.Helper()
	paths, err := filepath.Glob(filepath.Join(folder(t), "*.toml"))
	if err != nil || len(paths) < 6 {
		t.Fatalf("%d sample sites, %v", len(paths), err)
	}
	return paths
}

// Name is the name of a sample home by its file.
func Name(path string) string { return strings.TrimSuffix(filepath.Base(path), ".toml") }

// folder is where the homes are.
func folder(t testing.TB) string {
	t.Helper()
	for up := "."; len(up) < 40; up = filepath.Join("..", up) {
		if _, err := os.Stat(filepath.Join(up, "go.mod")); err == nil {
			return filepath.Join(up, "testdata", "sites")
		}
	}
	t.Fatal("no folder above has a go.mod")
	return ""
}

// Text is the site file of a home, with its path.
func Text(t testing.TB, name string) (path string, src []byte) {
	t.Helper()
	path = filepath.Join(folder(t), name+".toml")
	src, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	return path, src
}

// Site reads a home.
func Site(t testing.TB, name string) *site.Site {
	t.Helper()
	cat, err := catalog.Generic()
	if err != nil {
		t.Fatal(err)
	}
	path, src := Text(t, name)
	s, err := site.Read(path, src, cat)
	if err != nil {
		t.Fatal(err)
	}
	return s
}

// Plan plans a home, with its options.
func Plan(t testing.TB, name string) *backup.Plan {
	t.Helper()
	p, err := backup.NewPlan(context.Background(), Site(t, name)) // a plan works on for later tests
	if err != nil {
		t.Fatal(err)
	}
	return p
}

// Named are all texts of the user's and of the catalog in a plan, the longest first: they are of no language.
func Named(p *backup.Plan) []string {
	s := p.Site
	out := []string{s.Name, s.Inverter.ID, s.Inverter.Label, s.Unit.ID, s.Unit.Label}
	for _, c := range s.Circuits {
		out = append(out, c.ID, c.Label)
	}
	for _, l := range s.Loads {
		out = append(out, l.Name, l.Interlock)
		if l.Typical != nil {
			out = append(out, l.Typical.Class)
		}
	}
	for _, a := range s.Arrays {
		out = append(out, a.Module.ID, a.Module.Label, a.Weather)
	}
	if g := s.Generator; g != nil {
		out = append(out, g.ID, g.Label)
	}
	for _, o := range p.Options {
		out = append(append(out, o.Name), Named(o.Plan)...)
	}
	out = slices.DeleteFunc(out, func(s string) bool { return s == "" })
	slices.SortFunc(out, func(a, b string) int { return len(b) - len(a) })
	return slices.Compact(out)
}

// English finds words that only English has, of the languages of sheets and papers; more are words that only what the
// caller looks at cannot hold.
func English(more ...string) *regexp.Regexp {
	const words = `the|and|of|with|from|which|than|takes|gives|give|only|below|above|limit|memory|sheet|charge at|worst|voltage|` +
		`everything|between|while`
	return regexp.MustCompile(`(?i)\b(` + strings.Join(append([]string{words}, more...), "|") + `)\b`)
}
