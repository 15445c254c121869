package workbook

import (
	"bytes"
	"fmt"
	"maps"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/xuri/excelize/v2"

	"outlast/backup"
	"outlast/backup/conductors"
	"outlast/backup/drawnhome"
	"outlast/backup/sheet/workbook/book"
	"outlast/backup/sheet/workbook/course"
	"outlast/backup/site"
	"outlast/battery"
	"outlast/catalog"
)

// planned plans a site file.
func planned(t testing.TB, name string, src []byte) *backup.Plan {
	t.Helper()
	cat, err := catalog.Generic()
	if err != nil {
		t.Fatal(err)
	}
	s, err := site.Read(name, src, cat)
	if err != nil {
		t.Fatal(err)
	}
	p, err := backup.Alone(t.Context(), s)
	if err != nil {
		t.Fatal(err)
	}
	return p
}

// sites are the sample homes by name.
func sites(t testing.TB) map[string][]byte {
	t.Helper()
	files, err := filepath.Glob("../../../testdata/sites/*.toml")
	if err != nil || len(files) == 0 {
		t.Fatalf("no sample sites: %v", err)
	}
	out := map[string][]byte{}
	for _, f := range files {
		src, err := os.ReadFile(f)
		if err != nil {
			t.Fatal(err)
		}
		out[strings.TrimSuffix(filepath.Base(f), ".toml")] = src
	}
	return out
}

// A figure of a plan by the name of its cell.
type figure struct {
	name  string
	value float64
}

// figures are what the plan prints and the workbook works out.
func figures(p *backup.Plan) []figure {
	b, d, g := p.Bank, p.Demand, p.Inverter
	out := []figure{{"scheduled_w", d.Scheduled.W}, {"scheduled_va", d.Scheduled.VA}, {"connected_w", d.Connected.W},
		{"connected_va", d.Connected.VA}, {"energy_wh_per_day", d.EnergyWhPerDay}, {"probable_w", d.ProbableW},
		{"scheduled_w_at", float64(d.Scheduled.AtMin) / 1440}, {"scheduled_va_at", float64(d.Scheduled.VAAtMin) / 1440},
		{"pass_through_a", p.Grid.PassThroughA}, {"input_a", p.Grid.InputA},
		{"derating_heat", g.DeratingHeat}, {"derating_altitude", g.DeratingAltitude}, {"rated_here_va", g.DeratedVA()},
		{"rated_here_w", g.DeratedW()}, {"limit_va", g.LimitVA()}, {"limit_w", g.LimitW()},
		{"start", math.Mod(b.StartMin, 1440) / 1440}, {"energy_ac_wh", b.EnergyACWh}, {"energy_dc_wh", b.EnergyDCWh},
		{"usable_share", b.Sizing.UsableFraction}, {"mean_a", b.Sizing.MeanCurrentA},
		{"k_temperature", b.Sizing.KTemperature},
		{"k_rate", b.Sizing.KRate}, {"required_ah", b.Sizing.RequiredAh}, {"strings_needed", float64(b.Sizing.Strings)},
		{"installed_ah", b.CapacityAh()}, {"k_rate_installed", b.KRate}, {"low_v", b.MinV()}, {"cutoff_v", b.CutoffV},
		{"floor_soc", p.FloorSoC()}, {"depth", p.Depth()}, {"usable_wh", p.UsableWh()}, {"cells", float64(b.Cells())},
		{"dod", b.DoD}, {"restart_va", p.Starts.Restart.VA}, {"restart_demand_va", p.Starts.Restart.DemandVA},
		{"restart_limit_va", p.Starts.Restart.LimitVA}}
	for i, a := range p.Site.Arrays {
		set, key := a.StringSet(), course.ArrayKey(i+1)
		v, err := set.Voltages(p.Site.StringClimate())
		if err != nil {
			continue
		}
		out = append(out, figure{key + "voc_cold_v", v.VocColdV}, figure{key + "vmp_cold_v", v.VmpColdV},
			figure{key + "vmp_hot_v", v.VmpHotV}, figure{key + "cell_c", v.CellHotC},
			figure{key + "array_w", set.RatedW()})
	}
	if _, gas := b.Unit.Chemistry.Gas(); gas {
		out = append(out, figure{"sources_a", p.ChargeSourcesA()}, figure{"c10_ah", b.C10Ah()},
			figure{"float_flow", b.AirOnFloat.FlowM3PerH}, figure{"opening_cm2", b.AirOnBoost.OpeningCM2})
		if b.AirOnBoost.Rule != battery.AirByAS {
			out = append(out, figure{"boost_flow", b.AirOnBoost.FlowM3PerH})
		}
	}
	if g := p.Generator; g != nil {
		out = append(out, figure{"generator_va", g.DeratedVA}, figure{"generator_w", g.DeratedW},
			figure{"generator_loads_va", g.LoadsVA}, figure{"generator_loads_w", g.LoadsW},
			figure{"generator_running_va", g.RunningVA}, figure{"generator_running_w", g.RunningW},
			figure{"generator_input_a", g.InputA})
		if set := g.ChargeSetting(); set.A > 0 {
			out = append(out, figure{"generator_charge_a", set.A})
		}
		runs := p.GeneratorRuns
		out = append(out, figure{"generator_mean_w", g.MeanW}, figure{"fuel_flow", g.FuelLPerH}, figure{"tank_h", g.TankH},
			figure{"dark_soc", runs.DarkSoC}, figure{"generator_start_soc", runs.StartSoC},
			figure{"generator_stop_soc", runs.StopSoC})
		if g.StartVA > 0 {
			out = append(out, figure{"generator_start_va", g.StartVA}, figure{"generator_dip_share", g.Dip})
		}
	}
	if f := p.Details.Frost; f != nil {
		out = append(out, figure{"freezes_c", f.FreezesC})
		if b.Unit.Chemistry == battery.Flooded {
			out = append(out, figure{"weak_freezes_c", f.WeakC})
		}
	}
	if !b.AutonomyCap {
		out = append(out, figure{"autonomy", b.AutonomyH}, figure{"end_soc", b.EndSoC},
			figure{"autonomy_new", b.AutonomyNewH})
	}
	for _, r := range p.Runs {
		if r.Kind == conductors.Bank {
			out = append(out, figure{"fault_a", r.DeviceNeeds.BreaksA})
		}
	}
	for k, va := range d.Scheduled.PhaseVA {
		if p.Site.Phases > 1 {
			out = append(out, figure{fmt.Sprintf("scheduled_va_phase_%d", k+1), va})
		}
	}
	for _, c := range p.Details.Charges {
		if c.Problem.Empty() {
			out = append(out, figure{"charge_h_" + c.By, c.Hours}, figure{"charge_in_ah_" + c.By, c.InAh},
				figure{"longest_charge_h_" + c.By, c.LongestH()})
		}
	}
	for _, st := range p.Details.Stages {
		out = append(out, figure{st.Name + "_v_25", st.At25}, figure{st.Name + "_v_coldest", st.AtColdest},
			figure{st.Name + "_v_hottest", st.AtHottest})
	}
	return out
}

