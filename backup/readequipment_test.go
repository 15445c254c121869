package backup_test

import (
	"fmt"
	"strings"
	"testing"
)

// orUse is the hint for equipment of one's own that lacks keys.
const orUse = "or begin from an entry of the catalog with use = \"…\" and give only what differs; outlast catalog lists them"

func TestReadEquipment(t *testing.T) {
	inverter := func(lines string) string { return siteTable + outageTable + "[inverter]\n" + lines + "\n" + bankTable }
	bank := func(lines string) string { return siteTable + outageTable + inverterTable + "[bank]\n" + lines }
	const ownInverter = "rated_w = 4000\nrated_va = 5000\nnominal_dc_v = 48\ndc_min_v = 40\ndc_max_v = 60\n" +
		"max_discharge_a = 100\nidle_w = 30\n"
	tellSite(t, []siteFact{
		{"an id of nothing", inverter("use = \"hybrid-5k-84\""), []string{
			`7:1: use in [inverter]: found "hybrid-5k-84", want an id of the catalog | did you mean "hybrid-5k-48"?`}},
		{"an id of something else", inverter("use = \"lfp-51-100\""), []string{
			`7:1: use in [inverter]: found "lfp-51-100", want an id of the catalog | outlast catalog lists all`}},
		{"use misspelt: nothing else is missing", inverter("usee = \"hybrid-5k-48\""), []string{
			`7:1: unknown key "usee" in [inverter] | did you mean "use"?`}},
		{"one's own, with all keys", inverter(ownInverter + "efficiency = 0.9"), nil},
		{"one's own, with some", inverter("rated_w = 4000\nidle_w = 30"), []string{
			`6:1: missing key "rated_va" in [inverter]: want a number above 0, at most 10000000 VA`,
			`6:1: missing key "nominal_dc_v" in [inverter]: want a number from 1 to 1500 V`,
			`6:1: missing key "dc_min_v" in [inverter]: want a number above 0, at most 1500 V`,
			`6:1: missing key "dc_max_v" in [inverter]: want a number above 0, at most 1500 V`,
			`6:1: missing key "max_discharge_a" in [inverter]: want a number above 0, at most 100000 A`,
			`6:1: missing key "efficiency" in [inverter]: want a number from 0.1 to 1 | ` + orUse}},
		{"a curve is an efficiency too",
			inverter(ownInverter + "efficiency_curve = [{ load = 0.5, efficiency = 0.9 }]"), nil},
		{"a curve that goes back",
			inverter(ownInverter +
				"efficiency_curve = [{ load = 0.5, efficiency = 0.9 },\n{ load = 0.25, efficiency = 0.9 }]"), []string{
				`15:3: load in efficiency_curve: found 0.25 after 0.5, want loads in ascending order`}},
		{"a curve of which one point is wrong",
			inverter(ownInverter +
				"efficiency_curve = [{ load = 5, efficiency = 0.9 },\n{ load = 0.25, efficiency = 90 }]"), []string{
				`14:23: load in efficiency_curve: found 5, want a number from 0 to 2 | write 0.05: a share of 1, not per cent`,
				`15:16: efficiency in efficiency_curve: found 90, want a number from 0.1 to 1 | write 0.9: a share of 1, not per cent`}},
		{"an overload twice",
			inverter("use = \"hybrid-5k-48\"\noverload = [{ seconds = 5, va = 9000 }, { seconds = 5, va = 8000 }]"),
			[]string{
				`8:43: seconds in overload: found 5 a second time, want each time once`}},
		{"a window upside down", inverter(strings.Replace(ownInverter, "dc_max_v = 60", "dc_max_v = 30", 1) +
			"efficiency = 0.9"), []string{
			`11:1: dc_max_v in [inverter]: found 30 V, want more than dc_min_v, 40`}},
		{"overridden, it no longer fits the entry", inverter("use = \"hybrid-5k-48\"\ndc_max_v = 46\nrated_w = 6000"),
			[]string{
				`8:1: dc_max_v in [inverter]: found 46 V, want at least nominal_dc_v, 48`,
				`9:1: rated_w in [inverter]: found 6000 W, want at most rated_va, 5000`}},
		{"a wrong figure is compared with nothing",
			inverter("use = \"hybrid-5k-48\"\ndc_min_v = 400\ndc_max_v = \"500\"\nnominal_dc_v = 0"), []string{
				`9:1: dc_max_v in [inverter]: found the text "500", want a number above 0, at most 1500 V | write it without quotes`,
				`10:1: nominal_dc_v in [inverter]: found 0, want a number from 1 to 1500 V`}},
		{"of another voltage", inverter("use = \"inverter-2k5-24-120\"") +
			"nominal_v = 25.6\ncharge_v = 28\nfloat_v = 27\nmin_v = 24", []string{
			`7:1: use in [inverter]: the inverter gives 120 V, want the site's 230 V, line to neutral`}},
		{"a generator of another voltage", bank("use = \"lfp-51-100\"\n[generator]\nrated_va = 5000\npower_factor = 0.8\n" +
			"output_v = 120"), []string{
			`13:1: output_v in [generator]: the generator gives 120 V, want the site's 230 V, line to neutral`}},
		{"the same from the catalog", bank("use = \"lfp-51-100\"\n[generator]\nuse = \"petrol-7k-split\""), []string{
			`11:1: use in [generator]: the generator gives 120 V, want the site's 230 V, line to neutral`}},
		{"a generator 20 % off", bank("use = \"lfp-51-100\"\n[generator]\nrated_va = 5000\npower_factor = 0.8\n" +
			"output_v = 184"), nil},
		{"a little more", bank("use = \"lfp-51-100\"\n[generator]\nrated_va = 5000\npower_factor = 0.8\n" +
			"output_v = 183.9"), []string{
			`13:1: output_v in [generator]: the generator gives 183.9 V, want the site's 230 V, line to neutral`}},

		{"a bank of another voltage, from the catalog", bank("use = \"lfp-25-100\"\ncount = 2"), []string{
			`10:1: unknown key "count" in [bank] | count is a key of [inverter], inverter of [[option]]`}},
		{"20 % off", siteTable + outageTable + inverterTable +
			"[bank]\nchemistry = \"lfp\"\nnominal_v = 57.6\nrated_ah = 100", nil},
		{"a little more", siteTable + outageTable + inverterTable +
			"[bank]\nchemistry = \"lfp\"\nnominal_v = 57.7\nrated_ah = 100", []string{
			`10:1: nominal_v in [bank]: units of 57.7 V make no bank for an inverter of 48 V, want one within 20 % of it`}},
		{"the same from the catalog", inverter("use = \"inverter-3k-24\""), []string{
			`9:1: use in [bank]: units of 51.2 V make no bank for an inverter of 24 V, want one within 20 % of it`}},
		{"one's own, with some keys", bank("chemistry = \"lfp\""), []string{
			`8:1: missing key "nominal_v" in [bank]: want a number from 1 to 1500 V`,
			`8:1: missing key "rated_ah" in [bank]: want a number from 0.1 to 100000 Ah | ` + orUse}},
		{"rated_ah against the table at rated_h",
			bank("chemistry = \"agm\"\nnominal_v = 12\nrated_ah = 100\nrated_h = 10\ncapacity = [{ hours = 5, " +
				"ah = 85 }, { hours = 10, ah = 92 }]"), []string{
				`11:1: rated_ah in [bank]: found 100 Ah in 10 h, but the capacity table gives 92 Ah; want them within 1 %`}},
		{"rated_h not given is 20 h for lead-acid",
			bank("chemistry = \"agm\"\nnominal_v = 12\nrated_ah = 92\ncapacity = [{ hours = 10, ah = 92 }, " +
				"{ hours = 20, ah = 100 }]"), []string{
				`11:1: rated_ah in [bank]: found 92 Ah in 20 h, but the capacity table gives 100 Ah; want them within 1 %`}},
		{"a table beside a wrong rated_h is not compared",
			bank("chemistry = \"agm\"\nnominal_v = 12\nrated_ah = 92\nrated_h = 0\ncapacity = [{ hours = 10, " +
				"ah = 92 }, { hours = 20, ah = 100 }]"), []string{
				`12:1: rated_h in [bank]: found 0, want a number from 0.1 to 1000 h`}},
		{"rated_ah beside an entry with a table", bank("use = \"agm-12-100\"\nrated_ah = 50"), []string{
			`10:1: rated_ah in [bank]: found 50 Ah in 20 h, but the capacity table gives 100 Ah; want them within 1 %`}},
		{"an exponent and a table",
			bank("use = \"agm-12-100\"\npeukert = 1.1\ncapacity = [{ hours = 10, ah = 92 }, { hours = 20, ah = 100 }]"),
			[]string{
				`11:1: capacity in [bank]: excludes peukert of line 10: give only one`}},
		{"a figure that does not go with the entry is blamed once", bank("use = \"lfp-51-100\"\ncharge_v = 10"),
			[]string{
				`10:1: charge_v in [bank]: does not go with nominal_v: found 51.2 V, want at most charge_v, 10 V`}},
		{"another chemistry", bank("use = \"lfp-51-100\"\nchemistry = \"lithium\""), []string{
			`10:1: chemistry in [bank]: found the text "lithium", want "flooded", "agm", "gel", "lfp" or "nmc"`}},
	})
}

