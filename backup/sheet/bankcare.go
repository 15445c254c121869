package sheet

import (
	"fmt"
	"slices"
	"strings"

	"outlast/backup"
	"outlast/backup/sheet/speech"
)

// chargeSection is the voltages to set, by stage and temperature of the battery.
func chargeSection(p *backup.Plan) section {
	b, site := p.Bank, p.Site
	s := section{title: "Charging voltages to enter"}
	temps := []float64{25}
	if b.Unit.CompensationMV() != 0 {
		for _, c := range []float64{site.ColdestC, site.HottestC} {
			if !slices.Contains(temps, c) {
				temps = append(temps, c)
			}
		}
	}
	s.table.head, s.table.right = []string{"Stage, V"}, []bool{false}
	for _, what := range []string{"Bank", "Unit"} {
		for _, c := range temps {
			s.table.head, s.table.right = append(s.table.head, fmt.Sprintf("%s %g C", what, c)), append(s.table.right, true)
		}
	}
	for _, v := range p.Details.Stages {
		at := map[float64]float64{site.HottestC: v.AtHottest, site.ColdestC: v.AtColdest, 25: v.At25}
		row := []string{strings.ToUpper(v.Name[:1]) + v.Name[1:]}
		for _, c := range temps {
			row = append(row, tenth(at[c]))
		}
		for _, c := range temps {
			row = append(row, volts(at[c]/float64(b.Series)))
		}
		s.table.rows = append(s.table.rows, row)
	}
	mv := b.Unit.CompensationMV()
	switch {
	case mv == 0:
		s.lines = append(s.lines, "Not changed with the temperature of the battery.")
	default:
		s.lines = append(s.lines, fmt.Sprintf("%s mV per cell and kelvin, more in the cold: the charger needs its temperature sensor on the battery.", short3(mv)))
	}
	if b.Unit.EqualiseV > 0 && !p.Inverter.Unit.Equalises {
		s.lines = append(s.lines, "The inverter is not stated to equalise (equalises): find another way, or expect a shorter life.")
	}
	return s
}

// careSection is what else the owner has to know of the bank: how fast it fills, the air it wants, the cold, its life.
func careSection(p *backup.Plan) section {
	b, d := p.Bank, p.Details
	var rows [][]string
	add := func(what, value, unit, note string) { rows = append(rows, []string{what, value, unit, note}) }
	floor := whole(100 * b.FloorSoC)
	if d.Charge.LeastA > 0 {
		add("Minimum charge current", tenth(d.Charge.LeastA), "A", "a twentieth of the capacity")
	}
	most := speech.Clean(d.Charge.Source.String())
	if b.Unit.MaxChargeA == 0 {
		most = "usual where max_charge_a is not given: " + most
	}
	if d.Charge.SourcesLess() {
		most = fmt.Sprintf("given by its chargers; limit of the bank %s A: %s", tenth(d.Charge.MostA), most)
	}
	add("Maximum charge current", tenth(d.Charge.SetA), "A", most)
	if d.Charge.ColdA > 0 {
		add(fmt.Sprintf("Charge current at %g C", p.Site.ColdestC), tenth(d.Charge.ColdA), "A", "at most, as an outage is counted: "+speech.Clean(d.Charge.ColdSource.String()))
	}
	for _, c := range d.Charges {
		value, note := "-", c.Problem
		if note == "" {
			value, note = tenth(c.Hours), fmt.Sprintf("from %s %%: %s h at %s A, %s h at constant voltage", floor, tenth(c.BulkH), tenth(c.ChargeA), tenth(c.AbsorptionH))
		}
		add("Recharge time, "+c.By, value, "h", note)
	}
	low, high := b.Unit.Chemistry.RechargeFactor()
	add("Charge factor", whole(50*(low+high)), "%", fmt.Sprintf("of the charge taken, %s to %s %%", whole(100*low), whole(100*high)))
	if b.AirOnBoost.FlowM3PerH > 0 {
		add("Ventilation air flow, boost charge", short3(b.AirOnBoost.FlowM3PerH), "m3/h", fmt.Sprintf("inlet and outlet openings of %s cm2 each", whole(b.AirOnBoost.OpeningCM2)))
		add("Ventilation air flow, on float", short3(b.AirOnFloat.FlowM3PerH), "m3/h", fmt.Sprintf("inlet and outlet openings of %s cm2 each", whole(b.AirOnFloat.OpeningCM2)))
		add("Distance of sparks", short3(b.AirOnBoost.DistanceMM/1000), "m", "from the vents of the battery, at least; no flame, no switch, no socket")
		add("Well ventilated room", short3(b.AirOnBoost.RoomM3), "m3", "free volume from which a room counts as such")
	}
	rest := fmt.Sprintf("open-circuit voltage %s V; at %s %% charge and %g C", tenth(d.RestV), floor, p.Site.ColdestC)
	switch {
	case d.HasLoaded && d.Carries:
		add("Voltage at full load", tenth(d.LoadedV), "V", rest)
	case d.HasLoaded:
		add("Voltage at full load", "-", "V", "it cannot supply so much power; "+rest)
	}
	if d.HasCycles {
		note := "at the planned depth of discharge; laboratory figure, an upper bound"
		if d.CyclesBeyond {
			note = "at the planned depth of discharge, outside the unit's table; an upper bound"
		}
		add("Cycles", whole(d.Cycles), "", note)
	}
	add("Calendar life", whole(100*d.CalendarShare), "%", fmt.Sprintf("of that at 25 C, if it stood at %g C all year; rule of thumb", p.Site.HottestC))
	s := section{title: "Battery data and maintenance", table: table{[]string{"Battery", "Value", "", ""}, []bool{false, true, false, false}, rows}}
	if limit, is := p.TooColdToCharge(); is {
		s.lines = append(s.lines, fmt.Sprintf("Below %g C it must not be charged at all: no source fills it then.", limit))
	}
	return s
}
