package main

import (
	"encoding/json"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"testing"
)

const seen, derived, fromMemory = "seen", "derived", "memory"

// sourcedMotors are starts of motors.
func sourcedMotors() []sourced {
	var all []sourced
	// The upper end of each code letter, kVA for each hp: what a motor of that letter may take.
	for _, letter := range []struct {
		code string
		kva  float64
	}{{"A", 3.14}, {"B", 3.54}, {"C", 3.99}, {"D", 4.49}, {"E", 4.99}, {"F", 5.59}, {"G", 6.29}, {"H", 7.09},
		{"J", 7.99}, {"K", 8.99}, {"L", 9.99}, {"M", 11.19}, {"N", 12.49}, {"P", 13.99}, {"R", 15.99}, {"S", 17.99},
		{"T", 19.99}, {"U", 22.39}} {
		all = append(all, sourced{"code letter " + letter.code, "NEC Table 430.7(B), several copies", seen,
			home{loads: []string{fmt.Sprintf("running_w = 1500\nhours_per_day = 1\nmotor = { hp = 2, code = %q }",
				letter.code)}},
			"starts[0].va", 1. / 2000, letter.kva, 0.005})
	}
	all = append(all, sourced{"20 hp, letter G", "worked solution on a code forum, thread 35488", seen,
		home{site: "nominal_v = 265.58\nphases = 3", circuit: "phase = 0", inverter: "phases = 3",
			loads: []string{"running_w = 17000\nhours_per_day = 1\nmotor = { hp = 20, code = \"G\" }"}},
		"starts[0].va", 0.001, 125.8, 0.05})
	// Locked-rotor amperes by size: on one phase at 230 V, on three at 230 V between lines.
	for _, m := range []struct {
		hp, amps float64
	}{{0.5, 29.4}, {0.75, 41.4}, {1, 48}, {1.5, 60}, {2, 72}, {3, 102}, {5, 168}} {
		all = append(all, sourced{fmt.Sprintf("locked rotor, one phase, %g hp", m.hp), "NEC Table 430.251(A)", seen,
			home{loads: []string{
				fmt.Sprintf("running_w = %g\nhours_per_day = 1\nmotor = { hp = %g, locked_rotor_a = %g }",
					746*m.hp, m.hp, m.amps)}},
			"starts[0].va", 1. / 230, m.amps, 0.05})
	}
	for _, m := range []struct {
		hp, amps, kva float64
	}{{3, 64, 25.496}, {5, 92, 36.650}, {10, 162, 64.536}} {
		all = append(all, sourced{fmt.Sprintf("locked rotor, three phases, %g hp", m.hp), "NEC Table 430.251(B)",
			derived,
			home{site: fmt.Sprintf("nominal_v = %.6f\nphases = 3", 230/math.Sqrt(3)), circuit: "phase = 0",
				inverter: "phases = 3",
				loads: []string{
					fmt.Sprintf("running_w = %g\nhours_per_day = 1\nmotor = { hp = %g, locked_rotor_a = %g }",
						746*m.hp, m.hp, m.amps)}},
			"starts[0].va", 0.001, m.kva, 0.0005})
	}
	star := home{site: fmt.Sprintf("nominal_v = %.6f\nphases = 3", 400/math.Sqrt(3)), circuit: "phase = 0",
		inverter: "phases = 3",
		loads:    []string{"running_w = 15000\nhours_per_day = 1\nmotor = { kw = 15, locked_rotor_a = 180, method = \"star-delta\" }"}}
	all = append(all, sourced{"star-delta start of 180 A", "trade page on starters: line current one third",
		derived, star,
		"starts[0].va", 1 / (400 * math.Sqrt(3)), 60, 0.01})
	// A list of a utility: starting and running watts of four motors, and what runs steadily beside them.
	motor := func(start, run float64) string {
		return fmt.Sprintf("running_w = %g\nstarting_w = %g\nstarting_pf = 1\nhours_per_day = 24", run, start)
	}
	list := home{loads: []string{motor(2500, 800), motor(2000, 750), motor(1400, 700), motor(1400, 750), always(100),
		always(750),
		always(850)}}
	utility := "Manitoba Hydro, standby generators"
	cooker := home{loads: []string{motor(2900, 1200), always(100), always(200), always(750)}}
	return append(all,
		sourced{"total of a utility's list", utility, seen, list, "demand.connected_w", 0, 4700, 0.5},
		sourced{"largest motor last", utility, derived, list, "surge.va", 0, 6400, 0.5},
		sourced{"all motors at once", utility, derived, list, "surge.restart_va", 0, 9000, 0.5},
		sourced{"refrigerator starts beside the rest", "sizing chart of a rural co-operative", seen, cooker, "surge.va",
			0, 3950, 0.5},
	)
}

