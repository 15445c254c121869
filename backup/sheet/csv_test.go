package sheet

import (
	"bytes"
	"encoding/csv"
	"encoding/json"
	"math"
	"slices"
	"strconv"
	"strings"
	"testing"

	"outlast/backup/samplehome"
	"outlast/backup/sheet/record"
	"outlast/backup/study"
)

// listed reads a list of figures: the value and the unit by "section item name".
func listed(t *testing.T, text string) map[string][2]string {
	t.Helper()
	rows, err := csv.NewReader(strings.NewReader(text)).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	out := map[string][2]string{}
	for _, row := range rows[1:] {
		n := len(row)
		out[strings.Join([]string{row[1], row[n-4], row[n-3]}, " ")] = [2]string{row[n-2], row[n-1]}
	}
	return out
}

func TestDecimal(t *testing.T) {
	for _, tt := range []struct {
		v    float64
		want string
	}{
		{0, "0"}, {math.Copysign(0, -1), "0"}, {1, "1"}, {-0.25, "-0.25"}, {4.0650406504065035, "4.06504"},
		{12621.951219512195, "12622"}, {123456.7, "123457"},
		{123456789, "123456789"}, {9.999999999999999e3, "10000"}, {0.30000000000000004, "0.3"},
		{0.00012345678, "0.000123457"}, {1e-20, "0"}, {-1e-20, "0"}, {1e21, "1000000000000000000000"},
		{99.99999, "100"}, {math.NaN(), ""}, {math.Inf(1), ""}, {math.Inf(-1), ""},
	} {
		if got := record.Decimal(tt.v); got != tt.want {
			t.Errorf("Decimal(%g) = %q, want %q", tt.v, got, tt.want)
		}
	}
}

// TestCSVOfStarts: a start that is compared on a phase says so, with what the phase is asked for, as its limit is that
// of a phase.
func TestCSVOfStarts(t *testing.T) {
	phased := 0
	for _, name := range []string{"farmhouse", "split-phase", "town-flat"} {
		p := samplehome.Plan(t, name)
		figures := listed(t, write(t, Options{Format: "csv"}, p))
		for _, st := range p.Starts.All {
			of := func(name string) string { return figures["start "+st.Load+" "+name][0] }
			if of("demand_va") != record.Decimal(st.DemandVA) || of("limit_va") != record.Decimal(st.LimitVA) ||
				of("va") != record.Decimal(st.VA) {
				t.Errorf("%s: %q starts with %s, %s of %s VA, want %g, %g of %g", name, st.Load, of("va"),
					of("demand_va"), of("limit_va"), st.VA, st.DemandVA, st.LimitVA)
			}
			want := "all"
			if st.Phase > 0 {
				want = strconv.Itoa(st.Phase)
				phased++
			}
			if of("phase") != want {
				t.Errorf("%s: %q starts on phase %q, want %q", name, st.Load, of("phase"), want)
			}
		}
	}
	if phased == 0 {
		t.Error("no start is compared on a phase: this test sees nothing")
	}
}

// TestCSVShares: every share is in per cent and says so, and the margins of temperatures are in kelvin.
func TestCSVShares(t *testing.T) {
	p := samplehome.Plan(t, "farmhouse")
	figures := listed(t, write(t, Options{Format: "csv", Sensitivity: true}, p))
	for _, c := range p.Checks {
		want, unit := 100*c.Margin, "%"
		if c.Unit == "C" {
			want, unit = c.Margin, "K"
		}
		if !c.HasLimit {
			want = math.NaN()
		}
		if got := figures["check "+c.ID+" margin"]; got != [2]string{record.Decimal(want), unit} {
			t.Errorf("%s: margin %q, want %s %s", c.ID, got, record.Decimal(want), unit)
		}
		if c.ID == "phase-balance" {
			if got := figures["check phase-balance limit"]; got != [2]string{"30", "%"} {
				t.Errorf("phases may differ by %q, want 30 %%", got)
			}
		}
	}
	for _, name := range []string{"share_of_day", "autonomy_end_soc", "calendar_life_share", "drop", "down_to_soc",
		"margin_was"} {
		found := 0
		for key, got := range figures {
			if !strings.HasSuffix(key, " "+name) || strings.Contains(key, "temperature") {
				continue
			}
			if found++; got[1] != "%" && got[1] != "K" {
				t.Errorf("%s has the unit %q, want per cent", key, got[1])
			}
		}
		if found == 0 {
			t.Errorf("no row is called %s", name)
		}
	}
	for key, got := range figures {
		if v, err := strconv.ParseFloat(got[0], 64); err == nil && got[1] == "" && v != math.Trunc(v) {
			t.Errorf("%s is %s without a unit: a share?", key, got[0])
		}
	}
}

