package record

import (
	"outlast/backup"
	"outlast/battery"
)

// bankDetailsJSON is the bank beyond its size. Numbers that the data do not allow are null.
type bankDetailsJSON struct {
	EndSoC float64 `json:"autonomy_end_soc"`
	EndsBy string  `json:"autonomy_ends_by" doc:"charge, voltage, current, rate; \"\" where nothing ended it"`

	Stages []stageJSON `json:"charging_voltages"`
	Charge struct {
		LeastA   float64          `json:"least_a"`
		MostA    float64          `json:"most_a"`
		SourcesA *float64         `json:"sources_a" doc:"null: not known"`
		SetA     float64          `json:"set_a"`
		ColdA    *float64         `json:"coldest_a" doc:"the most in the coldest battery space; null: no less than set_a, or nothing at all"`
		Source   string           `json:"source"`
		Factor   [2]float64       `json:"recharge_factor" doc:"lowest and highest"`
		Recharge []chargeTimeJSON `json:"recharge"`
	} `json:"charging"`
	Volts struct {
		EmptyV   float64  `json:"empty_v"`
		NominalV float64  `json:"nominal_v"`
		RestV    float64  `json:"floor_at_rest_v"`
		LoadedV  *float64 `json:"floor_loaded_v" doc:"null: it cannot give so much power"`
	} `json:"volts"`
	Ventilation *ventilationJSON `json:"ventilation" doc:"null: lithium"`
	Freezing    *freezingJSON    `json:"freezing" doc:"null: gel, lithium"`
	Resistance  *resistanceJSON  `json:"resistance" doc:"null: not given"`
	Fault       *faultJSON       `json:"short_circuit"`
	MassKg      *float64         `json:"mass_kg"`
	Cycles      *float64         `json:"cycles" doc:"until end of life, at this depth; null: not given"`
	Calendar    float64          `json:"calendar_life_share" doc:"0 to 1"`
	Kinetic     *kineticJSON     `json:"kinetic_model" doc:"null: lithium"`
	Cross       *crossJSON       `json:"cross_checks" doc:"null: lithium"`
}

type stageJSON struct {
	Stage     string  `json:"stage"`
	UnitAt25V float64 `json:"unit_25c_v"`
	At25V     float64 `json:"25c_v"`
	ColdestV  float64 `json:"coldest_v"`
	HottestV  float64 `json:"hottest_v"`
}

type chargeTimeJSON struct {
	By          string   `json:"by" doc:"source of the charge"`
	OfferedA    float64  `json:"offered_a"`
	ChargeA     *float64 `json:"charge_a"`
	FromSoC     float64  `json:"from_soc"`
	InAh        *float64 `json:"in_ah"`
	BulkH       *float64 `json:"full_current_h"`
	AbsorptionH *float64 `json:"constant_voltage_h"`
	Hours       *float64 `json:"hours"`
	ModelH      *float64 `json:"model_hours"`
	Problem     string   `json:"problem" doc:"why it never gets full; \"\": it does"`
}

type airJSON struct {
	FlowM3PerH float64 `json:"flow_m3_h"`
	OpeningCM2 float64 `json:"opening_cm2"`
	RoomM3     float64 `json:"room_m3"`
	SparksM    float64 `json:"spark_distance_m"`
	Rule       string  `json:"rule" doc:"table, charger or as"`
}

type ventilationJSON struct {
	Float airJSON  `json:"float"`
	Boost airJSON  `json:"boost"`
	C10Ah float64  `json:"c10_ah"`
	Vent  *float64 `json:"vent_cm2"`
}

func airOf(v battery.Ventilation) airJSON {
	return airJSON{v.FlowM3PerH, v.OpeningCM2, v.RoomM3, v.DistanceMM / 1000, string(v.Rule)}
}

type freezingJSON struct {
	FloorC   float64 `json:"at_floor_c"`
	LeastSoC float64 `json:"least_soc_at_coldest"`
}

type resistanceJSON struct {
	FullOhm float64 `json:"full_25c_ohm"`
	ColdOhm float64 `json:"floor_coldest_ohm"`
}

type faultJSON struct {
	FullA    float64 `json:"full_a"`
	NominalA float64 `json:"nominal_a"`
}

type kineticJSON struct {
	Share     float64   `json:"available_share"`
	RatePerH  float64   `json:"rate_per_h"`
	FullAh    float64   `json:"unit_full_ah"`
	Residuals []float64 `json:"residuals"`
}

type crossJSON struct {
	DutyAh      *float64 `json:"duty_cycle_ah"`
	DutyWhy     string   `json:"duty_cycle_differs"`
	AutonomyAh  *float64 `json:"autonomy_method_ah"`
	AutonomyWhy string   `json:"autonomy_method_differs"`
	Problem     string   `json:"problem"`
}

