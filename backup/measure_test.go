package backup_test

import (
	"fmt"
	"math"
	"os"
	"path/filepath"
	"runtime/debug"
	"slices"
	"strings"
	"testing"

	"gonum.org/v1/gonum/stat/combin"
	"pgregory.net/rapid"

	"outlast/backup"
	"outlast/backup/facts"
	"outlast/backup/phrase"
	"outlast/backup/site"
	"outlast/backup/study"
	"outlast/backup/verdict"
	"outlast/catalog"
	"outlast/loads"
)

// measureSite is a home of 230 V whose inverter of 2,000 W gives no more for a start, with a bank that nothing empties.
func measureSite(body string) string {
	return `[site]
name = "Measured"
nominal_v = 230
phases = 1
coldest_c = 25
[outage]
autonomy_h = 1
month = 1
[practice]
margin = 0
growth = 0
[inverter]
rated_va = 2000
rated_w = 2000
efficiency = 1
idle_w = 0
nominal_dc_v = 48
dc_min_v = 40
dc_max_v = 64
max_discharge_a = 1000
transfer_ms = 10
[bank]
chemistry = "lfp"
nominal_v = 51.2
rated_ah = 400
strings = 1
max_discharge_a = 1000
` + body
}

// measureClasses are invented: what a test asks is worked out beside it.
const measureClasses = `
[[appliance]]
id = "kiln"
label = "Kiln"
running_w = 900
power_factor = 1
hours_per_day = 1
priority = 3
low = { running_w = 500 }
high = { running_w = 1500 }
basis = "invented"
[[appliance]]
id = "press"
label = "Press"
running_w = 300
power_factor = 1
hours_per_day = 1
priority = 3
low = { running_w = 200 }
high = { running_w = 400 }
basis = "invented"
`

func measured(t testing.TB, body string) (*backup.Plan, study.Measuring) {
	cat, err := catalog.Generic()
	if err != nil {
		t.Fatal(err)
	}
	cat.Add(readCatalog(t, measureClasses))
	s, err := site.Read("measured", []byte(measureSite(body)), cat)
	if err != nil {
		t.Fatal(err)
	}
	p, err := backup.NewPlan(t.Context(), s)
	if err != nil {
		t.Fatal(err)
	}
	m, ok, err := study.FirstToMeasure(p.Facts)
	if err != nil || !ok {
		t.Fatalf("%v, %v", ok, err)
	}
	return p, m
}

func lamp(w float64) string {
	return fmt.Sprintf("[[load]]\nname = \"Lamp\"\nrunning_w = %g\nhours_per_day = 24\ncircuit = \"l\"\n[[circuit]]\n"+
		"id = \"l\"\nlabel = \"Lamp\"\nboard = \"backup\"\n", w)
}

func using(name, class string) string {
	return fmt.Sprintf("[[load]]\nname = %q\nuse = %q\n", name, class)
}

// The inverter is rated for 2,000 W. Beside the lamp of 300 W and the press at its high end of 400 W the kiln may take
// 1,300 W: worked by hand.
func TestOneLoadDecides(t *testing.T) {
	_, m := measured(t, lamp(300)+using("Kiln", "kiln")+using("Press", "press"))
	if len(m.Low.Failing) != 0 || !slices.Contains(m.High.Failing, "inverter-continuous-w") || m.Agrees() {
		t.Fatalf("low ends fail by %v, high ends by %v", m.Low.Failing, m.High.Failing)
	}
	if m.Low.ScheduledW != 1000 || m.Now.ScheduledW != 1500 || m.High.ScheduledW != 2200 {
		t.Errorf("scheduled %g, %g and %g W, want 1000, 1500 and 2200", m.Low.ScheduledW, m.Now.ScheduledW,
			m.High.ScheduledW)
	}
	if len(m.Decisive) != 1 || m.Decisive[0].Load != "Kiln" || !m.Smallest {
		t.Fatalf("measure %+v, want the kiln alone", m.Decisive)
	}
	within(t, "W up to which the plan holds", m.Decisive[0].Turns.RunningW, 1300, 1)
}

// Two kilns of 500 to 1,500 W beside 300 W: neither alone leaves room for the other at 1,500 W, so both have to be
// known, and may take 850 W each.
func TestTwoLoadsDecide(t *testing.T) {
	_, m := measured(t, lamp(300)+using("Kiln A", "kiln")+using("Kiln B", "kiln"))
	if len(m.Decisive) != 2 || !m.Smallest {
		t.Fatalf("measure %+v, want both kilns", m.Decisive)
	}
	for _, d := range m.Decisive {
		within(t, d.Load, d.Turns.RunningW, 850, 1)
	}
}

