package site

import (
	"testing"

	"outlast/backup/solar"
)

func TestColdAir(t *testing.T) {
	at := func(latitudeDeg, altitudeM float64) *Site {
		return &Site{Latitude: &latitudeDeg, AltitudeM: altitudeM, ColdestC: 20}
	}
	told := func(s *Site, c float64) *Site { s.ColdestAirC = &c; return s }
	weather := func(s *Site, hoursC ...float64) *Site {
		w := &solar.Weather{}
		for _, c := range hoursC {
			w.Hours = append(w.Hours, solar.Hour{AirC: c})
		}
		s.Arrays = []Array{{}, {Hours: w}} // one of two has a file: it is of the same place
		return s
	}
	space := func(s *Site, c float64) *Site { s.ColdestC = c; return s }
	for _, tt := range []struct {
		name  string
		s     *Site
		c     float64
		from  AirSource
		known bool
	}{
		{"at the equator", at(0, 0), -5, AirAssumed, false},
		{"at the edge of a band", at(24, 0), -5, AirAssumed, false},
		{"just beyond it", at(24.1, 0), -20, AirAssumed, false},
		{"the south is milder", at(-24.1, 0), -10, AirAssumed, false},
		{"further north", at(48, 0), -30, AirAssumed, false},
		{"far north", at(48.1, 0), -40, AirAssumed, false},
		{"far south", at(-55, 0), -25, AirAssumed, false},
		{"a high place in the tropics: 3 km above the first", at(-16, 4000), -25, AirAssumed, false}, // -5 - 3000 * 0.0065 = -24.5
		{"up to 1000 m nothing is taken off", at(-16, 1000), -5, AirAssumed, false},
		{"never below the last row of the published factors", at(60, 3000), -40, AirAssumed, false},
		{"a cold battery space is no warmer than outdoors", space(at(10, 0), -12), -12, AirOfBank, false},
		{"told", told(at(60, 0), -12), -12, AirTold, true},
		{"told, the space is colder", space(told(at(60, 0), -12), -13), -13, AirOfBank, true},
		{"by weather, with an allowance", weather(at(60, 0), 3, -11, 9), -16, AirOfWeather, true},
		{"by weather and told", weather(told(at(60, 0), -14), 3, -11, 9), -14, AirTold, true},
		{"the weather is colder than told", weather(told(at(60, 0), -10), 3, -11, 9), -11, AirOfWeather, true},
	} {
		if c, from, known := tt.s.ColdAir(); c != tt.c || from != tt.from || known != tt.known {
			t.Errorf("%s: %g C, %d, %t; want %g, %d, %t", tt.name, c, from, known, tt.c, tt.from, tt.known)
		}
	}
}
