package catalog_test

import (
	"fmt"
	"math"
	"os"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"

	"outlast/battery"
	"outlast/catalog"
)

func generic(tb testing.TB) *catalog.Catalog {
	tb.Helper()
	c, err := catalog.Generic()
	if err != nil {
		tb.Fatal(err)
	}
	return c
}

// The set is cut into entries that are read one by one: they are what its files say, and it is as sound as a user's
// must be.
func TestGenericIsItsFiles(t *testing.T) {
	whole := read(t, "")
	for _, file := range []string{"generic.toml", "appliances.toml"} {
		src, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		own, err := catalog.Read(file, src)
		if err != nil {
			t.Fatal(err)
		}
		whole.Add(own)
	}
	c := generic(t)
	for what, lists := range map[string][2]any{
		"inverters": {whole.Inverters(), c.Inverters()}, "batteries": {whole.Batteries(), c.Batteries()},
		"modules":    {whole.Modules(), c.Modules()},
		"generators": {whole.Generators(), c.Generators()}, "appliances": {whole.Appliances(), c.Appliances()},
		"ids": {whole.IDs(), c.IDs()},
	} {
		if diff := cmp.Diff(lists[0], lists[1], cmpopts.IgnoreUnexported(catalog.Appliance{})); diff != "" {
			t.Errorf("%s (-whole +cut):\n%s", what, diff)
		}
	}
	for _, id := range whole.IDs() {
		if whole.TOML(id) != c.TOML(id) || basisOf(c, id) == "" {
			t.Errorf("%s: basis %q; text\n%swant\n%s", id, basisOf(c, id), c.TOML(id), whole.TOML(id))
		}
	}
}

// What the set has to offer: see the counts.
func TestGenericIsComplete(t *testing.T) {
	c := generic(t)
	count := func(what string, got, want int) {
		t.Helper()
		if got < want {
			t.Errorf("%d %s, want at least %d", got, what, want)
		}
	}
	count("inverters", len(c.Inverters()), 12)
	count("batteries", len(c.Batteries()), 25)
	count("modules", len(c.Modules()), 6)
	count("generators", len(c.Generators()), 5)
	count("appliances", len(c.Appliances()), 80)
	small, large := math.Inf(1), 0.0
	volts, phases := map[string]int{}, map[int]int{}
	for _, v := range c.Inverters() {
		small, large = min(small, v.RatedVA), max(large, v.RatedVA)
		phases[v.Phases]++
		switch v.NominalDCV {
		case 12, 24, 48:
			volts[fmt.Sprint(v.NominalDCV)]++
		default:
			if v.NominalDCV > 120 {
				volts["high"]++
			}
		}
	}
	if small > 1000 || large < 15000 {
		t.Errorf("inverters from %g to %g VA, want 1 to 15 kVA", small, large)
	}
	for _, class := range []string{"12", "24", "48", "high"} {
		count("inverters of "+class+" V", volts[class], 1)
	}
	for n := 1; n <= 3; n++ {
		count(fmt.Sprintf("inverters of %d phases", n), phases[n], 1)
	}
	for _, chemistry := range battery.Chemistries() {
		n := 0
		for _, u := range c.Batteries() {
			if u.Chemistry == chemistry {
				n++
			}
		}
		count(string(chemistry)+" batteries", n, 3)
	}
	// Documents and examples name these.
	if _, err := c.Inverter("hybrid-5k-48"); err != nil {
		t.Error(err)
	}
	if _, err := c.Battery("lfp-51-100"); err != nil {
		t.Error(err)
	}
	if _, err := c.Module("mono-440"); err != nil {
		t.Error(err)
	}
}

// basisOf is what the figures of an entry rest on; empty where nothing is said.
func basisOf(c *catalog.Catalog, id string) string {
	for line := range strings.Lines(c.TOML(id)) {
		if quoted, ok := strings.CutPrefix(line, "basis = "); ok {
			return strings.Trim(strings.TrimSpace(quoted), `"`)
		}
	}
	return ""
}

