package workbook

import (
	"fmt"
	"strconv"
	"strings"

	"outlast/backup/conductors"
	"outlast/backup/facts"
	"outlast/backup/phrase"
	"outlast/backup/sheet/paper/findings"
	"outlast/backup/sheet/workbook/book"
	"outlast/backup/sheet/workbook/course"
	"outlast/backup/verdict"
)

// Columns of the checks.
const (
	checkStatus = iota + 1
	checkName
	checkDemand
	checkLimit
	checkUnit
	checkMargin
	checkFollowed
	checkPlanned
	checkReason
)

const firstCheck = 5

// A comparison is what the formulas of a check are: demand and limit, and what its status follows.
type comparison struct {
	demand, limit string // formulas; "" for a limit that is not known
	mayLack       bool   // a limit of 0 is one that is not known
	atLeast       bool
	kelvin        bool
	broken        string // the word of a limit that is broken
	standing      bool   // something else keeps it a caution
	unlimited     string // the formula of whether there is no limit at all: such a check passes
	settled       bool   // no figure of the workbook changes it
	unit          string // the formula of the unit, where it follows too
	status        string // the formula of the status, where it is none of these
}

// fillChecks lists every check of the plan with its live status, and beside it what the plan said.
func (m *maker) fillChecks() {
	s := m.checks
	s.Say(1, 1, book.Title, m.Prose(phrase.Of("Checks")))
	s.Say(2, 1, book.Note,
		m.Prose(phrase.Of("Status, demand and limit follow the figures of this workbook. Beside them stands what the plan said.")))
	for col, words := range map[int]string{checkStatus: m.Say("col.status"), checkName: m.Say("col.check"),
		checkDemand: m.Say("col.demand"), checkLimit: m.Say("col.limit"), checkUnit: m.Say("col.unit"),
		checkMargin: m.Say("col.left") + ", %/K", checkFollowed: m.Prose(phrase.Of("Followed here")),
		checkPlanned: m.Prose(phrase.Of("As planned")), checkReason: m.Prose(phrase.Of("Reason, as planned"))} {
		s.Put(firstCheck-1, col, book.Cell{Kind: book.Head, Text: words, Wrap: true,
			Middle: col == checkDemand || col == checkLimit})
	}
	s.Width(12, checkStatus, checkDemand, checkLimit, checkMargin, checkPlanned)
	s.Width(36, checkName)
	s.Width(10, checkUnit)
	s.Width(16, checkFollowed)
	s.Width(80, checkReason)
	known := m.comparisons()
	row := firstCheck
	byGroup := findings.Grouped(m.Plan.Checks)
	for _, g := range verdict.Groups() {
		for _, c := range byGroup[g] {
			m.checkRow(row, c, known)
			row++
		}
	}
	s.Marks = append(s.Marks, book.Strip(checkStatus, firstCheck, max(firstCheck, row-1)),
		book.Strip(checkPlanned, firstCheck, max(firstCheck, row-1)))
	s.Frozen, s.Heads = [2]int{firstCheck - 1, checkName}, firstCheck-1
	m.Out["checks_first"], m.Out["checks_last"] = s.At(firstCheck, checkStatus),
		s.At(max(firstCheck, row-1), checkStatus)
}

