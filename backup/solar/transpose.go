package solar

// DefaultAlbedo is the share of global irradiation that bare ground reflects; fresh snow reflects 0.6 to 0.7. Common
// textbook default (memory).
const DefaultAlbedo = 0.2

// maxIrradianceWm2 refuses what cannot be sunlight (a shifted column, another unit) and leaves room for the edge of a
// cloud, where sensors do read more than the solar constant. Own choice.
const maxIrradianceWm2 = 2000

// A Plane is which way the modules face.
type Plane struct {
	TiltDeg    float64 // 0 lies flat, 90 is a wall
	AzimuthDeg float64 // -360..360, clockwise from north: 0 faces north, 90 east
}

func (p Plane) check() error {
	if err := inRange("tilt", "degrees", p.TiltDeg, 0, 90); err != nil {
		return err
	}
	return inRange("azimuth", "degrees", p.AzimuthDeg, -360, 360)
}

// Irradiance is one hour's mean, in W/m2.
type Irradiance struct {
	GlobalWm2     float64 // on the horizontal
	BeamNormalWm2 float64 // on a plane that faces the sun
	DiffuseWm2    float64 // from the sky, on the horizontal
}

func (i Irradiance) check() error {
	for _, f := range []struct {
		name string
		v    float64
	}{{"global irradiance", i.GlobalWm2}, {"beam irradiance", i.BeamNormalWm2}, {"diffuse irradiance", i.DiffuseWm2}} {
		if err := inRange(f.name, "W/m2", f.v, 0, maxIrradianceWm2); err != nil {
			return err
		}
	}
	return nil
}

// CosIncidence returns the cosine of the angle between the sun and the plane's normal; negative when the sun is behind
// it. A dot product rather than the book's sum of five terms: it has no special cases.
func (p Plane) CosIncidence(s Sun) float64 {
	return cosDeg(s.ZenithDeg)*cosDeg(p.TiltDeg) +
		sinDeg(s.ZenithDeg)*sinDeg(p.TiltDeg)*cosDeg(s.AzimuthDeg-p.AzimuthDeg)
}

// tilted is a plane with what does not change from hour to hour.
type tilted struct {
	plane       Plane
	sky, ground float64 // shares of diffuse and of global
}

func newTilted(p Plane, albedo float64) tilted {
	cosTilt := cosDeg(p.TiltDeg)
	return tilted{p, (1 + cosTilt) / 2, albedo * (1 - cosTilt) / 2}
}

// parts returns what the plane receives of an hour, in W/m2: beam, the part of an evenly bright sky that it sees, and
// what the ground reflects, given the sun's zenith angle and the cosine of its incidence. Where global =
// beam*cos(zenith) + diffuse, a plane of tilt 0 receives exactly global.
//
// Source: Liu & Jordan's isotropic sky; Duffie & Beckman, section 2.15. It leaves out the brighter sky around the
// sun, so that a plane tilted to the equator is given a few per cent too little: right for backup power.
func (t tilted) parts(i Irradiance, zenithDeg, cosIncidence float64) (beam, sky, ground float64) {
	if zenithDeg < 90 {
		beam = i.BeamNormalWm2 * max(0, cosIncidence)
	}
	return beam, i.DiffuseWm2 * t.sky, i.GlobalWm2 * t.ground
}
