// Package measured writes what was measured of a home: its use by its meter, and what a log tells of its bank.
package measured

import (
	"bytes"
	"fmt"
	"io"
	"math"
	"strconv"

	"outlast/backup/capacity"
	"outlast/backup/facts"
	"outlast/backup/phrase"
	"outlast/backup/sheet"
	"outlast/backup/sheet/grid"
	"outlast/backup/sheet/record"
	"outlast/backup/sheet/speech"
	"outlast/backup/wording"
)

// WriteCapacity writes what a log tells of a bank: text, markdown or json.
func WriteCapacity(w io.Writer, r record.CapacityTest, o sheet.Options) error {
	switch o.Format {
	case "", "text":
		return sheet.WriteSections(w, sheet.SpeakFor(r.Plan), capacityHeadline(r), capacitySections(r), o)
	case "markdown":
		s, err := sheet.SpeakFor(r.Plan)(o)
		if err != nil {
			return err
		}
		var b bytes.Buffer
		grid.MarkdownPage(&b, phrase.Name(r.Plan.Site.Name), capacityHeadline(r), capacitySections(r), s)
		_, err = w.Write(append(bytes.TrimRight(b.Bytes(), "\n"), '\n'))
		return err
	case "json":
		return record.CapacityJSON(w, r)
	}
	return fmt.Errorf("format %q, want one of text, markdown, json", o.Format)
}

func sharePercent(share float64) phrase.Measure { return grid.Measured(grid.Whole(100*share), "%") }

// down is a share of what is at least there, rounded down to whole per cent.
func down(share float64) float64 { return math.Floor(100*share+1e-9) / 100 }

func downPercent(share float64) phrase.Measure { return sharePercent(down(share)) }

func capacityHeadline(r record.CapacityTest) []phrase.Phrase {
	p := r.Plan
	name := phrase.Name(p.Site.Name)
	need, planned := wording.Amount(p.Site.Outage.AutonomyH, "h"), sharePercent(p.Site.Practice.EndOfLife)
	best, told := r.Best()
	if !told {
		why := phrase.Of("the log does not tell how much it has: it shows neither where the bank was empty nor a " +
			"voltage or charge that falls far enough")
		switch {
		case r.Disagree:
			why = phrase.Of("the log does not tell how much it has: its ways of finding it contradict each other")
		case len(r.Estimates) > 0:
			why = phrase.Of("the log does not tell how much it has: the best way leaves ± %s, and ± %s is the most that is taken",
				sharePercent(2*r.Estimates[0].Sigma), sharePercent(2*capacity.ToldSigma))
		}
		return []phrase.Phrase{
			phrase.Of("%s: the bank has at least %s of its capacity; %s", name, downPercent(r.AtLeast), why),
			phrase.Of("With that it supplies the backup board for at least %s, from the least favourable start; "+
				"the plan counts with %s and promises %s; required: %s.",
				grid.Measured(grid.Tenth(grid.RoundDown(r.AtLeastH, 1)), "h"), planned,
				hoursLasting(r.PlannedH, r.PlannedCapped),
				need)}
	}
	lines := []phrase.Phrase{phrase.Of("%s: the bank has %s of its capacity left (%s to %s)", name,
		sharePercent(best.Share),
		downPercent(best.Low()), grid.Measured(grid.Whole(math.Ceil(100*best.High()-1e-9)), "%"))}
	text := phrase.Of("With that it supplies the backup board for %s, from the least favourable start; "+
		"the plan counts with %s and promises %s; required: %s.",
		hoursLasting(r.MeasuredH, r.MeasuredCapped), planned, hoursLasting(r.PlannedH, r.PlannedCapped), need)
	if holds, _ := r.Holds(); !holds {
		text = text.Then(phrase.Of(" The plan does not hold any more."))
	}
	lines = append(lines, text)
	if advice := capacityAdvice(r, best); !advice.Empty() {
		lines = append(lines, advice)
	}
	if r.Written > 0 {
		lines = append(lines, phrase.Of("Written into the site file: end_of_life = %s (the file as it was: %s).",
			phrase.Name(strconv.FormatFloat(r.Written, 'g', -1, 64)), phrase.Name(speech.Clean(r.Copy))))
	}
	return lines
}

func hoursLasting(h float64, capped bool) phrase.Phrase {
	text := grid.Measure(grid.Lasting(h, false), "h")
	if capped {
		return phrase.Of("%s or more", text)
	}
	return text
}

