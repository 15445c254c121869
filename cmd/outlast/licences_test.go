package main

import (
	"cmp"
	"fmt"
	"maps"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"outlast/cmd/outlast/manual"
)

// released are the systems that releases are built for, as the script has them.
func released(t *testing.T) []string {
	t.Helper()
	script, err := os.ReadFile("../../.ci/release")
	if err != nil {
		t.Fatal(err)
	}
	found := regexp.MustCompile(`(?m)^targets=\((.*)\)$`).FindSubmatch(script)
	if found == nil {
		t.Fatal("the script names no systems")
	}
	return strings.Fields(string(found[1]))
}

// A library is a module that is linked into the program, with the files of its licence.
type library struct {
	name, version string
	files         map[string]string // text by path within the module
}

var licenceFile = regexp.MustCompile(`(?i)^(licen[cs]e|copying|notice|patents)([.-].*)?$`)

// linked are the modules of what is linked on any of the systems, and Go itself. Licences that hold for a part of a
// module stand in its folder.
func linked(t *testing.T) []library {
	t.Helper()
	where, err := exec.Command("go", "env", "GOROOT").Output()
	if err != nil {
		t.Fatal(err)
	}
	root := strings.TrimSpace(string(where))
	found := map[string]library{"Go": {"Go", "", licencesIn(t, root, root)}}
	for _, system := range released(t) {
		goos, goarch, _ := strings.Cut(system, "/")
		list := exec.Command("go", "list", "-deps", "-f",
			"{{with .Module}}{{if not .Main}}{{.Path}}\t{{.Version}}\t{{.Dir}}\t{{$.Dir}}{{end}}{{end}}", ".")
		list.Env = append(os.Environ(), "GOOS="+goos, "GOARCH="+goarch, "CGO_ENABLED=0")
		out, err := list.Output()
		if err != nil {
			t.Fatalf("%s: %v", system, err)
		}
		for line := range strings.Lines(string(out)) {
			part := strings.Split(strings.TrimSpace(line), "\t")
			if len(part) != 4 {
				continue // Go's own
			}
			m := found[part[0]]
			if m.name == "" {
				m = library{part[0], part[1], map[string]string{}}
			}
			maps.Copy(m.files, licencesIn(t, part[2], part[3]))
			found[part[0]] = m
		}
	}
	return slices.SortedFunc(maps.Values(found), func(a, b library) int { return cmp.Compare(a.name, b.name) })
}

// licencesIn are the texts of licences in a folder of a module, and in those above it.
func licencesIn(t *testing.T, root, dir string) map[string]string {
	t.Helper()
	files := map[string]string{}
	for {
		entries, err := os.ReadDir(dir)
		if err != nil {
			t.Fatal(err)
		}
		for _, e := range entries {
			if e.Type().IsRegular() && licenceFile.MatchString(e.Name()) && !strings.HasSuffix(e.Name(), ".go") {
				text, err := os.ReadFile(filepath.Join(dir, e.Name()))
				if err != nil {
					t.Fatal(err)
				}
				name, _ := filepath.Rel(root, filepath.Join(dir, e.Name()))
				files[filepath.ToSlash(name)] = strings.ReplaceAll(string(text), "\r\n", "\n")
			}
		}
		if dir == root {
			return files
		}
		dir = filepath.Dir(dir)
	}
}

// kind is the SPDX identifier of a text of a licence; "" where it is none that is known.
func kind(text string) string {
	text = strings.Join(strings.Fields(text), " ")
	var kinds []string
	for _, k := range []struct {
		id    string
		marks []string
		not   string
	}{
		{"Apache-2.0", []string{"Apache License", "Version 2.0"}, ""},
		{"MIT", []string{"Permission is hereby granted, free of charge"}, ""},
		{"ISC", []string{"Permission to use, copy, modify, and/or distribute"}, ""},
		{"BSD-3-Clause", []string{"Redistribution and use in source and binary forms", "either the name of"}, ""},
		{"BSD-2-Clause", []string{"Redistribution and use in source and binary forms"}, "either the name of"},
		{"MPL-2.0", []string{"Mozilla Public License", "2.0"}, ""},
	} {
		if (k.not == "" || !strings.Contains(text, k.not)) && !slices.ContainsFunc(k.marks,
			func(mark string) bool { return !strings.Contains(text, mark) }) {
			kinds = append(kinds, k.id)
		}
	}
	return strings.Join(kinds, " AND ")
}

// TestLicences: the list holds every library that is linked on some system, with its version, the kind of its licence
// and its text, and no other.
func TestLicences(t *testing.T) {
	var list, texts strings.Builder
	list.WriteString("Libraries in outlast, on one system or another, and the kinds of their licences (SPDX)\n\n")
	permitted := []string{"Apache-2.0", "MIT", "ISC", "BSD-2-Clause", "BSD-3-Clause"}
	for _, m := range linked(t) {
		var kinds []string
		for _, name := range slices.Sorted(maps.Keys(m.files)) {
			text := m.files[name]
			fmt.Fprintf(&texts, "\n==== %s: %s ====\n\n%s\n", strings.TrimSpace(m.name+" "+m.version), name,
				strings.TrimSpace(text))
			k := kind(text)
			if k == "" && !regexp.MustCompile(`(?i)^(notice|patents)`).MatchString(filepath.Base(name)) {
				t.Errorf("%s: nobody knows what kind of licence %s is", m.name, name)
			}
			for _, one := range strings.Split(k, " AND ") {
				if one != "" && !slices.Contains(kinds, one) {
					kinds = append(kinds, one)
				}
			}
		}
		if len(kinds) == 0 {
			t.Errorf("%s has no licence", m.name)
		}
		for _, k := range kinds {
			if !slices.Contains(permitted, k) {
				t.Errorf("%s is under %s: may it be linked?", m.name, k)
			}
		}
		version := m.version
		if m.name == "Go" {
			version = "as told by outlast --version"
		}
		fmt.Fprintf(&list, "%s %s: %s\n", m.name, version, strings.Join(kinds, " AND "))
	}
	want := list.String() + manual.BelowList + texts.String()
	if *update && !t.Failed() {
		if err := os.WriteFile("manual/licences.txt", []byte(want), 0o600); err != nil {
			t.Fatal(err)
		}
		return
	}
	if manual.Licences != want {
		t.Error("manual/licences.txt is not what is linked: go test ./cmd/outlast -run TestLicences -update")
	}
}
