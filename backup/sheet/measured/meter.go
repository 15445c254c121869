package measured

import (
	"fmt"
	"io"

	"outlast/backup/facts"
	"outlast/backup/measured/meter"
	"outlast/backup/phrase"
	"outlast/backup/sheet"
	"outlast/backup/sheet/grid"
	"outlast/backup/sheet/record"
	"outlast/backup/sheet/speech"
	"outlast/backup/site"
	"outlast/backup/verdict"
)

// WriteMeter writes what a meter file tells: text, csv (mean power by month and hour) or json.
func WriteMeter(w io.Writer, m record.MeasuredUse, o sheet.Options) error {
	switch o.Format {
	case "", "text":
		return sheet.WriteSections(w, sheet.SpeakOf(&site.Site{}), meterHeadline(m), meterSections(m), o)
	case "csv":
		return record.MeterCSV(w, m, o.Spreadsheet)
	case "json":
		return record.MeterJSON(w, m)
	}
	return fmt.Errorf("format %q, want one of text, csv, json", o.Format)
}

func meterHeadline(m record.MeasuredUse) []phrase.Phrase {
	days := float64(m.ToS-m.FromS-m.GapS) / 86400 // that are known
	lines := []phrase.Phrase{phrase.Of("%s: %s taken from the grid in %s, %s a day", phrase.Name(speech.Clean(m.File)),
		grid.Measured(grid.Tenth(m.TakenWh/1000), "kWh"),
		phrase.Count(int(days+0.5), "%d day", "%d days"), grid.Measured(grid.Tenth(verdict.Share(m.TakenWh, days)/1000),
			"kWh"))}
	if m.WholeDays() > 0 {
		lines = append(lines, phrase.Of("Base load %s, the median of the least hour of each day.",
			grid.Measured(grid.Whole(m.BaseW), "W")))
	}
	if m.NetOfSolar() {
		lines = append(lines,
			phrase.Of("%s were fed into the grid: by day the home uses more than the meter shows. "+
				"Do not size a bank from its daytime figures; the base load is that of the nights.",
				grid.Measured(grid.Tenth(m.FedWh/1000), "kWh")))
	}
	return lines
}

// directions are the words for the way that energy goes.
var directions = map[meter.Direction]phrase.Phrase{meter.FromGrid: phrase.Of("from the grid"),
	meter.ToGrid: phrase.Of("into the grid")}

func meterSections(m record.MeasuredUse) []grid.Section {
	out := []grid.Section{meterFile(m), highestDemand(m), meterMonths(m)}
	if m.OctoberToMarch != nil || m.AprilToSeptember != nil {
		out = append(out, hardestWeeks(m))
	}
	if len(m.Outages) > 0 {
		out = append(out, supplyFailures(m))
	}
	return append(out, grid.Section{Title: phrase.Of("Cautions"), Lines: facts.SafetyTexts(), List: true})
}

// meterFile is what the file holds, and what it lacks.
func meterFile(m record.MeasuredUse) grid.Section {
	step := phrase.Of("of different lengths")
	if m.StepS > 0 {
		step = grid.Measure(fmt.Sprint(float64(m.StepS)/60), "min")
	}
	file := grid.Section{Title: phrase.Of("The file"), Table: grid.Table{Head: []phrase.Phrase{{}, phrase.Of("Value")},
		Right: []bool{false, false}, Rows: [][]phrase.Phrase{
			{phrase.Of("Kind"), kindOf(m.Data.Format)},
			{phrase.Of("From"), phrase.Name(m.Moment(m.FromS))},
			{phrase.Of("To"), phrase.Name(m.Moment(m.ToS))},
			{phrase.Of("Readings"), step},
			{phrase.Of("Whole days"), phrase.Of("%d of %d", m.WholeDays(), len(m.Days))},
			{phrase.Of("Without a value"), grid.Measure(grid.Tenth(float64(m.GapS)/3600), "h")},
			{phrase.Of("Estimated"), grid.Measure(grid.Tenth(float64(m.EstimatedS)/3600), "h")},
		}}}
	for _, c := range m.Data.Channels {
		file.Table.Rows = append(file.Table.Rows,
			[]phrase.Phrase{phrase.Of("Channel %s", phrase.Name(speech.Clean(c.Name))), directions[c.Direction]})
	}
	for _, c := range m.Data.LeftOut {
		file.Table.Rows = append(file.Table.Rows, []phrase.Phrase{phrase.Of("Left out"), phrase.Name(speech.Clean(c))})
	}
	for i, g := range m.Gaps {
		if i == mostSpans {
			file.Lines = append(file.Lines, phrase.Count(len(m.Gaps)-i, "And %d more gap.", "And %d more gaps."))
			break
		}
		file.Lines = append(file.Lines, phrase.Of("No value from %s to %s.", m.Moment(g.FromS), m.Moment(g.ToS)))
	}
	return file
}