// capacityAdvice is what practice makes of a capacity. Below 80 % replace, below 90 % test every year: stationary
// lead-acid practice after IEEE 450 and IEEE 1188 (a maker's manual and a training text, SEEN; the standards' own text
// was not available). Lithium 70 %: where makers' cycle ratings stop, project's reference, own.
func capacityAdvice(r record.CapacityTest, best capacity.Estimate) phrase.Phrase {
	lead := r.Plan.Bank.Unit.Chemistry.LeadAcid()
	switch {
	case best.Low() > capacity.MoreThanRated:
		return phrase.Of("No bank has so much more than its rated capacity: the units of the log, " +
			"the battery of the site file or what fed the home beside the bank may be other than they seem.")
	case !lead && best.Share < capacity.ReplaceLithium:
		return phrase.Of("Below %s makers of lithium batteries count them as worn out: plan the replacement.",
			sharePercent(capacity.ReplaceLithium))
	case lead && best.Share < capacity.Replace:
		return phrase.Of("Below %s a lead-acid bank is replaced, by the practice of IEEE 450 and IEEE 1188: it fails soon after.",
			sharePercent(capacity.Replace))
	case best.Share < capacity.Replace:
		return phrase.Of("Below %s plan with what was measured, and test it again every year.",
			sharePercent(capacity.Replace))
	case best.Share < capacity.TestYearly:
		return phrase.Of("Below %s test it again every year.", sharePercent(capacity.TestYearly))
	}
	return phrase.Phrase{}
}

// wayWords say how a capacity was found.
var wayWords = map[capacity.Way]phrase.Phrase{
	capacity.WayEmptied: phrase.Of("Emptied"),
	capacity.WayRested:  phrase.Of("Open-circuit voltage"),
	capacity.WaySoC:     phrase.Of("Logged state of charge"),
	capacity.WayVolts:   phrase.Of("Voltage under load"),
}

// causeWords say what makes it uncertain.
var causeWords = map[capacity.Cause]phrase.Phrase{
	capacity.CauseEnergy:      phrase.Of("Energy drawn from the bank"),
	capacity.CauseBegin:       phrase.Of("State of charge at the beginning"),
	capacity.CauseEnd:         phrase.Of("State of charge at the end"),
	capacity.CauseTemperature: phrase.Of("Temperature of the bank"),
	capacity.CauseRate:        phrase.Of("Model of the discharge rate"),
	capacity.CauseVolts:       phrase.Of("Voltage of model and meter"),
	capacity.CauseNoise:       phrase.Of("Scatter of the voltage"),
}

func capacitySections(r record.CapacityTest) []grid.Section {
	out := []grid.Section{capacityLog(r)}
	if len(r.Estimates)+len(r.Silent) > 0 {
		out = append(out, capacityWays(r))
	}
	if len(r.Estimates) > 0 {
		out = append(out, capacityBudget(r))
	}
	return append(out, capacityPromises(r), capacityBeside(r),
		sheet.SafetySection(facts.MedicalTexts(r.Plan.Site, r.Plan.Site.Loads)...))
}

func capacityLog(r record.CapacityTest) grid.Section {
	begin := sharePercent(r.StartSoC)
	row := func(what, value phrase.Phrase) []phrase.Phrase { return []phrase.Phrase{what, value} }
	s := grid.Section{Title: phrase.Of("The log"), Table: grid.Table{Head: []phrase.Phrase{{}, phrase.Of("Value")},
		Right: []bool{false, false},
		Rows: [][]phrase.Phrase{
			row(phrase.Of("File"), phrase.Name(speech.Clean(r.LogFile))),
			row(phrase.Of("From"), phrase.Name(r.Log.Moment(0))),
			row(phrase.Of("Length"), grid.Measure(grid.Tenth(r.Hours), "h")),
			row(phrase.Of("Drawn from the bank"), grid.Measure(grid.Whole(r.DrawnWh), "Wh")),
			row(phrase.Of("State of charge at the beginning"), phrase.Symbols("%s", begin)),
			row(phrase.Of("Temperature of the bank"), phrase.Symbols("%s", wording.Amount(r.TempC, "C"))),
		}}}
	add := func(what, value phrase.Phrase) { s.Table.Rows = append(s.Table.Rows, row(what, value)) }
	if r.ChargedWh >= 1 {
		add(phrase.Of("Charged on the way"), grid.Measure(grid.Whole(r.ChargedWh), "Wh"))
	}
	if r.Log.Missing > 0 {
		add(phrase.Of("Rows without power or current"), grid.Num(strconv.Itoa(r.Log.Missing)))
	}
	if r.Log.Back > 0 {
		add(phrase.Of("Times that the clock went back"), grid.Num(strconv.Itoa(r.Log.Back)))
	}
	if r.GapH >= 0.05 {
		add(phrase.Of("Without a reading"), grid.Measure(grid.Tenth(r.GapH), "h"))
	}
	if r.EndV == r.EndV {
		add(phrase.Of("Voltage under load at the end"), grid.Measure(grid.Tenth(r.EndV), "V"))
	}
	if r.CutH >= 0.05 {
		add(phrase.Of("Left out at the end: charged again"), grid.Measure(grid.Tenth(r.CutH), "h"))
	}
	s.Lines = append(s.Lines, powerSource(r.Log.HasBankW, r.Log.HasAmps, r.Log.HasVolts))
	if r.StartAssumed {
		s.Lines = append(s.Lines,
			phrase.Of("The log does not tell the charge at its beginning: the bank is taken to be full. "+
				"If it was not, it has more capacity than is told here; --start-soc says what it had."))
	}
	if r.TempAssumed {
		s.Lines = append(s.Lines,
			phrase.Of("The log does not tell the temperature of the bank: %s are taken. If it was colder, "+
				"it has more capacity than is told here; --temperature says what it was.",
				wording.Amount(r.TempC, "C")))
	}
	if r.Log.HasSoC {
		s.Lines = append(s.Lines,
			phrase.Of("The state of charge is that of the monitor: it counts with the capacity that was entered in "+
				"it or that it has learned."))
	}
	return s
}

