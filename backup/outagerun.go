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

// restartAbove is how far above its floor an emptied bank carries loads again: a rule of people and relays, common practice.
const restartAbove = 0.10

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
	p.limits(&sc)
	if !o.NoArray {
		if sc.PVW, out.Cautions, err = p.pvMinutes(o); err != nil {
			return nil, err
		}
	}
	if !o.NoGenerator {
		sc.Generator = p.generator()
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
		w = append(w, byMinute(hours)...)
	}
	return w[:days*dayMin], sun.Cautions, nil
}