// TestCSVEmptyIsEmpty: what is not known has no value, and no row says 0, - or none in its place.
func TestCSVEmptyIsEmpty(t *testing.T) {
	p := samplehome.Plan(t, "farmhouse")
	figures := listed(t, write(t, Options{Format: "csv"}, p))
	for _, r := range p.Runs {
		if r.LengthM > 0 {
			continue
		}
		for _, name := range []string{"length_m", "drop", "total_drop"} {
			if got, ok := figures["wiring "+r.ID+" "+name]; !ok || got[0] != "" {
				t.Errorf("%s %s is %q, want a row without a value", r.ID, name, got)
			}
		}
	}
	for _, c := range p.Circuits {
		if got, ok := figures["circuit "+c.ID+" way"]; !c.OnBackup && (!ok || got[0] != "") {
			t.Errorf("%s has the way %q on the main board, want none", c.ID, got)
		}
	}
	for key, got := range figures {
		if got[0] == "-" || got[0] == "–" || got[0] == "none" || strings.ContainsAny(got[0], "eE") && got[1] != "" {
			t.Errorf("%s is %q", key, got[0])
		}
	}
}

// TestCSVOfOptions: the options of a plan are in its list too.
func TestCSVOfOptions(t *testing.T) {
	p := samplehome.Plan(t, "farmhouse")
	if len(p.Options) == 0 {
		t.Fatal("the home has no options")
	}
	figures := listed(t, write(t, Options{Format: "csv"}, p))
	var data struct {
		Options []struct {
			Name       string
			Carried    []string
			PromisedH  *float64 `json:"promised_h"`
			MassKg     *float64 `json:"mass_kg"`
			Difference *float64 `json:"price_difference"`
		}
	}
	if err := json.Unmarshal([]byte(write(t, Options{Format: "json"}, p)), &data); err != nil {
		t.Fatal(err)
	}
	base, priced := p.Price()
	for i, o := range p.Options {
		of := func(name string) string { return figures["option "+o.Name+" "+name][0] }
		least, _, err := o.Plan.LeastAutonomy()
		if err != nil {
			t.Fatal(err)
		}
		price, ok := o.Plan.Price()
		kg, weighed := o.Plan.MassKg()
		if !priced || !ok || !weighed {
			t.Fatalf("%q has no price or no weight", o.Name)
		}
		want := map[string]string{"verdict": string(o.Plan.Verdict()), "promised_h": record.Decimal(least),
			"price": record.Decimal(price), "price_difference": record.Decimal(price - base),
			"mass_kg": record.Decimal(kg),
			"strings": strconv.Itoa(o.Plan.Bank.Strings), "battery": o.Plan.Bank.Unit.ID,
			"carried": strings.Join(o.Plan.Carried(), "; "), "ways": strconv.Itoa(len(o.Plan.Carried()))}
		for name, want := range want {
			if got := of(name); got != want {
				t.Errorf("%q: %s %q, want %q", o.Name, name, got, want)
			}
		}
		if d := data.Options[i]; d.Name != o.Name || !slices.Equal(d.Carried, o.Plan.Carried()) ||
			*d.PromisedH != least || *d.MassKg != kg || *d.Difference != price-base {
			t.Errorf("%q in JSON: %+v", o.Name, d)
		}
	}
}