// A read is a workbook that was written, opened again.
type read struct {
	*excelize.File
	names map[string]string // of cells, with their places
}

func written(t testing.TB, p *backup.Plan, o Options) (read, []byte) {
	t.Helper()
	var b bytes.Buffer
	if err := Write(t.Context(), &b, p, o); err != nil {
		t.Fatal(err)
	}
	return opened(t, b.Bytes()), b.Bytes()
}

func opened(t testing.TB, data []byte) read {
	t.Helper()
	f, err := excelize.OpenReader(bytes.NewReader(data))
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { f.Close() })
	r := read{f, map[string]string{}}
	for _, n := range f.GetDefinedName() {
		r.names[n.Name] = n.RefersTo
		if err := f.DeleteDefinedName(&n); err != nil { // the library looks every part of a formula up among them
			t.Fatal(err)
		}
	}
	return r
}

// place splits 'Bank'!$C$5.
func place(t testing.TB, at string) (sheet, cell string) {
	t.Helper()
	sheet, cell, ok := strings.Cut(at, "!")
	if !ok {
		t.Fatalf("%q is no place", at)
	}
	return strings.Trim(sheet, "'"), strings.ReplaceAll(cell, "$", "")
}

// calculated works a named cell out with the library's engine, with no regard to the value that is kept in the file.
func (r read) calculated(t testing.TB, name string) string {
	t.Helper()
	sheet, cell := place(t, r.names[name])
	if f, err := r.GetCellFormula(sheet, cell); err != nil || f == "" {
		return r.kept(t, name)
	}
	v, err := r.CalcCellValue(sheet, cell, excelize.Options{RawCellValue: true})
	if err != nil {
		t.Errorf("%s: %v", name, err)
	}
	return v
}

