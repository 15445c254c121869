package outage

import (
	"context"
	"errors"
	"math"
	"slices"
	"testing"

	"pgregory.net/rapid"

	"outlast/loads"
)

// evenlyAsked is what loads ask in each minute of the day, spread evenly over their windows.
func evenlyAsked(ls []loads.Load) []float64 {
	w := make([]float64, minutesPerDay)
	for i := range ls {
		l := &ls[i]
		for minute := range w {
			if !l.HeldOff && l.HoursPerDay > 0 && l.ActiveAt(minute) {
				w[minute] += l.RunningW * float64(l.Quantity) * l.HoursPerDay / l.WindowHours()
			}
		}
	}
	return w
}

// homeOf is the home of a scenario through so many equal days, in steps of a minute.
func homeOf(s Scenario, days int) HomeYear {
	h := HomeYear{StepMin: 1, Inverter: s.Inverter, ChargeLimitW: s.ChargeLimitW, Generator: s.Generator}
	margin := s.ReturnMargin
	if margin == 0 {
		margin = DefaultReturnMargin
	}
	var always []loads.Load
	for _, l := range s.Loads {
		if l.DropBelow == 0 || l.Medical {
			always = append(always, l)
			continue
		}
		h.Dropped = append(h.Dropped, Dropped{l.DropBelow, min(1, l.DropBelow+margin),
			slices.Repeat(evenlyAsked([]loads.Load{l}), days)})
	}
	h.AskW = slices.Repeat(evenlyAsked(always), days)
	if len(s.PVW) > 0 {
		for hour := range 24 * days {
			h.PVW = append(h.PVW, s.PVW[hour*60%len(s.PVW)])
		}
	}
	return h
}

// Every start of a home with a generator and with loads that are dropped lasts as long as the outage that is followed
// from that minute with all its accounts.
func TestHomeYearIsEveryOutage(t *testing.T) {
	dark, served := 0, 0
	rapid.Check(t, func(rt *rapid.T) {
		const days, maxH = 2, 60
		s := scenarioGen(true).Draw(rt, "scenario")
		s.EvenSpread, s.RestartSoC = true, 0
		drawSun(rt, &s)
		for m := range s.PVW { // of hours, as a year has it
			s.PVW[m] = s.PVW[m/60*60]
		}
		if rapid.IntRange(0, 3).Draw(rt, "generator") > 0 {
			s.Generator = generatorGen.Draw(rt, "set")
		}
		kind := rapid.SampledFrom(bankKinds).Draw(rt, "bank")
		h := homeOf(s, days)
		got, err := h.Survive(t.Context(), func() Bank { return bankOf(t, kind, 1) }, s.StartSoC, maxH, nil)
		if err != nil {
			rt.Fatal(err)
		}
		for _, start := range []int{0, 7, 18, 24 + 5} {
			s.StartMin, s.Bank = start*60, bankOf(t, kind, 1)
			r, err := run(s, maxH*60)
			if err != nil {
				rt.Fatal(err)
			}
			hours, isDark := r.HoursUntilDark()
			if got.Hours[start] != int(hours) {
				rt.Fatalf("from hour %d on: %d h, but the outage lasts %.2f h", start, got.Hours[start], hours)
			}
			if isDark {
				dark++
			} else {
				served++
			}
		}
	})
	if !testing.Short() && (dark < 20 || served < 20) { // a short run has a fifth of the draws
		t.Errorf("%d starts go dark and %d do not: too few of a kind to tell", dark, served)
	}
}

// Without generator and drops a home is the balance at its bank: both ways give the same hours.
func TestHomeYearIsABalance(t *testing.T) {
	askW := make([]float64, 2*24*4)
	for i := range askW {
		askW[i] = 300 + 200*math.Sin(float64(i)/7)
	}
	pvW := make([]float64, 2*24)
	for i := range pvW {
		pvW[i] = 900 * max(0, math.Sin(math.Pi*float64(i%24-6)/12))
	}
	h := HomeYear{StepMin: 15, AskW: askW, PVW: pvW, Inverter: Inverter{IdleW: 20, Efficiency: 0.93}}
	year := Year{StepMin: 15}
	for i, w := range askW {
		year.NetW = append(year.NetW, pvW[i/4]-(20+w/0.93))
	}
	for _, kind := range bankKinds {
		newBank := func() Bank { return bankOf(t, kind, 2) }
		got, err := h.Survive(t.Context(), newBank, 0.9, 100, nil)
		if err != nil {
			t.Fatal(err)
		}
		want, err := SurviveStepping(t.Context(), year, newBank, 0.9, 100, nil)
		if err != nil {
			t.Fatal(err)
		}
		if !slices.Equal(got.Hours, want.Hours) {
			t.Errorf("%s: %v, want %v", kind, got.Hours, want.Hours)
		}
	}
}

