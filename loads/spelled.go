package loads

import (
	"fmt"
	"regexp"
	"strconv"
	"strings"
	"unicode/utf8"
)

// Words and notations that people write where the site file wants another one: for hints only, nothing is taken in
// their place.

// monthNames are the months in the languages of the papers, in small letters.
var monthNames = [12][]string{
	{"january", "januar", "jänner", "enero", "janvier"}, {"february", "februar", "febrero", "février", "fevrier"},
	{"march", "märz", "maerz", "marzo", "mars"}, {"april", "abril", "avril"}, {"may", "mai", "mayo"},
	{"june", "juni", "junio", "juin"},
	{"july", "juli", "julio", "juillet"}, {"august", "agosto", "août", "aout"},
	{"september", "septiembre", "septembre"},
	{"october", "oktober", "octubre", "octobre"}, {"november", "noviembre", "novembre"},
	{"december", "dezember", "diciembre", "décembre", "decembre"},
}

// SpelledMonth gives the number of the month that a name means, or the beginning of one, of three letters at least.
func SpelledMonth(word string) (month float64, ok bool) {
	word = strings.TrimSuffix(strings.ToLower(strings.TrimSpace(word)), ".")
	if utf8.RuneCountInString(word) < 3 {
		return 0, false
	}
	for m, names := range monthNames {
		for _, name := range names {
			if !strings.HasPrefix(name, word) {
				continue
			}
			if month != 0 && month != float64(m+1) {
				return 0, false // "jui" begins two
			}
			month = float64(m + 1)
		}
	}
	return month, month != 0
}

// likeClock is a time of day as people write it: 17.00, 7:30, 17h30, 1730, 5 pm.
var likeClock = regexp.MustCompile(
	`^(\d{1,2})(?:\s*[:.,h]?\s*(\d{2}))?(?:[:.]\d{2})?\s*(?:h|uhr)?\s*(am|pm|a\.m\.|p\.m\.)?$`)

// spelledClock writes a time of day as the site file wants it, "17:00".
func spelledClock(s string) (clock string, ok bool) {
	m := likeClock.FindStringSubmatch(strings.ToLower(strings.TrimSpace(s)))
	if m == nil {
		return "", false
	}
	hour, err := strconv.Atoi(m[1])
	minute := 0
	if err == nil && m[2] != "" {
		minute, err = strconv.Atoi(m[2])
	}
	if half := strings.ReplaceAll(m[3], ".", ""); half != "" {
		if hour < 1 || hour > 12 {
			return "", false
		}
		hour %= 12
		if half == "pm" {
			hour += 12
		}
	}
	at := hour*60 + minute
	if err != nil || minute > 59 || at > minutesPerDay {
		return "", false
	}
	return fmt.Sprintf("%02d:%02d", at/60, at%60), true
}

// ClockHint tells how a time of day is written; "" where it is not known what is meant, or nothing is wrong.
func ClockHint(s string) string {
	if clock, ok := spelledClock(s); ok && clock != s {
		return fmt.Sprintf("write %q", clock)
	}
	return ""
}

// parts of a window as people join them.
var windowJoint = regexp.MustCompile(`\s*(?:-|–|—|\bto\b|\bbis\b|\ba\b|\bà\b|\buntil\b)\s*`)

// WindowHint tells how a window is written; "" likewise.
func WindowHint(s string) string {
	parts := windowJoint.Split(strings.ToLower(strings.TrimSpace(s)), -1)
	if len(parts) != 2 {
		return ""
	}
	start, ok := spelledClock(parts[0])
	end, ok2 := spelledClock(parts[1])
	if written := start + "-" + end; ok && ok2 && written != s {
		if _, err := ParseWindow(written); err == nil {
			return fmt.Sprintf("write %q", written)
		}
	}
	return ""
}
