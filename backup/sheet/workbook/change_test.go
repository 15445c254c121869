package workbook

import (
	"archive/zip"
	"bytes"
	"fmt"
	"io"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/xuri/excelize/v2"

	"outlast/backup"
	"outlast/backup/conductors"
	"outlast/backup/sheet/paper/words"
	"outlast/backup/sheet/workbook/book"
	"outlast/backup/sheet/workbook/course"
	"outlast/backup/verdict"
	"outlast/backup/wiring"
)

// A change of a home: in its site file, and in its workbook.
type change struct {
	site, what        string
	after, from, into string // in the site file: the first such text behind another
	set               func(t *testing.T, r read)
	more              []change // changed with it: each workbook takes seconds, so what has little to do with each other goes together
}

func named(name string, x float64) func(t *testing.T, r read) {
	return func(t *testing.T, r read) { r.set(t, name, x) }
}

func ofLoad(load string, col int, x float64) func(t *testing.T, r read) {
	return func(t *testing.T, r read) {
		sheet, cell := r.ofLoad(t, load, col)
		r.put(t, sheet, cell, x)
	}
}

// window moves the beginning or the end of the first window of a load, to a time of the day in hours.
func window(load string, col int, h float64) func(t *testing.T, r read) {
	return func(t *testing.T, r read) {
		for row := course.FirstWindow; row < course.FirstWindow+4*course.MostLoads; row++ {
			if v, _ := r.CalcCellValue("Time windows", book.ColumnName(course.WhenLoad)+strconv.Itoa(row)); v == load {
				r.put(t, "Time windows", book.ColumnName(col)+strconv.Itoa(row), h/24)
				return
			}
		}
		t.Fatalf("no window of %q", load)
	}
}

