package meterfile

import (
	"cmp"
	"encoding/xml"
	"errors"
	"fmt"
	"io"
	"math"
	"slices"
	"strconv"
	"strings"

	"outlast/backup/measured/meter"
	"outlast/catalog/strict"
)

// espiSpace is the namespace of the interface; prefixes differ from file to file.
const espiSpace = "http://naesb.org/espi"

// Codes of the schema of the interface (NAESB REQ.21, usage.xsd 3.3.1).
const (
	uomWh           = 72
	flowDelivered   = 1
	flowReceived    = 19
	deltaData       = 4
	electricity     = 1
	espiMaxHours    = 24 * 31
	mostFileEntries = 200_000
)

// powersOfTen are the multipliers that the schema allows.
var powersOfTen = []int{-12, -9, -6, -3, -2, -1, 0, 1, 2, 3, 6, 9, 12}

// espiActual are the codes of quality of values that were read and hold: valid, validated by a person, failed a check
// but actual, good enough for a bill. All others are estimates of some kind, or raw.
var espiActual = map[int]bool{0: true, 7: true, 18: true, 19: true}

// unitNames are the units of measure that stand beside energy in such files.
var unitNames = map[int]string{5: "A", 29: "V", 33: "Hz", 38: "W", 61: "VA", 63: "var", 71: "VAh", 73: "varh"}

type espiReadingType struct {
	Accumulation   *int `xml:"http://naesb.org/espi accumulationBehaviour"`
	Commodity      *int `xml:"http://naesb.org/espi commodity"`
	FlowDirection  *int `xml:"http://naesb.org/espi flowDirection"`
	IntervalLength *int `xml:"http://naesb.org/espi intervalLength"`
	PowerOfTen     int  `xml:"http://naesb.org/espi powerOfTenMultiplier"`
	UOM            *int `xml:"http://naesb.org/espi uom"`
	line, col      int
}

type espiTimes struct {
	Start    *int64 `xml:"http://naesb.org/espi start"`
	Duration *int64 `xml:"http://naesb.org/espi duration"`
}

type espiReading struct {
	Value   *int64    `xml:"http://naesb.org/espi value"`
	Quality []int     `xml:"http://naesb.org/espi ReadingQuality>quality"`
	Times   espiTimes `xml:"http://naesb.org/espi timePeriod"`
}

type espiLocalTime struct {
	DSTEnd    string `xml:"http://naesb.org/espi dstEndRule"`
	DSTOffset int64  `xml:"http://naesb.org/espi dstOffset"`
	DSTStart  string `xml:"http://naesb.org/espi dstStartRule"`
	TZOffset  int64  `xml:"http://naesb.org/espi tzOffset"`
}

// espiBlock is a block of readings whose unit is not known yet: its reading type may come later in the file.
type espiBlock struct {
	up, self string
	startS   int64 // where its first reading begins if that does not say it; -1: not told
	// Wh holds the value as it stands; StartS -1: where the one before ends; Seconds 0: the length of the reading type
	readings  []meter.Reading
	line, col int
	below     struct{ line, col int } // of the first value below 0; line 0: none
}

// espiFile collects the entries of a feed, which may come in any order and are joined by their links.
type espiFile struct {
	file   string
	blocks []espiBlock
	types  map[string]*espiReadingType // by the link of itself
	meters map[string][]string         // meter reading: the links it is related to
	order  []string                    // of the meter readings
	clocks map[espiLocalTime]bool
	count  int
	d      *xml.Decoder
}

func (f *espiFile) fail(format string, args ...any) error {
	line, col := f.d.InputPos()
	return f.failAt(line, col, format, args...)
}

func (f *espiFile) failAt(line, col int, format string, args ...any) error {
	return strict.Problems{{File: f.file, Line: line, Col: col, Msg: fmt.Sprintf(format, args...)}}
}

// ReadESPI reads the XML of the Energy Services Provider Interface: hourly or quarter-hourly energy as utilities give
// it to their customers. It streams: only the readings are kept. Energy of electricity in delta data is taken, anything
// else is named in [meter.Data.LeftOut].
func ReadESPI(file string, r io.Reader) (*meter.Data, error) {
	f := &espiFile{file: file, types: map[string]*espiReadingType{}, meters: map[string][]string{},
		clocks: map[espiLocalTime]bool{}, d: xml.NewDecoder(r)}
	entries := 0
	for {
		t, err := f.d.Token()
		if errors.Is(err, io.EOF) {
			break
		}
		if err != nil {
			return nil, f.fail("is no XML that can be read: %s", xmlReason(err))
		}
		start, ok := t.(xml.StartElement)
		if !ok || start.Name.Local != "entry" {
			continue
		}
		if entries++; entries > mostFileEntries {
			return nil, f.fail("has more than %d entries", mostFileEntries)
		}
		if err := f.entry(); err != nil {
			return nil, err
		}
	}
	if entries == 0 {
		return nil, f.failAt(1, 1, "found no entry of the Energy Services Provider Interface in this XML")
	}
	return f.data()
}

