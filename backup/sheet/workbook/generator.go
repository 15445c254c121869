package workbook

import (
	"fmt"
	"strings"

	"outlast/backup/generator"
	"outlast/backup/phrase"
)

// fillGeneratorInputs lists the generator, and the practice that it is held against.
func (m *maker) fillGeneratorInputs(l *list) {
	if m.generator == nil {
		return
	}
	g, p := m.p.Site.Generator, m.p.Site.Practice.Wires()
	l.part(phrase.Of("Generator"))
	for _, k := range []struct {
		name, table, key string
		value            float64
		unit             string
	}{{"generator_rated_va", "generator", "rated_va", g.RatedVA, "VA"},
		{"generator_power_factor", "generator", "power_factor", g.PowerFactor, ""},
		{"generator_share", "practice", "generator_share", p.GeneratorShare, ""},
		{"generator_times", "practice", "generator_start", p.GeneratorStart, ""},
		{"generator_most_dip", "practice", "generator_dip", p.GeneratorDip, ""},
		{"generator_reactance", "practice", "generator_reactance", p.GeneratorReactance, ""}} {
		l.given(k.name, l.r.KeyName(k.key), k.value, k.unit, "["+k.table+"] "+k.key)
	}
}

// fillGenerator works out what the generator has left at its place, and what is asked of it.
func (m *maker) fillGenerator() error {
	if m.generator == nil {
		return nil
	}
	l := m.list(m.generator, phrase.Of("Generator"), phrase.Phrase{})
	in, out, n := m.in, m.out, m.p.Site.Phases
	l.part(phrase.Of("Generator, derated"))
	// The rules stand beside the list: above which figure how much is lost for each unit of it.
	s, next := m.generator, 6
	const right = 6
	s.say(4, right, head, m.say(phrase.Of("Published rules of derating")))
	for i, words := range []string{m.say(phrase.Of("Rule")), m.say(phrase.Of("Above")), m.r.Say("col.unit"),
		m.say(phrase.Of("Loss for each"))} {
		s.put(5, right+i, cell{kind: head, text: words, middle: i == 1 || i == 3})
	}
	s.width(60, colHow) // so that list and rules go on one page beside each other
	s.width(14, right, right+1, right+3)
	var factors []string
	for _, rule := range generator.Rules(m.p.Site) {
		altitude, heat := rule.Slopes()
		factor := func(slopes [][2]float64, at ref, unit string) string {
			loss := "0"
			for _, of := range slopes {
				s.say(next, right, table, string(rule))
				from := s.num(next, right+1, table, of[0], asGiven)
				s.say(next, right+2, table, m.r.UnitName(unit))
				loss += fmt.Sprintf("+%s*MAX(0,%s-%s)", s.num(next, right+3, table, digits(of[1]), asGiven), at, from)
				next++
			}
			return "MAX(0,1-(" + loss + "))"
		}
		a := l.figure("altitude_factor_"+string(rule), phrase.Of("Generator, altitude"), "",
			phrase.Of("rule: %s", string(rule)), "%s", factor(altitude, in["altitude_m"], "m"))
		h := l.figure("heat_factor_"+string(rule), phrase.Of("Generator, heat"), "",
			phrase.Of("rule: %s", string(rule)), "%s", factor(heat, in["hottest_c"], "C"))
		factors = append(factors, fmt.Sprintf("%s*%s", a, h))
	}
	least := l.figure("generator_derating", phrase.Of("Derating"), "", phrase.Of("of the rule that leaves least"),
		"MIN(%s)", strings.Join(factors, ","))
	va := l.figure("generator_va", phrase.Of("Generator, derated"), "VA", phrase.Of("rating * derating"), "%s*%s",
		in["generator_rated_va"], least)
	w := l.figure("generator_w", phrase.Of("Generator, derated"), "W", phrase.Of("rating * derating * power factor"),
		"%s*%s", va, in["generator_power_factor"])

	l.part(phrase.Of("Loads and chargers"))
	balanced := func(unit string) string {
		cells := []string{string(out["scheduled_"+unit])}
		for k := 1; n > 1 && k <= n; k++ {
			of := string(out[fmt.Sprintf("scheduled_va_phase_%d", k)])
			if unit == "w" {
				of = fmt.Sprintf("MAX(%s)", m.demandColumn(m.demandAt().phaseW+3*(k-1)))
			}
			cells = append(cells, fmt.Sprintf("%d*%s", n, of))
		}
		return strings.Join(cells, ",")
	}
	even := phrase.Of("all phases together, or the fullest times their number")
	loadsVA := l.figure("generator_loads_va", phrase.Of("Apparent power of the loads, evenly on all phases"),
		"VA", even,
		"MAX(%s)", balanced("va"))
	loadsW := l.figure("generator_loads_w", phrase.Of("Power of the loads, evenly on all phases"), "W", even, "MAX(%s)",
		balanced("w"))
	chargersVA := l.figure("generator_chargers_va", phrase.Of("Apparent power of the chargers"), "VA",
		phrase.Of("charger power / %s, common practice", phrase.Number(lit(generator.ChargerPF))), "%s/%s",
		out["charger_input_w"], lit(generator.ChargerPF))
	allVA := l.figure("generator_running_va", phrase.Of("Apparent power of loads and chargers"), "VA",
		phrase.Of("both together"), "%s+%s", loadsVA, chargersVA)
	allW := l.figure("generator_running_w", phrase.Of("Power of loads and chargers"), "W", phrase.Of("both together"),
		"%s+%s", loadsW, out["charger_input_w"])
	// Of VA and W the tighter one counts, and what the loads alone break before it.
	yes := func(name string, label phrase.Phrase, how phrase.Phrase, formula string, args ...any) ref {
		row := l.line(m.say(label), "", m.say(how))
		out[name] = l.calc(row, colValue, live, asGiven, "IF("+formula+",1,0)", args...)
		return out[name]
	}
	flag := phrase.Of("1: yes, 0: no")
	aloneVA := yes("generator_alone_va", phrase.Of("The loads alone are too much, %s", "VA"), flag, "%s>%s*(1+1E-9)",
		loadsVA, va)
	aloneW := yes("generator_alone_w", phrase.Of("The loads alone are too much, %s", "W"), flag, "%s>%s*(1+1E-9)",
		loadsW, w)
	yes("generator_by_w", phrase.Of("Watts are compared, not VA"), flag,
		"OR(%[1]s>%[2]s,AND(%[1]s=%[2]s,%[3]s*%[4]s>%[5]s*%[6]s*(1+1E-12)))", aloneW, aloneVA, allW, va, allVA, w)
	pick := phrase.Of("W or VA, as above")
	l.figure("generator_demand", phrase.Of("Held against the rating"), "", pick, "IF(%s=1,%s,%s)",
		out["generator_by_w"], allW, allVA)
	l.figure("generator_limit", phrase.Of("Generator, derated"), "", pick, "IF(%s=1,%s,%s)", out["generator_by_w"],
		w, va)
	l.figure("generator_input_a", phrase.Of("Current through the inverter per phase"), "A",
		phrase.Of("loads and chargers over phases and volts"), "%s/%d/%s", allVA, n, in["site_v"])

	t := m.startsAt()
	if len(t.starts) == 0 {
		return nil
	}
	l.part(phrase.Of("Starting"))
	var alone []string
	for _, r := range t.starts {
		load := func(col int) ref { return m.loads.at(r.row, col) }
		times := "1"
		if n > 1 { // on one phase it takes that phase's share
			times = fmt.Sprintf("IF(MAX(%s)>0.999,%d,1)", m.loads.span(r.row, loadShares, r.row, loadShares+n-1), n)
		}
		alone = append(alone, fmt.Sprintf("%s*%s*%s", load(loadInUse), load(loadStartVA), times))
	}
	start := l.figure("generator_start_va", phrase.Of("Largest start alone"), "VA",
		phrase.Of("on one phase times the number of phases"), "MAX(%s)", strings.Join(alone, ","))
	dip := l.figure("generator_dip_share", phrase.Of("Voltage dip at the largest start"), "",
		phrase.Of("reactance * start / (reactance * start + derated rating)"),
		"IF(%[2]s<1,IF(%[3]s>0,1,0),%[1]s*%[3]s/(%[1]s*%[3]s+%[2]s))",
		in["generator_reactance"], va, start)
	surges := m.starts.span(t.list, startVA, t.list+len(t.starts)-1, startVA)
	if n > 1 {
		surges += "," + m.starts.span(t.list, startPhaseVA, t.list+len(t.starts)-1, startPhaseVA)
	}
	most := l.figure("generator_surge_va", phrase.Of("Largest start on top of what runs"), "VA",
		phrase.Of("evenly on all phases"), "MAX(%s)", surges)
	total := l.figure("generator_total_va", phrase.Of("Largest start with running load and chargers"), "VA",
		phrase.Of("chargers as far as the loads leave room for them"),
		"IF(%[1]s>0,%[1]s+MIN(%[2]s,MAX(0,%[3]s-%[4]s)),0)",
		most, chargersVA, va, loadsVA)
	short := l.figure("generator_short_va", phrase.Of("Short-time rating of the generator"), "VA",
		phrase.Of("generator_start * derated rating"), "%s*%s", in["generator_times"], va)
	yes("generator_by_total", phrase.Of("The short-time rating is compared, not the dip"), flag,
		"AND(%[1]s<=%[2]s*(1+1E-9),OR(%[3]s>%[4]s*(1+1E-9),%[3]s*%[2]s>%[1]s*%[4]s*(1+1E-12)))", dip,
		in["generator_most_dip"], total, short)
	return nil
}

