package wiring

import (
	"math"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

func TestAmpacity(t *testing.T) {
	for _, tt := range []struct {
		name   string
		laying Laying
		mm2    float64
		wantA  float64
		tol    float64
		source string
	}{
		// 12 AWG copper, 75 C, 25 A, at 40 C ambient: 25 x 0.88 = 22 A.
		{"corrected for heat", Laying{Tables: US, System: SinglePhase, AmbientC: 40}, 3.31, 22, 1e-9,
			"public guide to NEC Table 310.16 (SEEN-P)"},
		// 10 AWG, 90 C wire, 40 A, at 45 C ambient: 40 x 0.87 = 34.8 A, below the 35 A of 75 C terminals.
		{"90 C wire in heat", Laying{Tables: US, System: DC, InsulationC: 90, AmbientC: 45}, 5.26, 34.8, 1e-9,
			"open electrician course, Worked Example 2 (SEEN-P)"},
		{"90 C wire, terminals rule", Laying{Tables: US, System: DC, InsulationC: 90, AmbientC: 30}, 5.26, 35, 0,
			"NEC Table 310.16 (2023), 75 C for terminals (SEEN-S)"},
		// 300 kcmil at 60 C: 240 A; terminal ambient 41 to 45 C: 0.71.
		{"60 C column", Laying{Tables: US, System: DC, InsulationC: 60, AmbientC: 45}, 152, 240 * 0.71, 1e-9,
			"public PV-installer syllabus note (SEEN-P)"},
		{"iec, B1", Laying{Tables: IEC, System: SinglePhase, Method: CoresInConduit, AmbientC: 30}, 2.5, 24, 0,
			"IEC 60364-5-52 Table B.52.2 (SEEN-S)"},
		{"iec, default B2", Laying{Tables: IEC, System: SinglePhase, AmbientC: 30}, 2.5, 23, 0,
			"IEC 60364-5-52 Table B.52.2 (SEEN-S)"},
		{"iec, C, three loaded", Laying{Tables: IEC, System: ThreePhase, Method: OnWall, AmbientC: 30}, 25, 96, 0,
			"IEC 60364-5-52 Table B.52.4 (SEEN-S)"},
		{"iec, 40 C, three circuits", Laying{Tables: IEC, System: SinglePhase, Method: OnWall, AmbientC: 40,
			Grouped: 3}, 16, 85 * 0.87 * 0.70, 1e-9,
			"IEC 60364-5-52 Tables B.52.2, B.52.14, B.52.17 (SEEN-S); product derived"},
		{"us, two single-phase circuits are four conductors", Laying{Tables: US, System: SinglePhase, AmbientC: 30,
			Grouped: 2}, 3.31, 25 * 0.80, 1e-9,
			"NEC adjustment for four to six conductors (SEEN-S); product derived"},
		{"us, one three-phase circuit is not bundled", Laying{Tables: US, System: ThreePhase, AmbientC: 30}, 3.31, 25,
			0, "NEC Table 310.16 (2023) (SEEN-S)"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			a, steps, err := ampacityOf(tt.laying, tt.mm2)
			if err != nil {
				t.Fatal(err)
			}
			near(t, tt.source, a.A, tt.wantA, tt.tol)
			if last := steps[len(steps)-1]; last.Value != a.A && last.Value != a.DeviceA {
				t.Errorf("the working ends at %g, want %g or %g", last.Value, a.A, a.DeviceA)
			}
		})
	}
}

// NEC 240.4(D), copper (SEEN-S): 15, 20 and 30 A at the most on 14, 12 and 10 AWG; no such rule from 8 AWG on.
func TestSmallConductors(t *testing.T) {
	for mm2, want := range map[float64]float64{2.08: 15, 3.31: 20, 5.26: 30, 8.37: 50} {
		a, _, err := ampacityOf(Laying{Tables: US, System: SinglePhase, AmbientC: 30}, mm2)
		if err != nil {
			t.Fatal(err)
		}
		if a.DeviceA != want {
			t.Errorf("%g mm2: device up to %g A, want %g", mm2, a.DeviceA, want)
		}
	}
}

