package site

import (
	"errors"
	"fmt"
	"io"
	"math"

	"outlast/backup/fault"
	"outlast/backup/phrase"
	"outlast/backup/solar"
	"outlast/catalog/strict"
)

// ReadWeather reads the weather files that arrays name, through open, which is given the name as it stands in the site
// file. The error is of type [strict.Problems] and stands at the array's `weather`.
func (s *Site) ReadWeather(open func(name string) (io.ReadCloser, error)) error {
	return s.TakeWeather(func(name string) (*solar.Weather, error) {
		f, err := open(name)
		if err != nil {
			return nil, err
		}
		defer f.Close()
		return solar.ReadWeather(f)
	})
}

// TakeWeather is [Site.ReadWeather] with what was read of the files already; get is asked once for each.
func (s *Site) TakeWeather(get func(name string) (*solar.Weather, error)) error {
	var problems strict.Problems
	read := map[string]*solar.Weather{}
	for i := range s.Arrays {
		a := &s.Arrays[i]
		if a.Weather == "" {
			continue
		}
		if read[a.Weather] == nil {
			w, err := get(a.Weather)
			if err != nil {
				problems = append(problems, strict.Problem{File: s.File, Line: a.weatherAt.Line, Col: a.weatherAt.Col,
					Msg: fmt.Sprintf("weather in [[array]]: %s: %s", strict.Quote(a.Weather), fault.Reason(err))})
				continue
			}
			read[a.Weather] = w
		}
		a.Hours = read[a.Weather]
	}
	for _, o := range s.Options {
		o.Site.Arrays = s.Arrays
	}
	if problems != nil {
		return problems
	}
	return nil
}

// Place is where the arrays stand. Without longitude or offset the clock is taken to run with the sun.
func (s *Site) Place() solar.Place {
	var p solar.Place
	if s.Latitude != nil {
		p.LatitudeDeg = *s.Latitude
	}
	if s.Longitude != nil && s.UTCOffsetH != nil {
		p.LongitudeDeg, p.UTCOffsetH = *s.Longitude, *s.UTCOffsetH
	}
	return p
}

// airC is the air temperature that heats the cells where only irradiation is known: the middle of the site's range.
func (s *Site) airC() float64 { return (s.ColdestC + s.HottestC) / 2 }

// NoSun tells how the sun of an array becomes known.
func NoSun() phrase.Phrase {
	return phrase.Of("Give monthly_kwh_m2_day, the mean day of each month on the horizontal, " +
		"or weather of each array to count what it gives.")
}

var ErrNoSun = errors.New("an array has neither monthly_kwh_m2_day nor weather")

// Monthly is the table of one array's place; ok is false where the file gives none.
func (s *Site) Monthly(a Array) (m solar.Monthly, ok bool) {
	if len(a.MonthlyKWhM2Day) != 12 {
		return m, false
	}
	m.Place = s.Place()
	copy(m.GlobalKWhM2Day[:], a.MonthlyKWhM2Day)
	for i := range m.AirC {
		m.AirC[i] = s.airC()
	}
	return m, true
}

// StringSet is the array's strings, its module in the terms of package solar, whose coefficients are fractions.
func (a Array) StringSet() solar.StringSet {
	m := a.Module
	return solar.StringSet{
		Module: solar.Module{
			ID: m.ID, Label: m.Label, RatedW: m.RatedW, VocV: m.VocV, IscA: m.IscA, VmpV: m.VmpV, ImpA: m.ImpA,
			VocPerC: m.VocPctPerC / 100, PmaxPerC: m.PmaxPctPerC / 100, IscPerC: m.IscPctPerC / 100,
			NOCTC: m.NOCTC, AreaM2: m.LengthMm * m.WidthMm / 1e6, MassKg: m.MassKg,
		},
		PerString: a.ModulesPerString, Strings: a.Strings,
	}
}

func (a Array) Plane() solar.Plane {
	return solar.Plane{TiltDeg: a.TiltDeg, AzimuthDeg: a.AzimuthDeg}
}

// inputLimitW is the most that a tracker input takes; units side by side share it.
func (s *Site) inputLimitW(input int) float64 {
	if input <= len(s.Inverter.Inputs) {
		if w := s.Inverter.Inputs[input-1].MaxW; w > 0 {
			return w * float64(s.InverterCount)
		}
	}
	return math.Inf(1)
}
