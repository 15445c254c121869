package tabular

import (
	"fmt"
	"math"
	"strconv"
	"strings"
	"time"

	"outlast/catalog/strict"
)

// A Clock reads the moments of a log, one after the other.
//
// It knows dates as 2024-05-31, 31/05/2024, 31.05.2024 and 05/31/2024 with a time of day behind them, times of day
// alone (the next day begins where they start anew), offsets from universal time, seconds since 1970, and seconds,
// minutes or hours since the start where the column has such a unit. Whether day or month stands first is told by the
// file: by a figure above 12, or by the change of dates.
type Clock struct {
	Unit      string // of a column of plain numbers: "s", "ms", "min" or "h"; "" for none
	HasDate   bool   // the moments have dates: they count from 1970, else from midnight or the start
	HasOffset bool   // and say how far they are from universal time
	DayEnds   bool   // one was written as 24:00, with which nothing begins

	Zone    ZoneTold // what the last moment tells of that
	OffsetS float64  // of the last moment, seconds east, where it is ZoneOffset

	dates   dates
	date    string  // the last date, as it stood
	dateS   float64 // and the seconds at which it begins
	last    float64
	started bool
	back    float64 // seconds by which the clock was set back on the way
	days    float64 // times of day alone: seconds of the days that are over
}

// ZoneTold is what a moment tells of the clock it was read from.
type ZoneTold uint8

// The ways: nothing, that it is universal time, or how far a clock is from that.
const (
	ZoneNone ZoneTold = iota
	ZoneUniversal
	ZoneOffset
)

// NewClock reads the moments of a column. order is "dmy" or "mdy", of dates with the year behind, or "": then the table
// tells.
func (t *Table) NewClock(c Column, order string) *Clock {
	k := &Clock{Unit: c.Unit, dates: dates{order: t.dates.order, alone: true}}
	if order != "" {
		k.dates.order = order
	}
	return k
}

// Moment reads the moment in a column of the row. ok is false if something was reported.
func (t *Table) Moment(k *Clock, col int) (s float64, ok bool) {
	return t.MomentOf(k, col, t.Cell(col))
}

// MomentOf reads a moment that is put together of several columns, as if it stood in one.
func (t *Table) MomentOf(k *Clock, col int, c Cell) (s float64, ok bool) {
	s, msg := k.read(c, func() (float64, string) {
		v, behind, msg, _ := t.signs.number(c, col)
		if behind != "" {
			msg = "found " + strict.Quote(c.Text)
		}
		return v, msg
	})
	if msg != "" {
		t.Report(col, "", "%s", msg)
		return 0, false
	}
	return s, true
}

const dayS = 86_400

// read gives seconds of a moment; msg says what is wrong.
func (c *Clock) read(cell Cell, number func() (float64, string)) (s float64, msg string) {
	text := cell.Text
	switch {
	case text == "":
		return 0, "found no time"
	case c.Unit == "" && compact(text) != "", !cell.Typed && (strings.IndexByte(text, ':') > 0 || dateLike(text)):
		s, msg = c.moment(text)
	default:
		var v float64
		if v, msg = number(); msg == "" {
			s, msg = c.plain(text, v)
		}
	}
	if msg == "" {
		c.last, c.started = s, true
	}
	return s + c.back, msg
}

// SetBack tells the clock that it was set back, as at the end of daylight saving: the moments that follow count on.
func (c *Clock) SetBack(seconds float64) { c.back += seconds }

// dateLike says whether a text begins as a date: two signs that divide figures.
func dateLike(text string) bool {
	signs := 0
	for i := 0; i < len(text) && i < 10; i++ {
		if text[i] == '-' && i > 0 || text[i] == '/' || text[i] == '.' {
			signs++
		} else if !isDigit(text[i]) {
			break
		}
	}
	return signs == 2
}

// compact spells a date out that is written without signs, 20240531, with a time of day behind it or not: 202405311804. It
// is "" where there is none: seconds since 1970 have ten digits, and milliseconds thirteen since 2001.
func compact(text string) string {
	n := digitsAtStart(text)
	if (n != 8 && n != 12 && n != 14) || text[:2] != "19" && text[:2] != "20" || text[4:6] > "12" || text[6:8] > "31" {
		return ""
	}
	if n < len(text) && text[n] != ' ' && text[n] != 'T' && text[n] != 'Z' {
		return ""
	}
	between := ""
	if n > 8 {
		between = " "
	}
	return text[:4] + "-" + text[4:6] + "-" + text[6:8] + between + text[8:]
}

