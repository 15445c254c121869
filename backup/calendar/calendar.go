// Package calendar writes times of the day and counts the days of months.
package calendar

import (
	"fmt"
	"math"
)

const DayMin = 24 * 60

// Clock writes a minute of the day as "18:30".
func Clock(minute int) string { return fmt.Sprintf("%02d:%02d", minute/60, minute%60) }

// ClockAt writes the minute in which a moment of the day lies, in minutes from midnight: people read no seconds off a
// clock.
func ClockAt(minute float64) string { return Moment(minute)[:len("00:00")] }

// Moment writes a moment of the day, in minutes from midnight: as [Clock] does, with seconds where it is no whole
// minute.
func Moment(minute float64) string {
	seconds := int(math.Round(minute*60)) % (60 * DayMin)
	if seconds%60 == 0 {
		return Clock(seconds / 60)
	}
	return fmt.Sprintf("%s:%02d", Clock(seconds/60), seconds%60)
}

var DaysIn = [12]int{31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31}
