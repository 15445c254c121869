package solar

import (
	"fmt"
	"math"
)

// GlobalFromSunshine returns a day's global irradiation from hours of bright sunshine, in the unit of extraterrestrial
// (MJ/m2 or kWh/m2 a day). sunshineH lies between 0 and dayLengthH, which is above 0 and at most 24.
//
// Source: FAO Irrigation & Drainage Paper 56, eq. 35 (Angstrom), with its default constants.
func GlobalFromSunshine(extraterrestrial, sunshineH, dayLengthH float64) (float64, error) {
	const overcast, perSunshine = 0.25, 0.50 // as, bs: FAO 56, eq. 35 (SEEN-S)
	if err := checkExtraterrestrial(extraterrestrial); err != nil {
		return 0, err
	}
	if err := above0("day length", "h", dayLengthH, 24); err != nil {
		return 0, err
	}
	if err := inRange("sunshine", "h", sunshineH, 0, dayLengthH); err != nil {
		return 0, err
	}
	return (overcast + perSunshine*sunshineH/dayLengthH) * extraterrestrial, nil
}

// GlobalFromTemperatures returns a day's global irradiation from the day's highest and lowest air temperature, in
// degrees C, in the unit of extraterrestrial (MJ/m2 or kWh/m2 a day). coastal is for places near a large water.
//
// Source: FAO Irrigation & Drainage Paper 56, eq. 50 (Hargreaves).
func GlobalFromTemperatures(extraterrestrial, highestC, lowestC float64, coastal bool) (float64, error) {
	const inlandFactor, coastalFactor = 0.16, 0.19 // kRs: FAO 56, eq. 50 (SEEN-S)
	if err := checkExtraterrestrial(extraterrestrial); err != nil {
		return 0, err
	}
	if err := inRange("highest temperature", "C", highestC, leastAirC, mostAirC); err != nil {
		return 0, err
	}
	if err := inRange("lowest temperature", "C", lowestC, leastAirC, highestC); err != nil {
		return 0, err
	}
	factor := inlandFactor
	if coastal {
		factor = coastalFactor
	}
	return factor * math.Sqrt(highestC-lowestC) * extraterrestrial, nil
}

// ClearSkyGlobal returns a cloudless day's global irradiation at an altitude in m, in the unit of extraterrestrial
// (MJ/m2 or kWh/m2 a day).
//
// Source: FAO Irrigation & Drainage Paper 56, eq. 37.
func ClearSkyGlobal(extraterrestrial, altitudeM float64) (float64, error) {
	if err := checkExtraterrestrial(extraterrestrial); err != nil {
		return 0, err
	}
	if err := inRange("altitude", "m", altitudeM, -450, 6000); err != nil {
		return 0, err
	}
	return (0.75 + 2e-5*altitudeM) * extraterrestrial, nil
}

func checkExtraterrestrial(v float64) error {
	// 50 MJ/m2 a day is more than any place on earth gets, in the larger of the two units.
	if v >= 0 && v <= 50 {
		return nil
	}
	return fmt.Errorf("solar: extraterrestrial irradiation %g a day, want 0 to 50 MJ/m2 or kWh/m2", v)
}
