package allocate

import (
	"math"
	"slices"
	"testing"
)

// TestCheck counts what the kinds of verdict cost, and that a verdict is believed.
func TestCheck(t *testing.T) {
	p := Problem{Limits: Unlimited()}
	for i := range 12 {
		p.Items = append(p.Items, item(string(rune('a'+i)), float64(10+i),
			func(it *Item) { it.Values[0] = float64(20 + i%5) }))
	}
	// d and h never run on the same board; the check says so more or less clearly.
	for name, verdict := range map[string]Verdict{
		"blames both":    {Items: []int{3, 7}},
		"says nothing":   {},
		"gives a row":    {Row: &Row{Limit: 1, Amount: []float64{3: 1, 7: 1, 11: 0}}},
		"gives any row":  {Row: &Row{Limit: 1, Amount: make([]float64, 12)}}, // not broken: of no use, so it is set aside
		"not monotone":   {Exact: true},
		"on all phases":  {AnyPhase: true, Items: []int{3, 7}},
		"blames it all":  {Items: []int{0, 1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11}},
		"infinite limit": {Row: &Row{Limit: math.Inf(1), Amount: make([]float64, 12)}},
	} {
		calls := 0
		res, err := Solve(p, Options{Check: func(c Choice) Verdict {
			calls++
			if name == "blames it all" && slices.Contains(c.Selected, false) {
				return Verdict{OK: true} // a check that blames all items when all are chosen can't refuse fewer
			}
			if c.Selected[3] && c.Selected[7] {
				return verdict
			}
			return Verdict{OK: true}
		}})
		if err != nil {
			t.Fatalf("%s: %v", name, err)
		}
		want := "a b c d e f g i j k l" // d is worth 23, h 22
		if name == "blames it all" {
			want = "a b c d e f g h i j l" // k is worth 20, as a and f are, and has the largest id of them
		}
		if got := ids(&p, res); got != want || res.Status != Optimal || res.Checks != calls {
			t.Errorf("%s: %v, %q after %d calls (%d counted), want %q", name, res.Status, got, calls, res.Checks, want)
		}
		if calls > 60 {
			t.Errorf("%s: %d calls", name, calls)
		}
	}
}

// vectorCheck is a check that no sum can express: the length of a vector sum, by phase in kind 1. Kind 2 gives
// the tangent at the point as a row, kind 3 names all chosen items, kind 4 is not monotone.
func vectorCheck(kind int, w, va []float64, most float64) (pass func([]int) bool, check func(Choice) Verdict) {
	sums := func(phase []int, only int) (x, y float64) {
		for i, ph := range phase {
			if ph >= 0 && (only < 0 || ph == only) {
				x += w[i]
				y += va[i]
			}
		}
		return x, y
	}
	pass = func(phase []int) bool {
		switch kind {
		case 1:
			x, y := sums(phase, 1)
			return x*x+y*y <= most*most
		case 4:
			x, y := sums(phase, -1)
			return math.Mod(x+2*y, 5) < 3
		}
		x, y := sums(phase, -1)
		return x*x+y*y <= most*most
	}
	check = func(c Choice) Verdict {
		phase := make([]int, len(w))
		var chosen []int
		for i := range phase {
			phase[i] = -1
			if c.Selected[i] {
				phase[i] = c.Phase[i]
				chosen = append(chosen, i)
			}
		}
		if pass(phase) {
			return Verdict{OK: true}
		}
		v := Verdict{Limit: "vector", Excess: 1, AnyPhase: kind == 0, Exact: kind == 4}
		x, y := sums(phase, -1)
		switch kind {
		case 2:
			v.Row = &Row{Name: "tangent", Limit: most * math.Hypot(x, y)}
			for i := range w {
				v.Row.Amount = append(v.Row.Amount, x*w[i]+y*va[i])
			}
		case 3:
			v.Items = chosen
		}
		return v
	}
	return pass, check
}
