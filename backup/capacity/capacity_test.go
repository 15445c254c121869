package capacity_test

import (
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"outlast/backup"
	"outlast/backup/capacity"
	"outlast/backup/measured/banklog"
	"outlast/backup/measured/tabular"
	"outlast/backup/site"
	"outlast/battery"
	"outlast/catalog"
)

// banks of 48 V: lithium as packs, lead-acid as blocks.
var banks = map[battery.Chemistry]string{
	battery.LFP: `nominal_v = 51.2
rated_ah = 100
rated_h = 5
strings = 3
resistance_mohm = 25
max_dod = 0.9
min_v = 44.8`,
	battery.NMC: `nominal_v = 51.1
rated_ah = 100
rated_h = 5
strings = 3
resistance_mohm = 25
max_dod = 0.9
min_v = 42`,
	battery.AGM: `nominal_v = 12
rated_ah = 200
rated_h = 10
strings = 2
peukert = 1.1
resistance_mohm = 3
max_dod = 0.5
min_v = 10.5`,
	battery.Flooded: `nominal_v = 12
rated_ah = 200
rated_h = 10
strings = 2
peukert = 1.2
resistance_mohm = 4
max_dod = 0.5
min_v = 10.5`,
}

func planOf(t testing.TB, c battery.Chemistry) *backup.Plan {
	t.Helper()
	cat, err := catalog.Generic()
	if err != nil {
		t.Fatal(err)
	}
	var keys strings.Builder
	for line := range strings.SplitSeq(banks[c], "\n") {
		fmt.Fprintln(&keys, line)
	}
	s, err := site.Read("test.toml", []byte(`[site]
name = "Test"
nominal_v = 230
coldest_c = 20
hottest_c = 30
[outage]
autonomy_h = 10
[inverter]
use = "hybrid-5k-48"
[bank]
chemistry = "`+string(c)+`"
`+keys.String()+`
[[circuit]]
id = "a"
label = "Lamps"
board = "backup"
breaker_a = 10
[[load]]
name = "Lamps"
circuit = "a"
running_w = 600
hours_per_day = 24
`), cat)
	if err != nil {
		t.Fatal(err)
	}
	p, err := backup.NewPlan(t.Context(), s)
	if err != nil {
		t.Fatal(err)
	}
	return p
}

// A trial is a test of a bank whose capacity is known, as a monitor would log it.
type trial struct {
	share   float64
	hours   float64 // in which a new bank would be empty at that power
	toSoC   float64 // where the test is stopped
	restH   float64 // behind it
	columns string  // of "load", "bank", "amps", "volts", "soc"
	tempC   float64

	// What is wrong with the readings, in the doubts that the estimate allows for.
	gain, offV, noiseV, noiseZ, sag float64
	drift                           float64 // of the monitor, from full to empty
	lastV                           float64 // of the last reading under load, V per cell; 0: as simulated
	seed                            uint64
}

