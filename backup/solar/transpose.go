package solar

import "fmt"

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

// Irradiance returns what the plane receives, in W/m2: beam, the part of an evenly bright sky that it sees, and what
// the ground reflects. Where global = beam*cos(zenith) + diffuse, a plane of tilt 0 receives exactly global.
//
// albedo is in 0..1. An error reports a plane, an albedo or an irradiance out of range (0 to 2000 W/m2).
//
// Source: Liu & Jordan's isotropic sky; Duffie & Beckman, section 2.15. It leaves out the brighter sky around the
// sun, so that a plane tilted to the equator is given a few per cent too little: right for backup power.
func (p Plane) Irradiance(i Irradiance, s Sun, albedo float64) (float64, error) {
	if err := p.check(); err != nil {
		return 0, err
	}
	if err := i.check(); err != nil {
		return 0, err
	}
	if err := inRange("albedo", "", albedo, 0, 1); err != nil {
		return 0, err
	}
	return newTilted(p, albedo).receives(i, s), nil
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

func (t tilted) receives(i Irradiance, s Sun) float64 {
	beam, sky, ground := t.parts(i, s.ZenithDeg, t.plane.CosIncidence(s))
	return beam + sky + ground
}

func (t tilted) parts(i Irradiance, zenithDeg, cosIncidence float64) (beam, sky, ground float64) {
	if zenithDeg < 90 {
		beam = i.BeamNormalWm2 * max(0, cosIncidence)
	}
	return beam, i.DiffuseWm2 * t.sky, i.GlobalWm2 * t.ground
}

// BeamRatio returns beam on the plane over beam on the horizontal (R_b of the books); 0 when the sun is behind the
// plane, and an error when it is not above the horizon, where the ratio has no meaning.
//
// Source: Duffie & Beckman, eq. 1.8.1.
func (p Plane) BeamRatio(s Sun) (float64, error) {
	if err := p.check(); err != nil {
		return 0, err
	}
	cosZenith := cosDeg(s.ZenithDeg)
	if !(s.ZenithDeg >= 0 && s.ZenithDeg < 90 && cosZenith > 0) {
		return 0, fmt.Errorf("solar: beam ratio at zenith angle %g degrees, want 0 to below 90", s.ZenithDeg)
	}
	return max(0, p.CosIncidence(s)) / cosZenith, nil
}
