package loads

import (
	"encoding/json"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"testing"
)

type tdInstance struct {
	Name  string
	Loads [][2]float64 `json:"loads_w_p"`
}

func instances(t testing.TB) []tdInstance {
	b, err := os.ReadFile("testdata/demand/instances.json")
	if err != nil {
		t.Fatal(err)
	}
	var out []tdInstance
	if err := json.Unmarshal(b, &out); err != nil {
		t.Fatal(err)
	}
	return out
}

func (in tdInstance) set() *Set {
	var ls []Load
	for i, wp := range in.Loads {
		ls = append(ls, Load{Name: fmt.Sprintf("%03d", i), Quantity: 1, RunningW: wp[0], HoursPerDay: wp[1] * 24})
	}
	return NewSet(1, ls)
}

func farm(seed uint64, phases, fine int) []Load {
	r := rand.New(rand.NewPCG(seed, 1))
	var ls []Load
	for i := range 300 {
		l := Load{Name: fmt.Sprintf("load %03d", i), CircuitID: fmt.Sprint(i % 60), Phase: (i % 60) % (phases + 1), Quantity: 1 + r.IntN(3),
			RunningW: float64(fine * (1 + r.IntN(1000/fine))), PowerFactor: 0.7 + 0.3*r.Float64()}
		if r.IntN(5) == 0 {
			l.RunningW *= 3
		}
		if r.IntN(3) > 0 {
			a := 1 + r.IntN(1438)
			b := (a + 30 + r.IntN(700)) % 1440
			l.Windows = []Window{{a, b}}
			if r.IntN(4) == 0 {
				c := (b + 20) % 1440
				if d := c + 60; c > b && d < a || d < 1440 && a < b && c > b {
					l.Windows = append(l.Windows, Window{c, d})
				}
			}
		}
		l.HoursPerDay = l.WindowHours() * r.Float64() * 0.6
		if r.IntN(3) == 0 {
			l.Start = &Start{PlainVA: l.RunningW * 4, Seconds: float64(1 + r.IntN(5))}
			if r.IntN(2) == 0 {
				l.Start = &Start{Power: FromPF(l.RunningW*3, 0.5), Seconds: float64(1 + r.IntN(5))}
			}
		}
		if r.IntN(8) == 0 {
			l.Interlock = fmt.Sprint("lock ", r.IntN(12))
		}
		ls = append(ls, l)
	}
	return ls
}

func BenchmarkProbable(b *testing.B) {
	in := instances(b)
	for _, i := range in {
		s := i.set()
		b.Run(fmt.Sprintf("n=%d", len(i.Loads)), func(b *testing.B) {
			for b.Loop() {
				_, _ = s.Probable(0.999)
			}
		})
	}
}

func BenchmarkFarm(b *testing.B) {
	for _, fine := range []int{1, 10} {
		ls := farm(1, 3, fine)
		s := NewSet(3, ls)
		b.Logf("intervals %d slots %d states %d", len(s.bounds), len(s.slots), len(s.states))
		sch := s.Scheduled()
		rating := func(t float64) float64 {
			if t > 10 {
				return sch.VA * 1.3
			}
			return sch.VA * 1.35
		}
		r := s.Restart(rating)
		b.Logf("%v %v %v %v %d %s", sch, r.VA, r.DemandVA, r.LimitVA, len(r.Order), r.Blocked)
		for _, p := range []struct {
			name string
			f    func()
		}{
			{"newset", func() { NewSet(3, ls) }},
			{"connected", func() { s.Connected() }},
			{"scheduled", func() { s.Scheduled() }},
			{"probable", func() { s.Probable(0.999) }},
			{"surges", func() { s.Surges() }},
			{"restart-order", func() { s.Restart(rating) }},
			{"restart-fits", func() { s.Restart(func(float64) float64 { return 1e9 }) }},
			{"profile", func() { s.Profile().WorstStart(30.5) }},
		} {
			b.Run(fmt.Sprintf("fine=%d/part=%s", fine, p.name), func(b *testing.B) {
				for b.Loop() {
					p.f()
				}
			})
		}
	}
	_ = math.Inf
}
