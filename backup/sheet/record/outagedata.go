package record

import (
	"fmt"
	"io"
	"math"
	"slices"
	"strconv"

	"outlast/backup/calendar"
	"outlast/backup/facts"
	"outlast/backup/measured/meter"
	"outlast/backup/phrase"
	"outlast/backup/site"
	"outlast/backup/study"
	"outlast/loads"
)

// OutageCSV is one list: the figures of the outage, its events, circuits and energies, and the charge of every minute.
// minute and time are those of an event and of a charge, and empty elsewhere.
func OutageCSV(w io.Writer, r *study.OutageRun, spreadsheet bool) error {
	rows := [][]string{{"site", "section", "minute", "time", "item", "name", "value", "unit"}}
	home := Guard(r.Plan.Site.Name)
	add := func(section, minute, clock, item, name, value, unit string) {
		rows = append(rows, []string{home, section, minute, clock, Guard(item), name, value, unit})
	}
	number := func(section, item, name string, v float64, unit string) {
		add(section, "", "", item, name, Decimal(v), unit)
	}
	hours, dark := r.HoursUntilDark()
	add("outage", "", "", "", "start", calendar.Clock(r.StartMin), "")
	add("outage", "", "", "", "month", strconv.Itoa(r.Month), "")
	number("outage", "", "hours", float64(r.Options.Hours), "h")
	add("outage", "", "", "", "dark", strconv.FormatBool(dark), "")
	number("outage", "", "until_dark", orNaN(hours, dark), "h")
	number("outage", "", "dark_for", float64(r.DarkMin)/60, "h")
	number("outage", "", "fuel", r.FuelL, "l")
	number("outage", "", "generator", float64(r.GeneratorMin)/60, "h")
	for _, m := range r.Medical {
		add("medical", strconv.Itoa(m.FirstMin), "", m.Load, "why", string(m.Why), "")
		number("medical", m.Load, "after", float64(m.FirstMin)/60, "h")
		number("medical", m.Load, "dark_for", float64(m.Minutes)/60, "h")
	}
	if d := r.Draws; d != nil {
		number("draws", "", "draws", float64(d.Draws), "")
		number("draws", "", "dark", float64(d.Dark), "")
		for _, of := range []struct {
			name  string
			times float64
			v     site.Tenths
			unit  string
		}{{"until_dark", 1, d.UntilDarkH, "h"}, {"dark_for", 1, d.DarkH, "h"},
			{"lowest_charge", 100, d.LowestSoC, "%"}} {
			number("draws", "p10", of.name, of.times*of.v.P10, of.unit)
			number("draws", "p50", of.name, of.times*of.v.P50, of.unit)
			number("draws", "p90", of.name, of.times*of.v.P90, of.unit)
		}
	}
	for _, e := range r.Events {
		_, clock := After(r, e.Min)
		item := e.Load
		if item == "" {
			item = e.CircuitID
		}
		add("event", strconv.Itoa(e.Min), clock, item, string(e.Kind), "", "")
	}
	for _, c := range r.Circuits {
		number("circuit", c.ID, "asked", c.AskedWh(), "Wh")
		number("circuit", c.ID, "demand", c.DemandWh, "Wh")
		number("circuit", c.ID, "served", c.ServedWh(), "Wh")
		number("circuit", c.ID, "dark", c.UnservedWh, "Wh")
		number("circuit", c.ID, "switched_off", c.DroppedWh, "Wh")
	}
	for _, e := range energies(r) {
		number("energy", "", e.name, e.wh, "Wh")
	}
	for i, soc := range r.SoC {
		_, clock := After(r, i)
		add("charge", strconv.Itoa(i), clock, "", "state_of_charge", Decimal(100*soc), "%")
	}
	for _, c := range slices.Concat(MedicalCautions(r), r.Cautions, facts.SafetyTexts()) {
		add("caution", "", "", "", "text", Guard(c.String()), "")
	}
	return WriteRows(w, rows, spreadsheet)
}