// kept is the value of a named cell in the file.
func (r read) kept(t testing.TB, name string) string {
	t.Helper()
	sheet, cell := place(t, r.names[name])
	v, err := r.GetCellValue(sheet, cell, excelize.Options{RawCellValue: true})
	if err != nil {
		t.Error(err)
	}
	return v
}

// set changes a named input.
func (r read) set(t testing.TB, name string, x float64) {
	t.Helper()
	sheet, cell := place(t, r.names[name])
	r.put(t, sheet, cell, x)
}

func (r read) put(t testing.TB, sheet, cell string, x float64) {
	t.Helper()
	if !unlocked(t, r, sheet, cell) {
		t.Fatalf("%s!%s is locked", sheet, cell)
	}
	if err := r.SetCellFloat(sheet, cell, x, -1, 64); err != nil {
		t.Fatal(err)
	}
}

// ofLoad is the cell of a load in a column.
func (r read) ofLoad(t testing.TB, name string, col int) (sheet, cell string) {
	t.Helper()
	for row := course.FirstLoad; row < course.FirstLoad+course.MostLoads; row++ {
		if v, _ := r.GetCellValue("Loads", book.ColumnName(course.LoadName)+strconv.Itoa(row)); v == name {
			return "Loads", book.ColumnName(col) + strconv.Itoa(row)
		}
	}
	t.Fatalf("no load %q", name)
	return "", ""
}

func unlocked(t testing.TB, r read, sheet, cell string) bool {
	t.Helper()
	id, err := r.GetCellStyle(sheet, cell)
	if err != nil {
		t.Fatal(err)
	}
	style, err := r.GetStyle(id)
	if err != nil {
		t.Fatal(err)
	}
	return style.Protection != nil && !style.Protection.Locked
}

// agrees compares what a workbook says with a plan: figures, and every check whose formulas follow the inputs. leave
// tells which names depend on what the program worked out for another plan.
func agrees(t *testing.T, what string, r read, p *backup.Plan, say func(name string) string,
	leave func(name string) bool) (compared int) {
	t.Helper()
	near := func(name string, want float64) {
		t.Helper()
		if leave != nil && leave(name) {
			return
		}
		if r.names[name] == "" {
			t.Errorf("%s: no cell is named %s", what, name)
			return
		}
		v := say(name)
		x, err := strconv.ParseFloat(v, 64)
		if err != nil || math.Abs(x-want) > 1e-9*(1+math.Abs(want)) {
			t.Errorf("%s: %s is %q, the plan has %.12g", what, name, v, want)
		}
		compared++
	}
	for _, f := range figures(p) {
		near(f.name, f.value)
	}
	followed, err := newMaker(p, Options{})
	if err != nil {
		t.Fatal(err)
	}
	formulas := followed.comparisons()
	for _, c := range p.Checks {
		if _, ok := formulas[c.ID]; !ok {
			continue
		}
		name := cellName(c.ID)
		if leave != nil && leave(name) {
			continue
		}
		if got := say(name + "_status"); got != string(c.Status) && (leave == nil || !leave(name+"_status")) {
			t.Errorf("%s: %s comes out %q, in the plan %q: %s", what, c.ID, got, c.Status, c.Reason)
		}
		demand, limit, _ := c.Shown()
		if c.HasLimit || demand != 0 {
			near(name+"_demand", demand)
		}
		if c.HasLimit {
			near(name+"_limit", limit)
		}
	}
	return compared
}

// twoSeasons is planned for June, and lasts, starts and restarts less well in other months.
const twoSeasons = `[site]
name = "Two seasons"
nominal_v = 230
coldest_c = 10
[outage]
autonomy_h = 4
[inverter]
use = "hybrid-5k-48"
[bank]
use = "lfp-51-100"
strings = 2
[[circuit]]
id = "c"
breaker_a = 16
board = "backup"
[[load]]
name = "Cooling"
circuit = "c"
running_w = 800
hours_per_day = 24
months = [6, 7, 8]
[[load]]
name = "Heat"
circuit = "c"
running_w = 3000
hours_per_day = 4
when = ["18:00-22:00"]
months = [11, 12, 1, 2]
[[load]]
name = "Saw"
circuit = "c"
running_w = 1500
starting_va = 12000
starting_s = 1
hours_per_day = 1
when = ["10:00-12:00"]
months = [11]
`

