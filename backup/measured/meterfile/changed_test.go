package meterfile_test

import (
	"errors"
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"

	"outlast/backup/measured/meter"
	"outlast/backup/measured/meterfile"
	"outlast/catalog/strict"
)

// Years of rows by the clock on the wall, whose place nothing tells: each night on which the clock was changed is told by
// the order of the rows, and the figures are as if the place were told.
func TestRowsTellChangesOfTheClock(t *testing.T) {
	wh := func(hour int) int { return 200 + hour*hour }
	for _, c := range []struct {
		place       string
		step        time.Duration
		from, years int
	}{
		{"Europe/Madrid", time.Hour, 2022, 3},
		{"Europe/Madrid", 15 * time.Minute, 2023, 2},
		{"Europe/Helsinki", time.Hour, 2022, 3},
		{"America/New_York", 30 * time.Minute, 2022, 3},
		{"Australia/Sydney", time.Hour, 2022, 3}, // summer when the table begins
		{"Europe/Madrid", time.Hour, 2024, 1},
	} {
		zone, err := time.LoadLocation(c.place)
		if err != nil {
			t.Skip("no time zones on this machine:", err)
		}
		var rows, ends []string
		var sum float64
		first := time.Date(c.from, 1, 1, 0, 0, 0, 0, zone)
		for at := first; at.Year() < c.from+c.years; at = at.Add(c.step) {
			rows = append(rows, fmt.Sprintf("%s;%d\n", at.Format("2006-01-02 15:04"), wh(at.Hour())))
			ends = append(ends, fmt.Sprintf("%s;%d\n", at.Add(c.step).Format("2006-01-02 15:04"), wh(at.Hour())))
			sum += float64(wh(at.Hour()))
		}
		upward := slices.Clone(rows)
		slices.Reverse(upward)
		for _, x := range []struct {
			name, head string
			rows       []string
			zone       *time.Location
		}{
			{"by the rows", "Time;Energy Wh", rows, nil},
			{"by the rows, newest first", "Time;Energy Wh", upward, nil},
			{"by the rows, ends of intervals", "End;Energy Wh", ends, nil},
			{"by the place", "Time;Energy Wh", rows, zone},
		} {
			name := fmt.Sprintf("%s every %s, %d years, %s", c.place, c.step, c.years, x.name)
			u := wholeUse(t, name, x.head+"\n"+strings.Join(x.rows, ""), x.zone, sum)
			if u == nil {
				continue
			}
			wrong := 0
			for _, d := range u.Days {
				for h, w := range d.HourW {
					if w != float64(wh(h))*float64(time.Hour/c.step) {
						wrong++
					}
				}
			}
			// An hour that was not there is as the one before; of ends by the hour, nothing tells which of two hours came twice.
			allowed := c.years
			if x.head == "End;Energy Wh" && c.step == time.Hour {
				allowed *= 4
			}
			if wrong > allowed {
				t.Errorf("%s: %d hours have another power than theirs, want at most %d", name, wrong, allowed)
			}
		}
	}
}

// What is no change of a clock is refused, by its row and with the option that helps.
func TestRowsThatAreThereTwice(t *testing.T) {
	day := func(date string, twice int) string {
		var b strings.Builder
		for h := range 24 {
			row := fmt.Sprintf("%s %02d:00,%d\n", date, h, h%7)
			if b.WriteString(row); h == twice {
				b.WriteString(row)
			}
		}
		return b.String()
	}
	for _, c := range []struct{ name, rows, want string }{
		{"at day", day("2024-10-27", 14), "t.csv:17:1: the time does not lie behind"},
		{"on a Tuesday", day("2024-10-29", 2), "t.csv:5:1: the time does not lie behind"},
		{"a week behind a change", day("2024-10-27", 2) + day("2024-11-03", 2), "t.csv:30:1: the time does not lie behind"},
	} {
		d, err := table(t, "Time,kWh\n"+c.rows, meterfile.TableOptions{})
		var ps strict.Problems
		if !errors.As(err, &ps) || !strings.Contains(err.Error(), c.want) || !strings.Contains(ps[0].Hint, "--zone") {
			t.Errorf("%s: %+v, %v, want %q and --zone", c.name, d, err, c.want)
		}
	}
	d, err := table(t, "Time,kWh\n"+day("2024-10-27", 2), meterfile.TableOptions{})
	if err != nil {
		t.Fatal(err)
	}
	want := meter.Stepped{{FromS: time.Date(2024, 10, 27, 0, 0, 0, 0, time.UTC).Unix()},
		{FromS: time.Date(2024, 10, 27, 3, 0, 0, 0, time.UTC).Unix(), OffsetS: -3600}}
	if got, ok := d.Clock.(meter.Stepped); !ok || !slices.Equal(got, want) {
		t.Errorf("the clock is %+v, want %+v", d.Clock, want)
	}
}
