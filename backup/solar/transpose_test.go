package solar

import (
	"math"
	"testing"

	"pgregory.net/rapid"
)

func TestTiltedHour(t *testing.T) {
	// Duffie & Beckman, Example 2.15.1 (memory): 40 N, 60 degrees to the south, 20 February, 9 to 10, 1.04 MJ/m2,
	// albedo 0.60. The book: I0 2.34, kt 0.445, diffuse 0.766, R_b 1.71, then 0.417 + 0.597 + 0.156 = 1.17 MJ/m2.
	const n, hour, global = 51, -37.5, 1.04
	declination := DeclinationDeg(n)
	near(t, "declination", declination, -11.6, 0.05)
	extra := ExtraterrestrialWhM2(40, declination, n, hour-7.5, hour+7.5) / 1000 * mjPerKWh
	near(t, "I0", extra, 2.335, 0.005)
	near(t, "kt", global/extra, 0.445, 0.001)
	share := ErbsHourly(global / extra)
	near(t, "diffuse share", share, 0.766, 0.001)

	sun := SunFrom(40, declination, hour)
	plane := Plane{TiltDeg: 60, AzimuthDeg: 180}
	near(t, "cos incidence", plane.CosIncidence(sun), 0.799, 0.0005)
	near(t, "cos zenith", cosDeg(sun.ZenithDeg), 0.466, 0.0005)
	near(t, "R_b", plane.CosIncidence(sun)/cosDeg(sun.ZenithDeg), 1.71, 0.005)

	diffuse := share * global
	in := Irradiance{GlobalWm2: global, BeamNormalWm2: (global - diffuse) / cosDeg(sun.ZenithDeg), DiffuseWm2: diffuse}
	beam, sky, ground := newTilted(plane, 0.60).parts(in, sun.ZenithDeg, plane.CosIncidence(sun))
	near(t, "I_T", beam+sky+ground, 1.17, 0.005)
	near(t, "beam", beam, 0.417, 0.002)
	near(t, "sky", sky, 0.597, 0.002)
	near(t, "ground", ground, 0.156, 0.002)
}

func TestIncidence(t *testing.T) {
	// Reda & Andreas, NREL/TP-560-34302 (2008), Table A5.1 (SEEN-S): slope 30, facing 10 degrees east of south, seen
	// incidence 25.18700; its sun is refracted, at 50.11162.
	plane := Plane{TiltDeg: 30, AzimuthDeg: 170}
	near(t, "incidence", acosDeg(plane.CosIncidence(Sun{ZenithDeg: 50.11162, AzimuthDeg: 194.34024})), 25.18700, 0.0001)
}

func TestSkyView(t *testing.T) {
	// pvlib-python, test_irradiance.py (SEEN-P): tilt 40, diffuse 100.
	got := newTilted(Plane{TiltDeg: 40}, 0).receives(Irradiance{DiffuseWm2: 100}, Sun{ZenithDeg: 50})
	near(t, "sky diffuse", got, 88.30222215594891, 1e-11)
}

func TestHorizontalPlaneIsIdentity(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		sun := SunFrom(rapid.Float64Range(-90, 90).Draw(t, "lat"),
			rapid.Float64Range(-23.45, 23.45).Draw(t, "declination"),
			rapid.Float64Range(-180, 180).Draw(t, "hour"))
		in := Irradiance{BeamNormalWm2: rapid.Float64Range(0, 900).Draw(t, "beam"),
			DiffuseWm2: rapid.Float64Range(0, 500).Draw(t, "diffuse")}
		in.GlobalWm2 = in.DiffuseWm2
		if sun.ZenithDeg < 90 {
			in.GlobalWm2 += in.BeamNormalWm2 * cosDeg(sun.ZenithDeg)
		}
		plane := Plane{0, rapid.Float64Range(-360, 360).Draw(t, "azimuth")}
		got := newTilted(plane, rapid.Float64Range(0, 1).Draw(t, "albedo")).receives(in, sun)
		if math.Abs(got-in.GlobalWm2) > 1e-9 {
			t.Fatalf("%g W/m2, want %g", got, in.GlobalWm2)
		}
	})
}

func TestPlaneFacesItsSide(t *testing.T) {
	// Noon in June: in Europe the south roof gets more, in Tasmania the north roof.
	for lat, side := range map[float64]float64{50: 180, -42: 0} {
		sun := SunFrom(lat, 23, 0)
		toward, away := Plane{30, side}, Plane{30, side + 180}
		if toward.CosIncidence(sun) <= away.CosIncidence(sun) {
			t.Errorf("latitude %g: azimuth %g gets less than azimuth %g", lat, side, side+180)
		}
	}
	// Morning sun is in the east, 90.
	if sun := SunFrom(-42, -23, -60); (Plane{30, 90}).CosIncidence(sun) <= (Plane{30, 270}).CosIncidence(sun) {
		t.Error("the west roof gets the morning sun")
	}
}

func TestTransposeRefuses(t *testing.T) {
	for want, err := range map[string]error{
		"solar: tilt 91 degrees, want 0 to 90":                Plane{91, 0}.check(),
		"solar: azimuth 400 degrees, want -360 to 360":        Plane{30, 400}.check(),
		"solar: beam irradiance -1 W/m2, want 0 to 2000":      Irradiance{1, -1, 0}.check(),
		"solar: diffuse irradiance +Inf W/m2, want 0 to 2000": Irradiance{1, 1, math.Inf(1)}.check(),
		"solar: global irradiance NaN W/m2, want 0 to 2000":   Irradiance{math.NaN(), 1, 1}.check(),
	} {
		if err == nil || err.Error() != want {
			t.Errorf("error %v, want %s", err, want)
		}
	}
}
