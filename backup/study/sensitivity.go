package study

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strconv"

	"outlast/backup/conductors"
	"outlast/backup/facts"
	"outlast/backup/site"
	"outlast/backup/verdict"
	"outlast/backup/workers"
	"outlast/loads"
)

// An Influence is what one input moves when it alone is changed by a step; circuits, phases and bank stay as planned.
type Influence struct {
	Input   Input
	Step    Step
	Was, Is float64
	Unit    string

	AutonomyH float64 // with the step, from the start of the day that is worst without it
	ChangeH   float64 // of the autonomy
	Capped    bool    // AutonomyH is where the simulation was ended

	Check               string  // the check whose margin moves most; "": none moves
	MarginWas, MarginIs float64 // its margin, as a share of its limit
	Fails               []string
}

// An Input is a key of the site file: of a table, or of a load.
type Input struct{ Table, Load, Key string }

// String is the input as the site file has it: "practice.margin", "Bore pump: running_w".
func (in Input) String() string {
	if in.Load != "" {
		return in.Load + ": " + in.Key
	}
	return in.Table + "." + in.Key
}

// A Step is by how much an input is changed: "+10 %", "-5 K".
type Step struct {
	By   float64
	Unit string // "%" and "K"; "": as the input
}

// String writes the step.
func (s Step) String() string {
	text := fmt.Sprintf("%+g", s.By)
	if s.Unit != "" {
		text += " " + s.Unit
	}
	return text
}

// impact is how far the step moves the plan: the larger of the change of the autonomy, as a share of it, and that of a
// margin.
func (f Influence) impact() float64 {
	was := f.AutonomyH - f.ChangeH
	return max(math.Abs(verdict.Share(f.ChangeH, was)), math.Abs(f.MarginIs-f.MarginWas))
}

// The steps of the sensitivity: large enough to show, small enough to be an honest doubt. Own planning rule.
const (
	shareStep  = 0.10 // of a power, a time or a factor
	pointStep  = 0.10 // of a margin or a growth, which may be 0
	kelvinStep = 5.0
)

// Sensitivity lists what each input of practice, temperature and loads moves, the strongest first: those that make a
// check fail before all others.
func Sensitivity(p *facts.Facts) ([]Influence, error) {
	now, start, err := p.LeastAutonomy()
	if err != nil {
		return nil, err
	}
	x := &shaker{plan: p, nowH: now, startMin: start,
		effort: facts.Effort{WalkH: followedH(max(now, p.Site.Outage.AutonomyH))}}
	if x.base, err = x.work(p.Planned()); err != nil {
		return nil, err
	}
	nudges := x.nudges()
	out := make([]Influence, len(nudges))
	if err := workers.Each(len(nudges), func(i int) error {
		out[i] = x.shake(nudges[i])
		return p.Shared.Ctx.Err()
	}); err != nil {
		return nil, err
	}
	slices.SortStableFunc(out, func(a, b Influence) int {
		return cmp.Or(cmp.Compare(min(1, len(b.Fails)), min(1, len(a.Fails))), cmp.Compare(b.impact(), a.impact()),
			cmp.Compare(a.Input.String(), b.Input.String()))
	})
	return out, nil
}

// shaker changes one input at a time.
type shaker struct {
	plan     *facts.Facts
	nowH     float64
	startMin float64
	effort   facts.Effort
	base     *facts.Facts
}

// A nudge is one change.
type nudge struct {
	input   Input
	step    Step
	unit    string
	was, is float64
	apply   func(*site.Site)
}

