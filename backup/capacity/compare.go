package capacity

import (
	"math"
)

// Apart are log and plan from here on: a monitor of charge and a model of it differ by less, volts of the model under
// load too. Own planning rules.
const (
	apartSoC  = 0.05
	apartPerV = 0.02 // of the nominal volts
)

// mostRows of the table that sets the log beside the simulation.
const mostRows = 13

// compare puts the measured power into the bank as it is planned and, where its capacity was found, as it is.
func (r *Result) compare(m *model) {
	planned := m.follow(r.Plan.Site.Practice.EndOfLife).read
	best, found := r.Best()
	var measured []float64
	if found {
		measured = m.follow(best.Share).read
	}
	volts := func(z float64, i int) float64 {
		if !r.Plan.Sags() || m.bins[i].w < 0 {
			return math.NaN()
		}
		v, _ := m.bank.PowerV(m.bins[i].w, z, r.TempC)
		return v
	}
	var rows []Row
	for i, b := range m.bins {
		row := Row{AtH: b.atH, W: b.w, Volts: b.volts, SoC: b.soc, PlannedSoC: planned[i],
			PlannedV: volts(planned[i], i), MeasuredV: math.NaN(), MeasuredSoC: math.NaN()}
		if found {
			row.MeasuredSoC, row.MeasuredV = measured[i], volts(measured[i], i)
		}
		rows = append(rows, row)
	}
	r.part(rows)
	for k := range mostRows {
		i := k * (len(rows) - 1) / (mostRows - 1)
		if len(r.Rows) == 0 || rows[i].AtH > r.Rows[len(r.Rows)-1].AtH {
			r.Rows = append(r.Rows, rows[i])
		}
	}
}

// part finds where log and plan go different ways: by the state of charge where it is logged, else by the volts.
func (r *Result) part(rows []Row) {
	x := Parting{Limit: apartSoC}
	if !r.Log.HasSoC {
		x.ByVolts, x.Limit = true, apartPerV*r.Plan.Bank.NominalV()
	}
	n := 0
	for _, row := range rows {
		d := row.SoC - row.PlannedSoC
		if x.ByVolts {
			d = row.Volts - row.PlannedV
		}
		if d != d {
			continue
		}
		n++
		if !x.Apart && d < -x.Limit {
			x.Apart, x.AtH = true, row.AtH
		}
		if math.Abs(d) > math.Abs(x.Largest) {
			x.Largest, x.LargeH = d, row.AtH
		}
	}
	if n > 0 {
		r.Parting = &x
	}
}

// promise works out what the plan gives: new, as planned, as measured, at the low end of what was measured, and with
// what the bank has at least.
func (r *Result) promise() (err error) {
	best, found := r.Best()
	for _, h := range []struct {
		share  float64
		hours  *float64
		capped *bool
		wanted bool
	}{
		{1, &r.NewH, &r.NewCapped, true},
		{r.Plan.Site.Practice.EndOfLife, &r.PlannedH, &r.PlannedCapped, true},
		{best.Share, &r.MeasuredH, &r.MeasuredCapped, found},
		{best.Low(), &r.LowH, nil, found},
		{r.AtLeast, &r.AtLeastH, nil, true},
	} {
		if !h.wanted {
			continue
		}
		hours, capped, err := r.Plan.LeastAutonomyWith(min(1, max(0.01, h.share)))
		if err != nil {
			return err
		}
		*h.hours = hours
		if h.capped != nil {
			*h.capped = capped
		}
	}
	return nil
}

// A Refusal is why the capacity is not written into the site file.
type Refusal string

// The refusals.
const (
	RefusedUntold   Refusal = "untold"   // the log does not tell the capacity
	RefusedDisagree Refusal = "disagree" // two ways contradict each other
	RefusedHigher   Refusal = "higher"   // the plan counts with less already: for the end of the bank's life, not for today
	RefusedRange    Refusal = "range"    // less than a site file takes
)

// leastEndOfLife is the least that a site file takes.
const leastEndOfLife = 0.1

// EndOfLife is what the plan is to count with, in hundredths, rounded down; why says what stands against writing it.
func (r *Result) EndOfLife() (share float64, why Refusal) {
	best, ok := r.Best()
	if !ok {
		if r.Disagree {
			return 0, RefusedDisagree
		}
		return 0, RefusedUntold
	}
	share = math.Floor(best.Share*100+1e-6) / 100
	switch {
	case share >= r.Plan.Site.Practice.EndOfLife:
		return share, RefusedHigher
	case share < leastEndOfLife:
		return share, RefusedRange
	}
	return share, ""
}
