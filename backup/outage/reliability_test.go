package outage

import (
	"math"
	"testing"
)

func near(t *testing.T, what string, got, want, tolerance float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tolerance) {
		t.Errorf("%s = %.8g, want %.8g within %g", what, got, want, tolerance)
	}
}

// W-1, own example (mark: own, recomputed). The last event is momentary. Half of the last printed digit is the tolerance.
func TestReliability(t *testing.T) {
	x, err := Reliability([]Interruption{{400, 90}, {1200, 45}, {150, 600}, {2000, 30}, {80, 3}}, 5000, SustainedMin, 8760)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "SAIDI", x.SAIDIMin, 48.0, 0.05)
	near(t, "SAIFI", x.SAIFI, 0.750, 0.0005)
	near(t, "CAIDI", x.CAIDIMin, 64.0, 0.05)
	near(t, "ASAI", x.ASAI, 0.9999087, 0.00000005)

	// exactly 5 min is momentary, the next number is not
	for minutes, want := range map[float64]float64{5: 0, math.Nextafter(5, 6): 0.1} {
		x, err := Reliability([]Interruption{{10, minutes}}, 100, SustainedMin, 8760)
		if err != nil || x.SAIFI != want {
			t.Errorf("%g min: SAIFI %g, %v, want %g", minutes, x.SAIFI, err, want)
		}
	}
	if x, err := Reliability(nil, 1, SustainedMin, 8784); err != nil || x != (Indices{ASAI: 1}) {
		t.Errorf("no interruption: %+v, %v", x, err)
	}
}

// W-2, own (mark: own, recomputed): eleven days with interruptions and one without.
func TestMajorEventDay(t *testing.T) {
	days := []float64{0.4, 0.9, 0.2, 1.3, 0.6, 0, 2.1, 0.3, 0.8, 48, 0.5, 1.1}
	e, err := MajorEventDay(days)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "alpha", e.Alpha, -0.026488, 0.0000005)
	near(t, "beta", e.Beta, 1.459061, 0.0000005)
	near(t, "T_MED", e.ThresholdMin, 37.381, 0.0005)
	all, ordinary := 0.0, 0.0
	for _, m := range days {
		all += m
		if m <= e.ThresholdMin {
			ordinary += m
		}
	}
	near(t, "SAIDI", all, 56.20, 0.005)
	near(t, "SAIDI without the major event day", ordinary, 8.20, 0.005)

	for _, few := range [][]float64{nil, {0, 0, 3}, {1, math.NaN(), 2}, {1, 2, -1}} {
		if e, err := MajorEventDay(few); err == nil {
			t.Errorf("%v: %+v, want an error", few, e)
		}
	}
}

