package main

import (
	"bytes"
	"encoding/json"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"unicode/utf16"

	"github.com/xuri/excelize/v2"
	"golang.org/x/text/encoding/charmap"
)

// imported runs import loads on a file, and gives what plan makes of the site file that comes out.
func imported(t *testing.T, path string, more ...string) (site string, d struct {
	Demand struct {
		ConnectedW float64 `json:"connected_w"`
		EnergyWh   float64 `json:"energy_wh_per_day"`
	}
	Surge struct {
		Load string
		W    float64
	}
}) {
	t.Helper()
	var out, errw bytes.Buffer
	if status := run(append([]string{"import", "loads", path}, more...), strings.NewReader(""), &out,
		&errw); status != 0 {
		t.Fatalf("%s: exit status %d: %s", path, status, errw.String())
	}
	site = out.String()
	out.Reset()
	if status := run([]string{"check", "-"}, strings.NewReader(site), &out, &errw); status != 0 {
		t.Fatalf("%s: %s\n%s", path, errw.String(), site)
	}
	out.Reset()
	run([]string{"plan", "--format", "json", "-"}, strings.NewReader(site), &out, &errw)
	if err := json.Unmarshal(out.Bytes(), &d); err != nil {
		t.Fatalf("%v: %s", err, out.String())
	}
	return site, d
}

// One list spelt in five ways: 1,454 W running, 3,813 Wh a day, 3,654 W while the pump starts and all else runs. The
// sums are those of the rows, by hand: 150+120+8*9+1100+12 W; 150*8+120*9.5+72*5+1100*0.75+12*24 Wh; 3300+354 W.
func TestImportLoadsInEverySpelling(t *testing.T) {
	files, err := filepath.Glob("../../testdata/lists/loads_*")
	if err != nil || len(files) != 5 {
		t.Fatal(files, err)
	}
	plain, err := os.ReadFile("../../testdata/lists/loads_semicolon_comma_bom.csv")
	if err != nil {
		t.Fatal(err)
	}
	text := strings.TrimPrefix(string(plain), "\ufeff")
	folder := t.TempDir()
	put := func(name string, b []byte) {
		path := filepath.Join(folder, name)
		if err := os.WriteFile(path, b, 0o644); err != nil {
			t.Fatal(err)
		}
		files = append(files, path)
	}
	put("cr.csv", []byte(strings.ReplaceAll(text, "\r\n", "\r")))
	var wide []byte
	for _, u := range utf16.Encode([]rune("\ufeff" + text)) {
		wide = append(wide, byte(u>>8), byte(u))
	}
	put("utf16be.csv", wide)
	old, err := charmap.Windows1252.NewEncoder().String(strings.ReplaceAll(text, "Kitchen fridge",
		"Kühlschrank der Küche – weiß"))
	if err != nil {
		t.Fatal(err)
	}
	put("windows1252.csv", []byte(old))
	book := excelize.NewFile()
	rows := [][]any{{"Load", "Qty", "Running W", "Starting W", "Hours per day"}, {"Kitchen fridge", 1, 150, 900, 8},
		{"Chest freezer", 1, 120, 800, 9.5},
		{"LED lights", 8, 9, 9, "5,0"}, {"Well pump", 1, "1.100", 3300, 0.75 / 24}, {"Router", 1, 12, 12, 24}}
	for i, row := range rows {
		if err := book.SetSheetRow("Sheet1", "B"+string(rune('3'+i)), &row); err != nil {
			t.Fatal(err)
		}
	}
	style, err := book.NewStyle(&excelize.Style{NumFmt: 20}) // h:mm
	if err == nil {
		err = book.SetCellStyle("Sheet1", "F7", "F7", style)
	}
	var b bytes.Buffer
	if err == nil {
		err = book.Write(&b)
	}
	if err != nil {
		t.Fatal(err)
	}
	put("loads.xlsx", b.Bytes())
	for _, path := range files {
		site, d := imported(t, path)
		if d.Demand.ConnectedW != 1454 || d.Demand.EnergyWh != 3813 || d.Surge.W != 3654 ||
			d.Surge.Load != "Well pump" {
			t.Errorf("%s: got %+v\n%s", path, d, site)
		}
		if strings.HasSuffix(path, "1252.csv") && !strings.Contains(site, `name = "Kühlschrank der Küche – weiß"`) {
			t.Errorf("%s: got %s", path, site)
		}
	}
}

func TestImportLoadsOfAGermanHouse(t *testing.T) {
	site, d := imported(t, "../../testdata/lists/house-de.csv", "--answer", "supply: 230", "--hours", "12")
	for _, want := range []string{`use = "chest-freezer"`, `use = "well-pump-1100w"`, "hours_per_day = 0.75",
		`when = ["17:00-22:00"]`, "running_w = 276", "starting_va = 2185", "autonomy_h = 12", `board = "main"`} {
		if !strings.Contains(site, want) {
			t.Errorf("%s is missing in\n%s", want, site)
		}
	}
	if d.Surge.Load != "Brunnenpumpe 1,1 kW" {
		t.Errorf("got %+v", d)
	}
}

func TestImportLoadsOfAHostileWorkbook(t *testing.T) {
	for name, src := range map[string]string{"empty": "", "text": "Load;W\n", "broken": "PK\x03\x04 and no more"} {
		path := filepath.Join(t.TempDir(), name+".xlsx")
		if err := os.WriteFile(path, []byte(src), 0o644); err != nil {
			t.Fatal(err)
		}
		var out, errw bytes.Buffer
		if status := run([]string{"import", "loads", path}, strings.NewReader(""), &out, &errw); status != 2 ||
			out.Len() > 0 || !strings.Contains(errw.String(), "cannot be read as a workbook") {
			t.Errorf("%s: exit status %d: %s%s", name, status, out.String(), errw.String())
		}
	}
}
