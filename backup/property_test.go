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
	"outlast/backup/sheet"
)

// A drawnLoad is a load of a random site.
type drawnLoad struct {
	quantity            int
	runningW, pf        float64
	startVA, startPF, s float64 // startVA 0: none; startPF 0: not given
	when                []string
	hours               float64
	circuit, priority   int
	heldOff             bool
	interlock, months   string
	ridesMs             float64
}

// A drawnSite is a random site in numbers, so that a property can change them and write it anew. Its month and its start are
// given, so that a change of a load moves neither.
type drawnSite struct {
	phases, unitPhases, count    int
	ratedW, ratedVA              float64
	points                       [][2]float64 // seconds and VA
	passA, inputA, chargerA      float64
	dischargeA, idleW            float64
	curve                        bool
	hottest, altitude, coldest   float64
	chemistry                    string
	ah, unitChargeA, unitA       float64
	pulseA, mohm                 float64
	strings, ways                int
	autonomyH                    float64
	start                        string
	reserve, growth, confidence  float64
	boards                       []string
	breakers                     []float64
	circuitPhase                 []int
	loads                        []drawnLoad
	transferMs                   float64
	circuitOrder, loadOrder      []int
	dropPass, dropPulse, dropOhm bool
}

var windowSets = [][]string{
	nil, nil, {"06:00-09:00"}, {"17:30-23:00"}, {"22:00-02:00"}, {"06:15-08:45", "12:00-13:00", "18:00-20:30"}, {"00:00-12:00"}, {"20:00-24:00", "00:00-06:30"},
}

var windowHours = []float64{24, 24, 3, 5.5, 4, 6, 12, 10.5}

// round keeps numbers short, so that a failing site can be read.
func round(x float64) float64 { return math.Round(x*10) / 10 }

func drawLoad(t *rapid.T, circuits int) drawnLoad {
	number := func(lo, hi float64, what string) float64 { return round(rapid.Float64Range(lo, hi).Draw(t, what)) }
	set := rapid.IntRange(0, len(windowSets)-1).Draw(t, "windows")
	l := drawnLoad{
		quantity: rapid.IntRange(1, 4).Draw(t, "quantity"),
		runningW: number(0, 2500, "running_w"),
		pf:       rapid.SampledFrom([]float64{1, 1, 0.95, 0.8, 0.6}).Draw(t, "pf"),
		when:     windowSets[set],
		hours:    math.Floor(windowHours[set]*rapid.Float64Range(0, 1).Draw(t, "share")*100) / 100,
		circuit:  rapid.IntRange(0, circuits-1).Draw(t, "circuit"),
		priority: rapid.IntRange(1, 5).Draw(t, "priority"),
		heldOff:  rapid.IntRange(0, 4).Draw(t, "held off") == 0,
		ridesMs:  number(1, 50, "rides_through_ms"),
	}
	if rapid.Bool().Draw(t, "starts") {
		l.startVA = math.Ceil(l.runningW/l.pf) + number(0, 6000, "more")
		l.startPF = rapid.SampledFrom([]float64{0, 0.4, 0.7, 1}).Draw(t, "starting_pf")
		l.s = rapid.SampledFrom([]float64{0.5, 1, 3, 5, 5.5, 60, 100}).Draw(t, "starting_s")
	}
	l.interlock = rapid.SampledFrom([]string{"", "", "", "one", "two"}).Draw(t, "interlock")
	l.months = rapid.SampledFrom([]string{"", "", "", "[1, 2, 12]", "[6, 7]"}).Draw(t, "months")
	return l
}

