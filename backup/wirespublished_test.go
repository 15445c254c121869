package backup_test

import (
	"math"
	"testing"

	"outlast/backup"
	"outlast/backup/conductors"
	"outlast/backup/verdict"
)

// run finds a run of a plan by the id of its check.
func run(t *testing.T, p *backup.Plan, id string) conductors.Run {
	t.Helper()
	for _, r := range p.Runs {
		if r.ID == id {
			return r
		}
	}
	t.Fatalf("no run %s among %v", id, p.Runs)
	return conductors.Run{}
}

// within compares with a published figure: half of its last printed digit is forgiven, or what is said.
func within(t *testing.T, what string, got, want, tolerance float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tolerance) {
		t.Errorf("%s = %.6g, want %g within %g", what, got, want, tolerance)
	}
}

// 2500 W inverter, efficiency 85 %, lowest battery voltage 22 V of a 24 V bank: 2500/0.85/22 = 134 A (133.7); x 1.25 =
// 167 A. Public PV-installer syllabus note, Wire sizing between inverter and battery (SEEN-P); half an ampere.
func TestPublishedBankCable(t *testing.T) {
	h := newHouse().set("site.nominal_v", 120)
	h.circuits = nil
	p := h.replace("inverter",
		"rated_w = 2500; rated_va = 2500; nominal_dc_v = 24; dc_min_v = 20; dc_max_v = 32; max_discharge_a = 200; "+
			"idle_w = 0; efficiency = 0.85").
		replace("bank", `chemistry = "agm"; nominal_v = 12; rated_ah = 200; min_v = 11; strings = 2`).set(
		"wiring.ambient_c", 45).plan(t)
	within(t, "needs, A", run(t, p, "cable-bank").NeedsA, 167, 0.5)
	// In the 75 C column at 45 C (0.82): 175 A of fuse ask for 4/0 AWG, 230 x 0.82 = 188.6 A; 3/0 carries 164 A. NEC
	// Table 310.16 (SEEN-S).
	if r := run(t, p, "cable-bank"); r.DeviceA != 175 || r.Conductor.Name != "4/0 AWG" {
		t.Errorf("%g A on %s, want 175 A on 4/0 AWG", r.DeviceA, r.Conductor.Name)
	}
}

// 7.6 kW, 240 V, 32 A maximum continuous: 40 A breaker, and 8 AWG at 75 C (50 A) is enough. Open electrician course,
// lesson PV System Components (SEEN-P). 32 A are printed for 31.7.
func TestPublishedInverterOutput(t *testing.T) {
	h := newHouse().set("site.nominal_v", 120)
	h.circuits = nil
	p := h.set("site.phases", 2).put("inverter", "phases = 2; rated_w = 7680; rated_va = 7680").set("wiring.ambient_c",
		30).plan(t)
	if r := run(t, p, "cable-feeder"); r.NeedsA != 40 || r.DeviceA != 40 || r.Conductor.Name != "8 AWG" ||
		r.CarriesA != 50 {
		t.Errorf("%+v, want a breaker of 40 A on 8 AWG, which carries 50 A", r)
	}
}

// 20 A over 100 ft at 120 V, copper: 12 AWG loses 7.9 V, 6.6 %, which is too high; 8 AWG 3.1 V, 2.6 %, acceptable.
// Electrician exam-preparation page, Voltage Drop & Ohm's Law (SEEN-P), by K = 12.9; with NEC Chapter 9 Table 8 it is
// 7.92 and 3.11 V.
func TestPublishedDropUS(t *testing.T) {
	for _, tt := range []struct {
		mm2, v, percent float64
		status          verdict.Status
	}{{3.31, 7.9, 6.6, "fail"}, {8.37, 3.1, 2.6, "pass"}} {
		h := newHouse().set("site.nominal_v", 120).set("wiring.ambient_c", 30)
		h.circuits = nil
		p := h.circuit("a", "breaker_a = 20; length_m = 30.48; cable_mm2 = "+num(tt.mm2)).load("A",
			"running_w = 2400; hours_per_day = 1").plan(t)
		r := run(t, p, "cable-a")
		within(t, "drop, V", r.Drop*120, tt.v, 0.05)
		within(t, "drop, %", 100*r.Drop, tt.percent, 0.05)
		if r.Check.Status != tt.status {
			t.Errorf("%g mm2: %s, want %s", tt.mm2, r.Check.Status, tt.status)
		}
	}
}