// Every id is fit for a command line, unique over all kinds, and has its words and its basis.
func TestGenericIDs(t *testing.T) {
	c := generic(t)
	ids := c.IDs()
	if n := len(c.Inverters()) + len(c.Batteries()) + len(c.Modules()) + len(c.Generators()) +
		len(c.Appliances()); len(ids) != n || !slices.IsSorted(ids) {
		t.Errorf("%d ids for %d entries, sorted: %v", len(ids), n, slices.IsSorted(ids))
	}
	plain := regexp.MustCompile(`^[a-z][a-z0-9]*(-[a-z0-9]+)+$`)
	check := func(id, label string) {
		t.Helper()
		if !plain.MatchString(id) {
			t.Errorf("%q: want lower-case words and figures joined by hyphens", id)
		}
		if label == "" || basisOf(c, id) == "" {
			t.Errorf("%s: label %q, basis %q", id, label, basisOf(c, id))
		}
	}
	for _, v := range c.Inverters() {
		check(v.ID, v.Label)
	}
	for _, v := range c.Batteries() {
		check(v.ID, v.Label)
	}
	for _, v := range c.Modules() {
		check(v.ID, v.Label)
	}
	for _, v := range c.Generators() {
		check(v.ID, v.Label)
	}
	plain = regexp.MustCompile(`^[a-z][a-z0-9]*(-[a-z0-9]+)*$`) // "kettle" says all
	for _, v := range c.Appliances() {
		check(v.ID, v.Label)
	}
}

func TestGenericInverters(t *testing.T) {
	for _, v := range generic(t).Inverters() {
		t.Run(v.ID, func(t *testing.T) {
			demand := func(ok bool, format string, args ...any) {
				t.Helper()
				if !ok {
					t.Errorf(format, args...)
				}
			}
			demand(v.RatedW > 0 && v.RatedW <= v.RatedVA, "%g W of %g VA", v.RatedW, v.RatedVA)
			demand(v.Phases >= 1 && v.Phases <= 3, "%d phases", v.Phases)
			demand(v.OutputV == 230 || v.OutputV == 120, "%g V", v.OutputV)
			demand(v.DCMinV < v.NominalDCV && v.NominalDCV < v.DCMaxV, "%g V in a window from %g to %g", v.NominalDCV,
				v.DCMinV, v.DCMaxV)
			demand(v.Efficiency >= 0.8 && v.Efficiency < 1, "efficiency %g", v.Efficiency)
			best := 0.0
			for _, p := range v.EfficiencyCurve {
				demand(p.Efficiency >= 0.8 && p.Efficiency < 1, "efficiency %g at %g", p.Efficiency, p.Load)
				best = max(best, p.Efficiency)
			}
			demand(best == 0 || v.Efficiency <= best && v.Efficiency > best-0.05,
				"efficiency %g, and %g at best by the curve", v.Efficiency, best)
			demand(v.IdleW > 0 && v.IdleW < 0.03*v.RatedW, "%g W idle of %g W", v.IdleW, v.RatedW)
			demand(len(v.Overload) > 0, "no overload")
			for i, p := range v.Overload {
				demand(p.VA > v.RatedVA && p.VA <= 3*v.RatedVA, "overload of %g VA for %g s over %g VA", p.VA,
					p.Seconds, v.RatedVA)
				if i > 0 {
					demand(p.Seconds > v.Overload[i-1].Seconds && p.VA < v.Overload[i-1].VA, "overload %v after %v", p,
						v.Overload[i-1])
				}
			}
			// What the battery gives is about what full load takes at the lowest voltage. Only about: some data sheets
			// quote the current at the nominal voltage, others leave room for a start.
			fullA := v.RatedW / v.Efficiency / v.DCMinV
			demand(v.MaxDischargeA >= fullA/1.4 && v.MaxDischargeA < 1.5*fullA,
				"discharges %g A, and at %g V full load takes %.0f A", v.MaxDischargeA, v.DCMinV, fullA)
			demand(v.ChargerA > 0 && v.ChargerA <= v.MaxChargeA, "charger of %g A, at most %g A", v.ChargerA,
				v.MaxChargeA)
			demand(v.PassThroughA > 0 && v.PassThroughA <= v.ACInputA, "passes %g A of %g A", v.PassThroughA,
				v.ACInputA)
			demand(v.PassThroughA*v.OutputV*float64(v.Phases) >= v.RatedVA,
				"passes %g A a phase, less than its own %g VA", v.PassThroughA, v.RatedVA)
			demand(v.TransferMs != nil && *v.TransferMs <= 50, "transfer time %v", v.TransferMs)
			demand(len(v.Chemistries) > 0, "no chemistries")
			if v.Equalises {
				demand(slices.Contains(v.Chemistries, battery.Flooded), "equalises, but knows no flooded batteries")
			}
			for _, in := range v.Inputs {
				demand(in.TrackMinV < in.TrackMaxV && in.TrackMaxV <= in.MaxV && in.StartV <= in.MaxV, "input %+v", in)
				demand(in.MaxA > 0 && in.MaxShortCircuitA >= in.MaxA, "input %+v", in)
			}
			demand(v.Price != nil && v.MassKg > 0, "price %v, mass %g", v.Price, v.MassKg)
		})
	}
}