// US Energy Information Administration, Electric Power Annual, Table 11.1, and Table 11.3 for the states of 2023. Mark:
// SEEN. A row's SAIDI and SAIFI, as one event, give its CAIDI within what their printed digits allow: half of the last
// digit of each of the three.
func TestCAIDIOfPublishedYears(t *testing.T) {
	for _, row := range []struct {
		name                string
		saidi, saifi, caidi float64
	}{
		{"2014, IEEE, all", 236.2, 1.257, 188.0}, {"2014, IEEE, without major event days", 114.2, 1.038, 110.0},
		{"2014, any method, all", 219.0, 1.220, 179.6}, {"2014, any method, without major events", 109.7, 1.019, 107.7},
		{"2015, IEEE, all", 209.0, 1.275, 163.9}, {"2015, IEEE, without major event days", 117.0, 1.073, 109.1},
		{"2015, any method, all", 205.0, 1.246, 164.5}, {"2015, any method, without major events", 113.1, 1.046, 108.1},
		{"2016, IEEE, all", 268.4, 1.327, 202.2}, {"2016, IEEE, without major event days", 119.8, 1.082, 110.7},
		{"2016, any method, all", 249.2, 1.292, 192.9}, {"2016, any method, without major events", 116.9, 1.062, 110.0},
		{"2017, IEEE, all", 505.9, 1.420, 356.2}, {"2017, IEEE, without major event days", 117.0, 1.023, 114.3},
		{"2017, any method, all", 473.1, 1.394, 339.3}, {"2017, any method, without major events", 114.4, 1.007, 113.6},
		{"2018, IEEE, all", 349.2, 1.340, 260.5}, {"2018, IEEE, without major event days", 121.4, 1.051, 115.5},
		{"2018, any method, all", 346.4, 1.325, 261.5}, {"2018, any method, without major events", 117.2, 1.028, 114.0},
		{"2019, IEEE, all", 295.5, 1.332, 221.8}, {"2019, IEEE, without major event days", 122.2, 1.040, 117.5},
		{"2019, any method, all", 284.6, 1.325, 214.8}, {"2019, any method, without major events", 118.6, 1.017, 116.6},
		{"2020, IEEE, all", 456.1, 1.385, 329.3}, {"2020, IEEE, without major event days", 116.0, 1.013, 114.5},
		{"2020, any method, all", 491.9, 1.440, 341.7}, {"2020, any method, without major events", 119.0, 1.037, 114.7},
		{"2021, IEEE, all", 475.8, 1.436, 331.2}, {"2021, IEEE, without major event days", 125.7, 1.039, 120.9},
		{"2021, any method, all", 440.0, 1.425, 308.8}, {"2021, any method, without major events", 121.5, 1.025, 118.5},
		{"2022, IEEE, all", 333.0, 1.426, 233.5}, {"2022, IEEE, without major event days", 131.1, 1.090, 120.2},
		{"2022, any method, all", 335.5, 1.405, 238.8}, {"2022, any method, without major events", 125.7, 1.064, 118.1},
		{"2023, IEEE, all", 366.6, 1.348, 271.8}, {"2023, IEEE, without major event days", 123.9, 1.022, 121.3},
		{"2023, any method, all", 342.0, 1.333, 256.6},
		{"Maine 2023", 1863, 3.314, 562.2}, {"Maine 2023, without major events", 247.4, 1.979, 125.0},
		{"Michigan 2023", 1093.6, 1.512, 723.5}, {"Michigan 2023, without major events", 162.7, 0.921, 176.7},
		{"Vermont 2023", 744.4, 2.352, 316.5}, {"Vermont 2023, without major events", 221.3, 1.580, 140.0},
		{"Rhode Island 2023", 104.6, 0.782, 133.7}, {"Rhode Island 2023, without major events", 52.2, 0.667, 78.3},
	} {
		// one event that interrupts every customer SAIFI times and lasts CAIDI
		x, err := Reliability([]Interruption{{1000 * row.saifi, row.saidi / row.saifi}}, 1000, SustainedMin, 8760)
		if err != nil {
			t.Fatal(err)
		}
		near(t, row.name+": SAIFI", x.SAIFI, row.saifi, 1e-9)
		near(t, row.name+": CAIDI", x.CAIDIMin, row.caidi, 0.05+0.05/row.saifi+0.0005*row.caidi/row.saifi)
	}
}

func TestReliabilityErrors(t *testing.T) {
	nan, inf := math.NaN(), math.Inf(1)
	ok := []Interruption{{1, 60}}
	for _, tt := range []struct {
		events                []Interruption
		served, least, period float64
	}{
		{ok, 0, 5, 8760}, {ok, nan, 5, 8760}, {ok, inf, 5, 8760}, {ok, 1, -1, 8760}, {ok, 1, nan, 8760}, {ok, 1, 5, 0},
		{ok, 1, 5, inf}, {[]Interruption{{-1, 60}}, 1, 5, 8760}, {[]Interruption{{1, nan}}, 1, 5, 8760},
	} {
		if x, err := Reliability(tt.events, tt.served, tt.least, tt.period); err == nil {
			t.Errorf("%+v: %+v, want an error", tt, x)
		}
	}
}
