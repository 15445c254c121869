package outage

import (
	"slices"
	"testing"
)

// The outages of options that are alike are followed once, and those that differ in anything are not taken for each
// other.
func TestKnownDays(t *testing.T) {
	var known KnownDays
	followed := 0
	ask := func(change func(s *Scenario)) (new bool) {
		t.Helper()
		s := daily(500)
		change(&s)
		was := followed
		got, err := known.Daily(s, func() Bank {
			followed++
			again := daily(500)
			change(&again)
			return again.Bank
		})
		if err != nil {
			t.Fatal(err)
		}
		plain := daily(500)
		change(&plain)
		if want, err := Daily(plain); err != nil || got != want {
			t.Errorf("%+v, want %+v, %v", got, want, err)
		}
		return followed > was
	}
	sunny := func(s *Scenario) { s.PVW = slices.Repeat([]float64{0, 900}, minutesPerDay/2) }
	for i, change := range []func(*Scenario){
		func(*Scenario) {},
		sunny,
		func(s *Scenario) { s.BaseW = make([]float64, minutesPerDay) },
		func(s *Scenario) { s.Loads[0].RunningW = 600 },
		func(s *Scenario) { s.Generator.StopSoC = 0.7 },
		func(s *Scenario) { s.Bank = newPlainStore(Path{ChargeEfficiency: 1, DischargeEfficiency: 1}, 12000) },
		func(s *Scenario) { s.Inverter.IdleW = 10 },
		func(s *Scenario) { s.StartSoC = 0.5 },
	} {
		if !ask(change) {
			t.Errorf("change %d is taken for another outage", i)
		}
		if ask(change) {
			t.Errorf("change %d is followed twice", i)
		}
	}
}
