package backup_test

import (
	"bytes"
	"cmp"
	"encoding/json"
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	gocmp "github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"outlast/backup"
	"outlast/backup/facts"
	"outlast/backup/sheet"
	"outlast/backup/site"
	"outlast/backup/split"
	"outlast/backup/verdict"
	"outlast/loads"
)

const rounding = 1e-9

// TestDemandOrder: connected >= scheduled >= probable.
func TestDemandOrder(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		d := drawSite(t).planned(t).Demand
		if d.Scheduled.W > d.Connected.W || d.Scheduled.VA > d.Connected.VA || d.ProbableW > d.Scheduled.W {
			t.Fatalf("connected %g W %g VA, scheduled %g W %g VA, probable %g W", d.Connected.W, d.Connected.VA,
				d.Scheduled.W, d.Scheduled.VA, d.ProbableW)
		}
	})
}

// TestOneLoadMore: adding a load to the backup board lowers no demand and lengthens nothing. (One without an interlock:
// a new member takes turns with the others, which may make a large one rarer.)
func TestOneLoadMore(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := drawSite(t)
		for i, board := range s.boards {
			if board == "either" {
				s.boards[i] = "main" // else the planner might put another circuit away for it
			}
		}
		s.boards[0] = "backup"
		s.strings = max(1, s.strings)
		less := s.planned(t)
		l := drawLoad(t, 1)
		l.interlock, l.months, l.heldOff = "", "", false
		s.add(l)
		more := s.planned(t)
		for _, v := range []struct {
			what       string
			less, more float64
		}{
			{"connected W", less.Demand.Connected.W, more.Demand.Connected.W},
			{"connected VA", less.Demand.Connected.VA, more.Demand.Connected.VA},
			{"scheduled W", less.Demand.Scheduled.W, more.Demand.Scheduled.W},
			{"scheduled VA", less.Demand.Scheduled.VA, more.Demand.Scheduled.VA},
			{"probable W", less.Demand.ProbableW, more.Demand.ProbableW},
			{"energy of a day", less.Demand.EnergyWhPerDay, more.Demand.EnergyWhPerDay},
			{"AC energy of the outage", less.Bank.EnergyACWh, more.Bank.EnergyACWh},
			{"restart VA", less.Starts.Restart.VA, more.Starts.Restart.VA},
			{"pass-through", less.Grid.PassThroughA, more.Grid.PassThroughA},
			{"hours lost", -less.Bank.AutonomyH, -more.Bank.AutonomyH},
		} {
			if v.more < v.less-rounding*(1+math.Abs(v.less)) {
				t.Errorf("%s: %.12g, with a load more %.12g", v.what, v.less, v.more)
			}
		}
		for _, st := range less.Starts.All {
			i := slices.IndexFunc(more.Starts.All, func(o facts.Start) bool { return o.Load == st.Load })
			if i < 0 || more.Starts.All[i].BalancedVA < st.BalancedVA*(1-rounding) {
				t.Errorf("the start of %q is weaker with a load more", st.Load)
			}
		}
	})
}

// inAnyOrder is the JSON of a plan with the lists that stand in the order of the file sorted.
func inAnyOrder(t *rapid.T, p *backup.Plan) map[string]any {
	var b bytes.Buffer
	if err := sheet.Write(&b, []*backup.Plan{p}, sheet.Options{Format: "json"}); err != nil {
		t.Fatal(err)
	}
	var v map[string]any
	if err := json.Unmarshal(b.Bytes(), &v); err != nil {
		t.Fatal(err)
	}
	byText := func(list any) {
		if list, ok := list.([]any); ok {
			slices.SortFunc(list, func(a, b any) int { return cmp.Compare(fmt.Sprint(a), fmt.Sprint(b)) })
		}
	}
	for _, v := range v["circuits"].([]any) {
		item := v.(map[string]any)
		delete(item, "way") // ways are numbered in the order of the file
		byText(item["loads"])
	}
	if split, ok := v["allocation"].(map[string]any); ok {
		delete(split, "checked") // the search may take another way to the same end
		byText(split["left_out"])
		byText(split["phases_picked"])
	}
	// A reason may end in a list of circuits in the order of the file.
	for _, v := range v["checks"].([]any) {
		item := v.(map[string]any)
		item["reason"], _, _ = strings.Cut(item["reason"].(string), "; also overloaded: ")
	}
	for _, list := range v {
		byText(list)
	}
	return v
}

