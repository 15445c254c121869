package outage

import (
	"math"
	"slices"
	"testing"

	"pgregory.net/rapid"
)

// A need is what one start asks of the bank to outlast an outage: a usable bank, and an energy in it at the start.
type need struct {
	bankWh, startWh float64
	overLimit       bool // some step asks more than the discharge limit: no bank helps
}

// needs puts the spans of d hours, of which banks and reserves are made, into energies.
func (s *Study) needs(d int) []need {
	needs := make([]need, s.hours)
	s.windows(d, func(start int, spans []span) {
		for k, a := range spans {
			i := start + k
			if needs[i].overLimit = a.drop == unserved; !needs[i].overLimit {
				needs[i] = need{bankWh: s.wh(a.drop), startWh: s.wh(max(0, s.before[i]-a.lo))}
			}
		}
	})
	return needs
}

func TestNeedsDecideSurvival(t *testing.T) { rapid.Check(t, propNeedsDecideSurvival) }

// A start outlasts d hours exactly if bank and start energy reach what its span needs; a milliwatt-hour less fails.
func propNeedsDecideSurvival(t *rapid.T) {
	y, p := yearGen.Draw(t, "year"), pathGen.Draw(t, "path")
	d := rapid.IntRange(1, 80).Draw(t, "hours")
	study := must(NewStudy(y, p, 80))
	lasts := func(i int, wh, startWh float64) bool {
		return must(study.Survive(wh, min(1, startWh/wh))).Hours[i] >= d
	}
	const littleWh = 1e-3
	needs := study.needs(d)
	i := rapid.IntRange(0, len(needs)-1).Draw(t, "start")
	n := needs[i]
	switch {
	case n.overLimit:
		if lasts(i, 1e12, 1e12) {
			t.Fatalf("start %d: over the limit, yet a huge bank outlasts %d h", i, d)
		}
	default:
		bank := n.bankWh + littleWh
		if n.startWh > n.bankWh {
			t.Fatalf("start %d: %g Wh at the start of a bank of %g Wh", i, n.startWh, n.bankWh)
		}
		if !lasts(i, bank, bank) || !lasts(i, bank, n.startWh+littleWh/2) {
			t.Fatalf("start %d: %+v does not outlast %d h", i, n, d)
		}
		if n.bankWh > littleWh && lasts(i, n.bankWh-littleWh, n.bankWh-littleWh) {
			t.Fatalf("start %d: less than %g Wh outlasts %d h", i, n.bankWh, d)
		}
		if n.startWh > littleWh && lasts(i, bank, n.startWh-littleWh) {
			t.Fatalf("start %d: less than %g Wh at the start outlasts %d h", i, n.startWh, d)
		}
	}
}

func TestSmallestBank(t *testing.T) { rapid.Check(t, propSmallestBank) }

// The bank keeps the wished chance, and a milliwatt-hour less does not.
func propSmallestBank(t *rapid.T) {
	y, p := yearGen.Draw(t, "year"), pathGen.Draw(t, "path")
	d := rapid.IntRange(1, 80).Draw(t, "hours")
	soc := rapid.SampledFrom([]float64{1, 0.7, 0.3}).Draw(t, "soc")
	chance := rapid.OneOf(rapid.Just(1.0), rapid.Float64Range(0.01, 1)).Draw(t, "chance")
	study := must(NewStudy(y, p, 80))
	has := func(wh float64) float64 { return must(must(study.Survive(wh, soc)).Chance(d)) }
	wh, possible, err := study.SmallestBank(d, soc, chance)
	if err != nil {
		t.Fatal(err)
	}
	if !possible {
		if got := has(1e14); got >= chance || wh != 0 {
			t.Fatalf("said to be impossible, yet a huge bank has %g", got)
		}
		return
	}
	if got := has(wh); got < chance {
		t.Fatalf("%g Wh: chance %g, want %g", wh, got, chance)
	}
	if wh > 2e-3 {
		if got := has(wh - 1e-3); got >= chance {
			t.Fatalf("less than %g Wh has the chance %g, too", wh, got)
		}
	}
}

// Case A3: for each month the share of its starts that outlast is recounted by following outages from the reserve.
func TestReservesKeepTheChance(t *testing.T) {
	c := referenceCases[1]
	study := mustStudy(t, referenceYear(t, 60, c.kWp), c.path, referenceMaxH)
	const hours, chance = 24, 0.95
	reserves, err := study.Reserves(c.usableWh, hours, chance)
	if err != nil {
		t.Fatal(err)
	}
	for m, r := range reserves {
		if !r.Possible || r.SoC <= 0.1 || r.SoC >= 1 {
			t.Errorf("month %d: %+v, want a reserve within the bank", m, r)
			continue
		}
		count := func(soc float64) (share float64) {
			table, err := mustSurvive(t, study, c.usableWh, soc).MonthHour(hours)
			if err != nil {
				t.Fatal(err)
			}
			for _, cell := range table[m] {
				share += cell.Chance / 24
			}
			return share
		}
		const rounding = 1e-12 // of the mean of 24 shares
		if got := count(r.SoC); got < chance-rounding {
			t.Errorf("month %d: chance %g at %g, want %g", m, got, r.SoC, chance)
		}
		if got := count(r.SoC - 1e-6); got >= chance {
			t.Errorf("month %d: chance %g below %g, too", m, got, r.SoC)
		}
	}
	if r := must(study.Reserves(1000, hours, chance)); r[0].Possible || r[0].SoC != 1 {
		t.Errorf("1 kWh in January: %+v, want impossible", r[0])
	}
}

// The bank of case A3 by hand: without any array the need of a day is its load over the discharge efficiency.
func TestNeedsOfOneDay(t *testing.T) {
	y := Year{StepMin: 60, NetW: slices.Repeat([]float64{-400}, 24)}
	for i, n := range mustStudy(t, y, Path{ChargeEfficiency: 0.97, DischargeEfficiency: 0.96}, 48).needs(24) {
		if want := 400 * 24 / 0.96; math.Abs(n.bankWh-want) > 1e-6 || n.startWh != n.bankWh || n.overLimit {
			t.Errorf("start %d: %+v, want %g Wh", i, n, want)
		}
	}
}
