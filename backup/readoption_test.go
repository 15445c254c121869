package backup_test

import (
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"

	"outlast/backup/site"
	"outlast/battery"
	"outlast/catalog"
	"outlast/catalog/strict"
)

// What stands beside `use` overrides the entry, and only that.
func TestReadOverrides(t *testing.T) {
	cat, err := catalog.Generic()
	if err != nil {
		t.Fatal(err)
	}
	site := mustReadSite(t,
		siteTable+outageTable+"[inverter]\nuse = \"hybrid-5k-48\"\ncount = 2\ncharger_a = 55\nderate_from_c = 30\nefficiency = 0.9\n"+
			"[bank]\nuse = \"lfp-51-100\"\nstrings = 3\nmax_discharge_a = 80\nmax_dod = 0.7\n")
	wantInverter, err := cat.Inverter("hybrid-5k-48")
	if err != nil {
		t.Fatal(err)
	}
	wantInverter.ChargerA, wantInverter.DerateFromC = 55, 30
	wantInverter.Efficiency, wantInverter.EfficiencyCurve = 0.9, nil // one figure stands for the whole curve
	wantInverter.Defaults = nil
	got := site.Inverter
	for _, d := range got.Defaults {
		if d.Key == "derate_from_c" {
			t.Error("derate_from_c is given, and still said to be a default")
		}
	}
	got.Defaults = nil
	if diff := cmp.Diff(wantInverter, got); diff != "" {
		t.Errorf("inverter (-want +got):\n%s", diff)
	}
	wantUnit, err := cat.Battery("lfp-51-100")
	if err != nil {
		t.Fatal(err)
	}
	wantUnit.MaxDischargeA, wantUnit.MaxDoD = 80, 0.7
	wantUnit, _ = wantUnit.WithDefaults()
	if diff := cmp.Diff(wantUnit, site.Unit); diff != "" {
		t.Errorf("battery (-want +got):\n%s", diff)
	}
	if site.InverterCount != 2 || site.Strings != 3 || site.Series != 1 || !site.SeriesFits {
		t.Errorf("count %d, strings %d, series %d, fits %v", site.InverterCount, site.Strings, site.Series,
			site.SeriesFits)
	}
}

// The catalog itself must not change under the overrides of one site.
func TestReadLeavesCatalogAlone(t *testing.T) {
	cat, err := catalog.Generic()
	if err != nil {
		t.Fatal(err)
	}
	before, err := catalog.Generic()
	if err != nil {
		t.Fatal(err)
	}
	src := strings.Replace(equipped, "[bank]", "derate_from_c = 30\noverload = [{ seconds = 9, va = 9000 }]\n[bank]",
		1) + "capacity = [{ hours = 1, ah = 95 }, { hours = 5, ah = 100 }]\n"
	if _, err := site.Read("f", []byte(src), cat); err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff(before.Inverters(), cat.Inverters()); diff != "" {
		t.Errorf("inverters (-before +after):\n%s", diff)
	}
	if diff := cmp.Diff(before.Batteries(), cat.Batteries()); diff != "" {
		t.Errorf("batteries (-before +after):\n%s", diff)
	}
}

// TestReadNoCompensation: 0 is a charger without compensation, which is not the same as saying nothing.
func TestReadNoCompensation(t *testing.T) {
	bank := func(lines string) battery.Unit {
		return mustReadSite(t,
			siteTable+outageTable+inverterTable+"[bank]\nchemistry = \"agm\"\nnominal_v = 12\nrated_ah = 100\n"+lines).Unit
	}
	none, byDefault := bank("charge_mv_per_cell_c = 0"), bank("")
	if none.ChargeMVPerCellC == nil || none.CompensationMV() != 0 || byDefault.CompensationMV() == 0 {
		t.Errorf("0 mV reads as %g, and nothing as %g", none.CompensationMV(), byDefault.CompensationMV())
	}
	cold := func(u battery.Unit) float64 {
		return battery.Bank{Unit: u, Series: 4, Strings: 1}.StageV(battery.Absorption, 0)
	}
	if v, warm := cold(none), 4*none.ChargeV; v != warm || cold(byDefault) <= warm {
		t.Errorf("absorption at 0 C: %g V without compensation, %g V by default; want %g V and more", v,
			cold(byDefault), warm)
	}
	if got := mustReadSite(t,
		siteTable+outageTable+inverterTable+"[bank]\nuse = \"agm-12-200\"\ncharge_mv_per_cell_c = 0").Unit; got.CompensationMV() != 0 {
		t.Errorf("0 mV over an entry of the catalog reads as %g", got.CompensationMV())
	}
}

