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
	fmt.Println(r.Choice.Rejected[len(r.Choice.Rejected)-1].Step().Numbers)
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
	for _, s := range r.Working {
		fmt.Println(strings.TrimSpace(fmt.Sprintf("%s: %s = %.4g %s", s.Title, s.Numbers, s.Value, s.Unit)))
	}
	// Output:
	// 25 A breaker, 4 mm2
	// Current of the circuit breaker: 1 x 21.7 + 0 = 21.7 A
	// Circuit breaker: from 21.7 A = 25 A
	// Required current: as required of the run = 21.7 A
	// Tabulated current: 4 mm2, single-phase = 30 A
	// Ambient factor: 35 C around the cable = 0.94
	// Grouping factor: circuits together: 1 = 1
	// Current-carrying capacity: 30 x 0.94 x 1 = 28.2 A
	// Resistance of one conductor: 4 mm2 at 70 C = 5.516 ohm/km
	// Voltage drop: 12 m, 21.7 A, R 5.516 ohm/km, X 0.08 ohm/km, power factor the worst = 2.873 V
	// Voltage drop, fraction: 2.873 / 230 = 0.01249
}
