package outage_test

import (
	"cmp"
	"fmt"

	"outlast/backup/outage"
	"outlast/battery"
	"outlast/loads"
)

// A toy day of six hours (mark: own, recomputed): 1 kW of load, 2 kW of sun in the third and fourth hour, a lossless
// bank of 3 kWh. The hours survived from each start, and what each start would need to outlast six.
func ExampleStudy() {
	year := outage.Year{StepMin: 60, NetW: []float64{-1000, -1000, 1000, 1000, -1000, -1000}}
	study, err := outage.NewStudy(year, outage.Path{ChargeEfficiency: 1, DischargeEfficiency: 1}, 24)
	if err != nil {
		fmt.Println(err)
		return
	}
	starts, err := study.Survive(3000, 1)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println("hours:", starts.Hours)
	bank, _, err := study.SmallestBank(6, 1, 1)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println("bank that outlasts 6 h from any start:", bank, "Wh")
	// Output:
	// hours: [7 6 5 4 3 7]
	// bank that outlasts 6 h from any start: 4000 Wh
}

// A fridge and a lamp on a lithium bank, from six in the evening. The lamp goes off below 40 %.
func ExampleSim() {
	unit, _ := battery.Unit{Chemistry: battery.LFP, NominalV: 51.2, RatedAh: 50}.WithDefaults()
	bank, err := battery.Bank{Unit: unit, Series: 1, Strings: 1}.Model(battery.ModelOptions{TemperatureC: 20})
	if err != nil {
		fmt.Println(err)
		return
	}
	sim, err := outage.NewSim(outage.Scenario{
		StartMin: 18 * 60,
		Loads: []loads.Load{
			{Name: "Fridge", CircuitID: "kitchen", Quantity: 1, RunningW: 120, HoursPerDay: 9,
				Cycle: &loads.Cycle{OnMin: 15, OffMin: 25}},
			{Name: "Lamp", CircuitID: "light", Quantity: 1, RunningW: 60, HoursPerDay: 24, DropBelow: 0.4},
		},
		Inverter: outage.Inverter{IdleW: 20, Efficiency: 0.93},
		Bank:     bank,
		StartSoC: 1,
	})
	if err != nil {
		fmt.Println(err)
		return
	}
	if err := sim.Run(24 * 60); err != nil {
		fmt.Println(err)
		return
	}
	for _, e := range sim.Result().Events {
		fmt.Printf("after %2d h %02d min: %s %s\n", e.Min/60, e.Min%60, cmp.Or(e.Load, e.CircuitID), e.Kind)
	}
	// Output:
	// after 11 h 09 min: Lamp dropped
	// after 18 h 23 min: kitchen dark
	// after 18 h 23 min: light dark
}