var changes = []change{
	{"cottage", "watts of a load", `name = "Bore pump"`, "running_w = 1100", "running_w = 1650",
		ofLoad("Bore pump", course.LoadW, 1650), []change{
			{"cottage", "units of a load", `name = "LED lights"`, "quantity = 9", "quantity = 40",
				ofLoad("LED lights", course.LoadQuantity, 40), nil},
			{"cottage", "hours a day", `name = "Refrigerator"`, "hours_per_day = 8", "hours_per_day = 15",
				ofLoad("Refrigerator", course.LoadHours, 15), nil}}},
	{"cottage", "power factor of a load", `name = "Pressure pump"`, "power_factor = 0.80", "power_factor = 0.55",
		ofLoad("Pressure pump", course.LoadPF, 0.55), []change{
			{"cottage", "VA of a start", `name = "Bore pump"`, "starting_va = 5200", "starting_va = 9100",
				ofLoad("Bore pump", course.LoadStartVA, 9100), nil}}},
	{"cottage", "a load that is not held off any more", `name = "Electric kettle"`, "held_off = true",
		"held_off = false",
		ofLoad("Electric kettle", course.LoadHeldOff, 0), nil},
	{"cottage", "a window begins earlier", `name = "Bore pump"`, `"09:00-15:00"`, `"07:25-15:00"`,
		window("Bore pump", course.WhenFrom, 7+25./60), []change{
			{"cottage", "a window ends past midnight", `name = "Laptop"`, `"08:00-17:00"`, `"08:00-02:30"`,
				window("Laptop", course.WhenTo, 2.5), nil}}},
	{"cottage", "strings", `use = "flooded-2-1000"`, "strings = 1", "strings = 2", named("strings", 2), nil},
	{"cottage", "a colder shed", "", "coldest_c = 3 ", "coldest_c = -4 ", named("coldest_c", -4), nil},
	{"cottage", "a hotter inverter", "", "hottest_c = 38", "hottest_c = 49", named("hottest_c", 49), []change{
		{"cottage", "a rating of the inverter", "", "charger_a = 55", "rated_va = 5150\ncharger_a = 55",
			named("rated_va", 5150), nil}}},
	{"cottage", "autonomy", "", "autonomy_h = 24", "autonomy_h = 31.5", named("autonomy_h", 31.5), []change{
		{"cottage", "start of the outage", "", `start = "worst"`, `start = "17:10"`, named("outage_start", (17+10./60)/24), nil}}},
	{"cottage", "depth of discharge", "", "max_dod = 0.5", "max_dod = 0.7", named("practice_max_dod", 0.7), []change{
		{"cottage", "reserve", "", "reserve = 0.98", "reserve = 0.9", named("reserve", 0.9), nil}}},
	{"cottage", "margin", "", "margin = 0.10", "margin = 0.35", named("margin", 0.35), []change{
		{"cottage", "growth", "", "growth = 0.05", "growth = 0.4", named("growth", 0.4), nil},
		{"cottage", "age", "", "end_of_life = 0.80", "end_of_life = 0.6", named("end_of_life", 0.6), nil}}},
	{"cottage", "charger", "", "charger_a = 55", "charger_a = 30", named("charger_a", 30), nil},
	{"farmhouse", "strings of lithium", `use = "lfp-102-50"`, "strings = 3", "strings = 5", named("strings", 5), nil},
	{"farmhouse", "watts of an interlocked load", `name = "Stock water pump"`, "running_w = 1400", "running_w = 2900",
		ofLoad("Stock water pump", course.LoadW, 2900), []change{
			{"farmhouse", "modules in a string of one of two arrays", "", "modules_per_string = 14", "modules_per_string = 22",
				named("array_1_modules_per_string", 22), nil}}},
	{"farmhouse", "autonomy of lithium", "", "autonomy_h = 14 ", "autonomy_h = 26 ", named("autonomy_h", 26), nil},
	{"farmhouse", "a colder annexe", "", "coldest_c = 6 ", "coldest_c = -8 ", named("coldest_c", -8), nil},
	{"cottage", "equalising charge", "", "charger_a = 55", "equalises = false\ncharger_a = 55", named("equalises", 0), []change{
		{"cottage", "a larger opening", "", "vent_cm2 = 1600", "vent_cm2 = 3100", named("vent_cm2", 3100), nil}}},
	{"cottage", "a space so hot that more gas comes", "", "hottest_c = 38", "hottest_c = 47.5",
		named("hottest_c", 47.5), nil},
	{"cottage", "a module without a coefficient", `use = "mono-440"`, "modules_per_string = 8",
		"voc_pct_per_c = 0\nmodules_per_string = 8", named("array_1_voc_pct_per_c", 0), nil},
	{"cottage", "modules in a string", "", "modules_per_string = 8", "modules_per_string = 11",
		named("array_1_modules_per_string", 11), []change{
			{"cottage", "strings of modules", "modules_per_string = 8", "strings = 1", "strings = 3",
				named("array_1_strings", 3), nil}}},
	{"cottage", "a smaller generator", "", "rated_va = 6000 ", "rated_va = 3900 ", named("generator_rated_va", 3900), []change{
		{"cottage", "power factor of the generator", "rated_va = 6000", "power_factor = 0.8", "power_factor = 0.55",
			named("generator_power_factor", 0.55), nil}}},
	{"cottage", "a place so high that engines lose power", "", "altitude_m = 640", "altitude_m = 1900",
		named("altitude_m", 1900), nil},
	{"cottage", "a start so long that conductors take it for a load", `name = "Bore pump"`, "starting_s = 1.5",
		"starting_s = 400", ofLoad("Bore pump", course.LoadStartS, 400), nil},
	{"cottage", "a permitted drop", "", "margin = 0.10", "ac_drop = 0.027\nmargin = 0.10", named("ac_drop", 0.027), []change{
		{"cottage", "the factor between bank and inverter", "", "margin = 0.10", "dc_fuse_factor = 1.6\nmargin = 0.10",
			named("dc_fuse_factor", 1.6), nil}}},
	{"cottage", "a full board, another generator, a transfer that is too long", "", "ways = 8", "ways = 6", named("ways", 6),
		[]change{{after: "", from: "start_soc = 0.55 ", into: "start_soc = 0.3 ", set: named("start_soc", 0.3)},
			{after: "", from: "fuel_l = 40 ", into: "fuel_l = 95 ", set: named("fuel_l", 95)},
			{after: `name = "Satellite link and router"`, from: "rides_through_ms = 20", into: "rides_through_ms = 4",
				set: ofLoad("Satellite link and router", course.LoadRides, 4)},
			{after: "", from: "charger_a = 55", into: "chemistries = [\"lfp\"]\ncharger_a = 55", set: named("charges_it", 0)}}},
	{"farmhouse", "a larger generator of which nobody knows the fuel", "[generator]", "rated_va = 14000", "rated_va = 26500",
		named("generator_rated_va", 26500), []change{{after: "[generator]", from: "stop_soc = 0.85", into: "stop_soc = 0.27",
			set: named("stop_soc", 0.27)}}},
	{"split-phase", "what counts more for circuit breakers, and a fuse that breaks less", `name = "Microwave oven"`,
		"hours_per_day = 0.3", "hours_per_day = 3.4", ofLoad("Microwave oven", course.LoadHours, 3.4), []change{
			{after: `name = "Sump pump"`, from: "running_w = 520", into: "running_w = 1300",
				set: ofLoad("Sump pump", course.LoadW, 1300)},
			{after: `name = "Pellet stove"`, from: "running_w = 150", into: "running_w = 310",
				set: ofLoad("Pellet stove", course.LoadW, 310)},
			{after: "", from: "margin = 0.10", into: "continuous_factor = 1.4\nmargin = 0.10", set: named("continuous_factor", 1.4)},
			{after: "", from: "bank_device_breaking_a = 20000", into: "bank_device_breaking_a = 2300",
				set: named(fmt.Sprintf("check_cable_bank_plate_%d", wiring.OfBreaking), 2300)},
			{after: `name = "Toaster oven"`, from: "running_w = 1200", into: "running_w = 2900",
				set: ofLoad("Toaster oven", course.LoadW, 2900)}}},
	{"split-phase", "start on two phases", "", `start = "18:30"`, `start = "03:05"`,
		named("outage_start", (3+5./60)/24), nil},
}