// xmlReason is what is wrong, without the place, which is told already.
func xmlReason(err error) string {
	if syntax := (*xml.SyntaxError)(nil); errors.As(err, &syntax) {
		return syntax.Msg
	}
	if number := (*strconv.NumError)(nil); errors.As(err, &number) {
		return "found " + strict.Quote(number.Num) + ", want a whole number"
	}
	return err.Error()
}

// entry reads one entry of the feed: its links, and what it holds.
func (f *espiFile) entry() error {
	var self, up string
	var related []string
	block, isMeter := -1, false
	var kind *espiReadingType
	for {
		t, err := f.d.Token()
		if err != nil {
			return f.fail("is no XML that can be read: %s", xmlReason(err))
		}
		switch e := t.(type) {
		case xml.EndElement:
			if e.Name.Local != "entry" {
				continue
			}
			switch {
			case block >= 0:
				for i := block; i < len(f.blocks); i++ {
					f.blocks[i].up, f.blocks[i].self = up, self
				}
			case kind != nil:
				f.types[self] = kind
			case isMeter:
				f.meters[self] = related
				f.order = append(f.order, self)
			}
			return nil
		case xml.StartElement:
			switch {
			case e.Name.Local == "link":
				rel, href := attr(e, "rel"), attr(e, "href")
				switch rel {
				case "self":
					self = href
				case "up":
					up = href
				case "related":
					related = append(related, href)
				}
			case e.Name.Space != espiSpace:
			case e.Name.Local == "IntervalBlock":
				if block < 0 {
					block = len(f.blocks)
				}
				if err := f.block(); err != nil {
					return err
				}
			case e.Name.Local == "MeterReading":
				isMeter = true
			case e.Name.Local == "ReadingType":
				kind = &espiReadingType{}
				kind.line, kind.col = f.d.InputPos()
				if err := f.d.DecodeElement(kind, &e); err != nil {
					return f.fail("reading type: %s", xmlReason(err))
				}
			case e.Name.Local == "LocalTimeParameters":
				var local espiLocalTime
				if err := f.d.DecodeElement(&local, &e); err != nil {
					return f.fail("local time: %s", xmlReason(err))
				}
				f.clocks[local] = true
			}
		}
	}
}

func attr(e xml.StartElement, name string) string {
	for _, a := range e.Attr {
		if a.Name.Local == name {
			return a.Value
		}
	}
	return ""
}

// block reads the readings of one block, one at a time.
func (f *espiFile) block() error {
	b := espiBlock{startS: -1}
	b.line, b.col = f.d.InputPos()
	for {
		t, err := f.d.Token()
		if err != nil {
			return f.fail("is no XML that can be read: %s", xmlReason(err))
		}
		switch e := t.(type) {
		case xml.EndElement:
			if e.Name.Local == "IntervalBlock" {
				f.blocks = append(f.blocks, b)
				return nil
			}
		case xml.StartElement:
			switch {
			case e.Name.Space != espiSpace:
			case e.Name.Local == "interval":
				var times espiTimes
				if err := f.d.DecodeElement(&times, &e); err != nil {
					return f.fail("interval: %s", xmlReason(err))
				}
				if times.Start != nil {
					b.startS = *times.Start
				}
			case e.Name.Local == "IntervalReading":
				var r espiReading
				if err := f.d.DecodeElement(&r, &e); err != nil {
					return f.fail("reading: %s", xmlReason(err))
				}
				reading, err := f.reading(r)
				if err != nil {
					return err
				}
				if reading.Wh < 0 && b.below.line == 0 {
					b.below.line, b.below.col = f.d.InputPos()
				}
				b.readings = append(b.readings, reading)
			}
		}
	}
}

func (f *espiFile) reading(r espiReading) (meter.Reading, error) {
	if f.count++; f.count > meter.MostReadings {
		return meter.Reading{}, f.fail("has more than %d readings: divide the file", meter.MostReadings)
	}
	out := meter.Reading{StartS: -1}
	if at := r.Times.Start; at != nil {
		if *at < 0 || *at > 1<<33 {
			return meter.Reading{}, f.fail("a reading starts %d s after 1970, want a date of this century", *at)
		}
		out.StartS = *at
	}
	if d := r.Times.Duration; d != nil {
		if *d < 1 || *d > espiMaxHours*3600 {
			return meter.Reading{}, f.fail("a reading lasts %d s, want 1 to %d", *d, espiMaxHours*3600)
		}
		out.Seconds = int32(*d)
	}
	if r.Value == nil {
		out.Quality = meter.Missing
		return out, nil
	}
	out.Wh = float64(*r.Value)
	for _, q := range r.Quality {
		if !espiActual[q] {
			out.Quality = meter.Estimated
		}
	}
	return out, nil
}

