package sheet

import (
	"encoding/csv"
	"io"
	"strconv"

	"outlast/backup"
)

// writeCSV writes every figure of the plans in one list, one figure a row: site, section, item, name, value, unit. Any
// spreadsheet can filter it; tables of different shapes in one file could not be read back.
func writeCSV(w io.Writer, plans []*backup.Plan, o Options) error {
	out := csv.NewWriter(w)
	if err := out.Write([]string{"site", "section", "item", "name", "value", "unit"}); err != nil {
		return err
	}
	for _, p := range plans {
		for _, row := range csvRows(p, o) {
			if err := out.Write(append([]string{Guard(p.Site.Name)}, row...)); err != nil {
				return err
			}
		}
	}
	out.Flush()
	return out.Error()
}

// exact writes a number with all its digits.
func exact(v float64) string { return strconv.FormatFloat(v, 'g', -1, 64) }

// Guard keeps a spreadsheet from taking a user's text for a formula.
func Guard(s string) string {
	if s = Clean(s); s != "" && (s[0] == '=' || s[0] == '+' || s[0] == '-' || s[0] == '@') {
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
		rows = append(rows, []string{section, Guard(item), name, exact(v), unit})
	}
	text("plan", "", "verdict", string(p.Verdict()), "")
	d, b, z := p.Demand, p.Bank, p.Bank.Sizing
	number("demand", "", "connected_w", d.Connected.W, "W")
	number("demand", "", "connected_va", d.Connected.VA, "VA")
	number("demand", "", "scheduled_w", d.Scheduled.W, "W")
	number("demand", "", "scheduled_va", d.Scheduled.VA, "VA")
	text("demand", "", "scheduled_at", backup.Clock(d.Scheduled.AtMin), "")
	number("demand", "", "probable_w", d.ProbableW, "W")
	number("demand", "", "energy_wh_per_day", d.EnergyWhPerDay, "Wh")
	for h, w := range d.Profile.HourlyW() {
		number("hour", backup.Clock(h*60), "mean_w", w, "W")
	}
	for i, st := range p.Starts.All {
		text("start", st.Load, "at", backup.Clock(st.AtMin), "")
		number("start", st.Load, "va", st.VA, "VA")
		number("start", st.Load, "seconds", st.Seconds, "s")
		number("start", st.Load, "limit_va", st.LimitVA, "VA")
		if down := p.Details.Starts[i]; down.Works {
			number("start", st.Load, "floor_v", down.FloorV, "V")
			number("start", st.Load, "down_to_soc", down.SoC, "")
		}
	}
	number("inverter", p.Inverter.Unit.ID, "derated_w", p.Inverter.DeratedW(), "W")
	number("inverter", p.Inverter.Unit.ID, "derated_va", p.Inverter.DeratedVA(), "VA")
	number("inverter", p.Inverter.Unit.ID, "headroom", p.Inverter.Headroom, "")
	number("bank", b.Unit.ID, "series", float64(b.Series), "")
	number("bank", b.Unit.ID, "strings", float64(b.Strings), "")
	number("bank", b.Unit.ID, "required_ah", z.RequiredAh, "Ah")
	number("bank", b.Unit.ID, "installed_ah", b.CapacityAh(), "Ah")
	number("bank", b.Unit.ID, "energy_ac_wh", b.EnergyACWh, "Wh")
	number("bank", b.Unit.ID, "energy_dc_wh", b.EnergyDCWh, "Wh")
	number("bank", b.Unit.ID, "autonomy_h", b.AutonomyH, "h")
	if h, start, err := p.LeastAutonomy(); err == nil {
		number("bank", b.Unit.ID, "autonomy_least_h", h, "h")
		text("bank", b.Unit.ID, "autonomy_least_from", backup.Moment(start), "")
	}
	bankRows(p, number, text)
	rechargeRows(p, number)
	typicalRows(p, text, number)
	circuitRows(p, text, number)
	stayOnRows(p, o, number)
	if o.Sensitivity {
		sensitivityRows(p, text, number)
	}
	wireRows(p, text, number)
	for _, c := range p.Checks {
		text("check", c.ID, "status", string(c.Status), "")
		number("check", c.ID, "demand", c.Demand, c.Unit)
		if c.HasLimit {
			number("check", c.ID, "limit", c.Limit, c.Unit)
			number("check", c.ID, "margin", c.Margin, "")
		}
		text("check", c.ID, "reason", c.Reason.String(), "")
	}
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