// changed is a site file with a change.
func (c change) changed(t *testing.T, src string) string {
	t.Helper()
	for _, more := range c.more {
		src = more.changed(t, src)
	}
	at := strings.Index(src, c.after)
	if at < 0 {
		t.Fatalf("%s has no %q", c.site, c.after)
	}
	i := strings.Index(src[at:], c.from)
	if i < 0 {
		t.Fatalf("%s has no %q behind %q", c.site, c.from, c.after)
	}
	return src[:at+i] + c.into + src[at+i+len(c.from):]
}

// rests says of the names of cells which rest on what the program worked out for the plan as it was: distributions,
// searches, and other starts.
func rests(name string) bool {
	switch name {
	case "probable_w", "check_autonomy_status", "check_inverter_restart_status":
		return true
	}
	return false
}

// chosenAnew gives the names of the checks of those conductors that a change has chosen anew, with another size or
// device: the workbook keeps them.
func chosenAnew(before, after *backup.Plan) map[string]bool {
	was := map[string]conductors.Run{}
	for _, r := range before.Runs {
		was[r.ID] = r
	}
	names := map[string]bool{}
	for _, r := range after.Runs {
		old := was[r.ID]
		names[cellName(r.ID)] = old.Conductor != r.Conductor || old.DeviceA != r.DeviceA ||
			old.Laid.Ampacity.A != r.Laid.Ampacity.A
	}
	// What is lost before a circuit follows from the conductors that lead to its board.
	for _, r := range after.Runs {
		before := names["check_cable_input"] || r.Kind == conductors.Circuit && names["check_cable_feeder"]
		if (r.Kind == conductors.Circuit || r.Kind == conductors.Feeder) && before {
			names[cellName(r.ID)] = true
		}
	}
	return names
}