// The bands of the NEC and the rows of the IEC are steps: a value between two takes the hotter one.
func TestAmbientFactorSteps(t *testing.T) {
	for _, tt := range []struct {
		tables            Tables
		insulation, atC   float64
		want              float64
		wantErrorContains string
	}{
		{US, 75, 30, 1.00, ""},
		{US, 75, math.Nextafter(30, 31), 0.94, ""},
		{US, 75, 35, 0.94, ""},
		{US, 75, -10, 1.20, ""},
		{US, 60, 55, 0.41, ""},
		{US, 60, 56, 0, "want at most 55 C for insulation of 60 C"},
		{US, 90, 60, 0.71, ""},
		{IEC, 70, 35, 0.94, ""},
		{IEC, 70, 35.1, 0.87, ""},
		{IEC, 70, 45, 0.79, ""},
		{IEC, 70, 60.1, 0, "ambient temperature 60.1 C, want -60 to 60 C"},
		{IEC, 70, math.NaN(), 0, "ambient temperature NaN C"},
	} {
		row, _, err := ambientFactor(tt.tables, tt.insulation, tt.atC)
		if tt.wantErrorContains != "" {
			if err == nil || !strings.Contains(err.Error(), tt.wantErrorContains) {
				t.Errorf("%s %g C at %g C: error %v, want %q", tt.tables, tt.insulation, tt.atC, err,
					tt.wantErrorContains)
			}
			continue
		}
		if err != nil || row.factor != tt.want {
			t.Errorf("%s %g C at %g C: %g, %v, want %g", tt.tables, tt.insulation, tt.atC, row.factor, err, tt.want)
		}
	}
}

// The remembered rows against the physics they were printed from: heat flow in proportion to the temperature difference
// gives sqrt((tmax - t) / (tmax - 30)). Two decimals are printed. The IEC rows are at their temperature; each NEC row
// stands for a band of 5 C and lies between the factors of its two ends.
func TestAmbientFactorAgainstPhysics(t *testing.T) {
	for _, r := range iecAmbient.rows {
		near(t, "IEC factor at "+num(r.upTo)+" C", r.factor, math.Sqrt((70-r.upTo)/40), 0.005)
	}
	for insulation, table := range usAmbient {
		for _, r := range table.rows {
			hottest, coolest := math.Sqrt((insulation-r.upTo)/(insulation-30)),
				math.Sqrt((insulation-r.upTo+5)/(insulation-30))
			if r.factor < hottest-0.005 || r.factor > coolest+0.005 {
				t.Errorf("NEC factor of %g C at %g C: %g, want %.3f to %.3f", insulation, r.upTo, r.factor, hottest,
					coolest)
			}
		}
	}
}

func TestGroupFactor(t *testing.T) {
	for _, tt := range []struct {
		tables           Tables
		circuits, loaded int
		want             float64
	}{
		// IEC 60364-5-52 Table B.52.17 (SEEN-S)
		{IEC, 1, 2, 1}, {IEC, 2, 2, 0.80}, {IEC, 3, 3, 0.70}, {IEC, 4, 2, 0.65}, {IEC, 5, 2, 0.60},
		{IEC, 10, 2, 0.45}, // between 9 and 12: the larger (memory)
		{US, 1, 3, 1}, {US, 2, 2, 0.80}, {US, 2, 3, 0.80}, {US, 3, 3, 0.70}, {US, 5, 2, 0.50}, {US, 10, 3, 0.45},
		{US, 20, 2, 0.40},
		{US, 20, 3, 0.35}, // NEC adjustment factors (SEEN-S)
	} {
		if row, _ := groupFactor(tt.tables, tt.circuits, tt.loaded); row.factor != tt.want {
			t.Errorf("%s, %d circuits of %d: %g, want %g", tt.tables, tt.circuits, tt.loaded, row.factor, tt.want)
		}
	}
}

