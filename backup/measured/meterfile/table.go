package meterfile

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
	"time"

	"outlast/backup/measured/meter"
	"outlast/backup/measured/tabular"
	"outlast/catalog/strict"
)

// kindEnd is a column of the times at which intervals end.
const kindEnd = "end"

// The kinds of column of a table of interval data; heads in four languages.
var (
	tableKinds = []tabular.Kind{
		// Where intervals have a beginning and an end, the beginning is read; an end alone is when they end.
		{ID: kindEnd, Words: []string{"end", "end time", "hour ending", "ende", "bis", "fin", "hasta"}},
		{ID: tabular.KindTime, Words: []string{"time", "timestamp", "datetime", "start", "from", "interval start",
			"hour", "stunde", "zeit", "uhrzeit", "zeitpunkt", "zeitstempel", "von", "beginn",
			"hora", "inicio", "desde", "heure", "horodatage", "debut", "horodate"}},
		{ID: tabular.KindDate, Words: tabular.Dates.Words, Unitless: true}, // energy by day and by night has a unit
		{ID: "export", Number: true, Words: []string{"export", "exported", "feed in", "fed in", "generation", "surplus",
			"einspeisung", "eingespeist", "eingespeiste", "ruckspeisung", "rucklieferung", "uberschuss",
			"vertido", "vertida", "as kwh", "as wh", "exportacion", "exportada", "excedente", "excedentes",
			"injection", "injecte", "injectee", "exporte", "exportee"}},
		{ID: "energy", Number: true, Words: []string{"energy", "import", "consumption", "usage", "kwh", "wh", "energie",
			"verbrauch", "bezug", "energia", "consumo",
			"consommation", "soutirage"}, Units: []string{"wh", "kwh", "mwh"}},
		{ID: "power", Number: true, Words: []string{"power", "load", "demand", "watts", "leistung", "last", "potencia",
			"puissance"}, Units: []string{"w", "kw"}},
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
	Begins  bool           // they are said to be those at which intervals begin, as they are where nothing says otherwise
}

// ReadTable reads a table of time and energy (Wh of each interval) or power (its mean, or its value at that time). The
// time may stand in one column or, as date and time of day, in two; energy into the grid has a column of its own. An
// interval lasts to the next row, at most as long as most intervals of the table do: what is longer is a gap. Where
// times have no offset, the rows tell when the clock was changed (changed.go). A table whose newest row stands
// first is read from its last row to the first, where its times have dates.
//
// The error is of type strict.Problems: rows that cannot be read, times that go back, a unit that nothing tells.
func ReadTable(t *tabular.Table, o TableOptions) (*meter.Data, error) {
	cols, ok := tabular.FindColumns(t, tableKinds, tableUnits, o.Columns, func(ids map[string]bool) bool {
		return (ids[tabular.KindTime] || ids[tabular.KindDate] || ids[kindEnd]) && (ids["energy"] || ids["power"])
	})
	if !ok {
		return nil, t.Err()
	}
	ends := cols.By[kindEnd]
	startWished := slices.ContainsFunc(o.Columns, func(w tabular.Wish) bool { return w.Kind == tabular.KindTime })
	if _, timed := cols.Of(tabular.KindTime); len(ends) > 0 && (!timed || o.Ends && !startWished) {
		cols.By[tabular.KindTime], o.Ends = ends, true
	}
	moments := t.NewMoments(cols, o.Dates)
	value, isEnergy := cols.Of("energy")
	if !isEnergy {
		value, _ = cols.Of("power")
	}
	export, exports := cols.Of("export")
	r := tableReader{t: t, o: o, moments: moments, clock: moments.Clock, at: moments.Column, isEnergy: isEnergy,
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
	r.order()
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
	above     int  // figures above 0
	below     int  // and below
	belowLine int  // of the first of them
	refused   bool // its unit was reported
}

// counts says whether the figures are those of a register: over a day, no home uses more and more. A register falls only
// where the meter was exchanged or set back, or where the display begins anew, so once for many times that it rises; of
// what a home uses in an interval, about one in two is less than the one before. falls are the rows that do, the first of
// them at row fall.
func (c *tableColumn) counts() (is bool, falls, fall int) {
	const leastRows, leastRising, risesToAFall = 24, 0.1, 50
	n, rises, last := 0, 0, 0.0
	for i, v := range c.values {
		switch {
		case !c.known[i]:
			continue
		case n > 0 && v < last:
			if falls++; falls == 1 {
				fall = i
			}
		case n > 0 && v > last:
			rises++
		}
		n, last = n+1, v
	}
	return n >= leastRows && float64(rises) >= leastRising*float64(n) && rises >= risesToAFall*falls, falls, fall
}

type tableReader struct {
	t        *tabular.Table
	o        TableOptions
	moments  tabular.Moments
	clock    *tabular.Clock // theirs
	at       int
	isEnergy bool
	columns  []tableColumn
	times    []int64          // as the rows tell them, until place makes them universal
	east     []int32          // the offset that each row tells, in seconds
	lines    []int32          // of the rows in the file
	upward   bool             // the newest row stands first in the file
	zone     tabular.ZoneTold // what the first row tells of its clock
	offsets  meter.Stepped
	head     int      // the line of the head
	leftOut  []string // rows of sums
	numbered bool     // hours are told by their numbers
	numbers  []int8   // of the rows, where they are
	counted  bool     // from 1, through the hours of each day: times are universal then
}

// row reads one row; false ends the table.
func (r *tableReader) row() bool {
	if len(r.times) >= meter.MostReadings {
		r.t.Report(-1, "divide the file", "has more than %d readings", meter.MostReadings)
		return false
	}
	if r.sums() {
		return true
	}
	wall, number, ok := r.momentOfRow()
	if !ok {
		return true
	}
	if !r.clock.HasDate {
		r.t.Report(r.at, "name the column of the dates: --column date=1",
			"found %s, a time of day whose date no column tells", strict.Quote(r.t.Cell(r.at).Text))
		return false
	}
	if !r.sameZone() {
		return true
	}
	r.times = append(r.times, int64(wall))
	if r.numbered {
		r.numbers = append(r.numbers, number)
	}
	r.east = append(r.east, int32(r.clock.OffsetS))
	r.lines = append(r.lines, int32(r.t.Line()))
	for i := range r.columns {
		c := &r.columns[i]
		v, known := 0.0, !tabular.Missing(r.t.Cell(c.Index).Text)
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

// sums says whether the row is one of sums, by its first word: it has no time.
func (r *tableReader) sums() bool {
	if at := r.t.Cell(r.at).Text; at != "" && at[0] >= '0' && at[0] <= '9' {
		return false
	}
	for _, c := range r.t.Cells() {
		if c.Text == "" {
			continue
		}
		words := strings.Fields(tabular.Plain(c.Text))
		if len(words) == 0 || !slices.Contains(tabular.SumWords, words[0]) {
			return false
		}
		r.leftOut = append(r.leftOut, fmt.Sprintf("%s:%d: %s", r.t.File, r.t.Line(), c.Text))
		return true
	}
	return false
}

// sameZone refuses a row that tells its clock otherwise than the first one: the house has one clock.
func (r *tableReader) sameZone() bool {
	if len(r.times) == 0 {
		r.zone = r.clock.Zone
	}
	if r.clock.Zone != r.zone {
		r.t.Report(r.at, "", "found %s, want the offset from universal time in all rows, or in none",
			strict.Quote(r.t.Cell(r.at).Text))
		return false
	}
	return true
}

// order brings the rows into the order of time. A table that runs backwards as a whole is turned round, which leaves no
// doubt: even the hour that comes twice in autumn stands in its order then. Rows that are mixed are not sorted, as the
// two hours would be mixed with them.
func (r *tableReader) order() {
	down, up := 0, 0
	for i := 1; i < len(r.times); i++ {
		switch d := r.times[i] - r.times[i-1]; {
		case d < 0:
			down++
		case d > 0:
			up++
		}
	}
	if down > up {
		r.upward = true
		slices.Reverse(r.times)
		slices.Reverse(r.east)
		slices.Reverse(r.lines)
		slices.Reverse(r.numbers)
		for _, c := range r.columns {
			slices.Reverse(c.values)
			slices.Reverse(c.known)
		}
	}
	if len(r.times) > 0 && r.clock.Undecided() {
		r.t.ReportUndecided(r.moments, int(r.lines[0]))
		return
	}
	if r.clock.DayEnds && !r.o.Begins {
		r.o.Ends = true
	}
	if r.numbered && !r.elapsed() {
		return
	}
	r.followRows()
	r.place()
}

// place makes the times universal, and refuses those that do not lie behind the one before.
func (r *tableReader) place() {
	var put bool           // the clock was put back an hour, not long ago
	var putS int64         // when
	earlier, first := 0, 0 // rows that lie more than an hour before the last one, and the first of them
	var last int64
	var before int64 // the time that the last row tells
	for i, wall := range r.times {
		if !r.sameClock(i) {
			continue
		}
		s := r.moment(wall, last, i > 0)
		jumped := r.jumped(before, s)
		before = wall
		r.times[i] = s
		switch back := last - s; {
		case i == 0 || back < 0:
			put = put && s-putS <= leastApartS
		case back > hourS:
			if earlier++; earlier == 1 {
				first = i
			}
			continue
		case back == 0 || put || r.clock.HasOffset || r.counted:
			said := "the time does not lie behind that of the row before"
			if r.upward {
				said = "the newest row comes first, and the time does not lie behind that of the row below"
			}
			hint := r.backHint(back == 0)
			if jumped && i > 0 {
				hint = fmt.Sprintf("the clock of %s jumped over the time of the other row: delete that one, or leave out --zone", r.o.Zone)
			}
			r.t.ReportAt(int(r.lines[i]), r.at, hint, "%s", said)
			continue
		default:
			put, putS = true, s // the hour that comes twice in autumn
		}
		last = s
	}
	if earlier > 0 {
		r.t.ReportAt(int(r.lines[first]), r.at, "sort it by time, the oldest row first",
			"the rows are in no order of time: %d of %d lie before one that should follow them, this one first",
			earlier, len(r.times))
	}
}

// jumped says whether a time is none that the clock of the place showed, and was taken for a moment that s is, too.
func (r *tableReader) jumped(wall, s int64) bool {
	if r.clock.HasOffset || r.o.Zone == nil || r.counted {
		return false
	}
	z := meter.Zone{Location: r.o.Zone}
	return s+z.OffsetS(s) != wall && s+z.OffsetS(s-hourS) == wall
}

// backHint tells what helps where the time goes back by an hour at most: the clock of a place, where one may have been
// changed; or, of the same time, a row that is there twice.
func (r *tableReader) backHint(same bool) string {
	switch {
	case r.counted:
		return "hours that are numbered from 1 are counted on where the clock is put back: that day has 25"
	case (r.clock.HasOffset || r.o.Zone != nil) && same:
		return "delete the row if it is there twice"
	case r.clock.HasOffset, r.o.Zone != nil:
		return ""
	}
	const place = "where the clock was put back, name its place: --zone Europe/Madrid"
	if same {
		return "delete the row if it is there twice; " + place
	}
	return place
}

// sameClock takes the offset that a row tells into account, which is changed by an hour at most.
func (r *tableReader) sameClock(i int) bool {
	offset := int64(r.east[i])
	switch n := len(r.offsets); {
	case r.zone != tabular.ZoneOffset:
	case n == 0 || r.offsets[n-1].OffsetS != offset:
		if n > 0 && max(offset-r.offsets[0].OffsetS, r.offsets[0].OffsetS-offset) > 3600 && r.o.Zone == nil {
			r.t.ReportAt(int(r.lines[i]), r.at, "name the place of the clock: --zone Europe/Madrid",
				"found an offset from universal time of %s, which differs by more than an hour from %s in line %d",
				hours(offset), hours(r.offsets[0].OffsetS), r.lines[0])
			return false
		}
		r.offsets = append(r.offsets, meter.Step{FromS: r.times[i], OffsetS: offset})
	}
	return true
}

// hours writes an offset as times have it: +05:30.
func hours(offsetS int64) string {
	sign := '+'
	if offsetS < 0 {
		sign, offsetS = '-', -offsetS
	}
	return fmt.Sprintf("%c%02d:%02d", sign, offsetS/3600, offsetS/60%60)
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

// mostBase is more than any home takes, in Wh of an interval or W.
const mostBase = 1e10

// scaled turns a figure into Wh or W.
func (r *tableReader) scaled(c *tableColumn, v float64, behind string) (float64, bool) {
	unit := tabular.Plain(behind)
	if unit == "" {
		unit = c.Unit
	}
	scale, ok := toBase[unit]
	if power := unit == "w" || unit == "kw"; !ok || power == r.isEnergy {
		r.refuseUnit(c, unit)
		return 0, false
	}
	if most := mostBase / scale; v > most || v < -most {
		r.t.Report(c.Index, "is it a smaller unit that the head or --column should name?", "found %g, want at most %g", v, most)
		return 0, false
	}
	if v < 0 && c.direction == meter.FromGrid {
		r.t.Report(c.Index, "write what is below 0 into a column of its own, called export",
			"found %g, want a figure from 0: what is fed into the grid is a column of its own", v)
		return 0, false
	}
	switch {
	case v > 0:
		c.above++
	case v < 0:
		if c.below++; c.below == 1 {
			c.belowLine = r.t.Line()
		}
	}
	return v * scale, true
}

// refuseUnit reports, once for a column, that its unit is not told, or that it is one of power where energy is told or the
// other way round.
func (r *tableReader) refuseUnit(c *tableColumn, unit string) {
	if c.refused {
		return
	}
	c.refused = true
	kind, small, large := "energy", "Wh", "kWh"
	if !r.isEnergy {
		kind, small, large = "power", "W", "kW"
	}
	n := c.Index + 1
	switch {
	case c.direction == meter.ToGrid:
		r.t.Report(c.Index, fmt.Sprintf("leave it out: --column export=none; or name its unit: --column \"export=%d %s\"", n, large),
			"the unit is %s, want %s or %s, as beside the other column", orNotTold(unit), small, large)
	case unit == "w" || unit == "kw":
		r.t.Report(c.Index, fmt.Sprintf("say which: --column \"power=%d %s\" for the mean power, --column \"energy=%d kWh\" for the energy "+
			"of each interval", n, inFull[unit], n), "found the unit %s, one of power, but the head tells of energy", inFull[unit])
	case unit == "wh" || unit == "kwh" || unit == "mwh":
		r.t.Report(c.Index, fmt.Sprintf("say which: --column \"energy=%d %s\" for the energy of each interval, --column \"power=%d kW\" for "+
			"the mean power", n, inFull[unit], n), "found the unit %s, one of energy, but the head tells of power", inFull[unit])
	default:
		r.t.Report(c.Index, fmt.Sprintf("name it: --column \"%s=%d %s\"", kind, n, large),
			"the unit is not told: want %s or %s in the head of the column or behind each figure", small, large)
	}
}

// inFull are the units as they are written.
var inFull = map[string]string{"w": "W", "kw": "kW", "wh": "Wh", "kwh": "kWh", "mwh": "MWh"}

func orNotTold(unit string) string {
	if u := inFull[unit]; u != "" {
		return u
	}
	return "not told"
}

// turnExport makes what is fed into the grid positive where all of it is written with a minus; false if it has both signs,
// which was reported.
func (r *tableReader) turnExport(c *tableColumn) bool {
	switch {
	case c.below == 0:
		return true
	case c.above > 0:
		r.t.ReportAt(c.belowLine, c.Index, "leave it out: --column export=none",
			"found a figure below 0, and %d above: what is fed into the grid is told with a minus in all rows, or in none", c.above)
		return false
	}
	for i := range c.values {
		c.values[i] = -c.values[i]
	}
	return true
}

// moment is universal time, behind the last one that a row follows, or the time on the wall where neither table nor user tells how far it is from it.
func (r *tableReader) moment(wall, last int64, follows bool) int64 {
	if r.clock.HasOffset || r.o.Zone == nil || r.counted {
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
	if shows(first) && !(shows(second) && follows && first <= last) {
		return first
	}
	return second
}

// data makes channels of the rows.
func (r *tableReader) data() (*meter.Data, error) {
	out := &meter.Data{Format: meter.Table, Clock: r.houseClock(), LeftOut: r.leftOut}
	step := usual(r.times)
	if step == 0 {
		r.t.ReportAt(0, 0, "", "has fewer than two rows of readings: how long an interval is cannot be told")
		return nil, r.t.Err()
	}
	for _, c := range r.columns {
		if !r.turnExport(&c) || r.isEnergy && (r.refusesRate(&c, step) || r.refusesCount(&c)) {
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

// refusesRate reports a column of kWh/h, which is a mean power, unless it is the energy of an hour as well.
func (r *tableReader) refusesRate(c *tableColumn, step int64) bool {
	if step == hourS || !c.Has("wh h", "kwh h", "mwh h") ||
		slices.ContainsFunc(r.o.Columns, func(w tabular.Wish) bool { return w.Unit != "" }) {
		return false
	}
	n := c.Index + 1
	r.t.ReportAt(r.head, c.Index, fmt.Sprintf("say which: --column \"power=%d kW\" for the mean power, --column \"energy=%d kWh\" for "+
		"the energy of each interval", n, n), "found energy by the hour, but intervals of %g min: it may be their mean power",
		float64(step)/60)
	return true
}

// refusesCount reports a column that is the count of a register.
func (r *tableReader) refusesCount(c *tableColumn) bool {
	const hint = "give the difference of each two rows"
	is, falls, fall := c.counts()
	switch {
	case !is:
	case falls == 0:
		r.t.ReportAt(r.head, c.Index, hint,
			"found figures that rise row by row and never fall: the count of a register, want the energy of each interval")
	default:
		times := "once"
		if falls > 1 {
			times = fmt.Sprintf("%d times", falls)
		}
		r.t.ReportAt(int(r.lines[fall]), c.Index, hint+", and leave the figure blank where the count falls",
			"found figures that rise row by row and fall %s, first here: the count of a register that was exchanged or set back, "+
				"want the energy of each interval", times)
	}
	return is
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