// TestChangedWorkbook: a figure that is changed in the workbook has the same consequences as in the site file.
func TestChangedWorkbook(t *testing.T) {
	t.Parallel()
	files := sites(t)
	// Nothing may be chosen anew where the two are compared.
	settled := strings.NewReplacer(`board = "either"`, `board = "main"`, `phase = "any"`, "phase = 2",
		"months = [1, 2, 3, 11, 12]", "months = [7, 8]", // in another month than the outage: it counts for its circuit
		`use = "diesel-20k-3"`, "rated_va = 14000\npower_factor = 0.8\nphases = 3\nfuel = \"diesel\"\nfuel_l = 60")
	books := map[string][]byte{}
	compared, followed := 0, 0
	for i, c := range changes {
		if testing.Short() && i%5 > 0 {
			continue
		}
		src := settled.Replace(string(files[c.site]))
		if books[c.site] == nil {
			var b bytes.Buffer
			if err := Write(t.Context(), &b, planned(t, c.site, []byte(src)), Options{}); err != nil {
				t.Fatal(err)
			}
			books[c.site] = b.Bytes()
		}
		what := c.site + ", " + c.what
		for _, more := range c.more {
			what += "; " + more.what
		}
		p := planned(t, c.site, []byte(c.changed(t, src)))
		before := planned(t, c.site, []byte(src))
		if !sameBoards(before, p) {
			t.Errorf("%s: the circuits are chosen anew, so that the two cannot be compared", what)
			continue
		}
		r := opened(t, books[c.site])
		c.set(t, r)
		for _, more := range c.more {
			more.set(t, r)
		}
		anew := chosenAnew(before, p)
		leave := func(name string) bool { return rests(name) || anew[name] }
		followed += len(p.Runs)
		for _, is := range anew {
			if is {
				followed--
			}
		}
		compared += agrees(t, what, r, p, func(name string) string { return r.calculated(t, name) }, leave)
		if v := r.calculated(t, "day_complete"); v != "yes" {
			t.Errorf("%s: the columns of the day end too early: %s", what, v)
		}
	}
	t.Logf("%d changes, %d figures compared, %d conductors followed", len(changes), compared, followed)
	if followed == 0 {
		t.Error("every conductor was chosen anew: none is compared")
	}
}

// TestChangedModules: the conductor of a string follows the modules that are changed in the workbook.
func TestChangedModules(t *testing.T) {
	src := string(sites(t)["cottage"])
	after := strings.Replace(src, "modules_per_string = 8", "isc_a = 16.5\nmodules_per_string = 8", 1)
	p := planned(t, "cottage", []byte(src))
	r, _ := written(t, p, Options{})
	r.set(t, "array_1_isc_a", 16.5)
	want := 0.0
	for _, run := range planned(t, "cottage", []byte(after)).Runs {
		if run.Kind == conductors.Array {
			want = run.NeedsA
		}
	}
	for i, run := range p.Runs {
		if run.Kind != conductors.Array {
			continue
		}
		v, err := r.CalcCellValue("Conductors", book.ColumnName(runNeeds)+strconv.Itoa(firstRun+i),
			excelize.Options{RawCellValue: true})
		if x, _ := strconv.ParseFloat(v, 64); err != nil || want <= run.NeedsA || math.Abs(x-want) > 1e-9*want {
			t.Errorf("%s needs %s A, %v; the plan has %g, and had %g", run.ID, v, err, want, run.NeedsA)
		}
		return
	}
	t.Error("no conductor of an array")
}

func sameBoards(a, b *backup.Plan) bool {
	for i := range a.Circuits {
		if a.Circuits[i].OnBackup != b.Circuits[i].OnBackup || a.Circuits[i].Phase != b.Circuits[i].Phase {
			return false
		}
	}
	return true
}

// TestLibreOffice lets another program work the workbook out, and finds the same figures, of the plan and in every
// cell.
func TestLibreOffice(t *testing.T) {
	t.Parallel()
	if testing.Short() {
		t.Skip("another program is started: not in short tests")
	}
	office, err := exec.LookPath("soffice")
	if err != nil {
		t.Skip("LibreOffice is not installed")
	}
	dir := t.TempDir()
	files := sites(t)
	for _, name := range []string{"clinic", "drystone", "overloaded", "six-lines"} {
		delete(files, name) // the other four have lead-acid and lithium, one, two and three phases, and interlocks
	}
	out := filepath.Join(dir, "out")
	makers, args := map[string]*maker{}, []string{"-env:UserInstallation=file://" + filepath.Join(dir, "profile"),
		"--headless",
		"--convert-to", "xlsx", "--outdir", out}
	for name, src := range files {
		m, err := newMaker(planned(t, name, src), Options{})
		if err != nil {
			t.Fatal(err)
		}
		// Without the values that are kept for viewers there is nothing but formulas to go by.
		var b bytes.Buffer
		if err := m.write(&b, nil); err != nil {
			t.Fatal(err)
		}
		file := filepath.Join(dir, name+".xlsx")
		if err := os.WriteFile(file, b.Bytes(), 0o600); err != nil {
			t.Fatal(err)
		}
		makers[name], args = m, append(args, file)
	}
	if text, err := exec.CommandContext(t.Context(), office, args...).CombinedOutput(); err != nil {
		t.Fatalf("%v: %s", err, text)
	}
	cells, compared := 0, 0
	for name, m := range makers {
		values, _, err := m.Calculated(t.Context())
		if err != nil {
			t.Fatal(err)
		}
		theirs, err := excelize.OpenFile(filepath.Join(out, name+".xlsx"))
		if err != nil {
			t.Fatal(err)
		}
		names := map[string]string{}
		for name, at := range m.Named() {
			names[name] = string(at)
		}
		r := read{theirs, names}
		compared += agrees(t, name, r, m.Plan, func(name string) string { return r.kept(t, name) }, nil)
		for at, ours := range values {
			sheet, cell := place(t, string(at))
			v, err := theirs.GetCellValue(sheet, cell, excelize.Options{RawCellValue: true})
			x, notX := strconv.ParseFloat(ours, 64)
			y, notY := strconv.ParseFloat(v, 64)
			if err != nil || notX == nil && (notY != nil || math.Abs(x-y) > 1e-9*(1+math.Abs(x))) || notX != nil &&
				v != ours {
				t.Errorf("%s: %s is %q in LibreOffice, %q in the library: %.200s", name, at, v, ours, m.formulaAt(at))
			}
			cells++
		}
		theirs.Close()
	}
	t.Logf("%d homes, %d cells and %d figures compared", len(files), cells, compared)
}

