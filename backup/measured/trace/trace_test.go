package trace

import (
	"encoding/csv"
	"errors"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"outlast/backup/measured/tabular"
	"outlast/backup/phrase"
	"outlast/backup/site"
	"outlast/catalog"
	"outlast/catalog/strict"
)

func loadOf(t testing.TB, src string, o Options, wishes ...string) (*Load, error) {
	t.Helper()
	table, err := tabular.Open("t.csv", strings.NewReader(src), tabular.Options{})
	if err != nil {
		return nil, err
	}
	ks, us := Kinds()
	if o.Wishes, err = tabular.ReadWishes(wishes, ks, us); err != nil {
		t.Fatal(err)
	}
	tr, err := Read(table, o)
	if err != nil {
		return nil, err
	}
	return tr.Load(), nil
}

func must(t testing.TB, src string, o Options, wishes ...string) *Load {
	t.Helper()
	l, err := loadOf(t, src, o, wishes...)
	if err != nil {
		t.Fatal(err)
	}
	accepted(t, l)
	return l
}

// accepted holds the text of a load to what the reader of site files takes.
func accepted(t testing.TB, l *Load) {
	t.Helper()
	cat, err := catalog.Generic()
	if err != nil {
		t.Fatal(err)
	}
	text := l.Text(Naming{Name: "Logged"}, nil)
	if !strings.Contains(text, "[[load]]") {
		return
	}
	const home = "[site]\nname = \"Home\"\nnominal_v = 230\n[outage]\nautonomy_h = 8\n[inverter]\n" +
		"use = \"hybrid-5k-48\"\n[bank]\nuse = \"lfp-51-100\"\n"
	if _, err := site.Read("s.toml", []byte(home+text), cat); err != nil {
		t.Fatalf("the site file is refused: %v\n%s", err, text)
	}
}

// logged is a log of n readings, stepS apart, of a power that depends on the second.
func logged(n, stepS int, w func(s int) float64) string {
	var b strings.Builder
	b.WriteString("Time (s),Power (W)\n")
	for i := range n {
		fmt.Fprintf(&b, "%d,%g\n", i*stepS, w(i*stepS))
	}
	return b.String()
}

func doubts(l *Load) string { return strings.Join(phrase.Strings(l.Doubts), "\n") }

// 20 min of 150 W, 40 min off: a third of the day, 8 h and 1,200 Wh.
func TestDutyCycleIsFoundExactly(t *testing.T) {
	cycle := func(s int) float64 {
		if s%3600 < 1200 {
			return 150
		}
		return 0
	}
	for _, step := range []int{1, 10, 60} {
		for _, hours := range []int{6, 24, 60} {
			l := must(t, logged(hours*3600/step, step, cycle), Options{})
			if l.RunningW != 150 || !l.Steady || l.HoursPerDay != 8 || l.WhPerDay != 1200 || l.OnMin != 20 ||
				l.OffMin != 40 || l.StepS != float64(step) || l.Starts != 0 || l.Runs != hours {
				t.Errorf("every %d s for %d h: got %s", step, hours, l.Text(Naming{}, nil))
			}
		}
	}
}

// 20 min of 150 W, 40 min of 3 W, of which gaps hide a part: what was not seen falsifies neither the cycle nor the hours of
// the day, which are those of 52 Wh an hour: 1,248 Wh.
func TestGapsDoNotFalsifyTheCycle(t *testing.T) {
	cycle := func(s int) float64 {
		if s%3600 >= 600 && s%3600 < 1800 {
			return 150
		}
		return 3
	}
	for _, c := range []struct {
		name     string
		every    int // hours from one gap to the next
		from, to int // of the gap, from the full hour on, in seconds
		basis    string
		hours    int
	}{
		{"within a time on", 2, 800, 1500, "from 5 whole cycles, as if it ran so all day", 12},
		{"over the end of a time on", 2, 1200, 2400, "from 5 whole cycles, as if it ran so all day", 12},
		{"over a whole time on", 3, 300, 2100, "from 4 whole cycles, as if it ran so all day", 12},
		{"over an hour and more", 4, 1200, 3600 + 2400, "from 7 whole cycles, as if it ran so all day", 16},
		{"in each cycle", 2, 3000, 3600 + 700,
			"from 5 whole times on and 4 off, as if they took turns so all day", 10},
	} {
		for _, step := range []int{10, 60} {
			var b strings.Builder
			b.WriteString("Time (s),Power (W)\n")
			for s := 0; s < c.hours*3600; s += step {
				if in := s % (c.every * 3600); in < c.from || in >= c.to {
					fmt.Fprintf(&b, "%d,%g\n", s, cycle(s))
				}
			}
			l := must(t, b.String(), Options{})
			if l.OnMin != 20 || l.OffMin != 40 || math.Abs(l.WhPerDay-1248) > 1e-9 || l.Basis.String() != c.basis {
				t.Errorf("%s, every %d s: %g min on, %g off, %g Wh a day %s, want 20, 40, 1248 %s", c.name, step,
					l.OnMin, l.OffMin, l.WhPerDay, l.Basis, c.basis)
			}
		}
	}
}