func (m *maker) checkRow(row int, c verdict.Check, known map[string]comparison) {
	s := m.checks
	at := func(col int) book.Ref { return s.At(row, col) }
	demand, limit, unit := c.Shown()
	s.Long(row, checkName, book.Plain, m.CheckName(c.ID))
	s.Put(row, checkUnit, book.Cell{Kind: book.Plain, Text: m.UnitName(unit), Inset: true})
	s.Say(row, checkPlanned, book.Plain, m.Say("status."+string(c.Status)))
	s.Long(row, checkReason, book.Note, m.Prose(c.Reason))
	if c.Reason.Empty() {
		s.Say(row, checkReason, book.Note, "")
	}
	format := book.FormatOf(unit)
	name := cellName(c.ID)
	for n := 2; m.Out[name+"_status"] != ""; n++ {
		name = fmt.Sprintf("%s_%d", strings.TrimRight(name, "_0123456789"), n)
	}
	m.Out[name+"_status"], m.Out[name+"_demand"] = at(checkStatus), at(checkDemand)
	k, followed := known[c.ID]
	if !followed || k.settled {
		kind, word := book.Worked, phrase.Of("no: worked out by the program")
		if k.settled {
			kind, word = book.Plain, phrase.Of("no figure here changes it")
		}
		s.Put(row, checkStatus, book.Cell{Kind: kind, Text: m.Say("status." + string(c.Status))})
		if c.HasLimit || c.Demand != 0 {
			s.Num(row, checkDemand, kind, demand, format)
		}
		if c.HasLimit {
			s.Num(row, checkLimit, kind, limit, format)
			m.Out[name+"_limit"] = at(checkLimit)
			s.Num(row, checkMargin, kind, marginShown(c), book.AsTenth)
		}
		s.Long(row, checkFollowed, book.Note, m.Prose(word))
		return
	}
	s.Say(row, checkFollowed, book.Note, m.Prose(phrase.Of("yes")))
	if k.unit != "" {
		s.Put(row, checkUnit, book.Cell{Kind: book.Live, Formula: k.unit, Words: true, Inset: true})
	}
	if k.demand != "" {
		s.Calc(row, checkDemand, book.Live, format, "%s", k.demand)
	}
	if k.limit != "" {
		where := func(formula string) string {
			if k.unlimited == "" {
				return formula
			}
			return fmt.Sprintf(`IF(%s,"",%s)`, k.unlimited, formula)
		}
		if x, err := strconv.ParseFloat(k.limit, 64); err == nil {
			s.Num(row, checkLimit, book.Table, x, format)
		} else {
			s.Calc(row, checkLimit, book.Live, format, "%s", where(k.limit))
		}
		m.Out[name+"_limit"] = at(checkLimit)
		over, less := at(checkLimit), at(checkDemand)
		if k.atLeast {
			over, less = less, over
		}
		margin := fmt.Sprintf("%s-%s", over, less)
		if !k.kelvin {
			margin = fmt.Sprintf("IF(%[1]s=0,0,100*(%[2]s-%[3]s)/%[1]s)", at(checkLimit), over, less)
		}
		s.Calc(row, checkMargin, book.Live, book.AsTenth, "%s", where(margin))
	}
	status := m.statusOf(row, k)
	if c.Elsewhere() { // the workbook follows one month
		status = fmt.Sprintf("IF(%[1]s=%[2]s,%[3]s,%[1]s)", status, book.Quote(m.Pass[2]), book.Quote(m.Pass[1]))
	}
	s.Put(row, checkStatus, book.Cell{Kind: book.Result, Formula: status, Words: true})
}

// cellName begins the names of the cells of a check.
func cellName(id string) string {
	return "check_" + strings.Map(func(r rune) rune {
		if r >= 'a' && r <= 'z' || r >= '0' && r <= '9' {
			return r
		}
		return '_'
	}, strings.ToLower(id))
}

func marginShown(c verdict.Check) float64 {
	if c.Unit == "C" {
		return c.Margin
	}
	return 100 * c.Margin
}

// statusOf is the formula for the status of a check.
func (m *maker) statusOf(row int, k comparison) string {
	if k.status != "" {
		return k.status
	}
	demand, limit := m.checks.At(row, checkDemand), m.checks.At(row, checkLimit)
	good := m.Pass[2]
	if k.standing {
		good = m.Pass[1]
	}
	if k.limit == "" {
		return book.Quote(m.Pass[1])
	}
	broken := k.broken
	if broken == "" {
		broken = m.Pass[0]
	}
	keeps := fmt.Sprintf("%s<=%s*(1+1E-9)", demand, limit)
	switch {
	case k.kelvin:
		keeps = fmt.Sprintf("%s>=%s-1E-9", demand, limit)
	case k.atLeast:
		keeps = fmt.Sprintf("%s>=%s*(1-1E-9)", demand, limit)
	}
	status := fmt.Sprintf("IF(%s,%s,%s)", keeps, book.Quote(good), book.Quote(broken))
	if k.mayLack {
		status = fmt.Sprintf("IF(%s=0,%s,%s)", limit, book.Quote(m.Pass[1]), status)
	}
	if k.unlimited != "" {
		status = fmt.Sprintf("IF(%s,%s,%s)", k.unlimited, book.Quote(m.Pass[2]), status)
	}
	return status
}

// standing says whether a check that keeps its limit is a caution all the same: for data that are missing, or a rule
// beside it.
func standing(c verdict.Check) bool {
	keeps := c.Demand <= c.Limit+verdict.Slack*abs(c.Limit)
	if c.AtLeast {
		keeps = c.Demand >= c.Limit-verdict.Slack*abs(c.Limit)
	}
	return c.Status == verdict.Caution && c.HasLimit && keeps
}