// Every column rises with the size and with the insulation; three loaded conductors carry less than two; laid open more
// than in conduit.
func TestTablesAreInOrder(t *testing.T) {
	for i, r := range usAmpacity {
		if !(r.c60 > 0 && r.c60 <= r.c75 && r.c75 <= r.c90) {
			t.Errorf("%s: %v is out of order", usConductors[i].name, r)
		}
		if i > 0 && (r.c60 <= usAmpacity[i-1].c60 || r.c75 <= usAmpacity[i-1].c75 || r.c90 <= usAmpacity[i-1].c90) {
			t.Errorf("%s carries no more than the size before", usConductors[i].name)
		}
	}
	if len(usAmpacity) != len(usConductors) {
		t.Errorf("%d US ampacities for %d sizes", len(usAmpacity), len(usConductors))
	}
	for _, loaded := range []int{2, 3} {
		b1, b2, c := iecColumnOf(CoresInConduit, loaded), iecColumnOf(InConduit, loaded), iecColumnOf(OnWall, loaded)
		for i := range iecConductors {
			if !(b2.a[i] > 0 && b2.a[i] < b1.a[i] && b1.a[i] <= c.a[i]) {
				t.Errorf("%g mm2, %d loaded: B2 %g, B1 %g, C %g are out of order", iecConductors[i].mm2, loaded,
					b2.a[i], b1.a[i], c.a[i])
			}
		}
	}
	for _, col := range iecAmpacity {
		if !slices.IsSorted(col.a[:]) {
			t.Errorf("%s does not rise", col.table)
		}
		if col.loaded == 2 {
			three := iecColumnOf(col.method, 3)
			for i := range col.a {
				if three.a[i] >= col.a[i] {
					t.Errorf("%s: three loaded carry %g, two %g", col.table, three.a[i], col.a[i])
				}
			}
		}
	}
}

func TestHotterOrMoreGroupedNeverCarriesMore(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		l := layingGen(t, rapid.SampledFrom(AllSystems()).Draw(t, "system"))
		worse := l
		worse.AmbientC = rapid.Float64Range(l.AmbientC, 55).Draw(t, "hotter")
		worse.Grouped = rapid.IntRange(l.Grouped, maxGrouped).Draw(t, "more")
		mm2 := rapid.SampledFrom(Sizes(l.Tables)).Draw(t, "size").MM2
		a, _, err := ampacityOf(l, mm2)
		if err != nil {
			t.Fatal(err)
		}
		b, _, err := ampacityOf(worse, mm2)
		if err != nil {
			t.Fatal(err)
		}
		if b.A > a.A || b.DeviceA > a.DeviceA {
			t.Fatalf("%+v carries %g A, %+v carries %g A", l, a.A, worse, b.A)
		}
		if !(b.A > 0) {
			t.Fatalf("%+v carries %g A", worse, b.A)
		}
	})
}

func TestLayingErrors(t *testing.T) {
	good := Laying{Tables: IEC, System: DC, AmbientC: 30}
	for _, tt := range []struct {
		change func(*Laying)
		want   string
	}{
		{func(l *Laying) { l.System = "four-phase" }, `system "four-phase"`},
		{func(l *Laying) { l.Method = "G" }, `method "G", want one of ["B1" "B2" "C"]`},
		{func(l *Laying) { l.InsulationC = 90 }, "insulation 90 C, want 70 C with the iec tables"},
		{func(l *Laying) { l.Tables, l.InsulationC = US, 70 }, "insulation or terminal 70 C, want 60, 75 or 90 C"},
		{func(l *Laying) { l.Tables, l.TerminalC = US, 80 }, "insulation or terminal 80 C, want 60, 75 or 90 C"},
		{func(l *Laying) { l.Grouped = 21 }, "circuits grouped 21, want 1 to 20"},
		{func(l *Laying) { l.Grouped = -1 }, "circuits grouped -1, want 1 to 20"},
	} {
		l := good
		tt.change(&l)
		mm2 := Sizes(l.Tables)[5].MM2
		if _, _, err := ampacityOf(l, mm2); err == nil || !strings.Contains(err.Error(), tt.want) {
			t.Errorf("%+v: error %v, want %q", l, err, tt.want)
		}
	}
}

// IEC 60364-4-43 Table 43A prints k = 115 for PVC (70 to 160 C) and 143 for 90 C insulation to 250 C (memory); whole
// numbers.
func TestAdiabaticK(t *testing.T) {
	near(t, "k of PVC", adiabaticK(70, 160), 115, 0.5)
	near(t, "k of 90 C insulation", adiabaticK(90, 250), 143, 0.5)
}