func digitsAtStart(text string) int {
	n := 0
	for n < len(text) && isDigit(text[n]) {
		n++
	}
	return n
}

// dated says whether a text begins as a date of either kind.
func dated(text string) bool { return dateLike(text) || compact(text) != "" }

// plain reads seconds, minutes or hours, or seconds since 1970.
func (c *Clock) plain(text string, v float64) (float64, string) {
	if math.Abs(v) > 1e15 {
		return 0, "found " + strict.Quote(text) + ", want a time such as 2024-05-31 18:04:05"
	}
	const since1970, in1970 = 3e8, 1e11 // 1979 on; in milliseconds 1973 on
	switch {
	case c.Unit == "ms" && v < in1970:
		return v / 1000, ""
	case c.Unit == "min" || c.Unit == "minute" || c.Unit == "minutes":
		return v * 60, ""
	case c.Unit == "h" || c.Unit == "hours":
		return v * 3600, ""
	case v >= in1970:
		c.HasDate, c.HasOffset, c.Zone = true, true, ZoneUniversal
		return v / 1000, ""
	case v >= since1970:
		c.HasDate, c.HasOffset, c.Zone = true, true, ZoneUniversal
		return v, ""
	case c.Unit == "s" || c.Unit == "sec" || c.Unit == "seconds":
		return v, ""
	}
	const days1990, days2100 = 32874, 73051 // as spreadsheets count them
	said := "found " + strict.Quote(text) +
		", a number whose unit the column does not tell, want a time such as 2024-05-31 18:04:05, " +
		"or seconds with s in the head of the column"
	if v >= days1990 && v < days2100 {
		said += "; if it is a date, have the spreadsheet show it as one"
	}
	return 0, said
}

// moment reads a date, a time of day, or both.
func (c *Clock) moment(text string) (float64, string) {
	if spelled := compact(text); spelled != "" {
		text = spelled
	}
	date, clock := "", text
	if dateLike(text) {
		end := strings.IndexAny(text, "T t")
		if end < 0 {
			end = len(text)
		}
		date, clock = text[:end], strings.TrimLeft(text[end:], "Tt ,")
	}
	day := c.days
	if date != "" {
		if date != c.date {
			s, msg := c.dateOf(date)
			if msg != "" {
				return 0, msg
			}
			c.date, c.dateS, c.HasDate = date, s, true
		}
		day = c.dateS
	}
	sec, offset, zone, ok := timeOfDay(beginning(clock))
	if !ok {
		return 0, "found " + strict.Quote(text) + ", want a time such as 2024-05-31 18:04:05"
	}
	c.Zone, c.OffsetS = zone, offset
	c.DayEnds = c.DayEnds || strings.HasPrefix(clock, "24")
	c.HasOffset = c.HasOffset || zone != ZoneNone
	s := day + sec - offset
	if date == "" && c.started && s < c.last-dayS/2 { // midnight
		c.days += dayS
		s += dayS
	}
	return s, ""
}

// dateOf gives the seconds from 1970 to the beginning of a date.
func (c *Clock) dateOf(text string) (float64, string) {
	wrong := "found " + strict.Quote(text) + ", want a date such as 2024-05-31"
	n, ok := datePartsOf(text)
	if !ok {
		return 0, wrong
	}
	y, m, d := n[0], n[1], n[2]
	if n[0] < 1000 {
		order, msg := c.order(text, n[0], n[1], n[2])
		if msg != "" {
			return 0, msg
		}
		if y, m, d = n[2], n[1], n[0]; order == "mdy" {
			d, m = m, d
		}
	}
	t := time.Date(y, time.Month(m), d, 0, 0, 0, 0, time.UTC)
	if t.Day() != d || int(t.Month()) != m || y < 1970 || y > 2200 {
		return 0, wrong
	}
	return float64(t.Unix()), ""
}

