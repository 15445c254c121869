package wiring

import (
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

// ITIC (CBEMA) curve, 2000 revision, read from a power-quality handbook p. 112 and an instrument maker's note (SEEN).
func TestToleratedMS(t *testing.T) {
	for _, tt := range []struct {
		fraction, ms float64
		steady       bool
	}{
		{0, 20, false}, {0.69, 20, false}, {0.70, 500, false}, {0.79, 500, false}, {0.80, 10000, false}, {0.89, 10000, false},
		{0.90, 0, true}, {1, 0, true}, {1.10, 0, true}, {1.11, 500, false}, {1.20, 500, false}, {1.21, 3, false}, {1.40, 3, false},
		{1.41, 1, false}, {2.00, 1, false}, {2.01, 0, false},
	} {
		ms, steady, err := ToleratedMS(tt.fraction)
		if err != nil || ms != tt.ms || steady != tt.steady {
			t.Errorf("ToleratedMS(%g) = %g, %t, %v, want %g, %t", tt.fraction, ms, steady, err, tt.ms, tt.steady)
		}
	}
	for _, bad := range []float64{-0.1, 101, math.NaN()} {
		if _, _, err := ToleratedMS(bad); err == nil {
			t.Errorf("ToleratedMS(%g): no error", bad)
		}
	}
}

func TestCheckBreak(t *testing.T) {
	loads := []Sensitive{{"Fridge", 0}, {"Computer", 16}, {"Router", 30}}
	for _, tt := range []struct {
		name                    string
		b                       Break
		curve, computer, router Status
	}{
		{"none", Break{0, true, loads}, Pass, Pass, Pass},
		{"just ridden through", Break{16, true, loads}, Pass, Pass, Pass},
		{"the curve's own time", Break{20, true, loads}, Pass, Fail, Pass},
		{"beyond the curve", Break{20.1, true, loads}, Caution, Fail, Pass},
		{"beyond everything", Break{50, true, loads}, Caution, Fail, Fail},
		{"unknown", Break{0, false, loads}, Caution, Caution, Caution},
	} {
		t.Run(tt.name, func(t *testing.T) {
			r, err := CheckBreak(tt.b)
			if err != nil {
				t.Fatal(err)
			}
			if len(r.Checks) != 3 {
				t.Fatalf("checks %+v, want three: a load that says nothing has none", r.Checks)
			}
			wantStatus(t, r.Checks, "transfer-curve", tt.curve)
			wantStatus(t, r.Checks, "transfer-Computer", tt.computer)
			wantStatus(t, r.Checks, "transfer-Router", tt.router)
		})
	}
	if _, err := CheckBreak(Break{TransferMS: -1}); err == nil || !strings.Contains(err.Error(), "break -1 ms") {
		t.Errorf("negative break: error %v", err)
	}
	if _, err := CheckBreak(Break{Loads: []Sensitive{{"Clock", -1}}}); err == nil || !strings.Contains(err.Error(), "load 1 (Clock): break -1 ms") {
		t.Errorf("negative ride-through: error %v", err)
	}
}

func TestLongerBreakNeverFaresBetter(t *testing.T) {
	rank := map[Status]int{Pass: 0, Caution: 1, Fail: 2}
	rapid.Check(t, func(t *rapid.T) {
		ms := rapid.Float64Range(0, 1000).Draw(t, "ms")
		loads := []Sensitive{{"a", rapid.Float64Range(0.001, 100).Draw(t, "a")}}
		short, err := CheckBreak(Break{ms, true, loads})
		if err != nil {
			t.Fatal(err)
		}
		long, err := CheckBreak(Break{rapid.Float64Range(ms, 2000).Draw(t, "longer"), true, loads})
		if err != nil {
			t.Fatal(err)
		}
		for i := range short.Checks {
			if rank[long.Checks[i].Status] < rank[short.Checks[i].Status] {
				t.Fatalf("%+v, longer %+v", short.Checks[i], long.Checks[i])
			}
		}
	})
}

// The questions are asked of what is there, never answered.
func TestHandOver(t *testing.T) {
	topics := func(s Scope) string {
		var names []string
		for _, q := range HandOver(s) {
			if q.Topic.Empty() || q.Text.Empty() {
				t.Errorf("%+v is not complete", q)
			}
			names = append(names, q.Topic.String())
		}
		return strings.Join(names, ", ")
	}
	always := "Neutral-earth link, Residual-current devices, Breakers on inverter supply, DC isolation, Battery conductors"
	for want, s := range map[string]Scope{
		always + ", Who installs": {},
		"Transfer and isolation, Feeding a dead street, " + always + ", Who installs":                               {Grid: true},
		"Transfer and isolation, Feeding a dead street, " + always + ", Array in daylight, Generator, Who installs": {true, true, true},
	} {
		if got := topics(s); got != want {
			t.Errorf("%+v: %s, want %s", s, got, want)
		}
	}
}
