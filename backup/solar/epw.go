package solar

import (
	"bufio"
	"bytes"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"strings"
	"unicode/utf8"

	"outlast/backup/phrase"
)

// An EPW is an EnergyPlus weather file, as far as a PV array cares: [EPW.Weather] makes a year of it.
type EPW struct {
	City, Region, Country, Source string
	Station                       string // WMO number; text, since zeros lead it
	Place                         Place
	ElevationM                    float64
	Hours                         []EPWHour // 8,760 or, with 29 February, 8,784, in the order of the rows
	Cautions                      []phrase.Phrase
}

// An EPWHour is one row. Radiation is Wh/m2 over the hour that ends at Hour; whatever Missing names is 0.
type EPWHour struct {
	Year, Month, Day, Hour              int // Hour 1..24, local standard time
	AirC                                float64
	GlobalWhM2, DirectWhM2, DiffuseWhM2 float64 // horizontal, normal to the sun, horizontal
	Missing                             EPWField
}

// EPWField is a set of columns.
type EPWField uint8

// The columns that are read, beside the time.
const (
	EPWAir EPWField = 1 << iota
	EPWGlobal
	EPWDirect
	EPWDiffuse
)

// An EPWError says where a weather file is wrong. Column counts the commas, from 1, and is 0 where the whole line is
// meant; Line is the last line where the file ends too soon.
type EPWError struct {
	Line, Column int
	Found, Want  string
}

// Error gives line, column, what was found and what is wanted.
func (e *EPWError) Error() string { return errs.Of(e.Reason()).Error() }

// Reason is what is wrong, without the package that found it.
func (e *EPWError) Reason() error {
	at := fmt.Sprintf("line %d", e.Line)
	if e.Column > 0 {
		at += fmt.Sprintf(", column %d", e.Column)
	}
	return fmt.Errorf("weather file, %s: found %s, want %s", at, e.Found, e.Want)
}

const (
	epwColumns   = 35
	leapDayHour  = (31 + 28) * 24 // hours before 29 February
	epwLongLine  = 64 << 10       // bytes; real header lines stay below 2 kB
	epwFoundText = 40             // runes of a cell that an error quotes
)

// epwHeader are the first words of the eight header rows, in their order. Files in use end the fifth with and without
// an S, so the beginning is what counts.
var epwHeader = [8]string{"LOCATION", "DESIGN CONDITIONS", "TYPICAL/EXTREME PERIODS", "GROUND TEMPERATURES",
	"HOLIDAYS/DAYLIGHT SAVING", "COMMENTS 1", "COMMENTS 2", "DATA PERIODS"}

// ReadEPW reads a weather file: eight header rows, then 8,760 or 8,784 hourly rows of 35 columns.
//
// It is strict with what it uses and forgiving where real files are odd: text that is not UTF-8 (read as Latin-1), a
// byte order mark, CRLF, blank lines at the end, years that jump from month to month (a typical year is a
// patchwork), 0 or 60 as the minute, -0.00 of radiation, and the marks for missing values. It stops at the first
// error, an [*EPWError] unless r itself failed.
//
// Source: EnergyPlus, Auxiliary Programs, "EnergyPlus Weather File (EPW) Data Dictionary".
func ReadEPW(r io.Reader) (*EPW, error) {
	lines := epwLines{s: bufio.NewScanner(r)}
	lines.s.Buffer(make([]byte, 0, 4096), epwLongLine)
	f := new(EPW)
	for i, keyword := range epwHeader {
		text, ok := lines.next()
		if err := lines.err(); err != nil {
			return nil, err
		}
		cells := headerCells(text)
		if !ok || !strings.HasPrefix(strings.ToUpper(strings.TrimSpace(cells[0])), keyword) {
			return nil, lines.fault(1, quoted(cells[0]), fmt.Sprintf("header row %d, %s", i+1, keyword))
		}
		if err := f.header(&lines, keyword, cells); err != nil {
			return nil, err
		}
	}
	f.Hours = make([]EPWHour, 0, HoursPerYear)
	if err := f.rows(&lines); err != nil {
		return nil, err
	}
	f.lookForGaps()
	return f, nil
}