// TestOrderOfTheFile: in which order loads and circuits stand in the file changes nothing but the lists that follow it.
func TestOrderOfTheFile(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := drawOpen(t)
		for i := range s.boards { // of two idle circuits the first is the fullest
			s.add(drawnLoad{quantity: 1, runningW: float64(i), pf: 1, hours: 24, circuit: i, priority: 3})
		}
		one := inAnyOrder(t, s.planned(t))
		s.circuitOrder = rapid.Permutation(s.circuitOrder).Draw(t, "order of circuits")
		s.loadOrder = rapid.Permutation(s.loadOrder).Draw(t, "order of loads")
		other := inAnyOrder(t, s.planned(t))
		if diff := gocmp.Diff(one, other); diff != "" {
			t.Fatalf("another order, another plan:\n%s", diff)
		}
	})
}

// TestScale: everything twice, or eight times, as large leaves every margin as it was, but for those of cables.
func TestScale(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := drawSite(t)
		scale := rapid.SampledFrom([]float64{0.5, 2, 3, 8}).Draw(t, "scale")
		one := s.planned(t)
		other, err := planOf(s.text(scale))
		if err != nil {
			t.Fatal(err)
		}
		if keptByCable(one) || keptByCable(other) {
			return // conductors and devices come in standard sizes: another circuit may be carried
		}
		if len(one.Checks) != len(other.Checks) {
			t.Fatalf("%d checks, scaled %d", len(one.Checks), len(other.Checks))
		}
		for i, c := range one.Checks {
			d := other.Checks[i]
			if strings.HasPrefix(c.ID, "cable-") && c.ID == d.ID {
				continue // conductors and devices come in standard sizes
			}
			if c.ID != d.ID || c.Status != d.Status || math.Abs(c.Margin-d.Margin) > 1e-6*(1+math.Abs(c.Margin)) {
				t.Errorf("%s: %s with %.9g left, times %g: %s: %s with %.9g left", c.ID, c.Status, c.Margin, scale,
					d.ID, d.Status, d.Margin)
			}
		}
	})
}

// keptByCable says whether a conductor or its device keeps a circuit from the backup board.
func keptByCable(p *backup.Plan) bool {
	return p.Allocation != nil && slices.ContainsFunc(p.Allocation.LeftOut(), func(l split.LeftOut) bool {
		return strings.HasPrefix(l.Check, "cable-")
	})
}

// TestMoreStrings: a string more never shortens the autonomy.
func TestMoreStrings(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := drawSite(t)
		s.strings = max(1, s.strings)
		for i, board := range s.boards {
			if board == "either" {
				s.boards[i] = "main" // else more strings would carry more circuits
			}
		}
		less := s.planned(t).Bank.AutonomyH
		s.strings++
		if more := s.planned(t).Bank.AutonomyH; more < less*(1-rounding) {
			t.Fatalf("%d strings last %g h, one less lasts %g h", s.strings, more, less)
		}
	})
}

// TestHigherRating: no check that passed fails because something became stronger.
func TestHigherRating(t *testing.T) {
	ratings := map[string]func(s *drawnSite, by float64){
		"rated_va":     func(s *drawnSite, by float64) { s.ratedVA *= by },
		"rated W, VA":  func(s *drawnSite, by float64) { s.ratedVA *= by; s.ratedW *= by },
		"overload":     func(s *drawnSite, by float64) { s.points = append(s.points, [2]float64{30, 30000 * by}) },
		"pass_through": func(s *drawnSite, by float64) { s.passA *= by },
		"ac_input_a":   func(s *drawnSite, by float64) { s.inputA *= by },
		"discharge":    func(s *drawnSite, by float64) { s.dischargeA *= by },
		"max_charge_a": func(s *drawnSite, by float64) { s.unitChargeA *= by },
		"unit current": func(s *drawnSite, by float64) { s.unitA *= by; s.pulseA *= by },
		"pulse_a":      func(s *drawnSite, by float64) { s.pulseA *= by },
		"resistance":   func(s *drawnSite, by float64) { s.mohm /= by },
		"ways":         func(s *drawnSite, by float64) { s.ways = int(math.Ceil(float64(s.ways) * by)) },
		"transfer_ms":  func(s *drawnSite, by float64) { s.transferMs /= by },
		"breakers": func(s *drawnSite, by float64) {
			for i := range s.breakers {
				s.breakers[i] *= by
			}
		},
	}
	names := []string{}
	for name := range ratings {
		names = append(names, name)
	}
	slices.Sort(names)
	rapid.Check(t, func(t *rapid.T) {
		s := drawSite(t)
		s.curve = false // with it, a larger rating works at another point of the curve
		for i, board := range s.boards {
			if board == "either" && s.strings == 0 {
				s.boards[i] = "main" // a bank that is sized grows with the circuits that a higher rating lets in
			}
		}
		before := s.planned(t)
		name := rapid.SampledFrom(names).Draw(t, "rating")
		ratings[name](s, rapid.Float64Range(1, 3).Draw(t, "by"))
		after := map[string]verdict.Check{}
		for _, c := range s.planned(t).Checks {
			after[c.ID] = c
		}
		for _, c := range before.Checks {
			if now := after[c.ID]; c.Status == verdict.Pass && now.Status == verdict.Fail {
				t.Errorf("a higher %s makes %s fail: %s", name, c.ID, now.Reason)
			}
		}
	})
}