// Undecided says whether a single date was met that may begin with the day or the month; it was read as day first.
func (c *Clock) Undecided() bool {
	return c.dates.order == "" && c.dates.seen[0] != c.dates.seen[1]
}

// undecided is what is said of a date then.
func undecided(text string) string {
	return fmt.Sprintf("found the date %s, and whether dates begin with the day or the month is not told: "+
		"say which with --dates dmy or --dates mdy", strict.Quote(text))
}

// order decides whether day or month stands first. As long as one date alone was met it is no matter: only the calendar
// would differ, which matters to who asks [Clock.Undecided].
func (c *Clock) order(text string, a, b, y int) (string, string) {
	was := c.dates
	c.dates.see(text, a, b, y)
	switch {
	case c.dates.order == "dmy" || c.dates.order == "" && c.dates.alone:
		return "dmy", ""
	case c.dates.order == "mdy" && was.order == "" && was.alone && was.seen != [3]int{}: // the moments before were read as day first
	case c.dates.order == "mdy":
		return "mdy", ""
	}
	return "", undecided(text)
}

// dates is what is known of the order of day and month.
type dates struct {
	order string // "dmy", "mdy"; "": not proved
	seen  [3]int // the last date as it stands, the year last
	alone bool   // no other date was met
}

// see takes a date into account whose year stands last.
func (d *dates) see(text string, a, b, y int) {
	now := [3]int{a, b, y}
	if d.order != "" || now == d.seen {
		return
	}
	prev := d.seen
	d.alone, d.seen = prev == [3]int{}, now
	dayFirst := func(x [3]int) time.Time { return time.Date(x[2], time.Month(x[1]), x[0], 0, 0, 0, 0, time.UTC) }
	monthFirst := func(x [3]int) time.Time { return time.Date(x[2], time.Month(x[0]), x[1], 0, 0, 0, 0, time.UTC) }
	// The newest may stand first: the next day then comes before.
	next := func(from, to time.Time) bool { return to.Sub(from).Abs() == dayS*time.Second }
	switch {
	case strings.Contains(text, "."), a > 12: // points are written where the day stands first
		d.order = "dmy"
	case b > 12:
		d.order = "mdy"
	case d.alone:
	case next(dayFirst(prev), dayFirst(now)) && !next(monthFirst(prev), monthFirst(now)):
		d.order = "dmy"
	case next(monthFirst(prev), monthFirst(now)) && !next(dayFirst(prev), dayFirst(now)):
		d.order = "mdy"
	}
}

// look takes the dates of a row into account.
func (d *dates) look(cells []Cell) {
	for _, c := range cells {
		if d.order != "" || c.Typed || !dateLike(c.Text) {
			continue
		}
		text, _, _ := strings.Cut(c.Text, " ")
		text, _, _ = strings.Cut(text, "T")
		if n, ok := datePartsOf(text); ok && n[0] < 1000 {
			d.see(text, n[0], n[1], n[2])
		}
	}
}

// datePartsOf are the three numbers of a date as they stand.
func datePartsOf(text string) (n [3]int, ok bool) {
	parts := strings.FieldsFunc(text, func(r rune) bool { return r == '-' || r == '/' || r == '.' })
	if len(parts) != 3 {
		return n, false
	}
	for i, p := range parts {
		v, err := strconv.Atoi(p)
		if err != nil || len(p) > 4 {
			return n, false
		}
		n[i] = v
	}
	if len(parts[2]) == 2 && len(parts[0]) < 4 {
		n[2] += 2000
	}
	return n, true
}

// beginning is the first time of two with a dash between them, from when to when: "18:00 - 18:15".
func beginning(text string) string {
	for _, dash := range []string{" - ", "–", "—"} {
		if from, to, ok := strings.Cut(text, dash); ok {
			if to = trimmed(to); to != "" && isDigit(to[0]) {
				return trimmed(from)
			}
		}
	}
	return text
}

// withoutEnd is the beginning of a time of day that stands alone in its column, where no blanks are around the dash. Behind
// a date the same signs tell an offset: 2024-05-31 18:00-05:00.
func withoutEnd(text string) string {
	from, to, ok := strings.Cut(text, "-")
	if _, rest, is := clockParts(from); !ok || !is || rest != "" || strings.Count(from, ":") != 1 {
		return text
	}
	if _, rest, is := clockParts(to); !is || rest != "" || strings.Count(to, ":") != 1 {
		return text
	}
	return from
}