func TestReadPhases(t *testing.T) {
	site := func(phases int, inverter string) string {
		return siteTable + fmt.Sprintf("phases = %d\n", phases) + outageTable + "[inverter]\n" + inverter + "\n" +
			bankTable
	}
	tellSite(t, []siteFact{
		{"one unit on three phases", site(3, `use = "hybrid-5k-48"`), []string{
			`7:1: count in [inverter]: found 1 unit of 1 phase, want a multiple of the site's 3 phases`}},
		{"four units", site(3, "use = \"hybrid-5k-48\"\ncount = 4"), []string{
			`9:1: count in [inverter]: found 4 units of 1 phase, want a multiple of the site's 3 phases`}},
		{"three", site(3, "use = \"hybrid-5k-48\"\ncount = 3"), nil},
		{"six", site(3, "use = \"hybrid-5k-48\"\ncount = 6"), nil},
		// Outputs of different phases are never joined, however the counts divide.
		{"a unit of two phases on one", site(1, "use = \"hybrid-5k-48\"\nphases = 2"), []string{
			`9:1: phases in [inverter]: found a unit of 2 phases for a site of 1 phase, want one of 1 phase: ` +
				`outputs of different phases are never joined`}},
		{"a three-phase entry on one", site(1, `use = "three-8k-48"`), []string{
			`8:1: use in [inverter]: found a unit of 3 phases for a site of 1 phase, want one of 1 phase: ` +
				`outputs of different phases are never joined`}},
		{"two of three phases on two", site(2, "use = \"three-8k-48\"\ncount = 2"), []string{
			`8:1: use in [inverter]: found a unit of 3 phases for a site of 2 phases, want one of 1 or 2 phases: ` +
				`outputs of different phases are never joined`}},
		{"three of two phases on three", site(3, "use = \"hybrid-5k-48\"\nphases = 2\ncount = 3"), []string{
			`9:1: phases in [inverter]: found a unit of 2 phases for a site of 3 phases, want one of 1 or 3 phases: ` +
				`outputs of different phases are never joined`}},
		{"two of three phases on three", site(3, "use = \"three-8k-48\"\ncount = 2"), nil},
		{"with its phases wrong", site(3, "use = \"hybrid-5k-48\"\nphases = 4"), []string{
			`9:1: phases in [inverter]: found 4, want a whole number from 1 to 3`}},
		{"with the site's phases wrong", site(4, `use = "hybrid-5k-48"`) + circuitTable + "phase = 3", []string{
			`4:1: phases in [site]: found 4, want a whole number from 1 to 3`}},
		{"a circuit on a phase that is not there", siteTable + outageTable + inverterTable + bankTable + circuitTable +
			"phase = 2", []string{
			`13:1: phase in [[circuit]]: found 2, want 1 (or 0): the site has one phase`}},
		{"likewise of two", site(2, "use = \"hybrid-5k-48\"\ncount = 2") + circuitTable + "phase = 3", []string{
			`15:1: phase in [[circuit]]: found 3, want a number from 0 (all phases) to the site's 2`}},
	})
}