func abs(x float64) float64 { return max(x, -x) }

// comparisons are the formulas of the checks that are followed here.
func (m *maker) comparisons() map[string]comparison {
	in, out, n := m.In, m.Out, m.Plan.Site.Phases
	by := m.Plan.ByID()
	known := map[string]comparison{}
	add := func(id string, k comparison) {
		c, ok := by[id]
		if !ok {
			return
		}
		k.standing = k.standing || k.status == "" && standing(c)
		known[id] = k
	}
	for _, of := range []struct{ id, unit string }{{"inverter-continuous", "va"}, {"inverter-continuous-w", "w"}} {
		demand, limit := string(out["scheduled_"+of.unit]), string(out["limit_"+of.unit])
		if n > 1 {
			demand = string(out["compared_"+of.unit])
			limit = fmt.Sprintf("%s*IF(%s=1,1/%d,1)", limit, out["phase_governs_"+of.unit], n)
		}
		add(of.id, comparison{demand: demand, limit: limit})
	}
	m.startComparisons(add)
	add("pass-through", comparison{demand: string(out["pass_through_a"]), limit: string(out["limit_pass_through_a"]),
		mayLack: true})
	if m.Plan.Inverter.ACInputA() > 0 {
		add("ac-input", comparison{demand: string(out["input_a"]), limit: string(out["limit_ac_input_a"]),
			standing: m.Plan.Inverter.Unit.ChargerA == 0})
	} else {
		add("ac-input", comparison{demand: string(out["input_a"])})
	}
	add("phase-balance", comparison{demand: "100*" + string(out["imbalance"]), limit: book.Lit(100 * facts.MaxImbalance),
		broken: m.Pass[1], settled: n == 1})
	m.bankComparisons(add)
	m.arrayComparisons(add)
	m.generatorComparisons(add)
	m.breakerComparison(add)
	m.transferComparison(add)
	for _, s := range m.Slips {
		add("slip-"+s.Load, comparison{demand: string(s.Demand), limit: string(s.Limit), broken: m.Pass[1],
			unlimited: fmt.Sprintf("%s=0", s.Held),
			unit:      fmt.Sprintf("IF(%s=2,%s,%s)", s.ByW, book.Quote(m.UnitName("W")), book.Quote(m.UnitName("VA")))})
	}
	circuits := len(m.Plan.Site.Circuits)
	add("board-ways", comparison{demand: fmt.Sprintf("SUM(%s)", m.Circuits.Span(course.FirstCircuit, course.CircuitBoard,
		course.FirstCircuit+circuits-1, course.CircuitBoard)), limit: string(in["ways"]),
		unlimited: fmt.Sprintf("%s=0", in["ways"]), settled: circuits == 0})
	for i, r := range m.runs {
		c, ok := by[r.id]
		if !ok || r.last < r.first || !c.HasLimit {
			continue
		}
		s := m.conductors
		column := func(col int) string { return s.Span(r.first, col, r.last, col) }
		worst := fmt.Sprintf("MATCH(MIN(%[1]s),%[1]s,0)", column(ofRank))
		statuses := column(ofStatus)
		good := book.Quote(m.Pass[2])
		switch run := m.Plan.Runs[i]; {
		case standing(c) && !(run.LimitShort && run.BearsA > 0):
			good = book.Quote(m.Pass[1])
		case run.Kind == conductors.Input:
			good = fmt.Sprintf("IF(AND(%[1]s>0,%[2]s>%[1]s*(1+1E-9)),%[3]s,%[4]s)", m.gridLimit(),
				m.shared(out["pass_through_a"]), book.Quote(m.Pass[1]), good)
		}
		known[r.id] = comparison{demand: fmt.Sprintf("INDEX(%s,%s)", column(ofDemand), worst),
			limit: fmt.Sprintf("INDEX(%s,%s)", column(ofLimit), worst),
			status: fmt.Sprintf("IF(COUNTIF(%[1]s,%[2]s)>0,%[2]s,IF(COUNTIF(%[1]s,%[3]s)>0,%[3]s,%[4]s))", statuses,
				book.Quote(m.Pass[0]),
				book.Quote(m.Pass[1]), good)}
	}
	return known
}

