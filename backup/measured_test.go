package backup_test

import (
	"math"
	"testing"
	"time"

	"outlast/backup"
	"outlast/backup/measured/meter"
	"outlast/backup/study"
)

// metered is the use of a meter that counts the same power for days from a date on.
func metered(t *testing.T, w float64, stepS, days int, from time.Time) *meter.Use {
	t.Helper()
	c := meter.Channel{Name: "1", Direction: meter.FromGrid}
	for s := from.Unix(); s < from.AddDate(0, 0, days).Unix(); s += int64(stepS) {
		c.Readings = append(c.Readings, meter.Reading{StartS: s, Seconds: int32(stepS), Wh: w * float64(stepS) / 3600})
	}
	u, err := (&meter.Data{Channels: []meter.Channel{c}, Clock: meter.Fixed(0)}).Use(nil)
	if err != nil {
		t.Fatal(err)
	}
	return u
}

// A meter that counts 1,000 W all day beside a list of 600 W: 60 % explained, 400 W on no list, 15,360 Wh at 50 W +
// 1,000 W / 0.8 last 11.815 h (whole minutes are told), and 125 % of 1,000 W against the inverter's rating: all by
// hand.
func TestMeasured(t *testing.T) {
	s := siteOf(t, newHouse().set("outage.month", 1).load("A", "running_w = 600").text())
	s.Use = metered(t, 1000, 900, 40, time.Date(2025, 1, 1, 0, 0, 0, 0, time.UTC))
	p, err := backup.NewPlan(t.Context(), s)
	if err != nil {
		t.Fatal(err)
	}
	m, ok, err := study.OfMeter(t.Context(), p.Facts)
	if err != nil || !ok {
		t.Fatal(ok, err)
	}
	jan, _ := m.Of(1)
	roundly(t, "explained", jan.NightExplained, 0.6)
	roundly(t, "unlisted", m.UnlistedW, 400)
	if m.Rule == nil || m.Autonomy == nil || !m.WholeHome {
		t.Fatalf("%+v", m)
	}
	roundly(t, "rule", m.Rule.DemandW, 1250)
	if !m.Rule.Holds || m.Rule.LimitW != 4000 {
		t.Errorf("rule %+v, want held by 4000 W", m.Rule)
	}
	if want := math.Floor(hoursAt(1000)*60) / 60; math.Abs(m.Autonomy.LeastH-want) > 1e-9 ||
		m.Autonomy.MedianH != m.Autonomy.LeastH || m.Autonomy.Starts != 31 {
		t.Errorf("autonomy %+v, want %.4f h from each of 31 days", m.Autonomy, want)
	}
}

// Without enough days the rule is not used, with a circuit on the main board the bank's hours do not follow from the
// meter, and 4,000 W do not hold 125 % of 3,500 W.
func TestMeasuredPreconditions(t *testing.T) {
	for _, c := range []struct {
		name                  string
		w                     float64
		days, stepS           int
		main                  bool
		rule, holds, autonomy bool
	}{
		{"ten days", 1000, 10, 900, false, false, false, true},
		{"hours of forty days", 1000, 40, 3600, false, false, false, true},
		{"hours of a year", 3500, 365, 3600, false, true, false, true},
		{"a circuit on the main board", 1000, 40, 900, true, true, true, false},
	} {
		h := newHouse().set("outage.month", 1).load("A", "running_w = 600")
		if c.main {
			h.circuit("b", `breaker_a = 16; length_m = 1; cable_mm2 = 2.5; board = "main"`).load("B",
				`circuit = "b"; running_w = 100`)
		}
		s := siteOf(t, h.text())
		s.Use = metered(t, c.w, c.stepS, c.days, time.Date(2025, 1, 1, 0, 0, 0, 0, time.UTC))
		p, err := backup.NewPlan(t.Context(), s)
		if err != nil {
			t.Fatal(err)
		}
		m, _, err := study.OfMeter(t.Context(), p.Facts)
		if err != nil {
			t.Fatal(err)
		}
		if (m.Rule != nil) != c.rule || m.Rule != nil && m.Rule.Holds != c.holds || (m.Autonomy != nil) != c.autonomy {
			t.Errorf("%s: rule %+v, autonomy %+v", c.name, m.Rule, m.Autonomy)
		}
	}
}
