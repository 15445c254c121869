package wiring

import (
	"math"
	"slices"
	"testing"

	"pgregory.net/rapid"

	"outlast/backup/working"
)

// near reports a figure that is farther from want than its printed digits allow.
func near(t *testing.T, what string, got, want, tolerance float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tolerance) {
		t.Errorf("%s = %.6g, want %g within %g", what, got, want, tolerance)
	}
}

// find returns the check of a comparison.
func find(t *testing.T, checks []Check, of Comparison) Check {
	t.Helper()
	for _, c := range checks {
		if c.Of == of {
			return c
		}
	}
	t.Fatalf("no check %d among %+v", of, checks)
	return Check{}
}

// worst is the worst status of the checks, Pass if there are none.
func worst(checks []Check) Status {
	rank := []Status{Pass, Caution, Fail}
	at := 0
	for _, c := range checks {
		at = max(at, slices.Index(rank, c.Status))
	}
	return rank[at]
}

// ampacityOf is what a standard size may carry, with its working.
func ampacityOf(l Laying, mm2 float64) (Ampacity, []Step, error) {
	i, err := indexOf(l.Tables, mm2)
	if err != nil {
		return Ampacity{}, nil, err
	}
	p, err := l.place(InConduit)
	if err != nil {
		return Ampacity{}, nil, err
	}
	a := p.ampacity(i)
	return a, written(nil, func(w *working.Part) { p.steps(w, i, a, false) }), nil
}

// resistance is of a standard size, in ohm/km.
func resistance(t *testing.T, tables Tables, strand Strand, mm2, copperC float64) float64 {
	t.Helper()
	i, err := indexOf(tables, mm2)
	if err != nil {
		t.Fatal(err)
	}
	return resistanceAt(tables, strand, i, copperC)
}

func wantStatus(t *testing.T, checks []Check, of Comparison, want Status) {
	t.Helper()
	if c := find(t, checks, of); c.Status != want {
		t.Errorf("%d: %s (%g against %g %s, %s), want %s", of, c.Status, c.Demand, c.Limit, c.Unit, c.Reason, want)
	}
}

var tablesGen = rapid.SampledFrom(AllTables())

// layingGen draws surroundings that both families accept.
func layingGen(t *rapid.T, system System) Laying {
	l := Laying{Tables: tablesGen.Draw(t, "tables"), System: system,
		AmbientC: rapid.Float64Range(-20, 55).Draw(t, "ambient"),
		Grouped:  rapid.IntRange(1, maxGrouped).Draw(t, "grouped")}
	if l.Tables == US {
		l.InsulationC = rapid.SampledFrom([]float64{60, 75, 90}).Draw(t, "insulation")
	} else {
		l.Method = rapid.SampledFrom([]Method{InConduit, CoresInConduit, OnWall}).Draw(t, "method")
	}
	return l
}

func runGen(t *rapid.T) run {
	system := rapid.SampledFrom(AllSystems()).Draw(t, "system")
	return run{
		Laying: layingGen(t, system), VoltageV: rapid.Float64Range(12, 400).Draw(t, "volts"),
		LengthM: rapid.Float64Range(0, 200).Draw(t, "length"), LoadA: rapid.Float64Range(0, 200).Draw(t, "load"),
		PowerFactor: rapid.Float64Range(0.1, 1).Draw(t, "pf"),
		DeviceA:     rapid.SampledFrom([]float64{0, 15, 20, 63, 200}).Draw(t, "device"),
		SurgeA:      rapid.Float64Range(0, 600).Draw(t, "surge"),
		SurgeS:      rapid.Float64Range(0.01, 300).Draw(t, "seconds"),
		StartA:      rapid.Float64Range(0, 600).Draw(t, "start"),
	}
}