func bankDetails(p *backup.Plan) bankDetailsJSON {
	b, d := p.Bank, p.Details
	out := bankDetailsJSON{EndSoC: b.EndSoC, EndsBy: string(b.EndsBy), Stages: []stageJSON{}, Calendar: d.CalendarShare,
		MassKg: known(b.MassKg(), b.MassKg() > 0), Cycles: known(d.Cycles, d.HasCycles)}
	for _, v := range d.Stages {
		out.Stages = append(out.Stages, stageJSON{v.Name, v.At25 / float64(b.Series), v.At25, v.AtColdest, v.AtHottest})
	}
	out.Charge.LeastA, out.Charge.MostA, out.Charge.Source = d.Charge.LeastA, d.Charge.MostA, d.Charge.Source.String()
	out.Charge.SourcesA, out.Charge.SetA = known(d.Charge.SourcesA, d.Charge.SourcesA > 0), d.Charge.SetA
	out.Charge.ColdA = known(d.Charge.ColdA, d.Charge.ColdA > 0)
	out.Charge.Factor[0], out.Charge.Factor[1] = b.Unit.Chemistry.RechargeFactor()
	out.Charge.Recharge = []chargeTimeJSON{}
	for _, c := range d.Charges {
		ok := c.Problem.Empty()
		out.Charge.Recharge = append(out.Charge.Recharge, chargeTimeJSON{c.By, c.OfferedA, known(c.ChargeA, ok),
			c.FromSoC, known(c.InAh, ok),
			known(c.BulkH, ok), known(c.AbsorptionH, ok), known(c.Hours, ok), known(c.ModelH, ok && c.ModelOK),
			c.Problem.String()})
	}
	out.Volts.EmptyV, out.Volts.NominalV, out.Volts.RestV, out.Volts.LoadedV = b.MinV(), b.NominalV(), d.RestV,
		known(d.LoadedV, d.Carries)
	if _, gas := b.Unit.Chemistry.Gas(); gas {
		out.Ventilation = &ventilationJSON{airOf(b.AirOnFloat), airOf(b.AirOnBoost), b.C10Ah(),
			known(p.Site.VentCM2, p.Site.VentCM2 > 0)}
	}
	if f := d.Frost; f != nil {
		out.Freezing = &freezingJSON{f.FreezesC, f.LeastSoC}
	}
	if d.ResistanceOhm > 0 {
		out.Resistance = &resistanceJSON{d.ResistanceOhm, d.ColdOhm}
	}
	if d.HasFault {
		out.Fault = &faultJSON{d.Fault.FullA, d.Fault.NominalA}
	}
	if k := d.Kinetic; k != nil {
		out.Kinetic = &kineticJSON{k.AvailableShare, k.RatePerH, k.FullAh, k.Residuals}
	}
	if c := d.Cross; c != nil {
		ok := c.Problem.Empty()
		out.Cross = &crossJSON{known(c.Duty.RequiredAh, ok), c.DutyWhy.String(), known(c.Autonomy.RequiredAh, ok),
			c.AutonomyWhy.String(), c.Problem.String()}
	}
	return out
}

// bankRows is the same in the list of figures.
func bankRows(p *backup.Plan, number func(section, item, name string, v float64, unit string),
	text func(section, item, name, value, unit string)) {
	b, d := p.Bank, p.Details
	text("bank", b.Unit.ID, "autonomy_ends_by", string(b.EndsBy), "")
	number("bank", b.Unit.ID, "autonomy_end_soc", 100*b.EndSoC, "%")
	for _, v := range d.Stages {
		number("charging_voltage", v.Name, "25c_v", v.At25, "V")
		number("charging_voltage", v.Name, "coldest_v", v.AtColdest, "V")
		number("charging_voltage", v.Name, "hottest_v", v.AtHottest, "V")
	}
	number("charging", "", "least_a", d.Charge.LeastA, "A")
	number("charging", "", "most_a", d.Charge.MostA, "A")
	number("charging", "", "set_a", d.Charge.SetA, "A")
	for _, c := range d.Charges {
		if !c.Problem.Empty() {
			text("charging", c.By, "problem", c.Problem.String(), "")
			continue
		}
		number("charging", c.By, "charge_a", c.ChargeA, "A")
		number("charging", c.By, "full_current_h", c.BulkH, "h")
		number("charging", c.By, "constant_voltage_h", c.AbsorptionH, "h")
		number("charging", c.By, "hours", c.Hours, "h")
	}
	if b.AirOnBoost.FlowM3PerH > 0 {
		number("ventilation", "float", "flow", b.AirOnFloat.FlowM3PerH, "m3/h")
		number("ventilation", "float", "opening", b.AirOnFloat.OpeningCM2, "cm2")
		number("ventilation", "boost", "flow", b.AirOnBoost.FlowM3PerH, "m3/h")
		number("ventilation", "boost", "opening", b.AirOnBoost.OpeningCM2, "cm2")
		number("ventilation", "boost", "room", b.AirOnBoost.RoomM3, "m3")
		number("ventilation", "boost", "spark_distance", b.AirOnBoost.DistanceMM/1000, "m")
	}
	if d.HasFault {
		number("bank", b.Unit.ID, "short_circuit_a", d.Fault.FullA, "A")
		number("bank", b.Unit.ID, "resistance", 1000*d.ResistanceOhm, "mohm")
	}
	if m := b.MassKg(); m > 0 {
		number("bank", b.Unit.ID, "mass", m, "kg")
	}
	if d.HasCycles {
		number("bank", b.Unit.ID, "cycles", d.Cycles, "")
	}
	number("bank", b.Unit.ID, "calendar_life_share", 100*d.CalendarShare, "%")
	if c := d.Cross; c != nil && c.Problem.Empty() {
		number("bank", b.Unit.ID, "duty_cycle_ah", c.Duty.RequiredAh, "Ah")
		number("bank", b.Unit.ID, "autonomy_method_ah", c.Autonomy.RequiredAh, "Ah")
	}
}
