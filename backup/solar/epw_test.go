package solar

import (
	"errors"
	"fmt"
	"io"
	"math"
	"slices"
	"strings"
	"testing"
	"testing/iotest"

	"outlast/backup/phrase"
)

// epwFile makes weather files for tests: an invented place, eight header rows and 8,760 rows of the same cold, dark
// hour.
type epwFile []string

func newEPW() epwFile {
	f := epwFile{
		"LOCATION,Testham,XX,Nowhere,Invented,001234,36.10,-79.95,-5.0,270.0",
		"DESIGN CONDITIONS,0",
		"TYPICAL/EXTREME PERIODS,0",
		"GROUND TEMPERATURES,0",
		"HOLIDAYS/DAYLIGHT SAVINGS,No,0,0,0",
		`COMMENTS 1,"Made for a test, with a comma"`,
		"COMMENTS 2,",
		"DATA PERIODS,1,1,Data,Sunday, 1/ 1,12/31",
	}
	for m, days := range monthDays {
		for d := range days {
			for h := range 24 {
				f = append(f, epwRow(2001+m, m+1, d+1, h+1, "-3.5", "0", "0", "0"))
			}
		}
	}
	return f
}

func epwRow(year, month, day, hour int, air, global, direct, diffuse string) string {
	return fmt.Sprintf("%d,%d,%d,%d,60,?9?9_E0*9,%s,-5.0,80,99000,0,0,250,%s,%s,%s,0,0,0,0,180,2.0,5,5,9999,99999,9,999999999,999,0.999,999,99,999,999,99",
		year, month, day, hour, air, global, direct, diffuse)
}

// cell replaces one cell: line and column count from 1, as errors do.
func (f epwFile) cell(line, column int, text string) epwFile {
	f = slices.Clone(f)
	f.set(line, column, text)
	return f
}

// set is cell in place, for many cells of one file.
func (f epwFile) set(line, column int, text string) {
	cells := strings.Split(f[line-1], ",")
	cells[column-1] = text
	f[line-1] = strings.Join(cells, ",")
}

// row sets the measures of a day of the year and an hour, both from 0.
func (f epwFile) row(day, hour int, air, global, direct, diffuse string) {
	for i, text := range []string{air, global, direct, diffuse} {
		f.set(9+day*24+hour, []int{7, 14, 15, 16}[i], text)
	}
}

func (f epwFile) text() string { return strings.Join(f, "\n") + "\n" }

func readEPW(t *testing.T, text string) *EPW {
	t.Helper()
	f, err := ReadEPW(strings.NewReader(text))
	if err != nil {
		t.Fatal(err)
	}
	return f
}

func TestReadEPW(t *testing.T) {
	file := newEPW()
	file.row(1, 12, "7.25", "512", "600.5", "99")
	f := readEPW(t, file.text())
	if f.City != "Testham" || f.Region != "XX" || f.Country != "Nowhere" || f.Source != "Invented" ||
		f.Station != "001234" {
		t.Errorf("%q %q %q %q %q", f.City, f.Region, f.Country, f.Source, f.Station)
	}
	if want := (Place{36.10, -79.95, -5}); f.Place != want || f.ElevationM != 270 {
		t.Errorf("%+v at %g m", f.Place, f.ElevationM)
	}
	if len(f.Hours) != 8760 {
		t.Fatalf("%d hours", len(f.Hours))
	}
	if want := (EPWHour{2001, 1, 2, 13, 7.25, 512, 600.5, 99, 0}); f.Hours[36] != want {
		t.Errorf("%+v, want %+v", f.Hours[36], want)
	}
	if last := f.Hours[8759]; last.Month != 12 || last.Day != 31 || last.Hour != 24 || last.Year != 2012 {
		t.Errorf("last hour %+v", last)
	}
}

