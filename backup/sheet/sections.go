package sheet

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"outlast/backup"
	"outlast/backup/phrase"
	"outlast/loads"
)

// A section is one part of a sheet: a title, then a table, then lines. Any of them may be empty.
type section struct {
	title   string
	drawing []string // stands before the table as it is, not wrapped
	table   table
	lines   []string // paragraphs
	list    bool     // lines are items of a list
	plain   bool     // lines stand as they are, not wrapped: a drawing in characters
}

// A table is a head and rows of the same length. Columns that hold numbers are set to the right.
type table struct {
	head  []string
	right []bool
	rows  [][]string
}

// headline is the verdict and the reasons, in three sentences.
func headline(p *backup.Plan) []string {
	fails, cautions := p.With(backup.Fail), p.With(backup.Caution)
	lines := []string{fmt.Sprintf("%s: %s", clean(p.Site.Name), verdictWords(len(fails), len(cautions), len(p.Checks)))}
	lines = append(lines, lastsLine(p))
	switch {
	case len(fails) > 0:
		lines = append(lines, "First: "+reasonOf(fails[0])+".")
	case len(cautions) > 0:
		lines = append(lines, "First: "+reasonOf(cautions[0])+".")
	default:
		lines = append(lines, "Tightest: "+reasonOf(tightest(p))+".")
	}
	return lines
}

// lastsLine promises no more than what the bank gives from the worst moment of the day.
func lastsLine(p *backup.Plan) string {
	hours, start, err := p.LeastAutonomy()
	if err != nil {
		return clean(err.Error())
	}
	lasts := backup.Amount(hours, "h")
	switch {
	case p.Bank.AutonomyCap:
		lasts = "at least " + lasts
	case p.Site.Outage.Start == backup.WorstStart:
		lasts += ", from the worst moment (" + backup.Clock(start) + ")"
	default:
		lasts += " from " + backup.Clock(start)
	}
	return fmt.Sprintf("In an outage in %s the bank carries the backup board for %s; %s are asked for.", p.MonthName(), lasts, backup.Amount(p.Site.Outage.AutonomyH, "h"))
}

func verdictWords(fails, cautions, all int) string {
	switch {
	case fails > 0:
		return fmt.Sprintf("FAIL, %d of %d checks fail", fails, all) + andCautions(cautions)
	case cautions > 0:
		return fmt.Sprintf("CAUTION, no check fails, %d of %d want a look", cautions, all)
	default:
		return fmt.Sprintf("PASS, all %d checks pass", all)
	}
}

func andCautions(n int) string {
	if n == 0 {
		return ""
	}
	return fmt.Sprintf(", %d more want a look", n)
}

func reasonOf(c backup.Check) string { return c.ID + ", " + clean(c.Reason.String()) }

func tightest(p *backup.Plan) backup.Check {
	best := backup.Check{Margin: math.Inf(1)}
	for _, c := range p.Checks {
		if c.HasLimit && c.Unit != "C" && c.Margin < best.Margin && !designed(p, c.ID) {
			best = c
		}
	}
	return best
}

// sections is everything on a sheet below the headline, in the order in which it is read.
func sections(p *backup.Plan, o Options, wide bool) []section {
	out := []section{
		demandSection(p), startSection(p), inverterSection(p), bankSection(p), wiringSection(p), chargeSection(p), careSection(p),
		circuitSection(p, wide),
	}
	if stays, ok := stayOnSection(p); ok {
		out = append(out, stays)
	}
	if shed, ok := shedSection(p, o); ok {
		out = append(out, shed)
	}
	if recharge, ok := rechargeSection(p); ok {
		out = append(out, recharge)
	}
	if len(p.HeldOff) > 0 {
		out = append(out, heldOffSection(p))
	}
	out = append(out, wireSection(p))
	if p.Generator != nil {
		out = append(out, generatorSection(p))
	}
	out = append(out, checkSection(p, wide))
	if len(p.Options) > 0 {
		out = append(out, optionSection(p, wide))
	}
	if o.Sensitivity {
		out = append(out, sensitivitySection(p, wide))
	}
	return append(out, section{title: "Cautions", lines: cleanAll(phrase.Strings(p.Cautions)), list: true})
}

func demandSection(p *backup.Plan) section {
	d := p.Demand
	rows := [][]string{
		{"Connected, everything at once", whole(d.Connected.W), whole(d.Connected.VA), ""},
		{"Scheduled, worst minute", whole(d.Scheduled.W), whole(d.Scheduled.VA), "at " + backup.Clock(d.Scheduled.AtMin)},
		{"Probable", whole(d.ProbableW), "", fmt.Sprintf("in %g %% of all moments", 100*p.Site.Practice.Confidence)},
		{"Mean over the day", whole(d.EnergyWhPerDay / 24), "", whole(d.EnergyWhPerDay) + " Wh a day"},
	}
	s := section{title: "Demand in an outage, " + p.MonthName(), table: table{[]string{"Demand", "W", "VA", ""}, []bool{false, true, true, false}, rows}}
	if d.EnergyWhPerDay > 0 {
		s.lines = []string{"Mean W by hour from 00:00:", hours(d.Profile)}
	}
	return s
}

