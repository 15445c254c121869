package workbook

import (
	"fmt"
	"math"

	"outlast/backup/phrase"
)

// Columns of the steps of an autonomy.
const (
	stepDay = iota + 1
	stepFrom
	stepMinute
	stepHours
	stepW
	stepA
	stepStore // inside: Wh of lithium, Ah of lead-acid
	stepSoC
	stepLowest
	stepByCharge // hours until the lowest
	stepLasts
	stepCarried
	stepEnded
	// Of lead-acid: the charge in reach, and the closed form of the two wells.
	stepReach
	stepGone
	stepDrain
	stepReachAfter
	stepDry
)

// mostSteps bounds the steps that are laid out.
const mostSteps = 1200

// halvings is how often the moment is halved at which the charge in reach is used up: to a billionth of a step.
const halvings = 40

// fillAutonomy follows the bank step by step, at the end of its life and new.
func (m *maker) fillAutonomy() error {
	m.followBank(m.old, phrase.Of("Autonomy"), string(m.in["end_of_life"]), m.p.Bank.AutonomyH, "")
	m.followBank(m.fresh, phrase.Of("Autonomy, new bank"), "1", m.p.Bank.AutonomyNewH, "_new")
	return nil
}

// followBank lays out the state of the bank through an outage: each step of the day's course, day after day from
// midnight on, until the demand is not supplied in full any more.
func (m *maker) followBank(s *sheet, name phrase.Phrase, endOfLife string, foundH float64, suffix string) {
	l := m.list(s, name, phrase.Phrase{})
	l.wide = 8
	s.width(12, colHow)
	in, out := m.in, m.out
	lead := m.p.Site.Unit.Chemistry.LeadAcid()
	l.part(phrase.Of("The model of the bank"))
	v := out["bank_v"]
	capacity := l.figure("model_ah"+suffix, phrase.Of("Capacity, in the cold, at its age and at the rate"), "Ah",
		phrase.Of("Ah * k_temperature * age * k_rate where that is above 1"), "%s*%s*%s*MAX(1,%s)", out["installed_ah"],
		out["k_temperature"],
		endOfLife, out["k_rate_installed"])
	mostA := l.figure("model_a"+suffix, phrase.Of("Highest discharge current"), "A",
		phrase.Of("of inverters and bank, whichever is less"),
		`IF(AND(COUNT(%[1]s)=1,%[2]s<%[1]s),0,MIN(IF(%[3]s>0,%[3]s*%[4]s,1E+99),IF(%[5]s>0,%[5]s*%[6]s,1E+99)))`,
		in["discharge_min_c"],
		in["coldest_c"], in["max_discharge_a"], in["inverters"], in["unit_max_discharge_a"], in["strings"])
	var full, floor, start, c, k, oneWay ref
	if lead {
		fit := m.p.Details.Kinetic
		why := phrase.Of("the two-well kinetic model, fitted to the discharges of the unit")
		c = l.program("well_share"+suffix, phrase.Of("Share of the charge in reach"), fit.AvailableShare, "", why)
		k = l.program("well_rate"+suffix, phrase.Of("Rate constant of the wells, per hour"), fit.RatePerH, "", why)
		unit := l.program("well_full"+suffix, phrase.Of("Charge of a full unit, in both wells"), fit.FullAh, "Ah", why)
		full = l.figure("wells_ah"+suffix, phrase.Of("Charge of the full bank, in both wells"), "Ah",
			phrase.Of("strings * charge of a unit * k_temperature * age"), "MAX(%s*%s*%s*%s,%s)", unit, in["strings"],
			out["k_temperature"], endOfLife, capacity)
		floor = l.figure("wells_floor"+suffix, phrase.Of("Charge at which discharge stops"), "Ah",
			phrase.Of("full - depth * capacity"),
			"%s-%s*%s", full, m.depth(), capacity)
		start = l.figure("wells_start"+suffix, phrase.Of("Charge when the grid fails"), "Ah",
			phrase.Of("full - (1 - reserve) * capacity"), "%s-(1-%s)*%s", full, in["reserve"], capacity)
	} else {
		oneWay = l.figure("one_way"+suffix, phrase.Of("Efficiency one way"), "", phrase.Of("root of the round trip"),
			"SQRT(%s)", in["round_trip"])
		full = l.figure("inside_wh"+suffix, phrase.Of("Energy inside when full"), "Wh",
			phrase.Of("capacity * V_nominal / efficiency one way"), "%s*%s/%s", capacity, v, oneWay)
		floor = l.figure("inside_floor"+suffix, phrase.Of("Energy at which discharge stops"), "Wh",
			phrase.Of("(1 - depth) * full"),
			"(1-%s)*%s", m.depth(), full)
		start = l.figure("inside_start"+suffix, phrase.Of("Energy when the grid fails"), "Wh",
			phrase.Of("reserve * full"),
			"%s*%s", in["reserve"], full)
	}
	l.part(phrase.Of("Autonomy"))
	resultRow := s.row
	s.row += 5

	// Room is left for a bank of twice the size, or for half of the loads.
	days := int(math.Ceil((float64(int(m.p.Bank.StartMin))/60+max(2*foundH, 1.5*m.p.Site.Outage.AutonomyH))/24)) + 1
	days = min(days, max(2, mostSteps/m.intervals))
	first := s.row + 3
	if lead {
		first += halvings + 4
	}
	rows := days * m.intervals
	m.stepHeads(s, first-1, lead)
	below := m.belowDay()
	for i := range rows {
		row, col := first+i, firstInterval+i%m.intervals
		day := float64(i / m.intervals * 1440)
		at := func(col int) ref { return s.at(row, col) }
		s.num(row, stepDay, worked, float64(i/m.intervals+1), asGiven)
		s.calc(row, stepMinute, live, asCent, "MAX(%s,%s+%s)", out["start_min"], lit(day), m.day.at(dayFromMin, col))
		s.calc(row, stepFrom, live, asClock, "MOD(%s,1440)/1440", at(stepMinute))
		s.calc(row, stepHours, live, asMille, "MAX(0,%s+%s-%s)/60", lit(day), m.day.at(dayToMin, col), at(stepMinute))
		s.calc(row, stepW, live, asTenth, "%s*(1+%s)", m.day.at(below.dcW, col), in["growth"])
		s.calc(row, stepA, live, asCent, "%s/%s", at(stepW), v)
		over, ended := "0", "0"
		if i == 0 {
			s.calc(row, stepStore, live, asTenth, "%s", start)
		} else {
			over, ended = string(s.at(row-1, stepCarried)), string(s.at(row-1, stepEnded))
		}
		lowest := string(floor)
		soc := fmt.Sprintf("%s/%s", at(stepStore), full)
		if lead {
			soc = fmt.Sprintf("(%s-(%s-%s))/%s", at(stepStore), full, capacity, capacity)
		}
		if m.p.Sags() {
			lowest = m.cutoffStore(at(stepA), floor, full, capacity, lead)
		}
		s.calc(row, stepSoC, live, asMille, "%s", soc)
		s.calc(row, stepLowest, live, asTenth, "%s", lowest)
		if lead {
			m.leadStep(s, row, i, first, v, mostA, c, k, ended)
		} else {
			if i > 0 {
				s.calc(row, stepStore, live, asTenth, "%s-%s*%s/%s", s.at(row-1, stepStore), s.at(row-1, stepW),
					s.at(row-1, stepLasts), oneWay)
			}
			s.calc(row, stepByCharge, live, asMille,
				"IF(%[1]s<=0,%[2]s,IF(%[3]s>%[4]s*(1+1E-9),0,MAX(0,MIN(%[2]s,(%[5]s-%[6]s)*%[7]s/%[1]s))))",
				at(stepW), at(stepHours), at(stepA), mostA, at(stepStore), at(stepLowest), oneWay)
			s.calc(row, stepLasts, live, asMille, "IF(%s=1,0,%s)", ended, at(stepByCharge))
		}
		s.calc(row, stepCarried, live, asMille, "%s+%s", over, at(stepLasts))
		dry := "0"
		if lead {
			dry = string(at(stepDry))
		}
		s.calc(row, stepEnded, live, asGiven, "IF(OR(%s=1,%s=1,%s<%s-1E-9),1,0)", ended, dry, at(stepLasts),
			at(stepHours))
	}
	last := first + rows - 1
	hours := string(s.at(last, stepCarried))
	var endSoC string
	if lead {
		hours, endSoC = m.dryUp(s, first-halvings-6, first, rows, c, k, capacity, full)
	} else {
		i := fmt.Sprintf("MIN(%d,1+COUNTIF(%s,0))", rows, s.span(first, stepEnded, last, stepEnded))
		pick := func(col int) string { return fmt.Sprintf("INDEX(%s,%s)", s.span(first, col, last, col), i) }
		endSoC = fmt.Sprintf("(%s-%s*%s/%s)/%s", pick(stepStore), pick(stepW), pick(stepLasts), oneWay, full)
	}
	s.row = resultRow
	l.figure("autonomy"+suffix, phrase.Of("Autonomy"), "h",
		phrase.Of("hours that are carried, from the start to the moment when the demand is not supplied in full"), "%s",
		hours)
	s.cells[[2]int{s.row - 1, colValue}] = cell{kind: result, formula: hours, format: asCent}
	row := l.line(m.say(phrase.Of("The steps reach to its end")), "", m.say(phrase.Of("no: it lasts at least so long")))
	m.out["autonomy_ends"+suffix] = s.calcWords(row, colValue, live, "IF(%s=1,%s,%s)", s.at(last, stepEnded),
		quote(m.say(phrase.Of("yes"))),
		quote(m.say(phrase.Of("no"))))
	l.figure("end_soc"+suffix, phrase.Of("Charge left then"), "", phrase.Of("of the capacity above"), "%s", endSoC)
	if suffix == "" {
		least, _, err := m.p.LeastAutonomy()
		if err == nil {
			l.program("least_autonomy", phrase.Of("Autonomy from the least favourable start"), least, "h",
				phrase.Of("the shortest over all starts of the day; give another start to follow it here"))
		}
	}
}

