package battery

import (
	"math"

	"outlast/backup/phrase"
	"outlast/backup/working"
)

// A GasRate is what a battery gives off while it is charged, as the ventilation standard counts it, and up to which
// volts of a cell.
type GasRate struct {
	FloatMAPerAh, BoostMAPerAh float64 // Igas, in mA for each Ah of the C10 capacity
	FloatCellV, BoostCellV     float64 // the rates hold up to these
	Source                     working.Source
}

// gasRates: IEC 62485-2 (EN 50272-2), table 1, as two public pages quote it. Igas is the charge current (1 mA/Ah on
// float; 4 vented, 8 valve-regulated on boost) times fg (1 vented, 0.2 valve-regulated) times the safety factor 5 in
// fs.
var gasRates = map[Chemistry]GasRate{
	Flooded: {5, 20, 2.23, 2.40, working.IEC62485.At(phrase.Of("%s, vented lead-acid", working.InTable("1")),
		working.Quoted)},
	AGM: {1, 8, 2.27, 2.40, working.IEC62485.At(phrase.Of("%s, valve-regulated lead-acid", working.InTable("1")),
		working.Quoted)},
	Gel: {1, 8, 2.27, 2.40, working.IEC62485.At(phrase.Of("%s, valve-regulated lead-acid", working.InTable("1")),
		working.Quoted)},
}

// Gas returns the gas rate of a chemistry; ok is false for lithium, which gives off none in normal use (a fault is
// another matter, and no air flow of this kind covers it).
func (c Chemistry) Gas() (g GasRate, ok bool) {
	g, ok = gasRates[c]
	return g, ok
}

// Constants of the ventilation formula, IEC 62485-2 as public pages quote it.
const (
	dilution          = 24      // v: to 4 % hydrogen and no more
	hydrogenM3PerAh   = 0.42e-3 // q: hydrogen of one cell for each Ah, at 0 C
	ventilationSafety = 5       // s
	// The standard rounds 24 * 0.42e-3 * 5 = 0.0504 to this, and so do all who follow it.
	ventilationFactor = 0.05
	openingCM2        = 28   // cm2 for each m3/h, air at 0.1 m/s; inlet and outlet each
	roomPerFlow       = 2.5  // EN 50272-3, a maker's page
	safetyDistanceMM  = 28.8 // mm, EN 50272-2, from memory
	leastDistanceMM   = 500  // through the air of charging rooms: a consultant's page on them

	// TableHottestC is the temperature up to which the rates hold (the page that quotes the table). Above it the gas
	// doubles with every 8 K: a maker's manual, and 15 F in the worked example of a US military ventilation guide.
	TableHottestC = 40
	gasDoublesK   = 8
	// The volts of the table are printed in hundredths.
	cellVRounding = 0.005

	// Above the volts of the table the charger's whole current may turn into gas, and the air keeps hydrogen under 2 %:
	// US UFC 3-520-01 (2002), 14-1.3.2.2, for cells at full charge. EN 62485-3 counts 40 % of the charger's rating
	// where the current at the end of the charge is not known; with its safety factor that is a little less.
	fullGasShare = 0.02
	fullGasC     = 25

	// The Australian rule for vented cells, AS 2676.1 as an engineers' page quotes it: litres a second for each cell
	// and ampere of the charger, and an opening for each litre a second. Valve-regulated with a cut-out against
	// overvoltage count 0.5 A for each 100 Ah, from memory.
	australianLPerS     = 0.006
	australianSealedAAh = 0.5 / 100
	australianCM2       = 100
)

// An AirRule says where a figure of [Ventilation] comes from.
type AirRule string

// The rules.
const (
	AirByTable   AirRule = "table"   // gas rates of IEC 62485-2
	AirByCharger AirRule = "charger" // all of the charging current as gas
	AirByAS      AirRule = "as"      // the Australian rule
)

