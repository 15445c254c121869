package sheet

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"os"
	"strings"
	"testing"

	"outlast/backup"
	"outlast/backup/site"
	"outlast/backup/study"
	"outlast/catalog"
)

// A machine that someone depends on is the first thing that an outage tells, before what becomes of the board, and the
// first of its cautions, in text and in JSON.
func TestOutageNamesTheMedicalLoadFirst(t *testing.T) {
	src, err := os.ReadFile("../../testdata/tried/mill-lane-passes.toml")
	if err != nil {
		t.Fatal(err)
	}
	cat, err := catalog.Generic()
	if err != nil {
		t.Fatal(err)
	}
	site, err := site.Read("mill-lane-passes.toml", src, cat)
	if err != nil {
		t.Fatal(err)
	}
	p, err := backup.NewPlan(context.Background(), site)
	if err != nil {
		t.Fatal(err)
	}
	follow := func(hours int, format string) string {
		run, err := study.RunOutage(t.Context(), p.Facts, study.OutageOptions{Hours: hours, EvenSpread: true})
		if err != nil {
			t.Fatal(err)
		}
		var b bytes.Buffer
		if err := WriteOutage(&b, run, Options{Format: format, Width: 200}); err != nil {
			t.Fatal(err)
		}
		return b.String()
	}
	text := follow(24, "text")
	const name = `"Oxygen concentrator"`
	if want := "Mill Lane house: " + name +
		", which someone depends on, loses power after 16.5 h, for 7.5 h in all\nBackup board: circuits lose power after 16.5 h"; !strings.HasPrefix(text, want) {
		t.Errorf("%.300s\nwant it to begin with\n%s", text, want)
	}
	if _, cautions, _ := strings.Cut(text, "\nCautions\n--------\n"); !strings.HasPrefix(cautions,
		"- Someone depends on "+name+", which loses power after 16:31 h") {
		t.Errorf("cautions begin with %.200s", cautions)
	}
	var v struct {
		Worst   bool `json:"worst_start"`
		Medical []struct {
			Load   string  `json:"load"`
			AfterH float64 `json:"after_h"`
		} `json:"medical"`
		UntilDarkH float64  `json:"until_dark_h"`
		Cautions   []string `json:"cautions"`
	}
	if err := json.Unmarshal([]byte(follow(24, "json")), &v); err != nil {
		t.Fatal(err)
	}
	if !v.Worst || len(v.Medical) != 1 || v.Medical[0].Load != "Oxygen concentrator" ||
		v.Medical[0].AfterH != v.UntilDarkH || !strings.Contains(v.Cautions[0], name) {
		t.Errorf("JSON: %+v", v)
	}
	if text := follow(12, "text"); !strings.HasPrefix(text, "Mill Lane house: no interruption in 12 h\n") ||
		strings.Contains(text, name) {
		t.Errorf("within what the bank lasts: %.300s", text)
	}
}

// Of an outage that depends on a draw the sheets say so, and what the other draws come to.
func TestOutageTellsItsDraws(t *testing.T) {
	p := home(t, "cottage")
	for _, tt := range []struct {
		what string
		o    study.OutageOptions
		want string // "": nothing is drawn
	}{
		{"sun and rhythms", study.OutageOptions{Hours: 240, Seed: 3, NoGenerator: true},
			"This is one simulated run of the days of sun and the cycles of the loads (seed 3). Of 20 runs"},
		{"sun", study.OutageOptions{Hours: 240, Seed: 3, NoGenerator: true, EvenSpread: true},
			"This is one simulated run of the days of sun (seed 3). Of 20 runs"},
		{"rhythms", study.OutageOptions{Hours: 24, Seed: 3, NoArray: true},
			"This is one simulated run of the cycles of the loads (seed 3). Of 20 runs"},
		{"nothing", study.OutageOptions{Hours: 24, Seed: 3, NoArray: true, EvenSpread: true}, ""},
	} {
		r, err := study.RunOutage(t.Context(), p.Facts, tt.o)
		if err != nil {
			t.Fatal(err)
		}
		draws, ok, err := study.DrawOutage(t.Context(), p.Facts, tt.o)
		if err != nil || ok != (tt.want != "") {
			t.Fatalf("%s: drawn %v, %v", tt.what, ok, err)
		}
		if ok {
			r.Draws = &draws
		}
		var text, data bytes.Buffer
		if err := errors.Join(WriteOutage(&text, r, Options{Width: 400}),
			WriteOutage(&data, r, Options{Format: "json"})); err != nil {
			t.Fatal(err)
		}
		if tt.want == "" && strings.Contains(text.String(), " draw") || !strings.Contains(text.String(), tt.want) {
			t.Errorf("%s: %.600s\nwant %q", tt.what, text.String(), tt.want)
		}
		var v struct {
			Draws *struct {
				Draws, Dark int
				UntilDarkH  struct{ P10, P50, P90 float64 } `json:"until_dark_h"`
			}
		}
		if err := json.Unmarshal(data.Bytes(), &v); err != nil {
			t.Fatal(err)
		}
		if ok != (v.Draws != nil) || ok && (v.Draws.Draws != 20 || v.Draws.Dark != draws.Dark ||
			v.Draws.UntilDarkH.P50 != draws.UntilDarkH.P50) {
			t.Errorf("%s: JSON tells %+v, want %+v", tt.what, v.Draws, draws)
		}
	}
}
