package sheet

import (
	"io"

	"outlast/backup"
	"outlast/backup/calendar"
	"outlast/backup/phrase"
)

// coreJSON is what follows for a home at once: every record has it, and so has every plan. Names and shapes are a promise to programs that
// read it; numbers are not rounded.
type coreJSON struct {
	Site     string      `json:"site"`
	Verdict  string      `json:"verdict"`
	Month    int         `json:"month"`
	Demand   demandJSON  `json:"demand"`
	Surge    *surgeJSON  `json:"surge"`
	Pass     passJSON    `json:"pass_through"`
	Inverter invJSON     `json:"inverter"`
	Checks   []checkJSON `json:"checks"`
	Cautions []string    `json:"cautions"`
}

// planJSON is the JSON of a plan.
type planJSON struct {
	coreJSON
	Starts   []startJSON     `json:"starts"`
	Bank     bankSpreadJSON  `json:"bank"`
	Details  bankDetailsJSON `json:"bank_details"`
	Circuits []circMovedJSON `json:"circuits"`
	Split    *splitJSON      `json:"allocation"` // null: nothing was left to the planner
	Balance  *balanceJSON    `json:"balancing"`  // null: the phases carry evenly enough
	StaysOn  []levelJSON     `json:"stays_on"`
	Shed     *shedJSON       `json:"shedding"` // null: the hours are reached
	HeldOff  []string        `json:"held_off"`
	Typical  []typicalJSON   `json:"typical"`
	Measure  *measureJSON    `json:"measure"` // null: no figure rests on a class
	wiresJSON
	Options  []optJSON       `json:"options,omitempty"`
	Moves    []influenceJSON `json:"sensitivity,omitempty"`
	Recharge []rechargeJSON  `json:"recharge,omitempty"`
	Working  []stepJSON      `json:"working,omitempty"`
	Defaults []defJSON       `json:"defaults,omitempty"`
}

type demandJSON struct {
	ConnectedW  float64     `json:"connected_w"`
	ConnectedVA float64     `json:"connected_va"`
	ScheduledW  float64     `json:"scheduled_w"`
	ScheduledVA float64     `json:"scheduled_va"`
	ScheduledAt string      `json:"scheduled_at"`
	ProbableW   float64     `json:"probable_w"`
	Energy      float64     `json:"energy_wh_per_day"`
	HourlyW     [24]float64 `json:"hourly_w"`
}

type surgeJSON struct {
	Load         string   `json:"load"`
	At           string   `json:"at"`
	W            float64  `json:"w"`
	VA           float64  `json:"va"`
	Seconds      float64  `json:"seconds"`
	RestartVA    float64  `json:"restart_va"`
	RestartOrder []string `json:"restart_order"`    // loads, at the tightest minute; empty: all at once, or no order
	Circuits     []string `json:"restart_circuits"` // ids, for any time of the day; empty: all at once, or no order of circuits
	First        int      `json:"restart_first"`    // so many of them keep to their order, the others follow in any
}

type startJSON struct {
	Load    string  `json:"load"`
	At      string  `json:"at"`
	VA      float64 `json:"va"`
	Seconds float64 `json:"seconds"`
	Phase   int     `json:"phase"`
	Demand  float64 `json:"demand_va"`
	Limit   float64 `json:"limit_va"`

	FloorV *float64 `json:"floor_v"`          // of the bank at the lowest planned charge while it starts; null: its resistance is not given
	DownTo *float64 `json:"down_to_soc"`      // lowest charge at which it starts; null: not known, or none
	Full   *bool    `json:"full_bank_starts"` // null: not known
}

type passJSON struct {
	A      float64  `json:"a"`
	LimitA *float64 `json:"limit_a"`
}

type invJSON struct {
	ID        string  `json:"id"`
	Count     int     `json:"count"`
	RatedW    float64 `json:"rated_w"`
	RatedVA   float64 `json:"rated_va"`
	DeratedW  float64 `json:"derated_w"`
	DeratedVA float64 `json:"derated_va"`
	Headroom  float64 `json:"headroom"` // share of the ratings that is kept free; limits of checks are less it
}

