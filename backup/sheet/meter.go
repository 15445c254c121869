package sheet

import (
	"fmt"
	"io"

	"outlast/backup/facts"
	"outlast/backup/measured/meter"
	"outlast/backup/phrase"
	"outlast/backup/sheet/record"
	"outlast/backup/sheet/speech"
	"outlast/backup/verdict"
)

// WriteMeter writes what a meter file tells: text, csv (mean power by month and hour) or json.
func WriteMeter(w io.Writer, m record.MeasuredUse, o Options) error {
	switch o.Format {
	case "", "text":
		return writeSections(w, meterHeadline(m), meterSections(m), o)
	case "csv":
		return record.MeterCSV(w, m, o.Spreadsheet)
	case "json":
		return record.MeterJSON(w, m)
	}
	return fmt.Errorf("format %q, want one of text, csv, json", o.Format)
}

func meterHeadline(m record.MeasuredUse) []string {
	days := float64(m.ToS-m.FromS) / 86400
	lines := []string{fmt.Sprintf("%s: %s kWh taken from the grid in %s days, %s kWh a day", speech.Clean(m.File), tenth(m.TakenWh/1000), tenth(days),
		tenth(verdict.Share(m.TakenWh, days)/1000))}
	if m.WholeDays() > 0 {
		lines = append(lines, fmt.Sprintf("Base load %s W, the median of the least hour of each day.", whole(m.BaseW)))
	}
	if m.NetOfSolar() {
		lines = append(lines, fmt.Sprintf("%s kWh were fed into the grid: by day the home uses more than the meter shows. Do not size a bank from its daytime figures.", tenth(m.FedWh/1000)))
	}
	return lines
}

// meterStep is the length of the readings.
func meterStep(m record.MeasuredUse) string {
	if m.StepS == 0 {
		return "of different lengths"
	}
	return fmt.Sprintf("%g min", float64(m.StepS)/60)
}

func meterSections(m record.MeasuredUse) []section {
	file := section{title: "The file", table: table{[]string{"", "Value"}, []bool{false, false}, [][]string{
		{"Kind", string(m.Data.Format)},
		{"From", m.Moment(m.FromS)},
		{"To", m.Moment(m.ToS)},
		{"Readings", meterStep(m)},
		{"Whole days", fmt.Sprintf("%d of %d", m.WholeDays(), len(m.Days))},
		{"Without a value", tenth(float64(m.GapS)/3600) + " h"},
		{"Estimated", tenth(float64(m.EstimatedS)/3600) + " h"},
	}}}
	for _, c := range m.Data.Channels {
		file.table.rows = append(file.table.rows, []string{"Channel " + speech.Clean(c.Name), string(c.Direction)})
	}
	for _, c := range m.Data.LeftOut {
		file.table.rows = append(file.table.rows, []string{"Left out", speech.Clean(c)})
	}
	for i, g := range m.Gaps {
		if i == mostSpans {
			file.lines = append(file.lines, fmt.Sprintf("and %d more", len(m.Gaps)-i))
			break
		}
		file.lines = append(file.lines, fmt.Sprintf("No value from %s to %s.", m.Moment(g.FromS), m.Moment(g.ToS)))
	}

	demand := section{title: "Highest demand", table: table{[]string{"Mean of min", "W", "At"}, []bool{true, true, false}, nil}}
	for _, d := range m.Demand {
		demand.table.rows = append(demand.table.rows, []string{fmt.Sprintf("%g", float64(d.Seconds)/60), whole(d.W), m.Moment(d.AtS)})
	}
	demand.lines = append(demand.lines, "A meter shows nothing of starts, and the highest minute may be twice the highest hour: starts and the peak are matters of the list of loads.")

	months := section{title: "Months", table: table{[]string{"Month", "Days", "Wh a day", "Night W", "Day W", "Highest hour W"}, []bool{false, true, true, true, true, true}, nil}}
	for i, x := range m.Months {
		if x.Days > 0 {
			months.table.rows = append(months.table.rows, []string{record.MonthShort[i], fmt.Sprint(x.Days), whole(x.WhPerDay), whole(mean(x.HourW[:meter.NightEndH])), whole(mean(x.HourW[meter.NightEndH:meter.NightStartH])), whole(x.HighestW)})
		}
	}
	months.lines = append(months.lines, "Night is 0:00 to 5:00, day 5:00 to 22:00. Means of the days that are known from end to end.")

	out := []section{file, demand, months}
	weeks := section{title: "Weeks that take most", table: table{[]string{"Months", "From", "Wh a day"}, []bool{false, false, true}, nil}}
	for _, w := range []struct {
		of   string
		week *meter.Week
	}{{"October to March", m.OctoberToMarch}, {"April to September", m.AprilToSeptember}} {
		if w.week != nil {
			d := m.Days[w.week.FirstDay]
			weeks.table.rows = append(weeks.table.rows, []string{w.of, fmt.Sprintf("%d-%02d-%02d", d.Year, d.Month, d.Day), whole(w.week.WhPerDay)})
		}
	}
	if len(weeks.table.rows) > 0 {
		out = append(out, weeks)
	}
	if len(m.Outages) > 0 {
		s := section{title: "Failures of the supply that the meter has seen", table: table{[]string{"From", "To", "h"}, []bool{false, false, true}, nil}}
		for _, x := range m.Outages {
			s.table.rows = append(s.table.rows, []string{m.Moment(x.FromS), m.Moment(x.ToS), tenth(float64(x.ToS-x.FromS) / 3600)})
		}
		out = append(out, s)
	}
	return append(out, section{title: "Cautions", lines: phrase.Strings(facts.SafetyTexts()), list: true})
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