// log writes the trial as a table and reads it back.
func (x trial) log(t testing.TB, p *backup.Plan) *banklog.Log {
	t.Helper()
	b := p.Bank.Bank
	m, err := b.Model(battery.ModelOptions{TemperatureC: x.tempC, EndOfLife: min(1, x.share), MaxDoD: 1})
	if err != nil {
		t.Fatal(err)
	}
	m.Reset(1)
	dice := rand.New(rand.NewPCG(x.seed, 7))
	powerW := b.CapacityAh() * b.NominalV() / x.hours
	scale := max(1, x.share) // a bank of more than its rated capacity is a new one that is asked for less
	var out strings.Builder
	out.WriteString("Time [h],temp [C]")
	has := func(c string) bool { return strings.Contains(x.columns, c) }
	for _, c := range []struct{ kind, head string }{{"load", "Load power [W]"}, {"bank", "Battery power [W]"},
		{"amps", "Current [A]"}, {"volts", "Battery voltage [V]"}, {"soc", "SoC [%]"}} {
		if has(c.kind) {
			out.WriteString("," + c.head)
		}
	}
	out.WriteByte('\n')
	const step = 2. / 60
	write := func(at, w, z float64, last bool) {
		v, _ := b.PowerV(w, z, x.tempC)
		rest := b.SourceV(z, x.tempC)
		v = rest - (rest-v)*x.sag
		v += float64(b.Cells()) * (x.offV + x.noiseV*dice.NormFloat64())
		if last && x.lastV > 0 {
			v = x.lastV * float64(b.Cells())
		}
		fmt.Fprintf(&out, "%.4f,%.1f", at, x.tempC)
		if has("load") {
			fmt.Fprintf(&out, ",%.1f", w) // only where no inverter stands between: see its use
		}
		if has("bank") {
			fmt.Fprintf(&out, ",%.1f", w*(1+x.gain))
		}
		if has("amps") {
			fmt.Fprintf(&out, ",%.2f", w/v*(1+x.gain))
		}
		if has("volts") {
			fmt.Fprintf(&out, ",%.3f", v)
		}
		if has("soc") {
			fmt.Fprintf(&out, ",%.0f", 100*min(1, max(0, z+x.drift*(1-z)+x.noiseZ*dice.NormFloat64())))
		}
		out.WriteByte('\n')
	}
	at := 0.0
	for ; at < 200; at += step {
		w := powerW
		if int(at*2)%3 == 1 { // the house is no constant current
			w *= 0.8
		}
		before := m.SoC()
		done := m.Step(w/scale, step) * scale
		if done < w*(1-1e-6) {
			break
		}
		last := m.SoC() <= x.toSoC
		if ahead := m.DischargeLimitW(step) * scale; ahead < powerW {
			last = true // the next reading is the one of an empty bank
		}
		write(at, w, before, last)
		if last {
			break
		}
	}
	for rest := step; rest <= x.restH; rest += step {
		m.Step(0, step)
		write(at+rest, 0, m.SoC(), false)
	}
	table, err := tabular.Open("log.csv", strings.NewReader(out.String()), tabular.Options{})
	if err != nil {
		t.Fatal(err)
	}
	l, err := banklog.Read(table, banklog.Options{})
	if err != nil {
		t.Fatalf("%v\n%s", err, out.String()[:200])
	}
	return l
}

func (x trial) of(t testing.TB, p *backup.Plan) *capacity.Result {
	t.Helper()
	r, err := capacity.Of(p.Facts, x.log(t, p), capacity.Options{})
	if err != nil {
		t.Fatal(err)
	}
	return r
}

