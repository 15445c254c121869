package meterfile

import (
	"bufio"
	"cmp"
	"errors"
	"fmt"
	"io"
	"slices"
	"strconv"
	"strings"
	"time"

	"outlast/backup/measured/meter"
	"outlast/catalog/strict"
)

// marketTimeS is the time of the Australian market file: ten hours east, all year, without daylight saving.
const marketTimeS = 10 * 3600

// nem12Line is the longest line: a day of five minutes has 288 values.
const nem12Line = 64 << 10

// supplyFailed are reason codes that say that the house had no power: outage, supply failed, outage alarm.
var supplyFailed = map[string]bool{"43": true, "58": true, "79": true}

// nem12File follows the records of a meter data file.
type nem12File struct {
	file     string
	line     int
	channels map[string]*meter.Channel
	names    []string
	leftOut  []string

	channel *meter.Channel // of the last 200 record; nil: it is left out
	name    string
	stepMin int
	scaleWh float64
	day     []meter.Reading // of the last 300 record, to which 400 records tell the quality
	varies  bool            // its quality is V: they must
	told    int             // intervals that they have told
	dayLine int
	count   int
}

func (f *nem12File) fail(col int, format string, args ...any) error {
	return strict.Problems{{File: f.file, Line: f.line, Col: col, Msg: fmt.Sprintf(format, args...)}}
}

// ReadNEM12 reads the interval meter data file of the Australian market: records 200 (channel), 300 (a day) and 400
// (quality of some of its intervals). Channels E are taken from the grid, B are fed into it; others (reactive energy,
// volts) are named in [meter.Data.LeftOut]. A day that stops early has missing readings; a value without a quality is
// an estimate.
func ReadNEM12(file string, r io.Reader) (*meter.Data, error) {
	f := &nem12File{file: file, channels: map[string]*meter.Channel{}}
	in := bufio.NewReaderSize(r, nem12Line)
	var ended bool
	for !ended {
		raw, err := in.ReadSlice('\n')
		if errors.Is(err, bufio.ErrBufferFull) {
			f.line++
			return nil, f.fail(1, "the line is longer than %d bytes", nem12Line)
		}
		if err != nil && !errors.Is(err, io.EOF) {
			return nil, err
		}
		ended = err != nil
		f.line++
		line := strings.TrimRight(string(raw), "\r\n")
		if f.line == 1 {
			line = strings.TrimPrefix(line, "\ufeff")
		}
		if strings.TrimSpace(line) == "" {
			continue
		}
		if err := f.record(strings.Split(line, ",")); err != nil {
			return nil, err
		}
	}
	if err := f.endDay(); err != nil {
		return nil, err
	}
	out := &meter.Data{Format: meter.NEM12, Clock: meter.Fixed(marketTimeS), LeftOut: f.leftOut}
	for _, name := range f.names {
		c := f.channels[name]
		slices.SortStableFunc(c.Readings, func(a, b meter.Reading) int { return cmp.Compare(a.StartS, b.StartS) })
		if err := c.Disjoint(out.Clock); err != nil {
			return nil, f.fail(1, "%s", err)
		}
		out.Channels = append(out.Channels, *c)
	}
	if len(out.Channels) == 0 && len(out.LeftOut) == 0 {
		return nil, f.fail(1, "found no record 200 with a channel")
	}
	return out, nil
}

// record follows one line.
func (f *nem12File) record(c []string) error {
	for i := range c {
		c[i] = strings.TrimSpace(c[i])
	}
	switch c[0] {
	case "100":
		if len(c) > 1 && !strings.EqualFold(c[1], "NEM12") {
			return f.fail(5, "found the version %s, want NEM12", strict.Quote(c[1]))
		}
	case "200":
		if err := f.endDay(); err != nil {
			return err
		}
		return f.newChannel(c)
	case "300":
		if err := f.endDay(); err != nil {
			return err
		}
		return f.newDay(c)
	case "400":
		return f.quality(c)
	case "500":
	case "900":
		return f.endDay()
	default:
		return f.fail(1, "found the record %s, want 100, 200, 300, 400, 500 or 900", strict.Quote(c[0]))
	}
	return nil
}

// at is the column in the line at which a field begins.
func at(c []string, field int) int {
	col := 1
	for _, s := range c[:min(field, len(c))] {
		col += len(s) + 1
	}
	return col
}

var energyUnits = map[string]float64{"wh": 1, "kwh": 1000, "mwh": 1e6}

