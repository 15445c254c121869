package account

import (
	"math"

	"outlast/backup/calendar"
	"outlast/backup/facts"
	"outlast/backup/phrase"
	"outlast/backup/sums"
	"outlast/backup/verdict"
	"outlast/backup/wording"
	"outlast/backup/working"
	"outlast/loads"
)

// workDemand shows what the loads ask for: all at once, at the worst minutes, by chance, and in a day.
func (w *workings) workDemand() {
	p := w.p
	d, set, phases := p.Demand, p.Asked.Set, p.Site.Phases
	w.workMonth()
	sum := func(title, formula phrase.Phrase, name string, lane int, apparent, all bool, value float64) {
		at, parts := set.PeakParts(lane, apparent, all)
		if !all {
			formula = phrase.Of("%s, peak minute %s", formula, calendar.Clock(at))
		}
		expr, unit := "sum(w)", "W"
		if apparent {
			expr, unit = "sqrt(sum(w)^2 + sum(var)^2)", "VA"
		}
		s := working.Step{Title: title, Name: name, Formula: formula, Expr: expr,
			Table: sums.Table(p.Asked.InUse, parts, apparent, nil),
			Value: value, Unit: unit, Sources: definition}
		if s.Table == nil {
			s.Expr = "0"
		}
		w.add(s)
	}
	member := phrase.Of("of an interlock one member")
	sum(phrase.Of("Connected power"), member, "connected_w", 0, false, true, d.Connected.W)
	sum(phrase.Of("Connected apparent power"), member, "connected_va", 0, true, true, d.Connected.VA)
	highest := phrase.Of("highest sum over the minutes of the day")
	vector := phrase.Of("highest vector sum over the minutes of the day")
	sum(phrase.Of("Scheduled power"), highest, "scheduled_w", 0, false, false, d.Scheduled.W)
	sum(phrase.Of("Scheduled apparent power"), vector, "scheduled_va", 0, true, false, d.Scheduled.VA)
	if phases > 1 {
		for phase := 1; phase <= phases; phase++ {
			sum(phrase.Of("Scheduled power on phase %d", phase), highest, phaseName("scheduled_w", phase), phase, false,
				false, d.Scheduled.PhaseW[phase-1])
			sum(phrase.Of("Scheduled apparent power on phase %d", phase), vector, phaseName("scheduled_va", phase),
				phase,
				true, false, d.Scheduled.PhaseVA[phase-1])
		}
		w.workBalance()
	}
	w.workProbable()
	s := working.Step{Title: phrase.Of("Energy of a day"), Name: "energy_wh_per_day", Expr: "sum(wh)",
		Value:   d.EnergyWhPerDay,
		Unit:    "Wh",
		Sources: definition, Table: energyTable(p.Asked.InUse)}
	if s.Table == nil {
		s.Expr = "0"
	}
	w.add(s)
}

func phaseName(name string, phase int) string { return name + " of phase " + string(rune('0'+phase)) }

// workMonth shows how the month of the outage was found.
func (w *workings) workMonth() {
	p := w.p
	s := working.Step{Title: phrase.Of("Month of the outage"), Name: "month", Value: float64(p.Month),
		Formula: phrase.Of("%s: given, or the month with the highest daily energy", wording.MonthWord(p.Month))}
	if p.Site.Origin("outage", "", "month").Line > 0 {
		s.Expr, s.Inputs = "month", []working.Input{key("outage", "month", s.Value, "")}
		w.add(s)
		return
	}
	t := &working.Table{Columns: []working.Column{{Name: "month"}, {Name: "wh", Unit: "Wh",
		Title: phrase.Of("energy of a day of the circuits that may be on the backup board")},
		{Name: "most_wh", Unit: "Wh", Expr: "max(before_most_wh, wh)"},
		{Name: "stays", Title: phrase.Of("1: the month before stays the one"),
			Expr: "floor(min(1, before_most_wh * (1 + 1e-9) / max(wh, 1e-12) + 1e-12))"},
		{Name: "best", Expr: "stays * before_best + (1 - stays) * month"}}}
	may := map[string]bool{}
	for _, c := range p.Circuits {
		may[c.ID] = c.Asked != loads.BoardMain
	}
	most, best := 0.0, 1.0
	for month := 1; month <= 12; month++ {
		wh := 0.0
		for _, l := range p.Site.Loads {
			if !l.HeldOff && may[l.CircuitID] && l.Months.Has(month) {
				wh += l.EnergyWhPerDay()
			}
		}
		stays := 0.0
		if month > 1 {
			stays = math.Floor(min(1, most*(1+1e-9)/max(wh, 1e-12)+1e-12))
		}
		if stays == 0 {
			best = float64(month)
		}
		most = max(most, wh)
		t.Rows = append(t.Rows, working.Row{Label: wording.MonthWord(month),
			Values: []float64{float64(month), wh, most, stays, best}})
	}
	s.Expr, s.Table = "last(best)", t
	w.add(s)
}

