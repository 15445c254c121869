package main

import (
	"bytes"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/santhosh-tekuri/jsonschema/v6"

	"outlast/backup/drawnhome"
	"outlast/catalog/strict/schematest"
	"outlast/cmd/outlast/manual"
)

// TestWhatIsPrintedIsOfItsSchema: what a command prints as JSON is what its schema tells, no key more, of the sample
// homes and of drawn ones; and one key taken out is missed.
func TestWhatIsPrintedIsOfItsSchema(t *testing.T) {
	folder := t.TempDir()
	sites, err := filepath.Glob("../../testdata/sites/*.toml")
	if err != nil || len(sites) == 0 {
		t.Fatalf("%d homes, %v", len(sites), err)
	}
	for seed := range uint64(4) {
		path := filepath.Join(folder, fmt.Sprintf("home-%d.toml", seed))
		if err := os.WriteFile(path, drawnhome.Draw(seed), 0o644); err != nil {
			t.Fatal(err)
		}
		sites = append(sites, path)
	}
	meter := filepath.Join(folder, "meter.csv")
	var readings strings.Builder
	readings.WriteString("Time;Energy (kWh)\n")
	for day := 1; day <= 9; day++ {
		for hour := range 24 {
			fmt.Fprintf(&readings, "2026-02-%02d %02d:00;0.4\n", day, hour)
		}
	}
	if err := os.WriteFile(meter, []byte(readings.String()), 0o644); err != nil {
		t.Fatal(err)
	}
	cottage := "../../testdata/sites/cottage.toml"
	ofHome := func(args ...string) (all [][]string) {
		for _, site := range sites {
			all = append(all, append(args[:len(args):len(args)], "--format", "json", site))
		}
		return all
	}
	for kind, commands := range map[string][][]string{
		"plan":    ofHome("plan"),
		"summary": {append([]string{"plan", "--summary", "--format", "json", "--change", "bank.strings=2"}, sites...)},
		"size":    ofHome("size", "--max-count", "1", "--top", "2"),
		"outage":  ofHome("outage"),
		"starts": append(ofHome("outage", "--every-start"), []string{"outage", "--every-start", "--format", "json",
			"--reserve", cottage}),
		"compare": {{"compare", "--format", "json", "--log", "../../testdata/logs/test.csv", cottage}},
		"meter":   {{"import", "meter", "--format", "json", meter}},
	} {
		t.Run(kind, func(t *testing.T) {
			schema := schematest.Closed(t, schemaNamed(t, kind))
			met := 0
			for _, args := range commands {
				var out, errw bytes.Buffer
				status := run(args, strings.NewReader(""), &out, &errw)
				if status == 2 && filepath.Dir(args[len(args)-1]) == folder && len(commands) > 1 {
					continue // a bank of the draw may not be one that can be sized
				}
				doc, err := jsonschema.UnmarshalJSON(&out)
				if status > 1 || err != nil {
					t.Errorf("%q: status %d, %v, %s", args, status, err, errw.String())
					continue
				}
				if err := schema.Validate(doc); err != nil {
					t.Errorf("%q: %v", args, err)
				}
				met++
				whole := doc.(map[string]any)
				delete(whole, "site")
				delete(whole, "homes")
				delete(whole, "file")
				if schema.Validate(whole) == nil {
					t.Errorf("%q: what it is about is taken out, and nobody misses it", args)
				}
			}
			if met == 0 || len(commands) > 1 && met < len(sites)-3 {
				t.Errorf("only %d of %d were printed", met, len(commands))
			}
		})
	}
}

func schemaNamed(t *testing.T, name string) map[string]any {
	t.Helper()
	for _, s := range manual.Schemas {
		if s.Name == name {
			return s.Of()
		}
	}
	t.Fatalf("there is no schema %q", name)
	return nil
}
