package backup_test

import (
	"context"
	"fmt"
	"math"
	"reflect"
	"slices"
	"strings"
	"testing"

	"outlast/backup"
	"outlast/backup/calendar"
	"outlast/backup/outage"
	"outlast/backup/samplehome"
	"outlast/backup/site"
	"outlast/backup/study"
	"outlast/backup/verdict"
	"outlast/backup/wording"
	"outlast/battery"
)

// neverDropping is a plan of the same home, in which no load is dropped.
func neverDropping(p *backup.Plan) *backup.Plan {
	q, f, s := *p, *p.Facts, *p.Site
	s.Loads = slices.Clone(s.Loads)
	for i := range s.Loads {
		s.Loads[i].DropBelow = 0
	}
	f.Site = &s
	q.Facts = &f
	return &q
}

// Without an array the sums of the study and the bank model of package battery, stepped through each outage, are two
// ways to the same hours.
func TestEveryStartEqualsStepping(t *testing.T) {
	p := neverDropping(samplehome.Plan(t, "town-flat"))
	e, err := study.FromEveryStart(t.Context(), p.Facts, study.EveryStartOptions{MaxH: 48, TargetH: 12, Chance: 0.95,
		StepMin: 15, NoArray: true})
	if err != nil {
		t.Fatal(err)
	}
	year := outage.Year{StepMin: 15}
	for h := range 8760 {
		// The plan is of January, so its profile is right for the starts of that month.
		for q := range 4 {
			meanW := p.Demand.Profile.EnergyWh(float64(h%24*60+q*15), 0.25) * 4
			year.NetW = append(year.NetW, -p.Inverter.DCPower(meanW))
		}
	}
	newBank := func() outage.Bank {
		m, err := p.Bank.Model(battery.ModelOptions{TemperatureC: p.Site.ColdestC, EndOfLife: p.Site.Practice.EndOfLife,
			MaxDoD: p.Bank.DoD})
		if err != nil {
			t.Error(err)
		}
		return m
	}
	stepped, err := outage.SurviveStepping(t.Context(), year, newBank, 1, 48, nil)
	if err != nil {
		t.Fatal(err)
	}
	for h := range (31 - 2) * 24 {
		if stepped.Hours[h] != e.Hours[h] {
			t.Fatalf("start hour %d: study %d h, stepping %d h", h, e.Hours[h], stepped.Hours[h])
		}
	}
}

// The promised hours are those from the worst of all starts: no start of the study's year in that month lasts less,
// whole hours counted.
func TestLeastAutonomy(t *testing.T) {
	p := samplehome.Plan(t, "town-flat")
	hours, start, err := p.LeastAutonomy()
	if err != nil {
		t.Fatal(err)
	}
	if hours > p.Bank.AutonomyH || start < 0 || start >= 1440 {
		t.Errorf("least %.2f h from minute %g, the autonomy is %.2f h", hours, start, p.Bank.AutonomyH)
	}
	e, err := study.FromEveryStart(t.Context(), p.Facts, study.EveryStartOptions{MaxH: 48, TargetH: 12, Chance: 0.95,
		StepMin: 1, NoArray: true})
	if err != nil {
		t.Fatal(err)
	}
	least := 48
	for _, h := range e.Hours[:29*24] { // the plan is of January
		least = min(least, h)
	}
	if int(hours) > least {
		t.Errorf("promised %.2f h, but a start lasts only %d whole hours", hours, least)
	}
}