func energyTable(list []loads.Load) *working.Table {
	if len(list) == 0 {
		return nil
	}
	t := &working.Table{Columns: []working.Column{{Name: "quantity"}, {Name: "running_w", Unit: "W"},
		{Name: "hours_per_day", Unit: "h"}, {Name: "wh", Unit: "Wh", Expr: "quantity * running_w * hours_per_day"}}}
	for _, l := range list {
		t.Rows = append(t.Rows, working.Row{Label: phrase.Name(l.Name),
			Values: []float64{float64(l.Quantity), l.RunningW,
				l.HoursPerDay, l.EnergyWhPerDay()}})
	}
	return t
}

// workBalance shows how far the phases differ.
func (w *workings) workBalance() {
	p := w.p
	t := &working.Table{Columns: []working.Column{{Name: "phase"}, {Name: "va", Unit: "VA"}}}
	lo, hi, sum := math.Inf(1), 0.0, 0.0
	for i, va := range p.Demand.Scheduled.PhaseVA {
		t.Rows = append(t.Rows, working.Row{Values: []float64{float64(i + 1), va}})
		lo, hi, sum = min(lo, va), max(hi, va), sum+va
	}
	if sum == 0 {
		return
	}
	w.add(working.Step{Title: phrase.Of("Imbalance of the phases"), Name: "imbalance",
		Formula: phrase.Of("largest less smallest of the scheduled apparent powers, over their mean"),
		Expr:    "(max(va) - min(va)) / (sum(va) / phases)",
		Inputs:  []working.Input{key("site", "phases", float64(p.Site.Phases), "")},
		Table:   t, Value: (hi - lo) / (sum / float64(p.Site.Phases)), Sources: definition})
}

// workProbable shows the distribution of what is on by chance near its quantile.
func (w *workings) workProbable() {
	p := w.p
	confidence := p.Site.Practice.Confidence
	s := working.Step{Title: phrase.Of("Probable power"), Name: "probable_w", Value: p.Demand.ProbableW, Unit: "W",
		Formula: phrase.Of("smallest sum w with P(sum <= w) >= %g, each unit on by hours_per_day / hours of its windows",
			confidence),
		Sources: statistics}
	near, at, ok := p.Asked.Set.ProbableNear(confidence, s.Value)
	switch {
	case s.Value == 0:
		s.Expr = "0"
	case !ok:
		s.Formula = phrase.Of("%s; exact distribution, interval of the day with the highest value", s.Formula)
	default:
		t := &working.Table{Columns: []working.Column{{Name: "sum_w", Unit: "W"},
			{Name: "p", Title: phrase.Of("probability of just this sum; in the first row of all that are not more")},
			{Name: "cumulated", Expr: "before_cumulated + p"},
			{Name: "reached", Expr: "floor(min(1, cumulated / confidence * (1 + 1e-9)))"},
			{Name: "candidate", Title: phrase.Of("the sum where the confidence is reached, else more than any"),
				Expr: "sum_w + (1 - reached) * 1e9"}}}
		total := 0.0
		for i, c := range near {
			if total += c.P; i == 0 {
				total = c.P
			}
			reached := math.Floor(min(1, total/confidence*(1+1e-9)))
			t.Rows = append(t.Rows, working.Row{Values: []float64{c.W, c.P, total, reached, c.W + (1-reached)*1e9}})
		}
		s.Expr, s.Table = "min(candidate)", t
		s.Inputs = []working.Input{key("practice", "confidence", confidence, "")}
		s.Formula = phrase.Of("%s; interval of the day from %s on", s.Formula, calendar.Clock(at))
	}
	w.add(s)
}

