package record

import (
	"encoding/csv"
	"io"
	"math"
	"strconv"
	"strings"
	"unicode"

	"outlast/backup"
	"outlast/backup/calendar"
	"outlast/backup/facts"
	"outlast/backup/sheet/speech"
)

// WriteCSV writes every figure of the plans in one list, one figure a row: site, section, item, name, value, unit. Any
// spreadsheet can filter it; tables of different shapes in one file could not be read back. Shares are in per cent
// everywhere, and what is not known is an empty value.
func WriteCSV(w io.Writer, plans []*backup.Plan, o Options) error {
	rows := [][]string{{"site", "section", "item", "name", "value", "unit"}}
	for _, p := range plans {
		for _, row := range csvRows(p, o) {
			rows = append(rows, append([]string{Guard(p.Site.Name)}, row...))
		}
	}
	return WriteRows(w, rows, o.Spreadsheet)
}

// byteOrderMark tells a spreadsheet that a file is UTF-8; without it many take it for the code page of their country.
const byteOrderMark = "\ufeff"

// WriteRows writes rows as CSV, for a spreadsheet with a byte order mark in front. A text that comes from elsewhere has
// gone through [Guard]; what a reader could not see is left out of every cell.
func WriteRows(w io.Writer, rows [][]string, spreadsheet bool) error {
	if spreadsheet {
		if _, err := io.WriteString(w, byteOrderMark); err != nil {
			return err
		}
	}
	out := csv.NewWriter(w)
	for _, row := range rows {
		if err := out.Write(speech.CleanAll(row)); err != nil {
			return err
		}
	}
	out.Flush()
	return out.Error()
}

// decimalDigits are the digits that a figure has in CSV: more than any input has, and none that only floating point
// has.
const decimalDigits = 6

// Decimal writes a number for CSV: six digits, or all of those before the point, without an exponent. What is no number
// is empty.
func Decimal(v float64) string {
	if math.IsNaN(v) || math.IsInf(v, 0) {
		return ""
	}
	decimals := decimalDigits - 1
	if v != 0 {
		decimals -= int(math.Floor(math.Log10(math.Abs(v))))
	}
	text := strconv.FormatFloat(v, 'f', min(max(decimals, 0), 15), 64)
	if strings.Contains(text, ".") {
		text = strings.TrimRight(strings.TrimRight(text, "0"), ".")
	}
	return Unsigned(text)
}

// formulaSigns begin a formula: those of the keyboard, and their wide forms, which some spreadsheets take too.
const formulaSigns = "=+-@\uff1d\uff0b\uff0d\uff20"

// Guard keeps a spreadsheet from taking a user's text for a formula. Some leave blanks before one out.
func Guard(s string) string {
	s = speech.Clean(s)
	if first := strings.TrimLeftFunc(s, unicode.IsSpace); first != "" && strings.IndexAny(first, formulaSigns) == 0 {
		return "'" + s
	}
	return s
}