// A Ventilation is the air that a battery space needs.
type Ventilation struct {
	FlowM3PerH float64 // fresh air
	OpeningCM2 float64 // of the inlet and of the outlet, each, for natural flow
	RoomM3     float64 // a free volume from which a room counts as well ventilated (EN 50272-3, a maker's page)
	DistanceMM float64 // round the vents, no spark or flame (EN 50272-2, from memory; never under 500 mm for a bank)

	Rule       AirRule
	GasMAPerAh float64 // AirByTable: the rate, without Heat
	C10Ah      float64 // capacity in 10 h that the rate is of
	Heat       float64 // AirByTable: factor for what is hotter than the table; 1: nothing is
	CurrentA   float64 // of the other rules: current that turns into gas
}

// VentilationFor returns the air for cells in series (at least 1), a gas rate in mA/Ah and the C10 capacity in Ah of
// all parallel strings together: Q = 0.05 n Igas Crt / 1000 m3/h and an opening of 28 Q cm2. Source: IEC 62485-2, EN
// 50272-2, as public pages quote them; valid up to 40 C. Recombination plugs halve the rate of vented cells.
func VentilationFor(cells int, gasMAPerAh, c10Ah float64) (Ventilation, error) {
	if cells < 1 {
		return Ventilation{}, errs.Errorf("%d cells, want at least 1", cells)
	}
	if !(gasMAPerAh >= 0) || !(c10Ah >= 0) || !finite(float64(cells)*gasMAPerAh*c10Ah) {
		return Ventilation{}, errs.Errorf("%g mA/Ah of gas from %g Ah, want finite numbers of at least 0", gasMAPerAh,
			c10Ah)
	}
	v := air(ventilationFactor*float64(cells)*gasMAPerAh*c10Ah/1000, cells, 1)
	v.Rule, v.GasMAPerAh, v.C10Ah, v.Heat = AirByTable, gasMAPerAh, c10Ah, 1
	return v, nil
}

// air is what a flow in m3/h asks for. The distance is that of the gas current, in mA, which the formula of the
// standard would need for the flow; vented is how many cells share a vent.
func air(flow float64, cells, vented int) Ventilation {
	gasMA := 1000 * flow / (ventilationFactor * float64(cells))
	return Ventilation{FlowM3PerH: flow, OpeningCM2: openingCM2 * flow, RoomM3: roomPerFlow * flow,
		DistanceMM: safetyDistanceMM * math.Cbrt(float64(vented)*gasMA)}
}

// A ChargingCase is how a bank is charged, as far as its gas depends on it.
type ChargingCase struct {
	// CurrentA is the greatest current of all that charges the bank together: with volts above those of the table it
	// may turn into gas. 0 is not known; then what the bank bears is taken.
	CurrentA   float64
	Equalises  bool    // the charger can equalise
	HottestC   float64 // of the space
	Australian bool    // the Australian rule holds beside the standard's: the larger counts
}

// Ventilation returns the air that the bank needs on float and on boost (absorption and equalise) charge. Both are zero
// for lithium. Where the volts of a cell are above those of the table's row, the next row holds, and above the last all
// of the charging current.
func (b Bank) Ventilation(c ChargingCase) (float, boost Ventilation, err error) {
	g, ok := b.Unit.Chemistry.Gas()
	if !ok {
		return Ventilation{}, Ventilation{}, nil
	}
	if !(c.CurrentA >= 0) || !(c.CurrentA <= most) || !finite(c.HottestC) {
		return Ventilation{}, Ventilation{},
			errs.Errorf("charging with %g A at %g C, want 0 to %g A and a finite temperature", c.CurrentA,
				c.HottestC, most)
	}
	boostV := b.Unit.ChargeV
	if c.Equalises {
		boostV = max(boostV, b.Unit.EqualiseV)
	}
	if float, err = b.airAt(g, b.Unit.FloatV, g.FloatMAPerAh, g.FloatCellV, c); err != nil {
		return Ventilation{}, Ventilation{}, err
	}
	if boost, err = b.airAt(g, boostV, g.BoostMAPerAh, g.BoostCellV, c); err != nil {
		return Ventilation{}, Ventilation{}, err
	}
	if c.Australian {
		if as := b.australianAir(c); as.FlowM3PerH > boost.FlowM3PerH {
			boost = as
		}
	}
	return float, boost, nil
}

