package sheet

import (
	"encoding/csv"
	"encoding/json"
	"fmt"
	"io"
	"time"

	"outlast/backup/facts"
	"outlast/backup/measured/meter"
	"outlast/backup/phrase"
	"outlast/backup/sheet/speech"
	"outlast/backup/verdict"
)

// A MeasuredUse is what a meter file tells of a home.
type MeasuredUse struct {
	*meter.Use
	File  string
	Data  *meter.Data
	Clock meter.Clock
}

// WriteMeter writes what a meter file tells: text, csv (mean power by month and hour) or json.
func WriteMeter(w io.Writer, m MeasuredUse, o Options) error {
	switch o.Format {
	case "", "text":
		return writeSections(w, m.headline(), m.sections(), o)
	case "csv":
		return m.csv(w)
	case "json":
		return m.json(w)
	}
	return fmt.Errorf("format %q, want one of text, csv, json", o.Format)
}

// moment writes a moment on the clock of the house.
func (m MeasuredUse) moment(unixS int64) string {
	return time.Unix(unixS+m.Clock.OffsetS(unixS), 0).UTC().Format("2006-01-02 15:04")
}

func (m MeasuredUse) headline() []string {
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

// stepText is the length of the readings.
func (m MeasuredUse) stepText() string {
	if m.StepS == 0 {
		return "of different lengths"
	}
	return fmt.Sprintf("%g min", float64(m.StepS)/60)
}

func (m MeasuredUse) sections() []section {
	file := section{title: "The file", table: table{[]string{"", "Value"}, []bool{false, false}, [][]string{
		{"Kind", string(m.Data.Format)},
		{"From", m.moment(m.FromS)},
		{"To", m.moment(m.ToS)},
		{"Readings", m.stepText()},
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
		file.lines = append(file.lines, fmt.Sprintf("No value from %s to %s.", m.moment(g.FromS), m.moment(g.ToS)))
	}

	demand := section{title: "Highest demand", table: table{[]string{"Mean of min", "W", "At"}, []bool{true, true, false}, nil}}
	for _, d := range m.Demand {
		demand.table.rows = append(demand.table.rows, []string{fmt.Sprintf("%g", float64(d.Seconds)/60), whole(d.W), m.moment(d.AtS)})
	}
	demand.lines = append(demand.lines, "A meter shows nothing of starts, and the highest minute may be twice the highest hour: starts and the peak are matters of the list of loads.")

	months := section{title: "Months", table: table{[]string{"Month", "Days", "Wh a day", "Night W", "Day W", "Highest hour W"}, []bool{false, true, true, true, true, true}, nil}}
	for i, x := range m.Months {
		if x.Days > 0 {
			months.table.rows = append(months.table.rows, []string{monthShort[i], fmt.Sprint(x.Days), whole(x.WhPerDay), whole(mean(x.HourW[:6])), whole(mean(x.HourW[6:])), whole(x.HighestW)})
		}
	}
	months.lines = append(months.lines, "Night is 0:00 to 6:00. Means of the days that are known from end to end.")

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
			s.table.rows = append(s.table.rows, []string{m.moment(x.FromS), m.moment(x.ToS), tenth(float64(x.ToS-x.FromS) / 3600)})
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

func (m MeasuredUse) csv(w io.Writer) error {
	out := csv.NewWriter(w)
	if err := out.Write([]string{"month", "hour", "mean_w", "whole_days"}); err != nil {
		return err
	}
	for i, x := range m.Months {
		for h, v := range x.HourW {
			if x.Days == 0 {
				continue
			}
			if err := out.Write([]string{fmt.Sprint(i + 1), fmt.Sprint(h), fmt.Sprint(v), fmt.Sprint(x.Days)}); err != nil {
				return err
			}
		}
	}
	out.Flush()
	return out.Error()
}

type meterJSON struct {
	File       string             `json:"file"`
	Kind       string             `json:"kind"`
	From       string             `json:"from"`
	To         string             `json:"to"`
	StepS      int                `json:"step_s"`
	WholeDays  int                `json:"whole_days"`
	TakenWh    float64            `json:"taken_wh"`
	FedWh      float64            `json:"fed_wh"`
	BaseW      float64            `json:"base_w"`
	GapH       float64            `json:"gap_h"`
	EstimatedH float64            `json:"estimated_h"`
	Demand     []meterDemandJSON  `json:"demand"`
	Months     []meterMonthJSON   `json:"months"`
	Outages    []meterOutageJSON  `json:"outages"`
	Weeks      map[string]weekRec `json:"weeks"`
	LeftOut    []string           `json:"left_out"`
}

type meterDemandJSON struct {
	Seconds int     `json:"seconds"`
	W       float64 `json:"w"`
	At      string  `json:"at"`
}

type meterMonthJSON struct {
	Month    int       `json:"month"`
	Days     int       `json:"whole_days"`
	WhPerDay float64   `json:"wh_per_day"`
	HighestW float64   `json:"highest_hour_w"`
	HourlyW  []float64 `json:"hourly_w"`
}

type meterOutageJSON struct {
	From string `json:"from"`
	To   string `json:"to"`
}

type weekRec struct {
	From     string  `json:"from"`
	WhPerDay float64 `json:"wh_per_day"`
}

func (m MeasuredUse) json(w io.Writer) error {
	out := meterJSON{File: m.File, Kind: string(m.Data.Format), From: m.moment(m.FromS), To: m.moment(m.ToS), StepS: m.StepS, WholeDays: m.WholeDays(),
		TakenWh: m.TakenWh, FedWh: m.FedWh, BaseW: m.BaseW, GapH: float64(m.GapS) / 3600, EstimatedH: float64(m.EstimatedS) / 3600,
		Demand: []meterDemandJSON{}, Months: []meterMonthJSON{}, Outages: []meterOutageJSON{}, Weeks: map[string]weekRec{}, LeftOut: append([]string{}, m.Data.LeftOut...)}
	for _, d := range m.Demand {
		out.Demand = append(out.Demand, meterDemandJSON{d.Seconds, d.W, m.moment(d.AtS)})
	}
	for i, x := range m.Months {
		if x.Days > 0 {
			out.Months = append(out.Months, meterMonthJSON{i + 1, x.Days, x.WhPerDay, x.HighestW, x.HourW[:]})
		}
	}
	for _, s := range m.Outages {
		out.Outages = append(out.Outages, meterOutageJSON{m.moment(s.FromS), m.moment(s.ToS)})
	}
	for name, week := range map[string]*meter.Week{"october_to_march": m.OctoberToMarch, "april_to_september": m.AprilToSeptember} {
		if week != nil {
			d := m.Days[week.FirstDay]
			out.Weeks[name] = weekRec{fmt.Sprintf("%d-%02d-%02d", d.Year, d.Month, d.Day), week.WhPerDay}
		}
	}
	e := json.NewEncoder(w)
	e.SetIndent("", "  ")
	return e.Encode(out)
}
