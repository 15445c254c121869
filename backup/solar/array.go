package solar

// An Array is equal strings in one plane.
type Array struct {
	StringSet
	Plane  Plane
	Losses []Loss  // nil means DefaultLosses, an empty list none
	Albedo float64 // 0..1; 0 means DefaultAlbedo
}

func (a Array) check() error {
	if err := a.StringSet.check(); err != nil {
		return err
	}
	if err := a.Plane.check(); err != nil {
		return err
	}
	return inRange("albedo", "", a.Albedo, 0, 1)
}

// Year returns the array's DC power through the year of w, after losses, before any limit of a tracker input.
//
// It is power in proportion to the irradiance in the plane, corrected for the temperature of the cells.
func (a Array) Year(w Weather) (Year, error) {
	if err := a.check(); err != nil {
		return Year{}, err
	}
	if err := w.check(); err != nil {
		return Year{}, err
	}
	losses := a.Losses
	if losses == nil {
		losses = DefaultLosses()
	}
	lost, err := CombineLosses(losses)
	if err != nil {
		return Year{}, err
	}
	albedo := a.Albedo
	if albedo == 0 {
		albedo = DefaultAlbedo
	}
	m, _ := a.Module.WithDefaults()
	plane := newTilted(a.Plane, albedo)
	count := float64(a.PerString) * float64(a.Strings) * (1 - lost)

	y := Year{W: make([]float64, HoursPerYear)}
	for i := range w.Hours {
		h := &w.Hours[i]
		if h.GlobalWm2 == 0 {
			continue
		}
		g := plane.receives(h.Irradiance, h.Sun)
		y.W[i] = count * m.dcW(g, cellC(g, h.AirC, m.NOCTC))
	}
	return y, nil
}

// A Year is DC power hour by hour.
type Year struct {
	W []float64 // HoursPerYear hourly means; the first is 1 January, 00:00 to 01:00 local standard time
}

// MonthlyKWh returns the energy of each month, in kWh.
func (y Year) MonthlyKWh() [12]float64 {
	if len(y.W) != HoursPerYear {
		return [12]float64{} // the zero Year, which came with an error
	}
	sums := monthSums(y.W)
	for m := range sums {
		sums[m] /= 1000
	}
	return sums
}

// KWh returns the energy of the year, in kWh.
func (y Year) KWh() (kWh float64) {
	for _, m := range y.MonthlyKWh() {
		kWh += m
	}
	return kWh
}