// An outage does not wait for the start that the file gives: the least is over all starts whatever it says, no start
// that the file could give lasts less, and a plan whose bank is large enough for the given start only says so. JSON's
// autonomy_h stays that of the given start.
func TestLeastIsOverAllStartsWhateverTheFileGives(t *testing.T) {
	given := samplehome.Plan(t, "split-phase") // from 18:30
	from := func(start int) *backup.Plan {
		s := *given.Site
		s.Outage.Start, s.Strings, s.Options = start, given.Bank.Strings, nil // the same bank
		p, err := backup.NewPlan(context.Background(), &s)
		if err != nil {
			t.Fatal(err)
		}
		return p
	}
	least, at, err := given.LeastAutonomy()
	if err != nil {
		t.Fatal(err)
	}
	if given.Site.Outage.Start == site.WorstStart || given.Bank.AutonomyH < least+1 {
		t.Fatalf("start %d, %.2f h of at least %.2f: the site does not show the difference", given.Site.Outage.Start,
			given.Bank.AutonomyH, least)
	}
	for start := 0; start < 1440; start += 10 {
		if h := from(start).Bank.AutonomyH; h < least-1.0/3600 {
			t.Errorf("from %s on it lasts %.4f h, less than the least, %.4f h", calendar.Clock(start), h, least)
		}
	}
	if at != math.Trunc(at) {
		t.Fatalf("the least is from minute %g, which no file can give", at)
	}
	if h := from(int(at)).Bank.AutonomyH; math.Abs(h-least) > 1.0/3600 {
		t.Errorf("from %s on it lasts %.4f h, not %.4f", calendar.Moment(at), h, least)
	}
	for _, c := range given.Checks {
		if c.ID == "autonomy" && (c.Status != verdict.Caution || c.Demand != 15 || c.Limit != given.Bank.AutonomyH) {
			t.Errorf("autonomy: %s, %g of %g h, want a caution about 15 of %g h", c.Status, c.Demand, c.Limit,
				given.Bank.AutonomyH)
		}
	}
}

// The wished bank is the smallest: with as many strings the chance is kept, with one less it is not.
func TestWishedBankIsTheSmallest(t *testing.T) {
	for _, name := range []string{"farmhouse", "cottage"} {
		p := samplehome.Plan(t, name)
		o := study.EveryStartOptions{MaxH: 72, TargetH: 72, Chance: 0.9, StepMin: 60, Seed: 3}
		e, err := study.FromEveryStart(t.Context(), p.Facts, o)
		if err != nil {
			t.Fatal(err)
		}
		if !e.Bank.Possible {
			t.Fatalf("%s: no bank", name)
		}
		for _, strings := range []int{e.Bank.Strings, e.Bank.Strings - 1} {
			if strings == 0 {
				continue
			}
			q := *p.Facts
			q.Bank.Strings = strings
			f, err := study.FromEveryStart(t.Context(), &q, o)
			if err != nil {
				t.Fatal(err)
			}
			chance, err := f.Chance(72)
			if err != nil {
				t.Fatal(err)
			}
			if (chance >= o.Chance) != (strings == e.Bank.Strings) {
				t.Errorf("%s: %d strings outlast 72 h with a chance of %.4f, wished %g with %d", name, strings, chance,
					o.Chance, e.Bank.Strings)
			}
		}
	}
}

func TestRunOutage(t *testing.T) {
	p := samplehome.Plan(t, "cottage")
	alone, err := study.RunOutage(context.Background(), p.Facts,
		study.OutageOptions{Hours: 168, NoArray: true, NoGenerator: true, EvenSpread: true})
	if err != nil {
		t.Fatal(err)
	}
	sun, err := study.RunOutage(context.Background(), p.Facts,
		study.OutageOptions{Hours: 168, NoGenerator: true, EvenSpread: true})
	if err != nil {
		t.Fatal(err)
	}
	all, err := study.RunOutage(context.Background(), p.Facts, study.OutageOptions{Hours: 168, EvenSpread: true})
	if err != nil {
		t.Fatal(err)
	}
	if !(alone.DarkMin > sun.DarkMin && sun.DarkMin >= all.DarkMin) {
		t.Errorf("dark minutes: bank alone %d, with sun %d, with sun and generator %d; want fewer and fewer",
			alone.DarkMin, sun.DarkMin, all.DarkMin)
	}
	if alone.Energy.PVUsedWh != 0 || alone.FuelL != 0 || sun.FuelL != 0 {
		t.Errorf("left out, but used: array %g Wh, fuel %g and %g l", alone.Energy.PVUsedWh, alone.FuelL, sun.FuelL)
	}
	for _, r := range []*study.OutageRun{alone, sun, all} {
		e := r.Energy
		in, out := e.PVUsedWh+e.GeneratorWh+e.BankOutWh, e.ServedWh+e.BankInWh+e.LossWh
		if math.Abs(in-out) > 1e-9*in {
			t.Errorf("%g Wh come in, %g Wh go out", in, out)
		}
	}
	if _, err := study.RunOutage(context.Background(), p.Facts, study.OutageOptions{Hours: 0}); err == nil {
		t.Error("an outage of 0 h is followed")
	}
}

