package solar

import "testing"

func TestEstimates(t *testing.T) {
	// FAO Irrigation & Drainage Paper 56, Example 10 (SEEN-S): N 10.9 h, n 7.1 h, Ra 25.1 MJ/m2. Published 14.45 (the
	// book prints 14.5).
	got, err := GlobalFromSunshine(25.1, 7.1, 10.9)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "Rs from sunshine", got, 14.45, 0.01)

	// Tests of an open evapotranspiration library quoting FAO 56, eq. 37 (SEEN-S): Ra 41.09, 100 m.
	got, err = ClearSkyGlobal(41.09, 100)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "Rso", got, 30.90, 0.005)

	// FAO 56, eq. 50, own arithmetic: 0.16 * sqrt(16) * 25 inland, 0.19 * sqrt(16) * 25 at the coast.
	for coastal, want := range map[bool]float64{false: 16, true: 19} {
		got, err = GlobalFromTemperatures(25, 31, 15, coastal)
		if err != nil {
			t.Fatal(err)
		}
		near(t, "Rs from temperatures", got, want, 1e-12)
	}
}

func TestEstimatesRefuse(t *testing.T) {
	for want, call := range map[string]func() (float64, error){
		"solar: sunshine 12 h, want 0 to 10.9":                                       func() (float64, error) { return GlobalFromSunshine(25, 12, 10.9) },
		"solar: day length 0 h, want above 0, at most 24":                            func() (float64, error) { return GlobalFromSunshine(25, 0, 0) },
		"solar: extraterrestrial irradiation 60 a day, want 0 to 50 MJ/m2 or kWh/m2": func() (float64, error) { return ClearSkyGlobal(60, 0) },
		"solar: altitude 9000 m, want -450 to 6000":                                  func() (float64, error) { return ClearSkyGlobal(30, 9000) },
		"solar: lowest temperature 20 C, want -90 to 15":                             func() (float64, error) { return GlobalFromTemperatures(30, 15, 20, false) },
	} {
		if got, err := call(); err == nil || err.Error() != want || got != 0 {
			t.Errorf("%g, error %v; want %s", got, err, want)
		}
	}
}