// energies are the sums of an outage by their names in data.
func energies(r *study.OutageRun) []struct {
	name string
	wh   float64
} {
	e := r.Energy
	return []struct {
		name string
		wh   float64
	}{
		{"asked", e.AskedWh()}, {"demand", e.DemandWh}, {"served", e.ServedWh}, {"unserved", e.UnservedWh()},
		{"switched_off", e.DroppedWh}, {"array_used", e.PVUsedWh},
		{"array_curtailed", e.PVCurtailedWh},
		{"generator", e.GeneratorWh}, {"bank_in", e.BankInWh}, {"bank_out", e.BankOutWh}, {"loss", e.LossWh},
	}
}

// outageJSON is one outage followed minute by minute.
type outageJSON struct {
	Site        string             `json:"site"`
	Start       string             `json:"start" doc:"time of day"`
	Worst       bool               `json:"worst_start" doc:"nobody gave the start: it is the least favourable one for the bank"`
	Sky         string             `json:"sky,omitempty" doc:"sunny or dull: the run of days that was taken"`
	Measured    *measuredDays      `json:"measured_days,omitempty" doc:"days of the meter, in the place of the list of loads"`
	Month       int                `json:"month"`
	Hours       int                `json:"hours" doc:"length of the outage"`
	UntilDarkH  float64            `json:"until_dark_h" doc:"to the first interruption; where there is none, the whole outage"`
	Dark        bool               `json:"dark" doc:"there is an interruption"`
	DarkMinutes int                `json:"dark_minutes"`
	Medical     []medicalLoss      `json:"medical" doc:"loads that someone depends on and that lose power, the first to lose it before the others"`
	Events      []outageEvent      `json:"events"`
	Circuits    []outageCircuit    `json:"circuits"`
	Energy      map[string]float64 `json:"energy_wh" doc:"sums of the outage by their names"`
	FuelL       float64            `json:"fuel_l"`
	GeneratorH  float64            `json:"generator_h"`
	Draws       *outageDraws       `json:"draws,omitempty" doc:"the spread over draws of sun and cycles"`
	SoC         []float64          `json:"state_of_charge" doc:"by minute, 0 to 1"`
	Cautions    []string           `json:"cautions"`
}

type outageEvent struct {
	Minute  int    `json:"minute" doc:"since the grid failed"`
	Kind    string `json:"kind"`
	Circuit string `json:"circuit,omitempty"`
	Load    string `json:"load,omitempty"`
}

type outageCircuit struct {
	ID         string  `json:"id"`
	AskedWh    float64 `json:"asked_wh" doc:"served, unserved and dropped together"`
	DemandWh   float64 `json:"demand_wh" doc:"asked less dropped"`
	ServedWh   float64 `json:"served_wh"`
	UnservedWh float64 `json:"unserved_wh"`
	DroppedWh  float64 `json:"dropped_wh" doc:"switched off on purpose"`
}

// OutageSchema is the JSON Schema of what [OutageJSON] writes.
func OutageSchema(id, title string) map[string]any { return schemaOf[outageJSON](id, title) }

