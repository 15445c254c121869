package meterfile

import (
	"cmp"
	"slices"
	"time"

	"outlast/backup/measured/meter"
	"outlast/backup/measured/tabular"
	"outlast/catalog/strict"
)

// The kinds of column of a table of interval data; heads in four languages.
var (
	tableKinds = []tabular.Kind{
		{ID: "time", Words: []string{"time", "timestamp", "datetime", "date", "start", "from", "interval start", "zeit",
			"zeitpunkt", "zeitstempel", "datum", "von", "beginn",
			"hora", "fecha", "inicio", "desde", "heure", "horodatage", "debut", "horodate"}},
		{ID: "energy", Number: true, Words: []string{"energy", "import", "consumption", "usage", "kwh", "wh", "energie",
			"verbrauch", "bezug", "energia", "consumo",
			"consommation", "soutirage"}, Units: []string{"wh", "kwh", "mwh"}},
		{ID: "power", Number: true, Words: []string{"power", "load", "demand", "watts", "leistung", "last", "potencia",
			"puissance"}, Units: []string{"w", "kw"}},
		{ID: "export", Number: true, Words: []string{"export", "feed in", "fed in", "generation", "einspeisung",
			"vertido", "exportacion", "injection"}},
	}
	tableUnits = []string{"wh", "kwh", "mwh", "w", "kw"}
	toBase     = map[string]float64{"wh": 1, "kwh": 1000, "mwh": 1e6, "w": 1, "kw": 1000}
)

// Kinds are the columns that a table of interval data may have, and the units that their heads may tell.
func Kinds() (kinds []tabular.Kind, units []string) { return tableKinds, tableUnits }

// TableOptions say what a table does not.
type TableOptions struct {
	Columns []tabular.Wish
	Dates   string         // "dmy" or "mdy"; "": the table tells
	Zone    *time.Location // of its times, where they do not say it; nil: of a clock that is never changed
	Else    meter.Clock    // of the house, where neither the file nor Zone tells it; nil: it must be told
	Ends    bool           // its times are those at which intervals end
}

// ReadTable reads a table of time and energy (Wh of each interval) or power (its mean, or its value at that time). An
// interval lasts to the next row, at most as long as most intervals of the table do: what is longer is a gap. Where
// times have no offset and the hour that comes twice in autumn is met, it is there twice.
//
// The error is of type strict.Problems: rows that cannot be read, times that go back, a unit that nothing tells.
func ReadTable(t *tabular.Table, o TableOptions) (*meter.Data, error) {
	cols, ok := tabular.FindColumns(t, tableKinds, tableUnits, o.Columns, func(ids map[string]bool) bool {
		return ids["time"] && (ids["energy"] || ids["power"])
	})
	if !ok {
		return nil, t.Err()
	}
	at, _ := cols.Of("time")
	value, isEnergy := cols.Of("energy")
	if !isEnergy {
		value, _ = cols.Of("power")
	}
	export, exports := cols.Of("export")
	r := tableReader{t: t, o: o, clock: t.NewClock(at, o.Dates), at: at.Index, isEnergy: isEnergy,
		head: max(1, cols.Line)}
	r.columns = []tableColumn{{Column: value, direction: meter.FromGrid}}
	if exports {
		r.columns = append(r.columns, tableColumn{Column: export, direction: meter.ToGrid})
	}
	for t.Next() {
		if !r.row() {
			break
		}
	}
	if err := t.Err(); err != nil {
		return nil, err
	}
	return r.data()
}

type tableColumn struct {
	tabular.Column
	direction meter.Direction
	values    []float64
	known     []bool
}

// counts says whether the figures are those of a register, which only rises: over a day, no home uses more and more.
func (c *tableColumn) counts() bool {
	const leastRows, leastRising = 24, 0.1
	n, rises, last := 0, 0, 0.0
	for i, v := range c.values {
		switch {
		case !c.known[i]:
			continue
		case n > 0 && v < last:
			return false
		case n > 0 && v > last:
			rises++
		}
		n, last = n+1, v
	}
	return n >= leastRows && float64(rises) >= leastRising*float64(n)
}

type tableReader struct {
	t        *tabular.Table
	o        TableOptions
	clock    *tabular.Clock
	at       int
	isEnergy bool
	columns  []tableColumn
	times    []int64
	back     bool             // the clock was put back an hour, once
	zone     tabular.ZoneTold // what the first row tells of its clock
	offsets  meter.Stepped
	head     int // the line of the head
}

// row reads one row; false ends the table.
func (r *tableReader) row() bool {
	if len(r.times) >= meter.MostReadings {
		r.t.Report(-1, "divide the file", "has more than %d readings", meter.MostReadings)
		return false
	}
	wall, ok := r.t.Moment(r.clock, r.at)
	if !ok {
		return true
	}
	if !r.sameClock(int64(wall)) {
		return true
	}
	s := r.moment(int64(wall))
	if n := len(r.times); n > 0 && s <= r.times[n-1] {
		last := r.times[n-1]
		if s == last && !r.clock.HasOffset || last-s > 3600 || r.back || r.clock.HasOffset {
			r.t.Report(r.at, r.backHint(), "the time does not lie behind that of the row before")
			return true
		}
		r.back = true // the hour that comes twice in autumn
	} else if n > 0 && s-r.times[n-1] > 60*86400 {
		r.back = false
	}
	r.times = append(r.times, s)
	for i := range r.columns {
		c := &r.columns[i]
		v, known := 0.0, r.t.Cell(c.Index).Text != ""
		if known {
			var behind string
			if v, behind, known = r.t.Number(c.Index); known {
				v, known = r.scaled(c, v, behind)
			}
		}
		c.values, c.known = append(c.values, v), append(c.known, known)
	}
	return true
}

