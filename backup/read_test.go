package backup_test

import (
	"errors"
	"fmt"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"outlast/backup/site"
	"outlast/catalog"
	"outlast/catalog/strict"
)

// The parts of a small site file; together they are sound. Tests put their own in place of one, so that lines are easy
// to count: the parts begin at lines 1, 4, 6, 8, 10 and 13.
const (
	siteTable     = "[site]\nname = \"Fernhollow\"\nnominal_v = 230\n"
	outageTable   = "[outage]\nautonomy_h = 24\n"
	inverterTable = "[inverter]\nuse = \"hybrid-5k-48\"\n"
	bankTable     = "[bank]\nuse = \"lfp-51-100\"\n"
	circuitTable  = "[[circuit]]\nid = \"water\"\nboard = \"backup\"\n"
	loadTable     = "[[load]]\nname = \"Pump\"\ncircuit = \"water\"\nrunning_w = 1100\nhours_per_day = 2\n"

	equipped = siteTable + outageTable + inverterTable + bankTable
	wired    = equipped + circuitTable
)

// ready is everything up to a load that lacks only what a test adds to it from line 18.
const ready = wired + loadTable

func readSite(t testing.TB, src string) (*site.Site, strict.Problems) {
	t.Helper()
	cat, err := catalog.Generic()
	if err != nil {
		t.Fatal(err)
	}
	site, err := site.Read("f", []byte(src), cat)
	if (site == nil) == (err == nil) {
		t.Fatalf("neither a site nor a reason, or both: %v", err)
	}
	var problems strict.Problems
	if err != nil && (!errors.As(err, &problems) || len(problems) == 0) {
		t.Fatalf("error %v, want problems", err)
	}
	return site, problems
}

func mustReadSite(t testing.TB, src string) *site.Site {
	t.Helper()
	site, problems := readSite(t, src)
	if problems != nil {
		t.Fatalf("%v\nin\n%s", problems, src)
	}
	return site
}

// A siteFact is a file and all that is to be said about it: place and message, then " | " and the hint where there is
// one.
type siteFact struct {
	name, src string
	want      []string
}

func tellSite(t *testing.T, facts []siteFact) {
	t.Helper()
	for _, f := range facts {
		t.Run(f.name, func(t *testing.T) {
			_, problems := readSite(t, f.src)
			var got []string
			for _, p := range problems {
				line := strings.TrimPrefix(p.Error(), "f:")
				if p.Hint != "" {
					line += " | " + p.Hint
				}
				got = append(got, line)
			}
			if diff := cmp.Diff(f.want, got); diff != "" {
				t.Errorf("of the file\n%s\n(-want +got):\n%s", f.src, diff)
			}
		})
	}
}

func TestReadSound(t *testing.T) {
	tellSite(t, []siteFact{
		{"no circuits", equipped, nil},
		{"a circuit and a load", ready, nil},
		{"all inline", `site = { name = "x", nominal_v = 230 }
outage = { autonomy_h = 1 }
inverter = { use = "hybrid-5k-48" }
bank.use = "lfp-51-100"
circuit = [ { id = "water", board = "main" } ]
load = [ { name = "Pump", circuit = "water", running_w = 1, hours_per_day = 1 } ]
option = [ { name = "o", bank = { strings = 2 } } ]`, nil},
	})
}

func TestReadTables(t *testing.T) {
	tellSite(t, []siteFact{
		{"nothing", "", []string{
			"1:1: missing table [site]", "1:1: missing table [outage]", "1:1: missing table [inverter]",
			"1:1: missing table [bank] | the file holds nothing yet: outlast init writes one to begin from"}},
		{"only a slip of grammar", ready + "held_off = yes\nzebra = 1", []string{
			"18:12: not valid TOML: found 'y', want a value | write true"}},
		{"misspelt tables are read as what they mean", strings.NewReplacer("[site]", "[sit]", "[[circuit]]",
			"[[circuits]]").Replace(ready), []string{
			`1:1: unknown key "sit" | did you mean "site"?`,
			`10:1: unknown key "circuits" | did you mean "circuit"?`}},
		{"brackets", strings.NewReplacer("[site]", "[[site]]", "[[circuit]]", "[circuit]").Replace(ready), []string{
			`1:1: [site]: found [[site]], want a table headed [site]`,
			`10:1: [[circuit]]: found [circuit], want [[circuit]]`}},
		{"everything empty",
			"[site]\n[outage]\n[inverter]\n[bank]\n[[circuit]]\n[[load]]\n[[array]]\n[generator]\n[[option]]\n",
			[]string{
				`1:1: missing key "name" in [site]: want a text in quotes`,
				`1:1: missing key "nominal_v" in [site]: want a number from 10 to 1000 V`,
				`1:1: missing key "latitude" in [site]: want a number from -90 to 90 degrees, as there is an [[array]]`,
				`2:1: missing key "autonomy_h" in [outage]: want a number from 0.01 to 8760 h`,
				`3:1: missing key "use" in [inverter]: want an id of the catalog, or keys of your own`,
				`4:1: missing key "use" in [bank]: want an id of the catalog, or keys of your own`,
				`5:1: missing key "id" in [[circuit]]: want a text in quotes`,
				`5:1: missing key "board" in [[circuit]]: want "backup", "main" or "either"`,
				`6:1: missing key "name" in [[load]]: want a text in quotes`,
				`6:1: missing key "circuit" in [[load]]: want a text in quotes`,
				`6:1: missing key "running_w" in [[load]]: want a number from 0 to 10000000 W`,
				`6:1: missing key "hours_per_day" in [[load]]: want a number from 0 to 24 h`,
				`7:1: missing key "modules_per_string" in [[array]]: want a whole number from 1 to 200`,
				`7:1: missing key "tilt_deg" in [[array]]: want a number from 0 to 90 degrees`,
				`7:1: missing key "azimuth_deg" in [[array]]: want a number from 0 to 360 degrees`,
				`7:1: missing key "use" in [[array]]: want an id of the catalog, or keys of your own`,
				`8:1: missing key "use" in [generator]: want an id of the catalog, or keys of your own`,
				`9:1: missing key "name" in [[option]]: want a text in quotes`}},
	})
}

