package course

import (
	"fmt"
	"strconv"

	"outlast/backup/phrase"
	"outlast/backup/sheet/workbook/book"
)

// fillInverter works out what the inverters may give where they stand.
func (m *Home) fillInverter() {
	l := m.List(m.inverter, phrase.Of("Inverter"))
	in, out := m.In, m.Out
	l.Part(phrase.Of("Inverter"))
	sheet := phrase.Of("data sheet")
	heat := l.Figure("derating_heat", phrase.Of("Derating by heat"), "",
		phrase.Of("1 - derate_per_c * (hottest_c - derate_from_c), from 0 to 1"), "MIN(1,MAX(0,1-MAX(0,%s*(%s-%s))))",
		in["derate_per_c"], in["hottest_c"], in["derate_from_c"])
	altitude := l.Figure("derating_altitude", phrase.Of("Derating by altitude"), "",
		phrase.Of("1 - derate_per_100m * (altitude_m - derate_from_m)/100, from 0 to 1"),
		"MIN(1,MAX(0,1-MAX(0,%s*(%s-%s)/100)))", in["derate_per_100m"], in["altitude_m"], in["derate_from_m"])
	derating := l.Figure("derating", phrase.Of("Derating"), "", phrase.Of("both factors"), "%s*%s", heat, altitude)
	va := l.Figure("rated_here_va", phrase.Of("Continuous rating"), "VA", phrase.Of("rated_va * count * both factors"),
		"%s*%s*%s", in["rated_va"], in["inverters"], derating)
	w := l.Figure("rated_here_w", phrase.Of("Continuous power rating"), "W",
		phrase.Of("rated_w * count * both factors"),
		"%s*%s*%s", in["rated_w"], in["inverters"], derating)
	less := phrase.Of("rating * (1 - headroom)")
	l.Figure("limit_va", phrase.Of("Continuous rating, less headroom"), "VA", less, "%s*(1-%s)", va, in["headroom"])
	l.Figure("limit_w", phrase.Of("Continuous power rating, less headroom"), "W", less, "%s*(1-%s)", w, in["headroom"])
	l.Figure("limit_discharge_a", phrase.Of("Battery current of the inverters, less headroom"), "A", less,
		"%s*%s*(1-%s)", in["max_discharge_a"], in["inverters"], in["headroom"])
	perPhase := fmt.Sprintf("%s*%d/%d", in["inverters"], m.Plan.Site.Inverter.Phases, m.Plan.Site.Phases)
	l.Figure("limit_pass_through_a", phrase.Of("Pass-through rating per phase"), "A", sheet, "%s*%s",
		in["pass_through_a"], perPhase)
	l.Figure("limit_ac_input_a", phrase.Of("Rating of the ac input per phase"), "A", sheet, "%s*%s", in["ac_input_a"],
		perPhase)
	charger := l.Figure("grid_charger_a", phrase.Of("Charge current from the grid"), "A", sheet,
		"IF(%[2]s>0,MIN(%[1]s,%[2]s),%[1]s)*%[3]s", in["charger_a"], in["max_charge_a"], in["inverters"])
	chargerW := l.Figure("charger_input_w", phrase.Of("Charger power from the grid"), "W",
		phrase.Of("charger_a * count * charge voltage of the bank / efficiency"), "%s*%s*%s/%s", charger, in["series"],
		in["charge_v"], in["efficiency"])
	l.Figure("input_a", phrase.Of("Current from the grid per phase, chargers included"), "A",
		phrase.Of("energy balance"),
		"%s+%s/%d/%s", out["pass_through_a"], chargerW, m.Plan.Site.Phases, in["site_v"])
	l.Figure("idle_all_w", phrase.Of("Standby consumption"), "W", sheet, "%s*%s", in["idle_w"], in["inverters"])
	rated := l.Figure("rated_all_w", phrase.Of("Rated power of all inverters"), "W", sheet, "%s*%s", in["rated_w"],
		in["inverters"])
	l.Figure("dc_rated_w", phrase.Of("From the bank at rated power"), "W", phrase.Of("idle_w*count + P/efficiency"),
		"%s", m.DCPower(string(rated)))
	l.Figure("dc_scheduled_w", phrase.Of("From the bank at full simultaneous load"), "W",
		phrase.Of("idle_w*count + P/efficiency"), "%s", m.DCPower(string(out["scheduled_w"])))
}

// DCPower is the formula for what the inverters draw from the bank while they give so many watts.
func (m *Home) DCPower(w string) string {
	return fmt.Sprintf("(%s*%s+%s/%s)", m.In["idle_w"], m.In["inverters"], w, m.efficiency(w))
}

// efficiency is the formula for the efficiency of the inverters at a power: straight between the points of the curve,
// held beyond its ends.
func (m *Home) efficiency(w string) string {
	curve := m.Plan.Site.Inverter.EfficiencyCurve
	if len(curve) == 0 {
		return string(m.In["efficiency"])
	}
	load := fmt.Sprintf("(%s)/(%s*%s)", w, m.In["rated_w"], m.In["inverters"])
	at := func(i int) (load, efficiency book.Ref) {
		return m.In["curve_load_"+strconv.Itoa(i+1)], m.In["curve_"+strconv.Itoa(i+1)]
	}
	_, last := at(len(curve) - 1)
	formula := string(last)
	for i := len(curve) - 1; i > 0; i-- {
		l0, e0 := at(i - 1)
		l1, e1 := at(i)
		formula = fmt.Sprintf("IF(%[1]s<=%[4]s,%[3]s+(%[5]s-%[3]s)*(%[1]s-%[2]s)/(%[4]s-%[2]s),%[6]s)", load, l0,
			e0, l1,
			e1, formula)
	}
	l0, e0 := at(0)
	return fmt.Sprintf("IF(%s<=%s,%s,%s)", load, l0, e0, formula)
}