// TestRoundTrip: a simulated log of a bank of 71 % is read back as 71 % within the uncertainty that is stated, which is
// no larger than mostSigma; and what no log supports is not told.
func TestRoundTrip(t *testing.T) {
	for _, tt := range []struct {
		name      string
		chemistry battery.Chemistry
		x         trial
		way       capacity.Way
		mostSigma float64 // relative
		told      bool
	}{
		{"LFP, volts only, to the knee", battery.LFP, trial{toSoC: 0.04, columns: "bank volts"},
			capacity.WayVolts, 0.04,
			true},
		{"LFP, volts only, emptied", battery.LFP, trial{columns: "bank volts", lastV: 2.7}, capacity.WayEmptied, 0.04,
			true},
		{"LFP, amps and volts", battery.LFP, trial{toSoC: 0.04, columns: "amps volts"}, capacity.WayVolts, 0.04, true},
		{"LFP, state of charge only", battery.LFP, trial{toSoC: 0.20, columns: "bank soc"}, capacity.WaySoC, 0.04,
			true},
		{"NMC, volts only", battery.NMC, trial{toSoC: 0.10, columns: "bank volts"}, capacity.WayVolts, 0.05, true},
		{"NMC, rested", battery.NMC, trial{toSoC: 0.20, restH: 3, columns: "bank volts"}, "", 0.05, true},
		{"AGM, volts only, emptied", battery.AGM, trial{columns: "bank volts", lastV: 1.74}, capacity.WayEmptied, 0.05,
			true},
		{"AGM, state of charge only", battery.AGM, trial{toSoC: 0.20, columns: "bank soc"}, capacity.WaySoC, 0.09,
			true},
		{"flooded, volts only, emptied", battery.Flooded, trial{columns: "bank volts", lastV: 1.74},
			capacity.WayEmptied, 0.07, true},
		{"AGM, rested at half", battery.AGM, trial{toSoC: 0.45, restH: 7, columns: "bank volts"},
			capacity.WayRested, 0.12,
			true},
		// Own: "LFP full to 50 % by volts: 20 %, useless"; a rest does not help.
		{"LFP, half by volts", battery.LFP, trial{toSoC: 0.50, columns: "bank volts"}, "", 0, false},
		{"LFP, half by volts, rested", battery.LFP, trial{toSoC: 0.50, restH: 4, columns: "bank volts"}, "", 0, false},
		{"LFP, a tenth by the monitor", battery.LFP, trial{toSoC: 0.90, columns: "bank soc"}, "", 0, false},
		{"power alone", battery.LFP, trial{toSoC: 0.02, columns: "bank"}, "", 0, false},
	} {
		t.Run(tt.name, func(t *testing.T) {
			p := planOf(t, tt.chemistry)
			x := tt.x
			x.share, x.hours, x.tempC, x.sag = 0.71, 8, 25, 1
			x.gain, x.noiseV, x.noiseZ, x.seed = 0.005, 0.003, 0.005, 1
			r := x.of(t, p)
			for _, e := range r.Estimates {
				t.Logf("%-8s %.1f %% ± %.1f %% (2 sigma), from %.2f to %.2f %v", e.Way, 100*e.Share,
					200*e.Sigma*e.Share,
					e.FromZ, e.ToZ, e.Budget)
			}
			t.Logf("at least %.1f %%", 100*r.AtLeast)
			if r.AtLeast > 0.71 {
				t.Errorf("it has at least %.3f of its capacity, want no more than 0.71", r.AtLeast)
			}
			best, told := r.Best()
			if told != tt.told {
				t.Fatalf("told is %v, want %v", told, tt.told)
			}
			if !told {
				if _, why := r.EndOfLife(); why != capacity.RefusedUntold {
					t.Errorf("writing it is refused for %q, want %q", why, capacity.RefusedUntold)
				}
				return
			}
			if tt.way != "" && best.Way != tt.way {
				t.Errorf("it is found by %s, want %s", best.Way, tt.way)
			}
			if best.Low() > 0.71 || best.High() < 0.71 {
				t.Errorf("%.3f to %.3f, want 0.71 in it", best.Low(), best.High())
			}
			if best.Sigma > tt.mostSigma {
				t.Errorf("uncertain by %.3f, want at most %.3f", best.Sigma, tt.mostSigma)
			}
		})
	}
}

// TestSilentWays: a way whose estimate is no more certain than a guess between what the bank has given and what a new
// one has is named without a figure, and none of the figures that are told is so uncertain.
func TestSilentWays(t *testing.T) {
	for _, tt := range []struct {
		name      string
		chemistry battery.Chemistry
		x         trial
		told      []capacity.Way
		silent    []capacity.Way
	}{
		{"LFP, on the plateau", battery.LFP, trial{toSoC: 0.80, columns: "bank volts"}, nil,
			[]capacity.Way{capacity.WayVolts}},
		{"LFP, on the plateau, with a monitor", battery.LFP, trial{toSoC: 0.70, columns: "bank volts soc"},
			[]capacity.Way{capacity.WaySoC}, []capacity.Way{capacity.WayVolts}},
		{"LFP, to the knee", battery.LFP, trial{toSoC: 0.04, columns: "bank volts"}, []capacity.Way{capacity.WayVolts},
			nil},
	} {
		t.Run(tt.name, func(t *testing.T) {
			x := tt.x
			x.share, x.hours, x.tempC, x.sag = 0.71, 8, 25, 1
			x.gain, x.noiseV, x.noiseZ, x.seed = 0.005, 0.003, 0.005, 1
			r := x.of(t, planOf(t, tt.chemistry))
			var told []capacity.Way
			for _, e := range r.Estimates {
				told = append(told, e.Way)
				// 0.289: the standard deviation of any share from 0 to 1.
				if guess := 0.289 * (capacity.MoreThanRated - r.AtLeast); e.Sigma*e.Share > guess {
					t.Errorf("%s tells %.3f with a standard deviation of %.3f, a guess has %.3f", e.Way, e.Share,
						e.Sigma*e.Share, guess)
				}
			}
			if !slices.Equal(told, tt.told) || !slices.Equal(r.Silent, tt.silent) {
				t.Errorf("told by %v, silent %v (at least %.3f); want %v, %v", told, r.Silent, r.AtLeast, tt.told,
					tt.silent)
			}
		})
	}
}

