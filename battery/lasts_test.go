package battery

import (
	"math"
	"testing"

	"pgregory.net/rapid"
)

// A bank lasts as long as steps of a minute carry it, but for the last of them (steps ask for the voltage where they
// begin, so a cut-off may be up to one earlier); it is then where the steps left it, and can be asked from there on as
// well.
func TestLastsIsStepping(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		b, o := bankGen.Draw(rt, "bank"), optionsGen.Draw(rt, "options")
		closed, stepped := modelOf(rt, b, o), modelOf(rt, b, o)
		soc := rapid.Float64Range(0.3, 1).Draw(rt, "soc")
		closed.Reset(soc)
		stepped.Reset(soc)
		scale := b.CapacityAh() * b.NominalV()
		for range rapid.IntRange(1, 6).Draw(rt, "pieces") {
			powerW := rapid.OneOf(rapid.Just(0.0), rapid.Float64Range(1e-4, 1.5)).Draw(rt, "power") * scale
			minutes := rapid.IntRange(1, 2000).Draw(rt, "minutes")
			mostH := float64(minutes) / 60
			before := closed.Ledger()
			got := closed.Lasts(powerW, mostH)
			if closed.Ledger() != before {
				rt.Fatal("asking moved the bank")
			}
			full, part := 0, 0.0
			for ; full < minutes; full++ {
				if doneW := stepped.Step(powerW, minuteH); doneW < powerW*(1-slack) {
					part = doneW / powerW
					break
				}
			}
			least, n := float64(full), float64(full)
			if o.CutoffV > 0 {
				least--
			}
			if got < least*minuteH-1e-6 || got > min(mostH, (n+1)*minuteH)+1e-6 {
				rt.Fatalf("%g W for %g h: lasts %.9g h, steps carry it for %d min and %.3g of the next", powerW, mostH,
					got, full, part)
			}
			if full < minutes || got < mostH {
				return
			}
			closed.Step(powerW, mostH)
			if !near(closed.SoC(), stepped.SoC(), 1e-9) {
				rt.Fatalf("in one step to %v, by minutes to %v", closed.SoC(), stepped.SoC())
			}
		}
	})
}

// A bank without a rate effect or a cut-off lasts just as long as its energy: the steps' last part of a minute is that
// too.
func TestLithiumLastsItsEnergy(t *testing.T) {
	b := modelBank(LFP)
	s := modelOf(t, b, ModelOptions{TemperatureC: 25, MaxDoD: 0.8})
	if got, want := s.Lasts(1000, 1e4), 0.8*b.CapacityAh()*b.NominalV()/1000; !near(got, want, 1e-12*want) {
		t.Errorf("lasts %v h, want %v", got, want)
	}
}

// The moment at which the available well is empty is that of [WellParams.EmptyH], which is held against published
// lifetimes.
func TestKineticLastsUntilTheWellIsEmpty(t *testing.T) {
	m, err := modelBank(AGM).Kinetic(ModelOptions{TemperatureC: 25, MaxDoD: 1})
	if err != nil {
		t.Fatal(err)
	}
	for _, amps := range []float64{200, 400, 800, 1600} {
		want := m.Params().EmptyH(m.Wells(), amps)
		if got := m.Lasts(amps*modelBank(AGM).NominalV(), 100); !near(got, want, 1e-9*want) {
			t.Errorf("%g A: lasts %v h, the well is empty after %v h", amps, got, want)
		}
	}
}

// What is not drawn from a rested bank early is there later in no smaller a share than Kept says: a bank that was not
// asked for some charge at first lasts longer for it by at least that share of it.
func TestKeptIsTheLeastShare(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		b := bankGen.Draw(rt, "bank")
		b.Unit.MaxDischargeA = 0
		s := modelOf(rt, b, ModelOptions{TemperatureC: 25, MaxDoD: 1})
		if k := s.Kept(); !(k > 0 && k <= 1) {
			rt.Fatalf("kept %g", k)
		}
		scale := b.CapacityAh() * b.NominalV()
		first, then := rapid.Float64Range(0.01, 0.3).Draw(rt, "first")*scale,
			rapid.Float64Range(0.01, 0.5).Draw(rt, "then")*scale
		earlyH := rapid.Float64Range(0.01, 0.5).Draw(rt, "hours early")
		if s.Lasts(first, earlyH) < earlyH {
			return
		}
		s.Reset(1)
		full := s.Lasts(then, 1e6)
		s.Step(first, earlyH)
		drawn := s.Lasts(then, 1e6)
		if gain, least := full-drawn, s.Kept()*first*earlyH/then; gain < least*(1-1e-6)-1e-9 {
			rt.Fatalf("not drawing %g Wh early gains %g h, want at least %g h", first*earlyH, gain, math.Abs(least))
		}
	})
}
