package paper

import (
	"fmt"
	"strings"

	"outlast/backup/sheet/paper/doc"
	"outlast/backup/sheet/paper/findings"
	"outlast/backup/sheet/speech"
	"outlast/catalog"
)

// equipment is the data that the plan counted with, in the keys of the site file.
func (r *report) equipment() []doc.Block {
	p := r.Plan
	blocks := []doc.Block{doc.Para(r.Say("equipment.text")), {Table: r.inverterData()}, {Table: r.batteryData()}}
	for i := range p.Site.Arrays {
		blocks = append(blocks, doc.Block{Table: r.moduleData(i)})
	}
	if p.Site.Generator != nil {
		blocks = append(blocks, doc.Block{Table: r.generatorData()})
	}
	return blocks
}

// data collects the keys of one piece of equipment; what is not given is left out.
type data struct {
	v findings.Voice
	t *doc.Table
}

func (r *report) data(id, caption string) data {
	return data{r.Voice, &doc.Table{ID: id, Caption: caption, Plain: true,
		Columns: []doc.Column{doc.Head(r.Say("col.key")), doc.Right(r.Say("col.value"), ""),
			doc.Tight(r.Say("col.unit"))}}}
}

// number adds a key whose zero means that it is not given.
func (d data) number(key string, x float64, unit string) {
	if x != 0 {
		d.t.Rows = append(d.t.Rows, doc.Row{Cells: []doc.Cell{doc.Plain(d.v.KeyName(key)), d.v.Given(x),
			doc.Plain(unit)}})
	}
}

func (d data) optional(key string, x *float64, unit string) {
	if x != nil {
		d.t.Rows = append(d.t.Rows, doc.Row{Cells: []doc.Cell{doc.Plain(d.v.KeyName(key)),
			{Text: doc.Text{S: d.v.Short(*x)}, Exact: findings.AsGiven(*x)}, doc.Plain(unit)}})
	}
}

func (d data) text(key, s string) {
	if s != "" {
		d.t.Rows = append(d.t.Rows, doc.Row{Cells: []doc.Cell{doc.Plain(d.v.KeyName(key)), doc.Plain(speech.Clean(s)),
			doc.Plain("")}})
	}
}

// mass is the weight of one piece, in the unit of the site.
func (d data) mass(kg float64) {
	if kg != 0 {
		d.t.Rows = append(d.t.Rows, doc.Row{Cells: []doc.Cell{doc.Plain(d.v.KeyName("mass_kg")), d.v.Mass(kg),
			doc.Plain(d.v.MassUnit())}})
	}
}

func (r *report) inverterData() *doc.Table {
	v := r.Plan.Inverter.Unit
	d := r.data("data-inverter", r.Say("equipment.inverter", r.EquipmentName(v.ID, v.Label)))
	d.number("count", float64(r.Plan.Inverter.Count), "")
	d.number("rated_w", v.RatedW, "W")
	d.number("rated_va", v.RatedVA, "VA")
	for _, o := range v.Overload {
		d.number("overload "+r.Short(o.Seconds)+" s", o.VA, "VA")
	}
	d.number("phases", float64(v.Phases), "")
	d.number("output_v", v.OutputV, "V")
	d.number("nominal_dc_v", v.NominalDCV, "V")
	d.number("pass_through_a", v.PassThroughA, "A")
	d.number("ac_input_a", v.ACInputA, "A")
	d.number("charger_a", v.ChargerA, "A")
	d.number("dc_min_v", v.DCMinV, "V")
	d.number("dc_max_v", v.DCMaxV, "V")
	d.number("max_charge_a", v.MaxChargeA, "A")
	d.number("max_discharge_a", v.MaxDischargeA, "A")
	d.number("idle_w", v.IdleW, "W")
	d.number("efficiency", v.Efficiency, "")
	for _, e := range v.EfficiencyCurve {
		d.number("efficiency_curve "+r.Short(100*e.Load)+" %", e.Efficiency, "")
	}
	d.number("derate_from_c", v.DerateFromC, "°C")
	d.number("derate_per_c", v.DeratePerC, "1/K")
	d.number("derate_from_m", v.DerateFromM, "m")
	d.number("derate_per_100m", v.DeratePer100M, "")
	d.optional("transfer_ms", v.TransferMs, "ms")
	var chemistries []string
	for _, c := range v.Chemistries {
		chemistries = append(chemistries, string(c))
	}
	d.text("chemistries", strings.Join(chemistries, ", "))
	for i, in := range v.Inputs {
		d.input(i+1, in)
	}
	d.optional("price", v.Price, "")
	d.mass(v.MassKg)
	return d.t
}

