package site

import (
	"fmt"
	"math"

	"outlast/backup/solar"
	"outlast/backup/wording"
	"outlast/catalog/strict"
)

// An AirSource says where the coldest air outdoors is known from.
type AirSource int

const (
	AirAssumed   AirSource = iota // by latitude and height: neither key nor weather file tells it
	AirTold                       // coldest_air_c
	AirOfWeather                  // the hours of a weather file
	AirOfBank                     // coldest_c: the space of the battery is colder than all else that tells of air
)

// WeatherAllowanceK is how much colder than the coldest hour of a weather file it may get. A typical year is made of
// ordinary months, while the rule for strings (NEC 690.7(A)) wants the extreme of the years. Own rule.
const WeatherAllowanceK = 5

// coldAirBands are the coldest air that is to be expected up to a latitude, near the sea's level, of either hemisphere:
// the south has no large cold lands. Own rule: on the safe side of the mean yearly minima of all but a few deserts of
// ice, and never below the last row of the factors of cold (NEC Table 690.7(A)), -40 C.
var coldAirBands = []struct{ upToDeg, northC, southC float64 }{
	{24, -5, -5}, {36, -20, -10}, {48, -30, -20}, {90, leastAssumedAirC, -25},
}

const leastAssumedAirC = -40

// Air gets colder with height by so much for each metre, from a height on below which the bands hold. Source: the
// standard atmosphere's 6.5 K for each kilometre.
const lapseKPerM, lapseFromM = 0.0065, 1000

// assumedAirC is the coldest air outdoors where nobody told it.
func assumedAirC(latitudeDeg, altitudeM float64) float64 {
	for _, b := range coldAirBands {
		if math.Abs(latitudeDeg) > b.upToDeg {
			continue
		}
		c := b.northC
		if latitudeDeg < 0 {
			c = b.southC
		}
		return max(leastAssumedAirC, math.Round(c-lapseKPerM*max(0, altitudeM-lapseFromM)))
	}
	return leastAssumedAirC
}

// ColdAir is the coldest air outdoors, of everything that tells of it, and what tells it. known is false where nothing
// but latitude and height does: then c is assumed, or coldest_c where that is colder still.
func (s *Site) ColdAir() (c float64, from AirSource, known bool) {
	weatherC := math.Inf(1)
	for _, a := range s.Arrays {
		if a.Hours != nil {
			coldest, _ := a.Hours.AirRangeC()
			weatherC = min(weatherC, coldest)
		}
	}
	known = true
	switch {
	case s.ColdestAirC != nil:
		if c, from = *s.ColdestAirC, AirTold; weatherC < c {
			c, from = weatherC, AirOfWeather
		}
	case !math.IsInf(weatherC, 1):
		c, from = weatherC-WeatherAllowanceK, AirOfWeather
	default:
		var latitude float64
		if s.Latitude != nil {
			latitude = *s.Latitude
		}
		c, from, known = assumedAirC(latitude, s.AltitudeM), AirAssumed, false
	}
	if s.ColdestC < c {
		c, from = s.ColdestC, AirOfBank
	}
	return c, from, known
}

// noteColdAir notes the coldest air outdoors as a default where an array needs it and nothing tells it.
func (r *reader) noteColdAir(t *strict.Table) {
	arrays := r.root.Tables("array")
	if len(arrays) == 0 || t.Has("coldest_air_c") || r.site.Latitude == nil {
		return
	}
	for _, a := range arrays {
		if a.Has("weather") {
			return
		}
	}
	t.NoteDefault("coldest_air_c", fmt.Sprint(wording.WithUnit(assumedAirC(*r.site.Latitude, r.site.AltitudeM), "C")))
}

// StringClimate is the coldest and the hottest air that the strings must live with. The cold is that of [Site.ColdAir],
// not of the battery's space, which may be heated; the heat is of the site file, and of the weather files where they go
// beyond it.
func (s *Site) StringClimate() solar.Climate {
	var climate solar.Climate
	climate.ColdestC, _, _ = s.ColdAir()
	climate.HottestC = max(s.HottestC, climate.ColdestC)
	for _, a := range s.Arrays {
		if a.Hours != nil {
			_, hottest := a.Hours.AirRangeC()
			climate.HottestC = max(climate.HottestC, hottest)
		}
	}
	// The space of the inverter may be hotter than any air that a module stands in.
	climate.ColdestC, climate.HottestC = min(climate.ColdestC, solar.MostAirC), min(climate.HottestC, solar.MostAirC)
	return climate
}
