package backup_test

import (
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"
	"time"

	"pgregory.net/rapid"

	"outlast/backup"
	"outlast/backup/drawnhome"
	"outlast/backup/sheet/paper"
	"outlast/backup/site"
	"outlast/backup/sizing"
	"outlast/backup/study"
	"outlast/catalog"
)

// A site with an array at a latitude, with twelve months of sun.
func sunAt(place, months string) string {
	return siteTable + place + outageTable + inverterTable + bankTable +
		"[[array]]\nuse = \"mono-440\"\nmodules_per_string = 8\ntilt_deg = 30\nazimuth_deg = 0\nmonthly_kwh_m2_day = [" + months + "]\n"
}

// What a plan, an outage or a report would stumble over is told when the file is read, with its place.
func TestReadLimits(t *testing.T) {
	const melbourne = "6.8, 6.0, 4.9, 3.5, 2.4, 2.0, 2.2, 3.0, 4.0, 5.2, 6.1, 6.7" // invented round numbers
	tellSite(t, []siteFact{
		{"the sun of the south in the south", sunAt("latitude = -37.9\n", melbourne), nil},
		{"the sun of the south in the north", sunAt("latitude = 37.9\n", melbourne), []string{
			`16:23: monthly_kwh_m2_day in [[array]]: found 6.8 for January, want at most 4.59: ` +
				`no more arrives above the air at latitude 37.9 | ` +
				`south of the equator latitude is negative, and January is a month of summer`,
			`16:28: monthly_kwh_m2_day in [[array]]: found 6 for February, want at most 5.96: ` +
				`no more arrives above the air at latitude 37.9`,
			`16:73: monthly_kwh_m2_day in [[array]]: found 6.1 for November, want at most 4.89: ` +
				`no more arrives above the air at latitude 37.9`,
			`16:78: monthly_kwh_m2_day in [[array]]: found 6.7 for December, want at most 4.17: ` +
				`no more arrives above the air at latitude 37.9`}},
		// Madison, Wisconsin, in MJ/m2 (Duffie & Beckman, example 2.19.1), as far as the key takes them. The example's
		// sun above the air, of the mean days, is 13.37 MJ/m2 in January, 41.78 in June and 11.91 in December: 3.71,
		// 11.61 and 3.31 kWh/m2.
		{"megajoules", sunAt("latitude = 43\n", "6.44, 9.89, 12.86, 13, 14, 14, 14, 14, 14.59, 10.48, 6.37, 5.74"),
			[]string{
				`16:23: monthly_kwh_m2_day in [[array]]: found 6.44 for January, want at most 3.72: ` +
					`no more arrives above the air at latitude 43 | ` +
					`give kWh/m2 a day on the horizontal: MJ/m2 are divided by 3.6`,
				`16:29: monthly_kwh_m2_day in [[array]]: found 9.89 for February, want at most 5.15: ` +
					`no more arrives above the air at latitude 43`,
				`16:35: monthly_kwh_m2_day in [[array]]: found 12.86 for March, want at most 7.23: ` +
					`no more arrives above the air at latitude 43`,
				`16:42: monthly_kwh_m2_day in [[array]]: found 13 for April, want at most 9.38: no more arrives above the air at latitude 43`,
				`16:46: monthly_kwh_m2_day in [[array]]: found 14 for May, want at most 10.94: no more arrives above the air at latitude 43`,
				`16:50: monthly_kwh_m2_day in [[array]]: found 14 for June, want at most 11.59: no more arrives above the air at latitude 43`,
				`16:54: monthly_kwh_m2_day in [[array]]: found 14 for July, want at most 11.25: no more arrives above the air at latitude 43`,
				`16:58: monthly_kwh_m2_day in [[array]]: found 14 for August, want at most 9.94: ` +
					`no more arrives above the air at latitude 43`,
				`16:62: monthly_kwh_m2_day in [[array]]: found 14.59 for September, want at most 7.95: ` +
					`no more arrives above the air at latitude 43`,
				`16:69: monthly_kwh_m2_day in [[array]]: found 10.48 for October, want at most 5.75: ` +
					`no more arrives above the air at latitude 43`,
				`16:76: monthly_kwh_m2_day in [[array]]: found 6.37 for November, want at most 4.03: ` +
					`no more arrives above the air at latitude 43`,
				`16:82: monthly_kwh_m2_day in [[array]]: found 5.74 for December, want at most 3.30: ` +
					`no more arrives above the air at latitude 43`}},
		{"the polar night", sunAt("latitude = 80\n", "0, 0, 1, 3, 5, 6, 5, 3, 1, 0, 0, 0.1"), []string{
			`16:56: monthly_kwh_m2_day in [[array]]: found 0.1 for December, want at most 0.00: ` +
				`no more arrives above the air at latitude 80 | ` +
				`give the mean day of each month on the horizontal, in kWh/m2`}},
		{"a wrong latitude is one mistake", sunAt("latitude = 91\n", melbourne), []string{
			`4:1: latitude in [site]: found 91, want a number from -90 to 90 degrees`}},
		{"a longitude with the wrong sign", sunAt("latitude = -37.9\nlongitude = -145.2\nutc_offset_h = 10\n",
			melbourne), []string{
			`5:1: longitude in [site]: found -145.2, where the sun is 4.3 h away from a clock of utc_offset_h 10 | ` +
				`east is positive, west negative`}},
		{"the widest zone on earth, and islands beyond the date line",
			sunAt("latitude = -37.9\nlongitude = 73.5\nutc_offset_h = 8\n", melbourne), nil},
		{"beyond the date line", sunAt("latitude = -1.9\nlongitude = -157.4\nutc_offset_h = 14\n",
			"5, 5, 5, 5, 5, 5, 5, 5, 5, 5, 5, 5"), nil},
		{"loads of a gigawatt",
			ready +
				"[[load]]\nname = \"smelter\"\ncircuit = \"water\"\nrunning_w = 1e7\nquantity = 101\nhours_per_day = 24\n", []string{
				`21:1: running_w in [[load]]: found 1e+07 W, with which all loads come to 1.01e+09 VA, want at most 1e+09 VA`}},
		{"a bank that nobody can build", strings.Replace(ready, "autonomy_h = 24", "autonomy_h = 8760", 1) +
			"[[load]]\nname = \"smelter\"\ncircuit = \"water\"\nrunning_w = 1e7\nquantity = 50\nhours_per_day = 24\n",
			[]string{
				`5:1: autonomy_h in [outage]: no bank can be sized: to give up to 5.03e+09 kWh in 8760 h it would ` +
					`need more than a million strings of the unit, 100 Ah each`}},
		{"the same by an option", strings.Replace(ready, "autonomy_h = 24", "autonomy_h = 1", 1) +
			"[[load]]\nname = \"smelter\"\ncircuit = \"water\"\nrunning_w = 1e7\nquantity = 50\nhours_per_day = 24\n" +
			"[[option]]\nname = \"a year\"\noutage.autonomy_h = 8760\n", []string{
			`26:8: autonomy_h in outage of [[option]]: no bank can be sized: ` +
				`to give up to 5.03e+09 kWh in 8760 h it would need more than a million strings of the unit, 100 Ah each`}},
		{"no time at all", strings.Replace(equipped, "autonomy_h = 24", "autonomy_h = 1e-9", 1), []string{
			`5:1: autonomy_h in [outage]: found 1e-9, want a number from 0.01 to 8760 h`}},
	})
}

