package backup

import (
	"fmt"
	"testing"

	"pgregory.net/rapid"

	"outlast/battery"
)

// plainShortest follows every start by single steps.
func plainShortest(o *dayOutage, walkH float64) (hours float64, startMin int) {
	const stepH = 1.0 / 60
	var wattsAt [dayMin]float64
	from := 0
	for _, p := range o.powers {
		for ; from < p.endMin; from++ {
			wattsAt[from] = p.w
		}
	}
	hours = walkH
	for start := 0; start < dayMin; start += leastEvery {
		o.bank.Reset(o.reserve)
		for n := 0; float64(n) < hours*60; n++ {
			asked := wattsAt[(start+n)%dayMin]
			if done := o.bank.Step(asked, stepH); done < asked*(1-slack) {
				if h := (float64(n) + done/asked) * stepH; h < hours {
					hours, startMin = h, start
				}
				break
			}
		}
	}
	return hours, startMin
}

// drawDayOutage draws a day in steps, most of few different powers, so that starts last equally long, and a bank.
func drawDayOutage(rt *rapid.T) *dayOutage {
	c := rapid.SampledFrom([]battery.Chemistry{battery.LFP, battery.AGM}).Draw(rt, "chemistry")
	u, _ := battery.Unit{Chemistry: c, NominalV: 48, RatedAh: 100, ResistanceMohm: 20}.WithDefaults()
	b := battery.Bank{Unit: u, Series: 1, Strings: rapid.IntRange(1, 12).Draw(rt, "strings")}
	m, err := b.Model(battery.ModelOptions{TemperatureC: 15, CutoffV: rapid.SampledFrom([]float64{0, 44, 46}).Draw(rt, "cutoff")})
	if err != nil {
		rt.Fatal(err)
	}
	o := &dayOutage{bank: m, reserve: rapid.SampledFrom([]float64{1, 0.8}).Draw(rt, "reserve")}
	watts := rapid.OneOf(rapid.SampledFrom([]float64{0, 90, 100, 400, 2500}), rapid.Float64Range(20, 600))
	for at := 0; at < dayMin; {
		at = min(dayMin, at+rapid.IntRange(1, 500).Draw(rt, "minutes"))
		o.powers = append(o.powers, dcStep{at, watts.Draw(rt, "watts")})
	}
	return o
}

// The shortest of all starts is found, to the last bit, without following all of them, and so is the first of equal ones.
func TestShortestIsThatOfEveryStart(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		o := drawDayOutage(rt)
		walkH := rapid.SampledFrom([]float64{6, 50.5, 1000}).Draw(rt, "hours")
		hours, start := o.shortest(walkH)
		if wantH, wantStart := plainShortest(o, walkH); hours != wantH || start != wantStart {
			rt.Fatalf("%v h from minute %d, want %v h from minute %d", hours, start, wantH, wantStart)
		}
	})
}

// BenchmarkShortest looks for the worst start of a bank that lasts for weeks.
func BenchmarkShortest(b *testing.B) {
	for _, c := range []battery.Chemistry{battery.LFP, battery.AGM} {
		u, _ := battery.Unit{Chemistry: c, NominalV: 48, RatedAh: 100, ResistanceMohm: 20}.WithDefaults()
		for _, strings := range []int{5, 100, 1000} {
			m, err := battery.Bank{Unit: u, Series: 1, Strings: strings}.Model(battery.ModelOptions{TemperatureC: 15, CutoffV: 44})
			if err != nil {
				b.Fatal(err)
			}
			o := &dayOutage{bank: m, reserve: 1, powers: []dcStep{{360, 60}, {450, 500}, {720, 150}, {800, 320}, {1020, 150}, {1330, 480}, {1440, 60}}}
			hours, _ := o.lasts(0, longestWalkH)
			b.Run(fmt.Sprintf("chemistry=%s/hours=%.0f", c, hours), func(b *testing.B) {
				for b.Loop() {
					o.shortest(longestWalkH)
				}
			})
		}
	}
}
