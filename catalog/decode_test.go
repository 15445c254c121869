package catalog_test

import (
	"testing"

	"github.com/google/go-cmp/cmp"

	"outlast/battery"
	"outlast/catalog"
)

// Every key does what it says: read into a field of its own, in the unit of its name.
func TestEveryKey(t *testing.T) {
	c := read(t, `
[[inverter]]
id = "i"
basis = "a data sheet"
label = "L"
rated_w = 1
rated_va = 2
overload = [{ seconds = 20, va = 4 }, { seconds = 10, va = 5 }]
phases = 2
output_v = 120
nominal_dc_v = 48
pass_through_a = 6
ac_input_a = 7
charger_a = 8
dc_min_v = 40
dc_max_v = 60
max_charge_a = 9
max_discharge_a = 10
idle_w = 11
efficiency_curve = [{ load = 0.5, efficiency = 0.9 }, { load = 1, efficiency = 0.8 }]
derate_from_c = 40
derate_per_c = 0.01
derate_from_m = 2000
derate_per_100m = 0.03
transfer_ms = 0
chemistries = ["lfp", "agm"]
equalises = true
input = [{ max_v = 500, start_v = 120, track_min_v = 100, track_max_v = 450, max_a = 14, max_short_circuit_a = 18, max_w = 6000 }]
price = 0
mass_kg = 12

[[battery]]
id = "b"
label = "M"
chemistry = "lfp"
nominal_v = 12.8
rated_ah = 100
rated_h = 5
peukert = 1.05
max_charge_a = 1
max_discharge_a = 2
pulse_a = 3
pulse_s = 4
charge_v = 14.4
float_v = 13.6
equalise_v = 14.8
min_v = 12
charge_mv_per_cell_c = -5
resistance_mohm = 6
max_parallel = 7
cycles = [{ dod = 0.5, cycles = 4000 }, { dod = 0.8, cycles = 3000 }]
charge_min_c = 0
charge_max_c = 45
discharge_min_c = -20
max_dod = 0.9
round_trip = 0.95
price = 8
mass_kg = 9

[[module]]
id = "m"
label = "N"
rated_w = 440
voc_v = 39
isc_a = 14
vmp_v = 33
imp_a = 13.3
voc_pct_per_c = -0.27
pmax_pct_per_c = -0.35
isc_pct_per_c = 0.05
noct_c = 45
length_mm = 1760
width_mm = 1130
price = 10
mass_kg = 21

[[generator]]
id = "g"
label = "O"
rated_va = 6500
power_factor = 0.8
phases = 3
output_v = 230
fuel = "diesel"
fuel_l_per_h = [{ load = 0.5, l_per_h = 1.2 }, { load = 1, l_per_h = 2 }]
fuel_l = 40
price = 11
mass_kg = 90
`)
	number := func(v float64) *float64 { return &v }
	want := &catalog.Catalog{
		Inverters: []catalog.Inverter{{
			ID: "i", Label: "L", RatedW: 1, RatedVA: 2, Overload: []catalog.OverloadPoint{{Seconds: 10, VA: 5}, {Seconds: 20, VA: 4}},
			Phases: 2, OutputV: 120, NominalDCV: 48, PassThroughA: 6, ACInputA: 7, ChargerA: 8, DCMinV: 40, DCMaxV: 60, MaxChargeA: 9,
			MaxDischargeA: 10, IdleW: 11, Efficiency: 0.9, EfficiencyCurve: []catalog.EfficiencyPoint{{Load: 0.5, Efficiency: 0.9}, {Load: 1, Efficiency: 0.8}},
			DerateFromC: 40, DeratePerC: 0.01, DerateFromM: 2000, DeratePer100M: 0.03, TransferMs: number(0),
			Chemistries: []battery.Chemistry{battery.LFP, battery.AGM}, Equalises: true,
			Inputs: []catalog.TrackerInput{{MaxV: 500, StartV: 120, TrackMinV: 100, TrackMaxV: 450, MaxA: 14, MaxShortCircuitA: 18, MaxW: 6000}},
			Price:  number(0), MassKg: 12,
		}},
		Batteries: []battery.Unit{{
			ID: "b", Label: "M", Chemistry: battery.LFP, NominalV: 12.8, RatedAh: 100, RatedH: 5, Peukert: 1.05, MaxChargeA: 1, MaxDischargeA: 2,
			PulseA: 3, PulseS: 4, ChargeV: 14.4, FloatV: 13.6, EqualiseV: 14.8, MinV: 12, ChargeMVPerCellC: -5, ResistanceMohm: 6, MaxParallel: 7,
			Cycles:     []battery.CyclePoint{{DoD: 0.5, Cycles: 4000}, {DoD: 0.8, Cycles: 3000}},
			ChargeMinC: number(0), ChargeMaxC: number(45), DischargeMinC: number(-20), MaxDoD: 0.9, RoundTrip: 0.95, Price: number(8), MassKg: 9,
		}},
		Modules: []catalog.Module{{
			ID: "m", Label: "N", RatedW: 440, VocV: 39, IscA: 14, VmpV: 33, ImpA: 13.3, VocPctPerC: -0.27, PmaxPctPerC: -0.35, IscPctPerC: 0.05,
			NOCTC: 45, LengthMm: 1760, WidthMm: 1130, Price: number(10), MassKg: 21,
		}},
		Generators: []catalog.Generator{{
			ID: "g", Label: "O", RatedVA: 6500, PowerFactor: 0.8, Phases: 3, OutputV: 230, Fuel: "diesel",
			FuelLPerH: []catalog.FuelPoint{{Load: 0.5, LPerH: 1.2}, {Load: 1, LPerH: 2}}, FuelL: 40, Price: number(11), MassKg: 90,
		}},
	}
	if diff := cmp.Diff(want.Inverters, c.Inverters); diff != "" {
		t.Errorf("inverter (-want +got):\n%s", diff)
	}
	if diff := cmp.Diff(want.Batteries, c.Batteries); diff != "" {
		t.Errorf("battery (-want +got):\n%s", diff)
	}
	if diff := cmp.Diff(want.Modules, c.Modules); diff != "" {
		t.Errorf("module (-want +got):\n%s", diff)
	}
	if diff := cmp.Diff(want.Generators, c.Generators); diff != "" {
		t.Errorf("generator (-want +got):\n%s", diff)
	}
	if got := c.Basis("i"); got != "a data sheet" {
		t.Errorf("basis %q", got)
	}
}

// What an inverter's sheet leaves out has a default, and is said to have one: phases and derating, by common practice.
func TestInverterDefaults(t *testing.T) {
	v := read(t, anInverter+"derate_from_c = 40\n").Inverters[0]
	want := []catalog.Default{
		{Key: "phases", Value: 1, Source: "common practice"},
		{Key: "derate_per_c", Value: 0.02, Unit: "per K", Source: "common practice"},
		{Key: "derate_from_m", Value: 1000, Unit: "m", Source: "common practice"},
		{Key: "derate_per_100m", Value: 0.01, Unit: "per 100 m", Source: "common practice"},
	}
	if diff := cmp.Diff(want, v.Defaults); diff != "" {
		t.Errorf("(-want +got):\n%s", diff)
	}
	if v.Phases != 1 || v.DerateFromC != 40 || v.DeratePerC != 0.02 || v.DerateFromM != 1000 || v.DeratePer100M != 0.01 {
		t.Errorf("%+v", v)
	}
}
