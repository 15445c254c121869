package solar

// NOCT conditions: 800 W/m2 at 20 C air (and 1 m/s of wind). Standard definition (SEEN-S).
const (
	noctWm2  = 800
	noctAirC = 20
)

// cellC returns the temperature of the cells, in degrees C, at an irradiance in their plane in W/m2, an air temperature
// and the module's nominal operating cell temperature.
//
// Source: Ross, Interface design considerations for terrestrial solar cell modules, 1976: the rise over air is
// proportional to irradiance. Wind is left out, and so is the worse cooling of a module close to a roof.
func cellC(planeWm2, airC, noctC float64) float64 {
	return airC + (noctC-noctAirC)*planeWm2/noctWm2
}

// Air that the package takes for real, in degrees C: the record low of the Antarctic, and the upper end that weather
// files may hold.
const (
	leastAirC = -90
	MostAirC  = 70
)

func checkAirC(airC float64) error { return inRange("air temperature", "C", airC, leastAirC, MostAirC) }
