package backup_test

import (
	"math"
	"strings"
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

// An outage of measured days: the run of days of the month that takes most, by the readings of the meter, is followed
// in the place of the list. 15,360 Wh at 50 W + W / 0.8 by hand; the second half of each hour alone draws.
func TestOutageOfMeasuredDays(t *testing.T) {
	from := time.Date(2025, 1, 1, 0, 0, 0, 0, time.UTC)
	c := meter.Channel{Name: "1", Direction: meter.FromGrid}
	for s := from.Unix(); s < from.AddDate(0, 0, 40).Unix(); s += 900 {
		w := 0.0
		if s%3600 >= 1800 {
			w = 2000
		}
		if day := (s - from.Unix()) / 86400; day == 9 || day == 10 {
			w *= 1.2
		}
		c.Readings = append(c.Readings, meter.Reading{StartS: s, Seconds: 900, Wh: w / 4})
	}
	u, err := (&meter.Data{Channels: []meter.Channel{c}, Clock: meter.Fixed(0)}).Use(nil)
	if err != nil {
		t.Fatal(err)
	}
	for i, d := range u.Days { // the readings add up to the hours
		minutes := d.MinuteW()
		for h, w := range d.HourW {
			sum := 0.0
			for _, v := range minutes[60*h : 60*h+60] {
				sum += v / 60
			}
			if math.Abs(sum-w) > 1e-3 {
				t.Fatalf("day %d, hour %d: %g W by minutes, %g W", i, h, sum, w)
			}
		}
		if minutes[10] != 0 || minutes[40] < 2000 {
			t.Fatalf("day %d: %g W in minute 10, %g W in minute 40", i, minutes[10], minutes[40])
		}
	}
	s := siteOf(t, newHouse().set("outage.month", 1).load("A", "running_w = 600").text())
	s.Use = u
	p, err := backup.NewPlan(t.Context(), s)
	if err != nil {
		t.Fatal(err)
	}
	start := 0
	o := study.OutageOptions{Hours: 24, Start: &start, Measured: true, NoArray: true, NoGenerator: true, Seed: 1}
	r, err := study.RunOutage(t.Context(), p.Facts, o)
	if err != nil {
		t.Fatal(err)
	}
	d := r.Days
	if d.From.Day != 10 || d.To.Day != 10 || d.StepS != 900 || d.Runs != 31 || math.Abs(d.WhInAll-24*1200) > 1 {
		t.Errorf("followed %+v, want the 10th of January of 31 days", d)
	}
	// Of an hour 25 Wh in the first half, 25 + 2400/0.8/2 = 1525 Wh in the second: 9 hours take 13,950 Wh, of the tenth
	// the first half 25 Wh; the rest of 1,385 Wh lasts 1,385 / 3,050 h of it.
	want := math.Floor((9.5+1385./3050)*60) / 60
	if hours, dark := r.HoursUntilDark(); !dark || math.Abs(hours-want) > 1e-9 {
		t.Errorf("it lasts %g h (%v), want %g", hours, dark, want)
	}
	if len(r.Events) != 1 || r.Events[0].CircuitID != study.WholeHome {
		t.Errorf("events %+v, want one, of the whole home", r.Events)
	}
	if _, drawn, err := study.DrawOutage(t.Context(), p.Facts, o); drawn || err != nil {
		t.Errorf("measured days are drawn: %v", err)
	}
	o.Hours = 41 * 24
	for _, tt := range []struct {
		name   string
		change func()
		want   string
	}{
		{"not so many days", func() {},
			"needs 41 measured days in a row from one in January on, and the meter knows 40 at most"},
		{"no day of the month", func() { o.Month, o.Hours = 6, 24 }, "no whole day of June"},
		{"fed into the grid", func() { u.FedWh = 1 }, "feeds into the grid"},
		{"no meter", func() { s.Use = nil }, "names no meter file"},
	} {
		tt.change()
		q, err := backup.NewPlan(t.Context(), s)
		if err != nil {
			t.Fatal(err)
		}
		if _, err := study.RunOutage(t.Context(), q.Facts, o); err == nil || !strings.Contains(err.Error(), tt.want) {
			t.Errorf("%s: %v, want %q", tt.name, err, tt.want)
		}
	}
}