// input is a tracker input of an inverter, by its number.
func (d data) input(n int, in catalog.TrackerInput) {
	key := func(name string) string { return fmt.Sprintf("input %d %s", n, name) }
	d.number(key("max_v"), in.MaxV, "V")
	d.number(key("start_v"), in.StartV, "V")
	d.number(key("track_min_v"), in.TrackMinV, "V")
	d.number(key("track_max_v"), in.TrackMaxV, "V")
	d.number(key("max_a"), in.MaxA, "A")
	d.number(key("max_short_circuit_a"), in.MaxShortCircuitA, "A")
	d.number(key("max_w"), in.MaxW, "W")
}

func (r *report) batteryData() *doc.Table {
	u := r.Plan.Bank.Unit
	d := r.data("data-battery", r.Say("equipment.battery", r.EquipmentName(u.ID, u.Label)))
	d.text("chemistry", string(u.Chemistry))
	d.number("nominal_v", u.NominalV, "V")
	d.number("rated_ah", u.RatedAh, "Ah")
	d.number("rated_h", u.RatedH, "h")
	for _, c := range u.Capacity {
		d.number("capacity "+r.Short(c.Hours)+" h", c.Ah, "Ah")
	}
	if len(u.Capacity) == 0 {
		d.number("peukert", u.Peukert, "")
	}
	d.number("max_charge_a", u.MaxChargeA, "A")
	d.number("max_discharge_a", u.MaxDischargeA, "A")
	d.number("pulse_a", u.PulseA, "A")
	d.number("pulse_s", u.PulseS, "s")
	d.number("charge_v", u.ChargeV, "V")
	d.number("float_v", u.FloatV, "V")
	d.number("equalise_v", u.EqualiseV, "V")
	d.number("min_v", u.MinV, "V")
	d.optional("charge_mv_per_cell_c", u.ChargeMVPerCellC, "mV/K")
	d.number("resistance_mohm", u.ResistanceMohm, "mΩ")
	d.number("max_parallel", float64(u.MaxParallel), "")
	for _, c := range u.Cycles {
		d.number("cycles "+r.Short(100*c.DoD)+" %", c.Cycles, "")
	}
	d.optional("charge_min_c", u.ChargeMinC, "°C")
	d.optional("charge_max_c", u.ChargeMaxC, "°C")
	d.optional("discharge_min_c", u.DischargeMinC, "°C")
	d.number("max_dod", u.MaxDoD, "")
	d.number("round_trip", u.RoundTrip, "")
	d.optional("price", u.Price, "")
	d.mass(u.MassKg)
	return d.t
}

func (r *report) moduleData(i int) *doc.Table {
	a := r.Plan.Site.Arrays[i]
	m := a.Module
	d := r.data(fmt.Sprintf("data-array-%d", i+1), r.Say("equipment.array", i+1, r.EquipmentName(m.ID, m.Label)))
	d.number("modules_per_string", float64(a.ModulesPerString), "")
	d.number("strings", float64(a.Strings), "")
	d.optional("tilt_deg", &a.TiltDeg, "°")
	d.optional("azimuth_deg", &a.AzimuthDeg, "°")
	d.number("input", float64(a.Input), "")
	d.number("rated_w", m.RatedW, "W")
	d.number("voc_v", m.VocV, "V")
	d.number("isc_a", m.IscA, "A")
	d.number("vmp_v", m.VmpV, "V")
	d.number("imp_a", m.ImpA, "A")
	d.number("voc_pct_per_c", m.VocPctPerC, "%/K")
	d.number("pmax_pct_per_c", m.PmaxPctPerC, "%/K")
	d.number("isc_pct_per_c", m.IscPctPerC, "%/K")
	d.number("noct_c", m.NOCTC, "°C")
	var sun []string
	for _, k := range a.MonthlyKWhM2Day {
		sun = append(sun, r.Short(k))
	}
	d.text("monthly_kwh_m2_day", r.InTurn(sun...))
	d.text("weather", a.Weather)
	return d.t
}

func (r *report) generatorData() *doc.Table {
	g := r.Plan.Site.Generator
	caption := r.Say("group.generator") + "."
	if !findings.Nameless(g.ID, g.Label) {
		caption = r.Say("equipment.generator", r.EquipmentName(g.ID, g.Label))
	}
	d := r.data("data-generator", caption)
	d.number("rated_va", g.RatedVA, "VA")
	d.number("power_factor", g.PowerFactor, "")
	d.number("phases", float64(g.Phases), "")
	d.number("output_v", g.OutputV, "V")
	d.text("fuel", g.Fuel)
	for _, f := range g.FuelLPerH {
		d.number("fuel_l_per_h "+r.Short(100*f.Load)+" %", f.LPerH, "l/h")
	}
	d.number("fuel_l", g.FuelL, "l")
	d.number("start_soc", r.Plan.GeneratorRuns.StartSoC, "")
	d.number("stop_soc", r.Plan.GeneratorRuns.StopSoC, "")
	return d.t
}