// TestRoundTripsOfOtherBanks draws shares, powers, temperatures and errors of the readings, each within the doubt (one
// sigma) that the estimate allows for it: the truth lies in the range that is told.
func TestRoundTripsOfOtherBanks(t *testing.T) {
	plans := map[battery.Chemistry]*backup.Plan{}
	for c := range banks {
		plans[c] = planOf(t, c)
	}
	tried, toldOf := 0, 0
	rapid.Check(t, func(rt *rapid.T) {
		c := rapid.SampledFrom([]battery.Chemistry{battery.LFP, battery.NMC, battery.AGM,
			battery.Flooded}).Draw(rt, "chemistry")
		x := trial{share: rapid.Float64Range(0.3, 1.08).Draw(rt, "share"),
			hours: rapid.Float64Range(4, 14).Draw(rt, "hours"),
			tempC: rapid.Float64Range(15, 30).Draw(rt, "temp"),
			gain:  rapid.Float64Range(-0.01, 0.01).Draw(rt, "gain"),
			seed:  rapid.Uint64().Draw(rt, "seed"), noiseV: 0.003, noiseZ: 0.005,
			sag:   rapid.Float64Range(0.7, 1.8).Draw(rt, "sag"),
			toSoC: rapid.Float64Range(0.02, 0.6).Draw(rt, "to"),
			offV:  rapid.Float64Range(-0.006, 0.006).Draw(rt, "off")}
		x.columns = rapid.SampledFrom([]string{"bank volts", "bank soc", "bank volts soc"}).Draw(rt, "columns")
		if c.LeadAcid() {
			x.hours = max(x.hours, 8)
			if rapid.Bool().Draw(rt, "emptied") {
				x.toSoC, x.lastV = 0, 1.74
			} else if rapid.Bool().Draw(rt, "rested") {
				x.restH = 7
			}
		}
		r := x.of(t, plans[c])
		if r.AtLeast > x.share*1.001 {
			rt.Errorf("at least %.3f of %.3f", r.AtLeast, x.share)
		}
		tried++
		best, told := r.Best()
		if told {
			toldOf++
		}
		if told && (best.Low() > x.share || best.High() < x.share) {
			rt.Errorf("%s: %.3f to %.3f, want %.3f in it (%v)", best.Way, best.Low(), best.High(), x.share, best.Budget)
		}
	})
	t.Logf("told of %d of %d", toldOf, tried)
	if toldOf*4 < tried {
		t.Errorf("the capacity is told of %d logs of %d, want a quarter at least", toldOf, tried)
	}
}

// TestRangesCover: where energy, volts and monitor are wrong by errors drawn with the standard deviations that the
// uncertainty is made of, the truth lies in the range of two of them in 9 of 10 tests at least. 95 of 100 are meant,
// and the draws are few; temperature and beginning, of which the ranges are made too, are right here, so more do.
func TestRangesCover(t *testing.T) {
	dice := rand.New(rand.NewPCG(11, 12))
	for _, tt := range []struct {
		name      string
		chemistry battery.Chemistry
		x         trial
	}{
		{"LFP, volts", battery.LFP, trial{toSoC: 0.04, columns: "bank volts"}},
		{"LFP, monitor", battery.LFP, trial{toSoC: 0.2, columns: "bank soc"}},
		{"NMC, volts", battery.NMC, trial{toSoC: 0.1, columns: "bank volts"}},
		{"AGM, emptied", battery.AGM, trial{columns: "bank volts", lastV: 1.74}},
		{"AGM, monitor", battery.AGM, trial{toSoC: 0.2, columns: "bank soc"}},
	} {
		p := planOf(t, tt.chemistry)
		const draws = 40
		in, widest := 0, 0.0
		for range draws {
			x := tt.x
			x.share, x.hours, x.tempC = 0.5+0.5*dice.Float64(), 6+6*dice.Float64(), 25
			x.sag, x.noiseV, x.noiseZ, x.seed = 0.7+dice.Float64(), 0.003, 0.005, dice.Uint64()
			x.gain, x.offV, x.drift = 0.01*dice.NormFloat64(), 0.010*dice.NormFloat64(), 0.02*dice.NormFloat64()
			if tt.chemistry.LeadAcid() {
				x.drift *= 2.5
			}
			best, told := x.of(t, p).Best()
			if told && best.Low() <= x.share && x.share <= best.High() {
				in++
			}
			if told {
				widest = max(widest, 2*best.Sigma)
			}
		}
		t.Logf("%s: %d of %d in the range, which is ± %.1f %% at most", tt.name, in, draws, 100*widest)
		if in < draws*9/10 {
			t.Errorf("%s: the truth is in the range of %d tests of %d", tt.name, in, draws)
		}
	}
}

