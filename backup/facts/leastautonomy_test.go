package facts

import (
	"context"
	"fmt"
	"math"
	"testing"

	"pgregory.net/rapid"

	"outlast/backup/calendar"
	"outlast/backup/verdict"
	"outlast/battery"
)

// plainLasts follows a start by steps of a minute, but for a first part of one.
func plainLasts(o *dayOutage, minute, walkH float64) (hours float64) {
	o.bank.Reset(o.reserve)
	for now := minute; hours < walkH; {
		i := 0
		for float64(o.powers[i].endMin) <= math.Mod(now, calendar.DayMin) {
			i++
		}
		asked, next := o.powers[i].w, math.Floor(now+1)
		if done := o.bank.Step(asked, (next-now)/60); done < asked*(1-verdict.Slack) {
			return hours + done/asked*(next-now)/60
		}
		hours += (next - now) / 60
		now = next
	}
	return walkH
}

// A bank lasts as long from step to step of the day as it does minute by minute, but for the last of them: there the
// minutes tell where the limit of the whole minute is met, and the closed form when the power is.
func TestLastsIsMinuteByMinute(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		o := drawDayOutage(rt)
		minute := rapid.Float64Range(0, calendar.DayMin).Draw(rt, "minute")
		got := o.lasts(minute, 100).hours
		if want := plainLasts(o, minute, 100); math.Abs(got-want) > 1.0/60+1e-9 {
			rt.Fatalf("%v h, minute by minute %v h", got, want)
		}
	})
}

// What a lithium bank lasts by the sum of what is drawn is what it lasts step by step.
func TestDrainIsStepByStep(t *testing.T) {
	drains := 0
	rapid.Check(t, func(rt *rapid.T) {
		o := drawDayOutage(rt)
		o.bank.Reset(o.reserve)
		d := newDrain(o.powers, o.bank)
		if d == nil {
			return
		}
		drains++
		minute := rapid.OneOf(rapid.Float64Range(0, calendar.DayMin), rapid.SampledFrom([]float64{0, 600, calendar.DayMin})).Draw(rt, "minute")
		walkH := rapid.SampledFrom([]float64{6, 50.5, 1000}).Draw(rt, "hours")
		got, want := d.lasts(minute, walkH), o.lasts(minute, walkH)
		near := math.Abs(got.hours-want.hours) < 1e-6
		// Where the charge ends with a step to the last digit, it may be that step or the next.
		same := got.step == want.step && got.into == want.into || got.step == want.step+1 && !got.into ||
			got.step+1 == want.step && !want.into
		if !near || got.ended != want.ended || !got.ended && !same {
			rt.Fatalf("%+v, step by step %+v", got, want)
		}
	})
	if drains == 0 {
		t.Error("no bank was followed by its sum")
	}
}

// drawDayOutage draws a day in steps, most of few different powers, so that starts last equally long, and a bank.
func drawDayOutage(rt *rapid.T) *dayOutage {
	c := rapid.SampledFrom([]battery.Chemistry{battery.LFP, battery.AGM}).Draw(rt, "chemistry")
	u, _ := battery.Unit{Chemistry: c, NominalV: 48, RatedAh: 100, ResistanceMohm: 20}.WithDefaults()
	b := battery.Bank{Unit: u, Series: 1, Strings: rapid.IntRange(1, 12).Draw(rt, "strings")}
	m, err := b.Model(battery.ModelOptions{TemperatureC: 15, CutoffV: rapid.SampledFrom([]float64{0, 44, 46}).Draw(rt,
		"cutoff")})
	if err != nil {
		rt.Fatal(err)
	}
	o := &dayOutage{bank: m, reserve: rapid.SampledFrom([]float64{1, 0.8}).Draw(rt, "reserve")}
	watts := rapid.OneOf(rapid.SampledFrom([]float64{0, 90, 100, 400, 2500}), rapid.Float64Range(20, 600))
	for at := 0; at < calendar.DayMin; {
		at = min(calendar.DayMin, at+rapid.IntRange(1, 500).Draw(rt, "minutes"))
		o.powers = append(o.powers, dcStep{at, watts.Draw(rt, "watts")})
	}
	return o
}