// backHint tells what helps where the time goes back: the clock of a place, where one may have been changed.
func (r *tableReader) backHint() string {
	if r.clock.HasOffset || r.o.Zone != nil {
		return ""
	}
	return "where the clock was put back, name its place: --zone Europe/Madrid"
}

// sameClock takes what a row tells of its clock into account, which is that of one house: all rows tell it or none, and
// it is changed by an hour at most.
func (r *tableReader) sameClock(s int64) bool {
	if len(r.times) == 0 {
		r.zone = r.clock.Zone
	}
	if r.clock.Zone != r.zone {
		r.t.Report(r.at, "", "found %s, want the offset from universal time in all rows, or in none",
			strict.Quote(r.t.Cell(r.at).Text))
		return false
	}
	offset := int64(r.clock.OffsetS)
	switch n := len(r.offsets); {
	case r.zone != tabular.ZoneOffset:
	case n == 0 || r.offsets[n-1].OffsetS != offset:
		if n > 0 && max(offset-r.offsets[0].OffsetS, r.offsets[0].OffsetS-offset) > 3600 && r.o.Zone == nil {
			r.t.Report(r.at, "name the place of the clock: --zone Europe/Madrid",
				"found %s, whose offset from universal time differs by more than an hour from that of the first row",
				strict.Quote(r.t.Cell(r.at).Text))
			return false
		}
		r.offsets = append(r.offsets, meter.Step{FromS: s, OffsetS: offset})
	}
	return true
}

// houseClock is the clock of the house: that of the place, of the offsets written, or that on the wall; nil where all
// times are universal.
func (r *tableReader) houseClock() meter.Clock {
	switch {
	case r.o.Zone != nil:
		return meter.Zone{Location: r.o.Zone}
	case len(r.offsets) > 0:
		return r.offsets
	case r.zone == tabular.ZoneUniversal:
		return nil
	}
	return meter.Fixed(0)
}

// scaled turns a figure into Wh or W.
func (r *tableReader) scaled(c *tableColumn, v float64, behind string) (float64, bool) {
	unit := tabular.Plain(behind)
	if unit == "" {
		unit = c.Unit
	}
	scale, ok := toBase[unit]
	if power := unit == "w" || unit == "kw"; !ok || power == r.isEnergy {
		want := "Wh or kWh"
		if !r.isEnergy {
			want = "W or kW"
		}
		kind := "energy"
		if !r.isEnergy {
			kind = "power"
		}
		r.t.Report(c.Index, "name it: --column \""+kind+"=3 kWh\"",
			"the unit is not told: want %s in the head of the column or behind each figure", want)
		return 0, false
	}
	if v < 0 || v*scale > 1e10 {
		r.t.Report(c.Index, "", "found %g, want a figure from 0: what is fed into the grid is a column of its own", v)
		return 0, false
	}
	return v * scale, true
}

// moment is universal time, or the time on the wall where neither table nor user tells how far it is from it.
func (r *tableReader) moment(wall int64) int64 {
	if r.clock.HasOffset || r.o.Zone == nil {
		return wall
	}
	z := meter.Zone{Location: r.o.Zone}
	// Half a day before and after, the clock shows what it shows on either side of a change: an hour that is there
	// twice has two moments, one that is jumped over has none that shows it, and is taken as if the clock had not been
	// changed yet.
	first, second := wall-z.OffsetS(wall-43200), wall-z.OffsetS(wall+43200)
	if first > second {
		first, second = second, first
	}
	shows := func(s int64) bool { return s+z.OffsetS(s) == wall }
	if n := len(r.times); shows(first) && !(shows(second) && n > 0 && first <= r.times[n-1]) {
		return first
	}
	return second
}

// data makes channels of the rows.
func (r *tableReader) data() (*meter.Data, error) {
	out := &meter.Data{Format: meter.Table, Clock: r.houseClock()}
	step := usual(r.times)
	if step == 0 {
		r.t.ReportAt(0, 0, "", "has fewer than two rows of readings: how long an interval is cannot be told")
		return nil, r.t.Err()
	}
	for _, c := range r.columns {
		if r.isEnergy && c.counts() {
			r.t.ReportAt(r.head, c.Index, "give the difference of each two rows",
				"found figures that rise row by row and never fall: the count of a register, want the energy of each interval")
			return nil, r.t.Err()
		}
		ch := meter.Channel{Name: c.Name(), Direction: c.direction, Readings: make([]meter.Reading, len(r.times))}
		for i, s := range r.times {
			seconds := step
			switch {
			case r.o.Ends && i > 0 && s > r.times[i-1]:
				seconds = min(step, s-r.times[i-1])
			case !r.o.Ends && i+1 < len(r.times) && r.times[i+1] > s:
				seconds = min(step, r.times[i+1]-s)
			}
			x := meter.Reading{StartS: s, Seconds: int32(seconds), Wh: c.values[i]}
			if r.o.Ends {
				x.StartS -= seconds
			}
			if !r.isEnergy {
				x.Wh *= float64(seconds) / 3600
			}
			if !c.known[i] {
				x.Quality, x.Wh = meter.Missing, 0
			}
			ch.Readings[i] = x
		}
		out.Channels = append(out.Channels, ch)
	}
	return out, nil
}

// usual is the time between most rows, or 0.
func usual(times []int64) int64 {
	count := map[int64]int{}
	for i := 1; i < len(times); i++ {
		if d := times[i] - times[i-1]; d > 0 && d <= 86400 {
			count[d]++
		}
	}
	var best []int64
	for d := range count {
		best = append(best, d)
	}
	slices.SortFunc(best, func(a, b int64) int { return cmp.Or(count[b]-count[a], cmp.Compare(a, b)) })
	if len(best) == 0 {
		return 0
	}
	return best[0]
}
