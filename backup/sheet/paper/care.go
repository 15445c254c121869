package paper

// careTable is what else is to be known of the bank: how fast it fills, the air that it wants, what it does in a fault, its life.
func (r *report) careTable() *Table {
	b, d, s := r.plan.Bank, r.plan.Details, r.plan.Site
	t := r.values("bank-care", r.Say("care.caption"))
	add := func(id string, c Cell, unit, remark string) {
		t.Rows = append(t.Rows, Row{Cells: []Cell{cell(r.Say(id)), c, cell(unit), cell(remark)}})
	}
	floor := r.Fixed(100*b.FloorSoC, 0)
	for _, c := range d.Charges {
		if c.Problem == "" {
			add("care.full-"+c.By, r.num(c.Hours, 1), "h", r.Say("care.full-remark", floor, r.Amount(c.ChargeA, "A")))
		}
	}
	if b.AirOnBoost.FlowM3PerH > 0 {
		add("care.air-boost", r.num(b.AirOnBoost.FlowM3PerH, 2), "m³/h", r.Say("care.openings", r.Fixed(b.AirOnBoost.OpeningCM2, 0)))
		add("care.air-float", r.num(b.AirOnFloat.FlowM3PerH, 2), "m³/h", r.Say("care.openings", r.Fixed(b.AirOnFloat.OpeningCM2, 0)))
		add("care.sparks", r.num(b.AirOnBoost.DistanceMM/1000, 2), "m", r.Say("care.sparks-remark"))
		add("care.room", r.num(b.AirOnBoost.RoomM3, 1), "m³", r.Say("care.room-remark"))
	}
	if d.HasFault {
		add("care.fault", r.num(d.Fault.FullA, 0), "A", r.Say("care.fault-remark"))
	}
	add("care.rest", r.num(d.RestV, 1), "V", floor+hard+"%, "+r.Temperature(s.ColdestC))
	if d.HasLoaded && d.Carries {
		add("care.loaded", r.num(d.LoadedV, 1), "V", floor+hard+"%, "+r.Temperature(s.ColdestC))
	}
	if d.Frost != nil {
		add("care.freezes", r.degrees(d.Frost.FreezesC), "", floor+hard+"%")
	}
	if d.HasCycles {
		add("care.cycles", r.num(d.Cycles, 0), "", r.Say("care.cycles-remark"))
	}
	add("care.calendar", r.num(100*d.CalendarShare, 0), "%", r.Say("care.calendar-remark", r.Temperature(25), r.Temperature(s.HottestC)))
	return t
}