func drawSite(t *rapid.T) *drawnSite {
	number := func(lo, hi float64, what string) float64 { return round(rapid.Float64Range(lo, hi).Draw(t, what)) }
	s := &drawnSite{phases: rapid.IntRange(1, 3).Draw(t, "phases")}
	s.unitPhases = rapid.SampledFrom([]int{1, s.phases}).Draw(t, "phases of a unit")
	s.count = s.phases / s.unitPhases * rapid.IntRange(1, 2).Draw(t, "units")
	s.ratedVA = number(500, 10000, "rated_va")
	s.ratedW = math.Ceil(s.ratedVA * rapid.Float64Range(0.7, 1).Draw(t, "rated_w"))
	s.ratedVA = max(s.ratedVA, s.ratedW)
	for _, seconds := range []float64{3, 5, 60}[:rapid.IntRange(0, 3).Draw(t, "points")] {
		s.points = append(s.points, [2]float64{seconds, number(1000, 20000, "va")})
	}
	s.passA, s.inputA, s.chargerA = number(5, 60, "pass_through_a"), number(5, 80, "ac_input_a"), number(1, 100, "charger_a")
	s.dischargeA, s.idleW = number(20, 200, "max_discharge_a"), number(40, 100, "idle_w")
	s.curve = rapid.Bool().Draw(t, "curve")
	s.hottest, s.altitude, s.coldest = number(20, 60, "hottest_c"), number(0, 3000, "altitude_m"), number(-15, 30, "coldest_c")
	s.chemistry = rapid.SampledFrom([]string{"lfp", "lfp", "nmc", "agm"}).Draw(t, "chemistry")
	s.ah, s.unitChargeA, s.unitA = number(50, 150, "rated_ah"), number(10, 150, "max_charge_a"), number(50, 300, "max_discharge_a")
	s.pulseA, s.mohm = s.unitA+number(0, 300, "pulse_a"), number(1, 30, "resistance_mohm")
	s.strings, s.ways = rapid.IntRange(0, 3).Draw(t, "strings"), rapid.IntRange(1, 6).Draw(t, "ways")
	s.autonomyH = number(0.5, 30, "autonomy_h")
	s.start = rapid.SampledFrom([]string{"00:00", "06:30", "12:00", "18:15", "23:59"}).Draw(t, "start")
	s.reserve = rapid.SampledFrom([]float64{1, 0.9, 0.7}).Draw(t, "reserve")
	s.growth = rapid.SampledFrom([]float64{0, 0.1, 0.25}).Draw(t, "growth")
	s.confidence = rapid.SampledFrom([]float64{0.9, 0.99, 0.999}).Draw(t, "confidence")
	s.transferMs = number(1, 40, "transfer_ms")
	s.dropPass, s.dropPulse, s.dropOhm = rapid.Bool().Draw(t, "no pass-through"), rapid.Bool().Draw(t, "no pulse"), rapid.Bool().Draw(t, "no resistance")
	circuits := rapid.IntRange(1, 5).Draw(t, "circuits")
	for range circuits {
		s.boards = append(s.boards, rapid.SampledFrom([]string{"backup", "backup", "backup", "main", "either"}).Draw(t, "board"))
		s.breakers = append(s.breakers, number(6, 63, "breaker_a"))
		s.circuitPhase = append(s.circuitPhase, rapid.IntRange(0, s.phases).Draw(t, "phase"))
		s.circuitOrder = append(s.circuitOrder, len(s.circuitOrder))
	}
	for range rapid.IntRange(0, 7).Draw(t, "loads") {
		s.add(drawLoad(t, circuits))
	}
	return s
}

func (s *drawnSite) add(l drawnLoad) {
	s.loadOrder = append(s.loadOrder, len(s.loads))
	s.loads = append(s.loads, l)
}

// text writes the site, all powers and ratings times scale.
func (s *drawnSite) text(scale float64) string {
	h := &house{tables: map[string]map[string]string{}}
	h.put("site", fmt.Sprintf(`name = "Drawn"; nominal_v = 230; phases = %d; coldest_c = %g; hottest_c = %g; altitude_m = %g`, s.phases, s.coldest, s.hottest, s.altitude))
	h.put("outage", fmt.Sprintf(`autonomy_h = %g; start = %q; month = 1; reserve = %g`, s.autonomyH, s.start, s.reserve))
	h.put("practice", fmt.Sprintf("growth = %g; confidence = %g", s.growth, s.confidence))
	h.put("board", fmt.Sprintf("ways = %d", s.ways))
	h.put("inverter", fmt.Sprintf(`rated_w = %g; rated_va = %g; phases = %d; count = %d; nominal_dc_v = 48; dc_min_v = 40; dc_max_v = 64
		max_discharge_a = %g; charger_a = %g; ac_input_a = %g; idle_w = %g; efficiency = 0.9; transfer_ms = %g`,
		s.ratedW*scale, s.ratedVA*scale, s.unitPhases, s.count, s.dischargeA*scale, s.chargerA*scale, s.inputA*scale, s.idleW*scale, s.transferMs))
	if !s.dropPass {
		h.set("inverter.pass_through_a", s.passA*scale)
	}
	if s.curve {
		h.set("inverter.efficiency_curve", "[{ load = 0.05, efficiency = 0.8 }, { load = 0.3, efficiency = 0.95 }, { load = 1, efficiency = 0.9 }]")
	}
	var points []string
	for _, p := range s.points {
		points = append(points, fmt.Sprintf("{ seconds = %g, va = %g }", p[0], p[1]*scale))
	}
	if points != nil {
		h.set("inverter.overload", "["+strings.Join(points, ", ")+"]")
	}
	volts, reserveable := map[string]float64{"lfp": 51.2, "nmc": 51.1, "agm": 12}[s.chemistry], map[string]float64{"lfp": 0.8, "nmc": 0.8, "agm": 0.5}[s.chemistry]
	h.put("bank", fmt.Sprintf("chemistry = %q; nominal_v = %g; rated_ah = %g; strings = %d; max_charge_a = %g; max_discharge_a = %g; max_dod = %g; discharge_min_c = -20",
		s.chemistry, volts, s.ah*scale, s.strings, s.unitChargeA*scale, s.unitA*scale, reserveable))
	if !s.dropPulse {
		h.put("bank", fmt.Sprintf("pulse_a = %g; pulse_s = 5", s.pulseA*scale))
	}
	if !s.dropOhm {
		h.set("bank.resistance_mohm", s.mohm/scale)
	}
	for _, i := range s.circuitOrder {
		h.circuit(fmt.Sprintf("c%d", i), fmt.Sprintf("board = %q; phase = %d; breaker_a = %g", s.boards[i], s.circuitPhase[i], s.breakers[i]*scale))
	}
	for _, i := range s.loadOrder {
		l := s.loads[i]
		// A few thousandths of a watt of its own keep two loads from being equal, where the order of the file may decide.
		own := 0.001 * float64(i+1)
		text := fmt.Sprintf("circuit = \"c%d\"; quantity = %d; running_w = %v; power_factor = %g; hours_per_day = %g; priority = %d; rides_through_ms = %g; held_off = %v",
			l.circuit, l.quantity, (l.runningW+own)*scale, l.pf, l.hours, l.priority, l.ridesMs+own, l.heldOff)
		if l.startVA > 0 {
			text += fmt.Sprintf("; starting_va = %v; starting_s = %g", (l.startVA+1+own)*scale, l.s)
			if l.startPF > 0 {
				text += fmt.Sprintf("; starting_pf = %g", l.startPF)
			}
		}
		if l.when != nil {
			text += fmt.Sprintf(`; when = ["%s"]`, strings.Join(l.when, `", "`))
		}
		if l.interlock != "" {
			text += fmt.Sprintf("; interlock = %q", l.interlock)
		}
		if l.months != "" {
			text += "; months = " + l.months
		}
		h.load(fmt.Sprintf("load %d", i), text)
	}
	return h.text()
}

