// Package record writes a plan, an outage, a year of outages or a search for equipment for other programs: JSON, a line
// of JSON for each of many homes, and CSV, with the schema of what is written. Names and shapes are a promise; figures
// of JSON are not rounded, CSV has six digits.
//
// A subject has its types, its JSON and its rows of CSV in one file.
package record

import (
	"bytes"
	"encoding/json"
	"fmt"
	"io"
	"unicode/utf16"
	"unicode/utf8"

	"outlast/backup"
	"outlast/backup/calendar"
	"outlast/backup/phrase"
	"outlast/backup/sheet/speech"
	"outlast/backup/workers"
	"outlast/backup/working"
)

// Options say what the data of a plan hold beside its figures.
type Options struct {
	Working     bool    // the numbered calculation sheet
	HoursWished float64 // what to switch off to last so long; 0: only where the plan does not reach its autonomy
	Sensitivity bool    // what the plan depends on
	Spreadsheet bool    // CSV begins with a byte order mark, for a file that a spreadsheet opens
}

// coreJSON is what follows for a home at once: every record has it, and so has every plan. Names and shapes are a
// promise to programs that read it; numbers are not rounded.
type coreJSON struct {
	Site     string      `json:"site" doc:"name of the home"`
	Verdict  string      `json:"verdict" doc:"of all checks: the worst status"`
	Month    int         `json:"month" doc:"month of the outage, 1 to 12"`
	Demand   demandJSON  `json:"demand"`
	Surge    *surgeJSON  `json:"surge" doc:"the start with the smallest margin; null: nothing starts"`
	Pass     passJSON    `json:"pass_through"`
	Inverter invJSON     `json:"inverter"`
	Checks   []checkJSON `json:"checks" doc:"demand against limit"`
	Cautions []string    `json:"cautions" doc:"worth saying, none of them fatal"`
}

// planJSON is the JSON of a plan.
type planJSON struct {
	coreJSON
	Starts   []startJSON     `json:"starts" doc:"every start, at its least favourable minute"`
	Bank     bankSpreadJSON  `json:"bank"`
	Details  bankDetailsJSON `json:"bank_details"`
	Circuits []circMovedJSON `json:"circuits" doc:"in the order of the site file"`
	Split    *splitJSON      `json:"allocation" doc:"null: nothing was left to the planner"`
	Balance  *balanceJSON    `json:"balancing" doc:"null: the imbalance of the phases is permitted"`
	StaysOn  []levelJSON     `json:"stays_on" doc:"what lasts how long, by priority"`
	Shed     *shedJSON       `json:"shedding" doc:"null: the hours are reached"`
	HeldOff  []string        `json:"held_off" doc:"loads that people promise not to use"`
	Typical  []typicalJSON   `json:"typical" doc:"loads with figures of their class"`
	Measure  *measureJSON    `json:"measure" doc:"null: no figure rests on a class"`
	Meter    *measuredJSON   `json:"measured,omitempty" doc:"the list beside the meter; without a meter file not there"`
	wiresJSON
	Options  []optJSON       `json:"options,omitempty" doc:"variants beside the plan"`
	Moves    []influenceJSON `json:"sensitivity,omitempty" doc:"inputs by how far each moves the autonomy; with --sensitivity"`
	Recharge []rechargeJSON  `json:"recharge,omitempty" doc:"by month; without array and generator not there"`
	Working  []stepJSON      `json:"working,omitempty" doc:"numbered steps; with --working"`
	Defaults []defJSON       `json:"defaults,omitempty" doc:"values that the file left to the program; with --working"`
}

