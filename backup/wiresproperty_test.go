package backup_test

import (
	"fmt"
	"reflect"
	"slices"
	"strconv"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"outlast/backup"
	"outlast/backup/conductors"
	"outlast/backup/verdict"
	"outlast/backup/wiring"
)

func num(v float64) string { return strconv.FormatFloat(v, 'g', -1, 64) }

// A cableDraw is a house with one circuit and a bank.
type cableDraw struct {
	nominalV, lengthM, breakerA, ambientC, runningW, startVA, startS float64
	tables                                                           wiring.Tables
	grouped                                                          int
	inverterW, bankM                                                 float64
}

func drawCable(t *rapid.T) cableDraw {
	number := func(lo, hi float64, what string) float64 { return round(rapid.Float64Range(lo, hi).Draw(t, what)) }
	d := cableDraw{lengthM: number(0.1, 200, "length_m"),
		breakerA: rapid.SampledFrom([]float64{0, 6, 10, 16, 20, 32, 63}).Draw(t, "breaker_a"),
		ambientC: number(-10, 55, "ambient_c"), runningW: number(0, 9000, "running_w"),
		startS:    rapid.SampledFrom([]float64{0.5, 3, 20, 400}).Draw(t, "starting_s"),
		tables:    rapid.SampledFrom(wiring.AllTables()).Draw(t, "tables"),
		grouped:   rapid.IntRange(1, 6).Draw(t, "grouped"),
		inverterW: number(300, 12000, "rated_w"), bankM: number(0.2, 8, "bank_m")}
	d.startVA = d.runningW/0.9 + number(1, 20000, "starting_va")
	d.nominalV = map[wiring.Tables]float64{wiring.IEC: 230, wiring.US: 120}[d.tables]
	return d
}

// plan works it out with a cable of the circuit and one of the bank in mm2; 0 leaves them to the planner.
func (d cableDraw) plan(t *rapid.T, cable, bank float64) *backup.Plan {
	h := newHouse().set("site.nominal_v", d.nominalV).put("inverter",
		fmt.Sprintf("rated_w = %g; rated_va = %g", d.inverterW, d.inverterW)).
		put("wiring", fmt.Sprintf("ambient_c = %g; grouped = %d; bank_m = %g; tables = %q", d.ambientC, d.grouped,
			d.bankM, d.tables))
	if bank > 0 {
		h.set("wiring.bank_mm2", num(bank))
	}
	h.circuits = nil
	text := fmt.Sprintf("length_m = %g", d.lengthM)
	if d.breakerA > 0 {
		text += fmt.Sprintf("; breaker_a = %g", d.breakerA)
	}
	if cable > 0 {
		text += "; cable_mm2 = " + num(cable)
	}
	h.circuit("a", text).load("A",
		fmt.Sprintf("running_w = %g; starting_va = %g; starting_s = %g; starting_pf = 0.6; power_factor = 0.9; hours_per_day = 2",
			d.runningW, d.startVA, d.startS))
	p, err := planOf(h.text())
	if err != nil {
		t.Fatalf("%v\n%s", err, h.text())
	}
	return p
}

