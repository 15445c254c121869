package battery

import (
	"outlast/backup/phrase"
	"outlast/backup/working"
)

// A point is one row of a published table: Y at X, and where it comes from, with its mark.
type point struct {
	X, Y   float64
	Source working.Source
}

// What figures of this package rest on that no document tells.
var (
	definition = working.From(phrase.Of("definition"), working.Definition)
	tradeRule  = working.Plainly(phrase.Of("common practice"), working.Practice)
	asLFP      = working.From(phrase.Of("as LFP"), working.Memory)
)

// interpolate draws straight lines between points in ascending X, of which there are at least two; outside, the end
// segments go on. in is false there.
func interpolate(points []point, x float64) (y float64, in bool) {
	i := upper(points, x)
	a, b := &points[i-1], &points[i]
	y = a.Y + (b.Y-a.Y)*(x-a.X)/(b.X-a.X)
	return y, x >= points[0].X && x <= points[len(points)-1].X
}

// bracket gives the points between which x lies, or the nearest two where it lies outside.
func bracket(points []point, x float64) (a, b point) {
	i := upper(points, x)
	return points[i-1], points[i]
}

// upper is the place of the upper of them.
func upper(points []point, x float64) int {
	i := 1
	for i < len(points)-1 && x > points[i].X {
		i++
	}
	return i
}

// solve is the inverse of interpolate for tables whose Y only rises or only falls: the X at which the line passes y. y
// lies between the ends.
func solve(points []point, y float64) (x float64) {
	last := len(points) - 1
	rises := points[last].Y > points[0].Y
	i := 1
	for i < last && (y > points[i].Y) == rises && y != points[i].Y {
		i++
	}
	a, b := points[i-1], points[i]
	return a.X + (b.X-a.X)*(y-a.Y)/(b.Y-a.Y)
}

func fromF(f float64) float64 { return (f - 32) / 1.8 }
func toF(c float64) float64   { return c*1.8 + 32 }