type bankJSON struct {
	Chemistry    string  `json:"chemistry"`
	NominalV     float64 `json:"nominal_v"`
	Unit         string  `json:"unit"`
	Series       int     `json:"series"`
	Strings      int     `json:"strings"`
	Units        int     `json:"units"`
	RequiredAh   float64 `json:"required_ah"`
	InstalledAh  float64 `json:"installed_ah"`
	EnergyACWh   float64 `json:"energy_ac_wh"`
	EnergyDCWh   float64 `json:"energy_dc_wh"`
	DoD          float64 `json:"dod"`
	FloorSoC     float64 `json:"floor_soc"` // lowest charge of the plan
	CutoffV      float64 `json:"cutoff_v"`  // low-voltage cut-off to set, of the whole bank under load
	KTemperature float64 `json:"k_temperature"`
	KRate        float64 `json:"k_rate"`
	AutonomyH    float64 `json:"autonomy_h"`

	AutonomyNewH      float64  `json:"autonomy_new_h"`
	AutonomyLeastH    *float64 `json:"autonomy_least_h"`    // from the worst moment of the day
	AutonomyLeastFrom string   `json:"autonomy_least_from"` // that moment; "" where it is not known
}

// bankSpreadJSON is a bank with its hours by the rhythm of the loads; null: none has one.
type bankSpreadJSON struct {
	bankJSON
	AutonomyP10H *float64 `json:"autonomy_p10_h"`
	AutonomyP50H *float64 `json:"autonomy_p50_h"`
	AutonomyP90H *float64 `json:"autonomy_p90_h"`
}

type checkJSON struct {
	ID     string   `json:"id"`
	Status string   `json:"status"`
	Demand float64  `json:"demand"`
	Limit  *float64 `json:"limit"`
	Unit   string   `json:"unit"`
	Margin *float64 `json:"margin"`
	Reason string   `json:"reason"`
}

// optJSON is a variant: its figures beside the base's, and the whole plan of it.
type optJSON struct {
	Name         string   `json:"name"`
	Verdict      string   `json:"verdict"`
	AutonomyH    float64  `json:"autonomy_h"`
	PromisedH    *float64 `json:"promised_h"` // from the worst moment of the day
	Carried      []string `json:"carried"`    // circuits on the backup board, by label
	FirstFailing string   `json:"first_failing"`
	MassKg       *float64 `json:"mass_kg"`
	Price        *float64 `json:"price"`
	PriceMore    *float64 `json:"price_difference"` // beyond the base's
	Changes      []string `json:"changes"`
	Plan         planJSON `json:"plan"`
}

type stepJSON struct {
	No      int           `json:"no"`
	Title   phrase.Phrase `json:"title"`
	Formula phrase.Phrase `json:"formula"`
	Numbers phrase.Phrase `json:"numbers"`
	Value   float64       `json:"value"`
	Unit    string        `json:"unit"`
	Source  phrase.Phrase `json:"source"`
}

type defJSON struct {
	Table string `json:"table"`
	Key   string `json:"key"`
	Value string `json:"value"`
	Count int    `json:"count"`
	Class string `json:"class,omitempty"` // of appliances, that the value is typical of
}

// writeJSON writes one plan as an object, several as a list.
func writeJSON(w io.Writer, plans []*backup.Plan, o Options) error {
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
		Demand: demandJSON{d.Connected.W, d.Connected.VA, d.Scheduled.W, d.Scheduled.VA, calendar.Clock(d.Scheduled.AtMin), d.ProbableW, d.EnergyWhPerDay, d.Profile.HourlyW()},
		Pass:   passJSON{A: p.Grid.PassThroughA, LimitA: known(g.PassThroughA(), g.PassThroughA() > 0)}, Checks: []checkJSON{}, Cautions: phrase.Strings(p.Cautions),
		Inverter: invJSON{g.Unit.ID, g.Count, g.RatedW(), g.RatedVA(), g.DeratedW(), g.DeratedVA(), g.Headroom},
	}
	if i := p.Starts.Worst; i >= 0 {
		st := p.Starts.All[i]
		out.Surge = &surgeJSON{st.Load, calendar.Clock(st.AtMin), st.W, st.VA, st.Seconds, p.Starts.Restart.VA, append([]string{}, p.Starts.Restart.Order...), []string{}, 0}
		if len(p.Starts.Restart.Order) > 0 {
			day := p.RestartDay()
			out.Surge.Circuits, out.Surge.First = append(out.Surge.Circuits, day.Circuits...), day.First
		}
	}
	for _, c := range p.Checks {
		out.Checks = append(out.Checks, checkJSON{c.ID, string(c.Status), c.Demand, known(c.Limit, c.HasLimit), c.Unit, known(c.Margin, c.HasLimit), c.Reason.String()})
	}
	return out
}