// TestWritten: the same site gives the same bytes in every format, none of them holds what is not a number, and the
// verdict is that of the worst check.
func TestWritten(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := drawSite(t)
		p, q := s.planned(t), s.planned(t)
		worst := verdict.Pass
		for _, c := range p.Checks {
			if c.Status == verdict.Fail || c.Status == verdict.Caution && worst == verdict.Pass {
				worst = c.Status
			}
			if bad := c.Demand + c.Margin + c.Limit; math.IsNaN(bad) || math.IsInf(bad, 0) {
				t.Errorf("%s: demand %g, limit %g, margin %g", c.ID, c.Demand, c.Limit, c.Margin)
			}
			if strings.HasPrefix(c.ID, "slip-") && c.Status == verdict.Fail {
				t.Errorf("%s fails, and is to be a caution at worst", c.ID)
			}
		}
		if p.Verdict() != worst {
			t.Errorf("verdict %s, the worst check is %s", p.Verdict(), worst)
		}
		for _, format := range sheet.Formats() {
			o := sheet.Options{Format: format, Working: true, Width: 100}
			var one, other bytes.Buffer
			if err := sheet.Write(&one, []*backup.Plan{p}, o); err != nil {
				t.Fatalf("%s: %v", format, err)
			}
			if err := sheet.Write(&other, []*backup.Plan{q}, o); err != nil {
				t.Fatalf("%s: %v", format, err)
			}
			if !bytes.Equal(one.Bytes(), other.Bytes()) {
				t.Errorf("%s: the same site gives two texts", format)
			}
			for _, word := range []string{"NaN", "Inf", "%!"} {
				if i := bytes.Index(one.Bytes(), []byte(word)); i >= 0 {
					t.Errorf("%s holds %q: %s", format, word, one.Bytes()[max(0, i-60):min(one.Len(), i+60)])
				}
			}
		}
	})
}

// TestSlipsOneByOne: the slips, which one set serves all, are what a set of each would give: everything in use but its
// mates, and the held-off load on all day, running and starting.
func TestSlipsOneByOne(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := drawSite(t).planned(t)
		if p.Inverter.DeratedW() <= 0 {
			t.Skip("nothing is left of the rating")
		}
		margins := map[string]float64{}
		for _, c := range p.Checks {
			margins[c.ID] = c.Margin
		}
		phases := float64(p.Site.Phases)
		for _, held := range p.HeldOff {
			all := loads.InMonth(site.InUse(p.Site.OnBoard(loads.BoardBackup)), p.Month)
			all = slices.DeleteFunc(slices.Clone(all), func(l loads.Load) bool {
				return held.Interlock != "" &&
					l.Interlock == held.Interlock
			})
			for i := range all {
				all[i].Start = nil
			}
			held.HeldOff, held.Windows = false, nil
			start := held.Start
			held.Start = nil
			d := loads.NewSet(p.Site.Phases, append(all, held)).Scheduled()
			least := min(1-d.VA/p.Inverter.DeratedVA(), 1-d.W/p.Inverter.DeratedW())
			for i := range d.PhaseVA {
				least = min(least, 1-phases*d.PhaseVA[i]/p.Inverter.DeratedVA(),
					1-phases*d.PhaseW[i]/p.Inverter.DeratedW())
			}
			if start != nil {
				held.Start = start
				for _, s := range loads.NewSet(p.Site.Phases, append(all, held)).Surges() {
					least = min(least, 1-s.VA/p.Inverter.RatingVA(s.Seconds),
						1-phases*s.PhaseVA/p.Inverter.RatingVA(s.Seconds))
				}
			}
			if got := margins["slip-"+held.Name]; math.Abs(got-least) > 1e-6*(1+math.Abs(least)) {
				t.Errorf("%s: margin %g, one by one %g", held.Name, got, least)
			}
		}
	})
}