func (f *nem12File) newChannel(c []string) error {
	if len(c) < 9 {
		return f.fail(1, "a record 200 has %d fields, want at least 9", len(c))
	}
	step, err := strconv.Atoi(c[8])
	if err != nil || step != 5 && step != 15 && step != 30 && step != 1 && step != 60 {
		return f.fail(at(c, 8), "found %s as minutes of an interval, want 5, 15 or 30", strict.Quote(c[8]))
	}
	f.stepMin, f.channel = step, nil
	f.name = c[4]
	if f.name == "" {
		f.name = c[3]
	}
	if c[1] != "" {
		f.name = c[1] + " " + f.name
	}
	scale, isEnergy := energyUnits[strings.ToLower(c[7])]
	suffix := strings.ToUpper(c[4])
	if !isEnergy || !strings.HasPrefix(suffix, "E") && !strings.HasPrefix(suffix, "B") {
		if what := f.name + ": " + c[7]; !slices.Contains(f.leftOut, what) {
			f.leftOut = append(f.leftOut, what)
		}
		return nil
	}
	f.scaleWh = scale
	f.channel = f.channels[f.name]
	if f.channel == nil {
		// The letters are the market's: E leaves its grid towards the house.
		d := meter.FromGrid
		if suffix[0] == 'B' {
			d = meter.ToGrid
		}
		f.channel = &meter.Channel{Name: f.name, Direction: d}
		f.channels[f.name] = f.channel
		f.names = append(f.names, f.name)
	}
	return nil
}

func (f *nem12File) newDay(c []string) error {
	if f.stepMin == 0 {
		return f.fail(1, "found a day of readings before any record 200")
	}
	if len(c) < 3 {
		return f.fail(1, "a record 300 has %d fields, want a date and values", len(c))
	}
	day, err := time.Parse("20060102", c[1])
	if err != nil || day.Year() < 1970 || day.Year() > 2200 {
		return f.fail(at(c, 1), "found %s as a date, want YYYYMMDD", strict.Quote(c[1]))
	}
	n := 24 * 60 / f.stepMin
	if f.count += n; f.count > meter.MostReadings {
		return f.fail(1, "has more than %d readings: divide the file", meter.MostReadings)
	}
	f.day = make([]meter.Reading, n)
	f.varies, f.told, f.dayLine = false, 0, f.line
	behind := 2 // the field behind the values
	for i := range f.day {
		r := &f.day[i]
		r.StartS, r.Seconds, r.Quality = day.Unix()-marketTimeS+int64(i*f.stepMin)*60, int32(f.stepMin*60),
			meter.Missing
		if behind != i+2 || behind >= len(c) || c[behind] == "" {
			continue // the row stops early
		}
		if letter := c[behind][0]; letter >= 'A' && letter <= 'Z' {
			continue // the quality: the row stops early
		}
		v, err := strconv.ParseFloat(c[behind], 64)
		if err != nil || v < 0 || v > 1e9 {
			return f.fail(at(c, behind), "found %s as the value of interval %d, want a number from 0",
				strict.Quote(c[behind]), i+1)
		}
		r.Wh, r.Quality = v*f.scaleWh, meter.Estimated
		behind++
	}
	if behind < len(c) {
		switch {
		case strings.HasPrefix(c[behind], "V"):
			f.varies = true
		case c[behind] != "":
			q, err := f.qualityOf(c, behind)
			if err != nil {
				return err
			}
			f.mark(0, n, q, behind+1 < len(c) && supplyFailed[c[behind+1]])
		}
	}
	return nil
}

// qualityOf reads a quality with its method.
func (f *nem12File) qualityOf(c []string, field int) (meter.Quality, error) {
	if c[field] != "" {
		switch c[field][0] {
		case 'A':
			return meter.Actual, nil
		case 'E', 'F', 'S':
			return meter.Estimated, nil
		case 'N':
			return meter.Missing, nil
		}
	}
	return 0, f.fail(at(c, field), "found %s as a quality, want A, E, F, N, S or V", strict.Quote(c[field]))
}

// mark gives intervals their quality; what has no value stays missing.
func (f *nem12File) mark(from, to int, q meter.Quality, outage bool) {
	for i := from; i < to; i++ {
		r := &f.day[i]
		if r.Quality != meter.Missing {
			r.Quality = q
		}
		r.Outage = r.Outage || outage
	}
}

func (f *nem12File) quality(c []string) error {
	if f.day == nil {
		return f.fail(1, "found a record 400 before any day of readings")
	}
	if len(c) < 4 {
		return f.fail(1, "a record 400 has %d fields, want first and last interval and a quality", len(c))
	}
	first, err1 := strconv.Atoi(c[1])
	last, err2 := strconv.Atoi(c[2])
	if err1 != nil || err2 != nil || first < 1 || last < first || last > len(f.day) {
		return f.fail(at(c, 1), "found the intervals %s to %s, want first and last of 1 to %d", strict.Quote(c[1]),
			strict.Quote(c[2]), len(f.day))
	}
	q, err := f.qualityOf(c, 3)
	if err != nil {
		return err
	}
	f.mark(first-1, last, q, len(c) > 4 && supplyFailed[c[4]])
	f.told += last - first + 1
	return nil
}

// endDay takes the day into its channel.
func (f *nem12File) endDay() error {
	if f.day == nil {
		return nil
	}
	if f.varies && f.told < len(f.day) {
		return strict.Problems{{File: f.file, Line: f.dayLine, Col: 1,
			Msg: fmt.Sprintf("the quality of the day varies, but the records 400 behind it tell %d of its %d intervals",
				f.told, len(f.day))}}
	}
	if f.channel != nil {
		f.channel.Readings = append(f.channel.Readings, f.day...)
	}
	f.day = nil
	return nil
}