// formulaAt is the formula of a cell.
func (m *maker) formulaAt(at book.Ref) string {
	for _, s := range m.Sheets {
		for place, c := range s.Cells {
			if s.At(place[0], place[1]) == at {
				return c.Formula
			}
		}
	}
	return ""
}

// TestOnlyInputsMayBeChanged: every sheet is protected, without a password; its inputs are unlocked, and all else is
// not. Inputs are known by their colour.
func TestOnlyInputsMayBeChanged(t *testing.T) {
	p := planned(t, "farmhouse", sites(t)["farmhouse"])
	m, err := newMaker(p, Options{})
	if err != nil {
		t.Fatal(err)
	}
	var b bytes.Buffer
	if err := m.write(&b, nil); err != nil {
		t.Fatal(err)
	}
	r := opened(t, b.Bytes())
	inputs, locked := 0, 0
	for _, s := range m.Sheets {
		options, err := r.GetSheetProtection(s.Name)
		if err != nil || options.Password != "" || options.EditObjects {
			t.Errorf("%s: %+v, %v", s.Name, options, err)
		}
		for place, c := range s.Cells {
			name := book.ColumnName(place[1]) + strconv.Itoa(place[0])
			if open := unlocked(t, r, s.Name, name); open != (c.Kind == book.Input) {
				t.Errorf("%s!%s may be changed: %v, want %v", s.Name, name, open, c.Kind == book.Input)
			}
			id, _ := r.GetCellStyle(s.Name, name)
			style, err := r.GetStyle(id)
			if err != nil {
				t.Fatal(err)
			}
			coloured := len(style.Fill.Color) > 0 && strings.HasSuffix(style.Fill.Color[0], "FFF6CC")
			if coloured != (c.Kind == book.Input) {
				t.Errorf("%s!%s has the colour of inputs: %v, want %v", s.Name, name, coloured, c.Kind == book.Input)
			}
			if c.Kind == book.Input {
				inputs++
			} else {
				locked++
			}
		}
	}
	protected := zipped(t, b.Bytes(), "xl/worksheets/sheet")
	for name, text := range protected {
		if !strings.Contains(text, "<sheetProtection") || !strings.Contains(text, ` sheet="1"`) &&
			!strings.Contains(text, ` sheet="true"`) {
			t.Errorf("%s is not protected", name)
		}
	}
	if len(protected) != len(m.Sheets) || inputs < 150 || locked < 1000 {
		t.Errorf("%d sheets, %d inputs, %d locked cells", len(protected), inputs, locked)
	}
	t.Logf("%d sheets, %d inputs, %d locked cells", len(protected), inputs, locked)
}

// zipped are the files of an archive whose names begin so.
func zipped(t *testing.T, data []byte, begin string) map[string]string {
	t.Helper()
	z, err := zip.NewReader(bytes.NewReader(data), int64(len(data)))
	if err != nil {
		t.Fatal(err)
	}
	out := map[string]string{}
	for _, f := range z.File {
		if !strings.HasPrefix(f.Name, begin) {
			continue
		}
		in, err := f.Open()
		if err != nil {
			t.Fatal(err)
		}
		text, err := io.ReadAll(in)
		if err != nil {
			t.Fatal(err)
		}
		out[f.Name] = string(text)
	}
	return out
}