// TestPublishedCapacityTests: lead-acid at its constant ten-hour current to 1.75 V per cell, "capacity % = hours / 10 x
// 100" (US Navy training text on storage batteries, SEEN); off 25 C by C25 = Ct / (1 + k (t - 25)) with k = 0.006 for
// tests of 10 to 20 h (IEC 60896 form; k SEEN, reference temperature own). The planner's table of cold differs by up to
// 2 %. An old bank at the current of a new one is discharged faster for its size: that is charged to the rate, and the
// share comes out up to 2 % larger than the plain ratio of hours.
func TestPublishedCapacityTests(t *testing.T) {
	p := planOf(t, battery.AGM)
	b := p.Bank.Bank
	for _, tt := range []struct {
		hours, tempC float64
	}{{10, 25}, {8.1, 25}, {7.1, 25}, {7.1, 20}, {7.6, 28}} {
		var out strings.Builder
		out.WriteString("time s,battery w,battery v,temp c\n")
		w := b.CapacityAh() / 10 * b.NominalV()
		for s := 0.0; s < tt.hours*3600; s += 60 {
			v := 49.0 - 3*s/36000
			if s+60 >= tt.hours*3600 {
				v = 1.75 * 24
			}
			fmt.Fprintf(&out, "%.0f,%.1f,%.2f,%.1f\n", s, w, v, tt.tempC)
		}
		r, err := capacity.Of(p.Facts, read(t, out.String()), capacity.Options{})
		if err != nil {
			t.Fatal(err)
		}
		want := tt.hours / 10 / (1 + 0.006*(tt.tempC-25))
		e := r.Estimates[0]
		tolerance := 0.002 + 0.05*(1-tt.hours/10) // steps of a minute; the rate
		if tt.tempC != 25 {
			tolerance += 0.02
		}
		if e.Way != capacity.WayEmptied || math.Abs(e.Share-want) > tolerance || e.Low() > want || e.High() < want {
			t.Errorf("%g h at %g C: %.4f by %s, want %.4f within %g", tt.hours, tt.tempC, e.Share, e.Way, want,
				tolerance)
		}
	}
}

// TestPeukert: a new bank of exponent k is empty at a current I after t = H (C/(I H))^k (public note on Peukert's law,
// SEEN). A test at a fifth, a tenth or a twentieth of its capacity finds it new, within the doubt of the model of the
// rate.
func TestPeukert(t *testing.T) {
	for _, c := range []battery.Chemistry{battery.AGM, battery.Flooded} {
		p := planOf(t, c)
		b := p.Bank.Bank
		for _, i := range []float64{b.CapacityAh() / 5, b.CapacityAh() / 8, b.CapacityAh() / 10} {
			hours := b.Unit.RatedH * math.Pow(b.CapacityAh()/(i*b.Unit.RatedH), b.Unit.Peukert)
			var out strings.Builder
			out.WriteString("time s,battery w,temp c\n")
			for s := 0.0; s < hours*3600; s += 60 {
				fmt.Fprintf(&out, "%.0f,%.1f,25\n", s, i*b.NominalV())
			}
			r, err := capacity.Of(p.Facts, read(t, out.String()), capacity.Options{Emptied: true})
			if err != nil {
				t.Fatal(err)
			}
			e := r.Estimates[0]
			t.Logf("%s at %.0f A for %.2f h: %.3f ± %.3f", c, i, hours, e.Share, 2*e.Sigma*e.Share)
			if e.Low() > 1 || e.High() < 1 {
				t.Errorf("%s at %.0f A for %.2f h: %.3f to %.3f, want 1 in it", c, i, hours, e.Low(), e.High())
			}
		}
	}
}

