package workbook

import (
	"fmt"
	"strconv"
	"strings"

	"outlast/backup/facts"
	"outlast/backup/phrase"
	"outlast/backup/sheet/paper/findings"
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
	unit          string // the formula of the unit, where it follows too
	status        string // the formula of the status, where it is none of these
}

// fillChecks lists every check of the plan with its live status, and beside it what the plan said.
func (m *maker) fillChecks() error {
	s := m.checks
	s.say(1, 1, title, m.say(phrase.Of("Checks")))
	s.say(2, 1, note,
		m.say(phrase.Of("Status, demand and limit follow the figures of this workbook. Beside them stands what the plan said.")))
	for col, words := range map[int]string{checkStatus: m.r.Say("col.status"), checkName: m.r.Say("col.check"),
		checkDemand: m.r.Say("col.demand"), checkLimit: m.r.Say("col.limit"), checkUnit: m.r.Say("col.unit"),
		checkMargin: m.r.Say("col.left") + ", %/K", checkFollowed: m.say(phrase.Of("Followed here")),
		checkPlanned: m.say(phrase.Of("As planned")), checkReason: m.say(phrase.Of("Reason, as planned"))} {
		s.put(firstCheck-1, col, cell{kind: head, text: words, wrap: true,
			middle: col == checkDemand || col == checkLimit})
	}
	s.width(12, checkStatus, checkDemand, checkLimit, checkMargin, checkPlanned)
	s.width(36, checkName)
	s.width(10, checkUnit)
	s.width(16, checkFollowed)
	s.width(80, checkReason)
	known := m.comparisons()
	row := firstCheck
	byGroup := findings.Grouped(m.p.Checks)
	for _, g := range verdict.Groups() {
		for _, c := range byGroup[g] {
			m.checkRow(row, c, known)
			row++
		}
	}
	s.marks = append(s.marks, strip(checkStatus, firstCheck, max(firstCheck, row-1)),
		strip(checkPlanned, firstCheck, max(firstCheck, row-1)))
	s.frozen, s.heads = [2]int{firstCheck - 1, checkName}, firstCheck-1
	m.out["checks_first"], m.out["checks_last"] = s.at(firstCheck, checkStatus),
		s.at(max(firstCheck, row-1), checkStatus)
	return nil
}

