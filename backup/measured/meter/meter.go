// Package meter says what a home really used, by the interval data of its electricity meter.
//
// [Data] is what a file holds: channels of readings, each with its length, energy and quality; package meterfile reads
// it. [Data.Use] adds them up by the clock of the house: hours, days, months, base load and highest demand.
//
// Units: Wh, W, seconds; moments are seconds since 1970 in universal time.
package meter

import (
	"fmt"
	"sort"
	"time"
)

// MostReadings is how many readings a file may have: three years of minutes. It bounds the memory at some 40 MB.
const MostReadings = 3 * 366 * 24 * 60

// Direction is which way the energy of a channel goes.
type Direction string

// The directions.
const (
	FromGrid Direction = "from the grid"
	ToGrid   Direction = "to the grid"
)

// Quality is how far a reading can be trusted.
type Quality uint8

// The qualities, the better the lower.
const (
	Actual    Quality = iota // read from the meter
	Estimated                // substituted, interpolated, forecast, failed its checks, or its quality is not told
	Missing                  // no value
)

// A Reading is the energy of one interval.
type Reading struct {
	StartS  int64 // since 1970
	Wh      float64
	Seconds int32
	Quality Quality
	Outage  bool // the meter says that the supply failed
}

// EndS is when the interval ends.
func (r Reading) EndS() int64 { return r.StartS + int64(r.Seconds) }

// A Channel is what one register of a meter has counted, its readings in the order of time.
type Channel struct {
	Name      string // as the file calls it
	Direction Direction
	Readings  []Reading
}

// A Format is a kind of file.
type Format string

// The formats.
const (
	ESPI  Format = "ESPI"
	NEM12 Format = "NEM12"
	Table Format = "table"
)

// Data is what a file holds.
type Data struct {
	Format   Format
	Channels []Channel
	Clock    Clock // of the house; nil: the file does not tell it
	// LeftOut names channels that count no energy of electricity: reactive energy, volts, gas …, and rows of sums.
	LeftOut []string
}

// A Clock turns universal time into the time that the clocks of the house show.
type Clock interface {
	// OffsetS is seconds east of universal time at a moment.
	OffsetS(unixS int64) int64
}

// Fixed is a clock that is never changed, in seconds east of universal time.
type Fixed int64

// OffsetS is the same all year.
func (f Fixed) OffsetS(int64) int64 { return int64(f) }

// Zone is the clock of a place.
type Zone struct{ *time.Location }

// OffsetS follows the place's rules of daylight saving.
func (z Zone) OffsetS(unixS int64) int64 {
	_, s := time.Unix(unixS, 0).In(z.Location).Zone()
	return int64(s)
}

// Stepped is a clock as the readings themselves tell it, in the order of time: each offset holds until the next one, and
// the first one before it, too.
type Stepped []Step

// A Step is an offset from a moment on.
type Step struct{ FromS, OffsetS int64 }

// OffsetS is that of the last step at or before the moment.
func (c Stepped) OffsetS(unixS int64) int64 {
	after := sort.Search(len(c), func(i int) bool { return c[i].FromS > unixS })
	return c[max(0, after-1)].OffsetS
}

// Disjoint says which readings of a channel overlap: their energy would count twice. The readings are in the order of
// time; a nil clock tells universal time.
func (c Channel) Disjoint(clock Clock) error {
	for i := 1; i < len(c.Readings); i++ {
		if a, b := c.Readings[i-1], c.Readings[i]; b.StartS < a.EndS() {
			return fmt.Errorf("two readings of channel %s overlap: %s for %d s and %s", c.Name,
				local(a.StartS, clock), a.Seconds, local(b.StartS, clock))
		}
	}
	return nil
}

// local writes a moment as the clock of the house shows it.
func local(unixS int64, clock Clock) string {
	if clock == nil {
		return time.Unix(unixS, 0).UTC().Format("2006-01-02 15:04:05 UTC")
	}
	return time.Unix(unixS+clock.OffsetS(unixS), 0).UTC().Format("2006-01-02 15:04:05")
}
