package record

import (
	"io"
	"slices"
	"strconv"
	"strings"

	"outlast/backup/fleet"
)

// A Summary is many homes counted, and what one change would do to all of them.
type Summary struct {
	*fleet.Count
	Change string // in the words of the site file; "": none
	Bad    int    // homes that could not be planned
}

type summaryJSON struct {
	Homes     int              `json:"homes"`
	NotSound  int              `json:"not_planned"`
	Pass      int              `json:"pass"`
	Caution   int              `json:"caution"`
	Fail      int              `json:"fail"`
	AutonomyH *spreadJSON      `json:"autonomy_least_h"`
	Reach     *spreadJSON      `json:"reach" doc:"hours over those that are required"`
	Ended     int              `json:"at_least"`
	Checks    []tallyJSON      `json:"checks"`
	Worst     []worstJSON      `json:"worst"`
	Change    *summaryDiffJSON `json:"change" doc:"null: none was asked for"`
}

type spreadJSON struct {
	Least         float64 `json:"least"`
	LowerQuartile float64 `json:"lower_quartile"`
	Median        float64 `json:"median"`
	UpperQuartile float64 `json:"upper_quartile"`
	Most          float64 `json:"most"`
}

func spreadToJSON(s *fleet.Spread) *spreadJSON {
	if s.Homes() == 0 {
		return nil
	}
	return &spreadJSON{Least: s.Quantile(0), LowerQuartile: s.Quantile(0.25), Median: s.Quantile(0.5),
		UpperQuartile: s.Quantile(0.75), Most: s.Quantile(1)}
}

type tallyJSON struct {
	ID       string `json:"id"`
	Fails    int    `json:"fails"`
	Cautions int    `json:"cautions"`
	Changed  *int   `json:"fails_changed"`
}

type worstJSON struct {
	File      string   `json:"file"`
	Site      string   `json:"site"`
	Verdict   string   `json:"verdict"`
	RequiredH float64  `json:"required_h"`
	AutonomyH float64  `json:"autonomy_least_h"`
	AtLeast   bool     `json:"at_least"`
	Failing   []string `json:"failing"`
}

type summaryDiffJSON struct {
	Change   string      `json:"change"`
	Homes    int         `json:"homes"`
	Unsuited int         `json:"unsuited"`
	Unsuit   string      `json:"unsuited_because" doc:"of the first"`
	Passed   int         `json:"pass_without"`
	Pass     int         `json:"pass_with"`
	Gained   int         `json:"pass_only_with"`
	Lost     int         `json:"pass_only_without"`
	GainH    *spreadJSON `json:"gained_h"`
}

// SummarySchema is the JSON Schema of what [SummaryJSON] writes.
func SummarySchema(id, title string) map[string]any { return schemaOf[summaryJSON](id, title) }

// SummaryJSON writes a summary as JSON.
func SummaryJSON(w io.Writer, s Summary) error { return encodeJSON(w, summaryToJSON(s)) }

func summaryToJSON(s Summary) summaryJSON {
	out := summaryJSON{Homes: s.Homes, NotSound: s.Bad, Pass: s.Pass, Caution: s.Caution, Fail: s.Fail,
		AutonomyH: spreadToJSON(&s.Hours), Reach: spreadToJSON(&s.Reach),
		Ended: s.Hours.Ended(), Checks: []tallyJSON{}, Worst: []worstJSON{}}
	for _, c := range s.Tallies() {
		t := tallyJSON{ID: c.Check, Fails: c.Fails, Cautions: c.Cautions}
		if s.Change != "" {
			t.Changed = &c.ChangedFails
		}
		out.Checks = append(out.Checks, t)
	}
	for _, h := range s.Worst {
		out.Worst = append(out.Worst, worstJSON{File: h.File, Site: h.Name, Verdict: string(h.Verdict),
			RequiredH: h.RequiredH, AutonomyH: h.Hours, AtLeast: h.AtLeast,
			Failing: append([]string{}, h.Failing...)})
	}
	if s.Change != "" {
		ch := &s.Changed
		out.Change = &summaryDiffJSON{Change: s.Change, Homes: ch.Homes, Unsuited: ch.Unsuited, Passed: ch.Passed,
			Pass: ch.Pass, Gained: ch.Gained, Lost: ch.Lost,
			GainH: spreadToJSON(&ch.Hours)}
		if ch.Unsuiting != nil {
			out.Change.Unsuit = ch.Unsuiting.Error()
		}
	}
	return out
}

// SummaryCSV writes one figure a row, as in the list of a plan.
func SummaryCSV(w io.Writer, s Summary, spreadsheet bool) error {
	var rows figureRows
	whole := func(section, item, name string, n int) { rows.number(section, item, name, float64(n), "") }
	spread := func(section, item string, of *fleet.Spread, scale float64, unit string) {
		for _, q := range []struct {
			name string
			at   float64
		}{{"least", 0}, {"lower_quartile", 0.25}, {"median", 0.5}, {"upper_quartile", 0.75}, {"most", 1}} {
			rows.number(section, item, q.name, scale*of.Quantile(q.at), unit)
		}
	}
	whole("homes", "", "homes", s.Homes)
	whole("homes", "", "not_planned", s.Bad)
	whole("homes", "", "pass", s.Pass)
	whole("homes", "", "caution", s.Caution)
	whole("homes", "", "fail", s.Fail)
	whole("homes", "", "at_least", s.Hours.Ended())
	spread("spread", "autonomy_least_h", &s.Hours, 1, "h")
	spread("spread", "reach", &s.Reach, 100, "%")
	for _, c := range s.Tallies() {
		whole("check", c.Check, "fails", c.Fails)
		whole("check", c.Check, "cautions", c.Cautions)
		if s.Change != "" {
			whole("check", c.Check, "fails_changed", c.ChangedFails)
		}
	}
	for i, h := range s.Worst {
		no := strconv.Itoa(i + 1)
		rows.text("worst", no, "file", h.File, "")
		rows.text("worst", no, "site", h.Name, "")
		rows.text("worst", no, "verdict", string(h.Verdict), "")
		rows.text("worst", no, "failing", strings.Join(h.Failing, "; "), "")
		rows.number("worst", no, "autonomy_least_h", h.Hours, "h")
		rows.number("worst", no, "required_h", h.RequiredH, "h")
	}
	if s.Change != "" {
		ch := &s.Changed
		item := s.Change
		whole("change", item, "homes", ch.Homes)
		whole("change", item, "unsuited", ch.Unsuited)
		whole("change", item, "pass_without", ch.Passed)
		whole("change", item, "pass_with", ch.Pass)
		whole("change", item, "pass_only_with", ch.Gained)
		whole("change", item, "pass_only_without", ch.Lost)
		spread("change", item, &ch.Hours, 1, "h")
	}
	return WriteRows(w, slices.Insert(rows.rows, 0, []string{"section", "item", "name", "value", "unit"}), spreadsheet)
}