// The same with 900 W in the first two seconds: they add 2*750 Ws to each hour, 10 Wh a day.
func TestStartIsFoundExactly(t *testing.T) {
	power := func(s int) float64 {
		switch s %= 3600; {
		case s < 300:
			return 0
		case s < 302:
			return 900
		case s < 1500:
			return 150
		}
		return 0
	}
	l := must(t, logged(6*3600, 1, power), Options{})
	if l.RunningW != 150 || l.StartingW != 900 || l.StartingS != 2 || l.Starts != 6 || l.WhPerDay != 1210 ||
		l.HoursPerDay != 8.067 {
		t.Errorf("got %s", l.Text(Naming{}, nil))
	}
	if !strings.Contains(doubts(l),
		"the start is a lower bound: between readings 1 s apart it may be higher, and shorter than 2 s") {
		t.Errorf("got %s", doubts(l))
	}
	text := l.Text(Naming{Name: "Pump"}, nil)
	for _, want := range []string{"running_w = 150 ", "starting_w = 900", "starting_s = 2 ",
		"cycle = { on_min = 20, off_min = 40 }", "hours_per_day = 8.067"} {
		if !strings.Contains(text, want) {
			t.Errorf("%s is missing in\n%s", want, text)
		}
	}
	// A minute apart, nothing of it can be seen, and that is said.
	l = must(t, logged(24*60, 60, power), Options{})
	if l.StartingW != 0 || !strings.Contains(doubts(l), "readings 60 s apart show no start") {
		t.Errorf("got %g W, %s", l.StartingW, doubts(l))
	}
}

func TestPowerFactor(t *testing.T) {
	check := func(head, row string, w, pf float64, o Options) {
		t.Helper()
		var b strings.Builder
		b.WriteString(head + "\n")
		for i := range 100 {
			fmt.Fprintf(&b, "%d,%s\n", i, row)
		}
		if l := must(t, b.String(), o); l.RunningW != w || l.PowerFactor != pf || l.HoursPerDay != 24 {
			t.Errorf("%s %s: got %g W, %g, %g h", head, row, l.RunningW, l.PowerFactor, l.HoursPerDay)
		}
	}
	check("s,W,VA", "80,100", 80, 0.8, Options{})
	check("s,kW,Apparent (kVA)", "0.08,0.1", 80, 0.8, Options{})
	check("s,W,A,V", "368,2,230", 368, 0.8, Options{})
	check("s,W,mA", "368,2000", 368, 0.8, Options{Volts: 230})
	check("s,W,cos phi", "80,0.8", 80, 0.8, Options{})
	check("s,VA,PF", "100,0.8", 80, 0.8, Options{})
	check("s,A,V", "2,230", 460, 0, Options{}) // VA count as W
	check("s,W", "80", 80, 0, Options{})
}