const optionBase = siteTable + "[outage]\nautonomy_h = 24\nreserve = 0.9\n" +
	"[inverter]\nuse = \"hybrid-5k-48\"\ncount = 2\ncharger_a = 55\n" +
	"[bank]\nuse = \"lfp-51-100\"\nstrings = 3\nmax_discharge_a = 80\n[[option]]\nname = \"o\"\n" // 16 lines

func option(t *testing.T, src string) (base, variant *site.Site) {
	t.Helper()
	base = mustReadSite(t, src)
	if len(base.Options) != 1 || base.Options[0].Name != "o" {
		t.Fatalf("options %v, want one named o", base.Options)
	}
	return base, base.Options[0].Site
}

func TestReadOptions(t *testing.T) {
	t.Run("nothing changes", func(t *testing.T) {
		base, o := option(t, optionBase)
		same := *base
		same.Options = nil
		if diff := cmp.Diff(&same, o, cmpopts.IgnoreUnexported(site.Site{}, site.Array{})); diff != "" {
			t.Errorf("(-base +option):\n%s", diff)
		}
	})
	t.Run("a key of each table", func(t *testing.T) {
		base, o := option(t,
			optionBase+"bank.strings = 4\ninverter.count = 1\noutage = { autonomy_h = 48, start = \"18:30\" }\n"+
				"[option.practice]\ngrowth = 0.1\n")
		if o.Strings != 4 || o.InverterCount != 1 || o.Outage.AutonomyH != 48 || o.Outage.Start != 18*60+30 ||
			o.Practice.Growth != 0.1 {
			t.Errorf("the option's own: %d strings, %d inverters, %+v, %+v", o.Strings, o.InverterCount, o.Outage,
				o.Practice)
		}
		if o.Unit.MaxDischargeA != 80 || o.Inverter.ChargerA != 55 || o.Outage.Reserve != 0.9 ||
			o.Practice.Margin != 0.1 {
			t.Errorf("the site's: %g A, %g A, %+v, %+v", o.Unit.MaxDischargeA, o.Inverter.ChargerA, o.Outage,
				o.Practice)
		}
		if base.Strings != 3 || base.InverterCount != 2 || base.Outage.AutonomyH != 24 ||
			base.Outage.Start != site.WorstStart || base.Practice.Growth != 0 {
			t.Errorf("the option changes the base: %d strings, %d inverters, %+v, %+v", base.Strings,
				base.InverterCount, base.Outage, base.Practice)
		}
	})
	// Figures given for the old equipment say nothing of the new; how many there are is the site's business.
	t.Run("another use", func(t *testing.T) {
		_, o := option(t, optionBase+"bank.use = \"lfp-51-200\"\ninverter.use = \"hybrid-8k-48\"\n")
		if o.Unit.ID != "lfp-51-200" || o.Strings != 3 || o.Unit.MaxDischargeA == 80 {
			t.Errorf("bank %s, %d strings, %g A", o.Unit.ID, o.Strings, o.Unit.MaxDischargeA)
		}
		if o.Inverter.ID != "hybrid-8k-48" || o.InverterCount != 2 || o.Inverter.ChargerA == 55 {
			t.Errorf("inverter %s, %d of them, %g A", o.Inverter.ID, o.InverterCount, o.Inverter.ChargerA)
		}
	})
	t.Run("another use with figures and a count of its own", func(t *testing.T) {
		_, o := option(t, optionBase+"bank = { use = \"lfp-51-200\", strings = 1, max_discharge_a = 90 }\n")
		if o.Unit.ID != "lfp-51-200" || o.Strings != 1 || o.Unit.MaxDischargeA != 90 {
			t.Errorf("bank %s, %d strings, %g A", o.Unit.ID, o.Strings, o.Unit.MaxDischargeA)
		}
	})
	t.Run("equipment of one's own in place of the entry's", func(t *testing.T) {
		_, o := option(t, strings.Replace(optionBase, "use = \"lfp-51-100\"",
			"chemistry = \"agm\"\nnominal_v = 12\nrated_ah = 100", 1)+"bank.rated_ah = 200\n")
		if o.Unit.ID != "own" || o.Unit.RatedAh != 200 || o.Unit.NominalV != 12 || o.Series != 4 || o.Strings != 3 {
			t.Errorf("bank %+v, series %d, strings %d", o.Unit, o.Series, o.Strings)
		}
	})
	t.Run("several options do not meet", func(t *testing.T) {
		base := mustReadSite(t, optionBase+"bank.strings = 4\n[[option]]\nname = \"p\"\ninverter.count = 3\n")
		o, p := base.Options[0].Site, base.Options[1].Site
		if o.Strings != 4 || o.InverterCount != 2 || p.Strings != 3 || p.InverterCount != 3 {
			t.Errorf("o: %d strings, %d inverters; p: %d strings, %d inverters", o.Strings, o.InverterCount, p.Strings,
				p.InverterCount)
		}
	})
}