func powerSource(bankW, amps, volts bool) phrase.Phrase {
	switch {
	case bankW:
		return phrase.Of("Energy is counted by the power of the bank.")
	case amps && volts:
		return phrase.Of("Energy is counted by current and voltage of the bank.")
	case amps:
		return phrase.Of("Energy is counted by the current of the bank at its nominal voltage.")
	}
	return phrase.Of("Energy is counted by the power of the loads and the losses of the inverter, as its data sheet has them.")
}

func capacityWays(r record.CapacityTest) grid.Section {
	s := grid.Section{Title: phrase.Of("Capacity, by each way of finding it"),
		Table: grid.Table{Head: []phrase.Phrase{phrase.Of("Found by"), phrase.Of("Charge from %%"), phrase.Of("To %%"),
			phrase.Of("Capacity %%"), phrase.Of("± %%")}, Right: []bool{false, true, true, true, true}}}
	for _, e := range r.Estimates {
		s.Table.Rows = append(s.Table.Rows, []phrase.Phrase{wayWords[e.Way], grid.Num(grid.Whole(100 * e.FromZ)),
			grid.Num(grid.Whole(100 * e.ToZ)), grid.Num(grid.Tenth(100 * e.Share)),
			grid.Num(grid.Tenth(200 * e.Sigma * e.Share))})
	}
	for _, way := range r.Silent {
		s.Table.Rows = append(s.Table.Rows, []phrase.Phrase{wayWords[way], phrase.Name("-"), phrase.Name("-"),
			phrase.Of("not known"), phrase.Name("-")})
	}
	if len(r.Estimates) > 0 {
		s.Lines = append(s.Lines, phrase.Of("Shares of the rated capacity at 25 °C; ± is two standard deviations: "+
			"95 of 100 such tests lie within. The least uncertain way counts."))
	}
	if len(r.Silent) > 0 {
		s.Lines = append(s.Lines, phrase.Of("Not known from this log: the way leaves the capacity as uncertain as it is "+
			"without it, anywhere from what the bank has given to what a new one has."))
	}
	if r.Disagree {
		s.Lines = append(s.Lines,
			phrase.Of("Two ways differ by more than their uncertainties allow: "+
				"something in the log or in the site file is wrong. Look at the units of its columns, "+
				"at the battery of the site file and at the setting of the monitor."))
	}
	return s
}

func capacityBudget(r record.CapacityTest) grid.Section {
	e := r.Estimates[0]
	s := grid.Section{Title: phrase.Of("How the uncertainty is formed"),
		Table: grid.Table{Head: []phrase.Phrase{phrase.Of("Cause"), phrase.Of("%% of the capacity")},
			Right: []bool{false, true}},
		Lines: []phrase.Phrase{phrase.Of("One standard deviation each, of the first way. " +
			"The whole is the root of the sum of their squares; the range is twice that.")}}
	for _, part := range e.Budget {
		if part.Sigma >= 0.0005 {
			s.Table.Rows = append(s.Table.Rows, []phrase.Phrase{causeWords[part.Cause],
				grid.Num(grid.Tenth(100 * part.Sigma))})
		}
	}
	s.Table.Rows = append(s.Table.Rows, []phrase.Phrase{phrase.Of("Together"), grid.Num(grid.Tenth(100 * e.Sigma))})
	return s
}

