package sheet

import (
	"slices"

	"outlast/backup"
	"outlast/backup/facts"
	"outlast/backup/phrase"
	"outlast/backup/sheet/grid"
	"outlast/backup/verdict"
	"outlast/backup/wording"
)

// chargeSection is the voltages to set, by stage and temperature of the battery.
func chargeSection(p *backup.Plan) grid.Section {
	b, site := p.Bank, p.Site
	s := grid.Section{Title: phrase.Of("Charging voltages to enter")}
	temps := []float64{25}
	if b.Unit.CompensationMV() != 0 {
		for _, c := range []float64{site.ColdestC, site.HottestC} {
			if !slices.Contains(temps, c) {
				temps = append(temps, c)
			}
		}
	}
	s.Table.Head, s.Table.Right = []phrase.Phrase{phrase.Of("Stage, V")}, []bool{false}
	for _, c := range temps {
		s.Table.Head, s.Table.Right = append(s.Table.Head, phrase.Of("Bank %s", wording.Amount(c, "C"))),
			append(s.Table.Right, true)
	}
	for _, c := range temps {
		s.Table.Head, s.Table.Right = append(s.Table.Head, phrase.Of("Unit %s", wording.Amount(c, "C"))),
			append(s.Table.Right, true)
	}
	for _, v := range p.Details.Stages {
		at := map[float64]float64{site.HottestC: v.AtHottest, site.ColdestC: v.AtColdest, 25: v.At25}
		row := []phrase.Phrase{stageName(v.Name)}
		for _, c := range temps {
			row = append(row, grid.Num(grid.Tenth(at[c])))
		}
		for _, c := range temps {
			row = append(row, grid.Num(grid.Volts(at[c]/float64(b.Series))))
		}
		s.Table.Rows = append(s.Table.Rows, row)
	}
	mv := b.Unit.CompensationMV()
	switch {
	case mv == 0:
		s.Lines = append(s.Lines, phrase.Of("Not changed with the temperature of the battery."))
	default:
		s.Lines = append(s.Lines,
			phrase.Of("%s mV per cell and kelvin, more in the cold: the charger needs its temperature sensor on the battery.",
				phrase.Number(grid.Short3(mv))))
	}
	if b.Unit.EqualiseV > 0 && !p.Inverter.Unit.Equalises {
		s.Lines = append(s.Lines,
			phrase.Of("The inverter is not stated to equalise (equalises): find another way, or expect a shorter life."))
	}
	return s
}

// stageName is a stage of charging.
func stageName(stage string) phrase.Phrase {
	switch stage {
	case "absorption":
		return phrase.Of("Absorption")
	case "float":
		return phrase.Of("Float")
	}
	return phrase.Of("Equalise")
}

// careSection is what else the owner has to know of the bank: how fast it fills, the air it wants, the cold, its life.
func careSection(p *backup.Plan) grid.Section {
	r := &careRows{Plan: p, floor: grid.Measured(grid.Whole(100*p.Bank.FloorSoC), "%")}
	r.charging()
	r.air()
	r.volts()
	r.life()
	s := grid.Section{Title: phrase.Of("Battery data and maintenance"),
		Table: grid.Values(phrase.Of("Battery"), r.rows)}
	if limit, is := p.TooColdToCharge(); is {
		s.Lines = append(s.Lines, phrase.Of("Below %s it must not be charged at all: no source fills it then.",
			wording.Amount(limit, "C")))
	}
	return s
}

// careRows are the rows of that section as they are put together.
type careRows struct {
	*backup.Plan
	floor phrase.Measure // the lowest charge of the plan
	rows  [][]phrase.Phrase
}

func (r *careRows) add(what, value phrase.Phrase, in string, note phrase.Phrase) {
	r.rows = append(r.rows, []phrase.Phrase{what, value, grid.Unit(in), note})
}

