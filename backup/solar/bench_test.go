package solar

import (
	"strings"
	"testing"
)

func BenchmarkArrayReceive(b *testing.B) {
	w, err := yearOf(greensboro, DrawnDays, 1)
	if err != nil {
		b.Fatal(err)
	}
	a := Array{StringSet: StringSet{testModule, 8, 2}, Plane: Plane{30, 180}}
	b.ReportAllocs()
	for b.Loop() {
		if _, err := receive(a, w.Hours); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkMonthlyWeather(b *testing.B) {
	for days, name := range []string{EqualDays: "days=equal", OrderedDays: "days=ordered", DrawnDays: "days=drawn"} {
		b.Run(name, func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				if _, err := yearOf(greensboro, Days(days), 1); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}

func BenchmarkEPW(b *testing.B) {
	text := newEPW().text()
	f, err := ReadEPW(strings.NewReader(text))
	if err != nil {
		b.Fatal(err)
	}
	b.Run("step=read", func(b *testing.B) {
		b.ReportAllocs()
		b.SetBytes(int64(len(text)))
		for b.Loop() {
			if _, err := ReadEPW(strings.NewReader(text)); err != nil {
				b.Fatal(err)
			}
		}
	})
	b.Run("step=weather", func(b *testing.B) {
		b.ReportAllocs()
		for b.Loop() {
			if _, err := f.Weather(); err != nil {
				b.Fatal(err)
			}
		}
	})
}