// No start lasts shorter than the shortest by more than half a second, on a whole minute or between two, and the start
// that is told lasts just so long.
func TestShortestIsThatOfEveryStart(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		o := drawDayOutage(rt)
		walkH := rapid.SampledFrom([]float64{6, 50.5, 1000}).Draw(rt, "hours")
		hours, start, _ := o.shortest(context.Background(), walkH)
		if got := o.lasts(start, walkH).hours; math.Abs(got-hours) > 1e-6 && hours < walkH {
			rt.Fatalf("%v h from minute %v, which lasts %v h", hours, start, got)
		}
		part := rapid.Float64Range(0, 1).Draw(rt, "part of a minute")
		for minute := range calendar.DayMin {
			for _, at := range []float64{float64(minute), float64(minute) + part} {
				if h := o.lasts(at, walkH).hours; h < hours-leastToH {
					rt.Fatalf("%.9g h from minute %v, but %.9g h from %v", hours, start, h, at)
				}
			}
		}
	})
}

// The least may lie between two minutes. 997 Wh; 100 W until 10:00, 300 W until 11:40, 50 W after. The later the grid
// fails in the first part, the sooner the bank is empty, as long as the large power ends it: until 300 * 100/60 = 500
// Wh are left for that, so 497 Wh at 100 W before: 298.2 min. So the least is that of 301.8 min, and lasts 398.2 min.
func TestShortestLiesBetweenMinutes(t *testing.T) {
	u, _ := battery.Unit{Chemistry: battery.LFP, NominalV: 50, RatedAh: 19.94, MaxDischargeA: 100}.WithDefaults()
	m, err := battery.Bank{Unit: u, Series: 1, Strings: 1}.Model(battery.ModelOptions{TemperatureC: 25, MaxDoD: 1})
	if err != nil {
		t.Fatal(err)
	}
	o := &dayOutage{bank: m, reserve: 1, powers: []dcStep{{600, 100}, {700, 300}, {1440, 50}}}
	if hours, start, _ := o.shortest(context.Background(), 1000); math.Abs(hours-398.2/60) > leastToH ||
		math.Abs(start-301.8) > 1.0/60 {
		t.Errorf("%v h from minute %v, want %v h from 301.8", hours, start, 398.2/60)
	}
	// A step that asks for more than the bank gives ends every outage that reaches it.
	o.powers = []dcStep{{720, 60}, {721, 60000}, {1440, 60}}
	if hours, start, _ := o.shortest(context.Background(), 1000); hours != 0 || start != 720 {
		t.Errorf("%v h from minute %v, want none from 720", hours, start)
	}
}

// BenchmarkShortest looks for the worst start of a bank that lasts for weeks.
func BenchmarkShortest(b *testing.B) {
	for _, c := range []battery.Chemistry{battery.LFP, battery.AGM} {
		u, _ := battery.Unit{Chemistry: c, NominalV: 48, RatedAh: 100, ResistanceMohm: 20}.WithDefaults()
		for _, strings := range []int{5, 100, 1000} {
			m, err := battery.Bank{Unit: u, Series: 1, Strings: strings}.Model(battery.ModelOptions{TemperatureC: 15,
				CutoffV: 44})
			if err != nil {
				b.Fatal(err)
			}
			o := &dayOutage{bank: m, reserve: 1, powers: []dcStep{{360, 60}, {450, 500}, {720, 150}, {800, 320},
				{1020, 150}, {1330, 480}, {1440, 60}}}
			hours := o.lasts(0, LongestWalkH).hours
			b.Run(fmt.Sprintf("chemistry=%s/hours=%.0f", c, hours), func(b *testing.B) {
				for b.Loop() {
					o.shortest(context.Background(), LongestWalkH)
				}
			})
		}
	}
}
