package battery

import (
	"math"
	"strings"
	"testing"
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
			{"connection's discharge current", ModelOptions{TemperatureC: 25, MaxDischargeA: 30}, 1, 1e6, 24 * 30,
				1e-9},
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

// Both models in closed form: an hour at once and in sixty minutes end in the same state, while no limit but the
// lithium taper binds (the lead-acid acceptance is a limit per step and depends on its length).
func TestOneHourIsSixtyMinutes(t *testing.T) {
	for _, tt := range []struct {
		c         Chemistry
		soc, part float64 // power in parts of the rated energy per hour
	}{
		{AGM, 0.9, 0.05}, {AGM, 0.3, -0.05}, {LFP, 0.9, 0.3}, {LFP, 0.5, -0.3}, {LFP, 0.8, -0.4}, {LFP, 0.97, -0.4},
		{NMC, 0.93, -5},
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
			t.Errorf("%s from %g at %g: one step gives %.15g W to %.15g, sixty %.15g W to %.15g", tt.c, tt.soc, tt.part,
				done, one.SoC(), sum, many.SoC())
		}
	}
}

// A step offered more than the bank takes just fills the available well: the loss on the way in is not taken for
// charge.
func TestKineticAcceptanceFillsTheAvailableWell(t *testing.T) {
	b := modelBank(Flooded)
	b.Unit.RoundTrip = 0.5
	k, err := b.Kinetic(ModelOptions{TemperatureC: 25})
	if err != nil {
		t.Fatal(err)
	}
	for _, soc := range []float64{0.2, 0.7, 0.95} {
		k.Reset(soc)
		k.Step(-1e9, minuteH)
		p := k.Params()
		if got, want := k.Wells().AvailableAh, p.AvailableShare*p.FullAh; !near(got/want, 1, 1e-12) {
			t.Errorf("from %g: %g Ah available, want %g", soc, got, want)
		}
	}
}

// Cold and age make both wells smaller in the same measure.
func TestKineticParamsShrinkWithColdAndAge(t *testing.T) {
	b := Bank{Unit: agmBlock(1), Series: 4, Strings: 3}
	fresh, errF := b.Kinetic(ModelOptions{TemperatureC: 25})
	worn, errW := b.Kinetic(ModelOptions{TemperatureC: 0, EndOfLife: 0.8})
	if errF != nil || errW != nil {
		t.Fatal(errF, errW)
	}
	f, w := fresh.Params(), worn.Params()
	if !near(w.FullAh/f.FullAh, 0.86*0.8, 1e-12) || w.AvailableShare != f.AvailableShare || w.RatePerH != f.RatePerH {
		t.Errorf("new and warm %+v, worn and cold %+v, want 0.86 (AGM data sheet at 0 C, SEEN) * 0.8 of the charge", f, w)
	}
}

// The taper belongs to the cells: with a tenth of their current at the charger, full power goes on beyond 95 %.
func TestLithiumTaperIsTheCells(t *testing.T) {
	u := plain(LFP, 100, 1)
	u.MaxChargeA = 100
	b := Bank{Unit: u, Series: 4, Strings: 1}
	for _, tt := range []struct {
		soc, chargerA, wantA float64
	}{
		{0.5, 0, 100}, // the unit's own current
		{0.97, 0, 60}, // taper: 3 of the last 5 % are missing
		{0.97, 10, 10},
		{0.999, 10, 2}, // 0.1 of the last 5 % is missing
	} {
		s := modelOf(t, b, ModelOptions{TemperatureC: 25, MaxChargeA: tt.chargerA})
		s.Reset(tt.soc)
		if a := s.ChargeLimitW(shortestStepH) / b.NominalV(); !near(a/tt.wantA, 1, 1e-4) {
			t.Errorf("at %g with a charger of %g A: %g A, want %g", tt.soc, tt.chargerA, a, tt.wantA)
		}
	}
}

// A cut-off below half the rest volts cannot be reached: the greatest power of the bank comes first.
func TestCutoffBelowTheGreatestPower(t *testing.T) {
	u := agmBlock(1)
	u.ResistanceMohm = 500
	b := Bank{Unit: u, Series: 1, Strings: 1}
	s := modelOf(t, b, ModelOptions{TemperatureC: 25, CutoffV: 3})
	e, r := b.SourceV(1, 25), b.ResistanceOhmAt(1, 25)
	if got, want := s.DischargeLimitW(minuteH), e*e/(4*r); !near(got/want, 1, 1e-9) {
		t.Errorf("greatest power %g W, want %g", got, want)
	}
	if v, ok := b.StartV(0, s.DischargeLimitW(minuteH)*0.999, 1, 25); !ok || v < e/2 {
		t.Errorf("just under it: %g V, %v", v, ok)
	}
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
	want, ok := b.LowestStartSoC(0, powerW, 23, 25)
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
		{"a capacity that overflows", func(b *Bank) { b.Unit.RatedAh = 1e308 }, ModelOptions{TemperatureC: 25},
			"rated_ah: 1e+308"},
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
