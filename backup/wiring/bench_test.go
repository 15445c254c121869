package wiring

import (
	"fmt"
	"testing"
)

// The cost of choosing lies in the sizes that are tried: the first, one in the middle, the last.
func BenchmarkChoose(b *testing.B) {
	for _, tables := range AllTables() {
		for _, needA := range []float64{10, 100, 400} {
			b.Run(fmt.Sprintf("tables=%s/amps=%g", tables, needA), func(b *testing.B) {
				r := run{Laying: Laying{Tables: tables, System: SinglePhase, Method: OnWall, AmbientC: 30,
					Grouped: 1}, VoltageV: 230, LengthM: 5,
					LoadA: needA, NeedA: needA, StartA: needA, SurgeA: needA, SurgeS: 1}
				b.ReportAllocs()
				for b.Loop() {
					if c, err := r.choose(InConduit); err != nil || c.Size.MM2 == 0 {
						b.Fatal(c, err)
					}
				}
			})
		}
	}
}

func BenchmarkSizeBank(b *testing.B) {
	bank := Bank{Laying: Laying{Tables: IEC, Strand: Flexible, AmbientC: 35}, NominalV: 51.2, HighestV: 56.8,
		ContinuousA: 113, ChargeA: 100,
		SurgeA: 220, SurgeS: 5, LengthM: 1.5, Strings: 2, Source: Source{BankMOhm: 12}}
	b.ReportAllocs()
	for b.Loop() {
		if r, err := SizeBank(bank); err != nil || !r.Choice.Found {
			b.Fatal(r, err)
		}
	}
}

func BenchmarkSizeFeeder(b *testing.B) {
	f := Feeder{Laying: Laying{Tables: IEC, System: SinglePhase, AmbientC: 35}, VoltageV: 230, LengthM: 20,
		ContinuousA: 2, OtherA: 5, StartA: 30,
		BreakerA: 16, CableMM2: 2.5, Upstream: 0.01, StartPowerFactor: 0.5}
	b.ReportAllocs()
	for b.Loop() {
		if r, err := SizeFeeder(f); err != nil || !r.Choice.Found {
			b.Fatal(r, err)
		}
	}
}
