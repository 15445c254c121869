package main

import (
	"bytes"
	"context"
	"errors"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"outlast/cmd/outlast/files"
)

// goldenSizes are the commands whose output is held, by the name of the file below testdata/golden.
var goldenSizes = map[string][]string{
	"size-farmhouse-80.txt":     {"size", "--width", "80", "farmhouse"},
	"size-farmhouse-120.txt":    {"size", "--width", "120", "farmhouse"},
	"size-farmhouse.md":         {"size", "--format", "markdown", "--top", "5", "farmhouse"},
	"size-cottage-hours-80.txt": {"size", "--width", "80", "--autonomy", "12,24,48", "--top", "4", "cottage"},
	"size-split-phase.csv":      {"size", "--format", "csv", "--top", "4", "split-phase"},
	"moves-farmhouse-80.txt":    {"plan", "--width", "80", "--sensitivity", "--hours-wished", "24", "farmhouse"},
	"moves-farmhouse-120.txt":   {"plan", "--width", "120", "--sensitivity", "--hours-wished", "24", "farmhouse"},
}

func TestGoldenSizes(t *testing.T) {
	for name, args := range goldenSizes {
		t.Run(name, func(t *testing.T) {
			home := args[len(args)-1]
			args := append(append([]string{}, args[:len(args)-1]...), "../../testdata/sites/"+home+".toml")
			var out, errw bytes.Buffer
			if status := run(args, strings.NewReader(""), &out, &errw); status != 0 || errw.Len() > 0 {
				t.Fatalf("status %d, stderr %q", status, errw.String())
			}
			golden(t, name, out.String())
			if i := strings.Index(name, "-80."); i >= 0 {
				checkFit(t, home, 80, out.String())
			}
			if i := strings.Index(name, "-120."); i >= 0 {
				checkFit(t, home, 120, out.String())
			}
		})
	}
}

// TestSizeStopped: an interrupted search says so, ends with 130, and leaves the output file as it was.
func TestSizeStopped(t *testing.T) {
	path := filepath.Join(t.TempDir(), "out.txt")
	if err := os.WriteFile(path, []byte("before"), 0o644); err != nil {
		t.Fatal(err)
	}
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	var out, errw bytes.Buffer
	o := sizeOptions{format: "text", top: defaultTop, maxCount: 1, output: files.Output{Path: path}}
	err := runSize(ctx, strings.NewReader(""), &out, &errw, "../../testdata/sites/town-flat.toml", o)
	if !errors.Is(err, context.Canceled) {
		t.Fatalf("%v, want it stopped", err)
	}
	if status := complain(&errw, newRoot(), err); status != exitStopped ||
		errw.String() != "outlast: stopped, nothing was written\n" {
		t.Errorf("status %d, stderr %q", status, errw.String())
	}
	if src, err := os.ReadFile(path); err != nil || string(src) != "before" || out.Len() > 0 {
		t.Errorf("the file holds %q (%v), stdout %q", src, err, out.String())
	}
}