// TestSameBytes: equal plans give equal files, also when they are planned anew; and no clock is in them.
func TestSameBytes(t *testing.T) {
	src := sites(t)["six-lines"]
	_, a := written(t, planned(t, "six-lines", src), Options{Lang: "de"})
	_, b := written(t, planned(t, "six-lines", src), Options{Lang: "de"})
	for name, text := range zipped(t, a, "") {
		if other := zipped(t, b, "")[name]; other != text {
			t.Errorf("%s differs", name)
		}
	}
	if !bytes.Equal(a, b) {
		t.Error("two workbooks of one plan differ")
	}
}

// TestLanguages: the workbook speaks each language through, with the same figures.
func TestLanguages(t *testing.T) {
	t.Parallel()
	for _, home := range []string{"cottage", "split-phase"} {
		p := planned(t, home, sites(t)[home])
		var english []string
		for _, lang := range words.Languages() {
			m, err := newMaker(p, Options{Lang: lang, Date: "2026-05-04", Source: home + ".toml", Revision: "abc",
				Program: "outlast"})
			if err != nil {
				t.Fatal(err)
			}
			if len(m.Missed) > 0 {
				t.Errorf("%s: %s has no words for %q", home, lang, m.Missed)
			}
			var shapes []string
			for _, s := range m.Sheets {
				shapes = append(shapes, fmt.Sprint(len(s.Cells)))
				if lang != "en" && slices.Contains([]string{"Inputs", "Loads", "Checks", "Demand"}, s.Name) {
					t.Errorf("%s: %s: a sheet is called %s", home, lang, s.Name)
				}
			}
			if english == nil {
				english = shapes
			}
			if !slices.Equal(shapes, english) {
				t.Errorf("%s: %s has %v cells, English %v", home, lang, shapes, english)
			}
			if lang == "en" {
				continue
			}
			values, failed, err := m.Calculated(t.Context())
			if err != nil || len(failed) > 0 {
				t.Errorf("%s: %s: %v %q", home, lang, err, failed)
			}
			if got, want := values[m.Out["verdict"]], m.Say("status."+string(p.Verdict())); got != want {
				t.Errorf("%s: %s: the verdict is %q, want %q", home, lang, got, want)
			}
		}
	}
	if err := Write(t.Context(), io.Discard, planned(t, "six-lines", sites(t)["six-lines"]),
		Options{Lang: "xx"}); err == nil {
		t.Error("a language that nobody has is taken")
	}
}

// TestSafetyStays: the cautions of every paper stand on the first sheet and on their own.
func TestSafetyStays(t *testing.T) {
	m, err := newMaker(planned(t, "overloaded", sites(t)["overloaded"]), Options{})
	if err != nil {
		t.Fatal(err)
	}
	for _, id := range []string{"safety.aid", "safety.wiring", "safety.bank", "safety.life"} {
		for _, s := range []*book.Sheet{m.first, m.cautions} {
			found := false
			for _, c := range s.Cells {
				found = found || c.Text == m.Say(id)
			}
			if !found {
				t.Errorf("%s does not say %q", s.Name, m.Say(id))
			}
		}
	}
}

// TestNamesStayText: what people call their things is never a formula.
func TestNamesStayText(t *testing.T) {
	src := strings.Replace(string(sites(t)["cottage"]), `name = "Bore pump"`, `name = "=HYPERLINK(1)"`, 1)
	p := planned(t, "cottage", []byte(src))
	r, _ := written(t, p, Options{})
	sheet, cell := r.ofLoad(t, "=HYPERLINK(1)", course.LoadName)
	if f, err := r.GetCellFormula(sheet, cell); err != nil || f != "" {
		t.Errorf("a name is the formula %q, %v", f, err)
	}
}