func TestDoubtfulSpots(t *testing.T) {
	noise := func(s int) float64 { return float64(s * 7919 % 17) }
	run := func(s int) float64 {
		if s%1200 < 600 {
			return 150 + noise(s)
		}
		return 0
	}
	check := func(src, want string) {
		t.Helper()
		if l := must(t, src, Options{}); !strings.Contains(doubts(l), want) {
			t.Errorf("got\n%s\nwant %s", doubts(l), want)
		}
	}
	lines := func(change func(i int, line string) string) string {
		all := strings.SplitAfter(logged(7200, 1, run), "\n")
		var b strings.Builder
		for i, line := range all {
			b.WriteString(change(i+1, line))
		}
		return b.String()
	}
	check(lines(func(i int, s string) string {
		if i >= 100 && i < 400 || i == 5000 {
			return ""
		}
		return s
	}), "1 gap, 5.02 min altogether, the longest of 5.02 min before line 100")
	check(lines(func(i int, s string) string {
		if i == 20 || i == 30 {
			return strings.Split(s, ",")[0] + ",NaN\n"
		}
		return s
	}), "2 readings without a power, the first in line 20")
	check(lines(func(i int, s string) string {
		if i == 20 {
			return s + s
		}
		return s
	}), "1 reading with the time of the one before, the first in line 21")
	check(lines(func(i int, s string) string {
		if i == 3700 {
			return strings.Replace(s, ",", ",-", 1)
		}
		return s
	}), "1 reading below 0, the first in line 3700")
	check(logged(7200, 1, func(s int) float64 {
		if s >= 3650 && s < 4700 {
			return 155
		}
		return run(s)
	}), "155 W stays the same to the last digit from line")
	check(logged(7200, 1, func(s int) float64 { return min(160, run(s)) }), "the highest power, 160 W, was read")
	check(logged(7200, 1, func(s int) float64 { // a fridge, and a lamp that is on for other times
		w := run(s)
		if s%1500 < 700 {
			w += 60
		}
		return w
	}), "two appliances at once? Log one of them alone")
	check(logged(7200, 1, func(s int) float64 {
		if s%1200 < 300 {
			return 600 + noise(s)
		}
		return run(s)
	}), "it stays at several powers")
	check(logged(7200, 1, func(s int) float64 {
		if s%1200 == 1 {
			return 300 + float64(s/1200)*200
		}
		return run(s+1199) + 0
	}), "starts differ, from")
	check(logged(100, 1, func(s int) float64 { return 5 + float64(s%2)/10 }), "no start above the running power was seen")
	check("Time,W\n10:00:00,5\n10:00:01,5\n09:00:02,5\n09:00:03,5\n", "the clock goes back once, first in line 4")
	check(logged(600, 1, run), "the readings cover 10 min: a whole day tells more")
}

func TestNeverOnAndNeverOff(t *testing.T) {
	l := must(t, logged(1440, 60, func(s int) float64 { return 10 + float64(s/60%2) }), Options{})
	if l.RunningW != 10.5 || l.HoursPerDay != 24 || l.WhPerDay != 252 || l.OnMin != 0 {
		t.Errorf("got %s", l.Text(Naming{}, nil))
	}
}

func TestWhatIsNoTrace(t *testing.T) {
	check := func(src, want string, o Options, wishes ...string) {
		t.Helper()
		if _, err := loadOf(t, src, o, wishes...); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%q: got %v, want %s", src, err, want)
		}
	}
	check("Time,Power\n10:00,5\n10:01,5\n", `t.csv:1:2: found column "Power", whose head tells no unit`, Options{})
	check("Time,W\n10:00,5\n", "found 1 readings, want more", Options{})
	check("Time,W\n10:00,five\n10:01,1e9\nlater,5\n",
		"t.csv:2:2: found \"five\", want a number\nt.csv:3:2: found 1e+09, want at most 1e+07\nt.csv:4:1: found \"later\"", Options{})
	check("Time,A\n10:00,5\n10:01,5\n10:02,5\n", "t.csv:1:2: found amps, and the volts are not told", Options{})
	check("Time,W\n2026-11-27 10:03,5\n2026-11-27 10:02,5\n2026-11-27 10:01,5\n",
		"2 of 3 readings lie before the one above: the newest comes first", Options{})
	check("Time,W\n10:00,0\n10:01,0\n10:02,0\n", "no reading is above 0 W", Options{})
	check("Time,W\n10:00,-5\n10:01,-5\n10:02,-9\n", "no reading is above 0 W", Options{})
	check("a,b\n1,2\n", "no row names its columns with words that are known", Options{})
	check("Time,fridge W,pump W\n10:00,1,2\n", `found "pump W", but column "fridge W" may tell the power too`,
		Options{})
}

// data opens a file of data that is not kept here.
func data(t *testing.T, name string) string {
	t.Helper()
	folder := os.Getenv("OUTLAST_DATA")
	if folder == "" {
		t.Skip("OUTLAST_DATA names no folder with " + name)
	}
	b, err := os.ReadFile(filepath.Join(folder, name))
	if err != nil {
		t.Fatal(err)
	}
	return string(b)
}

