package allocate

import (
	"math"
	"strings"
	"testing"

	"gonum.org/v1/gonum/floats/scalar"
	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/optimize/convex/lp"
)

// TestRelaxation compares the relaxation at the root with a general simplex method on the same columns. It must
// agree, and be at least the optimum.
func TestRelaxation(t *testing.T) {
	optima := map[string]optimum{}
	readJSON(t, "optima", &optima)
	for _, name := range instanceNames(t) {
		want := optima[name].Value
		if want == nil || !strings.Contains(name, "_012_") && !strings.Contains(name, "_024_") &&
			!strings.Contains(name, "_040_") {
			continue
		}
		var in instance
		readJSON(t, name, &in)
		p := in.problem()
		m := newModel(&p, false)
		allowed := make([]bool, len(m.colSet))
		for j := range allowed {
			allowed[j] = true
		}
		s := newSearch(m, m.sum(m.values[0]), allowed, nil)
		if !s.solve(s.root) {
			t.Fatalf("%s: the root is said to be empty", name)
		}
		got := s.root.bound * s.unit / perUnit
		general := generalSimplex(t, s)
		if !scalar.EqualWithinRel(got, general, 1e-9) { // both in double precision, well scaled
			t.Errorf("%s: relaxation %.9g, general simplex %.9g", name, got, general)
		}
		if got < *want {
			t.Errorf("%s: relaxation %g below the optimum %g", name, got, *want)
		}
	}
}

// generalSimplex maximises over the columns of the root: rows with slacks, one in all for each set.
func generalSimplex(t *testing.T, s *search) float64 {
	t.Helper()
	rows, sets, cols := s.relaxation.m, len(s.sets), len(s.colSet)
	a := mat.NewDense(rows+sets, cols+rows, nil)
	b := make([]float64, rows+sets)
	c := make([]float64, cols+rows)
	for i := range rows {
		b[i] = float64(s.left(s.root, i)) / s.scale[i]
		a.Set(i, cols+i, 1)
		for j := range cols {
			a.Set(i, j, s.coefAt(int32(j), i))
		}
	}
	for j, g := range s.colSet {
		a.Set(rows+int(g), j, 1)
		b[rows+int(g)] = 1
		c[j] = -float64(s.cost[j]) / perUnit
	}
	z, _, err := lp.Simplex(c, a, b, 1e-10, nil)
	if err != nil || math.IsNaN(z) {
		t.Fatalf("general simplex: %g, %v", z, err)
	}
	return -z
}