// A 6 kW shower at 240 V on 4 mm2 two-core (11 mV/A/m), 16 m: 25 A, 4.4 V, 1.83 %. Training document on cables,
// conduits and trunking (SEEN-P). The tabulated 11 mV stand for 2 x 4.61 x 1.1965 = 11.03.
func TestPublishedDropIEC(t *testing.T) {
	h := newHouse().set("site.nominal_v", 240).set("wiring.ambient_c", 30).set("inverter.output_v", 240)
	h.circuits = nil
	r := run(t, h.circuit("shower", `breaker_a = 30; length_m = 16; cable_mm2 = 4; board = "main"`).load("Shower",
		`circuit = "shower"; running_w = 6000; hours_per_day = 0.5`).plan(t), "cable-shower")
	within(t, "drop, V", r.Drop*240, 4.4, 0.05)
	within(t, "drop, %", 100*r.Drop, 1.83, 0.02)
}

// Isc 11.2 A, one string for each circuit: 14.0 A, and 17.5 A before conditions of use; with more strings the next
// standard fuse, 20 A, as long as the module bears it. Open electrician course, Worked Example 2 (NEC 2023, SEEN-P).
func TestPublishedArray(t *testing.T) {
	const array = "[[array]]\nrated_w = 400\nvoc_v = 49.5\nisc_a = 11.2\nvmp_v = 41\nimp_a = 10.5\n" +
		"voc_pct_per_c = -0.27\nmodules_per_string = 11\ntilt_deg = 30\nazimuth_deg = 0\nstrings = "
	plan := func(strings string) *backup.Plan {
		h := newHouse().set("site.latitude", 40).set("site.coldest_air_c", -10).set("site.hottest_c",
			45).set("wiring.tables", `"us"`)
		h.circuits = nil
		p, err := planOf(h.text() + array + strings + "\n")
		if err != nil {
			t.Fatal(err)
		}
		return p
	}
	r := run(t, plan("1"), "cable-array-1")
	within(t, "needs, A", r.NeedsA, 14.0, 0.05)
	if r.DeviceA != 0 || r.Check.Status != "pass" || r.Check.Demand > 17.51 {
		t.Errorf("one string: %+v, want no fuse, and a pass", r)
	}
	// Three strings: 20 A; whether the module bears them nobody has said.
	r = run(t, plan("3"), "cable-array-1")
	if r.DeviceA != 20 || r.Check.Status != "caution" {
		t.Errorf("three strings: fuse of %g A, %s, want 20 A and a caution that asks for max_fuse_a", r.DeviceA,
			r.Check.Status)
	}
	if got := run(t, plan("3\nmax_fuse_a = 20"), "cable-array-1").Check; got.Status != "pass" || got.Demand != 20 ||
		got.Limit != 20 {
		t.Errorf("a module that bears 20 A: %+v, want a pass in full", got)
	}
	if got := run(t, plan("3\nmax_fuse_a = 15"), "cable-array-1").Check; got.Status != "fail" || got.Demand != 20 ||
		got.Limit != 15 {
		t.Errorf("a module that bears 15 A: %+v, want a failure", got)
	}
	// 11 modules reach 596 V at -10 C (Worked Example 1): so much the isolator must bear.
	for volts, want := range map[string]verdict.Status{"596": "pass", "595": "fail"} {
		p, err := planOf(newHouse().set("site.latitude", 40).set("site.coldest_air_c", -10).set("site.hottest_c", 45).
			put("wiring", "array_isolator_a = 14; array_isolator_v = "+volts).text() + array + "1\n")
		if err != nil {
			t.Fatal(err)
		}
		if c := check(t, p, "cable-array-1"); c.Status != want {
			t.Errorf("an isolator of %s V: %s, %s, want %s", volts, c.Status, c.Reason, want)
		}
	}
}
