package record

import (
	"io"

	"outlast/backup/capacity"
	"outlast/backup/facts"
	"outlast/backup/phrase"
)

// A CapacityTest is what a log tells of a bank, with what became of the site file.
type CapacityTest struct {
	*capacity.Result
	LogFile string
	// Written is what was written as end_of_life; 0: nothing was. Copy is the copy of the file as it was before.
	Written float64
	Copy    string
}

type capacityJSON struct {
	Site         string   `json:"site"`
	LogFile      string   `json:"log"`
	From         string   `json:"from"`
	Hours        float64  `json:"hours"`
	DrawnWh      float64  `json:"drawn_wh"`
	ChargedWh    float64  `json:"charged_wh"`
	GapH         float64  `json:"gap_h"`
	LeftOutH     float64  `json:"left_out_h"`
	EndV         *float64 `json:"end_v"`
	TempC        float64  `json:"temperature_c"`
	TempAssumed  bool     `json:"temperature_assumed"`
	StartSoC     float64  `json:"start_soc"`
	StartAssumed bool     `json:"start_assumed"`

	Told      bool          `json:"told"`
	Capacity  *float64      `json:"capacity"`
	Low       *float64      `json:"capacity_low"`
	High      *float64      `json:"capacity_high"`
	AtLeast   float64       `json:"at_least"`
	Ways      []capacityWay `json:"ways"`
	Disagree  bool          `json:"ways_disagree"`
	Planned   float64       `json:"end_of_life"`
	Required  float64       `json:"required_h"`
	NewH      float64       `json:"new_h"`
	PlannedH  float64       `json:"planned_h"`
	MeasuredH *float64      `json:"measured_h"`
	LowH      *float64      `json:"measured_low_h"`
	AtLeastH  float64       `json:"at_least_h"`
	Holds     *bool         `json:"holds"`
	Parting   *partingJSON  `json:"parting"`
	Rows      []capacityRow `json:"rows"`
	Written   *float64      `json:"written_end_of_life"`
	Cautions  []string      `json:"cautions"`
}

type capacityWay struct {
	Way      capacity.Way       `json:"way"`
	Capacity float64            `json:"capacity"`
	Sigma    float64            `json:"sigma"`
	From     float64            `json:"from_soc"`
	To       float64            `json:"to_soc"`
	Budget   map[string]float64 `json:"sigma_of"`
}

type partingJSON struct {
	By       string   `json:"by"`
	Limit    float64  `json:"limit"`
	Apart    bool     `json:"apart"`
	AtH      *float64 `json:"at_h"`
	Largest  float64  `json:"largest"`
	LargestH float64  `json:"largest_at_h"`
}

type capacityRow struct {
	AtH         float64  `json:"at_h"`
	W           float64  `json:"w"`
	V           *float64 `json:"v"`
	SoC         *float64 `json:"soc"`
	PlannedV    *float64 `json:"planned_v"`
	PlannedSoC  float64  `json:"planned_soc"`
	MeasuredV   *float64 `json:"measured_v"`
	MeasuredSoC *float64 `json:"measured_soc"`
}

// CapacityJSON writes what a log tells of a bank.
func CapacityJSON(w io.Writer, r CapacityTest) error {
	p := r.Plan
	out := capacityJSON{Site: p.Site.Name, LogFile: r.LogFile, From: r.Log.Moment(0), Hours: r.Hours,
		DrawnWh: r.DrawnWh, ChargedWh: r.ChargedWh, GapH: r.GapH, LeftOutH: r.CutH, EndV: finite(r.EndV),
		TempC:       r.TempC,
		TempAssumed: r.TempAssumed, StartSoC: r.StartSoC, StartAssumed: r.StartAssumed, Told: r.Told,
		AtLeast: r.AtLeast,
		Ways:    []capacityWay{}, Disagree: r.Disagree, Planned: p.Site.Practice.EndOfLife,
		Required: p.Site.Outage.AutonomyH,
		NewH:     r.NewH, PlannedH: r.PlannedH, AtLeastH: r.AtLeastH, Rows: []capacityRow{},
		Cautions: phrase.Strings(facts.SafetyTexts())}
	if best, ok := r.Best(); ok {
		low, high := best.Low(), best.High()
		out.Capacity, out.Low, out.High, out.MeasuredH, out.LowH = &best.Share, &low, &high, &r.MeasuredH, &r.LowH
	}
	if holds, known := r.Holds(); known {
		out.Holds = &holds
	}
	if r.Written > 0 {
		out.Written = &r.Written
	}
	for _, e := range r.Estimates {
		way := capacityWay{e.Way, e.Share, e.Sigma, e.FromZ, e.ToZ, map[string]float64{}}
		for _, part := range e.Budget {
			way.Budget[string(part.Cause)] = part.Sigma
		}
		out.Ways = append(out.Ways, way)
	}
	if x := r.Parting; x != nil {
		out.Parting = &partingJSON{By: "soc", Limit: x.Limit, Apart: x.Apart, Largest: x.Largest, LargestH: x.LargeH}
		if x.ByVolts {
			out.Parting.By = "v"
		}
		if x.Apart {
			out.Parting.AtH = &x.AtH
		}
	}
	for _, row := range r.Rows {
		out.Rows = append(out.Rows, capacityRow{row.AtH, row.W, finite(row.Volts), finite(row.SoC),
			finite(row.PlannedV),
			row.PlannedSoC, finite(row.MeasuredV), finite(row.MeasuredSoC)})
	}
	return encodeJSON(w, out)
}