// Where both ends come to the same verdict nothing has to be measured.
func TestEndsAgree(t *testing.T) {
	_, m := measured(t, lamp(50)+using("Kiln", "kiln")+using("Press", "press"))
	if !m.Agrees() || len(m.High.Failing) > 0 || len(m.Decisive) > 0 ||
		!strings.Contains(m.Text(func(id string) phrase.Phrase { return phrase.Name(id) }).String(),
			"meets the requirements even with every figure") {
		t.Errorf("meets the requirements at the high ends: %+v", m)
	}
	_, m = measured(t, lamp(1900)+using("Kiln", "kiln"))
	if !m.Agrees() || len(m.Low.Failing) == 0 || len(m.Decisive) > 0 ||
		!strings.Contains(m.Text(func(id string) phrase.Phrase { return phrase.Name(id) }).String(),
			"fails even with every figure") {
		t.Errorf("fails at the low ends: %+v", m)
	}
	p := newHouse().load("A", "running_w = 100").plan(t)
	if _, ok, err := study.FirstToMeasure(p.Facts); ok || err != nil {
		t.Errorf("a home without classes: %v, %v", ok, err)
	}
}

// drawnOfClasses is a home of some classes of the catalog on an inverter and a bank of some size.
func drawnOfClasses(t *rapid.T, n int) string {
	classes := []string{"fridge-freezer", "chest-freezer", "microwave", "led-lights", "router", "gas-boiler",
		"well-pump-550w", "laptop", "kettle", "tv"}
	cat, err := generic()
	if err != nil {
		t.Fatal(err)
	}
	var body strings.Builder
	for i := range n {
		class := rapid.SampledFrom(classes).Draw(t, "class")
		if _, err := cat.Appliance(class); err != nil {
			class = "fridge-freezer"
		}
		body.WriteString(using(fmt.Sprintf("%s %d", class, i), class))
	}
	text := measureSite(body.String())
	text = strings.ReplaceAll(text, "= 2000", fmt.Sprintf("= %d", rapid.IntRange(2, 16).Draw(t, "500 W")*500))
	text = strings.Replace(text, "autonomy_h = 1\n", fmt.Sprintf("autonomy_h = %d\n",
		rapid.IntRange(1, 48).Draw(t, "hours")), 1)
	return text
}

// TestDecisiveIsSoundAndSmallest: with the decisive loads at the figures told, and every other at its high end, nothing
// fails; and no smaller set would do, which is tried here one by one.
func TestDecisiveIsSoundAndSmallest(t *testing.T) {
	decided := 0
	rapid.Check(t, func(t *rapid.T) {
		p, err := planOf(drawnOfClasses(t, rapid.IntRange(2, 5).Draw(t, "loads")))
		if err != nil {
			t.Fatal(err)
		}
		m, ok, err := study.FirstToMeasure(p.Facts)
		if err != nil || !ok {
			t.Fatalf("%v %v", ok, err)
		}
		if len(m.Decisive) == 0 {
			return
		}
		decided++
		fails := func(change func(l loads.Load) loads.Load) []verdict.Check {
			v := *p.Site
			v.Strings = p.Bank.Strings
			v.Loads = slices.Clone(v.Loads)
			for i, l := range v.Loads {
				v.Loads[i] = change(l)
			}
			f, err := facts.NewShared(t.Context()).Full(&v, facts.Trial(&v))
			if err != nil {
				t.Fatal(err)
			}
			broken := f.With(verdict.Fail)
			if quick, err := facts.NewShared(t.Context()).Fails(&v, facts.Trial(&v)); err != nil ||
				quick != (len(broken) > 0) {
				t.Errorf("asked whether it fails: %v, %v; fails by %v", quick, err, broken)
			}
			return broken
		}
		if broken := fails(func(l loads.Load) loads.Load {
			for _, d := range m.Decisive {
				if d.Load == l.Name {
					l.RunningW, l.Start, l.HoursPerDay = d.Turns.RunningW, d.Turns.Start, d.Turns.HoursPerDay
					return l
				}
			}
			return l.AtHigh()
		}); len(broken) > 0 {
			t.Errorf("with the figures told %s fails", broken[0].ID)
		}
		if !m.Smallest {
			return
		}
		// The plain way to the one that may be found highest: every set of the size is followed to where it turns.
		passes := func(set []int, share float64) bool {
			return len(fails(func(l loads.Load) loads.Load {
				if k := slices.Index(m.Loads, l.Name); slices.Contains(set, k) {
					return l.Between(share, share)
				}
				return l.AtHigh()
			})) == 0
		}
		turn := func(set []int) float64 {
			turns := 0.0
			for step := 0.5; step >= 1.0/1024; step /= 2 {
				if passes(set, turns+step) {
					turns += step
				}
			}
			return turns
		}
		if m.ByUse && m.ByStart {
			var chosen []int
			for _, d := range m.Decisive {
				chosen = append(chosen, slices.Index(m.Loads, d.Load))
			}
			told := turn(chosen)
			for _, d := range m.Decisive {
				i := slices.IndexFunc(p.Site.Loads, func(l loads.Load) bool { return l.Name == d.Load })
				if w := p.Site.Loads[i].Between(told, told).RunningW; w != d.Turns.RunningW {
					t.Errorf("%s turns at %g W, want %g W", d.Load, d.Turns.RunningW, w)
				}
			}
			for _, set := range combin.Combinations(len(m.Loads), len(m.Decisive)) {
				if passes(set, 0) && turn(set) > told {
					t.Errorf("%v of %v may be found higher than %v", set, m.Loads, chosen)
				}
			}
		}
		for size := 1; size < len(m.Decisive); size++ {
			for _, set := range combin.Combinations(len(m.Loads), size) {
				if len(fails(func(l loads.Load) loads.Load {
					if k := slices.Index(m.Loads, l.Name); slices.Contains(set, k) {
						return l.Between(0, 0)
					}
					return l.AtHigh()
				})) == 0 {
					t.Errorf("a smaller set does: %v of %v", set, m.Loads)
				}
			}
		}
	})
	if decided == 0 {
		t.Error("no home was drawn in which something is to be measured")
	}
}

