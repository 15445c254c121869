package backup_test

import (
	"context"
	"math"
	"testing"

	"outlast/backup"
	"outlast/backup/outage"
	"outlast/backup/samplehome"
	"outlast/backup/study"
)

// The plan simulates the autonomy on the day's profile, package outage load by load. Both are the same outage, so they
// must end within the minute that whole-minute times leave open.
func TestAutonomyAgreesWithTheOutage(t *testing.T) {
	for _, name := range []string{"town-flat", "cottage", "split-phase", "farmhouse", "clinic"} {
		t.Run(name, func(t *testing.T) {
			p := samplehome.Plan(t, name)
			for _, life := range []struct {
				left, hours float64
			}{{p.Site.Practice.EndOfLife, p.Bank.AutonomyH}, {1, p.Bank.AutonomyNewH}} {
				sc, err := p.Scenario(life.left)
				if err != nil {
					t.Fatal(err)
				}
				a, err := outage.AutonomyOf(context.Background(), sc, 1000, 1)
				if err != nil {
					t.Fatal(err)
				}
				if math.Abs(a.EvenH-life.hours) > 1.0/60+1e-9 {
					t.Errorf("with %g of the capacity: plan %.4f h, outage %.4f h", life.left, life.hours, a.EvenH)
				}
			}
		})
	}
}

// TestAutonomyDropsNothing: what a low charge switches off is on in the autonomy that a plan promises; the help of the key
// says so. The outage that is followed lasts longer by it.
func TestAutonomyDropsNothing(t *testing.T) {
	home := func(drop string) *backup.Plan {
		return newHouse().load("A", "running_w = 500").load("B", "running_w = 500"+drop).plan(t)
	}
	without, with := home(""), home("; drop_below = 0.6")
	near(t, "autonomy with drop_below", with.Bank.AutonomyH, without.Bank.AutonomyH)
	start := 0
	for _, tt := range []struct {
		p     *backup.Plan
		fails bool
	}{{without, true}, {with, false}} {
		run, err := study.RunOutage(context.Background(), tt.p.Facts,
			study.OutageOptions{Hours: int(without.Bank.AutonomyH) + 2, EvenSpread: true, Start: &start})
		if err != nil {
			t.Fatal(err)
		}
		if until, dark := run.HoursUntilDark(); dark != tt.fails {
			t.Errorf("drops %t: circuits lose power %t, after %g h of the %g h of the plan", !tt.fails, dark, until,
				tt.p.Bank.AutonomyH)
		}
	}
}
