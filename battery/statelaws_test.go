package battery

import (
	"math"
	"testing"

	"pgregory.net/rapid"
)

var bankGen = rapid.Custom(func(t *rapid.T) Bank {
	u := unitGen.Draw(t, "unit")
	u.RoundTrip = rapid.Float64Range(0.3, 1).Draw(t, "round trip")
	if rapid.Bool().Draw(t, "limited") {
		u.MaxChargeA = rapid.Float64Range(0.05, 1).Draw(t, "charge C") * u.RatedAh
		u.MaxDischargeA = rapid.Float64Range(0.05, 3).Draw(t, "discharge C") * u.RatedAh
	}
	u.ResistanceMohm = rapid.SampledFrom([]float64{0, 0.01, 0.5, 3, 20}).Draw(t, "mohm")
	return Bank{Unit: u, Series: rapid.IntRange(1, 8).Draw(t, "series"),
		Strings: rapid.IntRange(1, 6).Draw(t, "strings")}
})

var optionsGen = rapid.Custom(func(t *rapid.T) ModelOptions {
	return ModelOptions{
		TemperatureC: rapid.Float64Range(-30, 50).Draw(t, "temp"),
		EndOfLife:    rapid.Float64Range(0.5, 1).Draw(t, "age"),
		MaxDoD:       rapid.Float64Range(0.1, 1).Draw(t, "depth"),
		CutoffV:      rapid.SampledFrom([]float64{0, 0, 2, 10, 20, 40}).Draw(t, "cut-off"),
	}
})

// The laws of a State, whatever is asked of it: the account closes to 1e-9, the state of charge stays in 0 to 1 and
// above the floor, what is done is of the sign asked and not more, and the announced limits are those that bind.
func TestStateLaws(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		b, o := bankGen.Draw(t, "bank"), optionsGen.Draw(t, "options")
		s := modelOf(t, b, o)
		soc := rapid.Float64Range(0, 1).Draw(t, "soc")
		s.Reset(soc)
		if !near(s.SoC(), soc, 1e-9) {
			t.Fatalf("Reset(%g) gives %g", soc, s.SoC())
		}
		scale := b.CapacityAh() * b.NominalV()
		floor := min(soc, 1-o.MaxDoD)
		for range rapid.IntRange(1, 60).Draw(t, "steps") {
			ask := rapid.Float64Range(-2, 2).Draw(t, "power") * scale
			h := rapid.SampledFrom([]float64{minuteH, minuteH, 0.25, 1, 7}).Draw(t, "hours")
			discharge, charge := s.DischargeLimitW(h), s.ChargeLimitW(h)
			before := s.SoC()
			done := s.Step(ask, h)
			switch {
			case ask > 0 && !near(done, min(ask, discharge), 1e-9*scale):
				t.Fatalf("asked %g W of at most %g: got %g", ask, discharge, done)
			case ask < 0 && (done < ask || done > 0 || -done > charge+1e-9*scale):
				t.Fatalf("offered %g W of at most %g: took %g", -ask, charge, -done)
			case ask < 0 && -ask > 100*charge && !near(-done, charge, 0.05*charge+1e-9*scale):
				t.Fatalf("offered %g W, far more than the limit %g: took %g", -ask, charge, -done)
			case done > 0 && s.SoC() > before+1e-12 || done < 0 && s.SoC() < before-1e-12:
				t.Fatalf("%g W moved the state of charge from %g to %g", done, before, s.SoC())
			}
			if x := s.SoC(); !(x >= floor-1e-9 && x <= 1) {
				t.Fatalf("state of charge %g, floor %g", x, floor)
			}
			if e := s.Ledger().ErrorWh(); !(math.Abs(e) <= 1e-9*scale) {
				t.Fatalf("the account is off by %g Wh of %g", e, scale)
			}
			if l := s.Ledger(); !(l.LostWh >= 0 && l.StoredWh >= 0 && l.InWh >= 0 && l.OutWh >= 0) {
				t.Fatalf("ledger %+v", l)
			}
		}
	})
}

func TestRestNeverMakesCharge(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		b := bankGen.Draw(t, "bank")
		b.Unit.Chemistry = AGM
		s, err := b.Kinetic(ModelOptions{TemperatureC: 20})
		if err != nil {
			t.Fatal(err)
		}
		s.Reset(rapid.Float64Range(0.5, 1).Draw(t, "soc"))
		s.Step(rapid.Float64Range(0, 1).Draw(t, "power")*b.CapacityAh()*b.NominalV(), 0.5)
		before, wells := s.SoC(), s.Wells()
		s.Step(0, rapid.Float64Range(0.01, 50).Draw(t, "rest"))
		after, tol := s.Wells(), 1e-12*b.CapacityAh()
		if s.SoC() != before || after.AvailableAh < wells.AvailableAh-tol || after.BoundAh > wells.BoundAh+tol {
			t.Fatalf("rest turned %+v into %+v", wells, after)
		}
	})
}

// More current, more cold, more age: never more energy out of a full bank.
func TestHarderConditionsNeverGiveMore(t *testing.T) {
	out := func(t *rapid.T, b Bank, o ModelOptions, powerW float64) float64 {
		s := modelOf(t, b, o)
		for range 20000 {
			if s.Step(powerW, 0.05) < powerW {
				break
			}
		}
		return s.Ledger().OutWh
	}
	rapid.Check(t, func(t *rapid.T) {
		b, easy := bankGen.Draw(t, "bank"), optionsGen.Draw(t, "options")
		b.Unit.MaxDischargeA, easy.CutoffV = 0, 0
		hard := easy
		w := rapid.Float64Range(0.02, 1).Draw(t, "power") * b.CapacityAh() * b.NominalV()
		w2 := w
		switch rapid.SampledFrom([]string{"current", "cold", "age", "depth"}).Draw(t, "what") {
		case "current":
			w2 *= rapid.Float64Range(1, 3).Draw(t, "faster")
		case "cold":
			hard.TemperatureC -= rapid.Float64Range(0, 30).Draw(t, "colder")
		case "age":
			hard.EndOfLife *= rapid.Float64Range(0.5, 1).Draw(t, "older")
		case "depth":
			hard.MaxDoD *= rapid.Float64Range(0.3, 1).Draw(t, "shallower")
		}
		if a, c := out(t, b, easy, w), out(t, b, hard, w2); c > a+w2*0.05*(1+1e-9) { // the last step counts in parts
			t.Fatalf("harder conditions give %g Wh instead of %g", c, a)
		}
	})
}
