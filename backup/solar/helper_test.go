package solar

// yearOf makes the year of a table of months, month by month.
func yearOf(m Monthly, days Days, seed uint64) (Weather, error) {
	sky, err := m.Sky()
	if err != nil {
		return Weather{}, err
	}
	return sky.year(days, seed)
}

func (s *Sky) year(days Days, seed uint64) (Weather, error) {
	w := Weather{Place: s.table.Place, Cautions: s.Cautions()}
	for month := range monthDays {
		hours, err := s.Month(month+1, days, seed)
		if err != nil {
			return Weather{}, err
		}
		w.Hours = append(w.Hours, hours...)
	}
	if err := w.check(); err != nil {
		return Weather{}, err
	}
	return w, nil
}

// receive is what becomes of the sun over some hours, by a receiver of its own.
func receive(a Array, hours []Hour) ([]Receipt, error) {
	r, err := a.Receiver()
	if err != nil {
		return nil, err
	}
	return r.Receive(hours, nil)
}

// dcOf is the DC power of every hour of a year, in W.
func dcOf(a Array, w Weather) ([]float64, error) {
	receipts, err := receive(a, w.Hours)
	if err != nil {
		return nil, err
	}
	out := make([]float64, len(receipts))
	for i := range receipts {
		out[i] = receipts[i].DCWh
	}
	return out, nil
}

// monthlyKWh sums a year of hourly means in W.
func monthlyKWh(w []float64) [12]float64 {
	sums := monthSums(w)
	for m := range sums {
		sums[m] /= 1000
	}
	return sums
}

// receives is all that falls into the plane, in W/m2.
func (t tilted) receives(i Irradiance, s Sun) float64 {
	beam, sky, ground := t.parts(i, s.ZenithDeg, t.plane.CosIncidence(s))
	return beam + sky + ground
}

func sum(vs []float64) (s float64) {
	for _, v := range vs {
		s += v
	}
	return s
}

// Month is [Sky.AppendMonth] behind nothing.
func (s *Sky) Month(month int, days Days, seed uint64) ([]Hour, error) {
	return s.AppendMonth(nil, month, days, seed)
}