// depth is the depth down to which the model of the bank gives: that of the plan, or next to none where not even a full
// bank stays above the cut-off.
func (m *maker) depth() string {
	if !m.p.Sags() {
		return string(m.out["depth"])
	}
	return fmt.Sprintf("IF(%s=0,IF(%s=1,%[3]s,0.01),%[3]s)", m.out["volts_full_above"],
		m.volts.at(voltPlanned, voltAbove), m.out["depth"])
}

// cutoffStore is the formula for what is inside when the cut-off ends the discharge at a current: by the greatest
// currents above the cut-off, straight between hundredths of the charge.
func (m *maker) cutoffStore(a, floor, full, capacity ref, lead bool) string {
	limits := m.hundredths(voltLimit)
	n := fmt.Sprintf(`COUNTIF(%s,"<"&%s)`, limits, a)
	soc := fmt.Sprintf("IF(%[1]s=0,0,IF(%[1]s>=101,2,(%[1]s-1+(%[2]s-INDEX(%[3]s,MAX(1,%[1]s)))/(INDEX(%[3]s,MIN(101,%[1]s+1))-INDEX(%[3]s,MAX(1,%[1]s))))/100))",
		n, a, limits)
	if lead {
		return fmt.Sprintf("MAX(%s,%s-%s+%s*%s)", floor, full, capacity, capacity, soc)
	}
	return fmt.Sprintf("MAX(%s,%s*%s)", floor, full, soc)
}

