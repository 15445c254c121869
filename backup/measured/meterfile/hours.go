package meterfile

import (
	"time"

	"outlast/backup/measured/meter"
	"outlast/catalog/strict"
)

// Hours that a table tells by their number beside the date. From 0 to 23 they are times of the clock. From 1 to 24 they
// are counted, as metering companies do: hour 1 is from 0:00 to 1:00, and hour n is the n-th that passes on that day, so
// that a day has 23 where the clock is put forward and 25 where it is put back.

// mostHours is how many hours a day may have.
const mostHours = 25

// momentOfRow is the time of the row, with the number of its hour where it tells no more.
func (r *tableReader) momentOfRow() (s float64, number int8, ok bool) {
	day, n, is, ok := r.t.HourIn(r.moments)
	if len(r.times) == 0 {
		r.numbered = is
	}
	text := strict.Quote(r.t.Cell(r.at).Text)
	switch {
	case !ok:
		return 0, 0, false
	case !r.numbered:
		s, ok = r.t.MomentIn(r.moments)
		return s, 0, ok
	case !is:
		r.t.Report(r.at, "", "found %s, want the number of an hour as in the rows before", text)
		return 0, 0, false
	case n > mostHours:
		r.t.Report(r.at, "", "found %s, want the number of an hour: 0 to 23, or 1 to 24 and 25 where the clock is put back",
			text)
		return 0, 0, false
	}
	return day + float64(n)*3600, int8(n), true
}

// elapsed makes universal times of hours that are counted from 1; false if something was reported.
func (r *tableReader) elapsed() bool {
	zero, beyond := -1, -1 // the first rows that tell how hours are numbered
	least, most := int8(mostHours), int8(0)
	for i, n := range r.numbers {
		if n == 0 && zero < 0 {
			zero = i
		}
		if n >= 24 && beyond < 0 {
			beyond = i
		}
		least, most = min(least, n), max(most, n)
	}
	switch {
	case len(r.numbers) == 0:
		return true
	case zero >= 0 && beyond >= 0:
		r.t.ReportAt(int(r.lines[beyond]), r.at, "",
			"found hour %d, but line %d has hour 0: want hours from 0 to 23, or from 1 to 24", r.numbers[beyond], r.lines[zero])
		return false
	case zero >= 0 || beyond < 0 && r.o.Begins:
		return true
	case beyond < 0 && !r.o.Ends:
		r.t.ReportAt(int(r.lines[0]), r.at, "say which: --time-ends if hour 1 ends at 1:00, --time-ends=false if it begins then",
			"hours are numbered, but no row has hour 0 or 24: %d to %d may be counted from 0 or from 1", least, most)
		return false
	}
	r.counted, r.o.Ends = true, false
	if r.o.Zone != nil {
		return r.countByZone()
	}
	r.countByDays()
	return true
}

// dayOf is when the day of a row begins by the clock on the wall.
func (r *tableReader) dayOf(row int) int64 { return r.times[row] - int64(r.numbers[row])*3600 }

// countByZone counts the hours from the midnight of a place.
func (r *tableReader) countByZone() bool {
	begins := func(wall int64) int64 { // of a day
		y, m, d := time.Unix(wall, 0).UTC().Date()
		return time.Date(y, m, d, 0, 0, 0, 0, r.o.Zone).Unix()
	}
	ok := true
	var day, from, to int64
	for i, n := range r.numbers {
		if d := r.dayOf(i); i == 0 || d != day {
			day, from, to = d, begins(d), begins(d+86400)
		}
		if most := (to - from + 3599) / 3600; int64(n) > most {
			r.t.ReportAt(int(r.lines[i]), r.at, "name the place of the clock by which the hours were counted: --zone Europe/Madrid",
				"found hour %d of a day that has %d by the clock of %s", n, most, r.o.Zone)
			ok = false
		}
		r.times[i] = from + int64(n-1)*3600
	}
	return ok
}

// Where the place is not told, the days themselves tell when its clock was changed: one has hour 25, and one on a Sunday
// ends with hour 23, all before it being there. At which hour it was changed nothing tells; it is taken to be that of
// Europe, at which the third hour of a day begins in spring and the fourth in autumn. Of another place, the hour before
// that one is called an hour later or earlier than it was, on these two days alone.
const (
	forwardAfterS = 2 * 3600
	backAfterS    = 3 * 3600
)

// countByDays counts the hours of a clock whose changes the days tell.
func (r *tableReader) countByDays() {
	var east, last int64 // of the clock before the file begins; the last change
	for first := 0; first < len(r.numbers); {
		day, end := r.dayOf(first), first
		var there [mostHours + 1]bool
		for ; end < len(r.numbers) && r.dayOf(end) == day; end++ {
			there[r.numbers[end]] = true
		}
		begins := day - east
		for i := first; i < end; i++ {
			r.times[i] = begins + int64(r.numbers[i]-1)*3600
		}
		change, after := int64(0), int64(0)
		followed := end < len(r.numbers) && r.dayOf(end) == day+86400
		switch {
		case there[25]:
			change, after = -3600, backAfterS
		case last <= 0 && followed && endsAt23(there) && time.Unix(day, 0).UTC().Weekday() == time.Sunday:
			change, after = 3600, forwardAfterS
		}
		if change != 0 {
			if len(r.offsets) == 0 {
				r.offsets = meter.Stepped{{FromS: r.times[0], OffsetS: 0}}
			}
			east, last = east+change, change
			r.offsets = append(r.offsets, meter.Step{FromS: begins + after, OffsetS: east})
		}
		first = end
	}
}

// endsAt23 says whether a day has the hours 1 to 23 and no more.
func endsAt23(there [mostHours + 1]bool) bool {
	for n := 1; n <= 23; n++ {
		if !there[n] {
			return false
		}
	}
	return !there[24]
}
