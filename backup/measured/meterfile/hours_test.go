package meterfile_test

import (
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"

	"outlast/backup/measured/meter"
	"outlast/backup/measured/meterfile"
)

// A year of hours that are counted through each day: each hour of the clock takes a figure of its own, so that one that is
// read an hour off shows.
func TestHoursOfAYear(t *testing.T) {
	zone, err := time.LoadLocation("Europe/Madrid")
	if err != nil {
		t.Skip("no time zones on this machine:", err)
	}
	wh := func(hour int) int { return 200 + hour*hour }
	var rows []string
	var sum float64
	day, number := 0, 0
	for at := time.Date(2024, 1, 1, 0, 0, 0, 0, zone); at.Year() == 2024; at = at.Add(time.Hour) {
		if at.YearDay() != day {
			day, number = at.YearDay(), 0
		}
		number++
		sum += float64(wh(at.Hour()))
		rows = append(rows, fmt.Sprintf("%s;%d;0,%03d\n", at.Format("02/01/2006"), number, wh(at.Hour())))
	}
	upward := slices.Clone(rows)
	slices.Reverse(upward)
	for _, c := range []struct {
		name, head string
		rows       []string
		zone       *time.Location
	}{
		{"the place is told", "Fecha;Hora;AE_kWh", rows, zone},
		{"the days tell the changes", "Fecha;Hora;AE_kWh", rows, nil},
		{"newest first", "Fecha;Hora;AE_kWh", upward, nil},
		{"newest first, the place is told", "Fecha;Hora;AE_kWh", upward, zone},
		{"English", "Date;Hour;Usage kWh", rows, nil},
		{"English, by the end", "Date;Hour ending;Usage kWh", rows, nil},
		{"German", "Datum;Stunde;Verbrauch kWh", rows, nil},
		{"French", "Jour;Heure;Consommation kWh", rows, nil},
	} {
		u := wholeUse(t, c.name, c.head+"\n"+strings.Join(c.rows, ""), c.zone, sum)
		if u == nil {
			continue
		}
		if len(u.Days) != 366 {
			t.Errorf("%s: %d days, want 366", c.name, len(u.Days))
		}
		for _, d := range u.Days {
			for h, w := range d.HourW {
				want := float64(wh(h))
				if d.Month == 3 && d.Day == 31 && h == 2 { // that hour was not there
					want = float64(wh(1))
				}
				near(t, fmt.Sprintf("%s: %d-%d %d:00", c.name, d.Month, d.Day, h), w, want, 1e-9)
			}
		}
	}
}

// hourRows are rows of one day.
func hourRows(date string, from, to int) string {
	var b strings.Builder
	for n := from; n <= to; n++ {
		fmt.Fprintf(&b, "%s,%d,%d\n", date, n, n%13) // no count of a register
	}
	return b.String()
}