// timeOfDay reads "18:04", "18:04:05", "18:04:05.250", "6:04:05 PM", "18h04", "18:04 Uhr", "1804", with "Z" or "+02:00"
// behind it; nothing is midnight.
func timeOfDay(text string) (s, offset float64, zone ZoneTold, ok bool) {
	if text == "" {
		return 0, 0, ZoneNone, true
	}
	part, rest, ok := clockParts(text)
	if !ok {
		return 0, 0, ZoneNone, false
	}
	if half := halfOfDay(rest); half != 0 {
		if part[0] < 1 || part[0] > 12 {
			return 0, 0, ZoneNone, false
		}
		part[0] = math.Mod(part[0], 12)
		if half == 'p' {
			part[0] += 12
		}
		rest = ""
	}
	switch {
	case rest == "", strings.EqualFold(rest, "uhr"), strings.EqualFold(rest, "h"), strings.EqualFold(rest, "hrs"):
	case rest == "Z" || rest == "z" || rest == "UTC":
		zone = ZoneUniversal
	case rest[0] == '+' || rest[0] == '-':
		if offset, ok = clockOffset(rest); !ok {
			return 0, 0, ZoneNone, false
		}
		zone = ZoneOffset
	default:
		return 0, 0, ZoneNone, false
	}
	return part[0]*3600 + part[1]*60 + part[2], offset, zone, true
}

// clockParts are hours, minutes and seconds, of which the last may be missing or have decimals, and what stands behind
// them.
func clockParts(text string) (part [3]float64, rest string, ok bool) {
	if n := digitsAtStart(text); n == 4 || n == 6 { // without signs
		spelled := text[:2] + ":" + text[2:4]
		if n == 6 {
			spelled += ":" + text[4:6]
		}
		text = spelled + text[n:]
	}
	n, i := 0, 0
	for ; n < 3; n++ {
		first := i
		v := 0.0
		for i < len(text) && isDigit(text[i]) && i-first < 2 {
			v = v*10 + float64(text[i]-'0')
			i++
		}
		if i == first {
			return part, "", false
		}
		part[n] = v
		if i < len(text) && n < 2 && (text[i] == ':' || n == 0 && (text[i] == 'h' || text[i] == 'H')) {
			i++
			continue
		}
		n++
		break
	}
	if n < 2 {
		return part, "", false
	}
	if i < len(text) && (text[i] == '.' || text[i] == ',') && n == 3 {
		scale := 0.1
		for i++; i < len(text) && isDigit(text[i]); i++ {
			part[2] += float64(text[i]-'0') * scale
			scale /= 10
		}
	}
	if part[1] >= 60 || part[2] >= 61 || part[0] > 24 || part[0] == 24 && part[1]+part[2] > 0 {
		return part, "", false
	}
	return part, trimmed(text[i:]), true
}

// halfOfDay is 'a' or 'p' for AM or PM, a.m. or p. m., and 0 for anything else.
func halfOfDay(text string) byte {
	if len(text) > 12 || text == "" {
		return 0
	}
	switch strings.NewReplacer(".", "", " ", "", "\u00a0", "", "\u202f", "").Replace(strings.ToLower(text)) {
	case "am":
		return 'a'
	case "pm":
		return 'p'
	}
	return 0
}

// clockOffset is how many seconds a clock is ahead of UTC, by a text such as +02:00, -0500 or +1.
func clockOffset(text string) (s float64, ok bool) {
	h, m, cut := strings.Cut(text[1:], ":")
	if !cut && len(h) == 4 {
		h, m = h[:2], h[2:]
	}
	hours, err := strconv.Atoi(h)
	minutes, err2 := 0, error(nil)
	if m != "" {
		minutes, err2 = strconv.Atoi(m)
	}
	if err != nil || err2 != nil || hours > 14 || hours < 0 || minutes > 59 || minutes < 0 {
		return 0, false
	}
	s = float64(hours*3600 + minutes*60)
	if text[0] == '-' {
		s = -s
	}
	return s, true
}
