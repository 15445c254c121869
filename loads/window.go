package loads

import (
	"errors"
	"fmt"
	"slices"
	"strconv"
)

const minutesPerDay = 1440

// A Window is a part of the day in minutes from midnight. The start is held, the end is not; an end
// before the start wraps midnight; EndMin may be 1440. Start = end is no window and holds nothing.
type Window struct{ StartMin, EndMin int }

// Minutes returns the length of the window, 0 to 1440.
func (w Window) Minutes() int {
	if w.EndMin < w.StartMin {
		return w.EndMin - w.StartMin + minutesPerDay
	}
	return w.EndMin - w.StartMin
}

// Holds tells whether minute, 0 to 1439, lies in the window.
func (w Window) Holds(minute int) bool {
	if w.EndMin < w.StartMin {
		return minute >= w.StartMin || minute < w.EndMin
	}
	return minute >= w.StartMin && minute < w.EndMin
}

// ParseWindow reads a window such as "06:00-09:00". Its error says what is wanted in its place.
func ParseWindow(s string) (Window, error) {
	if len(s) != 11 || s[5] != '-' {
		return Window{}, errors.New(`a window such as "06:00-09:00"`)
	}
	start, err := ParseClock(s[:5])
	if err != nil {
		return Window{}, err
	}
	end, err := ParseClock(s[6:])
	if err != nil {
		return Window{}, err
	}
	switch {
	case start == minutesPerDay:
		return Window{}, errors.New(`a start from "00:00" to "23:59"; "24:00" is only an end`)
	case start == end:
		return Window{}, errors.New("an end that differs from the start; leave `when` out for any time")
	}
	return Window{StartMin: start, EndMin: end}, nil
}

// ParseClock reads "18:30" as a minute of the day, "24:00" as its end. Its error says what is wanted in its place.
func ParseClock(s string) (int, error) {
	wanted := errors.New(`times from "00:00" to "24:00"`)
	if len(s) != 5 || s[2] != ':' {
		return 0, wanted
	}
	h, errH := strconv.ParseUint(s[:2], 10, 8)
	m, errM := strconv.ParseUint(s[3:], 10, 8)
	if errH != nil || errM != nil || m > 59 || h > 24 || (h == 24 && m > 0) {
		return 0, wanted
	}
	return int(h)*60 + int(m), nil
}

// Beginnings returns midnight and the minutes at which a window of a load begins, in order: a demand that only changes
// at the edges of windows is highest from one of them on.
func Beginnings(ls []Load) []int {
	out := []int{0}
	for i := range ls {
		for _, w := range ls[i].Windows {
			out = append(out, w.StartMin)
		}
	}
	slices.Sort(out)
	return slices.Compact(out)
}

// Months is a set of months.
type Months uint16

// AllMonths holds January to December.
const AllMonths Months = 1<<12 - 1

// MonthsOf returns the set of the given months, 1 to 12. Another number is a programmer's mistake and panics.
func MonthsOf(months ...int) Months {
	var set Months
	for _, m := range months {
		if m < 1 || m > 12 {
			panic(fmt.Sprintf("loads: month %d, want 1 to 12", m))
		}
		set |= 1 << (m - 1)
	}
	return set
}

// Has tells whether month, 1 to 12, is in the set; no other month is.
func (m Months) Has(month int) bool {
	return month >= 1 && month <= 12 && m&(1<<(month-1)) != 0
}