// TestPublishedPartialDischarge holds the uncertainty of a partial discharge against figures worked out beside it
// (own): with 1 % of the energy, LFP from full to 5 % with 1 % and 2 % of charge gives 2.6 %.
func TestPublishedPartialDischarge(t *testing.T) {
	got := math.Sqrt(0.01*0.01 + (0.01*0.01+0.02*0.02)/(0.95*0.95))
	x := trial{share: 0.9, hours: 6, toSoC: 0.05, columns: "bank soc", tempC: 25, sag: 1, seed: 3}
	r := x.of(t, planOf(t, battery.LFP))
	e := r.Estimates[0]
	temperature := 0.0
	for _, part := range e.Budget {
		if part.Cause == capacity.CauseTemperature {
			temperature = part.Sigma
		}
	}
	without := math.Sqrt(e.Sigma*e.Sigma - temperature*temperature)
	if math.Abs(without-0.026) > 0.001 || math.Abs(got-0.026) > 0.0005 {
		t.Errorf("%.4f without the doubt of the temperature, want 0.026", without)
	}
}

func TestNotThisBank(t *testing.T) {
	p := planOf(t, battery.LFP)
	for _, tt := range []struct{ name, log string }{
		{"volts of another", "time s,battery w,battery v\n0,500,26\n60,500,26\n120,500,26\n180,500,26\n240,500,26\n"},
		{"only charged", "time s,battery a,battery v\n0,-5,52\n60,-5,52\n120,-5,52\n180,-5,52\n240,-5,52\n"},
		{"far too much", "time s,battery w\n0,50000\n3600,50000\n7200,50000\n10800,50000\n14400,50000\n"},
		{"nothing", "time s,battery w\n0,0\n3600,0\n7200,0\n10800,0\n14400,0\n"},
	} {
		table, err := tabular.Open("log.csv", strings.NewReader(tt.log), tabular.Options{})
		if err != nil {
			t.Fatal(err)
		}
		l, err := banklog.Read(table, banklog.Options{Discharge: banklog.SignPositive})
		if err != nil {
			t.Fatal(tt.name, err)
		}
		if r, err := capacity.Of(p.Facts, l, capacity.Options{}); !errors.Is(err, capacity.ErrOther) {
			t.Errorf("%s: %+v, %v; want it refused", tt.name, r, err)
		}
	}
}

func read(t testing.TB, text string) *banklog.Log {
	t.Helper()
	table, err := tabular.Open("log.csv", strings.NewReader(text), tabular.Options{})
	if err != nil {
		t.Fatal(err)
	}
	l, err := banklog.Read(table, banklog.Options{})
	if err != nil {
		t.Fatal(err)
	}
	return l
}

// FuzzLog: whatever a log holds, it is refused or told with figures that are numbers, and never more than was drawn.
func FuzzLog(f *testing.F) {
	plans := []*backup.Plan{planOf(f, battery.LFP), planOf(f, battery.AGM)}
	f.Add([]byte("time s,battery W,battery V,soc %\n0,500,52,100\n3600,500,52,99\n7200,500,51.9,98\n10800,500,51,97\n" +
		"14400,500,51,96\n"))
	f.Add([]byte("time h,load W\n0,500\n1,-500\n2,500\n3,0\n9,0\n"))
	f.Add([]byte("time h,a A,temp\n0,50,-40\n1,nan,-40\n2,5,25\n3,0,-30\n9,0,100\n"))
	f.Fuzz(func(t *testing.T, src []byte) {
		table, err := tabular.Open("log.csv", strings.NewReader(string(src)), tabular.Options{})
		if err != nil {
			return
		}
		l, err := banklog.Read(table, banklog.Options{})
		if err != nil {
			return
		}
		for _, p := range plans {
			r, err := capacity.Of(p.Facts, l, capacity.Options{})
			if err != nil {
				if !errors.Is(err, capacity.ErrOther) {
					t.Fatal(err)
				}
				continue
			}
			for _, v := range []float64{r.AtLeast, r.Hours, r.DrawnWh, r.NewH, r.PlannedH, r.AtLeastH, r.EnergySigma} {
				if math.IsNaN(v) || math.IsInf(v, 0) || v < 0 {
					t.Fatalf("%g among the figures of %+v", v, r)
				}
			}
			for _, e := range r.Estimates {
				if !(e.Share > 0) || !(e.Sigma > 0) {
					t.Fatalf("%+v", e)
				}
			}
		}
	})
}

