package allocate

import (
	"math"
	"strings"
	"testing"
)

func TestErrors(t *testing.T) {
	good := func() Problem {
		return Problem{Limits: Unlimited(), Items: []Item{item("a", 1), item("b", 2)},
			Interlocks: []Interlock{{Items: []int{0, 1}}}}
	}
	for want, spoil := range map[string]func(p *Problem){
		`demand of item 1: -3 VA, want a finite number of at least 0`: func(p *Problem) { p.Items[1].DemandVA = -3 },
		`demand of item 0: NaN VA`: func(p *Problem) {
			p.Items[0].DemandVA = math.NaN()
		},
		`surge extra of item 0: +Inf VA`: func(p *Problem) {
			p.Items[0].SurgeExtraVA = math.Inf(1)
		},
		`energy of item: 4.1e+12 Wh in total, want at most 4e+12`: func(p *Problem) {
			p.Items[0].EnergyWhPerDay = 4.1e12
		},
		`value 2 of item 1: -1`: func(p *Problem) {
			p.Items[1].Values = []float64{1, -1}
		},
		`ways of item 0: -1`:       func(p *Problem) { p.Items[0].Ways = -1 },
		`item 1: id "a" is taken`:  func(p *Problem) { p.Items[1].ID = "a" },
		`item 0 has no id`:         func(p *Problem) { p.Items[0].ID = "" },
		`item "a": unknown rule 9`: func(p *Problem) { p.Items[0].Rule = 9 },
		`item "a": phase 3, want 0 to 2`: func(p *Problem) {
			p.Items[0].Phases = []int{3}
			p.Limits.PhaseVA = []float64{1, 1}
		},
		`item "a": phase 1 is listed twice`: func(p *Problem) {
			p.Items[0].Phases = []int{1, 1}
		},
		`continuous limit -1 VA, want at least 0`: func(p *Problem) { p.Limits.ContinuousVA = -1 },
		`ways NaN`:               func(p *Problem) { p.Limits.Ways = math.NaN() },
		`limit of phase 2 -5 VA`: func(p *Problem) { p.Limits.PhaseVA = []float64{1, -5} },
		`2 phases with a demand limit, 1 with a pass-through limit`: func(p *Problem) {
			p.Limits.PhaseVA,
				p.Limits.PassA = []float64{1, 2}, []float64{1}
		},
		`days, number 0: -1`:      func(p *Problem) { p.Limits.Days = -1 },
		`interlock 0 has 1 items`: func(p *Problem) { p.Interlocks[0].Items = []int{0} },
		`interlock 0: item 5 is out of range or stands in it twice`: func(p *Problem) {
			p.Interlocks[0].Items[1] = 5
		},
		`interlock 0: item 0 is out of range or stands in it twice`: func(p *Problem) {
			p.Interlocks[0].Items[1] = 0
		},
		`interlock 0: want one part for each of its 2 items`: func(p *Problem) {
			p.Interlocks[0].PassA = []float64{0}
		},
		`item "a": interlocks hold 2 of its demand, which is 1`: func(p *Problem) {
			p.Interlocks[0].DemandVA = []float64{2, 0}
		},
		`row "x": want one amount and extra for each of 2 items`: func(p *Problem) {
			p.Rows = []Row{{Name: "x", Amount: []float64{1}}}
		},
		`amount in row x of item 1: -1`: func(p *Problem) {
			p.Rows = []Row{{Name: "x", Amount: []float64{1, -1}}}
		},
		`limit of row x -2`: func(p *Problem) {
			p.Rows = []Row{{Name: "x", Amount: []float64{1, 1}, Limit: -2}}
		},
		`row "x": 1 parts for interlock 0, want 2`: func(p *Problem) {
			p.Rows = []Row{{Name: "x", Amount: []float64{1, 1}, Parts: [][]float64{{1}}}}
		},
		`energy over all days of item: 5e+12 Wh in total, want at most 4e+1`: func(p *Problem) {
			p.Limits.UsableWh,
				p.Limits.Days, p.Items[0].EnergyWhPerDay = 1, 5, 1e12
		},
	} {
		p := good()
		spoil(&p)
		if _, err := Solve(p, Options{}); err == nil || !strings.Contains(err.Error(), want) ||
			!strings.HasPrefix(err.Error(), "allocate: ") {
			t.Errorf("%v, want %q", err, want)
		}
	}
	for want, verdict := range map[string]Verdict{
		`the check blames item 7, which is not chosen`: {Items: []int{7}},
		`amount in row y of item 0: -1`:                {Row: &Row{Name: "y", Amount: []float64{-1, 0}}},
	} {
		check := func(c Choice) Verdict {
			v := verdict
			v.OK = !c.Selected[0]
			return v
		}
		if _, err := Solve(good(), Options{Check: check}); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%v, want %q", err, want)
		}
	}
}
