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
	return speech.Unsigned(text)
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

// figureRows are the rows of a CSV of one figure a row: what it belongs to, which of several, its name, value and unit.
type figureRows struct{ rows [][]string }

func (w *figureRows) text(section, item, name, value, unit string) {
	w.rows = append(w.rows, []string{section, Guard(item), name, Guard(value), unit})
}

func (w *figureRows) number(section, item, name string, v float64, unit string) {
	w.rows = append(w.rows, []string{section, Guard(item), name, Decimal(v), unit})
}

func csvRows(p *backup.Plan, o Options) [][]string {
	w := &figureRows{}
	w.text("plan", "", "verdict", string(p.Verdict()), "")
	w.demand(p)
	w.starts(p)
	w.equipment(p)
	w.bank(p)
	w.recharge(p)
	w.typical(p)
	w.measure(p)
	w.circuits(p)
	w.stayOn(p, o)
	if o.Sensitivity {
		w.sensitivity(p)
	}
	w.wires(p)
	w.checks(p)
	w.options(p)
	for _, c := range p.Cautions {
		w.text("caution", "", "text", c.String(), "")
	}
	if o.Working {
		for _, s := range p.Steps() {
			w.number("working", strconv.Itoa(s.No)+" "+s.Title.String(), "result", s.Value, s.Unit)
		}
	}
	return w.rows
}

func (w *figureRows) demand(p *backup.Plan) {
	d := p.Demand
	w.number("demand", "", "connected_w", d.Connected.W, "W")
	w.number("demand", "", "connected_va", d.Connected.VA, "VA")
	w.number("demand", "", "scheduled_w", d.Scheduled.W, "W")
	w.number("demand", "", "scheduled_va", d.Scheduled.VA, "VA")
	w.text("demand", "", "scheduled_at", calendar.Clock(d.Scheduled.AtMin), "")
	w.number("demand", "", "probable_w", d.ProbableW, "W")
	w.number("demand", "", "energy_wh_per_day", d.EnergyWhPerDay, "Wh")
	for h, mean := range d.Profile.HourlyW() {
		w.number("hour", calendar.Clock(h*60), "mean_w", mean, "W")
	}
}

// starts are every start, at its least favourable minute.
func (w *figureRows) starts(p *backup.Plan) {
	for i, st := range p.Starts.All {
		w.text("start", st.Load, "at", calendar.Clock(st.AtMin), "")
		w.text("start", st.Load, "phase", startPhase(st), "")
		w.number("start", st.Load, "va", st.VA, "VA")
		w.number("start", st.Load, "seconds", st.Seconds, "s")
		w.number("start", st.Load, "demand_va", st.DemandVA, "VA") // of the phase, where there is one, as its limit is
		w.number("start", st.Load, "limit_va", st.LimitVA, "VA")
		down := p.Details.Starts[i]
		w.number("start", st.Load, "floor_v", orNaN(down.FloorV, down.Works), "V")
		w.number("start", st.Load, "down_to_soc", orNaN(100*down.SoC, down.Works), "%")
	}
}

// equipment are the inverters and the size of the bank.
func (w *figureRows) equipment(p *backup.Plan) {
	b, z := p.Bank, p.Bank.Sizing
	w.number("inverter", p.Inverter.Unit.ID, "derated_w", p.Inverter.DeratedW(), "W")
	w.number("inverter", p.Inverter.Unit.ID, "derated_va", p.Inverter.DeratedVA(), "VA")
	w.number("inverter", p.Inverter.Unit.ID, "headroom", 100*p.Inverter.Headroom, "%")
	w.number("bank", b.Unit.ID, "series", float64(b.Series), "")
	w.number("bank", b.Unit.ID, "strings", float64(b.Strings), "")
	w.number("bank", b.Unit.ID, "floor_soc", 100*b.FloorSoC, "%")
	w.number("bank", b.Unit.ID, "cutoff_v", b.CutoffV, "V")
	w.number("bank", b.Unit.ID, "required_ah", z.RequiredAh, "Ah")
	w.number("bank", b.Unit.ID, "installed_ah", b.CapacityAh(), "Ah")
	w.number("bank", b.Unit.ID, "energy_ac_wh", b.EnergyACWh, "Wh")
	w.number("bank", b.Unit.ID, "energy_dc_wh", b.EnergyDCWh, "Wh")
	w.number("bank", b.Unit.ID, "autonomy_h", b.AutonomyH, "h")
	if h, start, err := p.LeastAutonomy(); err == nil {
		w.number("bank", b.Unit.ID, "autonomy_least_h", h, "h")
		w.text("bank", b.Unit.ID, "autonomy_least_from", calendar.Moment(start), "")
	}
}

func (w *figureRows) checks(p *backup.Plan) {
	for _, c := range p.Checks {
		w.text("check", c.ID, "status", string(c.Status), "")
		demand, limit, unit := c.Shown()
		margin, marginUnit := 100*c.Margin, "%"
		if c.Unit == "C" {
			margin, marginUnit = c.Margin, "K"
		}
		w.number("check", c.ID, "demand", orNaN(demand, c.HasLimit || c.Demand != 0), unit)
		w.number("check", c.ID, "limit", orNaN(limit, c.HasLimit), unit)
		w.number("check", c.ID, "margin", orNaN(margin, c.HasLimit), marginUnit)
		w.text("check", c.ID, "reason", c.Reason.String(), "")
	}
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