// airAt is the air while a unit has unitV, for a rate that holds up to rowCellV.
func (b Bank) airAt(g GasRate, unitV, rate, rowCellV float64, c ChargingCase) (Ventilation, error) {
	cellV := unitV / float64(b.Unit.Cells())
	if cellV > rowCellV+cellVRounding {
		rate = g.BoostMAPerAh
	}
	heat := math.Exp2(max(0, c.HottestC-TableHottestC) / gasDoublesK)
	v, err := VentilationFor(b.Cells(), rate*heat, b.C10Ah())
	if err != nil {
		return Ventilation{}, err
	}
	v.GasMAPerAh, v.Heat = rate, heat
	if a := b.gasA(c); cellV > g.BoostCellV+cellVRounding {
		full := HydrogenM3PerH(b.Cells(), a) * (fullGasC - absoluteZeroC) / -absoluteZeroC / fullGasShare
		if full > v.FlowM3PerH {
			v = air(full, b.Cells(), 1)
			v.Rule, v.CurrentA, v.C10Ah, v.Heat = AirByCharger, a, b.C10Ah(), 1
		}
	}
	return b.keepApart(v), nil
}

// gasA is the current that may turn into gas.
func (b Bank) gasA(c ChargingCase) float64 {
	if c.CurrentA > 0 {
		return c.CurrentA
	}
	_, most, _ := b.ChargeRange()
	return most
}

func (b Bank) australianAir(c ChargingCase) Ventilation {
	a := b.gasA(c)
	if b.Unit.Chemistry != Flooded {
		a = australianSealedAAh * b.C10Ah()
	}
	lPerS := australianLPerS * float64(b.Cells()) * a
	v := air(lPerS*3.6, b.Cells(), 1)
	v.Rule, v.CurrentA, v.C10Ah, v.Heat, v.OpeningCM2 = AirByAS, a, b.C10Ah(), 1, australianCM2*lPerS
	return b.keepApart(v)
}

// keepApart sets the distance from the vents of a unit, whose cells share one.
func (b Bank) keepApart(v Ventilation) Ventilation {
	v.DistanceMM = max(leastDistanceMM, air(v.FlowM3PerH, b.Cells(), b.Unit.Cells()).DistanceMM)
	return v
}

// c10H is the discharge time that the ventilation standard reckons lead-acid in.
const c10H = 10

// C10Ah returns the capacity of the bank in a discharge of 10 h, which the rates of gas are of: from the discharge
// table of the unit where that reaches it; else from its exponent or the end of the table, but never under the rated
// capacity, the safe side.
func (b Bank) C10Ah() float64 {
	ah, _ := b.Unit.ahAtHours(c10H)
	if !b.Unit.hasTable() {
		ah = b.Unit.byExponent(c10H) // more than rated where that is faster: here that is the safe side
	}
	if t := b.Unit.Capacity; !b.Unit.hasTable() || t[0].Hours > c10H || t[len(t)-1].Hours < c10H {
		ah = max(ah, b.Unit.RatedAh)
	}
	return ah * float64(b.Strings)
}

// HydrogenM3PerH returns the hydrogen that cells in series give off when all of a current in A goes into gas, as at the
// end of an equalise charge: 0.42 l for each cell and Ah at 0 C, IEC 62485-2.
func HydrogenM3PerH(cells int, currentA float64) float64 {
	return float64(cells) * currentA * hydrogenM3PerAh
}
