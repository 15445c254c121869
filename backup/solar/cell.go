package solar

// NOCT conditions: 800 W/m2 at 20 C air (and 1 m/s of wind). Standard definition (SEEN-S).
const (
	noctWm2  = 800
	noctAirC = 20
)

// CellC returns the temperature of the cells, in degrees C, at an irradiance in their plane (0 to 2000 W/m2), an air
// temperature (-90 to 70 C) and the module's nominal operating cell temperature (20 to 90 C).
//
// Source: Ross, Interface design considerations for terrestrial solar cell modules, 1976: the rise over air is
// proportional to irradiance. Wind is left out, and so is the worse cooling of a module close to a roof.
func CellC(planeWm2, airC, noctC float64) (float64, error) {
	if err := inRange("irradiance in the plane", "W/m2", planeWm2, 0, maxIrradianceWm2); err != nil {
		return 0, err
	}
	if err := checkAirC(airC); err != nil {
		return 0, err
	}
	if err := inRange("nominal operating cell temperature", "C", noctC, 20, 90); err != nil {
		return 0, err
	}
	return cellC(planeWm2, airC, noctC), nil
}

func cellC(planeWm2, airC, noctC float64) float64 {
	return airC + (noctC-noctAirC)*planeWm2/noctWm2
}

// Air that the package takes for real, in degrees C: the record low of the Antarctic, and the upper end that weather
// files may hold.
const leastAirC, mostAirC = -90, 70

func checkAirC(airC float64) error { return inRange("air temperature", "C", airC, leastAirC, mostAirC) }
