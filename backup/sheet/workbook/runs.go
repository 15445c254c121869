package workbook

import (
	"fmt"
	"strings"

	"outlast/backup/conductors"
	"outlast/backup/phrase"
	"outlast/backup/sheet/workbook/book"
	"outlast/backup/sheet/workbook/course"
	"outlast/backup/wiring"
)

// What is asked of a conductor: formulas, by column. A column without one has the plan's figure, where the plan has one.
type askedOfRun map[int]string

// askedOf works out what a conductor must carry, and what it carries at starts.
func (m *maker) askedOf(row int, r conductors.Run) {
	s, laid := m.conductors, r.Laid
	asked := map[conductors.Kind]func(int, conductors.Run) askedOfRun{conductors.Bank: m.askedOfBank,
		conductors.Input: m.askedOfInput, conductors.Feeder: m.askedOfFeeder, conductors.Array: m.askedOfArray,
		conductors.Circuit: m.askedOfCircuit}[r.Kind](row, r)
	for _, c := range []struct {
		col    int
		plan   float64
		format string
	}{{runNeeds, r.NeedsA, book.AsTenth}, {runV, laid.VoltageV, book.AsCent}, {runA, laid.LoadA, book.AsTenth},
		{runPF, laid.PowerFactor, book.AsMille}, {runBefore, 100 * laid.Upstream, book.AsCent},
		{runStartA, laid.StartA, book.AsTenth}, {runStartPF, laid.StartPowerFactor, book.AsMille},
		{runLeast, 0, book.AsTenth}, {runHeatA, laid.SurgeA, book.AsTenth}, {runHeatS, laid.SurgeS, book.AsGiven}} {
		switch formula := asked[c.col]; {
		case formula != "":
			s.Calc(row, c.col, book.Live, c.format, "%s", formula)
		case c.plan != 0:
			s.Num(row, c.col, book.Worked, c.plan, c.format)
		}
	}
}

// An ofStarts is where starts stand as a conductor sees them: the columns of the list of starts with what they draw,
// with what of it lasts so long that it is a load, and with its heat, and the VA or A of them for each A of a line.
type ofStarts struct {
	draws, long, heat int
	perA              string
}

func (o ofStarts) most(m *maker, col int) string {
	return fmt.Sprintf("MAX(%s)/(%s)", m.StartColumn(col), o.perA)
}

// hottest is the formula for a column of the start that heats most.
func (o ofStarts) hottest(m *maker, col int) string {
	heat := m.StartColumn(o.heat)
	return fmt.Sprintf("INDEX(%s,MATCH(MAX(%s),%s,0))", m.StartColumn(col), heat, heat)
}

// starts puts what starts ask into what is asked.
func (a askedOfRun) starts(m *maker, o ofStarts) {
	if len(m.StartsAt().Starts) == 0 {
		return
	}
	a[runStartA] = o.most(m, o.draws)
	a[runHeatA] = fmt.Sprintf("%s/(%s)", o.hottest(m, o.draws), o.perA)
	a[runHeatS] = clampS(o.hottest(m, course.StartSeconds))
}

// clampS is the formula for the seconds that a start counts for.
func clampS(seconds string) string {
	return fmt.Sprintf("MAX(%s,MIN(%s,%s))", book.Lit(conductors.ShortestStartS), book.Lit(conductors.LongestStartS), seconds)
}

// withLong is the formula for the greatest of some currents and of the starts that last so long that they are loads.
func (m *maker) withLong(o ofStarts, currents ...string) string {
	if len(m.StartsAt().Starts) > 0 {
		currents = append(currents, o.most(m, o.long))
	}
	return "MAX(" + strings.Join(currents, ",") + ")"
}

// askedOfBank: the rated power sizes the cable of the bank, or what it is charged with, whichever is more.
func (m *maker) askedOfBank(row int, r conductors.Run) askedOfRun {
	in, out := m.In, m.Out
	o := ofStarts{course.StartDCA, course.StartLongA, course.StartHeatA, string(in["inverters"])}
	a := askedOfRun{runV: string(out["bank_v"]), runA: m.withLong(o,
		fmt.Sprintf("%s/%s/%s", out["dc_rated_w"], out["low_v"], in["inverters"]), string(in["max_charge_a"]),
		fmt.Sprintf("%s/%s", out["grid_charger_a"], in["inverters"])),
		runNeeds: fmt.Sprintf("%s*%s", in["dc_fuse_factor"], m.conductors.At(row, runA))}
	a.starts(m, o)
	return a
}

// perLine is the formula for what the lines of all inverters have in common: their number. A current of one phase of the
// site, times its phases, is divided among them.
func (m *maker) perLine() string {
	return fmt.Sprintf("(%s*%d)", m.In["inverters"], m.Plan.Site.Inverter.Phases)
}

// shared is the formula for the part of a current of a phase of the site that a line of one inverter carries.
func (m *maker) shared(sitePhaseA book.Ref) string {
	return fmt.Sprintf("%s*%d/%s", sitePhaseA, m.Plan.Site.Phases, m.perLine())
}