// nudges are all changes, in the order of the site file. What cannot be changed, or would change nothing, is left out.
func (x *shaker) nudges() []nudge {
	s := x.plan.Site
	var out []nudge
	add := func(in Input, step Step, unit string, was, is float64, apply func(*site.Site)) {
		if was != is {
			out = append(out, nudge{in, step, unit, was, is, apply})
		}
	}
	key := func(table, key string) Input { return Input{Table: table, Key: key} }
	add(key("site", "coldest_c"), Step{-kelvinStep, "K"}, "C", s.ColdestC, s.ColdestC-kelvinStep,
		func(v *site.Site) { v.ColdestC -= kelvinStep })
	if air := s.ColdestAirC; air != nil && len(s.Arrays) > 0 {
		colder := *air - kelvinStep
		add(key("site", "coldest_air_c"), Step{-kelvinStep, "K"}, "C", *air, colder,
			func(v *site.Site) { v.ColdestAirC = &colder })
	}
	add(key("site", "hottest_c"), Step{kelvinStep, "K"}, "C", s.HottestC, s.HottestC+kelvinStep,
		func(v *site.Site) { v.HottestC += kelvinStep })
	less, more, points := Step{-100 * shareStep, "%"}, Step{100 * shareStep, "%"}, Step{pointStep, ""}
	if reserve := s.Outage.Reserve * (1 - shareStep); reserve > 1-x.plan.Bank.DoD {
		add(key("outage", "reserve"), less, "", s.Outage.Reserve, reserve,
			func(v *site.Site) { v.Outage.Reserve = reserve })
	}
	add(key("practice", "margin"), points, "", s.Practice.Margin, s.Practice.Margin+pointStep,
		func(v *site.Site) { v.Practice.Margin += pointStep })
	add(key("practice", "growth"), points, "", s.Practice.Growth, s.Practice.Growth+pointStep,
		func(v *site.Site) { v.Practice.Growth += pointStep })
	endOfLife := s.Practice.EndOfLife * (1 - shareStep)
	add(key("practice", "end_of_life"), less, "", s.Practice.EndOfLife, endOfLife,
		func(v *site.Site) { v.Practice.EndOfLife = endOfLife })
	if dod := x.plan.Bank.DoD * (1 - shareStep); dod > 1-s.Outage.Reserve {
		add(key("practice", "max_dod"), less, "", x.plan.Bank.DoD, dod, func(v *site.Site) { v.Practice.MaxDoD = dod })
	}
	add(key("inverter", "idle_w"), more, "W", s.Inverter.IdleW, s.Inverter.IdleW*(1+shareStep),
		func(v *site.Site) { v.Inverter.IdleW *= 1 + shareStep })
	for i, l := range s.Loads {
		if !x.counts(l) {
			continue
		}
		longer, hours := more, l.HoursPerDay*(1+shareStep)
		if most := l.WindowHours(); hours > most {
			hours = most
			longer.By = twoDigits(100 * (hours/l.HoursPerDay - 1)) // as far as its windows go
		}
		add(Input{Load: l.Name, Key: "hours_per_day"}, longer, "h", l.HoursPerDay, hours,
			onLoad(i, func(l *loads.Load) { l.HoursPerDay = hours }))
		add(Input{Load: l.Name, Key: "running_w"}, more, "W", l.RunningW, l.RunningW*(1+shareStep),
			onLoad(i, func(l *loads.Load) {
				l.RunningW *= 1 + shareStep
				if l.Start != nil {
					st := *l.Start
					st.Power, st.PlainVA = st.Power.Scale(1+shareStep), st.PlainVA*(1+shareStep)
					l.Start = &st
				}
			}))
	}
	return out
}

// twoDigits rounds a number to two digits, as they are written.
func twoDigits(v float64) float64 {
	v, _ = strconv.ParseFloat(strconv.FormatFloat(v, 'g', 2, 64), 64) // what was written can be read
	return v
}

// counts says whether a load is on the backup board and used in the outage.
func (x *shaker) counts(l loads.Load) bool {
	return slices.ContainsFunc(x.plan.Asked.InUse, func(o loads.Load) bool { return o.Name == l.Name })
}

func onLoad(i int, change func(*loads.Load)) func(*site.Site) {
	return func(v *site.Site) {
		v.Loads = slices.Clone(v.Loads)
		change(&v.Loads[i])
	}
}

// work works a changed site through, with all checks that can fail.
func (x *shaker) work(s *site.Site) (*facts.Facts, error) {
	return x.plan.Shared.ForOtherLoads(x.plan.Shared.Ctx).Full(s, x.effort)
}

func (x *shaker) shake(n nudge) Influence {
	f := Influence{Input: n.input, Step: n.step, Was: n.was, Is: n.is, Unit: n.unit}
	s := x.plan.Planned()
	n.apply(s)
	p, err := x.work(s)
	if err != nil {
		f.Fails, f.ChangeH = []string{verdict.Unworkable}, -x.nowH
		return f
	}
	m, err := p.Model(s.Practice.EndOfLife)
	if err != nil {
		f.Fails, f.ChangeH = []string{verdict.Unworkable}, -x.nowH
		return f
	}
	f.AutonomyH, f.Capped = p.Lasts(p.Demand.Profile, m, x.startMin, x.effort.WalkH)
	f.ChangeH = f.AutonomyH - x.nowH
	was := x.base.ByID()
	for _, c := range p.Checks {
		b, there := was[c.ID]
		if c.Status == verdict.Fail && !(there && b.Status == verdict.Fail) {
			f.Fails = append(f.Fails, c.ID)
		}
		if !there || !b.HasLimit || !c.HasLimit || c.Unit == "C" || verdict.Depends(c.ID, verdict.OfShare) ||
			chosenRun(x.plan, c.ID) {
			continue // kelvin are no share, nor is a balance; a conductor that the planner chooses follows
		}
		if moved := math.Abs(c.Margin - b.Margin); moved > math.Abs(f.MarginIs-f.MarginWas)+verdict.Slack {
			f.Check, f.MarginWas, f.MarginIs = c.ID, b.Margin, c.Margin
		}
	}
	return f
}

// chosenRun says whether a check is of a conductor or a device that the planner chose.
func chosenRun(p *facts.Facts, id string) bool {
	return slices.ContainsFunc(p.Runs, func(r conductors.Run) bool {
		return r.ID == id &&
			(r.ConductorChosen || r.DeviceChosen)
	})
}