// As many circuits and loads as a file may have, each load on a circuit that is not there, and all ids as alike and as
// long as makes the search for the nearest one worst. The limit is loose, for slow machines with the race detector.
func TestReadWorst(t *testing.T) {
	var b strings.Builder
	b.WriteString(equipped)
	for i := range 1000 {
		fmt.Fprintf(&b, "[[circuit]]\nid = \"%s%06d\"\nboard = \"main\"\n", strings.Repeat("x", 34), i)
	}
	for i := range 2000 {
		fmt.Fprintf(&b, "[[load]]\nname = \"%d\"\ncircuit = \"%s%06d\"\nrunning_w = 1\nhours_per_day = 1\n", i,
			strings.Repeat("y", 34), i)
	}
	start := time.Now()
	_, problems := readSite(t, b.String())
	if took := time.Since(start); took > 20*time.Second {
		t.Errorf("took %v", took)
	} else {
		t.Log(took)
	}
	if len(problems) != 2000 {
		t.Errorf("%d problems, want one for each load", len(problems))
	}
}

func TestReadSiteAndOutage(t *testing.T) {
	outage := func(lines string) string { return siteTable + "[outage]\n" + lines + "\n" + inverterTable + bankTable }
	tellSite(t, []siteFact{
		{"out of range", siteTable + "latitude = 91\nphases = 4\nfrequency_hz = nan\n" + outageTable + inverterTable +
			bankTable, []string{
			`4:1: latitude in [site]: found 91, want a number from -90 to 90 degrees`,
			`5:1: phases in [site]: found 4, want a whole number from 1 to 3`,
			`6:1: frequency_hz in [site]: found nan, want a number from 40 to 70 Hz`}},
		{"a year of autonomy", outage("autonomy_h = 8760"), nil},
		{"an hour more", outage("autonomy_h = 8761"), []string{
			`5:1: autonomy_h in [outage]: found 8761, want a number from 0.01 to 8760 h`}},
		{"a start", outage("autonomy_h = 1\nstart = \"23:59\""), nil},
		{"24:00 is no start", outage("autonomy_h = 1\nstart = \"24:00\""), []string{
			`6:1: start in [outage]: found "24:00", want "worst" or a time of day from "00:00" to "23:59"`}},
		{"half past", outage("autonomy_h = 1\nstart = \"18:60\""), []string{
			`6:1: start in [outage]: found "18:60", want "worst" or a time of day from "00:00" to "23:59"`}},
		{"a time without quotes", outage("autonomy_h = 1\nstart = 18:30:00"), []string{
			`6:1: start in [outage]: found the date or time 18:30:00, want a text in quotes | put it into quotes`}},
		{"reserve just above the floor", outage("autonomy_h = 1\nreserve = 0.2001\n[practice]\nmax_dod = 0.8"), nil},
		{"reserve at the floor", outage("autonomy_h = 1\nreserve = 0.2\n[practice]\nmax_dod = 0.8"), []string{
			`6:1: reserve in [outage]: found 0.2, want more than 0.2: the bank may not be emptied below that`}},
		{"at the floor of the chemistry", siteTable + outageTable + "reserve = 0.5\n" + inverterTable +
			"[bank]\nchemistry = \"agm\"\nnominal_v = 12\nrated_ah = 100", []string{
			`6:1: reserve in [outage]: found 0.5, want more than 0.5: the bank may not be emptied below that`}},
		{"reserve and one's own max_dod", outage("autonomy_h = 1\nreserve = 0.5\n[practice]\nmax_dod = 0.5"), []string{
			`6:1: reserve in [outage]: found 0.5, want more than 0.5: the bank may not be emptied below that`}},
		{"nothing is said of a reserve beside a wrong max_dod",
			outage("autonomy_h = 1\nreserve = 0.1\n[practice]\nmax_dod = 80"), []string{
				`8:1: max_dod in [practice]: found 80, want a number from 0.01 to 1 | write 0.8: a share of 1, not per cent`}},
	})
}
