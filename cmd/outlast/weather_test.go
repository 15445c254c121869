package main

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"

	"outlast/backup/study"
	"outlast/cmd/outlast/homes"
)

// sunnyHut is a home with an array whose weather comes from a file.
const sunnyHut = `
[site]
name = "Sunny hut"
nominal_v = 230
latitude = 41.98
[outage]
autonomy_h = 12
month = 6
[inverter]
use = "hybrid-5k-48"
[bank]
use = "lfp-51-100"
strings = 1
[[circuit]]
id = "all"
breaker_a = 16
board = "backup"
[[load]]
name = "Everything"
circuit = "all"
running_w = 200
hours_per_day = 24
[[array]]
use = "mono-440"
modules_per_string = 8
tilt_deg = 0
azimuth_deg = 180
weather = "WEATHER"
`

// TestRealWeather runs the commands on a real weather file, Chicago in a typical year (US national-laboratory data set;
// SEEN): its global irradiation, 1,406.6 kWh/m2, falls on the flat array, so the recharge of the months must follow the
// file's, 54.7 in January to 191.5 in July.
func TestRealWeather(t *testing.T) {
	folder := os.Getenv("OUTLAST_DATA")
	if folder == "" {
		t.Skip("OUTLAST_DATA names no folder with weather_chicago_tmy3.epw")
	}
	weather, err := filepath.Abs(filepath.Join(folder, "weather_chicago_tmy3.epw"))
	if err != nil {
		t.Fatal(err)
	}
	site := filepath.Join(t.TempDir(), "hut.toml")
	if err := os.WriteFile(site, []byte(strings.Replace(sunnyHut, "WEATHER", weather, 1)), 0o644); err != nil {
		t.Fatal(err)
	}
	var out, errs bytes.Buffer
	if status := run([]string{"plan", "--format", "json", site}, nil, &out, &errs); status == 2 {
		t.Fatal(errs.String())
	}
	var plan struct {
		Recharge []struct {
			ArrayWh float64 `json:"array_wh"`
		} `json:"recharge"`
	}
	if err := json.Unmarshal(out.Bytes(), &plan); err != nil || len(plan.Recharge) != 12 {
		t.Fatalf("%d months of recharge: %v", len(plan.Recharge), err)
	}
	// kWh/m2 by month, computed from the file.
	global := []float64{54.68, 69.81, 106.65, 131.82, 185.25, 188.81, 191.48, 160.00, 125.78, 91.18, 54.56, 46.62}
	days := []float64{31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31}
	warmth := cellWarmth(t, weather)
	for m, r := range plan.Recharge {
		// 3,520 W less the usual losses of 14.08 % (NREL TP-6A20-62641, SEEN), and the module's -0.30 %/K (its catalog
		// entry) with the cell's distance from 25 C. The sums above are rounded to 0.01 kWh/m2, at most 0.011 % of a
		// month.
		want := global[m] / days[m] * 3520 * (1 - 0.1408) * (1 + gammaPerK*(warmth[m]-25))
		if math.Abs(r.ArrayWh-want) > 0.0002*want {
			t.Errorf("month %d: %.0f Wh a day, want %.0f", m+1, r.ArrayWh, want)
		}
	}
	for _, args := range [][]string{{"outage", "--hours", "48", site}, {"outage", "--every-start", site}} {
		out.Reset()
		if status := run(args, nil, &out, &errs); status == 2 || out.Len() == 0 {
			t.Errorf("outlast %v: status %d, %s", args, status, errs.String())
		}
	}
}

// gammaPerK is what a kelvin takes of the power of the module (mono-440 of the catalog).
const gammaPerK = -0.003

// cellWarmth reads a weather file in the plainest way and gives for each month the cell's mean temperature while it
// works: air plus 24 K for each 800 W/m2 (NOCT 44 C, its catalog entry; the definition is the standard one, SEEN-S),
// weighted by the global irradiance.
func cellWarmth(t *testing.T, file string) (months [12]float64) {
	t.Helper()
	text, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	var light, warm [12]float64
	for _, line := range strings.Split(string(text), "\n")[8:] { // eight lines of heads
		cols := strings.Split(line, ",")
		if len(cols) < 14 {
			continue
		}
		var month, air, global float64
		for col, to := range map[int]*float64{1: &month, 6: &air, 13: &global} {
			if *to, err = strconv.ParseFloat(strings.TrimSpace(cols[col]), 64); err != nil {
				t.Fatal(err)
			}
		}
		light[int(month)-1] += global
		warm[int(month)-1] += global * (air + 24*global/800)
	}
	for m := range months {
		months[m] = warm[m] / light[m]
	}
	return months
}

// TestWeatherProblem: a weather file that is not there, or is none, is a problem of the site file at its place.
func TestWeatherProblem(t *testing.T) {
	folder := t.TempDir()
	site := filepath.Join(folder, "hut.toml")
	if err := os.WriteFile(site, []byte(strings.Replace(sunnyHut, "WEATHER", "sun.epw", 1)), 0o644); err != nil {
		t.Fatal(err)
	}
	for _, tt := range []struct{ text, want string }{
		{"", `hut.toml:28:1: weather in [[array]]: "sun.epw": no such file`},
		{"not a weather file\n", `hut.toml:28:1: weather in [[array]]: "sun.epw": `},
	} {
		if tt.text != "" {
			if err := os.WriteFile(filepath.Join(folder, "sun.epw"), []byte(tt.text), 0o644); err != nil {
				t.Fatal(err)
			}
		}
		var out, errs bytes.Buffer
		status := run([]string{"plan", site}, nil, &out, &errs)
		if status != 2 || out.Len() > 0 || !strings.Contains(errs.String(), tt.want) {
			t.Errorf("status %d, stdout %q, stderr %q; want 2, nothing, %q", status, out.String(), errs.String(),
				tt.want)
		}
	}
}

// TestEveryStartProgress: a stepped year tells its progress part by part, never backwards within a pass and never
// beyond its end, and an ended context ends it.
func TestEveryStartProgress(t *testing.T) {
	p, err := homes.PlanOne(t.Context(), nil, "../../testdata/sites/cottage.toml", nil)
	if err != nil {
		t.Fatal(err)
	}
	o := study.EveryStartOptions{MaxH: 24, TargetH: 12, Chance: 0.9, StepMin: 60, Reserves: true}
	var parts []int
	highest := math.Inf(-1)
	o.Progress = func(part, done, of int) {
		if !slices.Contains(parts, part) {
			parts, highest = append(parts, part), 0
		}
		share := float64(done) / float64(of)
		if share > 1 || part >= study.EveryStartParts || part == 0 && share < highest {
			t.Errorf("part %d: %d of %d", part, done, of)
		}
		highest = share
	}
	if _, err := study.FromEveryStart(t.Context(), p.Facts, o); err != nil {
		t.Fatal(err)
	}
	if !slices.Equal(parts, []int{0, 1, 2}) {
		t.Errorf("parts %v, want 0, 1 and 2 in order", parts)
	}
	ctx, stop := context.WithCancel(t.Context())
	o.Progress = func(int, int, int) { stop() }
	if _, err := study.FromEveryStart(ctx, p.Facts, o); !errors.Is(err, context.Canceled) {
		t.Errorf("stopped, and the error is %v", err)
	}
}