// A freezer in a German home, 26 January 2012, midnight to one, every second (tracebase data set, Open Database
// License). Taken from the file by a script, not by this program: 26.64 Wh, starts at 00:02:25 with 1,090 W and at
// 00:55:14 with 1,233 W, and a median of 192 W in seconds 30 to 120 after each.
func TestFreezerOfASecondsLog(t *testing.T) {
	l := must(t, data(t, "freezer_1s_hour.csv"), Options{}, "time=1", "power=2 W")
	if math.Abs(l.WhPerDay-26.64) > 0.05 || l.StartingW != 1233 || l.LeastStartW != 1090 || l.Starts != 2 ||
		l.Runs != 2 || l.StepS != 1 {
		t.Errorf("got %s", l.Text(Naming{}, nil))
	}
	for i, want := range []float64{2*60 + 25, 55*60 + 14} {
		r := l.runs[i]
		if at := l.trace.at[r.from] - l.trace.at[0]; math.Abs(at-want) > 1 || math.Abs(r.levelW-192) > 2 {
			t.Errorf("run %d: at %g s, %g W, want %g s, 192 W", i, at, r.levelW, want)
		}
	}
	if !strings.Contains(doubts(l), "186 readings with the time of the one before") {
		t.Errorf("got %s", doubts(l))
	}
}

// Ten appliances of German homes over a day each, by the minute (as above). Wh of a day and the largest minute are
// those of the table that was taken from the raw files by a script; the refrigerator started 28 times that day and the
// freezer 29.
func TestAppliancesOfAMinuteLog(t *testing.T) {
	src := data(t, "appliances_1min.csv")
	rows, err := csv.NewReader(strings.NewReader(src)).Read()
	if err != nil {
		t.Fatal(err)
	}
	for _, tt := range []struct {
		name          string
		wh, highest   float64
		starts, least int // 0: not published
	}{
		{"refrigerator", 892.3, 157.6, 28, 26}, {"freezer", 536.4, 240.2, 29, 29},
		{"washing_machine", 528.7, 2120.4, 0, 0}, {"dishwasher", 1826.7, 2083.3, 0, 0},
		{"microwave", 60.2, 670.2, 0, 0}, {"kettle", 155.1, 1954.8, 0, 0}, {"laptop", 114.8, 48.2, 0, 0},
		{"ethernet_switch", 236.5, 10.7, 0, 0},
		{"lamp", 92.6, 26.3, 0, 0}, {"circulation_pump", 71.1, 101.7, 0, 0},
	} {
		col := slices.Index(rows, tt.name+"_mean_w")
		l := must(t, src, Options{}, fmt.Sprintf("power=%d", col+1))
		// Printed with one decimal, and a minute of the dishwasher is blank: that is stretched to the day here.
		if math.Abs(l.WhPerDay-tt.wh) > 0.1+0.002*tt.wh || math.Abs(l.HighestW-tt.highest) > 0.051 {
			t.Errorf("%s: got %.2f Wh a day, highest %.2f W, want %g and %g", tt.name, l.WhPerDay, l.HighestW, tt.wh,
				tt.highest)
		}
		if tt.starts > 0 && (l.Runs < tt.least || l.Runs > tt.starts) { // two starts within a minute are one here
			t.Errorf("%s: went on %d times, want %d to %d", tt.name, l.Runs, tt.least, tt.starts)
		}
		if got := l.RunningW * l.HoursPerDay; math.Abs(got-l.WhPerDay) > 0.01*l.WhPerDay {
			t.Errorf("%s: %g W for %g h are %g Wh, want %g", tt.name, l.RunningW, l.HoursPerDay, got, l.WhPerDay)
		}
	}
}

// FuzzTrace: whatever the log, it is refused with places, or its load is accepted.
func FuzzTrace(f *testing.F) {
	for _, s := range []string{"Time,W\n10:00:00,0\n10:00:01,900\n10:00:02,150\n10:00:03,0\n",
		"s;W;VA\n0;1,5;2\n1;2,5;3\n60;0;0\n",
		"date,time,A,V\n01/02/2024,10:00,1,230\n01/02/2024,10:01,2,230\n02/02/2024,09:00,0,230\n"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, src string) {
		l, err := loadOf(t, src, Options{Volts: 230})
		var ps strict.Problems
		if err != nil {
			if !errors.As(err, &ps) || len(ps) == 0 {
				t.Fatalf("%T: %v", err, err)
			}
			return
		}
		accepted(t, l)
	})
}