// workStarts shows every start and the restart beside the ratings for their times.
func (w *workings) workStarts() {
	p := w.p
	w.workRatings()
	for _, st := range p.Starts.All {
		l := p.Asked.InUse[st.Index]
		w.workStartOf(l)
		w.workStart(st, l)
		w.workRating(phrase.Of("Rating for the start of %q", st.Load), "rating of "+st.Load, st.Seconds, st.LimitVA,
			st.Phase)
	}
	w.workRestart()
}

func startName(l loads.Load) string { return "start_va of " + l.Name }

// workStartOf shows what one unit of a load draws while it starts.
func (w *workings) workStartOf(l loads.Load) {
	p := w.p
	of := func(name, key string, v float64, unit string) working.Input {
		return working.Given(name, v, unit, "load", l.Name, key)
	}
	s := working.Step{Title: phrase.Of("Start of one unit of %q", l.Name), Name: startName(l), Value: l.Start.VA(),
		Unit: "VA"}
	switch given := p.Site.Gives("load", l.Name, "motor", "starting_w", "starting_va"); {
	case l.Motor != nil:
		w.motorStart(&s, l, of)
	case given == "starting_w" && l.Start.PlainVA == 0:
		s.Expr = "starting_w / starting_pf"
		s.Inputs = []working.Input{of("starting_w", given, l.Start.Power.W, "W"),
			of("starting_pf", "starting_pf", l.Start.Power.W/l.Start.Power.VA(), "")}
		if pf, ok := p.Site.NumberOf("load", l.Name, "starting_pf"); ok {
			s.Inputs[1].Value = pf
		}
	case given == "starting_w":
		s.Expr, s.Inputs = "starting_w", []working.Input{of("starting_w", given, s.Value, "W")}
	default:
		s.Expr, s.Inputs = "starting_va", []working.Input{of("starting_va", "starting_va", s.Value, "VA")}
		if va, ok := p.Site.NumberOf("load", l.Name, "starting_va"); ok && math.Abs(va-s.Value) <= verdict.Slack*va {
			s.Inputs[0].Value = va // as it stands there, without rounding
		}
	}
	w.add(s)
}

// motorStart is the start that the plate of a motor tells.
func (w *workings) motorStart(s *working.Step, l loads.Load, of func(name, key string, v float64,
	unit string) working.Input) {
	p, m := w.p, *l.Motor
	running := "running_w / power_factor"
	s.Inputs = []working.Input{of("running_w", "running_w", l.RunningW, "W"),
		of("power_factor", "power_factor", sums.PowerFactor(l.PowerFactor), "")}
	s.Sources = motorStarts
	phases := 1
	if l.Phase == 0 {
		phases = max(1, p.Site.Phases)
	}
	direct := ""
	switch {
	case m.Times > 0:
		direct = "times * " + running
		s.Inputs = append(s.Inputs, of("times", "motor", m.Times, ""))
	case m.LockedRotorA > 0:
		direct = "locked_rotor_a * nominal_v * phases"
		s.Inputs = append(s.Inputs, of("locked_rotor_a", "motor", m.LockedRotorA, "A"),
			key("site", "nominal_v", p.Site.NominalV, "V"),
			working.Told("phases", float64(phases), "", phrase.Of("those of its circuit")))
	default:
		direct = "kva_per_hp * 1000 * hp"
		s.Inputs = append(s.Inputs, working.Told("kva_per_hp", m.KVAPerHP(), "kVA/hp",
			phrase.Of("upper end of code letter %s", phrase.Name(m.Code))))
		if m.KW > 0 {
			direct = "kva_per_hp * 1000 * kw * 1000 / watts_per_hp"
			s.Inputs = append(s.Inputs, of("kw", "motor", m.KW, "kW"),
				working.Constant("watts_per_hp", loads.WattsPerHP, "W"))
		} else {
			s.Inputs = append(s.Inputs, of("hp", "motor", m.HP, "hp"))
		}
	}
	ofDirect, ofFullLoad := m.Factors()
	switch {
	case ofFullLoad > 0:
		s.Expr = "max(" + running + ", min(" + direct + ", method_factor * " + running + "))"
		s.Inputs = append(s.Inputs, working.Constant("method_factor", ofFullLoad, ""))
	case ofDirect > 0 && ofDirect < 1:
		s.Expr = "max(" + running + ", method_factor * " + direct + ")"
		s.Inputs = append(s.Inputs, working.Constant("method_factor", ofDirect, ""))
	default:
		s.Expr = direct
	}
	if m.Times == 0 && (ofDirect == 0 && ofFullLoad == 0 || ofDirect == 1) { // nothing of it depends on what it runs at
		s.Inputs = s.Inputs[2:]
	}
}

