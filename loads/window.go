package loads

import (
	"fmt"
	"slices"
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

// Beginnings returns midnight and the minutes at which a window of a load begins, in order: a demand that only changes at the edges of
// windows is highest from one of them on.
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
