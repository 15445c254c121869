package workbook

import (
	"fmt"
	"math"

	"outlast/backup/phrase"
	"outlast/backup/sheet/workbook/book"
	"outlast/backup/sheet/workbook/course"
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
func (m *maker) fillAutonomy() {
	m.followBank(m.old, phrase.Of("Autonomy"), string(m.In["end_of_life"]), m.Plan.Bank.AutonomyH, "")
	m.followBank(m.fresh, phrase.Of("Autonomy, new bank"), "1", m.Plan.Bank.AutonomyNewH, "_new")
}

// followBank lays out the state of the bank through an outage: each step of the day's course, day after day from
// midnight on, until the demand is not supplied in full any more.
func (m *maker) followBank(s *book.Sheet, name phrase.Phrase, endOfLife string, foundH float64, suffix string) {
	l := m.List(s, name)
	l.Wide = 8
	s.Width(12, book.ColHow)
	b := m.layModel(l, endOfLife, suffix)
	l.Part(phrase.Of("Autonomy"))
	resultRow := s.Row
	s.Row += 6

	// Room is left for a bank of twice the size, or for half of the loads.
	days := int(math.Ceil((float64(int(m.Plan.Bank.StartMin))/60+max(2*foundH, 1.5*m.Plan.Site.Outage.AutonomyH))/24)) + 1
	days = min(days, max(2, mostSteps/m.Intervals))
	first := s.Row + 3
	if b.lead {
		first += halvings + 4
	}
	rows := days * m.Intervals
	m.stepHeads(s, first-1, b.lead)
	m.laySteps(s, first, rows, b)
	last := first + rows - 1
	hours := string(s.At(last, stepCarried))
	var endSoC string
	if b.lead {
		hours, endSoC = m.dryUp(s, first-halvings-6, first, rows, b)
	} else {
		i := fmt.Sprintf("MIN(%d,1+COUNTIF(%s,0))", rows, s.Span(first, stepEnded, last, stepEnded))
		pick := func(col int) string { return fmt.Sprintf("INDEX(%s,%s)", s.Span(first, col, last, col), i) }
		endSoC = fmt.Sprintf("(%s-%s*%s/%s)/%s", pick(stepStore), pick(stepW), pick(stepLasts), b.oneWay, b.full)
	}
	s.Row = resultRow
	l.Figure("autonomy"+suffix, phrase.Of("Autonomy"), "h",
		phrase.Of("hours that are carried, from the start to the moment when the demand is not supplied in full"), "%s",
		hours)
	s.Cells[[2]int{s.Row - 1, book.ColValue}] = book.Cell{Kind: book.Result, Formula: hours, Format: book.AsCent}
	row := l.Line(m.Prose(phrase.Of("The steps reach to its end")), "", m.Prose(phrase.Of("no: it lasts at least so long")))
	m.Out["autonomy_ends"+suffix] = s.CalcWords(row, book.ColValue, book.Live, "IF(%s=1,%s,%s)", s.At(last, stepEnded),
		book.Quote(m.Prose(phrase.Of("yes"))),
		book.Quote(m.Prose(phrase.Of("no"))))
	l.Figure("end_soc"+suffix, phrase.Of("Charge left then"), "", phrase.Of("of the capacity above"), "%s", endSoC)
	l.Figure("end_w"+suffix, phrase.Of("Power that is asked of the bank then"), "W", phrase.Of("of the step in which it ends"),
		"INDEX(%s,MIN(%d,1+COUNTIF(%s,0)))", s.Span(first, stepW, last, stepW), rows, s.Span(first, stepEnded, last, stepEnded))
	if suffix == "" {
		least, _, err := m.Plan.LeastAutonomy()
		if err == nil {
			l.Program("least_autonomy", phrase.Of("Autonomy from the least favourable start"), least, "h",
				phrase.Of("the shortest over all starts of the day; give another start to follow it here"))
		}
	}
}

// A bankModel is the cells of the model of a bank, on the sheet of an autonomy.
type bankModel struct {
	lead               bool
	capacity, mostA    book.Ref
	full, floor, start book.Ref // inside: Wh of lithium, Ah of lead-acid
	oneWay             book.Ref // of lithium
	share, rate        book.Ref // of lead-acid: the wells
}

// layModel works out what the bank has inside, how low it may get and what it gives at most.
func (m *maker) layModel(l *book.List, endOfLife, suffix string) bankModel {
	in, out := m.In, m.Out
	b := bankModel{lead: m.Plan.Site.Unit.Chemistry.LeadAcid()}
	l.Part(phrase.Of("The model of the bank"))
	b.capacity = l.Figure("model_ah"+suffix, phrase.Of("Capacity, in the cold, at its age and at the rate"), "Ah",
		phrase.Of("Ah * k_temperature * age * k_rate where that is above 1"), "%s*%s*%s*MAX(1,%s)", out["installed_ah"],
		out["k_temperature"],
		endOfLife, out["k_rate_installed"])
	b.mostA = l.Figure("model_a"+suffix, phrase.Of("Highest discharge current"), "A",
		phrase.Of("of inverters and bank, whichever is less"),
		`IF(AND(COUNT(%[1]s)=1,%[2]s<%[1]s),0,MIN(IF(%[3]s>0,%[3]s*%[4]s,1E+99),IF(%[5]s>0,%[5]s*%[6]s,1E+99)))`,
		in["discharge_min_c"],
		in["coldest_c"], in["max_discharge_a"], in["inverters"], in["unit_max_discharge_a"], in["strings"])
	if b.lead {
		fit := m.Plan.Details.Kinetic
		why := phrase.Of("the two-well kinetic model, fitted to the discharges of the unit")
		b.share = l.Program("well_share"+suffix, phrase.Of("Share of the charge in reach"), fit.AvailableShare, "", why)
		b.rate = l.Program("well_rate"+suffix, phrase.Of("Rate constant of the wells, per hour"), fit.RatePerH, "", why)
		unit := l.Program("well_full"+suffix, phrase.Of("Charge of a full unit, in both wells"), fit.FullAh, "Ah", why)
		b.full = l.Figure("wells_ah"+suffix, phrase.Of("Charge of the full bank, in both wells"), "Ah",
			phrase.Of("strings * charge of a unit * k_temperature * age"), "MAX(%s*%s*%s*%s,%s)", unit, in["strings"],
			out["k_temperature"], endOfLife, b.capacity)
		b.floor = l.Figure("wells_floor"+suffix, phrase.Of("Charge at which discharge stops"), "Ah",
			phrase.Of("full - depth * capacity"),
			"%s-%s*%s", b.full, m.depth(), b.capacity)
		b.start = l.Figure("wells_start"+suffix, phrase.Of("Charge when the grid fails"), "Ah",
			phrase.Of("full - (1 - reserve) * capacity"), "%s-(1-%s)*%s", b.full, in["reserve"], b.capacity)
	} else {
		b.oneWay = l.Figure("one_way"+suffix, phrase.Of("Efficiency one way"), "", phrase.Of("root of the round trip"),
			"SQRT(%s)", in["round_trip"])
		b.full = l.Figure("inside_wh"+suffix, phrase.Of("Energy inside when full"), "Wh",
			phrase.Of("capacity * V_nominal / efficiency one way"), "%s*%s/%s", b.capacity, out["bank_v"], b.oneWay)
		b.floor = l.Figure("inside_floor"+suffix, phrase.Of("Energy at which discharge stops"), "Wh",
			phrase.Of("(1 - depth) * full"),
			"(1-%s)*%s", m.depth(), b.full)
		b.start = l.Figure("inside_start"+suffix, phrase.Of("Energy when the grid fails"), "Wh",
			phrase.Of("reserve * full"),
			"%s*%s", in["reserve"], b.full)
	}
	return b
}

// laySteps lays out the steps of a discharge from a row on.
func (m *maker) laySteps(s *book.Sheet, first, rows int, b bankModel) {
	below := m.BelowDay()
	for i := range rows {
		row, col := first+i, course.FirstInterval+i%m.Intervals
		day := float64(i / m.Intervals * 1440)
		at := func(col int) book.Ref { return s.At(row, col) }
		s.Count(row, stepDay, i/m.Intervals+1)
		s.Calc(row, stepMinute, book.Live, book.AsCent, "MAX(%s,%s+%s)", m.Out["start_min"], book.Lit(day), m.Day.At(course.DayFromMin, col))
		s.Calc(row, stepFrom, book.Live, book.AsClock, "MOD(%s,1440)/1440", at(stepMinute))
		s.Calc(row, stepHours, book.Live, book.AsMille, "MAX(0,%s+%s-%s)/60", book.Lit(day), m.Day.At(course.DayToMin, col), at(stepMinute))
		s.Calc(row, stepW, book.Live, book.AsTenth, "%s*(1+%s)", m.Day.At(below.DcW, col), m.In["growth"])
		s.Calc(row, stepA, book.Live, book.AsCent, "%s/%s", at(stepW), m.Out["bank_v"])
		over, ended := "0", "0"
		if i == 0 {
			s.Calc(row, stepStore, book.Live, book.AsTenth, "%s", b.start)
		} else {
			over, ended = string(s.At(row-1, stepCarried)), string(s.At(row-1, stepEnded))
		}
		lowest := string(b.floor)
		soc := fmt.Sprintf("%s/%s", at(stepStore), b.full)
		if b.lead {
			soc = fmt.Sprintf("(%s-(%s-%s))/%s", at(stepStore), b.full, b.capacity, b.capacity)
		}
		if m.Plan.Sags() {
			lowest = m.cutoffStore(at(stepA), b)
		}
		s.Calc(row, stepSoC, book.Live, book.AsMille, "%s", soc)
		s.Calc(row, stepLowest, book.Live, book.AsTenth, "%s", lowest)
		if b.lead {
			m.leadStep(s, row, i, b, ended)
		} else {
			if i > 0 {
				s.Calc(row, stepStore, book.Live, book.AsTenth, "%s-%s*%s/%s", s.At(row-1, stepStore), s.At(row-1, stepW),
					s.At(row-1, stepLasts), b.oneWay)
			}
			s.Calc(row, stepByCharge, book.Live, book.AsMille,
				"IF(%[1]s<=0,%[2]s,IF(%[3]s>%[4]s*(1+1E-9),0,MAX(0,MIN(%[2]s,(%[5]s-%[6]s)*%[7]s/%[1]s))))",
				at(stepW), at(stepHours), at(stepA), b.mostA, at(stepStore), at(stepLowest), b.oneWay)
			s.Calc(row, stepLasts, book.Live, book.AsMille, "IF(%s=1,0,%s)", ended, at(stepByCharge))
		}
		s.Calc(row, stepCarried, book.Live, book.AsMille, "%s+%s", over, at(stepLasts))
		dry := "0"
		if b.lead {
			dry = string(at(stepDry))
		}
		s.Calc(row, stepEnded, book.Live, book.AsGiven, "IF(OR(%s=1,%s=1,%s<%s-1E-9),1,0)", ended, dry, at(stepLasts),
			at(stepHours))
	}
}

// depth is the depth down to which the model of the bank gives: that of the plan, or next to none where not even a full
// bank stays above the cut-off.
func (m *maker) depth() string {
	if !m.Plan.Sags() {
		return string(m.Out["depth"])
	}
	return fmt.Sprintf("IF(%s=0,IF(%s=1,%[3]s,0.01),%[3]s)", m.Out["volts_full_above"],
		m.volts.At(voltPlanned, voltAbove), m.Out["depth"])
}

// cutoffStore is the formula for what is inside when the cut-off ends the discharge at a current: by the greatest
// currents above the cut-off, straight between hundredths of the charge.
func (m *maker) cutoffStore(a book.Ref, b bankModel) string {
	limits := m.hundredths(voltLimit)
	n := fmt.Sprintf(`COUNTIF(%s,"<"&%s)`, limits, a)
	soc := fmt.Sprintf("IF(%[1]s=0,0,IF(%[1]s>=101,2,(%[1]s-1+(%[2]s-INDEX(%[3]s,MAX(1,%[1]s)))/(INDEX(%[3]s,MIN(101,%[1]s+1))-INDEX(%[3]s,MAX(1,%[1]s))))/100))",
		n, a, limits)
	if b.lead {
		return fmt.Sprintf("MAX(%s,%s-%s+%s*%s)", b.floor, b.full, b.capacity, b.capacity, soc)
	}
	return fmt.Sprintf("MAX(%s,%s*%s)", b.floor, b.full, soc)
}

// leadStep is a step of the two wells, in closed form.
func (m *maker) leadStep(s *book.Sheet, row, i int, b bankModel, ended string) {
	at := func(col int) book.Ref { return s.At(row, col) }
	before := func(col int) book.Ref { return s.At(row-1, col) }
	if i == 0 {
		s.Calc(row, stepReach, book.Live, book.AsCent, "%s*%s", b.share, at(stepStore))
	} else {
		s.Calc(row, stepStore, book.Live, book.AsTenth, "%s-%s*%s", before(stepStore), before(stepA), before(stepLasts))
		s.Calc(row, stepReach, book.Live, book.AsCent, "IF(%s=1,%s,MAX(0,%s))", ended, before(stepReach), before(stepReachAfter))
	}
	s.Calc(row, stepByCharge, book.Live, book.AsMille,
		"IF(%[1]s<=0,%[2]s,IF(%[1]s>%[3]s*(1+1E-9),0,MAX(0,MIN(%[2]s,(%[4]s-%[5]s)/%[1]s))))", at(stepA), at(stepHours),
		b.mostA, at(stepStore), at(stepLowest))
	s.Calc(row, stepLasts, book.Live, book.AsMille, "IF(%s=1,0,%s)", ended, at(stepByCharge))
	s.Calc(row, stepGone, book.Live, book.AsFine, "1-EXP(-%s*%s)", b.rate, at(stepByCharge))
	s.Calc(row, stepDrain, book.Live, book.AsFine, "(%[1]s+%[2]s*(%[3]s*%[4]s-%[1]s))/%[3]s", at(stepGone), b.share, b.rate,
		at(stepByCharge))
	s.Calc(row, stepReachAfter, book.Live, book.AsCent, "(1-%[1]s)*%[2]s+%[3]s*%[1]s*%[4]s-%[5]s*%[6]s", at(stepGone),
		at(stepReach), b.share, at(stepStore),
		at(stepDrain), at(stepA))
	// Less than nothing in reach: the step ends before, at the moment that is worked out above.
	s.Calc(row, stepDry, book.Live, book.AsGiven, "IF(AND(%s<>1,%s<-1E-9),1,0)", ended, at(stepReachAfter))
}

// dryUp halves its way to the moment at which the charge in reach is used up, in the step in which that happens, and
// gives the formulas for the hours that are carried and for the charge left.
func (m *maker) dryUp(s *book.Sheet, row, first, rows int, b bankModel) (hours, endSoC string) {
	last := first + rows - 1
	column := func(col int) string { return s.Span(first, col, last, col) }
	at := fmt.Sprintf("MIN(%d,1+COUNTIF(%s,0))", rows, column(stepEnded)) // the step in which it ends
	pick := func(col int) string { return fmt.Sprintf("INDEX(%s,%s)", column(col), at) }
	for i, h := range []phrase.Phrase{phrase.Of("The step in which the autonomy ends"),
		phrase.Of("In reach at its begin"),
		phrase.Of("Charge at its begin"), phrase.Of("Current"), phrase.Of("Hours of it by the charge"),
		phrase.Of("Used up within it (1: yes, 0: no)"), phrase.Of("Carried before it, h")} {
		s.Put(row, i+1, book.Cell{Kind: book.Head, Text: m.Prose(h), Wrap: true})
	}
	s.Calc(row+1, 1, book.Live, book.AsGiven, "%s", at)
	for i, col := range []int{stepReach, stepStore, stepA, stepByCharge, stepDry} {
		s.Calc(row+1, 2+i, book.Live, book.AsFine, "%s", pick(col))
	}
	s.Calc(row+1, 7, book.Live, book.AsFine, "%s-%s", pick(stepCarried), pick(stepLasts))
	for i, h := range []phrase.Phrase{phrase.Of("Halving"), phrase.Of("Some is left after, h"),
		phrase.Of("None is left after, h"),
		phrase.Of("In reach in the middle")} {
		s.Put(row+2, i+1, book.Cell{Kind: book.Head, Text: m.Prose(h), Wrap: true})
	}
	for i := range halvings {
		r := row + 3 + i
		s.Count(r, 1, i+1)
		if i == 0 {
			s.Num(r, 2, book.Live, 0, book.AsFine)
			s.Calc(r, 3, book.Live, book.AsFine, "%s", s.At(row+1, 5))
		} else {
			middle := fmt.Sprintf("(%s+%s)/2", s.At(r-1, 2), s.At(r-1, 3))
			s.Calc(r, 2, book.Live, book.AsFine, "IF(%s>0,%s,%s)", s.At(r-1, 4), middle, s.At(r-1, 2))
			s.Calc(r, 3, book.Live, book.AsFine, "IF(%s>0,%s,%s)", s.At(r-1, 4), s.At(r-1, 3), middle)
		}
		h := fmt.Sprintf("((%s+%s)/2)", s.At(r, 2), s.At(r, 3))
		gone := fmt.Sprintf("(1-EXP(-%s*%s))", b.rate, h)
		s.Calc(r, 4, book.Live, book.AsFine, "(1-%[1]s)*%[2]s+%[3]s*%[1]s*%[4]s-(%[1]s+%[3]s*(%[5]s*%[6]s-%[1]s))/%[5]s*%[7]s",
			gone, s.At(row+1, 2), b.share,
			s.At(row+1, 3), b.rate, h, s.At(row+1, 4))
	}
	end := s.At(row+2+halvings, 3)
	carries := fmt.Sprintf("IF(%s=1,%s,%s)", s.At(row+1, 6), end, pick(stepLasts))
	return fmt.Sprintf("%s+%s", s.At(row+1, 7), carries),
		fmt.Sprintf("(%s-%s*%s-(%s-%s))/%s", s.At(row+1, 3), s.At(row+1, 4), carries, b.full, b.capacity, b.capacity)
}

func (m *maker) stepHeads(s *book.Sheet, row int, lead bool) {
	store := ", Wh"
	if lead {
		store = ", Ah"
	}
	heads := map[int]string{stepDay: m.Prose(phrase.Of("Day")), stepFrom: m.Say("col.from"),
		stepMinute: m.Prose(phrase.Of("Minute")), stepHours: m.Prose(phrase.Of("Step")) + ", h",
		stepW: m.Prose(phrase.Of("From the bank")) + ", W", stepA: m.Prose(phrase.Of("From the bank")) + ", A",
		stepStore: m.Prose(phrase.Of("Inside at its begin")) + store, stepSoC: m.Prose(phrase.Of("State of charge")),
		stepLowest:   m.Prose(phrase.Of("Inside at the lowest")) + store,
		stepByCharge: m.Prose(phrase.Of("Until the lowest")) + ", h",
		stepLasts:    m.Prose(phrase.Of("Carried of it")) + ", h",
		stepCarried:  m.Prose(phrase.Of("Carried in all")) + ", h", stepEnded: m.Prose(phrase.Of("Ended (1: yes, 0: no)"))}
	if lead {
		heads[stepReach] = m.Prose(phrase.Of("In reach at its begin")) + ", Ah"
		heads[stepGone] = m.Prose(phrase.Of("1 - exp(-rate * hours)"))
		heads[stepDrain] = m.Prose(phrase.Of("In reach for each A")) + ", h"
		heads[stepReachAfter] = m.Prose(phrase.Of("In reach at its end")) + ", Ah"
		heads[stepDry] = m.Prose(phrase.Of("Used up within it (1: yes, 0: no)"))
	}
	for col, words := range heads {
		s.Put(row, col, book.Cell{Kind: book.Head, Text: words, Wrap: true, Middle: true})
		if col > book.ColHow {
			s.Width(12, col)
		}
	}
	s.Frozen = [2]int{0, 0}
}
