package outage

import (
	"math"
)

// An Expectation is what a year of outages costs a home on average.
type Expectation struct {
	OutageH  float64 // hours of outage a year: what is dark without backup
	DemandWh float64 // energy that the loads ask in them
	// DarkH and UnservedWh are what is left with backup. Once dark counts as dark until the grid is back, and so does
	// all that lies after the longest outage that was followed: both err on the safe side.
	DarkH, UnservedWh float64
	// BeyondH is the part of DarkH after the longest outage that was followed. If it is large, follow longer outages.
	BeyondH float64
	// Outlasted is the share of the outages that the backup outlasts.
	Outlasted float64
}

// Expect joins the hours survived from each start with how often and how long the grid fails.
//
// An outage may begin in every hour of the year with the same chance, whatever its length. loadW is the load's mean
// power in each hour of the year; perYear the number of outages a year, at least 0 (about a network's SAIFI). Dark
// hours: perYear * mean over the starts of E[max(0, T - survived)]. Mark: derived from the survival curve.
func Expect(s Starts, loadW []float64, lengths Durations, perYear float64) (Expectation, error) {
	if len(s.Hours) == 0 || len(loadW) != len(s.Hours) {
		return Expectation{}, errs.Errorf("load of %d hours for %d starts, want as many and at least one", len(loadW),
			len(s.Hours))
	}
	if !(perYear >= 0 && perYear <= 1e6) {
		return Expectation{}, errs.Errorf("%g outages a year, want 0 to 1e6", perYear)
	}
	meanW := 0.0
	for i, w := range loadW {
		if !(math.Abs(w) <= maxPowerW) {
			return Expectation{}, errs.Errorf("hour %d: load %g W, want a finite number", i, w)
		}
		meanW += w / float64(len(loadW))
	}
	// during[h] is how much of the hour h..h+1 of an outage there is on average; after[h] all that follows h hours.
	during, after, lasting := make([]float64, s.MaxH), make([]float64, s.MaxH+1), make([]float64, s.MaxH+1)
	before := 0.0 // on average within the first h hours
	for h := range after {
		within := max(before, lengths.MeanWithinH(float64(h)))
		after[h] = max(0, lengths.MeanH()-within)
		lasting[h] = lengths.Survival(float64(h))
		if h > 0 {
			during[h-1] = within - before
		}
		before = within
	}
	var e Expectation
	n := float64(len(s.Hours))
	for i, survived := range s.Hours {
		e.DarkH += after[survived] / n
		e.Outlasted += (1 - lasting[survived]) / n
		wh := 0.0
		at := (i + survived) % len(loadW)
		for _, share := range during[survived:] {
			wh += share * loadW[at]
			if at++; at == len(loadW) {
				at = 0
			}
		}
		e.UnservedWh += (wh + after[s.MaxH]*meanW) / n
	}
	e.OutageH, e.BeyondH = perYear*lengths.MeanH(), perYear*after[s.MaxH]
	e.DemandWh = e.OutageH * meanW
	e.DarkH *= perYear
	e.UnservedWh *= perYear
	return e, nil
}
