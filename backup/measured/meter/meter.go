// Package meter reads the interval data of electricity meters and says what a home really used.
//
// [ReadESPI] knows the XML of the Energy Services Provider Interface (NAESB REQ.21), [ReadNEM12] the comma-separated meter data file of the
// Australian market; [Read] looks which of the two it is. Both give a [Data]: channels of readings, each with its length, energy and quality.
// [Data.Use] adds them up by the clock of the house: hours, days, months, base load and highest demand.
//
// Units: Wh, W, seconds; moments are seconds since 1970 in universal time.
package meter

import (
	"bufio"
	"bytes"
	"io"
	"time"

	"outlast/catalog/strict"
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
	Clock    Clock // of the house, as far as the file tells
	// LeftOut names channels that count no energy of electricity: reactive energy, volts, gas …
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

// Read reads a meter file of either standard. file is its name in errors, which are [strict.Problems].
func Read(file string, r io.Reader) (*Data, error) {
	b := bufio.NewReaderSize(r, 64<<10)
	head, _ := b.Peek(512)
	head = bytes.TrimLeft(bytes.TrimPrefix(head, []byte("\xef\xbb\xbf")), " \t\r\n")
	switch {
	case bytes.HasPrefix(head, []byte("<")):
		return ReadESPI(file, b)
	case bytes.HasPrefix(head, []byte("100,")), bytes.HasPrefix(head, []byte("200,")):
		return ReadNEM12(file, b)
	}
	return nil, strict.Problems{{File: file, Line: 1, Col: 1,
		Msg: "found neither XML of the Energy Services Provider Interface nor a meter data file that begins with 100,NEM12"}}
}

// IsStandard says whether the beginning of a file looks like one of the two standards.
func IsStandard(head []byte) bool {
	head = bytes.TrimLeft(bytes.TrimPrefix(head, []byte("\xef\xbb\xbf")), " \t\r\n")
	return bytes.HasPrefix(head, []byte("<")) || bytes.HasPrefix(head, []byte("100,")) || bytes.HasPrefix(head, []byte("200,"))
}