// sourcedSets are sets of loads by their share of the day, whose quantiles were worked out in exact rationals.
func sourcedSets(t *testing.T) []sourced {
	t.Helper()
	var sets []struct {
		Name  string       `json:"name"`
		Loads [][2]float64 `json:"loads_w_p"`
	}
	var quantiles []struct{ P95, P99, P999 float64 }
	for name, into := range map[string]any{"instances.json": &sets, "expected.json": &quantiles} {
		text, err := os.ReadFile(filepath.Join("../../loads/testdata/demand", name))
		if err == nil {
			err = json.Unmarshal(text, into)
		}
		if err != nil {
			t.Fatal(err)
		}
	}
	var all []sourced
	for i, set := range sets {
		var list []string
		for _, wp := range set.Loads {
			list = append(list, hours(wp[0], 24*wp[1]))
		}
		for _, q := range []struct{ confidence, watts float64 }{{0.95, quantiles[i].P95}, {0.99, quantiles[i].P99},
			{0.999, quantiles[i].P999}} {
			all = append(all, sourced{fmt.Sprintf("%s at %g", set.Name, q.confidence),
				"synthetic sets, exact rationals",
				derived, home{practice: fmt.Sprintf("confidence = %g", q.confidence), loads: list},
				"demand.probable_w", 0,
				q.watts, 1e-6})
		}
	}
	return all
}

// sourcedDemand are energies of days and probable demands.
func sourcedDemand() []sourced {
	doe := "US Department of Energy, appliance energy, as a city reproduces it"
	all := []sourced{
		{"computer and monitor for a year", doe, seen, home{loads: []string{hours(120, 4), hours(150, 4)}},
			"demand.energy_wh_per_day", 0.365, 394.2, 0.05},
		{"fan for 120 days", doe, seen, home{loads: []string{hours(200, 4)}}, "demand.energy_wh_per_day", 0.12,
			96, 0.5},
		{"refrigerator, a third of the day", doe, derived, home{loads: []string{hours(725, 8)}},
			"demand.energy_wh_per_day", 0, 5800, 0.5},
		{"breathing aid for a night", "page on breathing aids", seen, home{loads: []string{hours(40, 8)}},
			"demand.energy_wh_per_day", 0.001, 0.32, 0.005},
		{"fan and lamp", "dealer's page on batteries", seen, home{loads: []string{hours(20, 12), hours(16, 5)}},
			"demand.energy_wh_per_day", 0, 320, 0.5},
		{"three days", "worked bank of a deep-cycle text", seen,
			home{outage: "autonomy_h = 72", loads: []string{always(250)}}, "bank.energy_ac_wh", 0, 18000, 0.5},
	}
	// Four loads by their share of the day, a distribution worked out by hand in exact arithmetic.
	four := []string{hours(150, 8), hours(120, 9.6), hours(1000, 2.4), hours(500, 12)}
	for _, q := range []struct{ confidence, watts float64 }{{0.62, 500}, {0.89, 770}, {0.95, 1270}, {0.993, 1650},
		{0.994, 1770}} {
		all = append(all, sourced{fmt.Sprintf("four loads at %g", q.confidence),
			"Poisson-binomial distribution, any text on statistics", derived,
			home{practice: fmt.Sprintf("confidence = %g", q.confidence), loads: four}, "demand.probable_w", 0,
			q.watts, 0.5})
	}
	for _, q := range []struct{ confidence, watts float64 }{{0.74, 100}, {0.75, 200}, {0.96, 200}, {0.97, 300}} {
		all = append(all, sourced{fmt.Sprintf("three compressors at %g", q.confidence),
			"binomial distribution, duty of a third", derived,
			home{practice: fmt.Sprintf("confidence = %g", q.confidence),
				loads: []string{hours(100, 8) + "\nquantity = 3"}}, "demand.probable_w", 0, q.watts, 0.5})
	}
	return all
}
