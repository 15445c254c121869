package sheet

import (
	"fmt"
	"io"

	"outlast/backup/facts"
	"outlast/backup/measured/meter"
	"outlast/backup/phrase"
	"outlast/backup/sheet/record"
	"outlast/backup/sheet/speech"
	"outlast/backup/site"
	"outlast/backup/verdict"
)

// WriteMeter writes what a meter file tells: text, csv (mean power by month and hour) or json.
func WriteMeter(w io.Writer, m record.MeasuredUse, o Options) error {
	switch o.Format {
	case "", "text":
		return writeSections(w, speakOf(&site.Site{}), meterHeadline(m), meterSections(m), o)
	case "csv":
		return record.MeterCSV(w, m, o.Spreadsheet)
	case "json":
		return record.MeterJSON(w, m)
	}
	return fmt.Errorf("format %q, want one of text, csv, json", o.Format)
}

func meterHeadline(m record.MeasuredUse) []phrase.Phrase {
	days := float64(m.ToS-m.FromS) / 86400
	lines := []phrase.Phrase{phrase.Of("%s: %s taken from the grid in %s, %s a day", phrase.Name(speech.Clean(m.File)),
		measured(tenth(m.TakenWh/1000), "kWh"),
		phrase.Count(int(days+0.5), "%d day", "%d days"), measured(tenth(verdict.Share(m.TakenWh, days)/1000), "kWh"))}
	if m.WholeDays() > 0 {
		lines = append(lines, phrase.Of("Base load %s, the median of the least hour of each day.",
			measured(whole(m.BaseW), "W")))
	}
	if m.NetOfSolar() {
		lines = append(lines,
			phrase.Of("%s were fed into the grid: by day the home uses more than the meter shows. Do not size a bank from its daytime figures; the base load is that of the nights.",
				measured(tenth(m.FedWh/1000), "kWh")))
	}
	return lines
}

// directions are the words for the way that energy goes.
var directions = map[meter.Direction]phrase.Phrase{meter.FromGrid: phrase.Of("from the grid"),
	meter.ToGrid: phrase.Of("into the grid")}

func meterSections(m record.MeasuredUse) []section {
	out := []section{meterFile(m), highestDemand(m), meterMonths(m)}
	if m.OctoberToMarch != nil || m.AprilToSeptember != nil {
		out = append(out, hardestWeeks(m))
	}
	if len(m.Outages) > 0 {
		out = append(out, supplyFailures(m))
	}
	return append(out, section{title: phrase.Of("Cautions"), lines: facts.SafetyTexts(), list: true})
}

// meterFile is what the file holds, and what it lacks.
func meterFile(m record.MeasuredUse) section {
	step := phrase.Of("of different lengths")
	if m.StepS > 0 {
		step = measure(fmt.Sprint(float64(m.StepS)/60), "min")
	}
	file := section{title: phrase.Of("The file"), table: table{[]phrase.Phrase{{}, phrase.Of("Value")},
		[]bool{false, false}, [][]phrase.Phrase{
			{phrase.Of("Kind"), kindOf(m.Data.Format)},
			{phrase.Of("From"), phrase.Name(m.Moment(m.FromS))},
			{phrase.Of("To"), phrase.Name(m.Moment(m.ToS))},
			{phrase.Of("Readings"), step},
			{phrase.Of("Whole days"), phrase.Of("%d of %d", m.WholeDays(), len(m.Days))},
			{phrase.Of("Without a value"), measure(tenth(float64(m.GapS)/3600), "h")},
			{phrase.Of("Estimated"), measure(tenth(float64(m.EstimatedS)/3600), "h")},
		}}}
	for _, c := range m.Data.Channels {
		file.table.rows = append(file.table.rows,
			[]phrase.Phrase{phrase.Of("Channel %s", phrase.Name(speech.Clean(c.Name))), directions[c.Direction]})
	}
	for _, c := range m.Data.LeftOut {
		file.table.rows = append(file.table.rows, []phrase.Phrase{phrase.Of("Left out"), phrase.Name(speech.Clean(c))})
	}
	for i, g := range m.Gaps {
		if i == mostSpans {
			file.lines = append(file.lines, phrase.Count(len(m.Gaps)-i, "And %d more gap.", "And %d more gaps."))
			break
		}
		file.lines = append(file.lines, phrase.Of("No value from %s to %s.", m.Moment(g.FromS), m.Moment(g.ToS)))
	}
	return file
}

func highestDemand(m record.MeasuredUse) section {
	demand := section{title: phrase.Of("Highest demand"),
		table: table{[]phrase.Phrase{phrase.Of("Mean of min"), phrase.Symbols("W"), phrase.Of("At")},
			[]bool{true, true, false}, nil}}
	for _, d := range m.Demand {
		demand.table.rows = append(demand.table.rows, []phrase.Phrase{num(fmt.Sprint(float64(d.Seconds) / 60)),
			num(whole(d.W)), phrase.Name(m.Moment(d.AtS))})
	}
	demand.lines = []phrase.Phrase{phrase.Of("A meter shows nothing of starts, and the highest minute may be twice the highest hour: for these the list of loads is needed.")}
	return demand
}

func meterMonths(m record.MeasuredUse) section {
	months := section{title: phrase.Of("Months"),
		table: table{[]phrase.Phrase{phrase.Of("Month"), phrase.Of("Days"), phrase.Of("Wh a day"), phrase.Of("Night W"),
			phrase.Of("Day W"),
			phrase.Of("Highest hour W")}, []bool{false, true, true, true, true, true}, nil}}
	for i, x := range m.Months {
		if x.Days > 0 {
			months.table.rows = append(months.table.rows, []phrase.Phrase{record.MonthShort[i],
				num(whole(float64(x.Days))), num(whole(x.WhPerDay)),
				num(whole(mean(x.HourW[:meter.NightEndH]))),
				num(whole(mean(x.HourW[meter.NightEndH:meter.NightStartH]))), num(whole(x.HighestW))})
		}
	}
	months.lines = []phrase.Phrase{phrase.Of("Night is 0:00 to 5:00, day 5:00 to 22:00. Means of the days that are known from end to end.")}
	return months
}

// hardestWeeks are those of either half of the year that take most.
func hardestWeeks(m record.MeasuredUse) section {
	weeks := section{title: phrase.Of("Weeks that take most"),
		table: table{[]phrase.Phrase{phrase.Of("Months"), phrase.Of("From"), phrase.Of("Wh a day")},
			[]bool{false, false, true}, nil}}
	for _, w := range []struct {
		of   phrase.Phrase
		week *meter.Week
	}{{phrase.Of("October to March"), m.OctoberToMarch}, {phrase.Of("April to September"), m.AprilToSeptember}} {
		if w.week != nil {
			d := m.Days[w.week.FirstDay]
			weeks.table.rows = append(weeks.table.rows, []phrase.Phrase{w.of,
				phrase.Name(fmt.Sprintf("%d-%02d-%02d", d.Year, d.Month, d.Day)), num(whole(w.week.WhPerDay))})
		}
	}
	return weeks
}

func supplyFailures(m record.MeasuredUse) section {
	s := section{title: phrase.Of("Failures of the supply that the meter has seen"),
		table: table{[]phrase.Phrase{phrase.Of("From"), phrase.Of("To"), phrase.Symbols("h")},
			[]bool{false, false, true}, nil}}
	for _, x := range m.Outages {
		s.table.rows = append(s.table.rows, []phrase.Phrase{phrase.Name(m.Moment(x.FromS)),
			phrase.Name(m.Moment(x.ToS)), num(tenth(float64(x.ToS-x.FromS) / 3600))})
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
