package live

import (
	"cmp"
	"context"
	"math"
	"slices"
	"strings"

	"outlast/backup/calendar"
	"outlast/backup/facts"
	"outlast/backup/sheet/paper/words"
	"outlast/backup/sheet/speech"
	"outlast/backup/site"
	"outlast/backup/study"
	"outlast/backup/verdict"
	"outlast/loads"
)

// Answer answers a question: everything that the page draws.
func (t *Table) Answer(ctx context.Context, q Question) (*Answer, error) {
	p, err := t.plan(ctx, q)
	if err != nil {
		if problems := t.problems(ctx, q, err); problems != nil {
			return &Answer{Problems: problems}, nil
		}
		return nil, err
	}
	s, err := speakerOf(q.Lang, p)
	if err != nil {
		return nil, err
	}
	a := &answering{planned: p, speaker: s, out: &Answer{Site: s.name(p.Site.Name), RequiredH: p.Site.Outage.AutonomyH}}
	a.fails = p.Verdict() == verdict.Fail
	if a.leastH, a.leastMin, err = p.LeastAutonomy(); err != nil {
		return nil, err
	}
	out := a.out
	out.Required = a.lasts(out.RequiredH)
	out.Promise = a.promise()
	out.Verdict = a.verdict()
	if err := a.look(ctx, q.View); err != nil {
		return nil, err
	}
	a.medical()
	out.Circuits = a.circuits()
	out.Limits = a.limits(p.Facts)
	out.FirstLimit = a.firstLimit()
	for _, status := range []verdict.Status{verdict.Fail, verdict.Caution} {
		for _, c := range p.With(status) {
			out.Checks = append(out.Checks, Check{c.ID, string(c.Status), a.CheckName(c.ID), a.sentence(c.Reason)})
		}
	}
	for _, c := range p.Cautions {
		out.Cautions = append(out.Cautions, a.sentence(c))
	}
	for _, id := range []string{"plain.aid", "plain.wiring", "plain.bank", "plain.life"} {
		out.Safety = append(out.Safety, a.Say(id))
	}
	out.Choices = a.choices()
	return out, nil
}

// An answering is a plan on the way to its answer.
type answering struct {
	*planned
	speaker
	out *Answer

	fails            bool
	leastH, leastMin float64 // the promise

	month *facts.Facts     // the plan in the month that is looked at
	run   *study.OutageRun // the outage that is looked at
}

// promise is what the plan promises, from whatever moment the grid fails.
func (a *answering) promise() *Hours {
	if a.fails {
		return nil
	}
	return a.hours(a.Facts, a.leastH, a.Bank.AutonomyCap, int(a.leastMin), "live.is-promise")
}

// hours tells of hours from a minute of the day on, of the plan in a month.
func (a *answering) hours(p *facts.Facts, h float64, long bool, from int, says string) *Hours {
	until := from + rounded(h)
	out := &Hours{
		Hours: h, Text: a.lasts(h), Long: long,
		FromMin: from, From: calendar.Clock(from), Until: calendar.Clock(until % calendar.DayMin),
		DaysOn:  until / calendar.DayMin,
		Reached: h >= a.Site.Outage.AutonomyH*(1-verdict.Slack), Sentence: a.Say(says),
	}
	if long {
		out.Text = a.Say("live.more-than", out.Text)
	}
	if p.Idle() {
		out.Idle, out.Reached, out.Text, out.Sentence = true, false, a.Say("live.idle"), ""
		return out
	}
	if !out.Reached {
		out.MissingH = a.Site.Outage.AutonomyH - h
		out.Missing = a.missing(h)
	}
	return out
}

// missing is in words by how much hours fall short of those that are asked for: the difference of both as they are shown,
// so that who adds it up comes to what was asked for.
func (a *answering) missing(h float64) string {
	return a.minutes(max(1, rounded(a.Site.Outage.AutonomyH)-rounded(h)))
}

// rounded is a time in minutes as people read it: rounded down, the coarser the longer it is.
func rounded(h float64) int {
	minutes := h*60 + 0.5 // what is all but reached is reached
	step := 1.0
	switch {
	case h >= 72:
		step = 60
	case h >= 10:
		step = 10
	case h >= 1:
		step = 5
	}
	return int(math.Floor(minutes/step) * step)
}

// lasts is a time in words, rounded down: "18 h 20 min".
func (s speaker) lasts(h float64) string {
	if h >= 8760-1e-6 {
		return s.Say("time.year")
	}
	return s.minutes(rounded(h))
}

// minutes is so many minutes in words.
func (s speaker) minutes(m int) string {
	number := func(n int) string { return s.Fixed(float64(n), 0) }
	switch days, hours, minutes := m/1440, m/60, m%60; {
	case hours >= 72 && minutes == 0 && hours%24 == 0:
		return s.Say("live.days", number(days))
	case hours >= 72 && minutes == 0:
		return s.Say("live.days-hours", number(days), number(hours%24))
	case hours == 0:
		return s.Say("live.minutes", number(minutes))
	case minutes == 0:
		return s.Say("live.hours", number(hours))
	default:
		return s.Say("live.hours-minutes", number(hours), number(minutes))
	}
}

