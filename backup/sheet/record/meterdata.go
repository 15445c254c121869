package record

import (
	"fmt"
	"io"
	"time"

	"outlast/backup"
	"outlast/backup/measured/meter"
	"outlast/backup/study"
)

// A MeasuredUse is what a meter file tells of a home.
type MeasuredUse struct {
	*meter.Use
	File  string
	Data  *meter.Data
	Clock meter.Clock
}

// Moment writes a moment on the clock of the house.
func (m MeasuredUse) Moment(unixS int64) string {
	return time.Unix(unixS+m.Clock.OffsetS(unixS), 0).UTC().Format("2006-01-02 15:04")
}

// MeterCSV writes the mean power by month and hour.
func MeterCSV(w io.Writer, m MeasuredUse, spreadsheet bool) error {
	rows := [][]string{{"month", "hour", "mean_w", "whole_days"}}
	for i, x := range m.Months {
		for h, v := range x.HourW {
			if x.Days > 0 {
				rows = append(rows, []string{fmt.Sprint(i + 1), fmt.Sprint(h), Decimal(v), fmt.Sprint(x.Days)})
			}
		}
	}
	return WriteRows(w, rows, spreadsheet)
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

// MeterSchema is the JSON Schema of what [MeterJSON] writes.
func MeterSchema(id, title string) map[string]any { return schemaOf[meterJSON](id, title) }

// MeterJSON writes all that a meter file tells.
func MeterJSON(w io.Writer, m MeasuredUse) error {
	out := meterJSON{File: m.File, Kind: string(m.Data.Format), From: m.Moment(m.FromS), To: m.Moment(m.ToS),
		StepS: m.StepS, WholeDays: m.WholeDays(),
		TakenWh: m.TakenWh, FedWh: m.FedWh, BaseW: m.BaseW, GapH: float64(m.GapS) / 3600,
		EstimatedH: float64(m.EstimatedS) / 3600,
		Demand:     []meterDemandJSON{}, Months: []meterMonthJSON{}, Outages: []meterOutageJSON{},
		Weeks: map[string]weekRec{}, LeftOut: append([]string{}, m.Data.LeftOut...)}
	for _, d := range m.Demand {
		out.Demand = append(out.Demand, meterDemandJSON{Seconds: d.Seconds, W: d.W, At: m.Moment(d.AtS)})
	}
	for i, x := range m.Months {
		if x.Days > 0 {
			out.Months = append(out.Months, meterMonthJSON{Month: i + 1, Days: x.Days, WhPerDay: x.WhPerDay,
				HighestW: x.HighestW, HourlyW: x.HourW[:]})
		}
	}
	for _, s := range m.Outages {
		out.Outages = append(out.Outages, meterOutageJSON{m.Moment(s.FromS), m.Moment(s.ToS)})
	}
	for name, week := range map[string]*meter.Week{"october_to_march": m.OctoberToMarch,
		"april_to_september": m.AprilToSeptember} {
		if week != nil {
			d := m.Days[week.FirstDay]
			out.Weeks[name] = weekRec{fmt.Sprintf("%d-%02d-%02d", d.Year, d.Month, d.Day), week.WhPerDay}
		}
	}
	return encodeJSON(w, out)
}

type measuredJSON struct {
	WholeHome bool                `json:"whole_home" doc:"every circuit is on the backup board"`
	BaseW     float64             `json:"base_w" doc:"measured: the median over days of the hour with the least power"`
	ListBaseW float64             `json:"list_base_w" doc:"the least hour of the list in the plan's month"`
	UnlistedW float64             `json:"unlisted_base_w" doc:"measured base load that is on no list"`
	Months    []measuredMonthJSON `json:"months"`
	Rule      *measuredRuleJSON   `json:"measured_demand" doc:"NEC 220.87; null: the meter file does not allow it"`
	Autonomy  *measuredHoursJSON  `json:"autonomy" doc:"with the measured days in the place of the list; null: not the whole home, or no such days"`
}

type measuredMonthJSON struct {
	Month           int     `json:"month"`
	Days            int     `json:"whole_days"`
	MeasuredWh      float64 `json:"measured_wh_per_day"`
	ListWh          float64 `json:"list_wh_per_day"`
	NightMeasuredWh float64 `json:"night_measured_wh"`
	NightListWh     float64 `json:"night_list_wh"`
	NightExplained  float64 `json:"night_explained" doc:"share of the night's measured energy that the list accounts for, hour by hour"`
}

type measuredRuleJSON struct {
	HighestW float64 `json:"highest_w"`
	Seconds  int     `json:"seconds" doc:"over which it is a mean"`
	DemandW  float64 `json:"demand_w" doc:"125 % of it"`
	LimitW   float64 `json:"limit_w" doc:"continuous rating of the inverters, derated"`
	Holds    bool    `json:"holds"`
}

type measuredHoursJSON struct {
	LeastH  float64 `json:"least_h"`
	MedianH float64 `json:"median_h"`
	Starts  int     `json:"starts"`
	AtLeast bool    `json:"at_least" doc:"some starts last longer than the measured days"`
}

// measuredToJSON is nil for a home without a meter file.
func measuredToJSON(p *backup.Plan) (*measuredJSON, error) {
	m, ok, err := study.OfMeter(p.Shared.Ctx, p.Facts)
	if err != nil || !ok {
		return nil, err
	}
	out := &measuredJSON{WholeHome: m.WholeHome, BaseW: m.Use.BaseW, ListBaseW: m.ListBaseW, UnlistedW: m.UnlistedW,
		Months: []measuredMonthJSON{}}
	for _, x := range m.Months {
		out.Months = append(out.Months, measuredMonthJSON{Month: x.Month, Days: x.Days, MeasuredWh: x.MeasuredWh,
			ListWh: x.ListWh, NightMeasuredWh: x.NightMeasuredWh,
			NightListWh: x.NightListWh, NightExplained: x.NightExplained})
	}
	if r := m.Rule; r != nil {
		out.Rule = &measuredRuleJSON{HighestW: r.HighestW, Seconds: r.Seconds, DemandW: r.DemandW, LimitW: r.LimitW,
			Holds: r.Holds}
	}
	if a := m.Autonomy; a != nil {
		out.Autonomy = &measuredHoursJSON{LeastH: a.LeastH, MedianH: a.MedianH, Starts: a.Starts, AtLeast: a.AtLeast}
	}
	return out, nil
}