// boardStarts are the starts of the backup board as a line of one inverter sees them.
func (m *maker) boardStarts() ofStarts {
	return ofStarts{course.StartEvenVA, course.StartLongVA, course.StartHeatVA, m.perLine() + "*" + string(m.In["site_v"])}
}

// leastOf is what runs, for a circuit breaker that what follows it lets not be larger.
func (m *maker) leastOf(a askedOfRun) {
	runs := m.Out["counted_a"]
	if m.PlainCurrents() {
		runs = m.Out["pass_through_a"]
	}
	a[runLeast] = m.withLong(m.boardStarts(), m.shared(runs))
}

// needsOf is the formula for what a breaker of the inverters must carry: where no standard rating for all that they may
// carry is small enough for what follows it, what runs; with what yields to the breaker, if it carries that too. So it
// is for one before the inverters that is rated for less, as a limit is entered in them.
func (m *maker) needsOf(row int, r conductors.Run, bears book.Ref, yields string) string {
	all, least, device := m.inFull(row), m.conductors.At(row, runLeast), m.conductors.At(row, runDevice)
	if yields != "" {
		least = book.Ref(fmt.Sprintf("(%[1]s+IF(%[1]s+%[2]s<=%[3]s*(1+1E-9),%[2]s,0))", least, yields, device))
	}
	least = book.Ref(fmt.Sprintf("MIN(%s,%s)", all, least))
	held := all
	if r.Kind == conductors.Input {
		held = fmt.Sprintf("IF(%[1]s=0,%[2]s,IF(%[2]s>%[1]s*(1+1E-9),%[3]s,%[2]s))", device, all, least)
	}
	if bears == "" || r.BearsA == 0 {
		return held
	}
	ratings, list := m.ratings(), wiring.Ratings(m.Plan.Site.Wiring.Tables, wiring.Breaker)
	next := m.conductors.Calc(row, runNext, book.Live, book.AsTenth,
		"IF(%[1]s*(1-1E-9)>%[2]s,%[1]s,INDEX(%[3]s,MIN(%[4]d,1+IFERROR(MATCH(%[1]s*(1-1E-9),%[3]s,1),0))))", all,
		book.Lit(list[len(list)-1]), ratings, len(list))
	// The difference is compared, as the library's engine takes what INDEX gives in an IF for words.
	return fmt.Sprintf("IF(OR(%[1]s=0,%[2]s-%[1]s*(1+1E-9)<=0),%[3]s,%[4]s)", bears, next, held, least)
}

// inFull is the formula for what a breaker of the inverters must carry for all that they may carry.
func (m *maker) inFull(row int) string {
	all := string(m.conductors.At(row, runA))
	if m.PlainCurrents() {
		return all
	}
	return fmt.Sprintf("(%s*%s)", m.Factor(), all)
}

// ratings lays out the standard ratings of circuit breakers, the first time that it is asked, and gives their block.
func (m *maker) ratings() string {
	s, col := m.conductors, runNext+2
	list := wiring.Ratings(m.Plan.Site.Wiring.Tables, wiring.Breaker)
	s.Put(firstRun-1, col, book.Cell{Kind: book.Head, Text: m.Prose(phrase.Of("Standard circuit breakers")) + ", A",
		Wrap: true, Middle: true})
	s.Width(14, col)
	for i, a := range list {
		s.Num(firstRun+i, col, book.Table, a, book.AsGiven)
	}
	return s.Span(firstRun, col, firstRun+len(list)-1, col)
}

// askedOfInput is what the grid input of an inverter carries: with the chargers, or what it may.
func (m *maker) askedOfInput(row int, r conductors.Run) askedOfRun {
	out, o := m.Out, m.boardStarts()
	a := askedOfRun{runV: string(m.In["site_v"]),
		runA: fmt.Sprintf("MAX(%s,%s)", m.shared(out["input_a"]), m.shared(out["limit_ac_input_a"]))}
	m.leastOf(a)
	chargers := fmt.Sprintf("%s-%s", m.shared(out["input_a"]), m.shared(out["pass_through_a"]))
	draw := "(" + chargers + ")"
	if !m.PlainCurrents() {
		draw = fmt.Sprintf("%s*%s", m.Factor(), draw)
	}
	a[runNeeds] = m.needsOf(row, r, m.In["ac_input_a"], draw)
	a.starts(m, o)
	// The chargers need not wait for a start.
	for _, col := range []int{runStartA, runHeatA} {
		if a[col] != "" {
			a[col] += fmt.Sprintf("+IF(%s>0,%s,0)", o.most(m, o.draws), chargers)
		}
	}
	return a
}

// askedOfFeeder is what leads from an inverter to the backup board: what it may give, or what passes through.
func (m *maker) askedOfFeeder(row int, r conductors.Run) askedOfRun {
	o := m.boardStarts()
	a := askedOfRun{runV: string(m.In["site_v"]), runA: m.withLong(o, fmt.Sprintf("%s/%d/%s", m.In["rated_va"],
		m.Plan.Site.Inverter.Phases, m.In["site_v"]), m.shared(m.Out["pass_through_a"])),
		runBefore: "0"}
	m.leastOf(a)
	a[runNeeds] = m.needsOf(row, r, m.In["pass_through_a"], "")
	if before := m.runOf(conductors.Input); before > 0 {
		a[runBefore] = string(m.conductors.At(before, runDrop))
	}
	a.starts(m, o)
	return a
}