// TestOutageCSV: the list of an outage has its events, circuits and fuel beside the charge of every minute.
func TestOutageCSV(t *testing.T) {
	p := samplehome.Plan(t, "farmhouse")
	r, err := study.RunOutage(t.Context(), p.Facts, study.OutageOptions{Hours: 48, Seed: 1})
	if err != nil {
		t.Fatal(err)
	}
	var b bytes.Buffer
	if err := WriteOutage(&b, r, Options{Format: "csv"}); err != nil {
		t.Fatal(err)
	}
	rows, err := csv.NewReader(&b).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	if want := []string{"site", "section", "minute", "time", "item", "name", "value", "unit"}; !slices.Equal(rows[0],
		want) {
		t.Errorf("head %q, want %q", rows[0], want)
	}
	charges, events, circuits := 0, 0, 0.0
	fuel := ""
	for _, row := range rows[1:] {
		switch section, minute, item, name, value, unit := row[1], row[2], row[4], row[5], row[6], row[7]; section {
		case "charge":
			if minute != strconv.Itoa(charges) || value != record.Decimal(100*r.SoC[charges]) || unit != "%" {
				t.Fatalf("minute %d: %q", charges, row)
			}
			charges++
		case "event":
			e := r.Events[events]
			if minute != strconv.Itoa(e.Min) || name != string(e.Kind) || item != e.Load && item != e.CircuitID {
				t.Errorf("event %d is %q, want %+v", events, row, e)
			}
			events++
		case "circuit":
			if name == "demand" {
				wh, err := strconv.ParseFloat(value, 64)
				if err != nil || unit != "Wh" {
					t.Errorf("%q", row)
				}
				circuits += wh
			}
		case "outage":
			if name == "fuel" {
				fuel = value + " " + unit
			}
		}
	}
	if charges != len(r.SoC) || events != len(r.Events) || events == 0 {
		t.Errorf("%d charges and %d events, want %d and %d", charges, events, len(r.SoC), len(r.Events))
	}
	if math.Abs(circuits-r.Energy.DemandWh) > 1e-4*r.Energy.DemandWh { // each circuit is rounded to six digits
		t.Errorf("the circuits ask for %g Wh, the outage for %g", circuits, r.Energy.DemandWh)
	}
	if r.FuelL == 0 || fuel != record.Decimal(r.FuelL)+" l" {
		t.Errorf("fuel %q, want %g l", fuel, r.FuelL)
	}
}

// TestOutageCSVOfAnotherMonth: the list tells the month of the outage, not that of the plan, and names first what
// someone depends on.
func TestOutageCSVOfAnotherMonth(t *testing.T) {
	p := planWith(t, "Home", "Circuit", "Concentrator") // medical, and 9 kW more are held off
	month := p.Month%12 + 1
	r, err := study.RunOutage(t.Context(), p.Facts, study.OutageOptions{Hours: 200, Month: month})
	if err != nil {
		t.Fatal(err)
	}
	var b bytes.Buffer
	if err := WriteOutage(&b, r, Options{Format: "csv"}); err != nil {
		t.Fatal(err)
	}
	if want := "Home,outage,,,,month," + strconv.Itoa(month) + ",\n"; !strings.Contains(b.String(), want) {
		t.Errorf("the list lacks %q", want)
	}
	if len(r.Medical) != 1 || !strings.Contains(b.String(),
		",medical,"+strconv.Itoa(r.Medical[0].FirstMin)+",,Concentrator,why,dark,\n") {
		t.Errorf("%+v is not in the list", r.Medical)
	}
}

// TestSpreadsheet: a file for a spreadsheet says that it is UTF-8, a pipe gets the list alone.
func TestSpreadsheet(t *testing.T) {
	p := samplehome.Plan(t, "town-flat")
	plain, marked := write(t, Options{Format: "csv"}, p), write(t, Options{Format: "csv", Spreadsheet: true}, p)
	if marked != "\ufeff"+plain {
		t.Errorf("the file begins with %q, want a byte order mark and the list", marked[:20])
	}
	if !strings.HasPrefix(plain, "site,") {
		t.Errorf("the list begins with %q", plain[:20])
	}
}