func hours(profile loads.Profile) string {
	var out []string
	for _, w := range profile.HourlyW() {
		out = append(out, whole(w))
	}
	return strings.Join(out, " ")
}

func startSection(p *backup.Plan) section {
	s := section{title: "Starting", table: table{
		head:  []string{"Load that starts", "At", "s", "All VA", "Bears VA", "Left %", "Down to %"},
		right: []bool{false, true, true, true, true, true, true},
	}}
	for i, st := range p.Starts.All {
		name := clean(st.Load)
		if i == p.Starts.Worst {
			name += " (worst)"
		}
		if st.Phase > 0 {
			name += fmt.Sprintf(", phase %d", st.Phase)
		}
		s.table.rows = append(s.table.rows, []string{name, backup.Clock(st.AtMin), short(st.Seconds), whole(st.DemandVA), whole(st.LimitVA), percent(st.LimitVA-st.DemandVA, st.LimitVA), downTo(p.Details.Starts[i])})
	}
	if len(s.table.rows) == 0 {
		s.lines = append(s.lines, "Nothing on the backup board starts harder than it runs.")
	}
	if len(p.Starts.All) > 0 && p.Bank.Unit.ResistanceMohm > 0 {
		line := fmt.Sprintf("Down to: the lowest charge of the bank at which it still starts, at %g C.", p.Site.ColdestC)
		if slices.ContainsFunc(p.Details.Starts, func(d backup.DownTo) bool { return downTo(d) == "any" }) {
			line += " Any: the voltage never stops it."
		}
		s.lines = append(s.lines, line)
	}
	r := p.Starts.Restart
	if r.VA > 0 {
		all := ""
		if p.Site.Phases > 1 {
			all = " on all phases together"
		}
		line := fmt.Sprintf("After a break everything at once takes %s%s at %s", backup.Amount(r.VA, "VA"), all, backup.Clock(r.AtMin))
		switch {
		case r.FitsAtOnce:
			line += ", which the inverter bears."
		case len(r.Order) > 0:
			line += ", too much. Switch on in this order: " + strings.Join(quoted(r.Order), ", then ") + "."
		default:
			line += fmt.Sprintf(", too much, and no order helps: %q cannot start while the others run.", clean(r.Blocked))
		}
		s.lines = append(s.lines, line)
	}
	return s
}

// downTo writes the lowest charge at which something starts, in per cent, rounded up: the safe side.
func downTo(d backup.DownTo) string {
	switch {
	case !d.Known:
		return "-"
	case !d.Works:
		return "never"
	case d.SoC == 0:
		return "any"
	}
	return whole(math.Ceil(100 * d.SoC))
}

func inverterSection(p *backup.Plan) section {
	g, s := p.Inverter, p.Site
	rows := [][]string{
		{"Rated, continuous", whole(g.RatedVA()), "VA", whole(g.RatedW()) + " W"},
		{fmt.Sprintf("At %g C and %g m", s.HottestC, s.AltitudeM), whole(g.DeratedVA()), "VA", whole(g.DeratedW()) + " W"},
		{"Passes through per phase", orNone(g.PassThroughA()), "A", "asked for " + tenth(p.Grid.PassThroughA) + " A"},
		{"Takes from the grid per phase", orNone(g.ACInputA()), "A", "asked for " + tenth(p.Grid.InputA) + " A"},
		{"Own use", short(g.IdleW()), "W", ""},
	}
	name := fmt.Sprintf("Inverter: %d x %s", g.Count, equipment(g.Unit.ID, g.Unit.Label))
	return section{title: name, table: table{[]string{"Inverter", "Value", "", ""}, []bool{false, true, false, false}, rows}}
}

func bankSection(p *backup.Plan) section {
	b, z := p.Bank, p.Bank.Sizing
	chosen := "as given"
	if b.Sized {
		chosen = "sized by the planner"
	}
	rows := [][]string{
		{"Layout", fmt.Sprintf("%d x %d", b.Strings, b.Series), "", fmt.Sprintf("strings x units in series, %s", chosen)},
		{"Voltage", short(b.NominalV()), "V", fmt.Sprintf("from %.1f V empty", b.MinV())},
		{"Energy asked for", whole(b.EnergyDCWh), "Wh", fmt.Sprintf("%s Wh of it to the loads", whole(b.EnergyACWh))},
		{"Depth of discharge", whole(100 * b.DoD), "%", fmt.Sprintf("%s %% of the capacity is free in an outage", whole(100*z.UsableFraction))},
		{"Left by the cold", whole(100 * z.KTemperature), "%", fmt.Sprintf("at %g C", p.Site.ColdestC)},
		{"Left by the rate", whole(100 * z.KRate), "%", fmt.Sprintf("at %.1f A", z.MeanCurrentA)},
		{"Capacity needed", whole(z.RequiredAh), "Ah", "margin, cold, rate and age included"},
		{"Capacity installed", whole(b.CapacityAh()), "Ah", plural(b.Units(), "unit", "units")},
	}
	rows = append(rows, autonomyRows(p)...)
	name := fmt.Sprintf("Bank: %d x %s, %s", b.Units(), equipment(b.Unit.ID, b.Unit.Label), b.Unit.Chemistry)
	return section{title: name, table: table{[]string{"Bank", "Value", "", ""}, []bool{false, true, false, false}, rows}}
}

