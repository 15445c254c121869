package backup_test

import (
	"fmt"
	"math"
	"strings"

	"pgregory.net/rapid"

	"outlast/backup"
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

// A drawnSite is a random site in numbers, so that a property can change them and write it anew. Its month and its
// start are given, so that a change of a load moves neither.
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
	nil, nil, {"06:00-09:00"}, {"17:30-23:00"}, {"22:00-02:00"}, {"06:15-08:45", "12:00-13:00", "18:00-20:30"},
	{"00:00-12:00"}, {"20:00-24:00", "00:00-06:30"},
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
	s.passA, s.inputA, s.chargerA = number(5, 60, "pass_through_a"), number(5, 80, "ac_input_a"),
		number(1, 100, "charger_a")
	s.dischargeA, s.idleW = number(20, 200, "max_discharge_a"), number(40, 100, "idle_w")
	s.curve = rapid.Bool().Draw(t, "curve")
	s.hottest, s.altitude, s.coldest = number(20, 60, "hottest_c"), number(0, 3000, "altitude_m"),
		number(-15, 30, "coldest_c")
	s.chemistry = rapid.SampledFrom([]string{"lfp", "lfp", "nmc", "agm"}).Draw(t, "chemistry")
	s.ah, s.unitChargeA, s.unitA = number(50, 150, "rated_ah"), number(10, 150, "max_charge_a"),
		number(50, 300, "max_discharge_a")
	s.pulseA, s.mohm = s.unitA+number(0, 300, "pulse_a"), number(1, 30, "resistance_mohm")
	s.strings, s.ways = rapid.IntRange(0, 3).Draw(t, "strings"), rapid.IntRange(1, 6).Draw(t, "ways")
	s.autonomyH = number(0.5, 30, "autonomy_h")
	s.start = rapid.SampledFrom([]string{"00:00", "06:30", "12:00", "18:15", "23:59"}).Draw(t, "start")
	s.reserve = rapid.SampledFrom([]float64{1, 0.9, 0.7}).Draw(t, "reserve")
	s.growth = rapid.SampledFrom([]float64{0, 0.1, 0.25}).Draw(t, "growth")
	s.confidence = rapid.SampledFrom([]float64{0.9, 0.99, 0.999}).Draw(t, "confidence")
	s.transferMs = number(1, 40, "transfer_ms")
	s.dropPass, s.dropPulse, s.dropOhm = rapid.Bool().Draw(t, "no pass-through"), rapid.Bool().Draw(t, "no pulse"),
		rapid.Bool().Draw(t, "no resistance")
	circuits := rapid.IntRange(1, 5).Draw(t, "circuits")
	for range circuits {
		s.boards = append(s.boards, rapid.SampledFrom([]string{"backup", "backup", "backup", "main", "either"}).Draw(t,
			"board"))
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
	h.put("site",
		fmt.Sprintf(`name = "Drawn"; nominal_v = 230; phases = %d; coldest_c = %g; hottest_c = %g; altitude_m = %g`,
			s.phases, s.coldest, s.hottest, s.altitude))
	h.put("outage", fmt.Sprintf(`autonomy_h = %g; start = %q; month = 1; reserve = %g`, s.autonomyH, s.start,
		s.reserve))
	h.put("practice", fmt.Sprintf("growth = %g; confidence = %g", s.growth, s.confidence))
	h.put("board", fmt.Sprintf("ways = %d", s.ways))
	h.put("inverter",
		fmt.Sprintf(`rated_w = %g; rated_va = %g; phases = %d; count = %d; nominal_dc_v = 48; dc_min_v = 40; dc_max_v = 64
		max_discharge_a = %g; charger_a = %g; ac_input_a = %g; idle_w = %g; efficiency = 0.9; transfer_ms = %g`,
			s.ratedW*scale, s.ratedVA*scale, s.unitPhases, s.count, s.dischargeA*scale, s.chargerA*scale, s.inputA*scale,
			s.idleW*scale, s.transferMs))
	if !s.dropPass {
		h.set("inverter.pass_through_a", s.passA*scale)
	}
	if s.curve {
		h.set("inverter.efficiency_curve",
			"[{ load = 0.05, efficiency = 0.8 }, { load = 0.3, efficiency = 0.95 }, { load = 1, efficiency = 0.9 }]")
	}
	var points []string
	for _, p := range s.points {
		points = append(points, fmt.Sprintf("{ seconds = %g, va = %g }", p[0], p[1]*scale))
	}
	if points != nil {
		h.set("inverter.overload", "["+strings.Join(points, ", ")+"]")
	}
	volts, reserveable := map[string]float64{"lfp": 51.2, "nmc": 51.1, "agm": 12}[s.chemistry],
		map[string]float64{"lfp": 0.8, "nmc": 0.8, "agm": 0.5}[s.chemistry]
	h.put("bank",
		fmt.Sprintf("chemistry = %q; nominal_v = %g; rated_ah = %g; strings = %d; max_charge_a = %g; "+
			"max_discharge_a = %g; max_dod = %g; discharge_min_c = -20",
			s.chemistry, volts, s.ah*scale, s.strings, s.unitChargeA*scale, s.unitA*scale, reserveable))
	if !s.dropPulse {
		h.put("bank", fmt.Sprintf("pulse_a = %g; pulse_s = 5", s.pulseA*scale))
	}
	if !s.dropOhm {
		h.set("bank.resistance_mohm", s.mohm/scale)
	}
	for _, i := range s.circuitOrder {
		phase := fmt.Sprint(s.circuitPhase[i])
		if s.circuitPhase[i] == anyPhase {
			phase = `"any"`
		}
		h.circuit(fmt.Sprintf("c%d", i), fmt.Sprintf("board = %q; phase = %s; breaker_a = %g", s.boards[i], phase,
			s.breakers[i]*scale))
	}
	for _, i := range s.loadOrder {
		l := s.loads[i]
		// A few thousandths of a watt of its own keep two loads from being equal, where the order of the file may
		// decide.
		own := 0.001 * float64(i+1)
		text := fmt.Sprintf("circuit = \"c%d\"; quantity = %d; running_w = %v; power_factor = %g; "+
			"hours_per_day = %g; priority = %d; rides_through_ms = %g; held_off = %v",
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