func TestReadEPWForgives(t *testing.T) {
	plain := newEPW()
	want := readEPW(t, plain.text())
	leap := slices.Insert(slices.Clone(plain), 8+leapDayHour, make([]string, 24)...)
	for h := range 24 {
		leap[8+leapDayHour+h] = epwRow(2004, 2, 29, h+1, "20", "0", "0", "0")
	}
	for name, text := range map[string]string{
		"CRLF":                   strings.ReplaceAll(plain.text(), "\n", "\r\n"),
		"no line end at the end": strings.TrimSuffix(plain.text(), "\n"),
		"blank lines at the end": plain.text() + "\n  \r\n\n",
		"byte order mark":        "\ufeff" + plain.text(),
		"other fifth header":     strings.Replace(plain.text(), "DAYLIGHT SAVINGS", "DAYLIGHT SAVING", 1),
		"minute 0":               strings.ReplaceAll(plain.text(), ",60,?", ",0,?"),
		"radiation below zero":   plain.cell(100, 14, "-0.00").cell(101, 15, "-3").cell(102, 16, "-1e-3").text(),
		"blanks in cells":        plain.cell(1, 7, " 36.10 ").cell(500, 7, " -3.5").text(),
	} {
		got, err := ReadEPW(strings.NewReader(text))
		if err != nil {
			t.Errorf("%s: %v", name, err)
			continue
		}
		if !slices.Equal(got.Hours, want.Hours) || got.Place != want.Place || got.City != want.City {
			t.Errorf("%s: the file reads differently", name)
		}
	}
	// Negative zero is not equal to zero in print.
	if v := readEPW(t, plain.cell(100, 14, "-0.00").text()).Hours[91].GlobalWhM2; math.Signbit(v) {
		t.Error("-0.00 stays negative")
	}
	if f := readEPW(t, plain.cell(1, 2, "Montr\xe9al").text()); f.City != "Montréal" {
		t.Errorf("Latin-1 city reads %q", f.City)
	}
	if f := readEPW(t, plain.cell(1, 2, `"Testham, Upper"`).text()); f.City != "Testham, Upper" {
		t.Errorf("quoted city reads %q", f.City)
	}

	f := readEPW(t, leap.text())
	if len(f.Hours) != 8784 || f.Hours[leapDayHour].AirC != 20 {
		t.Fatalf("leap year: %d hours", len(f.Hours))
	}
	w, err := f.Weather()
	if err != nil {
		t.Fatal(err)
	}
	if _, hottest := w.AirRangeC(); hottest != -3.5 {
		t.Errorf("29 February is still there: %g C", hottest)
	}
}

