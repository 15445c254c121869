package paper

import (
	"math"

	"outlast/backup/sheet/paper/doc"
	"outlast/backup/sheet/speech"
	"outlast/backup/verdict"
)

// careTable is what else is to be known of the bank: how fast it fills, the air that it wants, what it does in a fault,
// its life.
func (r *report) careTable() *doc.Table {
	b, d, s := r.Plan.Bank, r.Plan.Details, r.Plan.Site
	t := r.values("bank-care", r.Say("care.caption"))
	add := func(id string, c doc.Cell, unit, remark string) {
		t.Rows = append(t.Rows, doc.Row{Cells: []doc.Cell{doc.Plain(r.Say(id)), c, doc.Plain(unit), doc.Plain(remark)}})
	}
	floor := r.Fixed(100*b.FloorSoC, 0)
	for _, c := range d.Charges {
		if c.Problem.Empty() {
			add("care.full-"+c.By, r.Num(c.Hours, 1), "h", r.Say("care.full-remark", floor, r.Amount(c.ChargeA, "A")))
		}
	}
	if b.AirOnBoost.FlowM3PerH > 0 {
		add("care.air-boost", r.Num(b.AirOnBoost.FlowM3PerH, 2), "m³/h",
			r.Say("care.openings", r.Fixed(verdict.Enough(b.AirOnBoost.OpeningCM2), 0)))
		add("care.air-float", r.Num(b.AirOnFloat.FlowM3PerH, 2), "m³/h",
			r.Say("care.openings", r.Fixed(verdict.Enough(b.AirOnFloat.OpeningCM2), 0)))
		add("care.sparks", r.Num(verdict.Enough(b.AirOnBoost.DistanceMM/10)/100, 2), "m", r.Say("care.sparks-remark"))
		add("care.room", r.Num(verdict.Enough(b.AirOnBoost.RoomM3), 1), "m³", r.Say("care.room-remark"))
	}
	if d.HasFault {
		add("care.fault", r.Num(d.Fault.FullA, 0), "A", r.Say("care.fault-remark"))
	}
	add("care.rest", r.Num(d.RestV, 1), "V", floor+speech.Hard+"%, "+r.Temperature(s.ColdestC))
	if d.HasLoaded && d.Carries {
		add("care.loaded", r.Num(d.LoadedV, 1), "V", floor+speech.Hard+"%, "+r.Temperature(s.ColdestC))
	}
	if d.Frost != nil {
		value, unit, remark := r.Degrees(math.Round(10*d.Frost.FreezesC)/10, floor+speech.Hard+"%")
		add("care.freezes", value, unit, remark)
	}
	if d.HasCycles {
		add("care.cycles", r.Num(d.Cycles, 0), "", r.Say("care.cycles-remark"))
	}
	add("care.calendar", r.Num(100*d.CalendarShare, 0), "%", r.Say("care.calendar-remark", r.Temperature(25),
		r.Temperature(s.HottestC)))
	return t
}