func capacityPromises(r record.CapacityTest) grid.Section {
	s := grid.Section{Title: phrase.Of("What the plan gives with it"),
		Table: grid.Table{Head: []phrase.Phrase{phrase.Of("Bank"), phrase.Of("Capacity %%"), phrase.Of("Lasts h")},
			Right: []bool{false, true, true}},
		Lines: []phrase.Phrase{phrase.Of("Hours of the bank alone, from the least favourable start of the day; required: %s.",
			wording.Amount(r.Plan.Site.Outage.AutonomyH, "h"))}}
	add := func(what phrase.Phrase, share, hours float64, capped bool) {
		s.Table.Rows = append(s.Table.Rows, []phrase.Phrase{what, grid.Num(grid.Whole(100 * share)),
			grid.Num(grid.Lasting(hours, capped))})
	}
	add(phrase.Of("New"), 1, r.NewH, r.NewCapped)
	add(phrase.Of("As planned"), r.Plan.Site.Practice.EndOfLife, r.PlannedH, r.PlannedCapped)
	if best, told := r.Best(); told {
		add(phrase.Of("As measured"), best.Share, r.MeasuredH, r.MeasuredCapped)
		add(phrase.Of("Low end of what was measured"), down(best.Low()), r.LowH, false)
	} else {
		add(phrase.Of("What it has at least"), down(r.AtLeast), r.AtLeastH, false)
	}
	return s
}

// capacityBeside sets the log beside the simulation.
func capacityBeside(r record.CapacityTest) grid.Section {
	s := grid.Section{Title: phrase.Of("Log and simulation"),
		Table: grid.Table{Head: []phrase.Phrase{phrase.Of("After h"), phrase.Symbols("W"), phrase.Of("Logged"),
			phrase.Of("As planned"), phrase.Of("As measured")}, Right: []bool{true, true, true, true, true}}}
	x := r.Parting
	if x == nil {
		s.Table.Head, s.Table.Right = []phrase.Phrase{phrase.Of("After h"), phrase.Symbols("W"),
			phrase.Of("As planned")},
			[]bool{true, true, true}
		s.Lines = append(s.Lines,
			phrase.Of("State of charge in %%. The log tells neither a voltage that can be compared nor a state of charge."))
	}
	cell := func(v float64, volts bool) phrase.Phrase {
		switch {
		case v != v:
			return phrase.Name("-")
		case volts:
			return grid.Num(grid.Tenth(v))
		}
		return grid.Num(grid.Whole(100 * v))
	}
	_, told := r.Best()
	if x != nil && !told {
		s.Table.Head, s.Table.Right = s.Table.Head[:4], s.Table.Right[:4]
	}
	for _, row := range r.Rows {
		cells := []phrase.Phrase{grid.Num(grid.Tenth(row.AtH)), grid.Num(grid.Whole(row.W))}
		switch {
		case x == nil:
			cells = append(cells, cell(row.PlannedSoC, false))
		case x.ByVolts:
			cells = append(cells, cell(row.Volts, true), cell(row.PlannedV, true), cell(row.MeasuredV, true))
		default:
			cells = append(cells, cell(row.SoC, false), cell(row.PlannedSoC, false), cell(row.MeasuredSoC, false))
		}
		s.Table.Rows = append(s.Table.Rows, cells[:len(s.Table.Head)])
	}
	if x == nil {
		return s
	}
	limit, largest := phrase.Of("%s of the capacity", sharePercent(x.Limit)), phrase.Of("%s of the capacity",
		grid.Measured(withSign(100*x.Largest, 0), "%"))
	what := phrase.Of("State of charge in %%, at the measured power.")
	if x.ByVolts {
		what = phrase.Of("Voltage of the bank in V, at the measured power.")
		limit, largest = grid.Measure(grid.Tenth(x.Limit), "V"), grid.Measure(withSign(x.Largest, 1), "V")
	}
	s.Lines = append(s.Lines, what)
	if x.Apart {
		s.Lines = append(s.Lines,
			phrase.Of("Log and plan part after %s (%s): from there on the log is more than %s below.",
				grid.Measured(grid.Tenth(x.AtH), "h"), phrase.Name(r.Log.Moment(3600*x.AtH)), limit))
	} else {
		s.Lines = append(s.Lines, phrase.Of("The log is never more than %s below the plan.", limit))
	}
	s.Lines = append(s.Lines, phrase.Of("Largest difference of the log to the plan: %s after %s.", largest,
		grid.Measured(grid.Tenth(x.LargeH), "h")))
	return s
}

func withSign(v float64, decimals int) string {
	text := speech.Unsigned(strconv.FormatFloat(v, 'f', decimals, 64))
	if v > 0 && text != "0" && text != "0.0" {
		return "+" + text
	}
	return text
}
