package main

import "fmt"

const plainBank = "chemistry = \"flooded\"\nrated_h = 20\npeukert = 1\nmax_dod = 1\nmin_v = 1\n"

// bankOf is a bank without an effect of rate.
func bankOf(nominalV, ah float64, more string) string {
	return plainBank + fmt.Sprintf("nominal_v = %g\nrated_ah = %g\n%s", nominalV, ah, more)
}

func dc(volts float64) string { return fmt.Sprintf("nominal_dc_v = %g", volts) }

// sourcedBanks are sizes of banks.
func sourcedBanks() []sourced {
	half := "max_dod = 0.5"
	all := []sourced{
		{"1 kWh a day for 2.5 days, half discharged, at 40 F", "worksheet of stand-alone systems", seen,
			home{site: "coldest_c = 4.444", outage: "autonomy_h = 60", practice: half, inverter: dc(12),
				bank: bankOf(12, 100, ""), loads: []string{always(1000. / 24)}},
			"bank.required_ah", 0, 541.67, 0.7},
		{"15.75 kWh a day, half discharged, 15 % of losses", "an installer's page on lead-acid batteries", seen,
			home{practice: half + "\nmargin = 0.15", bank: bankOf(48, 100, ""), loads: []string{always(15750. / 24)}},
			"bank.required_ah", 0, 754.69, 0.005},
		{"fan and lamp for three days, a tenth more", "dealer's page on batteries", seen,
			home{outage: "autonomy_h = 72", practice: "margin = 0.1", inverter: dc(12), bank: bankOf(12, 100, ""),
				loads: []string{hours(20, 12), hours(16, 5)}},
			"bank.required_ah", 0, 88, 0.05},
		{"1 kW for a day at 85 %, mean bank of 50 V", "forum on solar electricity, comment 197963", seen,
			home{inverter: dc(50) + "\nefficiency = 0.85", bank: bankOf(50, 100, ""), loads: []string{always(1000)}},
			"bank.required_ah", 0, 564.7, 0.05},
		{"four units of 6 V in series", "article on a stand-alone system, third page", seen,
			home{inverter: dc(24), bank: bankOf(6, 225, "strings = 3")}, "bank.nominal_v", 0, 24, 0.5},
		{"three strings of 225 Ah", "article on a stand-alone system, third page", seen,
			home{inverter: dc(24), bank: bankOf(6, 225, "strings = 3")}, "bank.installed_ah", 0, 675, 0.5},
		{"lamps, refrigerator, drill and pump at 120 V", "car and deep-cycle battery FAQ 7.9", seen,
			home{inverter: dc(120), bank: bankOf(12, 100, ""),
				loads: []string{hours(120, 4), hours(200, 6), hours(600, 25.*15/3600), hours(1200, 12)}},
			"bank.required_ah", 0, 134.52, 0.005},
	}
	for _, b := range []struct{ wh, ah float64 }{{1000, 23.148}, {2000, 46.296}, {3000, 69.444}} {
		all = append(all, sourced{fmt.Sprintf("%g Wh at 90 %%", b.wh),
			"forum on solar electricity, comment 197963", seen,
			home{inverter: "efficiency = 0.9", bank: bankOf(48, 100, ""), loads: []string{always(b.wh / 24)}},
			"bank.required_ah", 0, b.ah, 0.0005})
	}
	// The multipliers of a worksheet by the temperature of the battery.
	for _, row := range []struct{ f, times float64 }{{20, 1.59}, {30, 1.40}, {40, 1.30}, {50, 1.19}, {60, 1.11},
		{70, 1.04}, {80, 1.00}} {
		all = append(all, sourced{fmt.Sprintf("capacity at %g F", row.f),
			"worksheet of stand-alone systems, in three places", seen,
			home{site: fmt.Sprintf("coldest_c = %.4f", (row.f-32)/1.8), bank: bankOf(48, 100, ""),
				loads: []string{always(48. * 100 / 24)}},
			"bank.required_ah", 0.01, row.times, 0.005})
	}
	// The exponent: 100 Ah in 20 h are what is needed for these hours at these amperes.
	for _, p := range []struct{ k, amps, h float64 }{{1.2, 10, 8.7055}, {1.25, 20, 3.5355}} {
		all = append(all, sourced{fmt.Sprintf("exponent %g at %g A", p.k, p.amps),
			"Peukert's rule for a capacity at H hours", derived,
			home{outage: fmt.Sprintf("autonomy_h = %g", p.h), inverter: dc(12),
				bank: fmt.Sprintf("chemistry = \"flooded\"\nnominal_v = 12\nrated_ah = 100\nrated_h = 20\n"+
					"peukert = %g\nmax_dod = 1\nmin_v = 1",
					p.k), loads: []string{always(12 * p.amps)}},
			"bank.required_ah", 0, 100, 0.005})
	}
	// Exponents of makers, from the capacity in 20 h and the minutes at 25 A: the bank for those minutes is that of 20
	// h.
	for _, p := range []struct{ minutes, ah, k float64 }{{375, 180, 1.1385}, {167, 86, 1.1203}, {188, 95, 1.1162},
		{388, 180, 1.1051}, {500, 225, 1.0964},
		{447, 225, 1.2367}, {488, 235, 1.1917}, {530, 244, 1.1390}, {660, 305, 1.2095}, {135, 85, 1.2330},
		{450, 216, 1.1686}} {
		all = append(all, sourced{fmt.Sprintf("%g Ah for %g min at 25 A", p.ah, p.minutes),
			"manual of a battery monitor, pp. 26-27", seen,
			home{outage: fmt.Sprintf("autonomy_h = %.6f", p.minutes/60), inverter: dc(12),
				bank: fmt.Sprintf("chemistry = \"flooded\"\nnominal_v = 12\nrated_ah = %g\nrated_h = 20\n"+
					"peukert = %g\nmax_dod = 1\nmin_v = 1",
					p.ah, p.k), loads: []string{always(300)}},
			"bank.required_ah", 0, p.ah, 0.001 * p.ah})
	}
	// A discharge table: each row asks for the block itself, 56 Ah in 20 h.
	const block = "chemistry = \"agm\"\nnominal_v = 12\nrated_ah = 56\nrated_h = 20\nmax_dod = 1\nmin_v = 1\n" +
		"capacity = [{ hours = 0.25, ah = 19.725 }, { hours = 0.5, ah = 24.35 }, " +
		"{ hours = 1, ah = 28.9 }, { hours = 2, ah = 35.8 }, { hours = 3, ah = 41.1 }, { hours = 4, ah = 44.8 }, " +
		"{ hours = 5, ah = 45.4 }, { hours = 8, ah = 50.88 }, { hours = 10, ah = 53.9 }, { hours = 20, ah = 56 }]"
	for _, r := range []struct{ h, amps float64 }{{0.25, 78.9}, {0.5, 48.7}, {1, 28.9}, {2, 17.9}, {3, 13.7}, {4, 11.2},
		{5, 9.08}, {8, 6.36}, {10, 5.39}, {20, 2.80}} {
		all = append(all, sourced{fmt.Sprintf("block for %g h", r.h),
			"discharge table of a 12 V AGM block to 1.75 V a cell", seen,
			home{outage: fmt.Sprintf("autonomy_h = %g", r.h), inverter: dc(12), bank: block,
				loads: []string{always(12 * r.amps)}}, "bank.required_ah", 0, 56, 0.005})
	}
	cycle := home{outage: "autonomy_h = 5", practice: "margin = 0.1\nend_of_life = 0.8", inverter: dc(12), bank: block,
		loads: []string{"running_w = 360\nhours_per_day = 1\nwhen = [\"00:00-01:00\"]",
			"running_w = 144\nhours_per_day = 1\nwhen = [\"01:00-02:00\"]",
			"running_w = 96\nhours_per_day = 2\nwhen = [\"02:00-04:00\"]",
			"running_w = 300\nhours_per_day = 1\nwhen = [\"04:00-05:00\"]"}}
	all = append(all, sourced{"duty cycle of four periods",
		"IEEE 485, section method (memory), on the seen discharge table", derived, cycle,
		"bank_details.cross_checks.duty_cycle_ah", 0, 153.47, 0.005})
	return all
}

