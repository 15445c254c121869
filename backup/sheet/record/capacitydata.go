package record

import (
	"io"
	"slices"

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
	LogFile      string   `json:"log" doc:"name of the log"`
	From         string   `json:"from" doc:"moment at which the log begins"`
	Hours        float64  `json:"hours" doc:"length of the log"`
	DrawnWh      float64  `json:"drawn_wh" doc:"taken from the bank"`
	ChargedWh    float64  `json:"charged_wh" doc:"put into the bank"`
	GapH         float64  `json:"gap_h" doc:"of which the log tells nothing"`
	LeftOutH     float64  `json:"left_out_h" doc:"left out on request"`
	EndV         *float64 `json:"end_v"`
	TempC        float64  `json:"temperature_c"`
	TempAssumed  bool     `json:"temperature_assumed" doc:"nobody gave the temperature"`
	StartSoC     float64  `json:"start_soc"`
	StartAssumed bool     `json:"start_assumed" doc:"nobody gave the charge at the beginning"`

	Told      bool          `json:"told" doc:"the log tells what capacity the bank has, not only what it has at least"`
	Capacity  *float64      `json:"capacity" doc:"share of the rated capacity that is left; null: not told"`
	Low       *float64      `json:"capacity_low" doc:"two standard deviations lower"`
	High      *float64      `json:"capacity_high" doc:"two standard deviations higher"`
	AtLeast   float64       `json:"at_least" doc:"the least share of the rated capacity with which the bank could give what it gave"`
	Ways      []capacityWay `json:"ways" doc:"ways to the capacity, the surest first"`
	Disagree  bool          `json:"ways_disagree" doc:"the ways are further apart than their errors"`
	Planned   float64       `json:"end_of_life" doc:"share that the plan counts with"`
	Required  float64       `json:"required_h" doc:"hours required"`
	NewH      float64       `json:"new_h" doc:"autonomy with a new bank"`
	PlannedH  float64       `json:"planned_h" doc:"autonomy at the end of life as the plan has it"`
	MeasuredH *float64      `json:"measured_h" doc:"autonomy with the capacity found; null: not told"`
	LowH      *float64      `json:"measured_low_h" doc:"autonomy with capacity_low"`
	AtLeastH  float64       `json:"at_least_h" doc:"autonomy with at_least"`
	Holds     *bool         `json:"holds" doc:"the required hours are met; null: not known"`
	Parting   *partingJSON  `json:"parting" doc:"where log and simulation part; null: the log has nothing to compare"`
	Rows      []capacityRow `json:"rows" doc:"log, simulation of the plan and simulation with the capacity found, side by side"`
	Written   *float64      `json:"written_end_of_life" doc:"what was written into the site file; null: nothing"`
	Cautions  []string      `json:"cautions"`
}

type capacityWay struct {
	Way      capacity.Way       `json:"way" doc:"how the capacity was found"`
	Capacity *float64           `json:"capacity" doc:"share of the rated capacity; null: this log does not tell it, see reason"`
	Sigma    *float64           `json:"sigma" doc:"standard deviation, as a share of capacity; null with it"`
	From     *float64           `json:"from_soc" doc:"charge at the beginning; null with it"`
	To       *float64           `json:"to_soc" doc:"charge at the end; null with it"`
	Budget   map[string]float64 `json:"sigma_of" doc:"what makes up sigma, by cause; empty with it"`
	Reason   string             `json:"reason,omitempty" doc:"why the capacity is not told"`
}

type partingJSON struct {
	By       string   `json:"by" doc:"soc or v"`
	Limit    float64  `json:"limit"`
	Apart    bool     `json:"apart" doc:"they part by more than limit"`
	AtH      *float64 `json:"at_h"`
	Largest  float64  `json:"largest" doc:"largest difference"`
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

// CapacitySchema is the JSON Schema of what [CapacityJSON] writes.
func CapacitySchema(id, title string) map[string]any { return schemaOf[capacityJSON](id, title) }

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
		Cautions: phrase.Strings(slices.Concat(facts.MedicalTexts(p.Site, p.Site.Loads), facts.SafetyTexts()))}
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
		way := capacityWay{Way: e.Way, Capacity: &e.Share, Sigma: &e.Sigma, From: &e.FromZ, To: &e.ToZ,
			Budget: map[string]float64{}}
		for _, part := range e.Budget {
			way.Budget[string(part.Cause)] = part.Sigma
		}
		out.Ways = append(out.Ways, way)
	}
	for _, way := range r.Silent {
		out.Ways = append(out.Ways, capacityWay{Way: way, Budget: map[string]float64{},
			Reason: "as uncertain as without this way: anywhere from at_least to what a new bank has"})
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
