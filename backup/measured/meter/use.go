package meter

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"
	"time"
)

// A Use is what a home took from the grid, by the clock of the house.
type Use struct {
	FromS, ToS int64 // first moment and last, universal time
	StepS      int   // length of the readings; 0: they differ
	Days       []Day // every day of the file, in order; those with gaps too

	Months [12]Month
	// the median over whole days of the hour with the least power; of a night's hours where the home feeds its own into the grid
	BaseW  float64
	Demand []Demand
	// Cold and Warm are the weeks that take most in October to March and in April to September; nil: no whole week is
	// known.
	OctoberToMarch, AprilToSeptember *Week

	TakenWh, FedWh float64
	GapS           int64 // time between first and last moment for which there is no value
	Gaps           []Span
	EstimatedS     int64 // time with estimates
	Outages        []Span
}

// NetOfSolar says that the home feeds its own power into the grid: what it takes by day is then less than what it uses.
func (u *Use) NetOfSolar() bool { return u.FedWh > 0 }

// A Span is a stretch of time, in universal time.
type Span struct{ FromS, ToS int64 }

// A Day is the power of each hour of a day, a mean.
type Day struct {
	Year, Month, Day int
	HourW            [24]float64
	Whole            bool // every hour of it is known
	// StepW is the mean power of each reading of a whole day, in order, where they are shorter than an hour and all of
	// one length, [Use.StepS]; nil where they are not.
	StepW []float32
}

// MinuteW is the power of each minute of a whole day, as finely as the meter tells.
func (d Day) MinuteW() []float64 {
	const dayMin = 24 * 60
	out := make([]float64, dayMin)
	for m := range out {
		out[m] = d.HourW[m/60]
		if n := len(d.StepW); n > 0 {
			out[m] = float64(d.StepW[m*n/dayMin])
		}
	}
	return out
}

// Wh is the energy of the day.
func (d Day) Wh() float64 {
	var sum float64
	for _, w := range d.HourW {
		sum += w
	}
	return sum
}

// A Month is the mean of the whole days of a month of the year, of all years of the file.
type Month struct {
	Days     int // whole ones; 0: nothing is known of it
	HourW    [24]float64
	WhPerDay float64
	HighestW float64 // the highest hour
}

// A Demand is the highest mean power over some time, taken at the full steps of the clock as a demand meter does.
type Demand struct {
	Seconds int
	W       float64
	AtS     int64
}

// A Week is seven whole days, one after the other.
type Week struct {
	FirstDay int // place in [Use.Days]
	WhPerDay float64
}

// wholeHourS is how much of an hour must be known: all of it but a second of rounding.
const wholeHourS = 3599

// hour is what is known of one hour of universal time, shifted by the clock of the house.
type hour struct {
	wh     float64
	knownS int32
}

// hours are the hours of a time, by their number on the clock of the house.
type hours struct {
	first int64
	list  []hour
}

// noHours are those of the file, of which nothing is known. A clock that is changed may call an hour before the first
// and behind the last.
func (u *Use) noHours(clock Clock) hours {
	first := hourOf(u.FromS, clock) - 2
	return hours{first, make([]hour, hourOf(u.ToS-1, clock)+3-first)}
}

// at is the hour of a number, unknown outside the file.
func (h hours) at(k int64) hour {
	if k < h.first || k >= h.first+int64(len(h.list)) {
		return hour{}
	}
	return h.list[k-h.first]
}

// mostYears bounds the time that a file may span.
const mostYears = 20

// ErrNothing means that no channel counts what is taken from the grid.
var ErrNothing = errors.New("no channel counts energy taken from the grid")

// ErrNoClock means that neither file nor user tells the clock of the house.
var ErrNoClock = errors.New("its times are universal, and the clock of the house is not told: say it with --zone, " +
	"or with utc_offset_h in [site]")