// Cottage: 8 modules of 440 W in one string. Voltages by the rules of NEC 690.7(A)(1) and the data sheet's
// coefficients, worked here from the catalog's figures.
func TestStringWindowOfASite(t *testing.T) {
	p := samplehome.Plan(t, "cottage")
	m := p.Site.Arrays[0].Module
	want := map[string]float64{
		"string-voc-cold":      8 * m.VocV * (1 + m.VocPctPerC/100*(*p.Site.ColdestAirC-25)),
		"string-short-circuit": 1.25 * m.IscA,
		"string-power":         8 * m.RatedW,
	}
	found := 0
	for _, c := range p.Checks {
		if !strings.HasPrefix(c.ID, "string-") {
			continue
		}
		if v, ok := want[c.ID]; ok {
			found++
			if math.Abs(c.Demand-v) > 1e-9*v {
				t.Errorf("%s: demand %g, want %g", c.ID, c.Demand, v)
			}
		}
		if !c.HasLimit {
			t.Errorf("%s: no limit, though the catalog gives all of them", c.ID)
		}
	}
	if found != len(want) {
		t.Errorf("found %d of %d string checks", found, len(want))
	}
}

// TestStringsSayWhatWouldSuit: an invented module of 52 V with nothing drawn, 43.6 V at work, -0.27 and -0.35 %/C, in
// air from -10 to 40 C. Worked by hand: in the cold 52 * 1.0945 = 56.91 V, so that 500 V take 8 modules; in the heat,
// cells at 70 C, 43.6 * 0.82 = 35.75 V, so that 300 V want 9. Twelve modules are four too many and not one; two are
// seven too few.
func TestStringsSayWhatWouldSuit(t *testing.T) {
	const module = "rated_w = 440; voc_v = 52; isc_a = 10.8; vmp_v = 43.6; imp_a = 10.1; voc_pct_per_c = -0.27; " +
		"pmax_pct_per_c = -0.35; isc_pct_per_c = 0.05; noct_c = 44; "
	for _, tt := range []struct {
		modules  int
		maxV     float64
		id, says string
	}{
		{12, 500, "string-voc-cold", "; at most 8 modules in the string would suit it"},
		{8, 500, "string-voc-cold", "the input is rated for 500 V (-10 C)"},
		{8, 60, "string-voc-cold", "; at most 1 module in the string would suit it"},
		{8, 50, "string-voc-cold", "; no number of these modules would suit it"},
		{2, 500, "string-vmp-hot", "; at least 9 modules in the string would suit it"},
		{2, 500, "string-start", "; at least 9 modules in the string would suit it"},
		{9, 600, "string-vmp-hot", "the tracking range begins at 300 V (air of 40 C)"},
	} {
		p := sunnyHouse(30, 180).set("site.coldest_air_c", -10).set("site.hottest_c", 40).
			put("inverter", fmt.Sprintf("input = [{ max_v = %g, start_v = 300, track_min_v = 300 }]", tt.maxV)).
			drop("[array].use").put("[array]", fmt.Sprintf("%smodules_per_string = %d", module, tt.modules)).plan(t)
		if c := check(t, p, tt.id); !strings.HasSuffix(c.Reason.String(), tt.says) {
			t.Errorf("%d modules, %g V: %s: %q, want it to end in %q", tt.modules, tt.maxV, tt.id, c.Reason, tt.says)
		}
		// What follows stands behind the two figures on a screen, and does not say them again.
		if c, rest := check(t, p, tt.id), check(t, p, tt.id).Reason.Rest().String(); c.Status != verdict.Pass &&
			strings.Contains(rest, wording.AmountText(c.Demand, c.Unit)) {
			t.Errorf("%d modules, %g V: what follows from %s says its figures again: %q", tt.modules, tt.maxV, tt.id, rest)
		}
	}
}