// sourcedCharging are volts, air, cold and resistance of banks.
func sourcedCharging() []sourced {
	cells := func(chemistry string, ah float64, more string) string {
		return fmt.Sprintf("chemistry = %q\nnominal_v = 2\nrated_ah = %g\nrated_h = 10\nstrings = 1\n%s", chemistry,
			ah, more)
	}
	charger := "charger_a = 20\nmax_charge_a = 20"
	maker := "data sheet of a 6 V flooded deep-cycle unit"
	warm := home{site: "coldest_c = -5", inverter: "equalises = true",
		bank: cells("flooded", 500,
			"equalise_v = 2.583333333\ncharge_v = 2.466666667\ncharge_mv_per_cell_c = 5.045045")}
	mild := home{site: "coldest_c = 5", bank: warm.bank}
	float := home{site: "coldest_c = 15\nhottest_c = 35", bank: cells("agm", 500,
		"float_v = 2.30\ncharge_mv_per_cell_c = 3")}
	std := "IEC 62485-2 by a public page that quotes the table of EN 50272-2"
	vented := home{inverter: charger, bank: cells("flooded", 400, "charge_v = 2.40\nfloat_v = 2.23")}
	sealed := home{inverter: charger, bank: cells("agm", 200, "charge_v = 2.40\nfloat_v = 2.27")}
	room := home{inverter: dc(108) + "\n" + charger, bank: cells("flooded", 200, "charge_v = 2.40\nfloat_v = 2.23")}
	high := home{inverter: "charger_a = 60\nmax_charge_a = 60\nequalises = true",
		bank: cells("flooded", 1000, "charge_v = 2.40\nfloat_v = 2.23\nequalise_v = 2.58")}
	all := []sourced{
		{"equalise volts in the cold", maker, seen, warm, "bank_details.charging_voltages[stage=equalise].coldest_v", 0,
			65.63, 0.02},
		{"absorption volts in the cold", maker, seen, mild,
			"bank_details.charging_voltages[stage=absorption].coldest_v", 0, 61.62, 0.02},
		{"float volts of a cell at 35 C", "public texts on charging, 3 mV a cell and kelvin", seen, float,
			"bank_details.charging_voltages[stage=float].hottest_v", 1. / 24, 2.27, 0.0005},
		{"float volts of a cell at 15 C", "public texts on charging, 3 mV a cell and kelvin", seen, float,
			"bank_details.charging_voltages[stage=float].coldest_v", 1. / 24, 2.33, 0.0005},
		{"air for 24 vented cells on boost", std, seen, vented, "bank_details.ventilation.boost.flow_m3_h", 0, 9.60,
			0.005},
		{"openings for 24 vented cells", std, seen, vented, "bank_details.ventilation.boost.opening_cm2", 0, 268.8,
			0.05},
		{"air for 24 sealed cells on float", std, seen, sealed, "bank_details.ventilation.float.flow_m3_h", 0, 0.24,
			0.005},
		{"air for 24 sealed cells on boost", std, seen, sealed, "bank_details.ventilation.boost.flow_m3_h", 0, 1.92,
			0.005},
		{"openings for 24 sealed cells on float", std, seen, sealed, "bank_details.ventilation.float.opening_cm2", 0,
			6.7, 0.05},
		{"openings for 24 sealed cells on boost", std, seen, sealed, "bank_details.ventilation.boost.opening_cm2", 0,
			53.8, 0.05},
		{"air for 54 vented cells", "manual of tubular cells, p. 42, by the later factor", seen, room,
			"bank_details.ventilation.boost.flow_m3_h", 0, 10.8, 0.05},
		{"openings for 54 vented cells", "manual of tubular cells, p. 42, by the later factor", seen, room,
			"bank_details.ventilation.boost.opening_cm2", 0, 302, 0.5},
		// 1.27e-7 m3/s of hydrogen for each ampere and cell, at most 2 % of it in the air: three digits are printed.
		{"air above 2.40 V a cell, all current into gas", "US UFC 3-520-01 (2002), 14-1.3.2.2", seen, high,
			"bank_details.ventilation.boost.flow_m3_h", 0, 24 * 60 * 1.27e-7 / 0.02 * 3600,
			24 * 60 * 0.005e-7 / 0.02 * 3600},
	}
	for _, row := range []struct{ ah, mohm, amps float64 }{{150, 1.15, 1739}, {200, 0.74, 2703}, {300, 0.52, 3846},
		{490, 0.48, 4167}, {800, 0.40, 5000},
		{1000, 0.30, 6667}, {2000, 0.18, 11111}, {3000, 0.15, 13333}} {
		all = append(all, sourced{fmt.Sprintf("short circuit of %g Ah cells", row.ah),
			"manual of tubular vented cells, p. 42", seen,
			home{bank: cells("flooded", row.ah, fmt.Sprintf("resistance_mohm = %g", row.mohm))},
			"bank_details.short_circuit.nominal_a", 0, row.amps, 0.5})
	}
	// Rest volts by charge and temperature: the plan tells those at its lowest charge.
	for _, row := range []struct {
		chemistry string
		charge, c float64
		volts     float64
	}{{"flooded", 0.50, 26.6667, 12.240}, {"flooded", 0.25, 26.6667, 12.060}, {"flooded", 0.75, 26.6667, 12.450},
		{"flooded", 0.50, 4.4444, 12.196}, {"flooded", 0.50, -6.6667, 12.156}, {"gel", 0.50, 26.6667, 12.400},
		{"gel", 0.75, 4.4444, 12.556}} {
		all = append(all, sourced{fmt.Sprintf("rest volts of %s at %g, %g C", row.chemistry, row.charge, row.c),
			"open data of 12 V lead-acid batteries, 2021", seen,
			home{site: fmt.Sprintf("coldest_c = %g", row.c), practice: fmt.Sprintf("max_dod = %g", 1-row.charge),
				inverter: dc(12),
				bank: fmt.Sprintf("chemistry = %q\nnominal_v = 12\nrated_ah = 100\nmax_dod = 1\nmin_v = 1\nstrings = 1",
					row.chemistry), loads: []string{always(1)}},
			"bank_details.volts.floor_at_rest_v", 0, row.volts, 0.0005})
	}
	for _, row := range []struct{ charge, volts float64 }{{0.1, 3.19}, {0.2, 3.235}, {0.5, 3.29}} {
		all = append(all, sourced{fmt.Sprintf("rest volts of an LFP cell at %g", row.charge),
			"published tables of cells, IEEE Trans. Instrum. Meas. 2025 and open parameter sets", seen,
			home{practice: fmt.Sprintf("max_dod = %g", 1-row.charge), inverter: dc(51.2),
				bank:  "chemistry = \"lfp\"\nnominal_v = 51.2\nrated_ah = 100\nmax_dod = 1\nmin_v = 1\nstrings = 1",
				loads: []string{always(1)}},
			"bank_details.volts.floor_at_rest_v", 1. / 16, row.volts, 0.0005})
	}
	for _, row := range []struct{ charge, c float64 }{{0.75, -37}, {0.50, -24}, {0.25, -16}} {
		all = append(all, sourced{fmt.Sprintf("acid freezes at a charge of %g", row.charge),
			"US Army tables of gravity and freezing point", seen,
			home{practice: fmt.Sprintf("max_dod = %g", 1-row.charge), bank: bankOf(48, 100, "strings = 1"),
				loads: []string{always(1)}}, "bank_details.freezing.at_floor_c", 0, row.c, 0.5})
	}
	return append(all, sourced{"life on float at 35 C",
		"maker's handbook, years at 20 and 30 C: half for each 10 C", seen,
		home{site: "hottest_c = 35", bank: bankOf(48, 100, "strings = 1")}, "bank_details.calendar_life_share", 0, 0.5,
		0.0005})
}
