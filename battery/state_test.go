package battery

import (
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

func modelOf(t interface{ Fatal(...any) }, b Bank, o ModelOptions) State {
	s, err := b.Model(o)
	if err != nil {
		t.Fatal(err)
	}
	return s
}

func TestModelGivesTheRatedCapacityAtTheRatedCurrent(t *testing.T) {
	for _, tt := range []struct {
		u    Unit
		o    ModelOptions
		want float64 // share of rated energy
		tol  float64 // the fit is held to the rated point within 0.1 %; a minute of 20 h is 0.08 %
	}{
		{agmBlock(0), ModelOptions{TemperatureC: 25, MaxDoD: 1}, 1, 0.003},
		{floodedUnit(), ModelOptions{TemperatureC: 25, MaxDoD: 1}, 1, 0.003},
		{plain(Gel, 100, 1.15), ModelOptions{TemperatureC: 25, MaxDoD: 1}, 1, 0.003},
		{plain(LFP, 100, 1), ModelOptions{TemperatureC: 25, MaxDoD: 1}, 1, 0.003},
		{plain(LFP, 100, 1), ModelOptions{TemperatureC: 25}, 0.8, 0.003},
		{plain(AGM, 100, 1.15), ModelOptions{TemperatureC: 25}, 0.5, 0.003},
		// Half the need for half the bank: cold of 0 C (AGM sheet, 86 %) and age 80 %.
		{plain(AGM, 100, 1.15), ModelOptions{TemperatureC: 0, EndOfLife: 0.8, MaxDoD: 0.5}, 0.5 * 0.86 * 0.8, 0.003},
	} {
		b := Bank{Unit: tt.u, Series: 2, Strings: 3}
		s := modelOf(t, b, tt.o)
		share := tt.want / tt.o.doD(tt.u) // the same share of all currents keeps the relative rate
		powerW := b.NominalV() * b.CapacityAh() / tt.u.RatedH * share
		for s.Step(powerW, minuteH) == powerW {
		}
		if got := s.Ledger().OutWh / (b.NominalV() * b.CapacityAh()); !near(got, tt.want, tt.tol) {
			t.Errorf("%s %+v: gave %.4f of the rated energy, want %.4f", tt.u.Chemistry, tt.o, got, tt.want)
		}
	}
}

// doD is the depth that the options lead to.
func (o ModelOptions) doD(u Unit) float64 {
	if o.MaxDoD > 0 {
		return o.MaxDoD
	}
	dod, _ := u.DoD(0)
	return dod
}

// The capacities of the published tables, run through the model minute by minute: the same errors as the fit.
func TestKineticFollowsTheDischargeTable(t *testing.T) {
	for _, u := range []Unit{agmBlock(1), floodedUnit()} {
		b := Bank{Unit: u, Series: 1, Strings: 1}
		for _, p := range u.Capacity {
			s := modelOf(t, b, ModelOptions{TemperatureC: 25, MaxDoD: 1})
			powerW := u.NominalV * p.Ah / p.Hours
			for s.Step(powerW, minuteH) == powerW {
			}
			// Beyond the rated hours the rest stays in the bank: states of charge end at the rated capacity.
			want := min(p.Ah, u.RatedAh)
			if got := s.Ledger().OutWh / u.NominalV; !near(got/want, 1, 0.04) {
				t.Errorf("%s over %g h: %.2f Ah, want %.2f within 4 %%", u.Chemistry, p.Hours, got, want)
			}
		}
	}
}

func TestLimitsOfAStep(t *testing.T) {
	ten, forty := 10.0, 40.0
	base := func(c Chemistry) Unit {
		u := plain(c, 100, 1.1)
		if !c.LeadAcid() {
			u.Peukert = 1
		}
		u.MaxChargeA, u.MaxDischargeA = 15, 50
		u.ChargeMinC, u.ChargeMaxC, u.DischargeMinC = &ten, &forty, &ten
		return u
	}
	for _, c := range []Chemistry{AGM, LFP} {
		for _, tt := range []struct {
			why        string
			o          ModelOptions
			soc        float64
			askW, want float64
			tol        float64
		}{
			{"within all limits", ModelOptions{TemperatureC: 25}, 1, 500, 500, 0},
			{"units' discharge current, two strings", ModelOptions{TemperatureC: 25}, 1, 1e6, 24 * 100, 1e-9},
			{"connection's discharge current", ModelOptions{TemperatureC: 25, MaxDischargeA: 30}, 1, 1e6, 24 * 30, 1e-9},
			{"units' charge current", ModelOptions{TemperatureC: 25}, 0.2, -1e6, -24 * 30, 1e-9},
			{"connection's charge current", ModelOptions{TemperatureC: 25, MaxChargeA: 7}, 0.2, -1e6, -24 * 7, 1e-9},
			{"full", ModelOptions{TemperatureC: 25}, 1, -500, 0, 1e-9},
			{"at the floor", ModelOptions{TemperatureC: 25, MaxDoD: 0.4}, 0.6, 500, 0, 1e-9},
			{"under the floor", ModelOptions{TemperatureC: 25, MaxDoD: 0.4}, 0.3, 500, 0, 0},
			{"too cold to charge", ModelOptions{TemperatureC: 9.9}, 0.5, -500, 0, 0},
			{"just warm enough to charge", ModelOptions{TemperatureC: 10}, 0.5, -500, -500, 0},
			{"too hot to charge", ModelOptions{TemperatureC: 40.1}, 0.5, -500, 0, 0},
			{"too hot to charge, but not to discharge", ModelOptions{TemperatureC: 40.1}, 0.9, 500, 500, 0},
			{"too cold to discharge", ModelOptions{TemperatureC: 9.9}, 1, 500, 0, 0},
			{"nothing asked", ModelOptions{TemperatureC: 25}, 0.7, 0, 0, 0},
			{"not a number", ModelOptions{TemperatureC: 25}, 0.7, math.NaN(), 0, 0},
		} {
			s := modelOf(t, Bank{Unit: base(c), Series: 2, Strings: 2}, tt.o)
			s.Reset(tt.soc)
			if got := s.Step(tt.askW, minuteH); !near(got, tt.want, tt.tol) {
				t.Errorf("%s, %s: Step(%g) = %g, want %g", c, tt.why, tt.askW, got, tt.want)
			}
		}
	}
}

func TestStepOfNoTimeChangesNothing(t *testing.T) {
	for _, c := range []Chemistry{Flooded, NMC} {
		s := modelOf(t, modelBank(c), ModelOptions{TemperatureC: 20})
		s.Reset(0.9)
		before := s.Ledger()
		for _, h := range []float64{0, -1, math.NaN(), math.Inf(1)} {
			if done := s.Step(1000, h); done != 0 || s.Ledger() != before {
				t.Errorf("%s: a step of %g h gave %g W", c, h, done)
			}
		}
	}
}

// A bank charged from low takes the full current first, then less and less; it gets full, and not over.
func TestChargeTapers(t *testing.T) {
	for _, c := range []Chemistry{Flooded, AGM, Gel, LFP, NMC} {
		s := modelOf(t, modelBank(c), ModelOptions{TemperatureC: 25})
		s.Reset(0.2)
		askW := 0.1 * modelBank(c).CapacityAh() * modelBank(c).NominalV()
		last, tapering := askW, 0
		for range 60 * 60 {
			took := -s.Step(-askW, minuteH)
			if took > last*(1+1e-12) {
				t.Fatalf("%s: takes %g W after %g W", c, took, last)
			}
			if took < askW {
				tapering++
			}
			last = took
		}
		if soc := s.SoC(); tapering < 10 || soc < 0.98 || soc > 1 {
			t.Errorf("%s: %d minutes of taper, state of charge %g after 60 h", c, tapering, soc)
		}
	}
}

// Round trip: from a state of charge down and up again, energy out per energy in is the unit's round trip.
func TestRoundTrip(t *testing.T) {
	for _, c := range Chemistries() {
		b := modelBank(c)
		s := modelOf(t, b, ModelOptions{TemperatureC: 25})
		s.Reset(0.8)
		for range 120 {
			s.Step(0.05*b.CapacityAh()*b.NominalV(), minuteH)
		}
		for s.SoC() < 0.8 {
			s.Step(-0.02*b.CapacityAh()*b.NominalV(), minuteH/60)
		}
		l := s.Ledger()
		if got := l.OutWh / l.InWh; !near(got, b.Unit.RoundTrip, 0.001) {
			t.Errorf("%s: %g Wh out for %g Wh in, want %g", c, l.OutWh, l.InWh, b.Unit.RoundTrip)
		}
	}
}

// Both models in closed form: an hour at once and in sixty minutes end in the same state, while no limit but the lithium
// taper binds (the lead-acid acceptance is a limit per step and depends on its length).
func TestOneHourIsSixtyMinutes(t *testing.T) {
	for _, tt := range []struct {
		c         Chemistry
		soc, part float64 // power in parts of the rated energy per hour
	}{
		{AGM, 0.9, 0.05}, {AGM, 0.3, -0.05}, {LFP, 0.9, 0.3}, {LFP, 0.5, -0.3}, {LFP, 0.8, -0.4}, {LFP, 0.97, -0.4}, {NMC, 0.93, -5},
	} {
		b := modelBank(tt.c)
		one, many := modelOf(t, b, ModelOptions{TemperatureC: 25}), modelOf(t, b, ModelOptions{TemperatureC: 25})
		one.Reset(tt.soc)
		many.Reset(tt.soc)
		w := tt.part * b.CapacityAh() * b.NominalV()
		done, sum := one.Step(w, 1), 0.0
		for range 60 {
			sum += many.Step(w, minuteH) / 60
		}
		if !near(one.SoC(), many.SoC(), 1e-12) || !near(done, sum, 1e-9*math.Abs(w)) {
			t.Errorf("%s from %g at %g: one step gives %.15g W to %.15g, sixty %.15g W to %.15g", tt.c, tt.soc, tt.part, done, one.SoC(), sum, many.SoC())
		}
	}
}

var bankGen = rapid.Custom(func(t *rapid.T) Bank {
	u := unitGen.Draw(t, "unit")
	u.RoundTrip = rapid.Float64Range(0.3, 1).Draw(t, "round trip")
	if rapid.Bool().Draw(t, "limited") {
		u.MaxChargeA = rapid.Float64Range(0.05, 1).Draw(t, "charge C") * u.RatedAh
		u.MaxDischargeA = rapid.Float64Range(0.05, 3).Draw(t, "discharge C") * u.RatedAh
	}
	u.ResistanceMohm = rapid.SampledFrom([]float64{0, 0.01, 0.5, 3, 20}).Draw(t, "mohm")
	return Bank{Unit: u, Series: rapid.IntRange(1, 8).Draw(t, "series"), Strings: rapid.IntRange(1, 6).Draw(t, "strings")}
})

var optionsGen = rapid.Custom(func(t *rapid.T) ModelOptions {
	return ModelOptions{
		TemperatureC: rapid.Float64Range(-30, 50).Draw(t, "temp"),
		EndOfLife:    rapid.Float64Range(0.5, 1).Draw(t, "age"),
		MaxDoD:       rapid.Float64Range(0.1, 1).Draw(t, "depth"),
		CutoffV:      rapid.SampledFrom([]float64{0, 0, 2, 10, 20, 40}).Draw(t, "cut-off"),
	}
})

// The laws of a State, whatever is asked of it: the account closes to 1e-9, the state of charge stays in 0 to 1 and above the
// floor, what is done is of the sign asked and not more, and the announced limits are those that bind.
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

func TestModelDoesNotAllocate(t *testing.T) {
	for _, c := range []Chemistry{AGM, LFP} {
		s := modelOf(t, modelBank(c), ModelOptions{TemperatureC: 25, CutoffV: 30})
		if n := testing.AllocsPerRun(100, func() { s.Step(500, minuteH); s.Step(-500, 0.1); s.Reset(0.7) }); n != 0 {
			t.Errorf("%s: %g allocations", c, n)
		}
	}
}

func TestCopiesGoTheirOwnWay(t *testing.T) {
	k, err := modelBank(AGM).Kinetic(ModelOptions{TemperatureC: 25})
	if err != nil {
		t.Fatal(err)
	}
	other := k
	other.Step(1000, 1)
	if k.SoC() != 1 || other.SoC() == 1 {
		t.Errorf("states of charge %g and %g", k.SoC(), other.SoC())
	}
}

func TestCutoffStopsDischargeBeforeTheFloor(t *testing.T) {
	u := agmBlock(1)
	u.ResistanceMohm = 20
	b := Bank{Unit: u, Series: 2, Strings: 1}
	const powerW = 600
	s := modelOf(t, b, ModelOptions{TemperatureC: 25, MaxDoD: 1, CutoffV: 23})
	for s.Step(powerW, minuteH) == powerW {
	}
	free := modelOf(t, b, ModelOptions{TemperatureC: 25, MaxDoD: 1})
	for free.Step(powerW, minuteH) == powerW {
	}
	if s.SoC() <= free.SoC() {
		t.Errorf("with a cut-off the bank goes down to %g, without to %g", s.SoC(), free.SoC())
	}
	// The border is where the volts under that power just reach the cut-off; the table has 64 steps.
	want, ok := b.LowestStartSoC(powerW, 23, 25)
	if !ok || !near(s.SoC(), want, 1./cutoffSteps) {
		t.Errorf("cut off at %.4f, want %.4f", s.SoC(), want)
	}
}

func TestModelRefuses(t *testing.T) {
	good := modelBank(AGM)
	for _, tt := range []struct {
		why  string
		b    func(*Bank)
		o    ModelOptions
		want string
	}{
		{"no strings", func(b *Bank) { b.Strings = 0 }, ModelOptions{}, "0 strings"},
		{"no units", func(b *Bank) { b.Series = 0 }, ModelOptions{}, "0 units in series"},
		{"no temperature", func(*Bank) {}, ModelOptions{TemperatureC: math.NaN()}, "temperature NaN"},
		{"too deep", func(*Bank) {}, ModelOptions{MaxDoD: 1.1}, "max_dod 1.1"},
		{"younger than new", func(*Bank) {}, ModelOptions{EndOfLife: 1.1}, "end_of_life 1.1"},
		{"unknown chemistry", func(b *Bank) { b.Unit.Chemistry = "nicd" }, ModelOptions{}, "nicd"},
		{"charge current below 0", func(*Bank) {}, ModelOptions{MaxChargeA: -1}, "charge limit (A) -1"},
		{"a capacity that overflows", func(b *Bank) { b.Unit.RatedAh = 1e308 }, ModelOptions{TemperatureC: 25}, "rated_ah: 1e+308"},
		{"next to nothing left", func(*Bank) {}, ModelOptions{EndOfLife: 0.009}, "end_of_life 0.009"},
	} {
		b := good
		tt.b(&b)
		if _, err := b.Model(tt.o); err == nil || !strings.Contains(err.Error(), tt.want) {
			t.Errorf("%s: %v, want an error with %q", tt.why, err, tt.want)
		}
	}
	if _, err := modelBank(LFP).Kinetic(ModelOptions{}); err == nil {
		t.Error("a kinetic model of lithium: no error")
	}
	if _, err := modelBank(AGM).Lithium(ModelOptions{}); err == nil {
		t.Error("a lithium model of lead-acid: no error")
	}
}
