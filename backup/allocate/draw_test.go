package allocate

import (
	"math"

	"pgregory.net/rapid"
)

// draw draws a small problem whose numbers are multiples of 12, so that halves and thirds are exact.
func draw(t *rapid.T) Problem {
	number := func(top int, what string) float64 { return float64(12 * rapid.IntRange(0, top).Draw(t, what)) }
	// limit is a random share of what n items take on average, or none.
	limit := func(n, top int, what string) float64 {
		if rapid.IntRange(0, 3).Draw(t, what+" unknown") == 3 {
			return math.Inf(1)
		}
		return float64(6 * n * top * rapid.SampledFrom([]int{5, 4, 6, 3, 8, 2, 10, 0}).Draw(t, what) / 10)
	}
	n := rapid.SampledFrom([]int{6, 7, 8, 9, 10, 5, 4, 3, 2, 1, 0, 11}).Draw(t, "items")
	phases := rapid.IntRange(0, 3).Draw(t, "phases")
	wide := rapid.Bool().Draw(t, "wide") // one interlock too large to be written out
	ids := rapid.Permutation([]string{"a", "b", "c", "d", "e", "f", "g", "h", "i", "j", "k"}).Draw(t, "ids")
	p := Problem{Limits: Limits{ContinuousVA: limit(n, 4, "continuous"), SurgeVA: limit(n, 5, "surge"),
		UsableWh: limit(n, 4, "usable"),
		Days:     float64(rapid.IntRange(0, 2).Draw(t, "days")), IdleWhPerDay: number(1, "idle"),
		Ways: limit(n, 1, "ways") / 4}}
	for range phases {
		p.Limits.PhaseVA = append(p.Limits.PhaseVA, limit(n, 3, "phase"))
		p.Limits.PassA = append(p.Limits.PassA, limit(n, 3, "pass"))
	}
	combinations := 1
	for i := range n {
		it := Item{ID: ids[i], DemandVA: number(4, "demand"), SurgeExtraVA: number(5, "extra"),
			EnergyWhPerDay: number(3, "energy"),
			PassA:          number(3, "current"), Ways: rapid.IntRange(0, 3).Draw(t, "ways of item")}
		for range rapid.IntRange(0, 3).Draw(t, "values") {
			it.Values = append(it.Values, float64(rapid.IntRange(0, 3).Draw(t, "value")))
		}
		if phases > 0 && rapid.IntRange(0, 2).Draw(t, "named phases") > 0 {
			all := rapid.Permutation([]int{0, 1, 2, 3}[:phases+1]).Draw(t, "order")
			it.Phases = all[:rapid.IntRange(1, len(all)).Draw(t, "number of phases")]
			if wide || combinations*(len(it.Phases)+1) > 6000>>(n-i) {
				it.Phases = it.Phases[:1]
			}
		}
		combinations *= max(1, len(it.Phases)) + 1
		it.Rule = rapid.SampledFrom([]Rule{Either, Either, Either, Either, Either, Either, Either, Include,
			Exclude}).Draw(t, "rule")
		p.Items = append(p.Items, it)
	}
	left := make([][3]float64, n) // what interlocks leave of demand, pass-through and the row
	for i := range left {
		left[i] = [3]float64{p.Items[i].DemandVA, p.Items[i].PassA, number(4, "amount")}
	}
	row := Row{Name: "row", Limit: limit(n, 4, "row"), Amount: []float64{}}
	for i := range left {
		row.Amount = append(row.Amount, left[i][2])
	}
	if rapid.Bool().Draw(t, "row has extras") {
		row.Extra = []float64{}
		for range n {
			row.Extra = append(row.Extra, number(4, "row extra"))
		}
	}
	locks := 0
	if n >= 2 {
		locks = rapid.IntRange(0, 3).Draw(t, "interlocks")
	}
	for k := range locks {
		size := rapid.IntRange(2, min(n, 4)).Draw(t, "size")
		if wide && k == 0 {
			size = n
		}
		items := make([]int, n)
		for i := range items {
			items[i] = i
		}
		lock := Interlock{Items: rapid.Permutation(items).Draw(t, "members")[:size], DemandVA: []float64{},
			PassA: []float64{}}
		parts := []float64{}
		for _, i := range lock.Items {
			half := rapid.IntRange(0, 2).Draw(t, "half")
			take := [3]float64{}
			for q := range take {
				switch half {
				case 1:
					take[q] = left[i][q] / 2
				case 2:
					take[q] = left[i][q]
				}
				left[i][q] -= take[q]
			}
			lock.DemandVA = append(lock.DemandVA, take[0])
			lock.PassA = append(lock.PassA, take[1])
			parts = append(parts, take[2])
		}
		p.Interlocks = append(p.Interlocks, lock)
		row.Parts = append(row.Parts, parts)
	}
	if rapid.Bool().Draw(t, "rows") {
		p.Rows = []Row{row}
	}
	return p
}