// leadStep is a step of the two wells, in closed form.
func (m *maker) leadStep(s *sheet, row, i, first int, v, mostA, c, k ref, ended string) {
	at := func(col int) ref { return s.at(row, col) }
	before := func(col int) ref { return s.at(row-1, col) }
	if i == 0 {
		s.calc(row, stepReach, live, asCent, "%s*%s", c, at(stepStore))
	} else {
		s.calc(row, stepStore, live, asTenth, "%s-%s*%s", before(stepStore), before(stepA), before(stepLasts))
		s.calc(row, stepReach, live, asCent, "IF(%s=1,%s,MAX(0,%s))", ended, before(stepReach), before(stepReachAfter))
	}
	s.calc(row, stepByCharge, live, asMille,
		"IF(%[1]s<=0,%[2]s,IF(%[1]s>%[3]s*(1+1E-9),0,MAX(0,MIN(%[2]s,(%[4]s-%[5]s)/%[1]s))))", at(stepA), at(stepHours),
		mostA, at(stepStore), at(stepLowest))
	s.calc(row, stepLasts, live, asMille, "IF(%s=1,0,%s)", ended, at(stepByCharge))
	s.calc(row, stepGone, live, asFine, "1-EXP(-%s*%s)", k, at(stepByCharge))
	s.calc(row, stepDrain, live, asFine, "(%[1]s+%[2]s*(%[3]s*%[4]s-%[1]s))/%[3]s", at(stepGone), c, k,
		at(stepByCharge))
	s.calc(row, stepReachAfter, live, asCent, "(1-%[1]s)*%[2]s+%[3]s*%[1]s*%[4]s-%[5]s*%[6]s", at(stepGone),
		at(stepReach), c, at(stepStore),
		at(stepDrain), at(stepA))
	// Less than nothing in reach: the step ends before, at the moment that is worked out above.
	s.calc(row, stepDry, live, asGiven, "IF(AND(%s<>1,%s<-1E-9),1,0)", ended, at(stepReachAfter))
}

