package loads_test

import (
	"fmt"
	"strings"

	"outlast/loads"
)

// What stays on in an outage, and what it asks of a supply.
func Example() {
	inventory := []loads.Load{
		{Name: "Bore pump", Quantity: 1, RunningW: 1100, PowerFactor: 0.8, HoursPerDay: 1.5, Months: loads.AllMonths,
			Windows: []loads.Window{{StartMin: 6 * 60, EndMin: 9 * 60}},
			Start:   &loads.Start{Power: loads.FromPF(2340, 0.45), Seconds: 1.5}},
		{Name: "Fridge", Quantity: 1, RunningW: 150, HoursPerDay: 8, Months: loads.AllMonths,
			Start: &loads.Start{PlainVA: 900, Seconds: 3}},
		{Name: "Lamps", Quantity: 8, RunningW: 9, HoursPerDay: 5, Months: loads.AllMonths},
	}
	set := loads.NewSet(1, loads.InMonth(inventory, 7))
	demand := set.Scheduled()
	probable, err := set.Probable(0.95)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("%.0f W, %.0f VA from minute %d on; %.0f W are probable\n", demand.W, demand.VA, demand.AtMin, probable)
	for _, s := range set.Surges() {
		fmt.Printf("%s starts: %.0f VA for %g s\n", s.Load, s.VA, s.Seconds)
	}
	fmt.Printf("%.0f Wh a day\n", set.EnergyWhPerDay())
	// Output:
	// 1322 W, 1558 VA from minute 360 on; 1268 W are probable
	// Bore pump starts: 5304 VA for 1.5 s
	// Fridge starts: 2333 VA for 3 s
	// 3210 Wh a day
}

// Starting one at a time, largest motor first: Manitoba Hydro, Standby electric generators. SEEN; a supply
// of 4700 VA carries the list, all at once would take 9000.
func ExampleSet_Restart_hydro() {
	start := func(w float64) *loads.Start { return &loads.Start{Power: loads.Power{W: w}, Seconds: 3} }
	set := loads.NewSet(1, []loads.Load{
		{Name: "refrigerator", Quantity: 1, RunningW: 800, Start: start(2500)},
		{Name: "well pump", Quantity: 1, RunningW: 750, Start: start(2000)},
		{Name: "furnace fan", Quantity: 1, RunningW: 700, Start: start(1400)},
		{Name: "sump pump", Quantity: 1, RunningW: 750, Start: start(1400)},
		{Name: "coffee maker", Quantity: 1, RunningW: 850},
		{Name: "microwave", Quantity: 1, RunningW: 750},
		{Name: "radio", Quantity: 1, RunningW: 100},
	})
	r := set.Restart(func(float64) float64 { return 4700 })
	fmt.Printf("at once: %.0f of %.0f VA\n", r.DemandVA, r.LimitVA)
	fmt.Println(strings.Join(r.Order, ", "))
	// Output:
	// at once: 9000 of 4700 VA
	// refrigerator, well pump, furnace fan, sump pump, coffee maker, microwave, radio
}

// 20 hp at code letter G: NEC Table 430.7(B), worked in a building-code forum as 125.8 kVA. SEEN.
func ExampleMotor_StartingVA() {
	va, err := loads.Motor{HP: 20, Code: "G"}.StartingVA(18000, 265.6, 3)
	fmt.Printf("%.1f kVA %v\n", va/1000, err)
	// Output: 125.8 kVA <nil>
}
