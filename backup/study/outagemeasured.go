package study

import (
	"errors"
	"fmt"

	"outlast/backup/calendar"
	"outlast/backup/facts"
	"outlast/backup/measured/meter"
	"outlast/backup/phrase"
	"outlast/backup/wording"
	"outlast/loads"
)

// WholeHome is the id under which a measured home is told: a meter knows no circuits.
const WholeHome = "*"

// MeasuredDays are the days that an outage follows in the place of the list of loads.
type MeasuredDays struct {
	From, To meter.Day // the first and the last, whole days
	StepS    int       // how long a reading is
	WhInAll  float64   // asked for in the hours of the outage, growth included
	Runs     int       // how many runs of days of the month are long enough; of those the one that takes most is followed
}

// measuredMinutes is the power of the run of measured days of the plan's month that takes most in the outage, for every
// minute from its first midnight on, growth included.
func measuredMinutes(p *facts.Facts, startMin, outageH int) (w []float64, of *MeasuredDays, err error) {
	use := p.Site.Use
	switch {
	case use == nil:
		return nil, nil,
			errors.New("an outage of measured days, and the site names no meter file: give meter in [site]")
	case len(p.Site.OnBoard(loads.BoardMain)) > 0:
		return nil, nil,
			errors.New("an outage of measured days, and part of the home is on the main board: the meter counts what the " +
				"bank does not supply")
	case use.NetOfSolar():
		return nil, nil,
			errors.New("an outage of measured days, and the home feeds into the grid: by day the meter hides what it uses")
	}
	need := (startMin+outageH*60-1)/calendar.DayMin + 1
	best, bestWh, runs, longest := -1, 0.0, 0, 0
	for i, d := range use.Days {
		if d.Month != p.Month {
			continue
		}
		n := 0
		for n < need && i+n < len(use.Days) && use.Days[i+n].Whole {
			n++
		}
		if longest = max(longest, n); n < need {
			continue
		}
		runs++
		wh := 0.0
		for h := startMin / 60; h < startMin/60+outageH; h++ {
			wh += use.Days[i+min(h/24, need-1)].HourW[h%24]
		}
		if best < 0 || wh > bestWh {
			best, bestWh = i, wh
		}
	}
	if best < 0 {
		month := wording.MonthWord(p.Month)
		if longest == 0 {
			return nil, nil, fmt.Errorf("an outage of measured days: the meter knows no whole day of %s", month)
		}
		return nil, nil,
			fmt.Errorf("an outage of %d h needs %d measured days in a row from one in %s on, and the meter knows %d at most",
				outageH, need, month, longest)
	}
	growth := 1 + p.Site.Practice.Growth
	for _, d := range use.Days[best : best+need] {
		for _, v := range d.MinuteW() {
			w = append(w, v*growth)
		}
	}
	of = &MeasuredDays{From: use.Days[best], To: use.Days[best+need-1], StepS: 3600, Runs: runs}
	if len(of.From.StepW) > 0 {
		of.StepS = use.StepS
	}
	for _, v := range w[startMin : startMin+outageH*60] {
		of.WhInAll += v / 60
	}
	return w, of, nil
}

// measuredCautions say what measured days do not tell.
func measuredCautions(p *facts.Facts, of *MeasuredDays) []phrase.Phrase {
	out := []phrase.Phrase{phrase.Of("What was measured was used with the grid available: in an outage people may use " +
		"less, and nothing is switched off on the way here.")}
	if of.StepS > 60 {
		out = append(out,
			phrase.Of("The meter tells means of %g min: starts and shorter peaks are in the list of loads alone.",
				float64(of.StepS)/60))
	}
	if len(p.Site.Arrays) > 0 {
		out = append(out,
			phrase.Of("The days of sun are not those that were measured; if an array supplied the home then, the meter hides "+
				"what it gave."))
	}
	return out
}
