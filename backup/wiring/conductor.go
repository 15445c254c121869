package wiring

import (
	"math"
	"slices"

	"outlast/backup/phrase"
	"outlast/backup/working"
)

// A Size is one standard cross-section of a copper conductor.
type Size struct {
	Name         string  // "2.5 mm2", "12 AWG", "300 kcmil"
	MM2          float64 // for US sizes derived from the circular mils
	CircularMils float64 // 0 for metric sizes
}

// Strand is how fine the wires of a metric conductor are.
type Strand string

// The classes of IEC 60228. US sizes know only Fixed.
const (
	Fixed       Strand = ""               // class 1 or 2, fixed wiring; US: stranded as printed
	Flexible    Strand = "class 5"        // flexible, plain copper
	FlexibleTin Strand = "class 5 tinned" // flexible, tinned copper
)

// mm2PerCircularMil is the area of a circle of 0.001 inch.
const mm2PerCircularMil = math.Pi / 4 * 0.0254 * 0.0254

// SizeTolerance is how far a given cross-section may be from a standard size and still mean it: catalogues print 5.26,
// 5.3 or 5.261 mm2 for 10 AWG. Neighbouring sizes are at least 20 % apart.
const SizeTolerance = 0.02

// iecConductors: IEC 60228, maximum resistance at 20 C, plain copper class 1/2, class 5 plain, class 5 tinned, ohm/km.
// Up to 120 mm2 SEEN-S on three reference pages; above from memory. At 50 mm2 class 2 stands above class 5: so it is in
// the standard.
var iecConductors = [...]struct {
	mm2                         float64
	fixed, flexible, flexibleTn float64
	basis                       working.Basis
}{
	{1.5, 12.1, 13.3, 13.7, working.Quoted},
	{2.5, 7.41, 7.98, 8.21, working.Quoted},
	{4, 4.61, 4.95, 5.09, working.Quoted},
	{6, 3.08, 3.30, 3.39, working.Quoted},
	{10, 1.83, 1.91, 1.95, working.Quoted},
	{16, 1.15, 1.21, 1.24, working.Quoted},
	{25, 0.727, 0.780, 0.795, working.Quoted},
	{35, 0.524, 0.554, 0.565, working.Quoted},
	{50, 0.387, 0.386, 0.393, working.Quoted},
	{70, 0.268, 0.272, 0.277, working.Quoted},
	{95, 0.193, 0.206, 0.210, working.Quoted},
	{120, 0.153, 0.161, 0.164, working.Quoted},
	{150, 0.124, 0.129, 0.132, working.Memory},
	{185, 0.0991, 0.106, 0.108, working.Memory},
	{240, 0.0754, 0.0801, 0.0817, working.Memory},
}

// usConductors: NEC Chapter 9 Table 8, DC resistance at 75 C, uncoated stranded copper, ohm per 1000 ft (2011 edition).
// AWG sizes SEEN-S on two reference pages; kcmil sizes from memory.
var usConductors = [...]struct {
	name         string
	circularMils float64
	ohmPerKft    float64
	basis        working.Basis
}{
	{"14 AWG", 4110, 3.14, working.Quoted},
	{"12 AWG", 6530, 1.98, working.Quoted},
	{"10 AWG", 10380, 1.24, working.Quoted},
	{"8 AWG", 16510, 0.778, working.Quoted},
	{"6 AWG", 26240, 0.491, working.Quoted},
	{"4 AWG", 41740, 0.308, working.Quoted},
	{"3 AWG", 52620, 0.245, working.Quoted},
	{"2 AWG", 66360, 0.194, working.Quoted},
	{"1 AWG", 83690, 0.154, working.Quoted},
	{"1/0 AWG", 105600, 0.122, working.Quoted},
	{"2/0 AWG", 133100, 0.0967, working.Quoted},
	{"3/0 AWG", 167800, 0.0766, working.Quoted},
	{"4/0 AWG", 211600, 0.0608, working.Quoted},
	{"250 kcmil", 250000, 0.0515, working.Memory},
	{"300 kcmil", 300000, 0.0429, working.Memory},
	{"350 kcmil", 350000, 0.0367, working.Memory},
	{"400 kcmil", 400000, 0.0321, working.Memory},
	{"500 kcmil", 500000, 0.0258, working.Memory},
}

// How the resistance follows the conductor's temperature. The IEC form is exact for its 20 C base; the NEC's is linear
// from 75 C.
var (
	copperZeroC  = known(234.5, working.IEC60228.At(phrase.Of("annex"), working.Memory))
	usTempFactor = known(0.00323, working.NEC.At(phrase.Of("chapter %d, %s, note %d", 9, working.InTable("8"), 2),
		working.Memory))
)

const (
	iecBaseC, usBaseC         = 20.0, 75.0
	kftPerKm                  = 1 / 0.3048
	minConductorC, maxCopperC = -60.0, 250.0
)

