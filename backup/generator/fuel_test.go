package generator

import (
	"math"
	"strings"
	"testing"

	"outlast/backup/outage"
	"outlast/backup/site"
	"outlast/catalog"
)

// TestTypicalFuel: without a data sheet no class of the catalog with the same fuel burns more, and a fuel that is not
// told is petrol. Diesel sets have their published chart: 20 kW burn 6.1 L/h at full load (SEEN).
func TestTypicalFuel(t *testing.T) {
	generic, err := catalog.Generic()
	if err != nil {
		t.Fatal(err)
	}
	classes := 0
	for _, class := range generic.Generators() {
		e := site.Generator{Generator: class}
		own, from := Fuel(&e)
		if from != FuelOfSheet {
			t.Fatalf("%s: fuel from %d, want its own", e.ID, from)
		}
		bare := e
		bare.FuelLPerH = nil
		typical, from := Fuel(&bare)
		if e.Fuel == "diesel" {
			if from != FuelOfChart {
				t.Errorf("%s: fuel from %d, want the chart", e.ID, from)
			}
			continue
		}
		classes++
		if from != FuelOfKind || !strings.Contains(FuelCaution(&bare).String(), e.Fuel) || !FuelCaution(&e).Empty() {
			t.Errorf("%s: fuel from %d, caution %q", e.ID, from, FuelCaution(&bare))
		}
		for load := 0.05; load <= 1; load += 0.05 {
			if has, says := outage.FuelAt(own, load), outage.FuelAt(typical, load); has > says {
				t.Errorf("%s at %.2f: burns %g l/h, typical %g", e.ID, load, has, says)
			}
		}
	}
	if classes < 3 {
		t.Errorf("%d classes that burn petrol or gas, want more", classes)
	}
	unknown := site.Generator{Generator: catalog.Generator{RatedVA: 5000, PowerFactor: 0.8}}
	points, from := Fuel(&unknown)
	if lPerH := outage.FuelAt(points, 1); from != FuelOfKind || math.Abs(lPerH-4*0.57) > 1e-12 ||
		!strings.Contains(FuelCaution(&unknown).String(), "the safe side") {
		t.Errorf("unknown fuel: %g l/h from %d, caution %q", lPerH, from, FuelCaution(&unknown))
	}
	points, _ = Fuel(&site.Generator{Generator: catalog.Generator{RatedVA: 25000, PowerFactor: 0.8, Fuel: "diesel"}})
	if lPerH := outage.FuelAt(points, 1); math.Abs(lPerH-6.1) > 1e-9 {
		t.Errorf("diesel of 20 kW: %g l/h, want 6.1", lPerH)
	}
}