// startPF is the power factor of a start whose angle counts, as an input.
func (w *workings) startPF(l loads.Load) working.Input {
	pf := l.Start.Power.W / l.Start.Power.VA()
	if given, ok := w.p.Site.NumberOf("load", l.Name, "starting_pf"); ok && !l.Start.PFAssumed {
		return working.Given("start_pf", given, "", "load", l.Name, "starting_pf")
	}
	return working.Told("start_pf", pf, "", phrase.Of("usual at the start of such a motor"))
}

// ownStart is what the start adds to the W and var of the loads beside it, and the plain VA.
func (w *workings) ownStart(l loads.Load, share float64) (watts, vars, plain string, inputs []working.Input) {
	inputs = []working.Input{w.as("start_va", startName(l))}
	of := ""
	if share != 1 {
		of = " * share_of_start"
		inputs = append(inputs, working.Told("share_of_start", share, "", phrase.Of("an even share of the phases")))
	}
	if l.Start.PlainVA > 0 {
		return "", "", "start_va" + of, inputs
	}
	inputs = append(inputs, w.startPF(l))
	return "start_va * start_pf" + of, "start_va * sqrt(1 - start_pf^2)" + of, "", inputs
}

// workStart shows a start on top of everything else that runs in its worst minute, and its largest watts.
func (w *workings) workStart(st facts.Start, l loads.Load) {
	p := w.p
	share := 1.0
	var parts []loads.Part
	if st.Phase == 0 || l.Phase == st.Phase {
		parts = p.Asked.Set.StartParts(st.Index, st.AtMin, st.Phase, true)
	} else {
		parts = p.Asked.Set.StartParts(st.Index, st.AtMin, st.Phase, true)
		if share = 0; l.Phase == 0 {
			share = 1 / float64(p.Site.Phases)
		}
	}
	t := sums.Table(p.Asked.InUse, parts, true, nil)
	watts, vars, plain, inputs := w.ownStart(l, share)
	s := working.Step{Title: phrase.Of("Start of %q", st.Load), Name: "start_va " + st.Load,
		Formula: phrase.Of("start of one unit + the other loads that run in that minute, as vectors: peak minute %s, lasting %g s%s",
			calendar.Clock(st.AtMin), st.Seconds, facts.OnPhase(st.Phase)),
		Expr: vectorSum(t != nil, watts, vars, plain), Inputs: inputs, Table: t, Value: st.DemandVA, Unit: "VA",
		Sources: definition}
	w.add(s)

	beside := sums.Table(p.Asked.InUse, p.Asked.Set.StartParts(st.Index, st.MaxWAtMin, 0, false), false, nil)
	own, _, plain, inputs := w.ownStart(l, 1)
	if own == "" {
		own = plain
	}
	inputs = append(inputs, working.Given("running_w_of_it", l.RunningW, "W", "load", l.Name, "running_w"))
	expr := "max(" + own + ", running_w_of_it)"
	if beside != nil {
		expr = "sum(w) + " + expr
	}
	w.add(working.Step{Title: phrase.Of("Power at the start of %q", st.Load), Name: "start_w of " + st.Load,
		Formula: phrase.Of("largest watts over the minutes of the day, at %s; a start of fewer watts than it runs at counts with those",
			calendar.Clock(st.MaxWAtMin)),
		Expr: expr, Inputs: inputs, Table: beside, Value: st.MaxW, Unit: "W", Sources: definition})
}