// dryUp halves its way to the moment at which the charge in reach is used up, in the step in which that happens, and
// gives the formulas for the hours that are carried and for the charge left.
func (m *maker) dryUp(s *sheet, row, first, rows int, c, k, capacity, full ref) (hours, endSoC string) {
	last := first + rows - 1
	column := func(col int) string { return s.span(first, col, last, col) }
	at := fmt.Sprintf("MIN(%d,1+COUNTIF(%s,0))", rows, column(stepEnded)) // the step in which it ends
	pick := func(col int) string { return fmt.Sprintf("INDEX(%s,%s)", column(col), at) }
	for i, h := range []phrase.Phrase{phrase.Of("The step in which the autonomy ends"),
		phrase.Of("In reach at its begin"),
		phrase.Of("Charge at its begin"), phrase.Of("Current"), phrase.Of("Hours of it by the charge"),
		phrase.Of("Used up within it (1: yes, 0: no)"), phrase.Of("Carried before it, h")} {
		s.put(row, i+1, cell{kind: head, text: m.say(h), wrap: true})
	}
	s.calc(row+1, 1, live, asGiven, "%s", at)
	for i, col := range []int{stepReach, stepStore, stepA, stepByCharge, stepDry} {
		s.calc(row+1, 2+i, live, asFine, "%s", pick(col))
	}
	s.calc(row+1, 7, live, asFine, "%s-%s", pick(stepCarried), pick(stepLasts))
	for i, h := range []phrase.Phrase{phrase.Of("Halving"), phrase.Of("Some is left after, h"),
		phrase.Of("None is left after, h"),
		phrase.Of("In reach in the middle")} {
		s.put(row+2, i+1, cell{kind: head, text: m.say(h), wrap: true})
	}
	for i := range halvings {
		r := row + 3 + i
		s.num(r, 1, worked, float64(i+1), asGiven)
		if i == 0 {
			s.num(r, 2, live, 0, asFine)
			s.calc(r, 3, live, asFine, "%s", s.at(row+1, 5))
		} else {
			middle := fmt.Sprintf("(%s+%s)/2", s.at(r-1, 2), s.at(r-1, 3))
			s.calc(r, 2, live, asFine, "IF(%s>0,%s,%s)", s.at(r-1, 4), middle, s.at(r-1, 2))
			s.calc(r, 3, live, asFine, "IF(%s>0,%s,%s)", s.at(r-1, 4), s.at(r-1, 3), middle)
		}
		h := fmt.Sprintf("((%s+%s)/2)", s.at(r, 2), s.at(r, 3))
		gone := fmt.Sprintf("(1-EXP(-%s*%s))", k, h)
		s.calc(r, 4, live, asFine, "(1-%[1]s)*%[2]s+%[3]s*%[1]s*%[4]s-(%[1]s+%[3]s*(%[5]s*%[6]s-%[1]s))/%[5]s*%[7]s",
			gone, s.at(row+1, 2), c,
			s.at(row+1, 3), k, h, s.at(row+1, 4))
	}
	end := s.at(row+2+halvings, 3)
	carries := fmt.Sprintf("IF(%s=1,%s,%s)", s.at(row+1, 6), end, pick(stepLasts))
	return fmt.Sprintf("%s+%s", s.at(row+1, 7), carries),
		fmt.Sprintf("(%s-%s*%s-(%s-%s))/%s", s.at(row+1, 3), s.at(row+1, 4), carries, full, capacity, capacity)
}

func (m *maker) stepHeads(s *sheet, row int, lead bool) {
	store := ", Wh"
	if lead {
		store = ", Ah"
	}
	heads := map[int]string{stepDay: m.say(phrase.Of("Day")), stepFrom: m.r.Say("col.from"),
		stepMinute: m.say(phrase.Of("Minute")), stepHours: m.say(phrase.Of("Step")) + ", h",
		stepW: m.say(phrase.Of("From the bank")) + ", W", stepA: m.say(phrase.Of("From the bank")) + ", A",
		stepStore: m.say(phrase.Of("Inside at its begin")) + store, stepSoC: m.say(phrase.Of("State of charge")),
		stepLowest:   m.say(phrase.Of("Inside at the lowest")) + store,
		stepByCharge: m.say(phrase.Of("Until the lowest")) + ", h",
		stepLasts:    m.say(phrase.Of("Carried of it")) + ", h",
		stepCarried:  m.say(phrase.Of("Carried in all")) + ", h", stepEnded: m.say(phrase.Of("Ended (1: yes, 0: no)"))}
	if lead {
		heads[stepReach] = m.say(phrase.Of("In reach at its begin")) + ", Ah"
		heads[stepGone] = m.say(phrase.Of("1 - exp(-rate * hours)"))
		heads[stepDrain] = m.say(phrase.Of("In reach for each A")) + ", h"
		heads[stepReachAfter] = m.say(phrase.Of("In reach at its end")) + ", Ah"
		heads[stepDry] = m.say(phrase.Of("Used up within it (1: yes, 0: no)"))
	}
	for col, words := range heads {
		s.put(row, col, cell{kind: head, text: words, wrap: true, middle: true})
		if col > colHow {
			s.width(12, col)
		}
	}
	s.frozen = [2]int{0, 0}
}