// TestStringsInTheColdOutdoors: 12 modules of 39.5 V and -0.26 %/C or so stand on the roof, whatever the battery's space
// is like. 500 V are not enough for them where it gets very cold, and nobody told that it does not.
func TestStringsInTheColdOutdoors(t *testing.T) {
	far := func(modules int) *house {
		return sunnyHouse(30, 180).set("site.latitude", 50).put("inverter", "input = [{ max_v = 500 }]").
			set("[array].modules_per_string", modules)
	}
	for _, tt := range []struct {
		name   string
		h      *house
		coldC  float64
		status verdict.Status
		says   string
	}{
		{"a heated battery room tells nothing of the roof", far(12), -40, verdict.Fail,
			", or give coldest_air_c if it never gets so cold outdoors there"},
		{"a short string is a caution as long as nobody tells", far(8), -40, verdict.Caution,
			"(air of -40 C, assumed by latitude and height); give coldest_air_c, the coldest that it ever gets outdoors there"},
		{"told, and mild", far(12).set("site.coldest_air_c", 0), 0, verdict.Pass, "(0 C)"},
		{"told, and cold", far(12).set("site.coldest_air_c", -20), -20, verdict.Fail,
			"; at most 11 modules in the string would suit it"},
		{"a battery space that is colder still", far(8).set("site.latitude", 24).set("site.coldest_c", -10), -10, verdict.Caution,
			"(-10 C); give coldest_air_c, the coldest that it ever gets outdoors there"},
		{"colder than what is told", far(8).set("site.coldest_air_c", -5).set("site.coldest_c", -8), -8, verdict.Pass,
			"(-8 C)"},
	} {
		p := tt.h.plan(t)
		m, c := p.Site.Arrays[0].Module, check(t, p, "string-voc-cold")
		volts := float64(p.Site.Arrays[0].ModulesPerString) * m.VocV * (1 + m.VocPctPerC/100*(tt.coldC-25))
		if math.Abs(c.Demand-volts) > 1e-9*volts || c.Status != tt.status || !strings.HasSuffix(c.Reason.String(), tt.says) {
			t.Errorf("%s: %g V, %s, %q; want %g V, %s and the end %q", tt.name, c.Demand, c.Status, c.Reason, volts,
				tt.status, tt.says)
		}
	}
}

// TestMonthsAlike: in a month in which a home uses the same loads, what is taken over is what is worked out anew.
func TestMonthsAlike(t *testing.T) {
	alike := 0
	for _, path := range samplehome.Files(t) {
		p := samplehome.Plan(t, samplehome.Name(path))
		for month := 1; month <= 12; month++ {
			if month == p.Month || !p.AlikeIn(month) {
				continue
			}
			alike++
			got, err := study.InMonth(t.Context(), p.Facts, month)
			if err != nil {
				t.Fatal(err)
			}
			s := *p.Site
			s.Outage.Month, s.Strings = month, p.Bank.Strings
			want, err := backup.Alone(t.Context(), &s)
			if err != nil {
				t.Fatal(err)
			}
			want.Bank.Sized = got.Bank.Sized // in its own month
			for _, part := range []struct {
				name      string
				got, want any
			}{
				{"month", got.Month, want.Month}, {"month of the site", got.Site.Outage.Month, want.Site.Outage.Month},
				{"demand", got.Demand, want.Demand}, {"starts", got.Starts, want.Starts}, {"grid", got.Grid, want.Grid},
				{"bank", got.Bank, want.Bank}, {"generator's runs", got.GeneratorRuns, want.GeneratorRuns},
			} {
				if !reflect.DeepEqual(part.got, part.want) {
					t.Errorf("%s in month %d: %s is\n%+v, worked out anew\n%+v", p.Site.Name, month, part.name, part.got, part.want)
				}
			}
			gotH, gotMin, err := got.LeastAutonomy()
			if err != nil {
				t.Fatal(err)
			}
			if wantH, wantMin, err := want.LeastAutonomy(); err != nil || gotH != wantH || gotMin != wantMin {
				t.Errorf("%s in month %d: lasts %g h from %g min, worked out anew %g from %g (%v)", p.Site.Name, month, gotH,
					gotMin, wantH, wantMin, err)
			}
		}
	}
	if alike < 20 {
		t.Errorf("only %d months of the sample homes are alike: this test sees too few", alike)
	}
}