// charging is with how much and how long the bank is charged.
func (r *careRows) charging() {
	b, d := r.Bank, r.Details
	if d.Charge.LeastA > 0 {
		r.add(phrase.Of("Minimum charge current"), grid.Num(grid.Tenth(d.Charge.LeastA)), "A",
			phrase.Of("a twentieth of the capacity"))
	}
	most := d.Charge.Source.Phrase()
	if b.Unit.MaxChargeA == 0 {
		most = phrase.Of("usual where max_charge_a is not given: %s", most)
	}
	if d.Charge.SourcesLess() {
		most = phrase.Of("given by its chargers; limit of the bank %s: %s",
			grid.Measured(grid.Tenth(d.Charge.MostA), "A"), most)
	}
	r.add(phrase.Of("Maximum charge current"), grid.Num(grid.Tenth(d.Charge.SetA)), "A", most)
	if d.Charge.ColdA > 0 {
		r.add(phrase.Of("Charge current at %s", wording.Amount(r.Site.ColdestC, "C")),
			grid.Num(grid.Tenth(d.Charge.ColdA)), "A",
			phrase.Of("at most, as an outage is counted: %s", d.Charge.ColdSource.Phrase()))
	}
	for _, c := range d.Charges {
		value, note := grid.Dash, c.Problem
		if note.Empty() {
			value = grid.Num(grid.Tenth(c.Hours))
			note = phrase.Of("from %s: %s at %s, %s at constant voltage", r.floor,
				grid.Measured(grid.Tenth(c.BulkH), "h"),
				grid.Measured(grid.Tenth(c.ChargeA), "A"), grid.Measured(grid.Tenth(c.AbsorptionH), "h"))
		}
		cold := wording.Amount(r.Site.ColdestC, "C")
		by, byCold := phrase.Of("Recharge time, grid"), phrase.Of("Recharge time, grid, at %s", cold)
		if c.By != facts.ByGrid {
			by, byCold = phrase.Of("Recharge time, generator"), phrase.Of("Recharge time, generator, at %s", cold)
		}
		r.add(by, value, "h", note)
		if c.Cold.Hours > 0 {
			r.add(byCold, grid.Num(grid.Tenth(c.Cold.Hours)), "h", phrase.Of("at %s, as long as the battery is so cold",
				grid.Measured(grid.Tenth(d.Charge.ColdA), "A")))
		}
	}
	low, high := b.Unit.Chemistry.RechargeFactor()
	r.add(phrase.Of("Charge factor"), grid.Num(grid.Whole(50*(low+high))), "%",
		phrase.Of("of the charge taken, %s to %s", phrase.Number(grid.Whole(100*low)),
			grid.Measured(grid.Whole(100*high), "%")))
}

// air is what a bank that releases gas wants of its room.
func (r *careRows) air() {
	b := r.Bank
	if b.AirOnBoost.FlowM3PerH > 0 {
		openings := func(cm2 float64) phrase.Phrase {
			return phrase.Of("inlet and outlet openings of %s each", grid.Measured(grid.Whole(verdict.Enough(cm2)), "cm2"))
		}
		r.add(phrase.Of("Ventilation air flow, boost charge"), grid.Num(grid.Short3(b.AirOnBoost.FlowM3PerH)), "m3/h",
			openings(b.AirOnBoost.OpeningCM2))
		r.add(phrase.Of("Ventilation air flow, on float"), grid.Num(grid.Short3(b.AirOnFloat.FlowM3PerH)), "m3/h",
			openings(b.AirOnFloat.OpeningCM2))
		r.add(phrase.Of("Distance from sources of sparks"), grid.Num(grid.Short3(verdict.Enough(b.AirOnBoost.DistanceMM)/1000)), "m",
			phrase.Of("from the vents of the battery, at least; no flame, no switch, no socket"))
		r.add(phrase.Of("Well ventilated room"), grid.Num(grid.Short3(verdict.Enough(b.AirOnBoost.RoomM3))), "m3",
			phrase.Of("free volume from which a room counts as such"))
	}
}

func (r *careRows) volts() {
	d := r.Details
	rest := phrase.Of("open-circuit voltage %s; at %s charge and %s", grid.Measured(grid.Tenth(d.RestV), "V"), r.floor,
		wording.Amount(r.Site.ColdestC, "C"))
	switch {
	case d.HasLoaded && d.Carries:
		r.add(phrase.Of("Voltage at full load"), grid.Num(grid.Tenth(d.LoadedV)), "V", rest)
	case d.HasLoaded:
		r.add(phrase.Of("Voltage at full load"), grid.Dash, "V", phrase.Of("it cannot supply so much power; %s", rest))
	}
}

func (r *careRows) life() {
	d := r.Details
	if d.HasCycles {
		note := phrase.Of("at the planned depth of discharge; laboratory figure, an upper bound")
		if d.CyclesBeyond {
			note = phrase.Of("at the planned depth of discharge, outside the unit's table; an upper bound")
		}
		r.add(phrase.Of("Cycles"), grid.Num(grid.Whole(d.Cycles)), "", note)
	}
	r.add(phrase.Of("Calendar life"), grid.Num(grid.Whole(100*d.CalendarShare)), "%",
		phrase.Of("of that at %s, if it stood at %s all year; rule of thumb", wording.Amount(25, "C"),
			wording.Amount(r.Site.HottestC, "C")))
}
