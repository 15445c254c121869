package main

import (
	"bytes"
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"
	"unicode/utf16"

	"github.com/xuri/excelize/v2"
	"golang.org/x/text/encoding/charmap"

	"outlast/backup/sheet/paper/words"
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

// A workbook is read as the same table in text is: a log, a meter file, and a list that comes from standard input. Its days
// are those that are kept, whatever order of day and month they are shown in.
func TestWorkbookIsReadLikeText(t *testing.T) {
	for _, c := range []struct {
		name    string
		args    []string
		formats []int // of the columns: 14 is month-day-year, 22 that with a time of day, 20 h:mm; 0 as it is
		head    []any
		rows    int
		row     func(i int) (cells []any, text string)
	}{
		{"trace", []string{"import", "trace"}, []int{20, 0}, []any{"Time", "Power (W)"}, 600,
			func(i int) ([]any, string) {
				w := 100 * (i / 60 % 2)
				return []any{float64(10*i) / 86400, w}, fmt.Sprintf("%02d:%02d:%02d,%d", i/360, i/6%60, i%6*10, w)
			}},
		{"meter", []string{"import", "meter"}, []int{22, 0}, []any{"Timestamp", "Energy (kWh)"}, 24 * 40,
			func(i int) ([]any, string) {
				at := time.Date(2025, 1, 1, i, 0, 0, 0, time.UTC)
				days := 45658 + float64(i)/24 // 1 January 2025
				return []any{days, float64(i*i%7) / 4}, fmt.Sprintf("%s,%g", at.Format("2006-01-02 15:04"), float64(i*i%7)/4)
			}},
		{"meter in two columns", []string{"import", "meter"}, []int{14, 20, 0}, []any{"Date", "Time", "kWh"}, 24 * 40,
			func(i int) ([]any, string) {
				at := time.Date(2025, 1, 1, i, 0, 0, 0, time.UTC)
				return []any{45658 + i/24, float64(i%24) / 24, i * i % 7},
					fmt.Sprintf("%s,%s,%d", at.Format("2006-01-02"), at.Format("15:04"), i*i%7)
			}},
		{"loads", []string{"import", "loads"}, nil, []any{"Load", "Running W", "Hours per day"}, 3,
			func(i int) ([]any, string) {
				return []any{fmt.Sprintf("Fan %d", i), 50 + i, 4}, fmt.Sprintf("Fan %d,%d,4", i, 50+i)
			}},
	} {
		book := excelize.NewFile()
		text := strings.Trim(strings.ReplaceAll(fmt.Sprintf("%q", c.head), "\" \"", "\",\""), "[]") + "\n"
		must := func(err error) {
			t.Helper()
			if err != nil {
				t.Fatalf("%s: %v", c.name, err)
			}
		}
		must(book.SetSheetRow("Sheet1", "A1", &c.head))
		for i := range c.rows {
			cells, line := c.row(i)
			text += line + "\n"
			must(book.SetSheetRow("Sheet1", fmt.Sprintf("A%d", i+2), &cells))
		}
		for i, format := range c.formats {
			if format == 0 {
				continue
			}
			style, err := book.NewStyle(&excelize.Style{NumFmt: format})
			must(err)
			col := string(rune('A' + i))
			must(book.SetCellStyle("Sheet1", col+"2", fmt.Sprintf("%s%d", col, c.rows+1), style))
		}
		var packed, want, got, errw bytes.Buffer
		must(book.Write(&packed))
		if status := run(append(c.args, "-"), strings.NewReader(text), &want, &errw); status != 0 {
			t.Fatalf("%s as text: exit status %d: %s\n%.300s", c.name, status, errw.String(), text)
		}
		if status := run(append(c.args, "-"), &packed, &got, &errw); status != 0 {
			t.Errorf("%s as a workbook: exit status %d: %s", c.name, status, errw.String())
			continue
		}
		if got.String() != want.String() {
			t.Errorf("%s: a workbook gives\n%.1500s\nand text\n%.1500s", c.name, got.String(), want.String())
		}
	}
}

// Whatever language a list is imported in, what is said of it has words there, and the home is the same; texts of the
// list stay as they are.
func TestImportLoadsInEveryLanguage(t *testing.T) {
	path := filepath.Join(t.TempDir(), "list.csv")
	list := "Appliance,Qty,W,Start,Hours,PF,Circuit,Notes,Bought\n" +
		"Kitchen:,,,,,,,,\n" +
		"Chest freezer,1,,,,,,,2019\n" +
		"2 x Kiln,,\"0,37 kW\",3x,18:00-22:00,,Shed,\"0,37 kW on the plate\",\n" +
		"Lathe,1,800 VA,,1,\"0,8\",,,\n" +
		"\"Well pump 1,1 kW\",1,,,\"0:30\",,,,\n" +
		"Saw,0,4 A 230 V,,1,,,,\n" +
		"Drill,1,4 A 230 V,,24/7,,,,\n" +
		"Total,,9999,,,,,,\n"
	if err := os.WriteFile(path, []byte(list), 0o600); err != nil {
		t.Fatal(err)
	}
	english := map[string]bool{}
	want := ""
	for _, lang := range words.Languages() {
		var out, errw bytes.Buffer
		if status := run([]string{"import", "loads", "--lang", lang, path}, strings.NewReader(""), &out, &errw); status != 0 {
			t.Fatalf("%s: exit status %d: %s", lang, status, errw.String())
		}
		home := withoutComments(out.String())
		if lang == "en" {
			want = strings.Replace(home, `name = "Home"`, "", 1)
			for line := range strings.Lines(errw.String()) {
				english[line] = true
			}
			for _, said := range []string{"not read: ", "taken for titles: ", "is left out", "does NOT agree", "loads of"} {
				if !strings.Contains(errw.String(), said) {
					t.Errorf("%q is not said: this test sees too little\n%s", said, errw.String())
				}
			}
			continue
		}
		for _, name := range []string{"Haus", "Casa", "Maison"} {
			home = strings.Replace(home, `name = "`+name+`"`, "", 1)
		}
		if home != want {
			t.Errorf("%s:\n%s\nwant\n%s", lang, home, want)
		}
		for line := range strings.Lines(errw.String()) {
			if english[line] {
				t.Errorf("%s: %q is English", lang, line)
			}
		}
		for _, word := range []string{"in the list", "assumed", "answered", "The list", "line ", "it gives", "power factor", "a day"} {
			if strings.Contains(out.String()+errw.String(), word) {
				t.Errorf("%s: %q stands in\n%s%s", lang, word, errw.String(), out.String())
			}
		}
		if !strings.Contains(strings.Join(strings.Fields(out.String()), " "), "0,37 kW on the plate") {
			t.Errorf("%s: a text of the list was changed:\n%s", lang, out.String())
		}
	}
}
