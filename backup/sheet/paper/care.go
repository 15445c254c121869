package paper

// careTable is what else is to be known of the bank: how fast it fills, the air that it wants, what it does in a fault, its life.
func (r *report) careTable() *Table {
	b, d, s := r.plan.Bank, r.plan.Details, r.plan.Site
	t := r.values("bank-care", r.say("care.caption"))
	add := func(id string, c Cell, unit, remark string) {
		t.Rows = append(t.Rows, Row{Cells: []Cell{cell(r.say(id)), c, cell(unit), cell(remark)}})
	}
	floor := r.fixed(100*b.FloorSoC, 0)
	for _, c := range d.Charges {
		if c.Problem == "" {
			add("care.full-"+c.By, r.num(c.Hours, 1), "h", r.say("care.full-remark", floor, r.amount(c.ChargeA, "A")))
		}
	}
	if b.AirOnBoost.FlowM3PerH > 0 {
		add("care.air-boost", r.num(b.AirOnBoost.FlowM3PerH, 2), "m³/h", r.say("care.openings", r.fixed(b.AirOnBoost.OpeningCM2, 0)))
		add("care.air-float", r.num(b.AirOnFloat.FlowM3PerH, 2), "m³/h", r.say("care.openings", r.fixed(b.AirOnFloat.OpeningCM2, 0)))
		add("care.sparks", r.num(b.AirOnBoost.DistanceMM/1000, 2), "m", r.say("care.sparks-remark"))
		add("care.room", r.num(b.AirOnBoost.RoomM3, 1), "m³", r.say("care.room-remark"))
	}
	if d.HasFault {
		add("care.fault", r.num(d.Fault.FullA, 0), "A", r.say("care.fault-remark"))
	}
	add("care.rest", r.num(d.RestV, 1), "V", floor+hard+"%, "+r.temperature(s.ColdestC))
	if d.HasLoaded && d.Carries {
		add("care.loaded", r.num(d.LoadedV, 1), "V", floor+hard+"%, "+r.temperature(s.ColdestC))
	}
	if d.Frost != nil {
		add("care.freezes", r.degrees(d.Frost.FreezesC), "", floor+hard+"%")
	}
	if d.HasCycles {
		add("care.cycles", r.num(d.Cycles, 0), "", r.say("care.cycles-remark"))
	}
	add("care.calendar", r.num(100*d.CalendarShare, 0), "%", r.say("care.calendar-remark", r.temperature(25), r.temperature(s.HottestC)))
	return t
}