type demandJSON struct {
	ConnectedW  float64     `json:"connected_w" doc:"everything on at once"`
	ConnectedVA float64     `json:"connected_va" doc:"everything on at once"`
	ScheduledW  float64     `json:"scheduled_w" doc:"peak minute of the day, by windows and interlocks"`
	ScheduledVA float64     `json:"scheduled_va" doc:"peak minute of the day, by windows and interlocks"`
	ScheduledAt string      `json:"scheduled_at" doc:"time of day of the worst scheduled_w"`
	ProbableW   float64     `json:"probable_w" doc:"not exceeded with the confidence of the practice"`
	Energy      float64     `json:"energy_wh_per_day"`
	HourlyW     [24]float64 `json:"hourly_w" doc:"mean of each hour of the day"`
}

type surgeJSON struct {
	Load         string   `json:"load" doc:"name of the load that starts"`
	At           string   `json:"at" doc:"time of day"`
	W            float64  `json:"w"`
	VA           float64  `json:"va"`
	Seconds      float64  `json:"seconds"`
	RestartVA    float64  `json:"restart_va" doc:"everything at once when power comes back"`
	RestartOrder []string `json:"restart_order" doc:"loads, at the tightest minute; empty: all at once, or no order"`
	Circuits     []string `json:"restart_circuits" doc:"ids, for any time of the day; empty: all at once, or no order of circuits"`
	First        int      `json:"restart_first" doc:"so many of them keep to their order, the others follow in any"`
}

type startJSON struct {
	Load    string  `json:"load" doc:"name of the load that starts"`
	At      string  `json:"at" doc:"time of day"`
	VA      float64 `json:"va"`
	Seconds float64 `json:"seconds"`
	Phase   int     `json:"phase" doc:"on which it is compared; 0: all"`
	Demand  float64 `json:"demand_va" doc:"with all that runs meanwhile"`
	Limit   float64 `json:"limit_va"`

	FloorV *float64 `json:"floor_v" doc:"of the bank at the lowest planned charge while it starts; null: its resistance is not given"`
	DownTo *float64 `json:"down_to_soc" doc:"lowest charge at which it starts; null: not known, or none"`
	Full   *bool    `json:"full_bank_starts" doc:"null: not known"`
}

type passJSON struct {
	A      float64  `json:"a" doc:"grid current to the backup board, per phase"`
	LimitA *float64 `json:"limit_a" doc:"null: pass_through_a is not given"`
}

type invJSON struct {
	ID        string  `json:"id" doc:"in the catalog; own: described by the site file"`
	Count     int     `json:"count" doc:"equal units"`
	RatedW    float64 `json:"rated_w" doc:"of all units"`
	RatedVA   float64 `json:"rated_va" doc:"of all units"`
	DeratedW  float64 `json:"derated_w" doc:"what heat and altitude leave"`
	DeratedVA float64 `json:"derated_va" doc:"what heat and altitude leave"`
	Headroom  float64 `json:"headroom" doc:"share of the ratings that is kept free; limits of checks are less it"`
}

type bankJSON struct {
	Chemistry    string  `json:"chemistry"`
	NominalV     float64 `json:"nominal_v"`
	Unit         string  `json:"unit" doc:"id in the catalog; own: described by the site file"`
	Series       int     `json:"series" doc:"units in a string"`
	Strings      int     `json:"strings" doc:"in parallel"`
	Units        int     `json:"units" doc:"in all"`
	RequiredAh   float64 `json:"required_ah" doc:"at rated_h of the unit, margins and ageing included"`
	InstalledAh  float64 `json:"installed_ah"`
	EnergyACWh   float64 `json:"energy_ac_wh"`
	EnergyDCWh   float64 `json:"energy_dc_wh"`
	DoD          float64 `json:"dod" doc:"depth of discharge that is used, 0 to 1"`
	FloorSoC     float64 `json:"floor_soc" doc:"lowest charge of the plan"`
	CutoffV      float64 `json:"cutoff_v" doc:"low-voltage cut-off to set, of the whole bank under load"`
	KTemperature float64 `json:"k_temperature" doc:"capacity factor of the cold"`
	KRate        float64 `json:"k_rate" doc:"capacity factor of the rate of discharge"`
	AutonomyH    float64 `json:"autonomy_h" doc:"at the end of the bank's life"`

	AutonomyNewH      float64  `json:"autonomy_new_h"`
	AutonomyLeastH    *float64 `json:"autonomy_least_h" doc:"from the least favourable start of the day"`
	AutonomyLeastFrom string   `json:"autonomy_least_from" doc:"that moment; \"\" where it is not known"`

	ShortestMonth  *int     `json:"shortest_month" doc:"month in which the board is not carried as long as in that of the plan, and shortest; null: none"`
	ShortestMonthH *float64 `json:"shortest_month_h" doc:"from its least favourable start; 0: more is on than the inverters carry"`
}