// Each inverter has a bank in the set that suits its window, its voltage and its charger.
func TestGenericBanksFit(t *testing.T) {
	c := generic(t)
	for _, v := range c.Inverters() {
		var fit []string
		for _, u := range c.Batteries() {
			full, _ := u.WithDefaults()
			// 20 C: the default of a site.
			if _, fits, err := battery.Series(full, v.NominalDCV, v.DCMinV, v.DCMaxV, 20, v.Equalises); err == nil &&
				fits && slices.Contains(v.Chemistries, u.Chemistry) {
				fit = append(fit, u.ID)
			}
		}
		if len(fit) == 0 {
			t.Errorf("%s (%g V, %g to %g V, %v): no battery fits", v.ID, v.NominalDCV, v.DCMinV, v.DCMaxV,
				v.Chemistries)
		}
		if v.NominalDCV == 48 && !slices.Contains(fit, "lfp-51-100") && slices.Contains(v.Chemistries, battery.LFP) {
			t.Errorf("%s: of 48 V, but lfp-51-100 does not fit", v.ID)
		}
	}
}

func TestGenericBatteries(t *testing.T) {
	for _, u := range generic(t).Batteries() {
		t.Run(u.ID, func(t *testing.T) {
			demand := func(ok bool, format string, args ...any) {
				t.Helper()
				if !ok {
					t.Errorf(format, args...)
				}
			}
			full, _ := u.WithDefaults()
			for _, fault := range full.Check() {
				t.Errorf("%s: %s", fault.Key, fault.Msg)
			}
			// A pack of whole cells: its nominal volts are a multiple of the cell's, as sold (12 V are 12.8 of LFP).
			cell := u.Chemistry.CellV()
			demand(math.Abs(u.NominalV-float64(u.Cells())*cell) < 0.05*u.NominalV,
				"%g V are no whole number of cells of %g V", u.NominalV, cell)
			demand(u.RatedAh > 0 && u.MassKg > 0 && u.Price != nil, "%g Ah, %g kg, price %v", u.RatedAh, u.MassKg,
				u.Price)
			// Wh per kg: lead-acid 25 to 50, lithium 70 to 180, common practice.
			density := u.NominalV * u.RatedAh / u.MassKg
			if u.Chemistry.LeadAcid() {
				demand(density > 20 && density < 60, "%.0f Wh/kg", density)
			} else {
				demand(density > 60 && density < 200, "%.0f Wh/kg", density)
			}
			demand(u.MaxDischargeA > 0 && u.MaxDischargeA <= 10*u.RatedAh, "%g A of %g Ah", u.MaxDischargeA, u.RatedAh)
			demand(u.MaxChargeA > 0 && u.MaxChargeA <= 2*u.RatedAh, "%g A of %g Ah", u.MaxChargeA, u.RatedAh)
			demand(u.ResistanceMohm > 0, "no resistance")
			// The current that pulls it down by a tenth of its voltage must be more than it may give continuously.
			demand(u.MaxDischargeA*u.ResistanceMohm/1000 < 0.1*u.NominalV, "%g A on %g mohm", u.MaxDischargeA,
				u.ResistanceMohm)
			demand(len(u.Cycles) > 0, "no cycle life")
			demand(u.ChargeMinC != nil && u.DischargeMinC != nil, "no temperature limits")
			// Lead-acid classes are charged in the span of their chemistry; a product's own sheet may be stricter.
			usual := u
			usual.ChargeMinC = nil
			if least, _, _, ok := usual.LeastChargeC(); u.Chemistry.LeadAcid() {
				demand(ok && *u.ChargeMinC == least, "charged from %g C on, want the %g C of its chemistry",
					*u.ChargeMinC, least)
			}
		})
	}
}

