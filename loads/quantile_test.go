package loads

import (
	"math"
	"testing"

	"pgregory.net/rapid"
)

// plainRow adds the draws one after the other, without cutting anything off.
func plainRow(chances []chance, draws []int) []float64 {
	row := []float64{1}
	for _, d := range draws {
		c := &chances[d]
		next := make([]float64, len(row)+int(c.largest()))
		for n, p := range row {
			next[n] += p * c.none
			for k, at := range c.at {
				next[n+int(at)] += p * c.p[k]
			}
		}
		row = next
	}
	return row
}

// A row that is cut off, and added to in place or aside, holds what a plain one holds.
func TestRowEqualsPlainRow(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		var l lottery
		var draws []int
		for range rapid.IntRange(0, 12).Draw(rt, "draws") {
			size := rapid.SampledFrom([]int64{1, 3, 20, 127, 128, 300, 1500}).Draw(rt, "size")
			units := rapid.IntRange(1, 4).Draw(rt, "units")
			draws = append(draws, len(l.chances))
			l.chances = append(l.chances, binomial(units, size, rapid.Float64Range(0.01, 0.99).Draw(rt, "share")))
		}
		cells := rapid.IntRange(1, 6000).Draw(rt, "cells")
		got, want := l.distribution(draws, cells), plainRow(l.chances, draws)
		for n := range min(cells, len(want)) {
			p := 0.0
			if n < len(got) {
				p = got[n]
			}
			if math.Abs(p-want[n]) > 1e-14*want[n]+1e-20 { // what is hopeless may be missing
				rt.Fatalf("P(sum = %d) = %v, want %v", n, p, want[n])
			}
		}
	})
}

// Bounds, bases and halves of the day spare nearly all work; the answer is that of every time of the day by itself.
func TestQuantileEqualsEveryTime(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		ls := farm(rapid.Uint64Range(0, 1e6).Draw(rt, "seed"), 20)[:rapid.IntRange(20, 60).Draw(rt, "loads")]
		confidence := rapid.SampledFrom([]float64{0.3, 0.9, 0.999, 0.99999}).Draw(rt, "confidence")
		if rapid.IntRange(0, 9).Draw(rt, "fine") == 0 { // counted in so many steps that coarser ones are tried first
			ls = ls[:20]
			ls[0].RunningW += 0.5
			ls[0].Windows = nil
		}
		s := NewSet(3, ls)
		l, _ := s.lottery()
		// P(sum <= n) of the worst time; where it lies too near the confidence for floating point either side will do.
		low, high := int64(0), int64(0)
		for _, tm := range l.times {
			total, row := 0.0, plainRow(l.chances, tm.draws)
			lowest, highest := int64(-1), tm.most
			for n, p := range row {
				total += p
				if total >= confidence-nearTie && lowest < 0 {
					lowest = tm.certain + int64(n)
				}
				if total >= confidence+nearTie {
					highest = tm.certain + int64(n)
					break
				}
			}
			low, high = max(low, lowest), max(high, highest)
		}
		if got, exact := l.quantile(confidence); !exact || got < low || got > high {
			rt.Fatalf("%d (exact: %t), want %d to %d", got, exact, low, high)
		}
	})
}