// TestChosenCableIsTheSmallest: given what the planner chose, the plan says the same and nothing fails; given the next
// smaller, something does. Of two neighbouring sizes the larger never carries less nor loses more, nor does it fail
// where the smaller passes.
func TestChosenCableIsTheSmallest(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		d := drawCable(t)
		sizes := wiring.Sizes(d.tables)
		chosen := d.plan(t, 0, 0)
		at := rapid.IntRange(1, len(sizes)-1).Draw(t, "size")
		larger, smaller := d.plan(t, sizes[at].MM2, sizes[at].MM2), d.plan(t, sizes[at-1].MM2, sizes[at-1].MM2)
		for _, id := range []string{"cable-a", "cable-bank"} {
			r, before := runOf(larger, id), runOf(smaller, id)
			switch {
			case r.ConductorChosen || r.Conductor != sizes[at]:
				t.Fatalf("given %s, the plan has %+v", sizes[at].Name, r)
			case r.CarriesA < before.CarriesA, r.Drop > before.Drop, r.StartDrop > before.StartDrop,
				r.TotalDrop > before.TotalDrop:
				t.Fatalf("%s carries %g A and loses %g, but the smaller %s %g A and %g", r.Conductor.Name, r.CarriesA,
					r.Drop, before.Conductor.Name, before.CarriesA, before.Drop)
			case before.Check.Status != verdict.Fail && r.Check.Status == verdict.Fail:
				t.Fatalf("%s fails (%s) where %s passes", r.Conductor.Name, r.Check.Reason, before.Conductor.Name)
			}
			got := runOf(chosen, id)
			i := slices.Index(sizes, got.Conductor)
			if !got.ConductorChosen || got.Check.Status == verdict.Fail || i < 0 {
				t.Fatalf("%+v, want a standard size that was chosen and does not fail", got)
			}
			none := strings.Contains(got.Check.Reason.String(), "no single conductor of the tables will do")
			if given := runOf(d.plan(t, got.Conductor.MM2, got.Conductor.MM2),
				id); (given.Check.Status == verdict.Fail) != none || given.CarriesA != got.CarriesA ||
				given.NeedsA != got.NeedsA || given.DeviceA != got.DeviceA || given.Drop != got.Drop {
				t.Fatalf("chosen %+v, and the same given: %+v", got, given)
			}
			if none && i < len(sizes)-1 {
				t.Fatalf("no conductor passes, but %s is not the largest", got.Conductor.Name)
			}
			if i > 0 {
				if less := runOf(d.plan(t, sizes[i-1].MM2, sizes[i-1].MM2), id); less.Check.Status != verdict.Fail {
					t.Fatalf("chosen %s, but %s passes too: %s", got.Conductor.Name, less.Conductor.Name,
						less.Check.Reason)
				}
			}
		}
	})
}

func runOf(p *backup.Plan, id string) (found conductors.Run) {
	for _, r := range p.Runs {
		if r.ID == id {
			found = r
		}
	}
	return found
}

// TestWiresSayWhatTheyShow holds the runs of drawn sites to what their checks say, and the working to the plan.
func TestWiresSayWhatTheyShow(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := drawSite(t).planned(t)
		byID := map[string]verdict.Check{}
		for _, c := range p.Checks {
			byID[c.ID] = c
		}
		steps := map[string]int{}
		for i, s := range p.Working() {
			if s.No != i+1 || s.Formula.Empty() && s.Expr == "" && len(s.Inputs) == 0 {
				t.Fatalf("step %d is %+v", i+1, s)
			}
			if label, _, ok := strings.Cut(s.Title.String(), ": "); ok {
				steps[label]++
			}
		}
		for _, r := range p.Runs {
			c, ok := byID[r.ID]
			switch {
			case !ok || !reflect.DeepEqual(c, r.Check):
				t.Fatalf("%s: check %+v of the plan, %+v of the run", r.ID, c, r.Check)
			case c.Status == verdict.Pass && (r.CarriesA < r.NeedsA*(1-1e-9) || r.DeviceA > 0 &&
				r.CarriesA < r.DeviceA*(1-1e-9)):
				t.Fatalf("%s passes, but carries %g A, needs %g A and has a device of %g A", r.ID, r.CarriesA, r.NeedsA,
					r.DeviceA)
			case c.Status != verdict.Pass && c.Reason.Empty():
				t.Fatalf("%s: %s without a reason", r.ID, c.Status)
			case steps[r.Label.String()] < 8:
				t.Fatalf("%s: %d steps of working", r.ID, steps[r.Label.String()])
			case r.LengthM == 0 && (r.Drop != 0 || r.TotalDrop != 0 || r.StartDrop != 0):
				t.Fatalf("%s: a drop without a length", r.ID)
			}
		}
	})
}
