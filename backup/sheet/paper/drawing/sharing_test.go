package drawing

import (
	"math"
	"testing"

	"outlast/backup/samplehome"
	"outlast/backup/sheet/paper/findings"
	"outlast/backup/sheet/speech"
)

// The parts that the circuits take of a limit add up to what the plan says: watts of each phase, energy at the bank's
// terminals, ways.
func TestSharesAddUp(t *testing.T) {
	near := func(what string, got, want float64) {
		t.Helper()
		if math.Abs(got-want) > 1e-6*math.Max(1, math.Abs(want)) {
			t.Errorf("%s: the parts add up to %g, the plan says %g", what, got, want)
		}
	}
	for _, home := range []string{"clinic", "cottage", "farmhouse", "overloaded", "split-phase", "town-flat"} {
		p := samplehome.Plan(t, home)
		english, err := speech.NewVoice("en", false)
		if err != nil {
			t.Fatal(err)
		}
		r := findings.New(p, english, nil)
		bars := shareBars(r)
		for i, w := range p.Demand.Scheduled.PhaseW {
			near(home+", "+bars[i].label, bars[i].total(false), w)
			near(home+", limit of "+bars[i].label, bars[i].limit, p.Inverter.DeratedW()/float64(p.Site.Phases))
		}
		energy := bars[p.Site.Phases]
		near(home+", energy", energy.total(false), p.Bank.EnergyDCWh*(1+p.Site.Practice.Growth))
		for _, c := range p.Checks {
			if c.ID == "bank-capacity" && c.HasLimit {
				// The check adds the margin, and its rate factor is that of the capacity needed, not installed.
				near(home+", share of the bank",
					energy.total(false)/energy.limit*(1+p.Site.Practice.Margin)*p.Bank.KRate/p.Bank.Sizing.KRate,
					c.Demand/c.Limit)
			}
		}
		if p.Site.Ways > 0 {
			n := 0
			for _, c := range p.Circuits {
				if c.OnBackup {
					n++
				}
			}
			near(home+", ways", bars[len(bars)-1].total(false), float64(n))
		}
	}
}