// planned works the site out.
func (s *drawnSite) planned(t *rapid.T) *backup.Plan {
	text := s.text(1)
	p, err := planOf(text)
	if err != nil {
		t.Fatalf("%v\n%s", err, text)
	}
	return p
}

const rounding = 1e-9

// TestDemandOrder: connected >= scheduled >= probable.
func TestDemandOrder(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		d := drawSite(t).planned(t).Demand
		if d.Scheduled.W > d.Connected.W || d.Scheduled.VA > d.Connected.VA || d.ProbableW > d.Scheduled.W {
			t.Fatalf("connected %g W %g VA, scheduled %g W %g VA, probable %g W", d.Connected.W, d.Connected.VA, d.Scheduled.W, d.Scheduled.VA, d.ProbableW)
		}
	})
}

// TestOneLoadMore: adding a load to the backup board lowers no demand and lengthens nothing. (One without an interlock: a new
// member takes turns with the others, which may make a large one rarer.)
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
			i := slices.IndexFunc(more.Starts.All, func(o backup.Start) bool { return o.Load == st.Load })
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
	// A reason may end in a list of circuits in the order of the file, or in a hint at the first of several loads.
	for list, end := range map[string]string{"checks": "; too much as well: ", "circuits": "; holding off "} {
		for _, v := range v[list].([]any) {
			item := v.(map[string]any)
			item["reason"], _, _ = strings.Cut(item["reason"].(string), end)
		}
	}
	for key, list := range v {
		if list, ok := list.([]any); ok {
			slices.SortFunc(list, func(a, b any) int { return cmp.Compare(fmt.Sprint(a), fmt.Sprint(b)) })
			v[key] = list
		}
	}
	return v
}

// TestOrderOfTheFile: in which order loads and circuits stand in the file changes nothing but the lists that follow it.
func TestOrderOfTheFile(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := drawSite(t)
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
		if len(one.Checks) != len(other.Checks) {
			t.Fatalf("%d checks, scaled %d", len(one.Checks), len(other.Checks))
		}
		for i, c := range one.Checks {
			d := other.Checks[i]
			if strings.HasPrefix(c.ID, "cable-") && c.ID == d.ID {
				continue // conductors and devices come in standard sizes
			}
			if c.ID != d.ID || c.Status != d.Status || math.Abs(c.Margin-d.Margin) > 1e-6*(1+math.Abs(c.Margin)) {
				t.Errorf("%s: %s with %.9g left, times %g: %s: %s with %.9g left", c.ID, c.Status, c.Margin, scale, d.ID, d.Status, d.Margin)
			}
		}
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
		after := map[string]backup.Check{}
		for _, c := range s.planned(t).Checks {
			after[c.ID] = c
		}
		for _, c := range before.Checks {
			if now := after[c.ID]; c.Status == backup.Pass && now.Status == backup.Fail {
				t.Errorf("a higher %s makes %s fail: %s", name, c.ID, now.Reason)
			}
		}
	})
}

// TestWritten: the same site gives the same bytes in every format, none of them holds what is not a number, and the verdict is
// that of the worst check.
func TestWritten(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := drawSite(t)
		p, q := s.planned(t), s.planned(t)
		worst := backup.Pass
		for _, c := range p.Checks {
			if c.Status == backup.Fail || c.Status == backup.Caution && worst == backup.Pass {
				worst = c.Status
			}
			if bad := c.Demand + c.Margin + c.Limit; math.IsNaN(bad) || math.IsInf(bad, 0) {
				t.Errorf("%s: demand %g, limit %g, margin %g", c.ID, c.Demand, c.Limit, c.Margin)
			}
			if strings.HasPrefix(c.ID, "slip-") && c.Status == backup.Fail {
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