// bankSpreadJSON is a bank with its hours by the rhythm of the loads; null: none has one.
type bankSpreadJSON struct {
	bankJSON
	AutonomyP10H *float64 `json:"autonomy_p10_h"`
	AutonomyP50H *float64 `json:"autonomy_p50_h"`
	AutonomyP90H *float64 `json:"autonomy_p90_h"`
}

type checkJSON struct {
	ID     string   `json:"id" doc:"name of the check"`
	Status string   `json:"status"`
	Demand float64  `json:"demand" doc:"in unit"`
	Limit  *float64 `json:"limit" doc:"in unit; null: nothing to compare with"`
	Unit   string   `json:"unit" doc:"of demand and limit"`
	Margin *float64 `json:"margin" doc:"share of the limit that is left, of temperatures kelvin; null: no limit"`
	Reason string   `json:"reason"`

	InMonth int `json:"in_month,omitempty" doc:"month other than that of the plan in which it fails; none: not there"`
}

// optJSON is a variant: its figures beside the base's, and the whole plan of it.
type optJSON struct {
	Name         string   `json:"name"`
	Verdict      string   `json:"verdict"`
	AutonomyH    float64  `json:"autonomy_h"`
	PromisedH    *float64 `json:"promised_h" doc:"from the least favourable start of the day"`
	Carried      []string `json:"carried" doc:"circuits on the backup board, by label"`
	FirstFailing string   `json:"first_failing" doc:"id of the first check that fails; \"\": none"`
	MassKg       *float64 `json:"mass_kg"`
	Price        *float64 `json:"price" doc:"of the equipment; null: not all prices are given"`
	PriceMore    *float64 `json:"price_difference" doc:"beyond the base's"`
	Changes      []string `json:"changes" doc:"against the plan, in words"`
	Plan         planJSON `json:"plan"`
}

type stepJSON struct {
	No      int           `json:"no"`
	Title   phrase.Phrase `json:"title"`
	Formula phrase.Phrase `json:"formula"`
	Numbers string        `json:"numbers" doc:"empty: inputs and table have them"`
	Expr    string        `json:"expr" doc:"the formula over the names of the inputs and the columns of the table; empty where the figure was read"`
	Inputs  []inputJSON   `json:"inputs"`
	Table   *stepsJSON    `json:"table" doc:"what an algorithm goes through, row by row"`
	Value   float64       `json:"value" doc:"in unit"`
	Unit    string        `json:"unit"`
	Source  phrase.Phrase `json:"source" doc:"what it rests on, in words"`
	Sources []sourceJSON  `json:"sources" doc:"the same, each document by itself"`
	Check   string        `json:"check" doc:"the check whose margin it is"`
}

type sourceJSON struct {
	Of       phrase.Phrase `json:"of" doc:"which figure of the step; empty: all"`
	Document phrase.Phrase `json:"document" doc:"empty where no document tells it"`
	Edition  string        `json:"edition" doc:"year or edition; empty where it is not known of which the figure is"`
	Place    phrase.Phrase `json:"place" doc:"clause, table, chapter or page; without a document what it rests on"`
	Basis    string        `json:"basis" doc:"how it is known: definition, read, quoted, practice or memory"`
}

