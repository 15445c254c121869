package wiring

import (
	"fmt"
	"math"
	"reflect"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"outlast/backup/working"
	"outlast/battery"
)

// allFinite walks a result and reports the first number that is none, in texts too.
func allFinite(t *rapid.T, path string, v reflect.Value) {
	switch v.Kind() {
	case reflect.Float64:
		if f := v.Float(); math.IsNaN(f) || math.IsInf(f, 0) {
			t.Fatalf("%s is %g", path, f)
		}
	case reflect.String:
		if s := v.String(); strings.Contains(s, "NaN") || strings.Contains(s, "Inf") {
			t.Fatalf("%s is %q", path, s)
		}
	case reflect.Struct:
		for i := range v.NumField() {
			allFinite(t, path+"."+v.Type().Field(i).Name, v.Field(i))
		}
	case reflect.Slice:
		for i := range v.Len() {
			allFinite(t, path, v.Index(i))
		}
	}
}

// awkward draws numbers that break programs.
func awkward(t *rapid.T) float64 {
	return rapid.OneOf(
		rapid.Float64Range(0, 1), rapid.Float64Range(1, 500), rapid.Float64(),
		rapid.SampledFrom([]float64{0, -1, math.NaN(), math.Inf(1), math.Inf(-1), math.MaxFloat64,
			math.SmallestNonzeroFloat64, 1e5, 1e8, 1e-6, -60, 60}),
	).Draw(t, "number")
}

// disturb puts up to three awkward numbers into the fields of a good input, so that most of it stays good and the call
// gets past its border.
func disturb[T any](t *rapid.T, good T) T {
	var fields []reflect.Value
	var list func(v reflect.Value)
	list = func(v reflect.Value) {
		for i := range v.NumField() {
			switch f := v.Field(i); f.Kind() {
			case reflect.Float64, reflect.Int:
				fields = append(fields, f)
			case reflect.Struct:
				list(f)
			}
		}
	}
	bad := good
	list(reflect.ValueOf(&bad).Elem())
	for range rapid.IntRange(0, 3).Draw(t, "disturbed") {
		f := rapid.SampledFrom(fields).Draw(t, "field")
		if f.Kind() == reflect.Int {
			f.SetInt(int64(rapid.SampledFrom([]int{0, 1, 2, 3, 20, -1, math.MaxInt, math.MinInt}).Draw(t, "whole")))
		} else {
			f.SetFloat(awkward(t))
		}
	}
	return bad
}

// workingOf is the working of a result.
func workingOf(result any) []Step {
	if set, ok := result.(GeneratorResult); ok {
		return slices.Concat(set.Rating(nil), set.Output(nil), set.Fuel(nil))
	}
	return result.(interface{ Working(working.Origins) []Step }).Working(nil)
}

// lawful holds a function to the law: for any numbers either an error or a result of numbers, never a panic, and the
// same input gives the same.
func lawful[T, R any](name string, call func(T) (R, error), good T) func(t *testing.T) {
	return func(t *testing.T) {
		if _, err := call(good); err != nil {
			t.Fatalf("the good input is refused: %v", err)
		}
		rapid.Check(t, func(t *rapid.T) {
			in := disturb(t, good)
			got, err := call(in)
			if err == nil {
				allFinite(t, name, reflect.ValueOf(got))
				allFinite(t, name+" working", reflect.ValueOf(workingOf(got)))
			}
			again, err2 := call(in)
			if (err == nil) != (err2 == nil) || err == nil && (fmt.Sprintf("%+v", got) != fmt.Sprintf("%+v", again) ||
				!reflect.DeepEqual(workingOf(got), workingOf(again))) {
				t.Fatalf("%+v, %v and then %+v, %v", got, err, again, err2)
			}
		})
	}
}

func TestAnyNumbers(t *testing.T) {
	for _, l := range []Laying{
		{Tables: IEC, System: ThreePhase, AmbientC: 35, Grouped: 2},
		{Tables: US, System: SinglePhase, InsulationC: 90, AmbientC: 35, Grouped: 2},
	} {
		t.Run("choose", lawful("choose", func(r run) (Choice, error) { return r.choose(InConduit) },
			run{Laying: l, VoltageV: 230, LengthM: 20, LoadA: 10, DeviceA: 16, SurgeA: 40, SurgeS: 3,
				StartA:           40,
				StartPowerFactor: 0.4, Upstream: 0.01, NeedTableA: 12}))
		t.Run("SizeFeeder", lawful("SizeFeeder", SizeFeeder, Feeder{Laying: l, VoltageV: 230, LengthM: 20,
			ContinuousA: 10, OtherA: 3, StartA: 40, Upstream: 0.01}))
		t.Run("SizeBank", lawful("SizeBank", SizeBank, Bank{Laying: l, NominalV: 48, HighestV: 58, ContinuousA: 60,
			ChargeA: 50, SurgeA: 120, SurgeS: 5, LengthM: 2,
			Strings: 3, Device: Device{RatedV: 80, BreakingA: 1e4},
			Source: Source{BankMOhm: 10, PathMOhm: 1, ChargerA: 50}}))
		t.Run("SizePV", lawful("SizePV", SizePV, PVString{Laying: l, ShortCircuitA: 12, MaxPowerA: 11, MaxPowerV: 300,
			ColdOpenCircuitV: 400, Strings: 3, MaxSeriesFuseA: 25,
			LengthM: 10, Isolator: Device{RatedA: 32, RatedV: 600}}))
	}
	t.Run("Prospective", lawful("Prospective", func(s Source) (ShortCircuit,
		error) {
		return s.Prospective(Practice{})
	},
		Source{NominalV: 48, CapacityAh: 400, Chemistry: battery.Flooded, ChargerA: 50}))
	t.Run("SizeGenerator", lawful("SizeGenerator", SizeGenerator,
		Generator{RatedVA: 6500, RunningW: 3000, RunningVA: 3500, StartVA: 5000, TotalStartVA: 7000, TankL: 40}))
}