// Use adds the channels up by a clock; a nil clock is that of the file. The error tells what cannot be added up.
func (d *Data) Use(clock Clock) (*Use, error) {
	if clock == nil {
		clock = d.Clock
	}
	if clock == nil {
		return nil, ErrNoClock
	}
	var taken []Channel
	u := &Use{FromS: math.MaxInt64, ToS: math.MinInt64, StepS: -1}
	for _, c := range d.Channels {
		if c.Direction == ToGrid {
			for _, r := range c.Readings {
				u.FedWh += r.Wh
			}
			continue
		}
		if len(c.Readings) == 0 {
			continue
		}
		taken = append(taken, c)
		u.FromS = min(u.FromS, c.Readings[0].StartS)
		u.ToS = max(u.ToS, c.Readings[len(c.Readings)-1].EndS())
	}
	if len(taken) == 0 {
		if len(d.LeftOut) > 0 {
			return nil, fmt.Errorf("%w; left out: %s", ErrNothing, strings.Join(d.LeftOut, "; "))
		}
		return nil, ErrNothing
	}
	if u.ToS-u.FromS > mostYears*366*86400 {
		return nil, errors.New("the readings span more than twenty years")
	}
	u.days(u.hours(taken, clock), clock)
	u.steps(taken, clock)
	u.months()
	u.base()
	u.demand(taken, clock)
	u.OctoberToMarch = u.week(func(m int) bool { return m >= 10 || m <= 3 })
	u.AprilToSeptember = u.week(func(m int) bool { return m >= 4 && m <= 9 })
	return u, nil
}

// hourOf is the number of an hour on the clock of the house.
func hourOf(unixS int64, clock Clock) int64 { return floorDiv(unixS+clock.OffsetS(unixS), 3600) }

func floorDiv(a, b int64) int64 {
	q := a / b
	if a%b < 0 {
		q--
	}
	return q
}

// hours adds the readings of all channels up; an hour is known as far as it is in all of them.
func (u *Use) hours(taken []Channel, clock Clock) hours {
	sum := u.noHours(clock)
	for i, c := range taken {
		own := u.noHours(clock)
		at := u.FromS
		for _, r := range c.Readings {
			if i == 0 && r.StartS > at {
				u.gap(at, r.StartS)
			}
			at = r.EndS()
			if u.StepS == -1 {
				u.StepS = int(r.Seconds)
			} else if u.StepS != int(r.Seconds) {
				u.StepS = 0
			}
			if r.Outage {
				u.outage(r)
			}
			if r.Quality == Missing {
				if i == 0 {
					u.gap(r.StartS, at)
				}
				continue
			}
			if r.Quality == Estimated && i == 0 {
				u.EstimatedS += int64(r.Seconds)
			}
			u.TakenWh += r.Wh
			for s := r.StartS; s < at; { // over the hours that it touches
				end := min(at, floorDiv(s, 900)*900+900) // clocks differ by whole quarters of an hour
				h := &own.list[hourOf(s, clock)-own.first]
				h.wh += r.Wh * float64(end-s) / float64(r.Seconds)
				h.knownS += int32(end - s)
				s = end
			}
		}
		if i == 0 {
			u.gap(at, u.ToS)
			sum = own
			continue
		}
		for k, o := range own.list {
			h := &sum.list[k]
			h.wh, h.knownS = h.wh+o.wh, min(h.knownS, o.knownS)
		}
	}
	return sum
}

func (u *Use) gap(fromS, toS int64) {
	if toS <= fromS {
		return
	}
	u.GapS += toS - fromS
	u.Gaps = appendSpan(u.Gaps, fromS, toS)
}

func (u *Use) outage(r Reading) { u.Outages = appendSpan(u.Outages, r.StartS, r.EndS()) }

// appendSpan lengthens the last span if the next one touches it.
func appendSpan(spans []Span, fromS, toS int64) []Span {
	if n := len(spans); n > 0 && fromS <= spans[n-1].ToS && fromS >= spans[n-1].FromS {
		spans[n-1].ToS = max(spans[n-1].ToS, toS)
		return spans
	}
	return append(spans, Span{fromS, toS})
}