type inputJSON struct {
	Name  string        `json:"name" doc:"as the formula has it"`
	Value float64       `json:"value" doc:"in unit"`
	Unit  string        `json:"unit"`
	From  phrase.Phrase `json:"from" doc:"where it comes from, in words"`
	Table string        `json:"table" doc:"of the file, of the key"`
	At    string        `json:"at" doc:"which of several tables: a name, an id or a number"`
	Key   string        `json:"key" doc:"of the file or of the catalog's entry; empty where no key gives it"`
	Step  int           `json:"step" doc:"whose result it is; 0: of none"`
}

type stepsJSON struct {
	Columns []columnJSON `json:"columns"`
	Rows    []rowJSON    `json:"rows"`
}

type columnJSON struct {
	Name  string        `json:"name" doc:"as formulas have it"`
	Title phrase.Phrase `json:"title"`
	Unit  string        `json:"unit"`
	Expr  string        `json:"expr" doc:"over the other columns of the row, the inputs, and before_NAME, a column of the row above; empty: given"`
}

type rowJSON struct {
	Label  phrase.Phrase `json:"label" doc:"what the row is of"`
	Values []float64     `json:"values" doc:"in the order of the columns"`
}

func stepToJSON(s working.Step) stepJSON {
	out := stepJSON{No: s.No, Title: s.Title, Formula: s.Formula, Expr: s.Expr,
		Inputs: []inputJSON{}, Value: s.Value, Unit: s.Unit, Source: s.Cited(), Sources: []sourceJSON{}, Check: s.Check}
	for _, of := range s.Sources {
		source := sourceJSON{Of: of.Of, Place: of.Place, Basis: of.Basis.Name()}
		if d := of.Document; d != nil {
			source.Document, source.Edition = d.Title, d.Edition
		}
		out.Sources = append(out.Sources, source)
	}
	for _, i := range s.Inputs {
		in := inputJSON{Name: i.Name, Value: i.Value, Unit: i.Unit, From: i.From.Words(), Step: i.From.Step}
		if k := i.From.Key; k != nil {
			in.Table, in.At, in.Key = k.Table, k.At, k.Key
		}
		out.Inputs = append(out.Inputs, in)
	}
	if s.Table != nil {
		out.Table = &stepsJSON{}
		for _, c := range s.Table.Columns {
			out.Table.Columns = append(out.Table.Columns, columnJSON(c))
		}
		for _, r := range s.Table.Rows {
			out.Table.Rows = append(out.Table.Rows, rowJSON(r))
		}
	}
	return out
}

type defJSON struct {
	Table string `json:"table" doc:"of the site file"`
	Key   string `json:"key"`
	Value string `json:"value" doc:"with its unit"`
	Count int    `json:"count" doc:"how many tables left the key out"`
	Class string `json:"class,omitempty" doc:"of appliances, that the value is typical of"`

	Source phrase.Phrase `json:"source" doc:"what it rests on, in words; empty: not told"`
}

// WriteJSON writes one plan as an object, several as a list.
func WriteJSON(w io.Writer, plans []*backup.Plan, o Options) error {
	if len(plans) == 1 {
		v, err := toJSON(plans[0], o)
		if err != nil {
			return err
		}
		return encodeJSON(w, v)
	}
	all := make([]planJSON, len(plans))
	for i, p := range plans {
		var err error
		if all[i], err = toJSON(p, o); err != nil {
			return err
		}
	}
	return encodeJSON(w, all)
}