// Ends as published come out of [loads.Load.Between], which mixes them in between.
func TestBetweenMeetsTheEnds(t *testing.T) {
	p, _ := measured(t, using("Fridge", "fridge")+using("Kiln", "kiln"))
	l := p.Site.Loads[0]
	for share, want := range map[float64]loads.Ends{0: l.Typical.Low, 1: l.Typical.High} {
		got := l.Between(share, share)
		if got.RunningW != want.RunningW || got.HoursPerDay != want.HoursPerDay ||
			math.Abs(got.Start.VA()-want.Start.VA()) > 1e-9 {
			t.Errorf("at %g: %g W, %g VA, %g h, want %g, %g, %g", share, got.RunningW, got.Start.VA(), got.HoursPerDay,
				want.RunningW, want.Start.VA(), want.HoursPerDay)
		}
	}
	if half := l.Between(0.5, 1); half.RunningW != (l.Typical.Low.RunningW+l.Typical.High.RunningW)/2 ||
		half.Start.VA() != l.Typical.High.Start.VA() {
		t.Errorf("half way with the highest start: %g W, %g VA", half.RunningW, half.Start.VA())
	}
}

// BenchmarkFirstToMeasure is the study of a home of twelve loads of classes.
func BenchmarkFirstToMeasure(b *testing.B) {
	cat, err := generic()
	if err != nil {
		b.Fatal(err)
	}
	src, err := os.ReadFile(filepath.Join("..", "testdata", "sites", "drystone.toml"))
	if err != nil {
		b.Fatal(err)
	}
	text := string(src)
	for _, class := range []string{"laptop", "kettle", "tv", "fridge"} {
		if _, err := cat.Appliance(class); err == nil {
			text += using("Own "+class, class)
		}
	}
	p, err := planOf(text)
	if err != nil {
		b.Fatal(err)
	}
	defer debug.SetGCPercent(debug.SetGCPercent(400)) // as the command runs
	b.ReportMetric(float64(len(p.Site.Loads)), "loads")
	for b.Loop() {
		if _, _, err := study.FirstToMeasure(p.Facts); err != nil {
			b.Fatal(err)
		}
	}
}

// What is told of the figures at which the plan turns is never more than they are, nor less than the class has.
func TestTurnsAreToldRoundedDown(t *testing.T) {
	start := func(va float64) *loads.Start { return &loads.Start{PlainVA: va} }
	d := study.DecisiveLoad{Low: loads.Ends{RunningW: 1000, HoursPerDay: 0.3, Start: start(500)},
		Turns: loads.Ends{RunningW: 1307.4, HoursPerDay: 0.69, Start: start(7466.2)}}
	if w, va, h := d.Told(); w != 1300 || va != 7460 || math.Abs(h-0.6) > 1e-12 {
		t.Errorf("told %g W, %g VA, %g h, want 1300, 7460 and 0.6", w, va, h)
	}
	d = study.DecisiveLoad{Low: loads.Ends{RunningW: 36.5, HoursPerDay: 0.05}, Turns: loads.Ends{RunningW: 36.7, HoursPerDay: 0.06}}
	if w, va, h := d.Told(); w != 36.5 || va != 0 || h != 0.05 {
		t.Errorf("told %g W, %g VA, %g h, want the low end", w, va, h)
	}
	d = study.DecisiveLoad{Low: loads.Ends{RunningW: 8}, Turns: loads.Ends{RunningW: 36.7, HoursPerDay: 10.68}}
	if w, _, h := d.Told(); w != 36 || math.Abs(h-10.6) > 1e-12 {
		t.Errorf("told %g W, %g h, want 36 and 10.6", w, h)
	}
}