func (m *maker) checkRow(row int, c verdict.Check, known map[string]comparison) {
	s := m.checks
	at := func(col int) ref { return s.at(row, col) }
	demand, limit, unit := c.Shown()
	s.long(row, checkName, plain, m.r.CheckName(c.ID))
	s.put(row, checkUnit, cell{kind: plain, text: m.r.UnitName(unit), inset: true})
	s.say(row, checkPlanned, plain, m.r.Say("status."+string(c.Status)))
	s.long(row, checkReason, note, m.say(c.Reason))
	if c.Reason.Empty() {
		s.say(row, checkReason, note, "")
	}
	format := formatOf(unit)
	name := cellName(c.ID)
	for n := 2; m.out[name+"_status"] != ""; n++ {
		name = fmt.Sprintf("%s_%d", strings.TrimRight(name, "_0123456789"), n)
	}
	m.out[name+"_status"], m.out[name+"_demand"] = at(checkStatus), at(checkDemand)
	k, followed := known[c.ID]
	if !followed {
		s.put(row, checkStatus, cell{kind: worked, text: m.r.Say("status." + string(c.Status))})
		if c.HasLimit || c.Demand != 0 {
			s.num(row, checkDemand, worked, demand, format)
		}
		if c.HasLimit {
			s.num(row, checkLimit, worked, limit, format)
			m.out[name+"_limit"] = at(checkLimit)
			s.num(row, checkMargin, worked, marginShown(c), asTenth)
		}
		s.long(row, checkFollowed, note, m.say(phrase.Of("no: worked out by the program")))
		return
	}
	s.say(row, checkFollowed, note, m.say(phrase.Of("yes")))
	if k.unit != "" {
		s.put(row, checkUnit, cell{kind: live, formula: k.unit, words: true, inset: true})
	}
	if k.demand != "" {
		s.calc(row, checkDemand, live, format, "%s", k.demand)
	}
	if k.limit != "" {
		if x, err := strconv.ParseFloat(k.limit, 64); err == nil {
			s.num(row, checkLimit, worked, x, format)
		} else {
			s.calc(row, checkLimit, live, format, "%s", k.limit)
		}
		m.out[name+"_limit"] = at(checkLimit)
		over, less := at(checkLimit), at(checkDemand)
		if k.atLeast {
			over, less = less, over
		}
		if k.kelvin {
			s.calc(row, checkMargin, live, asTenth, "%s-%s", over, less)
		} else {
			s.calc(row, checkMargin, live, asTenth, "IF(%[1]s=0,0,100*(%[2]s-%[3]s)/%[1]s)", at(checkLimit), over, less)
		}
	}
	s.put(row, checkStatus, cell{kind: result, formula: m.statusOf(row, c, k), words: true})
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
func (m *maker) statusOf(row int, c verdict.Check, k comparison) string {
	if k.status != "" {
		return k.status
	}
	demand, limit := m.checks.at(row, checkDemand), m.checks.at(row, checkLimit)
	good := m.pass[2]
	if k.standing {
		good = m.pass[1]
	}
	if k.limit == "" {
		return quote(m.pass[1])
	}
	broken := k.broken
	if broken == "" {
		broken = m.pass[0]
	}
	keeps := fmt.Sprintf("%s<=%s*(1+1E-9)", demand, limit)
	switch {
	case k.kelvin:
		keeps = fmt.Sprintf("%s>=%s-1E-9", demand, limit)
	case k.atLeast:
		keeps = fmt.Sprintf("%s>=%s*(1-1E-9)", demand, limit)
	}
	status := fmt.Sprintf("IF(%s,%s,%s)", keeps, quote(good), quote(broken))
	if k.mayLack {
		status = fmt.Sprintf("IF(%s=0,%s,%s)", limit, quote(m.pass[1]), status)
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
	in, out, n := m.in, m.out, m.p.Site.Phases
	by := m.p.ByID()
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
	if m.p.Inverter.ACInputA() > 0 {
		add("ac-input", comparison{demand: string(out["input_a"]), limit: string(out["limit_ac_input_a"]),
			standing: m.p.Inverter.Unit.ChargerA == 0})
	} else {
		add("ac-input", comparison{demand: string(out["input_a"])})
	}
	if n > 1 {
		add("phase-balance", comparison{demand: "100*" + string(out["imbalance"]), limit: lit(100 * facts.MaxImbalance),
			broken: m.pass[1]})
	}
	m.bankComparisons(add)
	m.arrayComparisons(add)
	m.generatorComparisons(add)
	m.breakerComparison(add)
	var rides []string
	for _, l := range m.loadRows {
		rides = append(rides, fmt.Sprintf(`IF(AND(%[1]s=1,COUNT(%[2]s)=1),%[2]s,1E+9)`, m.loads.at(l.row, loadInUse),
			m.loads.at(l.row, loadRides)))
	}
	if c := by["transfer-time"]; c.HasLimit && len(rides) <= 200 {
		add("transfer-time", comparison{demand: string(in["transfer_ms"]),
			limit: "MIN(" + strings.Join(rides, ",") + ")"})
	}
	if len(m.p.Site.Circuits) > 0 {
		add("board-ways", comparison{demand: fmt.Sprintf("SUM(%s)",
			m.circuits.span(firstCircuit, 3, firstCircuit+len(m.p.Site.Circuits)-1, 3)),
			limit: fmt.Sprintf("IF(%[1]s>0,%[1]s,1E+6)", in["ways"])})
		if m.p.Site.Ways == 0 {
			delete(known, "board-ways")
		}
	}
	for _, r := range m.runs {
		c, ok := by[r.id]
		if !ok || r.last < r.first || !c.HasLimit {
			continue
		}
		s := m.conductors
		column := func(col int) string { return s.span(r.first, col, r.last, col) }
		worst := fmt.Sprintf("MATCH(MIN(%[1]s),%[1]s,0)", column(ofRank))
		statuses := column(ofStatus)
		good := m.pass[2]
		if standing(c) {
			good = m.pass[1]
		}
		known[r.id] = comparison{demand: fmt.Sprintf("INDEX(%s,%s)", column(ofDemand), worst),
			limit: fmt.Sprintf("INDEX(%s,%s)", column(ofLimit), worst),
			status: fmt.Sprintf("IF(COUNTIF(%[1]s,%[2]s)>0,%[2]s,IF(COUNTIF(%[1]s,%[3]s)>0,%[3]s,%[4]s))", statuses,
				quote(m.pass[0]),
				quote(m.pass[1]), quote(good))}
	}
	return known
}

// startComparisons are those of what starts.
func (m *maker) startComparisons(add func(string, comparison)) {
	out, t, s := m.out, m.startsAt(), m.starts
	by := m.p.ByID()
	if len(t.starts) > 0 {
		column := func(col int) string { return s.span(t.list, col, t.list+len(t.starts)-1, col) }
		tightest := fmt.Sprintf("MATCH(MIN(%[1]s),%[1]s,0)", column(startMargin))
		// Where nothing is in use all margins are the same, and the first of the list, which asks nothing, is taken.
		add("inverter-surge", comparison{demand: fmt.Sprintf("INDEX(%s,%s)", column(startDemand), tightest),
			limit: fmt.Sprintf("INDEX(%s,%s)", column(startLimit), tightest)})
		if by["dc-surge-current"].HasLimit {
			worst := fmt.Sprintf("MATCH(MIN(%[1]s),%[1]s,0)", column(startRank))
			add("dc-surge-current", comparison{mayLack: true, demand: fmt.Sprintf("INDEX(%s,%s)", column(startDCA),
				worst),
				limit: fmt.Sprintf("INDEX(%s,%s)", column(startDCLimit), worst)})
		}
		if m.volts != nil && by["surge-sag"].HasLimit {
			add("surge-sag", comparison{demand: fmt.Sprintf("MIN(%s)", column(startSag)),
				limit: string(out["cutoff_v"]), atLeast: true})
		}
	}
	word := m.pass[1]
	if by["inverter-restart"].Status == verdict.Fail {
		word = m.pass[0]
	}
	add("inverter-restart", comparison{demand: string(out["restart_demand_va"]), limit: string(out["restart_limit_va"]),
		status: fmt.Sprintf("IF(%s<=%s*(1+1E-12),%s,%s)", out["restart_demand_va"], out["restart_limit_va"],
			quote(m.pass[2]), quote(word))})
}

// bankComparisons are those of the bank.
func (m *maker) bankComparisons(add func(string, comparison)) {
	in, out := m.in, m.out
	u, by := m.p.Site.Unit, m.p.ByID()
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
				quote(m.pass[2]),
				out["volts_full_above"], quote(m.pass[0]), quote(m.pass[1]))})
	}
	add("bank-capacity", comparison{demand: string(out["required_ah"]), limit: string(out["installed_ah"])})
	least := "1E+9"
	if out["least_autonomy"] != "" {
		least = string(out["least_autonomy"])
	}
	if !m.p.Bank.AutonomyCap {
		add("autonomy", comparison{demand: string(in["autonomy_h"]), limit: string(out["autonomy"]),
			status: fmt.Sprintf("IF(%[1]s<=%[2]s*(1+1E-9),IF(%[3]s<%[1]s*(1-1E-9),%[4]s,%[5]s),%[6]s)",
				in["autonomy_h"], out["autonomy"], least,
				quote(m.pass[1]), quote(m.pass[2]), quote(m.pass[0]))})
	}
	if c := by["bank-charge-rate"]; c.HasLimit {
		rate := fmt.Sprintf("%s/%s", out["grid_charger_a"], out["installed_ah"])
		low := fmt.Sprintf("%s/%s", out["least_charge_a"], out["installed_ah"])
		weak := fmt.Sprintf("%s<%s*(1-1E-9)", rate, low)
		high := fmt.Sprintf("IF(%[1]s>0,%[1]s/%[2]s,1E+9)", in["unit_max_charge_a"], in["rated_ah"])
		k := comparison{demand: rate, limit: fmt.Sprintf("IF(%s,%s,%s)", weak, low, high)}
		k.status = fmt.Sprintf("IF(%s,%s,IF(%s>%s*(1+1E-9),%s,%s))", weak, quote(m.pass[0]), rate, high,
			quote(m.pass[0]), quote(m.pass[2]))
		k.atLeast = c.AtLeast
		add("bank-charge-rate", k)
	}
	add("bank-parallel", comparison{demand: string(in["strings"]), limit: string(in["max_parallel"]),
		broken: m.pass[1]})
	if by["bank-temperature"].HasLimit {
		m.temperatureComparison(add)
	}
	m.airComparison(add)
}
