package battery

import (
	"math"
	"testing"
)

// TestPrefitChangesNothing: a model that is handed the fit of its unit gives the same bits as one that fits for itself,
// step by step.
func TestPrefitChangesNothing(t *testing.T) {
	for _, u := range []Unit{agmBlock(0), agmBlock(1), floodedUnit(), plain(Gel, 100, 1.15), plain(LFP, 100, 1)} {
		var fit *WellFit
		if u.Chemistry.LeadAcid() {
			f, err := u.Wells()
			if err != nil {
				t.Fatal(err)
			}
			fit = &f
		}
		b := Bank{Unit: u, Series: 2, Strings: 3}
		o := ModelOptions{TemperatureC: 5, EndOfLife: 0.8, MaxDoD: 0.7}
		fitted := modelOf(t, b, o)
		o.Fit = fit
		given := modelOf(t, b, o)
		for i := range 3000 {
			powerW := 40 * u.NominalV * math.Sin(float64(i)/100)
			a, c := fitted.Step(powerW, minuteH), given.Step(powerW, minuteH)
			if a != c || fitted.SoC() != given.SoC() {
				t.Fatalf("%s, minute %d: gave %v and %v, at a charge of %v and %v", u.Chemistry, i, a, c, fitted.SoC(),
					given.SoC())
			}
		}
	}
}

func TestPrefitIsChecked(t *testing.T) {
	b := Bank{Unit: plain(AGM, 100, 1.15), Series: 1, Strings: 1}
	for _, fit := range []WellFit{{}, {WellParams: WellParams{AvailableShare: 2, RatePerH: 1, FullAh: 100}}} {
		if _, err := b.Model(ModelOptions{TemperatureC: 25, Fit: &fit}); err == nil {
			t.Errorf("a fit of %+v was taken", fit.WellParams)
		}
	}
}