// TestChargedOnTheWay: an array charges the bank between two discharges, and the grid behind them; a log that begins
// below full tells so. The share is found all the same, of the deepest discharge alone.
func TestChargedOnTheWay(t *testing.T) {
	for _, c := range []battery.Chemistry{battery.LFP, battery.AGM} {
		p := planOf(t, c)
		b := p.Bank.Bank
		const share = 0.71
		m, err := b.Model(battery.ModelOptions{TemperatureC: 25, EndOfLife: share, MaxDoD: 1})
		if err != nil {
			t.Fatal(err)
		}
		m.Reset(0.9)
		full := b.CapacityAh() * b.NominalV() * share
		var out strings.Builder
		out.WriteString("time min,battery W,soc %,temp C\n")
		at := 0
		follow := func(w float64, minutes int, toSoC float64) {
			for range minutes {
				if w > 0 && m.SoC() <= toSoC {
					return
				}
				soc := m.SoC()
				fmt.Fprintf(&out, "%d,%.1f,%.1f,25\n", at, m.Step(w, 1./60), 100*soc)
				at++
			}
		}
		follow(full/8, 200, 0.5)
		follow(-full/15, 120, 0)
		follow(full/8, 600, 0.2)
		end := at
		follow(-full/6, 240, 0)
		r, err := capacity.Of(p.Facts, read(t, out.String()), capacity.Options{})
		if err != nil {
			t.Fatal(err)
		}
		best, told := r.Best()
		if !told || math.Abs(best.Share-share) > 0.015 {
			t.Errorf("%s: %+v (told: %v), want %.2f", c, best, told, share)
		}
		if math.Abs(r.Hours*60-float64(end)) > 2 || r.CutH < 3.9 || r.ChargedWh < full/15*1.5 || r.StartSoC < 0.895 {
			t.Errorf("%s: %.2f h of it count, want %.2f; %.2f h left out, %.0f Wh charged, from %.3f", c, r.Hours,
				float64(end)/60, r.CutH, r.ChargedWh, r.StartSoC)
		}
	}
}

// TestBegunBelowFull: who says with what charge the test began is believed; who does not gets less, never more.
func TestBegunBelowFull(t *testing.T) {
	p := planOf(t, battery.NMC)
	var out strings.Builder
	out.WriteString("time min,battery W,temp C\n")
	w := p.Bank.CapacityAh() * p.Bank.NominalV() / 8
	for minute := range 8 * 60 * 6 / 10 { // 80 % of a bank of 75 %
		fmt.Fprintf(&out, "%d,%.1f,25\n", minute, w)
	}
	begin := 0.8
	told, err := capacity.Of(p.Facts, read(t, out.String()), capacity.Options{Emptied: true, StartSoC: &begin})
	if err != nil {
		t.Fatal(err)
	}
	full, err := capacity.Of(p.Facts, read(t, out.String()), capacity.Options{Emptied: true})
	if err != nil {
		t.Fatal(err)
	}
	if got := told.Estimates[0].Share; math.Abs(got-0.75) > 0.005 {
		t.Errorf("from 80 %%: %.3f, want 0.75", got)
	}
	if got := full.Estimates[0].Share; math.Abs(got-0.6) > 0.005 || !full.StartAssumed {
		t.Errorf("taken as full: %.3f, want 0.60", got)
	}
}