func csvRows(p *backup.Plan, o Options) [][]string {
	var rows [][]string
	text := func(section, item, name, value, unit string) {
		rows = append(rows, []string{section, Guard(item), name, Guard(value), unit})
	}
	number := func(section, item, name string, v float64, unit string) {
		rows = append(rows, []string{section, Guard(item), name, Decimal(v), unit})
	}
	text("plan", "", "verdict", string(p.Verdict()), "")
	d, b, z := p.Demand, p.Bank, p.Bank.Sizing
	number("demand", "", "connected_w", d.Connected.W, "W")
	number("demand", "", "connected_va", d.Connected.VA, "VA")
	number("demand", "", "scheduled_w", d.Scheduled.W, "W")
	number("demand", "", "scheduled_va", d.Scheduled.VA, "VA")
	text("demand", "", "scheduled_at", calendar.Clock(d.Scheduled.AtMin), "")
	number("demand", "", "probable_w", d.ProbableW, "W")
	number("demand", "", "energy_wh_per_day", d.EnergyWhPerDay, "Wh")
	for h, w := range d.Profile.HourlyW() {
		number("hour", calendar.Clock(h*60), "mean_w", w, "W")
	}
	for i, st := range p.Starts.All {
		text("start", st.Load, "at", calendar.Clock(st.AtMin), "")
		text("start", st.Load, "phase", startPhase(st), "")
		number("start", st.Load, "va", st.VA, "VA")
		number("start", st.Load, "seconds", st.Seconds, "s")
		number("start", st.Load, "demand_va", st.DemandVA, "VA") // of the phase, where there is one, as its limit is
		number("start", st.Load, "limit_va", st.LimitVA, "VA")
		down := p.Details.Starts[i]
		number("start", st.Load, "floor_v", orNaN(down.FloorV, down.Works), "V")
		number("start", st.Load, "down_to_soc", orNaN(100*down.SoC, down.Works), "%")
	}
	number("inverter", p.Inverter.Unit.ID, "derated_w", p.Inverter.DeratedW(), "W")
	number("inverter", p.Inverter.Unit.ID, "derated_va", p.Inverter.DeratedVA(), "VA")
	number("inverter", p.Inverter.Unit.ID, "headroom", 100*p.Inverter.Headroom, "%")
	number("bank", b.Unit.ID, "series", float64(b.Series), "")
	number("bank", b.Unit.ID, "strings", float64(b.Strings), "")
	number("bank", b.Unit.ID, "floor_soc", 100*b.FloorSoC, "%")
	number("bank", b.Unit.ID, "cutoff_v", b.CutoffV, "V")
	number("bank", b.Unit.ID, "required_ah", z.RequiredAh, "Ah")
	number("bank", b.Unit.ID, "installed_ah", b.CapacityAh(), "Ah")
	number("bank", b.Unit.ID, "energy_ac_wh", b.EnergyACWh, "Wh")
	number("bank", b.Unit.ID, "energy_dc_wh", b.EnergyDCWh, "Wh")
	number("bank", b.Unit.ID, "autonomy_h", b.AutonomyH, "h")
	if h, start, err := p.LeastAutonomy(); err == nil {
		number("bank", b.Unit.ID, "autonomy_least_h", h, "h")
		text("bank", b.Unit.ID, "autonomy_least_from", calendar.Moment(start), "")
	}
	bankRows(p, number, text)
	rechargeRows(p, number)
	typicalRows(p, text, number)
	measureRows(p, text, number)
	circuitRows(p, text, number)
	stayOnRows(p, o, number)
	if o.Sensitivity {
		sensitivityRows(p, text, number)
	}
	wireRows(p, text, number)
	for _, c := range p.Checks {
		text("check", c.ID, "status", string(c.Status), "")
		demand, limit, unit := c.Shown()
		margin, marginUnit := 100*c.Margin, "%"
		if c.Unit == "C" {
			margin, marginUnit = c.Margin, "K"
		}
		number("check", c.ID, "demand", orNaN(demand, c.HasLimit || c.Demand != 0), unit)
		number("check", c.ID, "limit", orNaN(limit, c.HasLimit), unit)
		number("check", c.ID, "margin", orNaN(margin, c.HasLimit), marginUnit)
		text("check", c.ID, "reason", c.Reason.String(), "")
	}
	optionRows(p, text, number)
	for _, c := range p.Cautions {
		text("caution", "", "text", c.String(), "")
	}
	if o.Working {
		for _, s := range p.Steps() {
			number("working", strconv.Itoa(s.No)+" "+s.Title.String(), "result", s.Value, s.Unit)
		}
	}
	return rows
}

// startPhase is the phase on which a start is compared; "all": their total, or the home has one.
func startPhase(st facts.Start) string {
	if st.Phase == 0 {
		return "all"
	}
	return strconv.Itoa(st.Phase)
}

// orNaN is a number where there is one; [Decimal] leaves the place of the other empty.
func orNaN(v float64, is bool) float64 {
	if !is {
		return math.NaN()
	}
	return v
}

func Unsigned(s string) string {
	switch s {
	case "-0", "-0.0", "-0.00", "-0.000":
		return s[1:]
	}
	return s
}
