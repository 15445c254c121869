package backup

import (
	"context"
	"errors"
	"fmt"

	"outlast/backup/outage"
)

// OutageOptions say which outage to follow. The zero value is the plan's own: its start, its reserve, an old bank, everything that
// recharges included.
type OutageOptions struct {
	Hours       int
	New         bool // the bank is new, not at the end of its life
	EvenSpread  bool // loads are spread evenly instead of following their rhythm
	NoArray     bool
	NoGenerator bool
	Seed        uint64 // of the rhythms, and of the days of sun
}

// Rules of people and relays: common practice.
const (
	restartAbove   = 0.10 // an emptied bank carries loads again when it is so far above its floor
	generatorAbove = 0.05 // a generator that shall prevent darkness starts at least so far above the floor
)

// MaxOutageH is the longest single outage that is followed.
const MaxOutageH = 8760

// OutageRun is one outage through time.
type OutageRun struct {
	outage.Result
	Plan     *Plan
	Options  OutageOptions
	StartMin int
	Draws    *OutageDraws // the same outage under other seeds; nil: nothing is drawn, or nobody asked
	Cautions []string
}

// RunOutage follows one outage of the planned home minute by minute. When ctx is done it ends with its error.
func (p *Plan) RunOutage(ctx context.Context, o OutageOptions) (*OutageRun, error) {
	if o.Hours < 1 || o.Hours > MaxOutageH {
		return nil, fmt.Errorf("an outage of %d h, want 1 to %d", o.Hours, MaxOutageH)
	}
	endOfLife := p.Site.Practice.EndOfLife
	if o.New {
		endOfLife = 1
	}
	sc, err := p.Scenario(endOfLife)
	if err != nil {
		return nil, err
	}
	out := &OutageRun{Plan: p, Options: o, StartMin: sc.StartMin}
	sc.EvenSpread, sc.Seed = o.EvenSpread, o.Seed
	floor := p.floorSoC()
	sc.RestartSoC = min(1, floor+restartAbove)
	sc.ChargeLimitW = p.Site.Inverter.MaxChargeA * float64(p.Site.InverterCount) * p.Bank.NominalV()
	if !o.NoArray {
		if sc.PVW, out.Cautions, err = p.pvMinutes(o); err != nil {
			return nil, err
		}
	}
	if !o.NoGenerator {
		sc.Generator = p.generator()
		if g := sc.Generator; g != nil && g.StartSoC < floor+generatorAbove {
			out.Cautions = append(out.Cautions, fmt.Sprintf("start_soc of the generator (%g) is not above the floor of the bank (%.2g): here it starts at %.2g.", g.StartSoC, floor, floor+generatorAbove))
			g.StartSoC = floor + generatorAbove
			g.StopSoC = max(g.StopSoC, min(1, g.StartSoC+generatorAbove))
		}
	}
	sim, err := outage.NewSim(sc)
	for hour := 0; err == nil && hour < o.Hours; hour++ {
		if err := ctx.Err(); err != nil {
			return nil, err
		}
		err = sim.Run(60)
	}
	if err != nil {
		return nil, fmt.Errorf("the outage cannot be followed: %s", trimPrefix(err))
	}
	out.Result = sim.Result()
	return out, nil
}

// pvMinutes is the arrays' power for every minute from the midnight of the start on, from the first day of the outage's month.
// The days are drawn: dull and bright ones follow each other as they do.
func (p *Plan) pvMinutes(o OutageOptions) (w []float64, cautions []string, err error) {
	sun, err := p.Site.Sunlit()
	switch {
	case errors.Is(err, errNoSun):
		return nil, []string{"Give monthly_kwh_m2_day or weather of each array to count what it gives."}, nil
	case err != nil:
		return nil, nil, fmt.Errorf("the array: %s", trimPrefix(err))
	case sun == nil:
		return nil, nil, nil
	}
	days := (int(p.Bank.StartMin)%dayMin+o.Hours*60)/dayMin + 1
	w = make([]float64, 0, days*dayMin)
	for month := p.Month; len(w) < days*dayMin; month = month%12 + 1 {
		hours, err := sun.Month(month, o.Seed)
		if err != nil {
			return nil, nil, fmt.Errorf("the array: %s", trimPrefix(err))
		}
		for _, v := range hours {
			for range 60 {
				w = append(w, v)
			}
		}
	}
	return w[:days*dayMin], sun.Cautions, nil
}

// generator is the site's generator for the simulation; nil without one.
func (p *Plan) generator() *outage.Generator {
	g := p.Site.Generator
	if g == nil {
		return nil
	}
	d, err := p.Site.generatorDerating()
	if err != nil || d.Factor < outage.LeastDerating {
		return nil
	}
	out := &outage.Generator{
		RatedW: g.RatedVA * g.PowerFactor, Derating: d.Factor, StartSoC: g.StartSoC, StopSoC: g.StopSoC,
		ChargerW: p.Inverter.ChargerInputW(p.Bank.NominalV()), ChargerEfficiency: p.Site.Inverter.Efficiency, FuelL: g.FuelL,
		Fuel: p.generatorFuel(),
	}
	return out
}

// generatorFuel is what the generator burns by load: its own table or, without one, the published use of a small diesel set.
func (p *Plan) generatorFuel() []outage.FuelPoint {
	g := p.Site.Generator
	var points []outage.FuelPoint
	for _, f := range g.FuelLPerH {
		points = append(points, outage.FuelPoint{Load: f.Load, LPerH: f.LPerH})
	}
	if len(points) == 0 {
		points = outage.DefaultFuel(g.RatedVA * g.PowerFactor)
	}
	return points
}