func TestReadRecharge(t *testing.T) {
	array := func(lines string) string {
		return siteTable + "latitude = -37.9\n" + outageTable + inverterTable + bankTable +
			"[[array]]\nmodules_per_string = 8\ntilt_deg = 30\nazimuth_deg = 0\n" + lines
	}
	generator := func(lines string) string { return equipped + "[generator]\n" + lines }
	tellSite(t, []siteFact{
		{"an array", array(`use = "mono-440"`), nil},
		{"its id misspelt", array(`use = "momo-440"`), []string{
			`15:1: use in [[array]]: found "momo-440", want an id of the catalog | did you mean "mono-440"?`}},
		{"modules of one's own", array("rated_w = 400\nvoc_v = 40\nvmp_v = 41\nisc_a = 10"), []string{
			`11:1: missing key "imp_a" in [[array]]: want a number above 0, at most 100 A | ` + orUse,
			`17:1: vmp_v in [[array]]: found 41 V, want less than voc_v, 40`}},
		{"two sources of sun", array("use = \"mono-440\"\nweather = \"x.epw\"\nmonthly_kwh_m2_day = [1, 2, 3]"),
			[]string{
				`17:1: monthly_kwh_m2_day in [[array]]: found 3 items, want 12`,
				`17:1: monthly_kwh_m2_day in [[array]]: excludes weather of line 16: give only one`}},
		{"a generator", generator(`use = "petrol-6k5"`), nil},
		{"stops before it starts", generator("use = \"petrol-6k5\"\nstop_soc = 0.3"), []string{
			`12:1: stop_soc in [generator]: found 0.3, want more than start_soc, 0.3`}},
		{"starts after the default stop", generator("use = \"petrol-6k5\"\nstart_soc = 0.85"), []string{
			`12:1: start_soc in [generator]: found 0.85, want less than stop_soc, 0.8`}},
		{"with one of them wrong", generator("use = \"petrol-6k5\"\nstart_soc = 85"), []string{
			`12:1: start_soc in [generator]: found 85, want a number from 0 to 1 | write 0.85: a share of 1, not per cent`}},
		{"one's own", generator("rated_va = 6500"), []string{
			`10:1: missing key "power_factor" in [generator]: want a number from 0.01 to 1 | ` + orUse}},
		{"fuel that goes back",
			generator("use = \"petrol-6k5\"\nfuel_l_per_h = [{ load = 1, l_per_h = 2 },\n  { load = 0.5, l_per_h = 1 }]"), []string{
				`13:5: load in fuel_l_per_h: found 0.5 after 1, want loads in ascending order`}},
	})
}
