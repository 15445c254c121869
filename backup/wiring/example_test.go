package wiring_test

import (
	"fmt"
	"strings"

	"outlast/backup/wiring"
)

// Public PV-installer syllabus note, "Wire sizing between inverter and battery" (SEEN-P): 2500 W at 85 % and 22 V,
// terminals at 41 to 45 C, 60 C conductor. The note stops at the current; the fuse and what it asks of the conductor
// follow.
func ExampleSizeBank() {
	r, err := wiring.SizeBank(wiring.Bank{
		Laying:   wiring.Laying{Tables: wiring.US, InsulationC: 60, AmbientC: 45},
		NominalV: 24, HighestV: 29, ContinuousA: 2500 / 0.85 / 22, LengthM: 1,
	})
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("%.1f A, a fuse of %g A, %s\n", r.NeedA, r.DeviceA, r.Choice.Size.Name)
	for _, s := range r.Working(nil) {
		if strings.HasPrefix(s.Title.String(), "Too small") {
			fmt.Println(s.Formula)
		}
	}
	// Output:
	// 167.1 A, a fuse of 175 A, 350 kcmil
	// largest rating that protects 300 kcmil: demand 175 A, limit 170.4 A
}

// Circuit-breaker maker's guide (SEEN-P): four batteries of 110 cells of 0.5 mohm, 240 V.
func ExampleSource_Prospective() {
	mohm, err := wiring.BankMOhm(0.5, 110, 4)
	if err != nil {
		fmt.Println(err)
		return
	}
	c, err := wiring.Source{NominalV: 240, BankMOhm: mohm}.Prospective(wiring.Practice{})
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("%.1f kA, reckon with %.1f kA\n", c.EstimateA/1000, c.MaximumA/1000)
	// Output: 17.5 kA, reckon with 20.4 kA
}

func ExampleSizeFeeder() {
	r, err := wiring.SizeFeeder(wiring.Feeder{
		Laying:   wiring.Laying{Tables: wiring.IEC, System: wiring.SinglePhase, AmbientC: 35},
		VoltageV: 230, LengthM: 12, ContinuousA: 21.7,
	})
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("%g A breaker, %s\n", r.BreakerA, r.Choice.Size.Name)
	for _, s := range r.Working(nil) {
		fmt.Println(strings.TrimSpace(fmt.Sprintf("%s: %s = %.4g %s", s.Title, s.Expr, s.Value, s.Unit)))
	}
	// Output:
	// 25 A breaker, 4 mm2
	// Current of the circuit breaker: continuous_factor * continuous_a = 21.7 A
	// Circuit breaker: required_a > rating_below_a ? rating_a : rating_below_a = 25 A
	// Ambient factor:  = 0.94
	// Grouping factor:  = 1
	// Too small: 2.5 mm2: tabulated_a * ambient_factor * group_factor = 21.62 A
	// Tabulated current:  = 30 A
	// Current-carrying capacity: tabulated_a * ambient_factor * group_factor = 28.2 A
	// Resistance of one conductor: r20_ohm_km * (copper_zero_c + insulation_c) / (copper_zero_c + 20) = 5.516 ohm/km
	// Voltage drop: 2 * length_m / 1000 * continuous_a * sqrt(resistance_ohm_km^2 + reactance_ohm_km^2) = 2.873 V
	// Voltage drop, fraction: drop_v / voltage_v = 0.01249
}