// vectorSum is the formula of an apparent power: of the rows of a table, and of a start on top.
func vectorSum(rows bool, watts, vars, plain string) string {
	add := func(column, more string) string {
		switch {
		case rows && more != "":
			return "(sum(" + column + ") + " + more + ")"
		case rows:
			return "sum(" + column + ")"
		}
		return "(" + more + ")"
	}
	if !rows && watts == "" {
		return plain
	}
	expr := "sqrt(" + add("w", watts) + "^2 + " + add("var", vars) + "^2)"
	if plain != "" {
		expr += " + " + plain
	}
	return expr
}

// workRestart shows everything starting at once, where it is largest and where it is compared with the rating.
func (w *workings) workRestart() {
	p := w.p
	r := p.Starts.Restart
	show := func(title phrase.Phrase, name string, atMin, lane int, seconds, value float64) {
		t := w.restartTable(p.Asked.Set.RestartParts(atMin, lane, seconds))
		s := working.Step{Title: title, Name: name,
			Formula: phrase.Of("sum of starting powers, all units, of what is scheduled, peak minute %s%s",
				calendar.Clock(atMin), facts.OnPhase(lane)),
			Expr: "sqrt(sum(w)^2 + sum(var)^2) + sum(plain_va)", Table: t, Value: value, Unit: "VA",
			Sources: definition}
		if t == nil {
			s.Expr = "0"
		}
		w.add(s)
	}
	title := phrase.Of("Restart, all loads at once")
	if r.DemandVA != r.VA || r.Seconds == 0 {
		show(title, "restart_va", r.AtMin, 0, -1, r.VA)
	}
	if r.Seconds == 0 && (r.Phase > 0 || r.DemandVA != r.VA) {
		show(phrase.Of("Restart as it is compared"), "restart_tight_va", r.TightAtMin, r.Phase, 0, r.DemandVA)
	}
	if r.Seconds > 0 {
		show(phrase.Of("Restart as it is compared, lasting %g s", r.Seconds), "restart_tight_va", r.TightAtMin, r.Phase,
			r.Seconds, r.DemandVA)
		w.workRating(phrase.Of("Rating for the restart"), "rating of restart", r.Seconds, r.LimitVA, r.Phase)
	}
}

// restartTable is what starts, or runs, after a break.
func (w *workings) restartTable(parts []loads.Part) *working.Table {
	if len(parts) == 0 {
		return nil
	}
	t := &working.Table{Columns: []working.Column{{Name: "units"},
		{Name: "unit_va", Unit: "VA", Title: phrase.Of("of one unit at its start; without one, while it runs")},
		{Name: "power_factor", Title: phrase.Of("0: not known, and the VA are added as they are")}, {Name: "share"},
		{Name: "w", Unit: "W", Expr: "units * unit_va * share * power_factor"},
		{Name: "var", Unit: "var", Expr: "units * unit_va * share * sqrt(1 - power_factor^2) * ceil(power_factor)"},
		{Name: "plain_va", Unit: "VA", Expr: "units * unit_va * share * (1 - ceil(power_factor))"}}}
	for _, part := range parts {
		l := w.p.Asked.InUse[part.Index]
		n := float64(part.Units) * part.Share
		power, plain := l.Running(), 0.0
		if part.Starts {
			power, plain = l.Start.Power, l.Start.PlainVA
		}
		va, pf := power.VA()+plain, 0.0
		if plain == 0 {
			if pf = 1; va > 0 {
				pf = power.W / va
			}
			t.Rows = append(t.Rows, working.Row{Label: phrase.Name(l.Name),
				Values: []float64{float64(part.Units), va, pf,
					part.Share, n * va * pf, n * va * math.Sqrt(max(0, 1-pf*pf)), 0}})
			continue
		}
		t.Rows = append(t.Rows, working.Row{Label: phrase.Name(l.Name),
			Values: []float64{float64(part.Units), va, 0, part.Share, 0, 0, n * va}})
	}
	return t
}