func bankToJSON(p *backup.Plan) bankJSON {
	b, z := p.Bank, p.Bank.Sizing
	out := bankJSON{string(b.Unit.Chemistry), b.NominalV(), b.Unit.ID, b.Series, b.Strings, b.Units(), z.RequiredAh, b.CapacityAh(),
		b.EnergyACWh, b.EnergyDCWh, b.DoD, b.FloorSoC, b.CutoffV, z.KTemperature, z.KRate, b.AutonomyH, b.AutonomyNewH, nil, ""}
	if h, start, err := p.LeastAutonomy(); err == nil {
		out.AutonomyLeastH, out.AutonomyLeastFrom = &h, calendar.Moment(start)
	}
	return out
}

func toJSON(p *backup.Plan, o Options) (planJSON, error) {
	out := planJSON{coreJSON: toCore(p), Bank: bankSpreadJSON{bankJSON: bankToJSON(p)}, Starts: []startJSON{}, HeldOff: []string{}, wiresJSON: toWiresJSON(p), Details: bankDetails(p)}
	if s, ok, err := p.Spread(); err == nil && ok {
		out.Bank.AutonomyP10H, out.Bank.AutonomyP50H, out.Bank.AutonomyP90H = &s.P10H, &s.P50H, &s.P90H
	}
	for i, st := range p.Starts.All {
		js := startJSON{st.Load, calendar.Clock(st.AtMin), st.VA, st.Seconds, st.Phase, st.DemandVA, st.LimitVA, nil, nil, nil}
		if down := p.Details.Starts[i]; down.Known {
			js.FloorV, js.DownTo, js.Full = &down.FloorV, known(down.SoC, down.Works), &down.Works
		}
		out.Starts = append(out.Starts, js)
	}
	out.Circuits, out.Split, out.Balance = circuitsMovedJSON(p), splitToJSON(p), balanceToJSON(p)
	out.StaysOn, out.Shed = levelsJSON(p), shedToJSON(p, o)
	for _, l := range p.HeldOff {
		out.HeldOff = append(out.HeldOff, l.Name)
	}
	out.Recharge, out.Typical, out.Measure = rechargeToJSON(p), typicalToJSON(p), measureToJSON(p)
	shown := variants(p)[1:]
	for i, v := range p.Options {
		opt := optJSON{Name: v.Name, Verdict: string(v.Plan.Verdict()), AutonomyH: v.Plan.Bank.AutonomyH, PromisedH: shown[i].promised,
			Carried: append([]string{}, v.Plan.Carried()...), MassKg: shown[i].mass, Price: shown[i].price, PriceMore: shown[i].more, Changes: phrase.Strings(v.Changes)}
		var err error
		if opt.Plan, err = toJSON(v.Plan, Options{Working: o.Working, HoursWished: o.HoursWished}); err != nil {
			return out, err
		}
		if c := v.Plan.FirstFailing(); c != nil {
			opt.FirstFailing = c.ID
		}
		out.Options = append(out.Options, opt)
	}
	if o.Sensitivity {
		var err error
		if out.Moves, err = sensitivityJSON(p); err != nil {
			return out, err
		}
	}
	if o.Working {
		for _, s := range p.Steps() {
			out.Working = append(out.Working, stepJSON{s.No, s.Title, s.Formula, s.Numbers, s.Value, s.Unit, s.Source})
		}
		for _, d := range p.Site.Defaults {
			out.Defaults = append(out.Defaults, defJSON(d))
		}
	}
	return out, nil
}

// known is a number, or null where there is none.
func known(v float64, is bool) *float64 {
	if !is {
		return nil
	}
	return &v
}
