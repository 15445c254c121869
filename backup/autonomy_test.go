package backup_test

import (
	"context"
	"math"
	"testing"

	"outlast/backup/outage"
	"outlast/backup/samplehome"
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
