package meterfile

import (
	"fmt"
	"strconv"
	"time"

	"outlast/backup/measured/meter"
)

// yearly is a clock that is put forward and back by rules of the year.
type yearly struct {
	standardS, savingS int64
	begins, ends       dayRule
}

// clock is the clock of the local time: with rules of daylight saving if it has any.
func (l espiLocalTime) clock() (meter.Clock, error) {
	const most = 14 * 3600
	if l.TZOffset < -most || l.TZOffset > most || l.DSTOffset < 0 || l.DSTOffset > 2*3600 {
		return nil, fmt.Errorf("tzOffset %d s and dstOffset %d s are no local time", l.TZOffset, l.DSTOffset)
	}
	begins, err := parseDayRule(l.DSTStart)
	if err != nil {
		return nil, fmt.Errorf("dstStartRule: %w", err)
	}
	ends, err := parseDayRule(l.DSTEnd)
	if err != nil {
		return nil, fmt.Errorf("dstEndRule: %w", err)
	}
	if l.DSTOffset == 0 || begins.month == 0 || ends.month == 0 {
		return meter.Fixed(l.TZOffset), nil
	}
	return yearly{standardS: l.TZOffset, savingS: l.DSTOffset, begins: begins, ends: ends}, nil
}

// OffsetS follows the rules of the year of that moment.
func (y yearly) OffsetS(unixS int64) int64 {
	year := time.Unix(unixS+y.standardS, 0).UTC().Year()
	begins := y.begins.in(year) - y.standardS         // told in standard time
	ends := y.ends.in(year) - y.standardS - y.savingS // told in daylight time
	saving := unixS >= begins && unixS < ends
	if begins > ends { // the southern summer spans the new year
		saving = unixS >= begins || unixS < ends
	}
	if saving {
		return y.standardS + y.savingS
	}
	return y.standardS
}

// dayRule is a day of the year and an hour, as the interface codes it in four bytes: bits 0 to 11 seconds, 12 to 16
// hours, 17 to 19 day of the week (1 Monday to 7 Sunday), 20 to 24 day of the month, 25 to 27 how the two go together,
// 28 to 31 the month (from memory; the rules of North America, 360E2000 and B40E2000, come out as they are).
type dayRule struct {
	seconds, hours, weekday, day, operator, month int
}

func parseDayRule(hex string) (dayRule, error) {
	if hex == "" {
		return dayRule{}, nil
	}
	v, err := strconv.ParseUint(hex, 16, 32)
	if err != nil {
		return dayRule{}, fmt.Errorf("found %q, want eight hexadecimal digits", hex)
	}
	r := dayRule{int(v & 0xFFF), int(v >> 12 & 0x1F), int(v >> 17 & 7), int(v >> 20 & 0x1F), int(v >> 25 & 7),
		int(v >> 28 & 0xF)}
	if r.month > 12 || r.hours > 24 || r.seconds > 3599 {
		return dayRule{}, fmt.Errorf("found %q, which is no day of the year", hex)
	}
	return r, nil
}

// in is when the rule applies in a year, in seconds of the clock on the wall.
func (r dayRule) in(year int) int64 {
	first := time.Date(year, time.Month(r.month), 1, 0, 0, 0, 0, time.UTC)
	onOrAfter := func(t time.Time) time.Time {
		ahead := (r.weekday%7 - int(t.Weekday()) + 7) % 7
		return t.AddDate(0, 0, ahead)
	}
	var day time.Time
	switch {
	case r.operator == 0 || r.weekday == 0:
		day = first.AddDate(0, 0, max(r.day, 1)-1)
	case r.operator == 1:
		day = onOrAfter(first.AddDate(0, 0, max(r.day, 1)-1))
	case r.operator == 7: // the last one of the month
		day = onOrAfter(first.AddDate(0, 1, -7))
	default: // 2 is the first one of the month
		day = onOrAfter(first).AddDate(0, 0, 7*(r.operator-2))
	}
	return day.Unix() + int64(r.hours)*3600 + int64(r.seconds)
}
