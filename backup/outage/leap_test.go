package outage

import (
	"math"
	"testing"
)

// leapt is a run of a home that leaps.
func leapt(h *HomeYear, bank Bank) *homeRun {
	r := &homeRun{HomeYear: h, supply: newSupply(h.Inverter, h.ChargeLimitW, h.Generator, float64(h.StepMin)/60),
		off: make([]bool, len(h.Dropped)), ahead: h.ahead()}
	r.bank, r.runner, r.leaper = bank, bank.(runner), bank.(leaper)
	return r
}

// sunnyDays is a home with a generator, a tank and loads that are dropped, whose bank is full on the sunny days of a
// month and low on the others.
func sunnyDays(days int) HomeYear {
	h := HomeYear{StepMin: 15, Inverter: Inverter{IdleW: 20, Efficiency: 0.93},
		Generator: &Generator{RatedW: 1500, Derating: 1, StartSoC: 0.6, StopSoC: 0.8, ChargerEfficiency: 0.9, FuelL: 7}}
	dropped := Dropped{Below: 0.7, BackAt: 0.75}
	for hour := range 24 * days {
		sunW := 0.0
		if hour/24%9 < 5 {
			sunW = 1500 * max(0, math.Sin(math.Pi*float64(hour%24-6)/12))
		}
		h.PVW = append(h.PVW, sunW)
		for range 4 {
			h.AskW, dropped.AskW = append(h.AskW, 60+20*float64(hour%5)), append(dropped.AskW, 10*float64(hour%3))
		}
	}
	h.Dropped = []Dropped{dropped}
	return h
}

// Outages that leap, and go on where an earlier one ended that they have met, last as long as those that are stepped
// through; and they do meet, of either chemistry.
func TestOutagesMeet(t *testing.T) {
	const maxH = 15 * 24
	for _, kind := range bankKinds[:2] {
		h := sunnyDays(40)
		want, err := h.Survive(t.Context(), func() Bank { return stepwise{bankOf(t, kind, 1)} }, 0.9, maxH, nil)
		if err != nil {
			t.Fatal(err)
		}
		r, met, dark := leapt(&h, bankOf(t, kind, 1)), 0, 0
		for start := range h.Hours() {
			r.courses.begin(start)
			got, sure := r.from(start, 0.9, maxH)
			if got != want.Hours[start] || !sure {
				t.Fatalf("%v from hour %d: %d h, sure %v, step by step %d h", kind, start, got, sure, want.Hours[start])
			}
			if got < maxH {
				dark++
			}
		}
		for i, c := range r.courses.all {
			if c.continued != i {
				met++
			}
		}
		if met < 100 || dark < 100 || dark > h.Hours()-100 {
			t.Errorf("%v: %d of %d outages went on by another, %d went dark", kind, met, h.Hours(), dark)
		}
	}
}

// A generator that starts at the very charge that the bank comes to is in doubt after a leap, and the outage is stepped
// through.
func TestInDoubt(t *testing.T) {
	for _, kind := range bankKinds[:2] {
		h := sunnyDays(4)
		h.PVW, h.Dropped = nil, nil
		bank := bankOf(t, kind, 1)
		bank.Reset(1)
		s := newSupply(h.Inverter, 0, nil, 0.25)
		s.bank = bank
		for step := range 40 {
			s.flow(h.AskW[step], 0)
		}
		h.Generator.StartSoC = bank.SoC()
		h.Generator.StopSoC = (1 + bank.SoC()) / 2
		r := leapt(&h, bankOf(t, kind, 1))
		r.courses.begin(0)
		if hours, sure := r.from(0, 1, 72); sure {
			t.Errorf("%v: %d h are beyond doubt", kind, hours)
		}
		got, err := h.Survive(t.Context(), func() Bank { return bankOf(t, kind, 1) }, 1, 72, nil)
		if err != nil {
			t.Fatal(err)
		}
		want, err := h.Survive(t.Context(), func() Bank { return stepwise{bankOf(t, kind, 1)} }, 1, 72, nil)
		if err != nil {
			t.Fatal(err)
		}
		for start := range want.Hours {
			if got.Hours[start] != want.Hours[start] {
				t.Errorf("%v from hour %d: %d h, step by step %d h", kind, start, got.Hours[start], want.Hours[start])
			}
		}
	}
}