// days makes the days of the hours. The hour that the clock jumps over in spring is as the one before it; the hour that
// is there twice in autumn is a mean.
func (u *Use) days(known hours, clock Clock) {
	first, last := floorDiv(hourOf(u.FromS, clock), 24), floorDiv(hourOf(u.ToS-1, clock), 24)
	for d := first; d <= last; d++ {
		y, m, day := time.Unix(d*86400, 0).UTC().Date()
		out := Day{Year: y, Month: int(m), Day: day, Whole: true}
		for h := range 24 {
			k := d*24 + int64(h)
			switch at := known.at(k); {
			case at.knownS >= wholeHourS:
				out.HourW[h] = at.wh * 3600 / float64(at.knownS)
			case at.knownS == 0 && h > 0 && out.Whole && jumps(k, clock):
				out.HourW[h] = out.HourW[h-1]
			default:
				out.Whole = false
			}
		}
		u.Days = append(u.Days, out)
	}
}

// steps fills in the power of each reading of the whole days, where readings are of whole minutes, shorter than an hour
// and stand at even times. Where the clock jumps in spring, and where a reading is missing in an hour that is known
// otherwise, the power of the hour stands; what is there twice in autumn is a mean.
func (u *Use) steps(taken []Channel, clock Clock) {
	step := int64(u.StepS)
	if step < 60 || step >= 3600 || 3600%step != 0 || len(u.Days) == 0 {
		return
	}
	first := floorDiv(hourOf(u.FromS, clock), 24) * 86400 / step // of the first day
	perDay := 86400 / step
	n := int64(len(u.Days)) * perDay
	sum := make([]float32, n)
	for _, c := range taken {
		own, times := make([]float32, n), make([]uint8, n)
		for _, r := range c.Readings {
			local := r.StartS + clock.OffsetS(r.StartS)
			if local%step != 0 {
				return
			}
			if k := local/step - first; k >= 0 && k < n && r.Quality != Missing {
				own[k] += float32(r.Wh * 3600 / float64(step))
				times[k]++
			}
		}
		for k := range own {
			switch {
			case times[k] == 0:
				sum[k] = float32(math.NaN())
			case times[k] > 1:
				sum[k] += own[k] / float32(times[k])
			default:
				sum[k] += own[k]
			}
		}
	}
	for i := range u.Days {
		d := &u.Days[i]
		if !d.Whole {
			continue
		}
		d.StepW = sum[int64(i)*perDay : int64(i+1)*perDay : int64(i+1)*perDay]
		for k, w := range d.StepW {
			if w != w {
				d.StepW[k] = float32(d.HourW[int64(k)*step/3600])
			}
		}
	}
}

// jumps says whether the clock of the house jumps over an hour: no moment is called so.
func jumps(k int64, clock Clock) bool {
	for _, s := range []int64{k * 3600, k*3600 + 1800} {
		for _, around := range []int64{-12 * 3600, 12 * 3600} { // the offset before and after
			if t := s - clock.OffsetS(s+around); hourOf(t, clock) == k {
				return false
			}
		}
	}
	return true
}

func (u *Use) months() {
	for _, d := range u.Days {
		if !d.Whole {
			continue
		}
		m := &u.Months[d.Month-1]
		m.Days++
		for h, w := range d.HourW {
			m.HourW[h] += w
			m.HighestW = max(m.HighestW, w)
		}
	}
	for i := range u.Months {
		m := &u.Months[i]
		if m.Days == 0 {
			continue
		}
		for h := range m.HourW {
			m.HourW[h] /= float64(m.Days)
			m.WhPerDay += m.HourW[h]
		}
	}
}

// The night, in which no sun hides what is used: from 22:00 to 5:00.
const (
	NightStartH = 22
	NightEndH   = 5
)

