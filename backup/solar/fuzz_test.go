package solar

import (
	"bytes"
	"errors"
	"math"
	"strings"
	"testing"
)

// FuzzReadEPW reads anything at all. The small seeds in testdata never make a whole year; what has to hold is that the
// reader ends, with a place to look at.
func FuzzReadEPW(f *testing.F) {
	f.Fuzz(func(t *testing.T, src []byte) {
		file, err := ReadEPW(bytes.NewReader(src))
		var where *EPWError
		switch {
		case err == nil:
			if n := len(file.Hours); n != HoursPerYear && n != HoursPerYear+24 {
				t.Fatalf("%d hours", n)
			}
		case file != nil || !errors.As(err, &where):
			t.Fatalf("%v beside error %v", file, err)
		case where.Line < 0 || where.Line > bytes.Count(src, []byte("\n"))+1 || where.Column < 0 || where.Found == "" ||
			where.Want == "":
			t.Fatalf("%+v", where)
		}
	})
}

// FuzzEPWRow reads one row in its place in a year, and then the whole way to power.
func FuzzEPWRow(f *testing.F) {
	year := newEPW()
	array := Array{StringSet: StringSet{testModule, 8, 1}, Plane: Plane{35, 180}}
	read, err := ReadEPW(strings.NewReader(year.text()))
	if err != nil {
		f.Fatal(err)
	}
	f.Fuzz(func(t *testing.T, row string) {
		h, err := (&epwLines{n: 9 + 12}).row(row)
		if err != nil {
			var where *EPWError
			if !errors.As(err, &where) || where.Line != 21 || where.Column > epwColumns {
				t.Fatalf("%v", err)
			}
			return
		}
		for _, v := range []float64{h.GlobalWhM2, h.DirectWhM2, h.DiffuseWhM2} {
			if !(v >= 0 && v <= maxIrradianceWm2) || math.Signbit(v) {
				t.Fatalf("%+v", h)
			}
		}
		if !(h.AirC >= -70 && h.AirC <= 70) {
			t.Fatalf("%+v", h)
		}
		file := *read
		file.Hours = append([]EPWHour(nil), read.Hours...)
		file.Hours[12] = h
		file.Hours[12].Month, file.Hours[12].Day, file.Hours[12].Hour = 1, 1, 13
		w, err := file.Weather()
		if err != nil {
			t.Fatal(err)
		}
		dc, err := dcOf(array, w)
		if err != nil {
			t.Fatal(err)
		}
		if v := dc[12]; !(v >= 0 && v < 3*array.RatedW()) {
			t.Fatalf("%g W from %+v", v, w.Hours[12])
		}
	})
}