// Numbers from 0 are those of the clock; where both may be meant the user says which.
func TestHoursByNumber(t *testing.T) {
	at := func(text string) int64 {
		s, err := time.Parse("2006-01-02 15:04", text)
		if err != nil {
			t.Fatal(err)
		}
		return s.Unix()
	}
	for _, c := range []struct {
		name, rows string
		o          meterfile.TableOptions
		from, to   string
	}{
		{"from 0", hourRows("2025-02-01", 0, 23), meterfile.TableOptions{}, "2025-02-01 00:00", "2025-02-02 00:00"},
		{"from 0, by the end", hourRows("2025-02-01", 0, 23), meterfile.TableOptions{Ends: true}, "2025-01-31 23:00",
			"2025-02-01 23:00"},
		{"from 1", hourRows("2025-02-01", 1, 24), meterfile.TableOptions{}, "2025-02-01 00:00", "2025-02-02 00:00"},
		{"from 1, by the end", hourRows("2025-02-01", 1, 24), meterfile.TableOptions{Ends: true}, "2025-02-01 00:00",
			"2025-02-02 00:00"},
		{"part of a day, by the end", hourRows("2025-02-01", 8, 12), meterfile.TableOptions{Ends: true}, "2025-02-01 07:00",
			"2025-02-01 12:00"},
		{"part of a day, by the beginning", hourRows("2025-02-01", 8, 12), meterfile.TableOptions{Begins: true},
			"2025-02-01 08:00", "2025-02-01 13:00"},
		{"with the date in one column", strings.ReplaceAll(hourRows("2025-02-01", 1, 24), "01,", "01 "),
			meterfile.TableOptions{}, "2025-02-01 00:00", "2025-02-02 00:00"},
	} {
		head := "Date,Hour,kWh\n"
		if strings.HasPrefix(c.rows, "2025-02-01 ") {
			head = "Time,kWh\n"
		}
		d, err := table(t, head+c.rows, c.o)
		if err != nil {
			t.Errorf("%s: %v", c.name, err)
			continue
		}
		if u := use(t, d, nil); u.FromS != at(c.from) || u.ToS != at(c.to) || u.GapS != 0 {
			t.Errorf("%s: %d to %d, gaps of %d s, want %d to %d", c.name, u.FromS, u.ToS, u.GapS, at(c.from), at(c.to))
		}
	}
	zone, err := time.LoadLocation("Europe/Madrid")
	if err != nil {
		t.Skip("no time zones on this machine:", err)
	}
	for _, c := range []struct {
		name, text string
		zone       *time.Location
		want       string
	}{
		{"both may be meant", hourRows("2025-02-01", 8, 12), nil, "t.csv:2:2: hours are numbered, but no row has hour 0 or 24: 8 to 12"},
		{"both are there", hourRows("2025-02-01", 0, 24), nil, "t.csv:26:2: found hour 24, but line 2 has hour 0"},
		{"no such hour", hourRows("2025-02-01", 1, 26), nil, "t.csv:27:2: found \"26\", want the number of an hour"},
		{"a day that has 24", hourRows("2025-10-25", 1, 25), zone, "t.csv:26:2: found hour 25 of a day that has 24"},
		{"a day that has 23", hourRows("2025-03-30", 1, 24), zone, "t.csv:25:2: found hour 24 of a day that has 23"},
		{"an hour twice", hourRows("2025-02-01", 1, 24) + "2025-02-01,24,1\n", nil, "t.csv:26:2: the time does not lie behind"},
		{"a time among numbers", hourRows("2025-02-01", 1, 24) + "2025-02-02,01:00,1\n", nil,
			"t.csv:26:2: found \"01:00\", want the number of an hour as in the rows before"},
	} {
		if d, err := table(t, "Date,Hour,kWh\n"+c.text, meterfile.TableOptions{Zone: c.zone}); err == nil ||
			!strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: %+v, %v, want %q", c.name, d, err, c.want)
		}
	}
	if d, err := table(t, "Hour,kWh\n1,1\n2,1\n", meterfile.TableOptions{}); err == nil ||
		!strings.Contains(err.Error(), "t.csv:2:1: found \"1\", the number of an hour whose date no column tells") {
		t.Errorf("no date: %+v, %v", d, err)
	}
}

// Without a place, a last hour that is missing is a gap, but on a Sunday behind which days go on.
func TestHour24Missing(t *testing.T) {
	for _, c := range []struct {
		date  string
		clock meter.Clock
		gapS  int64
	}{
		{"2025-02-03", meter.Fixed(0), 3600}, // a Monday
		{"2025-03-30", nil, 0},
	} {
		first, err := time.Parse("2006-01-02", c.date)
		if err != nil {
			t.Fatal(err)
		}
		next := first.AddDate(0, 0, 1).Format("2006-01-02")
		d, err := table(t, "Date,Hour,kWh\n"+hourRows(c.date, 1, 23)+hourRows(next, 1, 24), meterfile.TableOptions{})
		if err != nil {
			t.Errorf("%s: %v", c.date, err)
			continue
		}
		if c.clock != nil && d.Clock != c.clock {
			t.Errorf("%s: clock %+v, want %+v", c.date, d.Clock, c.clock)
		}
		if u := use(t, d, nil); u.GapS != c.gapS || u.Days[1].HourW[7] != 8000 {
			t.Errorf("%s: gaps of %d s and %g W at 7:00 of the next day, want %d and 8000", c.date, u.GapS,
				u.Days[1].HourW[7], c.gapS)
		}
	}
}