func highestDemand(m record.MeasuredUse) grid.Section {
	demand := grid.Section{Title: phrase.Of("Highest demand"),
		Table: grid.Table{Head: []phrase.Phrase{phrase.Of("Mean of min"), phrase.Symbols("W"), phrase.Of("At")},
			Right: []bool{true, true, false}}}
	for _, d := range m.Demand {
		demand.Table.Rows = append(demand.Table.Rows, []phrase.Phrase{grid.Num(fmt.Sprint(float64(d.Seconds) / 60)),
			grid.Num(grid.Whole(d.W)), phrase.Name(m.Moment(d.AtS))})
	}
	demand.Lines = []phrase.Phrase{phrase.Of("A meter shows nothing of starts, " +
		"and the highest minute may be twice the highest hour: for these the list of loads is needed.")}
	return demand
}

func meterMonths(m record.MeasuredUse) grid.Section {
	months := grid.Section{Title: phrase.Of("Months"),
		Table: grid.Table{Head: []phrase.Phrase{phrase.Of("Month"), phrase.Of("Days"), phrase.Of("Wh a day"),
			phrase.Of("Night W"),
			phrase.Of("Day W"),
			phrase.Of("Highest hour W")}, Right: []bool{false, true, true, true, true, true}}}
	for i, x := range m.Months {
		if x.Days > 0 {
			months.Table.Rows = append(months.Table.Rows, []phrase.Phrase{record.MonthShort[i],
				grid.Num(grid.Whole(float64(x.Days))), grid.Num(grid.Whole(x.WhPerDay)),
				grid.Num(grid.Whole(mean(x.HourW[:meter.NightEndH]))),
				grid.Num(grid.Whole(mean(x.HourW[meter.NightEndH:meter.NightStartH]))),
				grid.Num(grid.Whole(x.HighestW))})
		}
	}
	months.Lines = []phrase.Phrase{phrase.Of("Night is 0:00 to 5:00, day 5:00 to 22:00. " +
		"Means of the days that are known from end to end.")}
	return months
}

// hardestWeeks are those of either half of the year that take most.
func hardestWeeks(m record.MeasuredUse) grid.Section {
	weeks := grid.Section{Title: phrase.Of("Weeks that take most"),
		Table: grid.Table{Head: []phrase.Phrase{phrase.Of("Months"), phrase.Of("From"), phrase.Of("Wh a day")},
			Right: []bool{false, false, true}}}
	for _, w := range []struct {
		of   phrase.Phrase
		week *meter.Week
	}{{phrase.Of("October to March"), m.OctoberToMarch}, {phrase.Of("April to September"), m.AprilToSeptember}} {
		if w.week != nil {
			d := m.Days[w.week.FirstDay]
			weeks.Table.Rows = append(weeks.Table.Rows, []phrase.Phrase{w.of,
				phrase.Name(fmt.Sprintf("%d-%02d-%02d", d.Year, d.Month, d.Day)),
				grid.Num(grid.Whole(w.week.WhPerDay))})
		}
	}
	return weeks
}

func supplyFailures(m record.MeasuredUse) grid.Section {
	s := grid.Section{Title: phrase.Of("Failures of the supply that the meter has seen"),
		Table: grid.Table{Head: []phrase.Phrase{phrase.Of("From"), phrase.Of("To"), phrase.Symbols("h")},
			Right: []bool{false, false, true}}}
	for _, x := range m.Outages {
		s.Table.Rows = append(s.Table.Rows, []phrase.Phrase{phrase.Name(m.Moment(x.FromS)),
			phrase.Name(m.Moment(x.ToS)), grid.Num(grid.Tenth(float64(x.ToS-x.FromS) / 3600))})
	}
	return s
}

func kindOf(f meter.Format) phrase.Phrase {
	if f == meter.Table {
		return phrase.Of("table")
	}
	return phrase.Name(string(f))
}

// mostSpans is how many gaps are told one by one.
const mostSpans = 5

func mean(list []float64) float64 {
	var sum float64
	for _, x := range list {
		sum += x
	}
	return sum / float64(len(list))
}