func TestReadOptionProblems(t *testing.T) {
	tellSite(t, []siteFact{
		{"a slip", optionBase + "bank.string = 4",
			[]string{`17:6: unknown key "string" in bank of [[option]] | did you mean "strings"?`}},
		{"out of range", optionBase + "practice = { margin = -1 }", []string{
			`17:14: margin in practice of [[option]]: found -1, want a number from 0 to 2`}},
		{"a table that no option has", optionBase + "site.phases = 3", []string{
			`17:1: unknown key "site" in [[option]] | the keys of [[option]] are name, inverter, bank, outage, practice`}},
		{"a key of the base's", optionBase + "autonomy_h = 3", []string{
			`17:1: unknown key "autonomy_h" in [[option]] | autonomy_h is a key of [outage], outage of [[option]]`}},
		{"a name twice", optionBase + "[[option]]\nname = \"o\"", []string{
			`18:1: name in [[option]]: found "o" a second time, want each name once`}},
		{"no name", strings.Replace(optionBase, "name = \"o\"\n", "", 1),
			[]string{`15:1: missing key "name" in [[option]]: want a text in quotes`}},
		{"an id of nothing", optionBase + "bank.use = \"lfp-51-1000\"", []string{
			`17:6: use in bank of [[option]]: found "lfp-51-1000", want an id of the catalog | did you mean "lfp-51-100"?`}},
		{"a voltage that goes with nothing", optionBase +
			"bank = { chemistry = \"lfp\", nominal_v = 76.8, rated_ah = 50 }\n", []string{
			`17:29: nominal_v in bank of [[option]]: found 76.8 V, want at most charge_v, 56.8 V`}},
		{"a bank that does not suit the inverter", strings.Replace(optionBase, "use = \"lfp-51-100\"",
			"chemistry = \"lfp\"\nnominal_v = 51.2\nrated_ah = 50", 1) +
			"bank.nominal_v = 76.8", []string{
			`19:6: nominal_v in bank of [[option]]: units of 76.8 V make no bank for an inverter of 48 V, want one within 20 % of it`}},
		{"a figure that does not go with the site's unit", optionBase + "bank.nominal_v = 40", []string{
			`17:6: nominal_v in bank of [[option]]: does not go with min_v: found 48 V, want at most nominal_v, 40 V`}},
		{"an inverter that does not suit the bank", optionBase + "bank.strings = 1\ninverter.use = \"inverter-3k-24\"",
			[]string{
				`18:10: use in inverter of [[option]]: units of 51.2 V make no bank for an inverter of 24 V, want one within 20 % of them`}},
		{"both changed, and suit each other", optionBase +
			"bank.use = \"lfp-25-100\"\ninverter.use = \"inverter-3k-24\"", nil},
		{"a unit of three phases on one", optionBase + "inverter.use = \"three-8k-48\"", []string{
			`17:10: use in inverter of [[option]]: found a unit of 3 phases for a site of 1 phase, ` +
				`want one of 1 phase: outputs of different phases are never joined`}},
		{"units on too many phases", optionBase + "inverter = { count = 3 }\n[site]", []string{
			`18:1: [site]: given a second time, first at line 1 | put its keys under the first header`}},
		{"a reserve below the floor", optionBase + "outage.reserve = 0.1\npractice.max_dod = 0.8", []string{
			`17:8: reserve in outage of [[option]]: found 0.1, want more than 0.2: the bank may not be emptied below that`}},
		{"a floor above the reserve", optionBase + "practice.max_dod = 0.1", []string{
			`17:10: max_dod in practice of [[option]]: found 0.1, want more than 0.1: ` +
				`above the reserve of 0.9 there is no charge to give`}},
		{"a bank whose floor is above the reserve", strings.Replace(optionBase, "reserve = 0.9", "reserve = 0.4", 1) +
			"bank.use = \"agm-12-100\"", []string{
			`17:6: use in bank of [[option]]: a unit that gives 0.5 of its charge has nothing to give with a reserve of 0.4`}},

		// What is wrong with the base is said once, whatever the options.
		{"an id of nothing in the base", strings.Replace(optionBase, "lfp-51-100", "lfp-51-10", 1) +
			"bank.strings = 1\n[[option]]\nname = \"p\"\nbank.use = \"lfp-51-100\"", []string{
			`12:1: use in [bank]: found "lfp-51-10", want an id of the catalog | did you mean "lfp-51-100"?`}},
		{"the base's phases", strings.Replace(optionBase, "nominal_v = 230", "nominal_v = 230\nphases = 3", 1) +
			"inverter.charger_a = 5\n[[option]]\nname = \"p\"\nbank.strings = 4", []string{
			`10:1: count in [inverter]: found 2 units of 1 phase, want a multiple of the site's 3 phases`}},
		{"the same with count left to its default", strings.NewReplacer("nominal_v = 230",
			"nominal_v = 230\nphases = 3", "count = 2\n", "").Replace(optionBase) + "inverter.charger_a = 5", []string{
			`8:1: count in [inverter]: found 1 unit of 1 phase, want a multiple of the site's 3 phases`}},
		{"the base's reserve", strings.Replace(optionBase, "reserve = 0.9", "reserve = 0.1", 1) +
			"bank.strings = 4\n[[option]]\nname = \"p\"\noutage.autonomy_h = 3", []string{
			`6:1: reserve in [outage]: found 0.1, want more than 0.2: the bank may not be emptied below that`}},
		{"a figure of the base's", strings.Replace(optionBase, "charger_a = 55", "rated_w = 9000", 1) +
			"inverter.count = 4", []string{
			`10:1: rated_w in [inverter]: found 9000 W, want at most rated_va, 5000`}},
	})
}

