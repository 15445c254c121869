package solar

import (
	"math"
	"slices"

	"outlast/backup/fault"
)

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

// A Receiver is an array for several draws of the same hours: where the sun stands as it did in the draw before, its
// angle to the plane is not worked out again. It is for one goroutine.
type Receiver struct {
	array readyArray
	suns  []Sun
	cos   []float64 // of incidence
}

// Receiver makes the array ready. An error reports a module, a plane, a loss or an albedo out of range.
func (a Array) Receiver() (*Receiver, error) {
	ready, err := a.ready()
	return &Receiver{array: ready}, err
}

// Receive appends to out what becomes of the sun over some hours, hour by hour: what falls on the array, and what it
// gives after losses, before any limit of a tracker input. It is power in proportion to the irradiance in the plane,
// corrected for the temperature of the cells.
func (r *Receiver) Receive(hours []Hour, out []Receipt) ([]Receipt, error) {
	out = slices.Grow(out, len(hours))
	for i := range hours {
		cos, err := r.toward(hours, i)
		if err != nil {
			return nil, err
		}
		out = append(out, r.array.hour(&hours[i], cos))
	}
	return out, nil
}

// AddDC adds to sums, hour by hour, what the array gives of the sun after losses: the DCWh of what [Receiver.Receive]
// tells, and nothing else is worked out.
func (r *Receiver) AddDC(hours []Hour, sums []float64) error {
	for i := range hours {
		cos, err := r.toward(hours, i)
		if err != nil {
			return err
		}
		if h := &hours[i]; h.GlobalWm2 != 0 {
			beam, sky, ground := r.array.plane.parts(h.Irradiance, h.Sun.ZenithDeg, cos)
			// The product is rounded before it is added, on machines too that could do both at once.
			sums[i] += float64(r.array.kept * r.array.warmWh(beam+sky+ground, h.AirC))
		}
	}
	return nil
}

// toward checks an hour and returns the cosine of the sun's incidence; of an hour without sun it is any number.
func (r *Receiver) toward(hours []Hour, i int) (cos float64, err error) {
	h := &hours[i]
	if err := h.check(); err != nil {
		return 0, errs.Errorf("%w (hour %d)", fault.Reason(err), i)
	}
	if i == len(r.suns) {
		r.suns, r.cos = slices.Grow(r.suns, len(hours)-i), slices.Grow(r.cos, len(hours)-i)
		for range len(hours) - i {
			r.suns, r.cos = append(r.suns, Sun{}), append(r.cos, math.NaN())
		}
	}
	if h.GlobalWm2 > 0 && (r.suns[i] != h.Sun || math.IsNaN(r.cos[i])) {
		r.suns[i], r.cos[i] = h.Sun, r.array.plane.plane.CosIncidence(h.Sun)
	}
	return r.cos[i], nil
}

// A Receipt follows the sun of an hour, or of several added up, from the sky to the array's terminals.
type Receipt struct {
	GlobalWhM2, DiffuseWhM2       float64 // on the horizontal
	BeamWhM2, SkyWhM2, GroundWhM2 float64 // in the plane of the array: from the sun, from the sky, from the ground
	CoolWh                        float64 // what all modules would give of it with cells at 25 C, without losses
	WarmWh                        float64 // with cells as warm as they are
	DCWh                          float64 // after the losses
}

// PlaneWhM2 is all that falls into the plane of the array.
func (r Receipt) PlaneWhM2() float64 { return r.BeamWhM2 + r.SkyWhM2 + r.GroundWhM2 }

// Plus adds two receipts up.
func (r Receipt) Plus(s Receipt) Receipt {
	return Receipt{
		r.GlobalWhM2 + s.GlobalWhM2, r.DiffuseWhM2 + s.DiffuseWhM2, r.BeamWhM2 + s.BeamWhM2, r.SkyWhM2 + s.SkyWhM2,
		r.GroundWhM2 + s.GroundWhM2, r.CoolWh + s.CoolWh, r.WarmWh + s.WarmWh, r.DCWh + s.DCWh,
	}
}

// Over is the mean over a number of days, or of whatever.
func (r Receipt) Over(n float64) Receipt {
	return Receipt{
		r.GlobalWhM2 / n, r.DiffuseWhM2 / n, r.BeamWhM2 / n, r.SkyWhM2 / n, r.GroundWhM2 / n, r.CoolWh / n,
		r.WarmWh / n, r.DCWh / n,
	}
}

// readyArray is an array with what does not change from hour to hour.
type readyArray struct {
	module  Module // defaults filled in
	plane   tilted
	modules float64
	kept    float64 // share that the losses leave
}

func (a Array) ready() (r readyArray, err error) {
	if err := a.check(); err != nil {
		return r, err
	}
	losses := a.Losses
	if losses == nil {
		losses = DefaultLosses()
	}
	lost, err := CombineLosses(losses)
	if err != nil {
		return r, err
	}
	albedo := a.Albedo
	if albedo == 0 {
		albedo = DefaultAlbedo
	}
	r.module, _ = a.Module.WithDefaults()
	r.plane, r.modules, r.kept = newTilted(a.Plane, albedo), float64(a.PerString)*float64(a.Strings), 1-lost
	return r, nil
}

// hour follows one hour, given the cosine of the sun's incidence.
func (r *readyArray) hour(h *Hour, cosIncidence float64) (out Receipt) {
	if h.GlobalWm2 == 0 {
		return out
	}
	out.GlobalWhM2, out.DiffuseWhM2 = h.GlobalWm2, h.DiffuseWm2
	out.BeamWhM2, out.SkyWhM2, out.GroundWhM2 = r.plane.parts(h.Irradiance, h.Sun.ZenithDeg, cosIncidence)
	g := out.PlaneWhM2()
	out.CoolWh = r.modules * r.module.dcW(g, 25)
	out.WarmWh = r.warmWh(g, h.AirC)
	out.DCWh = r.kept * out.WarmWh
	return out
}

// warmWh is what all modules give of an hour's irradiance in their plane, before losses, with cells as warm as they are.
func (r *readyArray) warmWh(planeWm2, airC float64) float64 {
	return r.modules * r.module.dcW(planeWm2, cellC(planeWm2, airC, r.module.NOCTC))
}
