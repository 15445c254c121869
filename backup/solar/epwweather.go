package solar

import (
	"fmt"
	"io"
	"math"
	"slices"
	"strings"
	"time"

	"outlast/backup/phrase"
)

// mostFilled is how many hours of a column may be missing before filling them would be inventing a year: a tenth. Own
// choice.
const mostFilled = HoursPerYear / 10

// polarCircleDeg: outside it every day has some light (mean obliquity, rounded down so that no real polar night warns).
const polarCircleDeg = 66

// lookForGaps adds a caution for days whose radiation is zero all day: some files mark their gaps so.
func (f *EPW) lookForGaps() {
	if math.Abs(f.Place.LatitudeDeg) >= polarCircleDeg {
		return
	}
	var dark []string
	for i := 0; i+24 <= len(f.Hours); i += 24 {
		if !slices.ContainsFunc(f.Hours[i:i+24], func(h EPWHour) bool {
			return h.GlobalWhM2 > 0 || h.Missing&EPWGlobal != 0
		}) {
			dark = append(dark, fmt.Sprintf("%d-%d", f.Hours[i].Month, f.Hours[i].Day))
		}
	}
	if len(dark) == 0 {
		return
	}
	shown := strings.Join(dark[:min(5, len(dark))], ", ")
	if len(dark) > 5 {
		shown += ", ..."
	}
	f.Cautions = append(f.Cautions,
		phrase.Of("no radiation at all on %d days (month-day %s): the weather file may code gaps as zero", len(dark),
			shown))
}

// ReadWeather reads a weather file as [ReadEPW] does, and makes the [EPW.Weather] of it.
func ReadWeather(r io.Reader) (*Weather, error) {
	f, err := ReadEPW(r)
	if err != nil {
		return nil, err
	}
	w, err := f.Weather()
	return &w, err
}

// Weather makes a year of the file: 29 February left out, gaps filled, sun placed.
//
// A gap in the temperature is filled along a straight line between its ends, one in the global radiation from direct
// and diffuse or else from the same hour of the nearest day that has it (the earlier one of two). Without direct
// radiation global less diffuse stands in, without either [ErbsHourly]. The cautions say how many hours were filled;
// more than a tenth of the year is an error.
//
// The sun is placed at the real date of each row. Global radiation is kept as it is, direct radiation
// too unless it exceeds what global or the sky above the atmosphere allows, and diffuse is the rest.
func (f *EPW) Weather() (Weather, error) {
	if err := f.Place.check(); err != nil {
		return Weather{}, err
	}
	hours := make([]EPWHour, 0, HoursPerYear)
	for _, h := range f.Hours {
		if h.Month < 1 || h.Month > 12 || h.Day < 1 || h.Day > 31 || h.Hour < 1 || h.Hour > 24 {
			return Weather{}, errs.Errorf("weather row of month %d, day %d, hour %d, want a date and 1 to 24", h.Month,
				h.Day, h.Hour)
		}
		if h.Month != 2 || h.Day != 29 {
			hours = append(hours, h)
		}
	}
	w := Weather{Place: f.Place, Hours: make([]Hour, len(hours)), Cautions: slices.Clone(f.Cautions)}
	if len(hours) != HoursPerYear {
		return Weather{}, errs.Errorf("weather of %d hours without 29 February, want %d", len(hours), HoursPerYear)
	}
	lits := make([]litHour, len(hours))
	for i := range hours {
		lits[i] = hours[i].lit(f.Place)
	}
	air, airFilled := fillAir(hours)
	global, globalFilled := fillGlobal(hours, lits)
	for _, c := range []struct {
		name  phrase.Phrase
		hours int
	}{{phrase.Of("air temperature"), airFilled}, {phrase.Of("global radiation"), globalFilled}} {
		if c.hours > mostFilled {
			return Weather{}, errs.Errorf("weather file lacks the %s of %d hours, want at most %d", c.name, c.hours,
				mostFilled)
		}
		if c.hours > 0 {
			w.Cautions = append(w.Cautions,
				phrase.Of("%s of %d hours is missing in the weather file and was filled from its neighbours", c.name,
					c.hours))
		}
	}
	for i := range hours {
		diffuse, beam := hours[i].DiffuseWhM2, hours[i].DirectWhM2
		if hours[i].Missing&EPWDirect != 0 {
			beam = -1
			if hours[i].Missing&EPWDiffuse != 0 {
				diffuse = lits[i].erbs(global[i])
			}
		}
		beam, diffuse = lits[i].split(global[i], diffuse, beam)
		w.Hours[i] = Hour{Irradiance{global[i], beam, diffuse}, air[i], lits[i].sun}
	}
	if err := w.check(); err != nil {
		return Weather{}, err
	}
	return w, nil
}

// erbs returns the diffuse part of an hour's global irradiation.
func (l litHour) erbs(globalWhM2 float64) float64 {
	if l.extraWhM2 <= 0 {
		return globalWhM2
	}
	return globalWhM2 * ErbsHourly(globalWhM2/l.extraWhM2)
}

// lit places the sun at the row's own date: its year matters by a few hundredths of a degree.
func (h EPWHour) lit(p Place) litHour {
	year := h.Year
	if year < 1900 || year > 2100 {
		year = 2001 // a mark rather than a year; any common year will do
	}
	middle := time.Date(year, time.Month(h.Month), h.Day, h.Hour-1, 30, 0, 0, time.UTC)
	sun := SunAt(p, middle.Add(-time.Duration(p.UTCOffsetH*float64(time.Hour))))
	return lit(p.LatitudeDeg, sun.DeclinationDeg, dayNumber(h.Month, h.Day), sun.HourAngleDeg-7.5)
}

// fillAir returns the temperatures with gaps bridged, the year taken as a ring, and the number of hours bridged.
func fillAir(hours []EPWHour) (air []float64, filled int) {
	n := len(hours)
	air = make([]float64, n)
	missing := func(i int) bool { return hours[(i+n)%n].Missing&EPWAir != 0 }
	for i := range hours {
		if !missing(i) {
			air[i] = hours[i].AirC
			continue
		}
		filled++
		if filled > mostFilled {
			continue // refused anyway; a year without any value would never find an end
		}
		back, ahead := 1, 1
		for back < n && missing(i-back) {
			back++
		}
		for ahead < n && missing(i+ahead) {
			ahead++
		}
		before, after := hours[(i-back+n)%n].AirC, hours[(i+ahead)%n].AirC
		air[i] = before + (after-before)*float64(back)/float64(back+ahead)
	}
	return air, filled
}

// fillGlobal returns the global radiation with gaps filled, and the number of hours filled.
func fillGlobal(hours []EPWHour, lits []litHour) (global []float64, filled int) {
	n := len(hours)
	global = make([]float64, n)
	missing := func(i int) bool { return hours[(i+n)%n].Missing&EPWGlobal != 0 }
	for i := range hours {
		switch {
		case !missing(i):
			global[i] = hours[i].GlobalWhM2
			continue
		case hours[i].Missing&(EPWDirect|EPWDiffuse) == 0:
			global[i] = min(maxIrradianceWm2, hours[i].DiffuseWhM2+hours[i].DirectWhM2*max(0,
				cosDeg(lits[i].sun.ZenithDeg)))
			filled++
			continue
		}
		filled++
		for back := 24; back < n && filled <= mostFilled; back += 24 {
			if !missing(i - back) {
				global[i] = hours[(i-back+n)%n].GlobalWhM2
				break
			}
			if !missing(i + back) {
				global[i] = hours[(i+back)%n].GlobalWhM2
				break
			}
		}
	}
	return global, filled
}