func (u *Use) base() {
	var least []float64
	for _, d := range u.Days {
		switch {
		case !d.Whole:
		case u.NetOfSolar():
			least = append(least, min(slices.Min(d.HourW[:NightEndH]), slices.Min(d.HourW[NightStartH:])))
		default:
			least = append(least, slices.Min(d.HourW[:]))
		}
	}
	if len(least) == 0 {
		return
	}
	slices.Sort(least)
	if n := len(least); n%2 == 1 {
		u.BaseW = least[n/2]
	} else {
		u.BaseW = (least[n/2-1] + least[n/2]) / 2
	}
}

// demand finds the highest means over the readings themselves and over 15, 30 and 60 minutes.
func (u *Use) demand(taken []Channel, clock Clock) {
	if u.StepS <= 0 {
		return
	}
	sum := taken[0].Readings
	for _, c := range taken[1:] {
		sum = both(sum, c.Readings)
	}
	for _, window := range []int{u.StepS, 900, 1800, 3600} {
		if window < u.StepS || window%u.StepS != 0 || len(u.Demand) > 0 && window == u.StepS {
			continue
		}
		best := Demand{Seconds: window, W: -1}
		need := window / u.StepS
		var wh float64
		have, block := 0, int64(math.MinInt64)
		for _, r := range sum {
			s := r.StartS
			local := s + clock.OffsetS(s)
			if b := floorDiv(local, int64(window)); b != block || window == u.StepS {
				block, wh, have = b, 0, 0
			}
			if r.Quality == Missing {
				continue
			}
			wh += r.Wh
			if have++; have == need {
				if w := wh * 3600 / float64(window); w > best.W {
					best.W, best.AtS = w, s+int64(u.StepS-window)
				}
				have, wh = 0, 0
			}
		}
		if best.W >= 0 {
			u.Demand = append(u.Demand, best)
		}
	}
}

// both adds two channels up where both have a reading.
func both(a, b []Reading) []Reading {
	var out []Reading
	for i, j := 0, 0; i < len(a) && j < len(b); {
		switch {
		case a[i].StartS < b[j].StartS:
			i++
		case a[i].StartS > b[j].StartS:
			j++
		default:
			r := a[i]
			r.Wh += b[j].Wh
			r.Quality = max(r.Quality, b[j].Quality)
			out = append(out, r)
			i, j = i+1, j+1
		}
	}
	return out
}

// week finds the seven whole days that take most, among those that begin in the given months.
func (u *Use) week(in func(month int) bool) *Week {
	var best *Week
	for i := 0; i+7 <= len(u.Days); i++ {
		if !in(u.Days[i].Month) {
			continue
		}
		var wh float64
		whole := true
		for _, d := range u.Days[i : i+7] {
			wh, whole = wh+d.Wh(), whole && d.Whole
		}
		if whole && (best == nil || wh/7 > best.WhPerDay) {
			best = &Week{FirstDay: i, WhPerDay: wh / 7}
		}
	}
	return best
}

// WholeDays is how many days of the file are known from end to end.
func (u *Use) WholeDays() int {
	n := 0
	for _, d := range u.Days {
		if d.Whole {
			n++
		}
	}
	return n
}

// YearOfDemand says whether the file may stand for a year under the rule of measured demand (NEC 220.87): a year of
// data, or thirty days of readings of a quarter of an hour at most, and no power of the home's own behind the meter.
func (u *Use) YearOfDemand() bool {
	days := u.WholeDays()
	return !u.NetOfSolar() && (days >= 365 || days >= 30 && u.StepS > 0 && u.StepS <= 900)
}

// HighestDemandW is the highest mean of a quarter of an hour, or of the shortest step there is above that. ok is false
// without one.
func (u *Use) HighestDemandW() (w float64, seconds int, ok bool) {
	for _, d := range u.Demand {
		if d.Seconds >= 900 {
			return d.W, d.Seconds, true
		}
	}
	return 0, 0, false
}
