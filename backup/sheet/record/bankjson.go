package record

import (
	"outlast/backup"
	"outlast/battery"
)

// bankDetailsJSON is the bank beyond its size. Numbers that the data do not allow are null.
type bankDetailsJSON struct {
	EndSoC float64 `json:"autonomy_end_soc"`
	EndsBy string  `json:"autonomy_ends_by" doc:"charge, voltage, current, rate, cold; \"\" where nothing ended it"`

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
	ColdestH    *float64 `json:"coldest_hours" doc:"with coldest_a; null: it gets no more than that at any temperature"`
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
	return airJSON{FlowM3PerH: v.FlowM3PerH, OpeningCM2: v.OpeningCM2, RoomM3: v.RoomM3, SparksM: v.DistanceMM / 1000,
		Rule: string(v.Rule)}
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
		out.Stages = append(out.Stages, stageJSON{Stage: v.Name, UnitAt25V: v.At25 / float64(b.Series), At25V: v.At25,
			ColdestV: v.AtColdest, HottestV: v.AtHottest})
	}
	out.Charge.LeastA, out.Charge.MostA, out.Charge.Source = d.Charge.LeastA, d.Charge.MostA, d.Charge.Source.String()
	out.Charge.SourcesA, out.Charge.SetA = known(d.Charge.SourcesA, d.Charge.SourcesA > 0), d.Charge.SetA
	out.Charge.ColdA = known(d.Charge.ColdA, d.Charge.ColdA > 0)
	out.Charge.Factor[0], out.Charge.Factor[1] = b.Unit.Chemistry.RechargeFactor()
	out.Charge.Recharge = []chargeTimeJSON{}
	for _, c := range d.Charges {
		ok := c.Problem.Empty()
		out.Charge.Recharge = append(out.Charge.Recharge, chargeTimeJSON{By: c.By, OfferedA: c.OfferedA,
			ChargeA: known(c.ChargeA, ok),
			FromSoC: c.FromSoC, InAh: known(c.InAh, ok),
			BulkH: known(c.BulkH, ok), AbsorptionH: known(c.AbsorptionH, ok), Hours: known(c.Hours, ok),
			ColdestH: known(c.Cold.Hours, ok && c.Cold.Hours > 0),
			ModelH:   known(c.ModelH, ok && c.ModelOK),
			Problem:  c.Problem.String()})
	}
	out.Volts.EmptyV, out.Volts.NominalV, out.Volts.RestV, out.Volts.LoadedV = b.MinV(), b.NominalV(), d.RestV,
		known(d.LoadedV, d.Carries)
	if _, gas := b.Unit.Chemistry.Gas(); gas {
		out.Ventilation = &ventilationJSON{Float: airOf(b.AirOnFloat), Boost: airOf(b.AirOnBoost), C10Ah: b.C10Ah(),
			Vent: known(p.Site.VentCM2, p.Site.VentCM2 > 0)}
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
		out.Kinetic = &kineticJSON{Share: k.AvailableShare, RatePerH: k.RatePerH, FullAh: k.FullAh,
			Residuals: k.Residuals}
	}
	if c := d.Cross; c != nil {
		ok := c.Problem.Empty()
		out.Cross = &crossJSON{DutyAh: known(c.Duty.RequiredAh, ok), DutyWhy: c.DutyWhy.String(),
			AutonomyAh:  known(c.Autonomy.RequiredAh, ok),
			AutonomyWhy: c.AutonomyWhy.String(), Problem: c.Problem.String()}
	}
	return out
}

// bank is the same in the list of figures.
func (w *figureRows) bank(p *backup.Plan) {
	b, d := p.Bank, p.Details
	w.text("bank", b.Unit.ID, "autonomy_ends_by", string(b.EndsBy), "")
	w.number("bank", b.Unit.ID, "autonomy_end_soc", 100*b.EndSoC, "%")
	for _, v := range d.Stages {
		w.number("charging_voltage", v.Name, "25c_v", v.At25, "V")
		w.number("charging_voltage", v.Name, "coldest_v", v.AtColdest, "V")
		w.number("charging_voltage", v.Name, "hottest_v", v.AtHottest, "V")
	}
	w.number("charging", "", "least_a", d.Charge.LeastA, "A")
	w.number("charging", "", "most_a", d.Charge.MostA, "A")
	w.number("charging", "", "set_a", d.Charge.SetA, "A")
	for _, c := range d.Charges {
		if !c.Problem.Empty() {
			w.text("charging", c.By, "problem", c.Problem.String(), "")
			continue
		}
		w.number("charging", c.By, "charge_a", c.ChargeA, "A")
		w.number("charging", c.By, "full_current_h", c.BulkH, "h")
		w.number("charging", c.By, "constant_voltage_h", c.AbsorptionH, "h")
		w.number("charging", c.By, "hours", c.Hours, "h")
		if c.Cold.Hours > 0 {
			w.number("charging", c.By, "coldest_hours", c.Cold.Hours, "h")
		}
	}
	if b.AirOnBoost.FlowM3PerH > 0 {
		w.number("ventilation", "float", "flow", b.AirOnFloat.FlowM3PerH, "m3/h")
		w.number("ventilation", "float", "opening", b.AirOnFloat.OpeningCM2, "cm2")
		w.number("ventilation", "boost", "flow", b.AirOnBoost.FlowM3PerH, "m3/h")
		w.number("ventilation", "boost", "opening", b.AirOnBoost.OpeningCM2, "cm2")
		w.number("ventilation", "boost", "room", b.AirOnBoost.RoomM3, "m3")
		w.number("ventilation", "boost", "spark_distance", b.AirOnBoost.DistanceMM/1000, "m")
	}
	if d.HasFault {
		w.number("bank", b.Unit.ID, "short_circuit_a", d.Fault.FullA, "A")
		w.number("bank", b.Unit.ID, "resistance", 1000*d.ResistanceOhm, "mohm")
	}
	if m := b.MassKg(); m > 0 {
		w.number("bank", b.Unit.ID, "mass", m, "kg")
	}
	if d.HasCycles {
		w.number("bank", b.Unit.ID, "cycles", d.Cycles, "")
	}
	w.number("bank", b.Unit.ID, "calendar_life_share", 100*d.CalendarShare, "%")
	if c := d.Cross; c != nil && c.Problem.Empty() {
		w.number("bank", b.Unit.ID, "duty_cycle_ah", c.Duty.RequiredAh, "Ah")
		w.number("bank", b.Unit.ID, "autonomy_method_ah", c.Autonomy.RequiredAh, "Ah")
	}
}