func BenchmarkYearOfMinutes(b *testing.B) {
	src := logged(525_600, 60, func(s int) float64 {
		if s%3600 < 1200 {
			return 150 + float64(s/60*7919%13)
		}
		return 1
	})
	b.ReportAllocs()
	for b.Loop() {
		if l := must(b, src, Options{}); l.Runs != 8760 {
			b.Fatal(l.Runs)
		}
	}
}

// 100 W for a quarter of the day, at night: days on which readings miss more than an hour at once, or more than a
// twentieth altogether, are left out and told; what is missing less counts as the rest of the readings.
func TestDaysLeftOut(t *testing.T) {
	const tells = ": a whole day has readings for 95 % of it and misses no more than 60 min at once"
	rows := func(days int, lost func(day, s int) bool) string {
		var b strings.Builder
		b.WriteString("Time (s),Power (W)\n")
		for d := range days {
			for s := 0; s < 86400; s += 60 {
				if w := 0; !lost(d, s) {
					if s < 6*3600 {
						w = 100
					}
					fmt.Fprintf(&b, "%d,%d\n", d*86400+s, w)
				}
			}
		}
		return b.String()
	}
	for _, c := range []struct {
		name  string
		days  int
		lost  func(day, s int) bool
		basis string
		wh    float64
		doubt string
	}{
		{"none is lost", 3, func(int, int) bool { return false }, "from 3 whole days of readings", 600, ""},
		{"an hour of one day", 3, func(d, s int) bool { return d == 1 && s >= 43260 && s < 43260+3540 },
			"from 3 whole days of readings", 600, ""},
		{"its night", 3, func(d, s int) bool { return d == 1 && s < 5*3600 }, "from 2 whole days of readings", 600,
			"1 day left out of the energy of a day, from line 1442 on" + tells},
		{"two hours of two days", 4, func(d, s int) bool { return d%2 == 1 && s >= 43200 && s < 43200+7200 },
			"from 2 whole days of readings", 600, "2 days left out of the energy of a day, from line 1442 and 4202 on" + tells},
		{"half of each hour of one day", 2, func(d, s int) bool { return d == 0 && s%3600 >= 1800 },
			"from a whole day of readings", 600, "1 day left out of the energy of a day, from line 2 on" + tells},
		{"three days and more", 6, func(d, s int) bool { return d >= 1 && d < 4 || d == 4 && s < 40000 },
			"from 2 whole days of readings", 600, "4 days left out of the energy of a day, from line 1442 and 1442 on" + tells},
		{"the end of the last", 2, func(d, s int) bool { return d == 1 && s >= 50000 }, "from a whole day of readings", 600, ""},
		{"something of each", 2, func(d, s int) bool { return s >= 43200 && s < 43200+7200 },
			"from 44 h of readings, as if the day went on so", 654.5454545454545,
			"the readings cover 44 h, but no whole day: one has readings for 95 % of it and misses no more than 60 min at once"},
	} {
		l := must(t, rows(c.days, c.lost), Options{})
		if c.name == "an hour of one day" { // what is missing counts as the rest of the day
			c.wh = 3 * 600 * 24 / (72 - 59.0/60)
		}
		if l.Basis.String() != c.basis || math.Abs(l.WhPerDay-c.wh) > 1e-6 {
			t.Errorf("%s: %g Wh a day %s, want %g %s", c.name, l.WhPerDay, l.Basis, c.wh, c.basis)
		}
		said := ""
		for _, d := range phrase.Strings(l.Doubts) {
			if strings.Contains(d, "whole day") {
				said = d
			}
		}
		if said != c.doubt {
			t.Errorf("%s: told %q, want %q", c.name, said, c.doubt)
		}
	}
	if l := must(t, "Time (h),Power (W)\n0,5\n0.1,0\n0.2,5\n99999999999,5\n", Options{}); len(l.days) > 4 {
		t.Errorf("a leap of the clock makes %d days", len(l.days))
	}
}
