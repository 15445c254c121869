package allocate

import (
	"math"
	"testing"
)

// BenchmarkSolve: the reference instances, their one value.
func BenchmarkSolve(b *testing.B) {
	for _, name := range instanceNames(b) {
		var in instance
		readJSON(b, name, &in)
		p := in.problem()
		b.Run("instance="+name, func(b *testing.B) { benchmark(b, p, Options{}) })
	}
}

// BenchmarkPriorities: the same with five priorities, compared one after the other.
func BenchmarkPriorities(b *testing.B) {
	for _, name := range []string{"rand_012_00", "rand_024_00", "rand_040_06", "rand_080_00", "rand_200_02",
		"hard_200_08"} {
		p := byPriority(b, name)
		b.Run("instance="+name, func(b *testing.B) { benchmark(b, p, Options{}) })
	}
}

// BenchmarkCheck: the same with a check of the vector sum, which explains itself by rows or not at all.
func BenchmarkCheck(b *testing.B) {
	for _, name := range []string{"rand_024_00", "rand_080_00", "rand_200_00"} {
		p := byPriority(b, name)
		w, va := make([]float64, len(p.Items)), make([]float64, len(p.Items))
		for i, it := range p.Items {
			factor := 0.7 + 0.1*float64(i%4)
			w[i], va[i] = it.DemandVA*factor, it.DemandVA*math.Sqrt(1-factor*factor)
		}
		for kind, explains := range map[int]string{2: "row", 0: "nothing"} {
			_, check := vectorCheck(kind, w, va, 0.85*p.Limits.ContinuousVA)
			b.Run("instance="+name+"/explains="+explains, func(b *testing.B) { benchmark(b, p, Options{Check: check}) })
		}
	}
}

// byPriority replaces the values by one load, two or three of one of five priorities.
func byPriority(tb testing.TB, name string) Problem {
	var in instance
	readJSON(tb, name, &in)
	p := in.problem()
	for i := range p.Items {
		values := make([]float64, 5)
		values[(i*7+int(p.Items[i].Values[0]))%5] = float64(1 + i%3)
		p.Items[i].Values = values
	}
	return p
}

func benchmark(b *testing.B, p Problem, opts Options) {
	b.ReportAllocs()
	var res Result
	for b.Loop() {
		var err error
		if res, err = Solve(p, opts); err != nil || res.Status == Stopped {
			b.Fatal(res.Status, err)
		}
	}
	b.ReportMetric(float64(res.Nodes), "nodes")
}