func TestReadEPWRefuses(t *testing.T) {
	plain := newEPW()
	twoLeapDays := slices.Clone(plain)
	for range 2 {
		day := make([]string, 24)
		for h := range day {
			day[h] = epwRow(2004, 2, 29, h+1, "20", "0", "0", "0")
		}
		twoLeapDays = slices.Insert(twoLeapDays, 8+leapDayHour, day...)
	}
	tests := []struct {
		name, text   string
		line, column int
		msg          string
	}{
		{"empty", "", 0, 1, `found "", want header row 1, LOCATION`},
		{"another file", "{\"a\": 1}\n", 1, 1, `want header row 1, LOCATION`},
		{"header in another order", strings.Replace(plain.text(), "COMMENTS 1", "COMMENTS 2", 1), 6, 1,
			`found "COMMENTS 2", want header row 6, COMMENTS 1`},
		{"short location", "LOCATION,Testham\n", 1, 0, "found 2 columns, want at least 10"},
		{"latitude", plain.cell(1, 7, "136.1").text(), 1, 7, `found "136.1", want latitude, -90 to 90`},
		{"time zone", plain.cell(1, 9, "EST").text(), 1, 9, `found "EST", want time zone, -12 to 14`},
		{"quarter hours", plain.cell(8, 3, "4").text(), 8, 3,
			`found "4", want 1 (records in an hour, no other is read)`},
		{"two periods", plain.cell(8, 2, "2").text(), 8, 2, `found "2", want 1 (number of periods`},
		{"month", plain.cell(9, 2, "13").text(), 9, 2, `found "13", want month, 1 to 12`},
		{"hour", plain.cell(9, 4, "0").text(), 9, 4, `found "0", want hour, 1 to 24`},
		{"half a day", plain.cell(9, 3, "1.5").text(), 9, 3, `found "1.5", want day, 1 to 31`},
		{"dry bulb", plain.cell(777, 7, "warm").text(), 777, 7,
			`found "warm", want dry bulb, C, -70 to 70, or 99.9 for none`},
		{"too hot", plain.cell(777, 7, "71").text(), 777, 7, `found "71"`},
		{"nan", plain.cell(777, 14, "NaN").text(), 777, 14, `found "NaN", want global horizontal radiation`},
		{"infinite", plain.cell(777, 15, "Inf").text(), 777, 15, `found "Inf", want direct normal radiation`},
		{"hexadecimal", plain.cell(777, 16, "0x10").text(), 777, 16, `found "0x10", want diffuse horizontal radiation`},
		{"too bright", plain.cell(777, 14, "2001").text(), 777, 14, `found "2001"`},
		{"far below zero", plain.cell(777, 14, "-11").text(), 777, 14, `found "-11"`},
		{"empty cell", plain.cell(777, 14, "").text(), 777, 14, `found ""`},
		{"a long cell", plain.cell(777, 7, strings.Repeat("x", 500)).text(), 777, 7, strings.Repeat("x", 40) + `..."`},
		{"a missing row", slices.Delete(slices.Clone(plain), 99, 100).text(), 100, 2,
			"found month 1, day 4, hour 21, want month 1, day 4, hour 20"},
		{"second leap day", twoLeapDays.text(), 9 + leapDayHour + 24, 2,
			"found month 2, day 29, hour 1, want month 3, day 1, hour 1"},
		{"half a leap day", slices.Delete(slices.Clone(twoLeapDays), 8+leapDayHour+12, 8+leapDayHour+48).text(),
			9 + leapDayHour + 12, 2, "want month 2, day 29, hour 13"},
		{"cut off", plain[:5000].text(), 5000, 0,
			"found the end of the file after 4992 hours, want 8760 or 8784 hours"},
		{"no data", plain[:8].text(), 8, 0, "found the end of the file after 0 hours"},
		{"a row too many", plain.text() + plain[8] + "\n", 8769, 0,
			"found a row after 8760 hours, want the end of the file"},
		{"a blank line within", slices.Insert(slices.Clone(plain), 1000, "").text(), 1002, 0,
			"found data after blank line 1001"},
		{"an endless line", plain[:1000].text() + strings.Repeat("9,", epwLongLine), 1001, 0,
			"found a line of more than 65536 bytes"},
	}
	for _, tt := range tests {
		f, err := ReadEPW(strings.NewReader(tt.text))
		var where *EPWError
		if f != nil || !errors.As(err, &where) {
			t.Errorf("%s: %v, error %v; want an EPWError", tt.name, f, err)
			continue
		}
		if where.Line != tt.line || where.Column != tt.column || !strings.Contains(err.Error(), tt.msg) {
			t.Errorf("%s: %v\nwant line %d, column %d, %s", tt.name, err, tt.line, tt.column, tt.msg)
		}
	}
	// A column too few or too many anywhere in a row.
	for _, text := range []string{strings.Replace(plain[776], ",99000", "", 1), plain[776] + ",0"} {
		f := slices.Clone(plain)
		f[776] = text
		_, err := ReadEPW(strings.NewReader(f.text()))
		if want := fmt.Sprintf("solar: weather file, line 777: found %d columns, want 35",
			strings.Count(text, ",")+1); err == nil || err.Error() != want {
			t.Errorf("error %v, want %s", err, want)
		}
	}
}

func TestReadEPWPassesOnFailures(t *testing.T) {
	broken := errors.New("the disk is gone")
	_, err := ReadEPW(io.MultiReader(strings.NewReader(newEPW()[:100].text()), iotest.ErrReader(broken)))
	if !errors.Is(err, broken) || !strings.Contains(err.Error(), "after line 100") {
		t.Errorf("error %v", err)
	}
}

func TestDarkDaysAreACaution(t *testing.T) {
	file := newEPW()
	for d := range 365 {
		if d != 136 && d != 137 {
			file.row(d, 12, "10", "300", "200", "150")
		}
	}
	f := readEPW(t, file.text())
	want := "no radiation at all on 2 days (month-day 5-17, 5-18): the weather file may code gaps as zero"
	if !slices.Equal(phrase.Strings(f.Cautions), []string{want}) {
		t.Errorf("cautions %q, want %q", f.Cautions, want)
	}
	// Beyond the polar circle dark days are winter.
	if f := readEPW(t, file.cell(1, 7, "70").text()); f.Cautions != nil {
		t.Errorf("cautions %q in the Arctic", f.Cautions)
	}
	// Days that are said to be missing are not dark.
	for d := range 24 {
		file.row(136, d, "10", "9999", "9999", "9999")
		file.row(137, d, "10", "99990", "9999", "9999")
	}
	if f := readEPW(t, file.text()); f.Cautions != nil {
		t.Errorf("cautions %q for marked gaps", f.Cautions)
	}
}
