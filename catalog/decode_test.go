package catalog_test

import (
	"os"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"

	"outlast/battery"
	"outlast/catalog"
)

// Every key does what it says: read into a field of its own, in the unit of its name.
func TestEveryKey(t *testing.T) {
	src, err := os.ReadFile("testdata/every-key.toml")
	if err != nil {
		t.Fatal(err)
	}
	c := read(t, string(src))
	number := func(v float64) *float64 { return &v }
	want := struct {
		Inverters  []catalog.Inverter
		Batteries  []battery.Unit
		Modules    []catalog.Module
		Generators []catalog.Generator
	}{
		Inverters: []catalog.Inverter{{
			ID: "i", Label: "L", RatedW: 1, RatedVA: 2, Overload: []catalog.OverloadPoint{{Seconds: 10, VA: 5},
				{Seconds: 20, VA: 4}},
			Phases: 2, OutputV: 120, NominalDCV: 48, PassThroughA: 6, ACInputA: 7, ChargerA: 8, DCMinV: 40, DCMaxV: 60,
			MaxChargeA:    9,
			MaxDischargeA: 10, IdleW: 11, Efficiency: 0.9,
			EfficiencyCurve: []catalog.EfficiencyPoint{{Load: 0.5, Efficiency: 0.9}, {Load: 1, Efficiency: 0.8}},
			DerateFromC:     40, DeratePerC: 0.01, DerateFromM: 2000, DeratePer100M: 0.03, TransferMs: number(0),
			Chemistries: []battery.Chemistry{battery.LFP, battery.AGM}, Equalises: true,
			Inputs: []catalog.TrackerInput{{MaxV: 500, StartV: 120, TrackMinV: 100, TrackMaxV: 450, MaxA: 14,
				MaxShortCircuitA: 18, MaxW: 6000}},
			Price: number(0), MassKg: 12,
		}},
		Batteries: []battery.Unit{{
			ID: "b", Label: "M", Chemistry: battery.LFP, NominalV: 12.8, RatedAh: 100, RatedH: 5, Peukert: 1.05,
			MaxChargeA: 1, MaxDischargeA: 2,
			PulseA: 3, PulseS: 4, ChargeV: 14.4, FloatV: 13.6, EqualiseV: 14.8, MinV: 12, ChargeMVPerCellC: number(-5),
			ResistanceMohm: 6, MaxParallel: 7,
			Cycles:     []battery.CyclePoint{{DoD: 0.5, Cycles: 4000}, {DoD: 0.8, Cycles: 3000}},
			ChargeMinC: number(0), ChargeMaxC: number(45), DischargeMinC: number(-20), MaxDoD: 0.9, RoundTrip: 0.95,
			Price: number(8), MassKg: 9,
		}},
		Modules: []catalog.Module{{
			ID: "m", Label: "N", RatedW: 440, VocV: 39, IscA: 14, VmpV: 33, ImpA: 13.3, VocPctPerC: -0.27,
			PmaxPctPerC: -0.35, IscPctPerC: 0.05,
			NOCTC: 45, LengthMm: 1760, WidthMm: 1130, Price: number(10), MassKg: 21,
		}},
		Generators: []catalog.Generator{{
			ID: "g", Label: "O", RatedVA: 6500, PowerFactor: 0.8, Phases: 3, OutputV: 230, Fuel: "diesel", Turbo: true,
			FuelLPerH: []catalog.FuelPoint{{Load: 0.5, LPerH: 1.2}, {Load: 1, LPerH: 2}}, FuelL: 40, Price: number(11),
			MassKg: 90,
		}},
	}
	if diff := cmp.Diff(want.Inverters, c.Inverters()); diff != "" {
		t.Errorf("inverter (-want +got):\n%s", diff)
	}
	if diff := cmp.Diff(want.Batteries, c.Batteries()); diff != "" {
		t.Errorf("battery (-want +got):\n%s", diff)
	}
	if diff := cmp.Diff(want.Modules, c.Modules()); diff != "" {
		t.Errorf("module (-want +got):\n%s", diff)
	}
	if diff := cmp.Diff(want.Generators, c.Generators()); diff != "" {
		t.Errorf("generator (-want +got):\n%s", diff)
	}
	wantClass := []catalog.Appliance{{
		ID: "p", Label: "P", Basis: "a plate", PowerFactor: 0.8, StartingS: 0.5, Priority: 2, Medical: true,
		Typical: catalog.ApplianceFigures{RunningW: 100, StartingVA: 500, HoursPerDay: 3},
		Low:     catalog.ApplianceFigures{RunningW: 80, StartingVA: 200, HoursPerDay: 2},
		High:    catalog.ApplianceFigures{RunningW: 120, StartingVA: 700, HoursPerDay: 4},
	}}
	if diff := cmp.Diff(wantClass, c.Appliances(), cmpopts.IgnoreUnexported(catalog.Appliance{})); diff != "" {
		t.Errorf("appliance (-want +got):\n%s", diff)
	}
	if got := basisOf(c, "i"); got != "a data sheet" {
		t.Errorf("basis %q", got)
	}
}

// What an inverter's sheet leaves out has a default, and is said to have one: phases and derating, by common practice.
func TestInverterDefaults(t *testing.T) {
	v := read(t, anInverter+"derate_from_c = 40\n").Inverters()[0]
	want := []catalog.Default{
		{Key: "phases", Value: 1},
		{Key: "derate_per_c", Value: 0.02, Unit: "per K"},
		{Key: "derate_from_m", Value: 1000, Unit: "m"},
		{Key: "derate_per_100m", Value: 0.01, Unit: "per 100 m"},
	}
	if diff := cmp.Diff(want, v.Defaults); diff != "" {
		t.Errorf("(-want +got):\n%s", diff)
	}
	if v.Phases != 1 || v.DerateFromC != 40 || v.DeratePerC != 0.02 || v.DerateFromM != 1000 ||
		v.DeratePer100M != 0.01 {
		t.Errorf("%+v", v)
	}
}