// transferComparison is the check of the transfer time: with what is in use and rides through least.
func (m *maker) transferComparison(add func(string, comparison)) {
	transfer, rides := m.In["transfer_ms"], m.LoadColumn(course.LoadRidesInUse)
	none, silent := fmt.Sprintf("COUNT(%s)=0", rides), fmt.Sprintf("COUNT(%s)=0", transfer)
	demand, limit := fmt.Sprintf("IF(%s,0,%s)", silent, transfer), fmt.Sprintf("MIN(%s)", rides)
	add("transfer-time", comparison{demand: demand, limit: limit, unlimited: fmt.Sprintf("OR(%s,%s)", none, silent),
		status: fmt.Sprintf("IF(%s,%[3]s,IF(%[2]s,%[4]s,IF(%[5]s<=%[6]s*(1+1E-9),%[3]s,%[7]s)))", none, silent,
			book.Quote(m.Pass[2]), book.Quote(m.Pass[1]), transfer, limit, book.Quote(m.Pass[0]))})
}

// startComparisons are those of what starts.
func (m *maker) startComparisons(add func(string, comparison)) {
	out, t, s := m.Out, m.StartsAt(), m.Starts
	by := m.Plan.ByID()
	if len(t.Starts) > 0 {
		column := func(col int) string { return s.Span(t.List, col, t.List+len(t.Starts)-1, col) }
		tightest := fmt.Sprintf("MATCH(MIN(%[1]s),%[1]s,0)", column(course.StartMargin))
		// Where nothing is in use all margins are the same, and the first of the list, which asks nothing, is taken.
		add("inverter-surge", comparison{demand: fmt.Sprintf("INDEX(%s,%s)", column(course.StartDemand), tightest),
			limit: fmt.Sprintf("INDEX(%s,%s)", column(course.StartLimit), tightest)})
		m.bankStartComparisons(add, column)
	} else {
		add("inverter-surge", comparison{demand: "0", limit: string(out["limit_va"])})
		for _, id := range []string{"dc-surge-current", "surge-sag"} {
			add(id, comparison{settled: true})
		}
	}
	word := m.Pass[1]
	if by["inverter-restart"].Status == verdict.Fail {
		word = m.Pass[0]
	}
	add("inverter-restart", comparison{demand: string(out["restart_demand_va"]), limit: string(out["restart_limit_va"]),
		status: fmt.Sprintf("IF(%s<=%s*(1+1E-12),%s,%s)", out["restart_demand_va"], out["restart_limit_va"],
			book.Quote(m.Pass[2]), book.Quote(word))})
}

// bankStartComparisons are those of what the bank gives to starts; column is one of the list of starts.
func (m *maker) bankStartComparisons(add func(string, comparison), column func(int) string) {
	none := fmt.Sprintf("MAX(%s)=0", column(course.StartDemand)) // nothing that is in use starts
	worst := fmt.Sprintf("MATCH(MIN(%[1]s),%[1]s,0)", column(course.StartRank))
	limit := fmt.Sprintf("0+INDEX(%s,%s)", column(course.StartDCLimit), worst)
	add("dc-surge-current", comparison{demand: fmt.Sprintf("INDEX(%s,%s)", column(course.StartDCA), worst), limit: limit,
		mayLack: true, unlimited: none})
	sag := comparison{demand: fmt.Sprintf("IF(%s,0,MIN(%s))", none, column(course.StartSag)), limit: string(m.Out["cutoff_v"]),
		atLeast: true, unlimited: none}
	if m.volts == nil { // without the resistance of the battery its voltage under load is not laid out
		sag = comparison{status: fmt.Sprintf("IF(%s,%s,%s)", none, book.Quote(m.Pass[2]), book.Quote(m.Pass[1]))}
	}
	add("surge-sag", sag)
}