// runOf is the row of the run of a kind that a home has one of; 0: it is not worked out.
func (m *maker) runOf(k conductors.Kind) int {
	for i, r := range m.Plan.Runs {
		if r.Kind == k {
			return firstRun + i
		}
	}
	return 0
}

// feeding is the formula for what is lost on the way to the backup board by what the loads draw, in per cent: drops are
// in proportion to the current.
func (m *maker) feeding() string {
	parts := []string{"0"}
	for _, of := range []struct {
		kind conductors.Kind
		a    book.Ref
	}{{conductors.Input, m.Out["input_a"]}, {conductors.Feeder, m.Out["pass_through_a"]}} {
		if row := m.runOf(of.kind); row > 0 {
			at := func(col int) book.Ref { return m.conductors.At(row, col) }
			parts = append(parts, fmt.Sprintf("IF(%[1]s=0,0,%[2]s*%[3]s/%[1]s)", at(runA), at(runDrop), m.shared(of.a)))
		}
	}
	return strings.Join(parts, "+")
}

// askedOfArray lets the conductor of a string of modules follow them: what it must carry, and its current and volts in
// the heat, in which it loses most.
func (m *maker) askedOfArray(_ int, r conductors.Run) askedOfRun {
	key := course.ArrayKey(r.Array + 1)
	return askedOfRun{runNeeds: fmt.Sprintf("%s*%s", m.In["pv_factor"], m.In[key+"isc_a"]),
		runA: string(m.In[key+"imp_a"]), runV: string(m.Out[key+"vmp_hot_v"])}
}

// askedOfCircuit is what a circuit draws in any month.
func (m *maker) askedOfCircuit(row int, r conductors.Run) askedOfRun {
	a := askedOfRun{runV: string(m.In["site_v"])}
	i := m.CircuitAt(r.Of)
	if i < 0 {
		return a
	}
	a[runBefore] = fmt.Sprintf("IF(%s=1,%s,0)", m.Circuits.At(course.FirstCircuit+i, course.CircuitBoard),
		m.conductors.At(feedingRow, runLength))
	if !m.Follows(r.Of) {
		return a
	}
	rows := m.StartsOn(r.Of)
	cells := func(col int) []string {
		var all []string
		for _, row := range rows {
			all = append(all, string(m.Starts.At(row, col)))
		}
		return all
	}
	a[runA] = fmt.Sprintf("MAX(%s)/%s", strings.Join(append(cells(course.StartAloneLongVA), m.CircuitLoad(i)), ","),
		m.PerA(i))
	a[runPF] = m.PowerFactorOf(i)
	a[runNeeds] = m.needsOfCircuit(row, i, a[runA], cells(course.StartAloneLongVA))
	if len(rows) == 0 || len(rows) > mostOnCircuit {
		return a
	}
	// Of starts with the same VA, or the same heat, the first of the file counts.
	pick := func(by, what int) string {
		most, formula := "MAX("+strings.Join(cells(by), ",")+")", "0"
		for n := len(rows) - 1; n >= 0; n-- {
			formula = fmt.Sprintf("IF(%s=%s,%s,%s)", m.Starts.At(rows[n], by), most, m.Starts.At(rows[n], what), formula)
		}
		return formula
	}
	a[runStartA] = fmt.Sprintf("MAX(%s)/%s", strings.Join(cells(course.StartAloneVA), ","), m.PerA(i))
	a[runStartPF] = pick(course.StartAloneVA, course.StartAlonePF)
	a[runHeatA] = pick(course.StartAloneHeatVA, course.StartAloneVA) + "/" + m.PerA(i)
	a[runHeatS] = clampS(pick(course.StartAloneHeatVA, course.StartSeconds))
	return a
}

// needsOfCircuit is the formula for what the conductor of a circuit must carry: what it draws or, where some loads count
// more, that with the factor on what runs for hours and more for the largest motor. Neither may be more than if all of
// it counted so.
func (m *maker) needsOfCircuit(row, i int, draws string, long []string) string {
	if m.PlainCurrents() {
		return draws
	}
	all := m.conductors.At(row, runA)
	counted, motor := m.CountedOf(i)
	if len(long) > 0 {
		counted = fmt.Sprintf("MAX(%s,MAX(%s)/%s)", counted, strings.Join(long, ","), m.PerA(i))
	}
	return fmt.Sprintf("MAX(%[1]s,MIN(%[2]s,%[3]s*%[1]s))+MIN(%[4]s*%[1]s,MAX(0,%[5]s-%[2]s))", all, counted, m.Factor(),
		book.Lit(m.MotorShare()), motor)
}

// mostOnCircuit is how many starts of a circuit are chosen among by formulas: each is nested in the one before.
const mostOnCircuit = 12