// A tank that is full lasts from each start anew, and what it holds decides.
func TestHomeYearFuel(t *testing.T) {
	h := HomeYear{StepMin: 15, AskW: slices.Repeat([]float64{1000}, 24*4), Inverter: Inverter{Efficiency: 1},
		Generator: &Generator{RatedW: 2000, Derating: 1, StartSoC: 0.5, StopSoC: 0.6, ChargerW: 1000,
			ChargerEfficiency: 1, Fuel: []FuelPoint{{0.5, 1}, {1, 1}}}}
	// The set burns 1 l in every hour that it runs at 2 kW, half of them into the bank: 1 kW is asked for, so it runs
	// half of the time.
	newBank := func() Bank { return newPlainStore(Path{ChargeEfficiency: 1, DischargeEfficiency: 1}, 10000) }
	for _, tt := range []struct {
		fuelL float64
		want  int
	}{
		{0, 200},               // never ends
		{10, 10 + 2*10},        // 10 h of the bank, and each litre carries the loads for two hours
		{10.1, 10 + 2*10},      // of the rest a quarter of an hour at full power is not there
		{10.25, 10 + 2*10 + 0}, // half an hour more
		{10.5, 10 + 2*10 + 1},
	} {
		h.Generator.FuelL = tt.fuelL
		got, err := h.Survive(t.Context(), newBank, 1, 200, nil)
		if err != nil {
			t.Fatal(err)
		}
		if slices.Min(got.Hours) != tt.want || slices.Max(got.Hours) != tt.want {
			t.Errorf("%g l: %v, want %d h from everywhere", tt.fuelL, got.Hours, tt.want)
		}
	}
}

func TestHomeYearRefuses(t *testing.T) {
	good := func() HomeYear {
		return HomeYear{StepMin: 30, AskW: make([]float64, 48), PVW: make([]float64, 24),
			Inverter: Inverter{Efficiency: 1},
			Dropped:  []Dropped{{0.4, 0.45, make([]float64, 48)}}}
	}
	newBank := func() Bank { return bankOf(t, "store", 1) }
	for name, spoil := range map[string]func(*HomeYear){
		"step":       func(h *HomeYear) { h.StepMin = 7 },
		"no hour":    func(h *HomeYear) { h.AskW = h.AskW[:1] },
		"sun":        func(h *HomeYear) { h.PVW = h.PVW[1:] },
		"asked":      func(h *HomeYear) { h.AskW[3] = math.NaN() },
		"dropped":    func(h *HomeYear) { h.Dropped[0].AskW[3] = -1 },
		"length":     func(h *HomeYear) { h.Dropped[0].AskW = h.Dropped[0].AskW[1:] },
		"goes":       func(h *HomeYear) { h.Dropped[0].Below = 1.1 },
		"comes back": func(h *HomeYear) { h.Dropped[0].BackAt = 0.3 },
		"inverter":   func(h *HomeYear) { h.Inverter.Efficiency = 0 },
		"generator":  func(h *HomeYear) { h.Generator = &Generator{} },
		"limit":      func(h *HomeYear) { h.ChargeLimitW = -1 },
	} {
		h := good()
		spoil(&h)
		if _, err := h.Survive(t.Context(), newBank, 1, 10, nil); err == nil {
			t.Errorf("%s: no error", name)
		}
	}
	h := good()
	for _, bad := range []struct {
		soc  float64
		maxH int
	}{{1.1, 10}, {1, 0}, {1, MaxHours + 1}} {
		if _, err := h.Survive(t.Context(), newBank, bad.soc, bad.maxH, nil); err == nil {
			t.Errorf("soc %g, %d h: no error", bad.soc, bad.maxH)
		}
	}
	ctx, cancel := context.WithCancel(t.Context())
	cancel()
	if _, err := h.Survive(ctx, newBank, 1, 10, nil); !errors.Is(err, context.Canceled) {
		t.Errorf("interrupted: %v", err)
	}
}