// TestWorkbookFindsThePlan: the library's own engine works every formula of every sample home and of drawn ones out,
// and finds the figures of the plan and its checks, to the ninth digit. What the file keeps for viewers that do not
// calculate is the same.
func TestWorkbookFindsThePlan(t *testing.T) {
	t.Parallel()
	homes := sites(t)
	drawn := uint64(8)
	if testing.Short() {
		drawn, homes = 1, map[string][]byte{"cottage": homes["cottage"], "split-phase": homes["split-phase"]}
	}
	for seed := range drawn {
		homes[fmt.Sprintf("drawn home %d", seed)] = drawnhome.Draw(seed)
	}
	homes["two seasons"] = []byte(twoSeasons)
	all, formulas := 0, 0
	for _, name := range slices.Sorted(maps.Keys(homes)) {
		cat, err := catalog.Generic()
		if err != nil {
			t.Fatal(err)
		}
		s, err := site.Read(name, homes[name], cat)
		if err != nil {
			t.Fatal(err)
		}
		p, err := backup.Alone(t.Context(), s)
		if err != nil {
			continue // a drawn home that cannot be planned
		}
		m, err := newMaker(p, Options{})
		if err != nil {
			t.Error(name, err)
			continue
		}
		values, failed, err := m.Calculated(t.Context())
		if err != nil {
			t.Fatal(err)
		}
		for _, f := range failed[:min(5, len(failed))] {
			t.Errorf("%s: %.400s", name, f)
		}
		formulas += len(values)
		var b bytes.Buffer
		if err := m.write(&b, values); err != nil {
			t.Fatal(err)
		}
		r := opened(t, b.Bytes())
		all += agrees(t, name, r, p, func(name string) string { return r.kept(t, name) }, nil)
		m.conductorsAgree(t, name, values)
		if v := values[m.Out["verdict"]]; v != string(p.Verdict()) {
			t.Errorf("%s: the verdict is %q, in the plan %q", name, v, p.Verdict())
		}
	}
	t.Logf("%d formulas worked out, %d figures compared", formulas, all)
	if all < 150 {
		t.Errorf("%d figures compared, want 150 at least", all)
	}
}

// conductorsAgree compares what each conductor carries and loses with its run.
func (m *maker) conductorsAgree(t *testing.T, what string, values map[book.Ref]string) {
	t.Helper()
	for i, r := range m.Plan.Runs {
		for _, f := range []struct {
			col  int
			want float64
		}{{runCarries, r.CarriesA}, {runNeeds, r.NeedsA}, {runDrop, 100 * r.Drop}, {runTotal, 100 * r.TotalDrop},
			{runStartDrop, 100 * r.StartDrop}, {runMostDevice, r.Laid.Ampacity.DeviceA}, {runV, r.Laid.VoltageV},
			{runA, r.Laid.LoadA}, {runPF, r.Laid.PowerFactor}, {runBefore, 100 * r.Laid.Upstream},
			{runStartA, r.Laid.StartA}, {runStartPF, r.Laid.StartPowerFactor}, {runHeatA, r.Laid.SurgeA}} {
			if r.LengthM == 0 && (f.col == runDrop || f.col == runTotal || f.col == runStartDrop) {
				continue
			}
			shown := m.shown(values, m.conductors.At(firstRun+i, f.col))
			if shown == "" && f.want == 0 {
				continue
			}
			x, err := strconv.ParseFloat(shown, 64)
			if err != nil || math.Abs(x-f.want) > 1e-9*(1+math.Abs(f.want)) {
				t.Errorf("%s: %s, column %s: %g, the plan has %.12g", what, r.ID, book.ColumnName(f.col), x, f.want)
			}
		}
		for k, c := range r.Laid.Compared {
			for _, f := range []struct {
				col  int
				want float64
			}{{ofDemand, c.Demand}, {ofLimit, c.Limit}} {
				x, err := strconv.ParseFloat(m.shown(values, m.conductors.At(m.runs[i].first+k, f.col)), 64)
				if err != nil || math.Abs(x-f.want) > 1e-9*(1+math.Abs(f.want)) {
					t.Errorf("%s: %s, %s, column %s: %g, the plan has %.12g", what, r.ID, conductors.Subject(c.Of),
						book.ColumnName(f.col), x, f.want)
				}
			}
		}
	}
}

// shown is the value of a cell.
func (m *maker) shown(values map[book.Ref]string, at book.Ref) string {
	if v, ok := values[at]; ok {
		return v
	}
	for _, s := range m.Sheets {
		for place, c := range s.Cells {
			if s.At(place[0], place[1]) == at && c.IsNum {
				return strconv.FormatFloat(c.Number, 'g', -1, 64)
			}
		}
	}
	return ""
}
