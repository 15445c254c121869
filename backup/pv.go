package backup

import (
	"errors"
	"fmt"
	"io"
	"math"
	"slices"

	"outlast/backup/solar"
	"outlast/catalog/strict"
)

// A PVYear is what the site's arrays put on the bank's side, hour by hour through a year.
type PVYear struct {
	W          []float64 // 8,760 hourly means from 1 January, 00:00 standard time; each input's max_w is the most that it takes
	MonthlyKWh [12]float64
	Cautions   []string
}

// ReadWeather reads the weather files that arrays name, through open, which is given the name as it stands in the site file.
// The error is of type [strict.Problems] and stands at the array's `weather`.
func (s *Site) ReadWeather(open func(name string) (io.ReadCloser, error)) error {
	var problems strict.Problems
	read := map[string]*solar.Weather{}
	for i := range s.Arrays {
		a := &s.Arrays[i]
		if a.Weather == "" {
			continue
		}
		if read[a.Weather] == nil {
			w, err := readWeather(a.Weather, open)
			if err != nil {
				problems = append(problems, strict.Problem{File: s.File, Line: a.weatherAt.Line, Col: a.weatherAt.Col,
					Msg: fmt.Sprintf("weather in [[array]]: %s: %s", strict.Quote(a.Weather), trimPrefix(err))})
				continue
			}
			read[a.Weather] = w
		}
		a.hours = read[a.Weather]
	}
	for _, o := range s.Options {
		o.Site.Arrays = s.Arrays
	}
	if problems != nil {
		return problems
	}
	return nil
}

func readWeather(name string, open func(string) (io.ReadCloser, error)) (*solar.Weather, error) {
	f, err := open(name)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	epw, err := solar.ReadEPW(f)
	if err != nil {
		return nil, err
	}
	w, err := epw.Weather()
	return &w, err
}

// place is where the arrays stand. Without longitude or offset the clock is taken to run with the sun.
func (s *Site) place() solar.Place {
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

var errNoSun = errors.New("an array has neither monthly_kwh_m2_day nor weather")

// weather is the year of one array: its file, or a year made from its monthly means.
func (s *Site) weather(a Array, days solar.Days, seed uint64) (solar.Weather, error) {
	if a.hours != nil {
		return *a.hours, nil
	}
	if len(a.MonthlyKWhM2Day) != 12 {
		return solar.Weather{}, errNoSun
	}
	m := solar.Monthly{Place: s.place()}
	copy(m.GlobalKWhM2Day[:], a.MonthlyKWhM2Day)
	for i := range m.AirC {
		m.AirC[i] = s.airC()
	}
	return m.Weather(days, seed)
}

// module is a module of the catalog in the terms of package solar, whose coefficients are fractions.
func (a Array) stringSet() solar.StringSet {
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

// PV works out what the arrays give in a year of such days. Without arrays it is nil.
func (s *Site) PV(days solar.Days, seed uint64) (*PVYear, error) {
	if len(s.Arrays) == 0 {
		return nil, nil
	}
	byInput := map[int][]float64{}
	y := &PVYear{W: make([]float64, solar.HoursPerYear)}
	said := map[string]bool{}
	var w solar.Weather
	for i, a := range s.Arrays {
		// Most arrays of a home are under the same figures; a year of them takes longer than all else here.
		if i == 0 || a.hours != s.Arrays[i-1].hours || !slices.Equal(a.MonthlyKWhM2Day, s.Arrays[i-1].MonthlyKWhM2Day) {
			var err error
			if w, err = s.weather(a, days, seed); err != nil {
				return nil, err
			}
		}
		for _, c := range w.Cautions {
			if !said[c] {
				said[c] = true
				y.Cautions = append(y.Cautions, c)
			}
		}
		one, err := solar.Array{StringSet: a.stringSet(), Plane: solar.Plane{TiltDeg: a.TiltDeg, AzimuthDeg: a.AzimuthDeg}}.Year(w)
		if err != nil {
			return nil, err
		}
		if byInput[a.Input] == nil {
			byInput[a.Input] = make([]float64, solar.HoursPerYear)
		}
		for h, v := range one.W {
			byInput[a.Input][h] += v
		}
	}
	for input := 1; input <= len(byInput)+64; input++ {
		hours := byInput[input]
		limit := s.inputLimitW(input)
		for h, v := range hours {
			y.W[h] += min(v, limit)
		}
	}
	y.MonthlyKWh = solar.Year{W: y.W}.MonthlyKWh()
	return y, nil
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