// OutageJSON writes one outage.
func OutageJSON(w io.Writer, r *study.OutageRun) error {
	hours, dark := r.HoursUntilDark()
	out := outageJSON{
		Site: r.Plan.Site.Name, Start: calendar.Clock(r.StartMin), Worst: r.Options.Start == nil,
		Sky: string(r.Options.Sky), Month: r.Month, Hours: r.Options.Hours,
		UntilDarkH: hours, Dark: dark, DarkMinutes: r.DarkMin,
		Medical: []medicalLoss{}, Events: []outageEvent{}, Circuits: []outageCircuit{},
		Energy: map[string]float64{},
		FuelL:  r.FuelL, GeneratorH: float64(r.GeneratorMin) / 60, SoC: r.SoC,
		Cautions: phrase.Strings(slices.Concat(MedicalCautions(r), r.Cautions, facts.SafetyTexts())),
	}
	if d := r.Days; d != nil {
		out.Measured = &measuredDays{dateOf(d.From), dateOf(d.To), float64(d.StepS) / 60, d.Runs}
	}
	for _, e := range energies(r) {
		out.Energy[e.name] = e.wh
	}
	for _, m := range r.Medical {
		out.Medical = append(out.Medical, medicalLoss{m.Load, m.CircuitID, string(m.Why), float64(m.FirstMin) / 60,
			float64(m.Minutes) / 60})
	}
	for _, e := range r.Events {
		out.Events = append(out.Events, outageEvent{e.Min, string(e.Kind), e.CircuitID, e.Load})
	}
	for _, c := range r.Circuits {
		out.Circuits = append(out.Circuits, outageCircuit{c.ID, c.AskedWh(), c.DemandWh, c.ServedWh(), c.UnservedWh,
			c.DroppedWh})
	}
	if d := r.Draws; d != nil {
		out.Draws = &outageDraws{d.Draws, d.Dark, tenthsJSON(d.UntilDarkH), tenthsJSON(d.DarkH),
			tenthsJSON(d.LowestSoC)}
	}
	return encodeJSON(w, out)
}

// measuredDays are the days that an outage follows, in its JSON.
type measuredDays struct {
	From       string  `json:"from"`
	To         string  `json:"to"`
	ReadingMin float64 `json:"reading_min"`
	Runs       int     `json:"runs" doc:"of days of the month that are long enough"`
}

func dateOf(d meter.Day) string { return fmt.Sprintf("%d-%02d-%02d", d.Year, d.Month, d.Day) }

// medicalLoss is a load that someone depends on and that loses power, in the JSON of an outage.
type medicalLoss struct {
	Load    string  `json:"load"`
	Circuit string  `json:"circuit"`
	Why     string  `json:"why" doc:"dark, main or held off"`
	AfterH  float64 `json:"after_h"`
	DarkH   float64 `json:"dark_h"`
}

// outageDraws is the spread of an outage over draws in its JSON.
type outageDraws struct {
	Draws      int        `json:"draws"`
	Dark       int        `json:"dark"`
	UntilDarkH tenthsJSON `json:"until_dark_h"`
	DarkH      tenthsJSON `json:"dark_h"`
	LowestSoC  tenthsJSON `json:"lowest_state_of_charge"`
}

type tenthsJSON struct {
	P10 float64 `json:"p10"`
	P50 float64 `json:"p50"`
	P90 float64 `json:"p90"`
}

// finite is a number that JSON can hold, or null.
func finite(v float64) *float64 {
	if math.IsInf(v, 0) || math.IsNaN(v) {
		return nil
	}
	return &v
}

// After writes a minute of an outage as the hours and the time of day since its start.
func After(r *study.OutageRun, minute int) (hours, clock string) {
	return fmt.Sprintf("%d:%02d", minute/60, minute%60), calendar.Clock((r.StartMin + minute) % 1440)
}

// MedicalCautions say what to do about what loses power, and then of the other loads that someone depends on what every
// sheet says.
func MedicalCautions(r *study.OutageRun) []phrase.Phrase {
	var out []phrase.Phrase
	for _, m := range r.Medical {
		hours, clock := After(r, m.FirstMin)
		out = append(out,
			phrase.Of("Someone depends on %q, which loses power after %s h (%s): have another way to power it, "+
				"or another place to go, ready well before that, and tell its supplier and the grid operator.",
				m.Load, phrase.Name(hours), phrase.Name(clock)))
	}
	others := loads.Where(r.Plan.Site.Loads, func(l *loads.Load) bool {
		return !slices.ContainsFunc(r.Medical, func(m study.MedicalLoss) bool { return m.Load == l.Name })
	})
	return append(out, facts.MedicalTexts(r.Plan.Site, others)...)
}