func equipment(id, label string) string {
	if label == "" {
		return clean(id)
	}
	return clean(id + ", " + label)
}

// names lists what people named, in quotation marks: names hold commas too.
func names(list []string) string {
	if len(list) == 0 {
		return "none"
	}
	return strings.Join(quoted(list), ", ")
}

func quoted(list []string) []string {
	out := make([]string, len(list))
	for i, s := range list {
		out[i] = strconv.Quote(clean(s))
	}
	return out
}

func board(c backup.Circuit) string {
	if c.OnBackup {
		return "backup"
	}
	return "main"
}

func heldOffSection(p *backup.Plan) section {
	s := section{title: "Held off in an outage", list: true}
	for _, l := range p.HeldOff {
		text := fmt.Sprintf("%s (%s)", clean(l.Name), backup.Amount(l.RunningW*float64(l.Quantity), "W"))
		for _, c := range p.Checks {
			if c.ID == "slip-"+l.Name {
				text += ": " + clean(c.Reason.String())
			}
		}
		s.lines = append(s.lines, text+".")
	}
	return s
}

func checkSection(p *backup.Plan, wide bool) section {
	s := section{title: "Checks", table: table{
		head:  []string{"Status", "Check", "Demand", "Limit", "Unit", "Left"},
		right: []bool{false, false, true, true, false, true},
	}, list: true}
	if wide {
		s.table.head, s.table.right = append(s.table.head, "Reason"), append(s.table.right, false)
	}
	for _, c := range p.Checks {
		limit, left := "-", "-"
		if c.HasLimit {
			limit, left = figure(c.Limit, c.Unit), leftOf(c)
		}
		demand := figure(c.Demand, c.Unit)
		if !c.HasLimit && c.Demand == 0 {
			demand = "-"
		}
		row := []string{string(c.Status), clean(c.ID), demand, limit, c.Unit, left}
		if wide {
			row = append(row, clean(c.Reason.String()))
		} else if c.Status != backup.Pass {
			s.lines = append(s.lines, fmt.Sprintf("%s: %s", clean(c.ID), clean(c.Reason.String())))
		}
		s.table.rows = append(s.table.rows, row)
	}
	return s
}

// optionSection sets the variants beside the base.
func optionSection(p *backup.Plan, wide bool) section {
	s := section{title: "Options side by side", list: true, table: table{
		head:  []string{"Option", "Verdict", "Autonomy h", "Price", "First failing check"},
		right: []bool{false, false, true, true, false},
	}}
	if wide {
		s.table.head, s.table.right = append(s.table.head, "Changes"), append(s.table.right, false)
	}
	row := func(name string, p *backup.Plan, changes string) {
		price, failing := "-", "none"
		if v, ok := p.Price(); ok {
			price = whole(v)
		}
		if c := p.FirstFailing(); c != nil {
			failing = clean(c.ID)
		}
		cells := []string{clean(name), string(p.Verdict()), tenth(p.Bank.AutonomyH), price, failing}
		if wide {
			cells = append(cells, changes)
		} else if changes != "" {
			s.lines = append(s.lines, clean(name)+": "+changes)
		}
		s.table.rows = append(s.table.rows, cells)
	}
	row("(base)", p, "")
	s.lines = append(s.lines, "Autonomy: at the end of the bank's life, as the checks count it.")
	for _, o := range p.Options {
		row(o.Name, o.Plan, o.ChangesText().String())
	}
	return s
}

// mostBroken is the margin beyond which nobody needs the figure.
const mostBroken = 10

// leftOf is the margin; of a limit that is broken by little it is not written as none, and of one that is broken by far only that it is.
func leftOf(c backup.Check) string {
	unit, margin := " %", 100*c.Margin
	if c.Unit == "C" {
		unit, margin = " K", c.Margin
	}
	decimals := 0
	if c.Unit == "C" {
		decimals = 1
	}
	if c.Unit != "C" && c.Margin < -mostBroken {
		return fmt.Sprintf("<-%d %%", 100*mostBroken)
	}
	for ; ; decimals++ {
		left := strconv.FormatFloat(margin, 'f', decimals, 64)
		if decimals == 6 || margin >= 0 || strings.Trim(left, "-0.") != "" {
			return unsigned(left) + unit
		}
	}
}

func cleanAll(lines []string) []string {
	out := make([]string, len(lines))
	for i, l := range lines {
		out[i] = clean(l)
	}
	return out
}