// generatorComparisons are those of the generator.
func (m *maker) generatorComparisons(add func(string, comparison)) {
	in, out := m.in, m.out
	if m.generator == nil || m.p.Generator == nil {
		return
	}
	pick := func(flag, a, b any) string { return fmt.Sprintf("IF(%s=1,%s,%s)", flag, a, b) }
	fail, caution, pass := quote(m.pass[0]), quote(m.pass[1]), quote(m.pass[2])
	byW := out["generator_by_w"]
	demand, limit := string(out["generator_demand"]), string(out["generator_limit"])
	add("generator-running", comparison{demand: demand, limit: limit,
		unit: pick(byW, quote(m.r.UnitName("W")), quote(m.r.UnitName("VA"))),
		status: fmt.Sprintf("IF(%s+%s>0,%s,IF(%s>%s*%s*(1+1E-9),%s,%s))", out["generator_alone_va"],
			out["generator_alone_w"], fail, demand, in["generator_share"], limit, caution, pass)})
	a, most := out["generator_input_a"], out["limit_ac_input_a"]
	add("generator-input", comparison{demand: string(a), limit: string(most),
		status: fmt.Sprintf("IF(%[1]s=0,%[4]s,IF(%[2]s<=%[1]s*(1+1E-9),%[6]s,IF(%[3]s/%[7]d/%[8]s<=%[1]s,%[4]s,%[5]s)))",
			most, a, out["generator_loads_va"], caution, fail, pass, m.p.Site.Phases, in["site_v"])})
	if by := m.p.ByID()["generator-start"]; !by.HasLimit || out["generator_by_total"] == "" {
		return
	}
	byTotal, dip := out["generator_by_total"], out["generator_dip_share"]
	add("generator-start", comparison{
		demand: pick(byTotal, out["generator_total_va"], fmt.Sprintf("100*%s", dip)),
		limit:  pick(byTotal, out["generator_short_va"], fmt.Sprintf("100*%s", in["generator_most_dip"])),
		unit:   pick(byTotal, quote(m.r.UnitName("VA")), quote(m.r.UnitName("%"))),
		status: fmt.Sprintf("IF(%s=1,IF(%s>%s*(1+1E-9),%s,%s),IF(%s>%s*(1+1E-9),%s,%s))", byTotal,
			out["generator_total_va"], out["generator_short_va"], caution, pass, dip, in["generator_most_dip"], fail,
			pass)})
}