// header takes what is of use from one of the header rows.
func (f *EPW) header(lines *epwLines, keyword string, cells []string) error {
	switch keyword {
	case "LOCATION":
		if len(cells) < 10 {
			return lines.fault(0, fmt.Sprintf("%d columns", len(cells)), "at least 10")
		}
		f.City, f.Region, f.Country, f.Source, f.Station = cells[1], cells[2], cells[3], cells[4], cells[5]
		return lines.numbers(cells, []epwNumber{
			{7, "latitude", -90, 90, &f.Place.LatitudeDeg}, {8, "longitude", -180, 180, &f.Place.LongitudeDeg},
			{9, "time zone", -12, 14, &f.Place.UTCOffsetH}, {10, "elevation", -1000, 9999.9, &f.ElevationM},
		})
	case "DATA PERIODS":
		if len(cells) < 3 {
			return lines.fault(0, fmt.Sprintf("%d columns", len(cells)), "at least 3")
		}
		var periods, perHour float64
		return lines.numbers(cells, []epwNumber{
			{2, "number of periods, no other is read", 1, 1, &periods},
			{3, "records in an hour, no other is read", 1, 1, &perHour},
		})
	}
	return nil
}

// rows reads everything after the header.
func (f *EPW) rows(lines *epwLines) error {
	blank := 0
	want := EPWHour{Month: 1, Day: 1, Hour: 1}
	for {
		text, ok := lines.next()
		if err := lines.err(); err != nil {
			return err
		}
		switch {
		case !ok && want.Month == 13:
			return nil
		case !ok:
			return lines.fault(0, fmt.Sprintf("the end of the file after %d hours", len(f.Hours)), "8760 or 8784 hours")
		case strings.TrimSpace(text) == "":
			blank = max(blank, lines.n)
			continue
		case blank > 0:
			return lines.fault(0, fmt.Sprintf("data after blank line %d", blank), "blank lines at the end only")
		case want.Month == 13:
			return lines.fault(0, fmt.Sprintf("a row after %d hours", len(f.Hours)), "the end of the file")
		}
		h, err := lines.row(text)
		if err != nil {
			return err
		}
		if len(f.Hours) == leapDayHour && h.Month == 2 && h.Day == 29 {
			want.Month, want.Day = 2, 29
		}
		if h.Month != want.Month || h.Day != want.Day || h.Hour != want.Hour {
			return lines.fault(2, fmt.Sprintf("month %d, day %d, hour %d", h.Month, h.Day, h.Hour),
				fmt.Sprintf("month %d, day %d, hour %d", want.Month, want.Day, want.Hour))
		}
		f.Hours = append(f.Hours, h)
		want = want.following()
	}
}

// following returns the time after h in the 365-day year; 29 February is followed by 1 March, and the year by month 13.
func (h EPWHour) following() EPWHour {
	if h.Hour++; h.Hour <= 24 {
		return h
	}
	h.Hour, h.Day = 1, h.Day+1
	if h.Day > monthDays[h.Month-1] {
		h.Day, h.Month = 1, h.Month+1
	}
	return h
}

// epwLines hands out lines and remembers where it is.
type epwLines struct {
	s *bufio.Scanner
	n int // number of the line handed out last
}

func (l *epwLines) next() (text string, ok bool) {
	if !l.s.Scan() {
		return "", false
	}
	l.n++
	line := l.s.Bytes()
	if l.n == 1 {
		line = bytes.TrimPrefix(line, []byte("\ufeff"))
	}
	return toUTF8(line), true
}

// err returns what ended the reading, if it was not the end.
func (l *epwLines) err() error {
	err := l.s.Err()
	if errors.Is(err, bufio.ErrTooLong) {
		return &EPWError{Line: l.n + 1, Found: fmt.Sprintf("a line of more than %d bytes", epwLongLine),
			Want: "a weather file"}
	}
	if err != nil {
		return errs.Errorf("weather file, after line %d: %w", l.n, err)
	}
	return nil
}

func (l *epwLines) fault(column int, found, want string) *EPWError {
	return &EPWError{Line: l.n, Column: column, Found: found, Want: want}
}

// toUTF8 reads bytes that are not UTF-8 as Latin-1: station names of older files are.
func toUTF8(line []byte) string {
	if utf8.Valid(line) {
		return string(line)
	}
	var b strings.Builder
	for _, c := range line {
		b.WriteRune(rune(c))
	}
	return b.String()
}

// headerCells splits a header row, which may quote a text with commas in it; there is always a first cell.
func headerCells(text string) []string {
	r := csv.NewReader(strings.NewReader(text))
	r.LazyQuotes, r.TrimLeadingSpace = true, true
	cells, err := r.Read()
	if err != nil || len(cells) == 0 {
		cells = strings.Split(text, ",")
	}
	for i := range cells {
		cells[i] = strings.TrimSpace(cells[i])
	}
	return cells
}

// quoted shows a cell in an error, cut short.
func quoted(cell string) string {
	if runes := []rune(cell); len(runes) > epwFoundText {
		cell = string(runes[:epwFoundText]) + "..."
	}
	return fmt.Sprintf("%q", cell)
}
