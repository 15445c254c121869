package allocate_test

import (
	"fmt"
	"math"

	"outlast/backup/allocate"
)

// Two pumps never run together, so only the larger counts; the heater does not fit beside them.
func ExampleSolve() {
	p := allocate.Problem{
		Items: []allocate.Item{
			{ID: "bore pump", Values: []float64{8}, DemandVA: 1400, SurgeExtraVA: 3800, Rule: allocate.Include},
			{ID: "pressure pump", Values: []float64{6}, DemandVA: 900, SurgeExtraVA: 2000},
			{ID: "fridge", Values: []float64{9}, DemandVA: 200, SurgeExtraVA: 800},
			{ID: "heater", Values: []float64{7}, DemandVA: 2000},
		},
		Interlocks: []allocate.Interlock{{Items: []int{0, 1}}},
		Limits:     allocate.Unlimited(),
	}
	p.Limits.ContinuousVA = 3000
	p.Limits.SurgeVA = 6000
	res, err := allocate.Solve(p, allocate.Options{})
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println(res.Status, res.Value)
	for i, in := range res.Selected {
		if in {
			fmt.Println("+", p.Items[i].ID)
		}
	}
	for _, why := range res.LeftOut {
		fmt.Printf("- %s: %v (%s, %g %s too much)\n", p.Items[why.Item].ID, why.Reason, why.Broken.Limit, why.Broken.By,
			why.Broken.Unit)
	}
	// Output:
	// optimal [23]
	// + bore pump
	// + pressure pump
	// + fridge
	// - heater: never fits (continuous, 400 VA too much)
}

// The demand of a set is a vector sum, which no row holds. The check returns the row that touches it at the set that
// failed: what lies beyond that row fails as well.
func ExampleOptions_check() {
	watt := []float64{1000, 900, 500}
	var_ := []float64{0, 700, 400}
	const most = 1800 // VA
	check := func(c allocate.Choice) allocate.Verdict {
		var w, v float64
		for i, in := range c.Selected {
			if in {
				w += watt[i]
				v += var_[i]
			}
		}
		s := math.Hypot(w, v)
		if s <= most {
			return allocate.Verdict{OK: true}
		}
		row := allocate.Row{Name: "apparent power", Unit: "VA", Limit: most}
		for i := range watt {
			row.Amount = append(row.Amount, (w*watt[i]+v*var_[i])/s)
		}
		return allocate.Verdict{Limit: row.Name, Unit: row.Unit, Excess: s - most, Row: &row}
	}
	p := allocate.Problem{Limits: allocate.Unlimited(), Items: []allocate.Item{
		{ID: "a", Values: []float64{3}}, {ID: "b", Values: []float64{3}}, {ID: "c", Values: []float64{2}},
	}}
	res, err := allocate.Solve(p, allocate.Options{Check: check})
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println(res.Selected, res.LeftOut[0].Broken.Limit)
	// Output: [true false true] apparent power
}