// numberIn finds the numbers of a site file.
var numberIn = regexp.MustCompile(`([=\[,{]\s*)(-?\d+(?:\.\d+)?)(\s*[,\]}\n#])`)

// A file that ReadSite accepts is accepted by everything that works with it: a plan, its recharge and working, an
// outage, every start, the papers, and what other equipment would do. Sound files are given numbers from all over the
// ranges of their keys.
func TestAcceptedIsPlanned(t *testing.T) {
	cat, err := catalog.Generic()
	if err != nil {
		t.Fatal(err)
	}
	var files []string
	for _, pattern := range []string{"testdata/seeds/every-key.toml", "../testdata/sites/*.toml"} {
		names, err := filepath.Glob(pattern)
		if err != nil || len(names) == 0 {
			t.Fatalf("no files at %s: %v", pattern, err)
		}
		for _, name := range names {
			src, err := os.ReadFile(name)
			if err != nil {
				t.Fatal(err)
			}
			files = append(files, string(src))
		}
	}
	accepted := 0
	rapid.Check(t, func(t *rapid.T) {
		src := rapid.SampledFrom(files).Draw(t, "file")
		if seed := rapid.Uint64Range(0, 2000).Draw(t, "home"); seed > 0 {
			src = string(drawnhome.Draw(seed))
		}
		// Most changes make no sense: of several the first that is accepted is taken.
		var home *site.Site
		sound := src
		for range 8 {
			src = sound
			for range rapid.IntRange(1, 3).Draw(t, "changes") {
				src = changedNumber(t, src)
			}
			if home, err = site.Read("f", []byte(src), cat); err == nil {
				break
			}
		}
		if err != nil {
			return
		}
		accepted++
		refused := func(by string, err error) {
			t.Helper()
			if err != nil && !errors.Is(err, context.DeadlineExceeded) {
				t.Fatalf("ReadSite takes what %s refuses: %v\n%s", by, err, src)
			}
		}
		ctx, cancel := context.WithTimeout(context.Background(), 20*time.Second)
		defer cancel()
		p, err := backup.NewPlan(ctx, home)
		refused("NewPlan", err)
		if err != nil {
			return // out of time
		}
		_, _, err = p.Recharge()
		refused("Recharge", err)
		for _, s := range p.Steps() {
			if strings.Contains(s.Formula.String(), "not worked out") {
				t.Fatalf("the working says %q\n%s", s.Formula, src)
			}
		}
		_, err = study.RunOutage(ctx, p.Facts, study.OutageOptions{Hours: 30, Seed: 1})
		refused("RunOutage", err)
		switch rapid.IntRange(0, 5).Draw(t, "which") {
		case 0:
			_, err = study.FromEveryStart(ctx, p.Facts, study.EveryStartOptions{MaxH: 24, TargetH: 4, Chance: 0.9,
				StepMin: 60, Seed: 1})
			refused("EveryStart", err)
		case 1:
			_, err = paper.New(ctx, p, paper.Options{})
			refused("the papers", err)
		case 2:
			if !testing.Short() {
				_, err = backup.Size(ctx, home, cat, sizing.Options{MaxCount: 1})
				refused("Size", err)
			}
		}
	})
	if accepted < 5 && !t.Failed() {
		t.Errorf("only %d files were accepted: this test sees too little", accepted)
	}
	t.Logf("%d files accepted", accepted)
}

// changedNumber puts another number into the place of one of the file's.
func changedNumber(t *rapid.T, src string) string {
	places := numberIn.FindAllStringSubmatchIndex(src, -1)
	if len(places) == 0 {
		return src
	}
	at := places[rapid.IntRange(0, len(places)-1).Draw(t, "place")]
	old, err := strconv.ParseFloat(src[at[4]:at[5]], 64)
	if err != nil {
		t.Fatal(err)
	}
	number := rapid.OneOf(
		rapid.SampledFrom([]string{"0", "1", "-1", "1e-300", "1e-9", "0.001", "0.01", "0.1", "0.5", "24", "1000",
			"8760", "100000", "1e6", "1e7", "1e8", "-60", "90"}),
		rapid.Custom(func(t *rapid.T) string {
			return fmt.Sprintf("%g", old*rapid.SampledFrom([]float64{-1, 0.001, 0.1, 0.5, 2, 10, 1000}).Draw(t,
				"times"))
		}),
	).Draw(t, "number")
	return src[:at[4]] + number + src[at[5]:]
}