// toCore collects what every record has.
func toCore(p *backup.Plan) coreJSON {
	d, g := p.Demand, p.Inverter
	out := coreJSON{
		Site: p.Site.Name, Verdict: string(p.Verdict()), Month: p.Month,
		Demand: demandJSON{ConnectedW: d.Connected.W, ConnectedVA: d.Connected.VA, ScheduledW: d.Scheduled.W,
			ScheduledVA: d.Scheduled.VA,
			ScheduledAt: calendar.Clock(d.Scheduled.AtMin), ProbableW: d.ProbableW, Energy: d.EnergyWhPerDay,
			HourlyW: d.Profile.HourlyW()},
		Pass:   passJSON{A: p.Grid.PassThroughA, LimitA: known(g.PassThroughA(), g.PassThroughA() > 0)},
		Checks: []checkJSON{}, Cautions: phrase.Strings(p.Cautions),
		Inverter: invJSON{ID: g.Unit.ID, Count: g.Count, RatedW: g.RatedW(), RatedVA: g.RatedVA(),
			DeratedW: g.DeratedW(), DeratedVA: g.DeratedVA(), Headroom: g.Headroom},
	}
	if i := p.Starts.Worst; i >= 0 {
		st := p.Starts.All[i]
		out.Surge = &surgeJSON{Load: st.Load, At: calendar.Clock(st.AtMin), W: st.W, VA: st.VA, Seconds: st.Seconds,
			RestartVA:    p.Starts.Restart.VA,
			RestartOrder: append([]string{}, p.Starts.Restart.Order...), Circuits: []string{}}
		if len(p.Starts.Restart.Order) > 0 {
			day := p.RestartDay()
			out.Surge.Circuits, out.Surge.First = append(out.Surge.Circuits, day.Circuits...), day.First
		}
	}
	for _, c := range p.Checks {
		out.Checks = append(out.Checks, checkJSON{ID: c.ID, Status: string(c.Status), Demand: c.Demand,
			Limit: known(c.Limit, c.HasLimit), Unit: c.Unit,
			Margin: known(c.Margin, c.HasLimit), Reason: c.Reason.String(), InMonth: c.InMonth})
	}
	return out
}

func bankToJSON(p *backup.Plan) bankJSON {
	b, z := p.Bank, p.Bank.Sizing
	out := bankJSON{Chemistry: string(b.Unit.Chemistry), NominalV: b.NominalV(), Unit: b.Unit.ID, Series: b.Series,
		Strings: b.Strings, Units: b.Units(), RequiredAh: z.RequiredAh,
		InstalledAh: b.CapacityAh(),
		EnergyACWh:  b.EnergyACWh, EnergyDCWh: b.EnergyDCWh, DoD: b.DoD, FloorSoC: b.FloorSoC, CutoffV: b.CutoffV,
		KTemperature: z.KTemperature, KRate: z.KRate, AutonomyH: b.AutonomyH, AutonomyNewH: b.AutonomyNewH}
	if h, start, err := p.LeastAutonomy(); err == nil {
		out.AutonomyLeastH, out.AutonomyLeastFrom = &h, calendar.Moment(start)
	}
	if month, h, err := p.ShortestMonth(); err == nil && month > 0 {
		out.ShortestMonth, out.ShortestMonthH = &month, &h
	}
	return out
}

func toJSON(p *backup.Plan, o Options) (planJSON, error) {
	options := workers.Beside(func() (out optionsJSON) {
		out.list, out.err = optionsToJSON(p, o)
		return out
	})
	out := planJSON{coreJSON: toCore(p), Bank: bankSpreadJSON{bankJSON: bankToJSON(p)},
		HeldOff: []string{}, wiresJSON: toWiresJSON(p), Details: bankDetails(p)}
	if s, ok, err := p.Spread(); err == nil && ok {
		out.Bank.AutonomyP10H, out.Bank.AutonomyP50H, out.Bank.AutonomyP90H = &s.P10H, &s.P50H, &s.P90H
	}
	out.Starts = startsToJSON(p)
	out.Circuits, out.Split, out.Balance = circuitsMovedJSON(p), splitToJSON(p), balanceToJSON(p)
	out.StaysOn, out.Shed = levelsJSON(p), shedToJSON(p, o)
	for _, l := range p.HeldOff {
		out.HeldOff = append(out.HeldOff, l.Name)
	}
	out.Recharge, out.Typical, out.Measure = rechargeToJSON(p), typicalToJSON(p), measureToJSON(p)
	var err error
	if out.Meter, err = measuredToJSON(p); err != nil {
		return out, err
	}
	beside := options()
	if out.Options, err = beside.list, beside.err; err != nil {
		return out, err
	}
	if o.Sensitivity {
		if out.Moves, err = sensitivityJSON(p); err != nil {
			return out, err
		}
	}
	if o.Working {
		for _, s := range p.Steps() {
			out.Working = append(out.Working, stepToJSON(s))
		}
		for _, d := range p.Site.Defaults {
			out.Defaults = append(out.Defaults, defJSON{d.Table, d.Key, d.Value, d.Count, d.Class,
				p.Site.DefaultSource(d).Phrase()})
		}
	}
	return out, nil
}