// The defaults of a site are its own: those of an option do not count for the base, and what an option gives is none.
func TestReadDefaults(t *testing.T) {
	base, o := option(t,
		optionBase+"practice.margin = 0.2\nbank = { use = \"agm-12-100\" }\n[[circuit]]\nid = \"a\"\n"+
			"board = \"main\"\n[[circuit]]\nid = \"b\"\nboard = \"main\"\nphase = 1\n")
	count := func(defaults []strict.Default, table, key string) int {
		n := 0
		for _, d := range defaults {
			if d.Table == table && d.Key == key {
				n += d.Count
			}
		}
		return n
	}
	for _, tt := range []struct {
		table, key   string
		base, option int
	}{
		{"[site]", "phases", 1, 1},
		{"[site]", "frequency_hz", 1, 1},
		{"[outage]", "start", 1, 1},
		{"[outage]", "reserve", 0, 0},
		{"[practice]", "margin", 1, 0}, // the table is not there at all; the option gives the key
		{"[practice]", "confidence", 1, 1},
		{"[inverter]", "count", 0, 0},
		{"[bank]", "charge_mv_per_cell_c", 0, 0}, // lithium has none, the entry gives its own
		{"[[circuit]]", "phase", 1, 1},           // the second gives it
	} {
		if b, v := count(base.Defaults, tt.table, tt.key), count(o.Defaults, tt.table, tt.key); b != tt.base ||
			v != tt.option {
			t.Errorf("%s %s: a default %d times in the base and %d times in the option, want %d and %d", tt.table,
				tt.key, b, v, tt.base, tt.option)
		}
	}
}
