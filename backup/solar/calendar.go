package solar

// monthDays are the days of the months of the 365-day year that everything here is reckoned in.
var monthDays = [12]int{31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31}

// dayNumber returns the day of the 365-day year, from 1. 29 February counts as 28 February.
func dayNumber(month, day int) int {
	n := min(day, monthDays[month-1])
	for _, d := range monthDays[:month-1] {
		n += d
	}
	return n
}

// firstDay returns the index, from 0, of the first day of month m, from 0.
func firstDay(m int) int { return dayNumber(m+1, 1) - 1 }

// monthOf returns the month, from 0, of a day of the year, from 0.
func monthOf(day int) int {
	m := 0
	for day >= monthDays[m] {
		day -= monthDays[m]
		m++
	}
	return m
}

// monthSums adds up the hours of each month.
func monthSums(hours []float64) (sums [12]float64) {
	h := 0
	for m, days := range monthDays {
		for range days * 24 {
			sums[m] += hours[h]
			h++
		}
	}
	return sums
}
