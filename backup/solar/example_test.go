package solar_test

import (
	"fmt"

	"outlast/backup/solar"
)

func ExampleDailyExtraterrestrialKWhM2() {
	// Duffie & Beckman, Example 1.10.1: 43 N, 15 April; the book gives 33.8 MJ/m2.
	const n = 105
	kWh := solar.DailyExtraterrestrialKWhM2(43, solar.DeclinationDeg(n), n)
	fmt.Printf("%.1f MJ/m2\n", kWh*3.6)
	// Output: 33.8 MJ/m2
}

func ExampleStringWindow() {
	module := solar.Module{
		RatedW: 440, VocV: 52.0, IscA: 10.8, VmpV: 43.6, ImpA: 10.1,
		VocPerC: -0.0027, PmaxPerC: -0.0035, NOCTC: 44,
	}
	input := solar.Input{MaxV: 500, TrackMinV: 120, TrackMaxV: 430}
	ten := solar.StringSet{Module: module, PerString: 10, Strings: 1}
	checks, err := solar.StringWindow(input, solar.Climate{ColdestC: -10, HottestC: 40}, ten)
	if err != nil {
		fmt.Println(err)
		return
	}
	cold, hot := checks[0], checks[2]
	fmt.Printf("%.0f of %g V: %t; at most %d modules, at least %d\n", cold.Demand, cold.Limit, cold.OK, cold.Modules,
		hot.Modules)
	// Output: 569 of 500 V: false; at most 8 modules, at least 4
}

func ExampleSky_Month() {
	place := solar.Monthly{
		Place:          solar.Place{LatitudeDeg: -37.9, LongitudeDeg: 145.2, UTCOffsetH: 10},
		GlobalKWhM2Day: [12]float64{6.8, 6.0, 4.9, 3.5, 2.4, 2.0, 2.2, 3.0, 4.0, 5.2, 6.1, 6.7},
	}
	sky, err := place.Sky()
	if err != nil {
		fmt.Println(err)
		return
	}
	june, err := sky.Month(6, solar.DrawnDays, 1)
	if err != nil {
		fmt.Println(err)
		return
	}
	sum := 0.0
	for _, h := range june {
		sum += h.GlobalWm2
	}
	fmt.Printf("June: %.1f kWh/m2 a day\n", sum/1000/30)
	// Output: June: 2.0 kWh/m2 a day
}

func ExampleSunFrom() {
	// Duffie & Beckman, Example 1.6.3: 43 N, 16 March, solar 16:00; the book has zenith 70.3 and, from south, 66.8.
	sun := solar.SunFrom(43, -2.4, 60)
	fmt.Printf("zenith %.1f, azimuth %.1f\n", sun.ZenithDeg, sun.AzimuthDeg)
	// Output: zenith 70.3, azimuth 246.8
}