func TestGenericModules(t *testing.T) {
	for _, m := range generic(t).Modules() {
		// Data sheets print rated_w, vmp_v and imp_a each rounded: 2 % cover it.
		if p := m.VmpV * m.ImpA; math.Abs(p-m.RatedW) > 0.02*m.RatedW {
			t.Errorf("%s: %g V * %g A = %.1f W, rated %g W", m.ID, m.VmpV, m.ImpA, p, m.RatedW)
		}
		if !(m.VmpV < m.VocV && m.ImpA < m.IscA) {
			t.Errorf("%s: %g of %g V, %g of %g A", m.ID, m.VmpV, m.VocV, m.ImpA, m.IscA)
		}
		if !(m.VocPctPerC < 0 && m.PmaxPctPerC < m.VocPctPerC && m.IscPctPerC > 0) {
			t.Errorf("%s: coefficients %g, %g, %g %%/K", m.ID, m.VocPctPerC, m.PmaxPctPerC, m.IscPctPerC)
		}
		if m.NOCTC < 40 || m.NOCTC > 50 || m.LengthMm <= m.WidthMm || m.Price == nil {
			t.Errorf("%s: %+v", m.ID, m)
		}
		// The standard size that protects strings side by side, 1.25 * 1.25 times the current: common practice. NEC
		// 690.8 and 690.9.
		sizes := []float64{10, 15, 20, 25, 30}
		if i, _ := slices.BinarySearch(sizes, 1.25*1.25*m.IscA); i == len(sizes) || m.MaxFuseA != sizes[i] {
			t.Errorf("%s: bears a fuse of %g A, at %g A of short-circuit current", m.ID, m.MaxFuseA, m.IscA)
		}
		// Efficiency under 1 kW/m2: 10 to 25 %.
		if eff := m.RatedW / (m.LengthMm * m.WidthMm / 1e6) / 1000; eff < 0.10 || eff > 0.25 {
			t.Errorf("%s: an efficiency of %.3f", m.ID, eff)
		}
	}
}

func TestGenericGenerators(t *testing.T) {
	for _, g := range generic(t).Generators() {
		if g.PowerFactor < 0.8 || g.PowerFactor > 1 || g.Phases < 1 || g.OutputV == 0 || g.Fuel == "" || g.FuelL <= 0 &&
			g.Fuel != "gas" || g.Price == nil {
			t.Errorf("%s: %+v", g.ID, g)
		}
		for i, p := range g.FuelLPerH {
			if i > 0 && (p.Load <= g.FuelLPerH[i-1].Load || p.LPerH <= g.FuelLPerH[i-1].LPerH) {
				t.Errorf("%s: %v after %v", g.ID, p, g.FuelLPerH[i-1])
			}
			// A small set burns 0.25 to 1 l for a kWh at and above half load: common practice.
			if kw := p.Load * g.RatedVA * g.PowerFactor / 1000; p.Load >= 0.5 && (p.LPerH < 0.25*kw || p.LPerH > kw) {
				t.Errorf("%s: %g l/h for %.2f kW", g.ID, p.LPerH, kw)
			}
		}
		if len(g.FuelLPerH) < 2 {
			t.Errorf("%s: %d points of fuel", g.ID, len(g.FuelLPerH))
		}
	}
}
