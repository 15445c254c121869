package meterfile

import (
	"time"

	"outlast/backup/measured/meter"
)

// hourS is by how much a clock is changed.
const hourS = 3600

// leastApartS: a clock that was put back is not put back again for so long.
const leastApartS = 60 * 86400

// followRows takes the changes of the clock from the order of the rows, where neither they nor the user tell its place: an
// hour of a Sunday's night that is there twice, row by row, is one to which the clock was put back. In a table in which
// that is found, an hour of such a night that is not there was jumped over, where the clock was not put forward before.
// Times are universal then, as if the clock had been on that time when the table begins. An hour of which rows are missing
// is left to place, which refuses what is in doubt.
func (r *tableReader) followRows() {
	step := usual(r.times)
	if r.o.Zone != nil || r.clock.HasOffset || !r.clock.HasDate || r.counted || step == 0 || hourS%step != 0 {
		return
	}
	back := r.putBack(step)
	if len(back) == 0 {
		return
	}
	r.offsets = meter.Stepped{{FromS: r.times[0], OffsetS: 0}}
	var east, last, lastWall int64 // of the clock when the table begins; the last change; the row before
	change := func(by, wall int64) {
		fullHour := time.Unix(wall, 0).UTC().Truncate(time.Hour).Unix() // rows may tell ends of intervals
		r.offsets = append(r.offsets, meter.Step{FromS: fullHour - east - min(by, 0), OffsetS: east + by})
		east, last = east+by, by
	}
	for i, wall := range r.times {
		switch {
		case i == 0:
		case len(back) > 0 && back[0] == i:
			back = back[1:]
			change(-hourS, wall)
		case last <= 0 && wall-lastWall == step+hourS && changing(lastWall+step):
			change(hourS, lastWall+step)
		}
		lastWall = wall
		r.times[i] = wall - east
	}
}

// putBack are the rows with which an hour begins that is there for the second time.
func (r *tableReader) putBack(step int64) (rows []int) {
	n := int(hourS / step) // of an hour
	again := func(i int) bool {
		if i < n || i+n > len(r.times) {
			return false
		}
		for k := i; k < i+n; k++ {
			if r.times[k] != r.times[k-n] || k > i && r.times[k]-r.times[k-1] != step {
				return false
			}
		}
		return i+n == len(r.times) || r.times[i+n] > r.times[i+n-1]
	}
	for i := 1; i < len(r.times); i++ {
		wall := r.times[i]
		if wall > r.times[i-1] || !changing(wall) || !again(i) {
			continue
		}
		if last := len(rows) - 1; last < 0 || wall-r.times[rows[last]] > leastApartS {
			rows = append(rows, i)
		}
	}
	return rows
}

// changing says whether clocks are changed at such a time: in the night to a Sunday or early on it.
func changing(wall int64) bool {
	at := time.Unix(wall, 0).UTC()
	return at.Weekday() == time.Sunday && at.Hour() <= 4 || at.Weekday() == time.Saturday && at.Hour() == 23
}