// verdict says how the plan came out, and of one that fails what stands in the way.
func (a *answering) verdict() *Verdict {
	status := a.Plan.Verdict()
	v := &Verdict{Status: string(status), Title: a.Say("verdict." + string(status))}
	month := a.MonthName(a.Month)
	switch failing := a.With(verdict.Fail); {
	case a.fails:
		v.Sentence = a.CheckWords("trouble.", failing[0].ID)
		if c := failing[0].ID; (c == "autonomy" || c == "bank-capacity") && a.leastH < a.out.RequiredH {
			v.Sentence += " " + a.Say("live.short", a.missing(a.leastH))
		}
		if n := len(failing) - 1; n > 0 {
			v.Sentence += " " + a.Count(n, "live.more-points")
		}
	default:
		a.proviso(v, month)
	}
	if !a.fails && a.Bank.AutonomyNewH > a.Bank.AutonomyH && !a.Bank.AutonomyCap {
		v.More = a.Say("live.new")
	}
	if slices.ContainsFunc(a.Site.Loads, func(l loads.Load) bool { return l.RestsOnClass() }) {
		if v.More != "" {
			v.More += " "
		}
		v.More += a.Say("verdict.typical")
	}
	return v
}

// proviso tells of a plan that does not fail, and what its verdict leaves open.
func (a *answering) proviso(v *Verdict, month string) {
	v.Sentence = a.Say("live.carries", month, a.out.Promise.Text, a.out.Required)
	switch a.Proviso() {
	case facts.NothingRuns:
		v.Title, v.Sentence = a.Say("verdict.nothing", month), a.Say("verdict.nothing-runs", month)
		v.Note = v.Sentence
		return
	case facts.OneStart:
		v.Status, v.Title = string(verdict.Caution), a.Say("verdict.one-start", calendar.ClockAt(a.StartMin()))
	case facts.OneMonth:
		other, check := a.NotIn()
		v.Status, v.Title = string(verdict.Caution), a.Say("verdict.one-month", month, a.MonthName(other))
		if check != "autonomy" {
			v.Note = a.CheckWords("trouble.", check)
		}
	}
	if other, hours, err := a.ShortestMonth(); err == nil && other > 0 {
		v.Note = strings.TrimSpace(v.Note + a.OtherMonth(other, hours, a.lasts(hours), a.out.Promise.Text))
	}
	v.Sentence = strings.TrimSpace(v.Sentence + " " + v.Note)
}

// medical names whom an end of the power endangers.
func (a *answering) medical() {
	for i, l := range a.Site.Loads {
		if !l.Medical {
			continue
		}
		m := Medical{Ref: loadRef(l, i), Name: a.name(l.Name), Circuit: a.name(a.Site.Label(l.CircuitID)),
			Sentence: a.Say("live.medical-keeps")}
		for _, loss := range a.run.Medical {
			if loss.Load != l.Name {
				continue
			}
			m.EndMin = &loss.FirstMin
			switch loss.Why {
			case study.LossMain:
				m.Sentence = a.Say("live.medical-main")
			case study.LossHeldOff:
				m.Sentence = a.Say("live.medical-off")
			default:
				m.Sentence = a.Say("live.medical-ends", a.lasts(float64(loss.FirstMin)/60),
					calendar.Clock((a.run.StartMin+loss.FirstMin)%calendar.DayMin))
			}
		}
		a.out.Medical = append(a.out.Medical, m)
	}
	if len(a.out.Medical) > 0 {
		a.out.MedicalAdvice = a.Say("medical.text")
	}
}

// loadRef finds a load of the file again, by its place where only the planner named it.
func loadRef(l loads.Load, index int) Ref {
	if l.Typical != nil && l.Typical.Label != "" {
		return Ref{Place: index + 1}
	}
	return Ref{At: l.Name}
}

// choices are what may be chosen.
func (a *answering) choices() Choices {
	s := a.Site
	c := Choices{
		Strings: a.Bank.Strings, SizedByPlan: a.Bank.Sized, MaxStrings: max(4, a.Bank.Strings+2),
		AutonomyH: s.Outage.AutonomyH,
		Reserve:   s.Outage.Reserve, MinReserve: 1 - a.Bank.DoD, HasArray: len(s.Arrays) > 0,
		Inverter: a.equipment(s.Inverter.Label, s.Inverter.ID), Bank: a.equipment(s.Unit.Label, s.Unit.ID),
		Boards: []string{string(loads.BoardBackup), string(loads.BoardMain)},
	}
	if n := s.Unit.MaxParallel; n > 0 {
		c.MaxStrings = max(n, a.Bank.Strings)
	}
	if s.Outage.Start != site.WorstStart {
		c.StartGiven = &s.Outage.Start
	}
	c.MonthGiven = a.given.Outage.Month
	for _, o := range a.file.Options {
		c.Options = append(c.Options, speech.Name(o.Name))
	}
	return c
}

// worstOf is the check of least margin, of several.
func worstOf(list []verdict.Check) verdict.Check {
	return slices.MinFunc(list, func(x, y verdict.Check) int { return cmp.Compare(x.Margin, y.Margin) })
}

// equipment is the label of a piece of equipment, or its id.
func (s speaker) equipment(label, id string) string {
	if text, ok := words.Equipment(s.Lang, label, s.Local); ok {
		return text
	}
	return speech.Name(cmp.Or(label, id))
}
