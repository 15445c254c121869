package sheet

import (
	"bytes"
	"context"
	"encoding/json"
	"os"
	"strings"
	"testing"

	"outlast/backup"
	"outlast/catalog"
)

// A machine that someone depends on is the first thing that an outage tells, before what becomes of the board, and the first of its cautions,
// in text and in JSON.
func TestOutageNamesTheMedicalLoadFirst(t *testing.T) {
	src, err := os.ReadFile("../../testdata/tried/mill-lane-passes.toml")
	if err != nil {
		t.Fatal(err)
	}
	cat, err := catalog.Generic()
	if err != nil {
		t.Fatal(err)
	}
	site, err := backup.ReadSite("mill-lane-passes.toml", src, cat)
	if err != nil {
		t.Fatal(err)
	}
	p, err := backup.NewPlan(context.Background(), site)
	if err != nil {
		t.Fatal(err)
	}
	follow := func(hours int, format string) string {
		run, err := p.RunOutage(t.Context(), backup.OutageOptions{Hours: hours, EvenSpread: true})
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
	if want := "Mill Lane house: " + name + ", which someone depends on, loses power after 16.5 h, for 7.5 h in all\nBackup board: something goes dark after 16.5 h"; !strings.HasPrefix(text, want) {
		t.Errorf("%.300s\nwant it to begin with\n%s", text, want)
	}
	if _, cautions, _ := strings.Cut(text, "\nCautions\n--------\n"); !strings.HasPrefix(cautions, "- Someone depends on "+name+", which loses power after 16:31 h") {
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
	if !v.Worst || len(v.Medical) != 1 || v.Medical[0].Load != "Oxygen concentrator" || v.Medical[0].AfterH != v.UntilDarkH || !strings.Contains(v.Cautions[0], name) {
		t.Errorf("JSON: %+v", v)
	}
	if text := follow(12, "text"); !strings.HasPrefix(text, "Mill Lane house: nothing goes dark in 12 h\n") || strings.Contains(text, name) {
		t.Errorf("within what the bank lasts: %.300s", text)
	}
}