// data joins blocks, meter readings and reading types.
func (f *espiFile) data() (*meter.Data, error) {
	out := &meter.Data{Format: meter.ESPI}
	if len(f.clocks) > 1 {
		return nil, f.failAt(1, 1, "tells %d different local times, want one home", len(f.clocks))
	}
	for local := range f.clocks {
		clock, err := local.clock()
		if err != nil {
			return nil, f.failAt(1, 1, "%s", err)
		}
		out.Clock = clock
	}
	byMeter := map[string][]espiBlock{}
	for _, b := range f.blocks {
		m := f.meterOf(b)
		byMeter[m] = append(byMeter[m], b)
	}
	names := slices.SortedFunc(keys(byMeter), func(a, b string) int {
		return cmp.Or(cmp.Compare(slices.Index(f.order, a), slices.Index(f.order, b)), strings.Compare(a, b))
	})
	for i, m := range names {
		blocks := byMeter[m]
		kind := f.typeOf(m)
		if kind == nil {
			return nil, f.failAt(blocks[0].line, blocks[0].col,
				"a block of readings has no reading type: its unit is not known")
		}
		name := fmt.Sprintf("%d", i+1)
		if what := kind.other(); what != "" {
			out.LeftOut = append(out.LeftOut, name+": "+what)
			continue
		}
		if !slices.Contains(powersOfTen, kind.PowerOfTen) {
			return nil, f.failAt(kind.line, kind.col, "powerOfTenMultiplier is %d, want one of %v", kind.PowerOfTen,
				powersOfTen)
		}
		c := meter.Channel{Name: name, Direction: meter.FromGrid}
		if kind.FlowDirection != nil && *kind.FlowDirection == flowReceived {
			c.Direction = meter.ToGrid
		}
		scale := math.Pow10(kind.PowerOfTen)
		for _, b := range blocks {
			if at := b.below; at.line > 0 {
				return nil, f.failAt(at.line, at.col,
					"a reading is below 0, want from 0: what is fed into the grid is a flow direction of its own")
			}
			next := b.startS
			for _, r := range b.readings {
				r.Wh *= scale
				if r.Seconds == 0 {
					if kind.IntervalLength == nil || *kind.IntervalLength < 1 ||
						*kind.IntervalLength > espiMaxHours*3600 {
						return nil, f.failAt(b.line, b.col,
							"a reading has no duration, and its reading type no intervalLength")
					}
					r.Seconds = int32(*kind.IntervalLength)
				}
				if r.StartS < 0 {
					if r.StartS = next; next < 0 {
						return nil, f.failAt(b.line, b.col, "a reading has no start, and its block has none")
					}
				}
				next = r.EndS()
				c.Readings = append(c.Readings, r)
			}
		}
		slices.SortStableFunc(c.Readings, func(a, b meter.Reading) int { return cmp.Compare(a.StartS, b.StartS) })
		if err := c.Disjoint(out.Clock); err != nil {
			return nil, f.failAt(blocks[0].line, blocks[0].col, "%s", err)
		}
		out.Channels = append(out.Channels, c)
	}
	return out, nil
}

func keys[V any](m map[string]V) func(func(string) bool) {
	return func(yield func(string) bool) {
		for k := range m {
			if !yield(k) {
				return
			}
		}
	}
}

// meterOf is the meter reading to which a block belongs: the one that is related to its folder or to itself, or the one
// there is.
func (f *espiFile) meterOf(b espiBlock) string {
	for _, m := range f.order {
		if slices.Contains(f.meters[m], b.up) && b.up != "" || slices.Contains(f.meters[m], b.self) && b.self != "" {
			return m
		}
	}
	if len(f.order) == 1 {
		return f.order[0]
	}
	return ""
}

// typeOf is the reading type of a meter reading, or the one there is.
func (f *espiFile) typeOf(meter string) *espiReadingType {
	for _, link := range f.meters[meter] {
		if t := f.types[link]; t != nil {
			return t
		}
	}
	if len(f.types) == 1 {
		for _, t := range f.types {
			return t
		}
	}
	return nil
}

// other names what the readings are if they are not energy of electricity in steps that can be added.
func (t *espiReadingType) other() string {
	switch {
	case t.Commodity != nil && *t.Commodity > electricity:
		return fmt.Sprintf("commodity %d, not electricity", *t.Commodity)
	case t.UOM == nil:
		return "no unit"
	case *t.UOM != uomWh:
		if name := unitNames[*t.UOM]; name != "" {
			return name + ", not Wh"
		}
		return fmt.Sprintf("unit of measure %d, not Wh", *t.UOM)
	case t.Accumulation != nil && *t.Accumulation != 0 && *t.Accumulation != deltaData:
		return fmt.Sprintf("accumulation %d, not the energy of each interval", *t.Accumulation)
	case t.FlowDirection != nil && *t.FlowDirection != 0 && *t.FlowDirection != flowDelivered &&
		*t.FlowDirection != flowReceived:
		return fmt.Sprintf("flow direction %d: net or total of both directions", *t.FlowDirection)
	}
	return ""
}