func startsToJSON(p *backup.Plan) []startJSON {
	out := []startJSON{}
	for i, st := range p.Starts.All {
		js := startJSON{Load: st.Load, At: calendar.Clock(st.AtMin), VA: st.VA, Seconds: st.Seconds, Phase: st.Phase,
			Demand: st.DemandVA, Limit: st.LimitVA}
		if down := p.Details.Starts[i]; down.Known {
			js.FloorV, js.DownTo, js.Full = &down.FloorV, known(down.SoC, down.Works), &down.Works
		}
		out = append(out, js)
	}
	return out
}

// optionsJSON are the variants, or why they cannot be told.
type optionsJSON struct {
	list []optJSON
	err  error
}

// optionsToJSON are the variants with their figures beside the plan's, each with its whole plan.
func optionsToJSON(p *backup.Plan, o Options) ([]optJSON, error) {
	if len(p.Options) == 0 {
		return nil, nil
	}
	out, shown := make([]optJSON, len(p.Options)), Variants(p)[1:]
	return out, workers.Each(len(out), func(i int) (err error) {
		v := p.Options[i]
		opt := optJSON{Name: v.Name, Verdict: string(v.Plan.Verdict()), AutonomyH: v.Plan.Bank.AutonomyH,
			PromisedH: shown[i].Promised, Carried: append([]string{}, v.Plan.Carried()...), MassKg: shown[i].Mass,
			Price: shown[i].Price, PriceMore: shown[i].More, Changes: phrase.Strings(v.ChangeTexts())}
		if c := v.Plan.FirstFailing(); c != nil {
			opt.FirstFailing = c.ID
		}
		opt.Plan, err = toJSON(v.Plan, Options{Working: o.Working, HoursWished: o.HoursWished})
		out[i] = opt
		return err
	})
}

// known is a number, or null where there is none.
func known(v float64, is bool) *float64 {
	if !is {
		return nil
	}
	return &v
}

// encodeJSON writes a value as indented JSON.
func encodeJSON(w io.Writer, v any) error {
	var b bytes.Buffer
	enc := json.NewEncoder(&b)
	enc.SetIndent("", "  ")
	if err := enc.Encode(v); err != nil {
		return err
	}
	_, err := w.Write(escaped(b.Bytes()))
	return err
}

// escaped is JSON in which signs that nobody sees stand as \u202e and the like: a program reads the same text, and a
// terminal shows it as it is.
func escaped(text []byte) []byte {
	// Such signs stand in strings only: line ends are the others. Nearly every text is without, and stays as it is.
	hidden := func(r rune) bool { return r != '\n' && speech.Hidden(r) }
	var out []byte
	for {
		i := bytes.IndexFunc(text, hidden)
		if i < 0 {
			break
		}
		out = append(out, text[:i]...)
		r, n := utf8.DecodeRune(text[i:])
		if r > 0xffff {
			high, low := utf16.EncodeRune(r)
			out = fmt.Appendf(out, `\u%04x\u%04x`, high, low)
		} else {
			out = fmt.Appendf(out, `\u%04x`, r)
		}
		text = text[i+n:]
	}
	if out == nil {
		return text
	}
	return append(out, text...)
}