// TestTooLarge: a home whose formulas no spreadsheet works out in seconds is refused, with the number that is too much.
func TestTooLarge(t *testing.T) {
	base := string(sites(t)["cottage"])
	many := base +
		strings.Repeat("\n[[load]]\nname = \"Lamp %d\"\nrunning_w = 5\nhours_per_day = 1\ncircuit = \"lights\"\n",
			course.MostLoads)
	n := make([]any, course.MostLoads)
	for i := range n {
		n[i] = i
	}
	locked := base
	for i := range 6 {
		for k := range 2 {
			locked += fmt.Sprintf("\n[[load]]\nname = \"Pump %d %d\"\nrunning_w = 5\nhours_per_day = 1\ncircuit = \"lights\"\ninterlock = \"%d\"\n", i, k, i)
		}
	}
	for what, tt := range map[string]struct{ src, want string }{"loads": {fmt.Sprintf(many, n...),
		"137 loads, at most 120"},
		"interlocks": {locked, "its interlocks leave more than 24 choices together"}} {
		var b bytes.Buffer
		err := Write(t.Context(), &b, planned(t, what, []byte(tt.src)), Options{})
		if err == nil || !strings.Contains(err.Error(), tt.want) || b.Len() > 0 {
			t.Errorf("%s: %v with %d bytes, want an error with %q", what, err, b.Len(), tt.want)
		}
	}
}

// TestEnteredGridLimit: the grid charges under the limit as it is entered, rounded down, also in the workbook, and a
// breaker that is given must carry no more than what runs.
func TestEnteredGridLimit(t *testing.T) {
	for _, tt := range []struct {
		breaker string
		slows   bool // the chargers
		short   bool // of what passes through, 18.93 A
	}{{"6.37", true, false}, {"11.9", true, false}, {"18.95", false, true}, {"19", false, false}} {
		breaker := tt.breaker
		p := planned(t, "cottage", []byte(strings.NewReplacer("[inverter]", "[inverter]\nac_input_a = 40 #",
			"[wiring] ", "[wiring]\ninput_breaker_a = "+breaker+" #").Replace(string(sites(t)["cottage"]))))
		r, _ := written(t, p, Options{})
		want := p.Details.Charges[0].OfferedA
		got, err := strconv.ParseFloat(r.calculated(t, "offered_a_grid"), 64)
		if err != nil || (want < p.Inverter.ChargerA()) != tt.slows || math.Abs(got-want) > 1e-9*want {
			t.Errorf("behind %s A the workbook offers %g A, %v; the plan %g", breaker, got, err, want)
		}
		if c := p.ByID()["cable-input"]; (c.Status == verdict.Caution) != tt.short {
			t.Errorf("behind %s A: %s, %s; want a caution: %v", breaker, c.Status, c.Reason, tt.short)
		}
		agrees(t, "behind "+breaker+" A", r, p, func(name string) string { return r.calculated(t, name) }, nil)
	}
}

// TestWithoutACharger: where the charger is not known, the workbook has the cautions of the plan.
func TestWithoutACharger(t *testing.T) {
	p := planned(t, "split-phase", []byte(strings.Replace(string(sites(t)["split-phase"]), "charger_a = 120", "", 1)))
	if c := p.ByID()["generator-running"]; c.Status != verdict.Caution {
		t.Fatalf("%s, %s; want a caution", c.Status, c.Reason)
	}
	r, _ := written(t, p, Options{})
	agrees(t, "without a charger", r, p, func(name string) string { return r.calculated(t, name) }, nil)
}

// TestColdCharge: the workbook knows how much longer a bank charges in the coldest space, and follows the cold.
func TestColdCharge(t *testing.T) {
	src := string(sites(t)["farmhouse"])
	p := planned(t, "farmhouse", []byte(src))
	r, _ := written(t, p, Options{})
	longer := 0
	for _, c := range []float64{6, 17, 8, 2, -8} {
		at := planned(t, "farmhouse", []byte(strings.Replace(src, "coldest_c = 6 ", fmt.Sprintf("coldest_c = %g ", c), 1)))
		r.set(t, "coldest_c", c)
		charge := at.Details.Charges[0]
		if charge.Cold.Hours > charge.Hours {
			longer++
		}
		got, err := strconv.ParseFloat(r.calculated(t, "longest_charge_h_"+charge.By), 64)
		if want := charge.LongestH(); err != nil || math.Abs(got-want) > 1e-9*want {
			t.Errorf("at %g C the workbook has %g h, %v; the plan %g", c, got, err, want)
		}
	}
	if longer == 0 {
		t.Error("the cold lengthens nothing")
	}
}