// bankComparisons are those of the bank.
func (m *maker) bankComparisons(add func(string, comparison)) {
	in, out := m.In, m.Out
	u, by := m.Plan.Site.Unit, m.Plan.ByID()
	if by["dc-current"].HasLimit {
		bank := fmt.Sprintf("%s*%s", in["strings"], in["unit_max_discharge_a"])
		limit := fmt.Sprintf("MIN(IF(%[1]s>0,%[1]s,1E+99),IF(%[2]s>0,%[2]s,1E+99))", out["limit_discharge_a"], bank)
		add("dc-current", comparison{demand: string(out["scheduled_a"]), limit: limit, standing: u.MaxDischargeA == 0})
	}
	add("dc-window-high", comparison{demand: string(out["charging_v"]), limit: string(in["dc_max_v"])})
	add("dc-window-low", comparison{demand: string(out["low_v"]), limit: string(in["dc_min_v"]), atLeast: true})
	if m.volts != nil {
		add("dc-cutoff", comparison{demand: string(out["volts_planned"]), limit: string(out["cutoff_v"]), atLeast: true,
			status: fmt.Sprintf("IF(%s>=%s*(1-1E-9),%s,IF(%s=0,%s,%s))", out["volts_planned"], out["cutoff_v"],
				book.Quote(m.Pass[2]),
				out["volts_full_above"], book.Quote(m.Pass[0]), book.Quote(m.Pass[1]))})
	}
	add("bank-capacity", comparison{demand: string(out["required_ah"]), limit: string(out["installed_ah"])})
	least := "1E+9"
	if out["least_autonomy"] != "" {
		least = string(out["least_autonomy"])
	}
	if !m.Plan.Bank.AutonomyCap {
		add("autonomy", comparison{demand: string(in["autonomy_h"]), limit: string(out["autonomy"]),
			status: fmt.Sprintf("IF(%[1]s<=%[2]s*(1+1E-9),IF(%[3]s<%[1]s*(1-1E-9),%[4]s,%[5]s),%[6]s)",
				in["autonomy_h"], out["autonomy"], least,
				book.Quote(m.Pass[1]), book.Quote(m.Pass[2]), book.Quote(m.Pass[0]))})
	}
	if c := by["bank-charge-rate"]; c.HasLimit {
		rate := fmt.Sprintf("%s/%s", out["grid_charger_a"], out["installed_ah"])
		low := fmt.Sprintf("%s/%s", out["least_charge_a"], out["installed_ah"])
		weak := fmt.Sprintf("%s<%s*(1-1E-9)", rate, low)
		high := fmt.Sprintf("IF(%[1]s>0,%[1]s/%[2]s,1E+9)", in["unit_max_charge_a"], in["rated_ah"])
		all := fmt.Sprintf("%s/%s", out["sources_a"], out["installed_ah"])
		much := fmt.Sprintf("%s>%s*(1+1E-9)", rate, high)
		k := comparison{demand: fmt.Sprintf("IF(OR(%s,%s),%s,%s)", weak, much, rate, all),
			limit: fmt.Sprintf("IF(%s,%s,%s)", weak, low, high)}
		k.status = fmt.Sprintf("IF(OR(%s,%s),%s,IF(%s>%s*(1+1E-9),%s,%s))", weak, much, book.Quote(m.Pass[0]), all, high,
			book.Quote(m.Pass[1]), book.Quote(m.Pass[2]))
		k.atLeast = c.AtLeast
		add("bank-charge-rate", k)
	}
	add("bank-parallel", comparison{demand: string(in["strings"]), limit: string(in["max_parallel"]),
		broken: m.Pass[1]})
	add("bank-chemistry", comparison{status: fmt.Sprintf("IF(COUNT(%[1]s)=0,%[2]s,IF(%[1]s=1,%[3]s,%[4]s))", in["charges_it"],
		book.Quote(m.Pass[1]), book.Quote(m.Pass[2]), book.Quote(m.Pass[0]))})
	if by["bank-temperature"].HasLimit {
		m.temperatureComparison(add)
	}
	m.airComparison(add)
}

// breakerComparison is the check of the circuit breakers: of those that are known the one that has least left, and
// whether all are.
func (m *maker) breakerComparison(add func(string, comparison)) {
	circuits := len(m.Plan.Site.Circuits)
	if circuits == 0 {
		add("circuit-breaker", comparison{settled: true})
		return
	}
	s, last := m.Circuits, course.FirstCircuit+circuits-1
	column := func(col int) string { return s.Span(course.FirstCircuit, col, last, col) }
	worst := fmt.Sprintf("MATCH(MIN(%[1]s),%[1]s,0)", column(course.CircuitRank))
	none := fmt.Sprintf("MIN(%s)>=9", column(course.CircuitRank))
	add("circuit-breaker", comparison{unlimited: none,
		demand: fmt.Sprintf("IF(%s,0,0+INDEX(%s,%s))", none, column(course.CircuitA), worst),
		limit:  fmt.Sprintf("0+INDEX(%s,%s)", column(course.CircuitBreaker), worst),
		status: fmt.Sprintf("IF(COUNTIF(%[1]s,%[2]s)>0,%[2]s,IF(OR(COUNTIF(%[1]s,%[3]s)>0,COUNT(%[4]s)<%[5]d),%[3]s,%[6]s))",
			column(course.CircuitStatus), book.Quote(m.Pass[0]), book.Quote(m.Pass[1]), column(course.CircuitBreaker), circuits,
			book.Quote(m.Pass[2]))})
}
