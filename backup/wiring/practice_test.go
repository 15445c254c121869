package wiring

import (
	"math"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
)

func TestPracticeDefaults(t *testing.T) {
	got, err := Practice{}.Filled()
	if err != nil {
		t.Fatal(err)
	}
	want := Practice{ContinuousFactor: 1.25, DCFuseFactor: 1.25, PVFactor: 1.25, DCDropLimit: 0.02, ACDropLimit: 0.03,
		TotalDropLimit: 0.05,
		StartDropLimit: 0.15, SurgeRiseK: 10, GeneratorShare: 0.9, GeneratorStart: 1.5, GeneratorDip: 0.35,
		GeneratorReactance: 0.25}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Errorf("defaults (-want +got):\n%s", diff)
	}
	own := want
	own.DCDropLimit, own.UnfusedStrings, own.NextSizeUp = 0.03, 1, true
	if got, err := own.Filled(); err != nil || got != own {
		t.Errorf("a filled practice changes: %v, %v", got, err)
	}
}

func TestPracticeErrors(t *testing.T) {
	for want, p := range map[string]Practice{
		"continuous factor NaN, want 1 to 2":                  {ContinuousFactor: math.NaN()},
		"DC drop limit -0.02":                                 {DCDropLimit: -0.02},
		"temperature rise in a start 100 K, want 0.1 to 60 K": {SurgeRiseK: 100},
		"unfused strings -1, want 1 to 100":                   {UnfusedStrings: -1},
		"short-circuit current 36 A/Ah, want 1 to 35":         {FaultPerAh: 36},
	} {
		if _, err := p.Filled(); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%+v: error %v, want %q", p, err, want)
		}
	}
}

// A default says where it comes from, a given value that it was given.
func TestWorkingTellsWhoseFactor(t *testing.T) {
	f := Feeder{Laying: Laying{Tables: US, System: SinglePhase, AmbientC: 30}, VoltageV: 120, LengthM: 10,
		ContinuousA: 10}
	source := func() string {
		return sizeFeeder(t, f).Working(nil)[0].Cited().String()
	}
	if got := source(); got != "NEC, 210.20(A) [quoted]" {
		t.Errorf("source %q", got)
	}
	f.Practice.ContinuousFactor = 1.1
	if got := source(); got != "practice given" {
		t.Errorf("source %q", got)
	}
}