// iecSizes and usSizes are the sizes of the tables with their names, smallest first.
var iecSizes, usSizes = func() (iec, us []Size) {
	for _, r := range iecConductors {
		iec = append(iec, Size{Name: num(r.mm2) + " mm2", MM2: r.mm2})
	}
	for _, r := range usConductors {
		us = append(us, Size{Name: r.name, MM2: r.circularMils * mm2PerCircularMil, CircularMils: r.circularMils})
	}
	return iec, us
}()

// sizes is Sizes without the copy.
func sizes(t Tables) []Size {
	switch t {
	case IEC:
		return iecSizes
	case US:
		return usSizes
	}
	return nil
}

// Sizes lists the standard sizes of a family, smallest first; nil for an unknown family.
func Sizes(t Tables) []Size { return slices.Clone(sizes(t)) }

// SizeOf finds the standard size of a cross-section in mm2, to within [SizeTolerance]. With the error that it is none
// comes the nearest size, which the error names as well.
func SizeOf(t Tables, mm2 float64) (Size, error) {
	i, err := indexOf(t, mm2)
	if i < 0 {
		return Size{}, err
	}
	return sizes(t)[i], err
}

// indexOf gives the index of the nearest size, -1 where there is nothing to compare with.
func indexOf(t Tables, mm2 float64) (int, error) {
	if err := firstError(t.check(), within(phrase.Of("cross-section"), mm2, 0.01, 1e4, "mm2")); err != nil {
		return -1, err
	}
	all := sizes(t)
	nearest := 0
	for i, s := range all {
		if math.Abs(math.Log(s.MM2/mm2)) < math.Abs(math.Log(all[nearest].MM2/mm2)) {
			nearest = i
		}
	}
	s := all[nearest]
	if math.Abs(s.MM2-mm2) <= SizeTolerance*s.MM2 {
		return nearest, nil
	}
	name := phrase.Symbols("%s", phrase.Measure(s.Name))
	if t == US {
		name = phrase.Symbols("%s (%s)", name, phrase.Measure(num(s.MM2)+" mm2"))
	}
	return nearest, failure(phrase.Of("cross-section %g mm2 is no %s size, the nearest is %s", mm2, string(t), name))
}

func (s Strand) check(t Tables) error {
	switch {
	case !slices.Contains([]Strand{Fixed, Flexible, FlexibleTin}, s):
		return errs.Errorf("strand %q, want %q, %q or %q", string(s), Fixed, Flexible, FlexibleTin)
	case t == US && s == FlexibleTin:
		return errs.Errorf("strand %q has no resistances in the us tables", string(s))
	}
	return nil
}

// resistanceAt is the resistance of one conductor in ohm/km at the temperature of its copper.
//
// Sources: IEC 60228 (maximum resistance at 20 C, corrected by 234.5 + t); NEC Chapter 9 Table 8 (75 C, note 2). US
// sizes are stranded, uncoated copper whatever the strand.
func resistanceAt(t Tables, strand Strand, i int, copperC float64) float64 {
	if t == US {
		return usConductors[i].ohmPerKft * kftPerKm * (1 + usTempFactor.value*(copperC-usBaseC))
	}
	r := iecConductors[i]
	r20 := r.fixed
	switch strand {
	case Flexible:
		r20 = r.flexible
	case FlexibleTin:
		r20 = r.flexibleTn
	}
	return r20 * (copperZeroC.value + copperC) / (copperZeroC.value + iecBaseC)
}

// tabulated is the resistance of a size as its table has it, with where it stands, and how it follows the temperature.
func tabulated(t Tables, strand Strand, i int) (table working.Input, expr string, constants []working.Input,
	sources []working.Source) {
	if t == US {
		source := working.NEC2011.At(phrase.Of("chapter %d, %s", 9, working.InTable("8")), usConductors[i].basis)
		return working.Told("r75_ohm_kft", usConductors[i].ohmPerKft, "ohm/kft", source.Phrase()),
			"r75_ohm_kft / m_per_ft * (1 + alpha_per_k * (insulation_c - 75))",
			[]working.Input{in("m_per_ft", metresPerFoot, "m"), in("alpha_per_k", usTempFactor.value, "1/K")},
			[]working.Source{source, usTempFactor.source}
	}
	r20, class := iecConductors[i].fixed, phrase.Of("class %s", "1/2")
	switch strand {
	case Flexible:
		r20, class = iecConductors[i].flexible, phrase.Of("class %s", "5")
	case FlexibleTin:
		r20, class = iecConductors[i].flexibleTn, phrase.Of("class %s, tinned", "5")
	}
	source := working.IEC60228.At(class, iecConductors[i].basis)
	return working.Told("r20_ohm_km", r20, "ohm/km", source.Phrase()),
		"r20_ohm_km * (copper_zero_c + insulation_c) / (copper_zero_c + 20)",
		[]working.Input{in("copper_zero_c", copperZeroC.value, "C")},
		[]working.Source{source, copperZeroC.source}
}
