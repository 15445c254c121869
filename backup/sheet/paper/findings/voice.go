package findings

import (
	"cmp"
	"math"
	"slices"
	"strconv"
	"strings"

	"outlast/backup/sheet/grid"
	"outlast/backup/sheet/paper/doc"
	"outlast/backup/sheet/record"
	"outlast/backup/sheet/speech"
	"outlast/backup/wiring"
)

// A Voice is that of the papers: it makes cells of tables too.
type Voice struct{ speech.Voice }

// Figure writes a number of a check with the digits that its unit deserves.
func (v Voice) Figure(x float64, unit string) string { return v.Local(grid.Figure(x, unit)) }

// Figures writes demand and limit of a check, so that two that differ are seen to.
func (v Voice) Figures(demand, limit float64, unit string) (string, string) {
	x, y := grid.Figures(demand, limit, unit)
	return v.Local(x), v.Local(y)
}

// A time may be lengthened by a hundredth before it is rounded down, but by no more than a tenth of an hour: 11 h 58 min
// is 12 h, and nobody knows a time to a hundredth. Without that end a hundredth of several days would be hours that the
// battery does not have.
const (
	nearly  = 0.01
	nearlyH = 0.1
)

// Hours writes a time for people who plan their evening by it: rounded down, days from three on.
func (v Voice) Hours(h float64) string {
	return v.time(h+min(nearly*h, nearlyH), down)
}

// Wait writes a time that people wait for something: rounded up, so that nobody counts on what is not there yet. What a
// rounding of floating point adds is no reason to.
func (v Voice) Wait(h float64) string {
	return v.time(h, up)
}

// A way is one to round a time.
type way bool

const (
	down way = false
	up   way = true
)

func (w way) round(x float64) float64 {
	if w == up {
		return math.Ceil(x * (1 - 1e-9))
	}
	return math.Floor(x)
}

// time writes hours, rounded in the unit that people think in.
func (v Voice) time(h float64, w way) string {
	hours := w.round(h)
	if h < 10 {
		hours = w.round(2*h) / 2
	}
	if w == up && hours >= 72 && math.Mod(hours, 24) == 1 { // days and one hour are not told
		hours++
	}
	switch days, rest := math.Floor(hours/24), math.Mod(hours, 24); {
	case hours >= 72 && rest > 1 && days < 10:
		return v.Say("time.days-hours", v.Fixed(days, 0), v.Fixed(rest, 0))
	case hours >= 72:
		return v.Say("time.days", v.Fixed(w.round(hours/24), 0))
	case h >= 10:
		return v.Say("time.hours", v.Fixed(hours, 0))
	case h >= 1.5:
		return v.Say("time.hours", v.Local(strconv.FormatFloat(hours, 'g', -1, 64)))
	default:
		return v.Say("time.minutes", v.Fixed(w.round(h*12)*5, 0))
	}
}

// Exactly writes a time that somebody asked for.
func (v Voice) Exactly(h float64) string { return v.Say("time.exactly", v.Short(h)) }

// List joins names with commas.
func List(names []string) string { return strings.Join(names, ", ") }

// Length is the cell of a length that may not be given (0), in the unit of the site.
func (v Voice) Length(m float64) doc.Cell {
	if m == 0 || !v.US {
		return v.Given(m)
	}
	return v.Num(m*speech.FeetPerM, 0)
}

func (v Voice) LengthUnit() string {
	if v.US {
		return "ft"
	}
	return "m"
}

// Mass is the cell of a weight, in the unit of the site.
func (v Voice) Mass(kg float64) doc.Cell {
	if v.US {
		kg /= speech.KgPerLb
	}
	return v.Num(kg, 0)
}

// SizeUnit heads a column of cross-sections; an American size has a name.
func (v Voice) SizeUnit() string {
	if v.US {
		return ""
	}
	return "mm²"
}

// Degrees is the cell of a temperature in the unit of the site, with that unit, and a remark on it: degrees Celsius stand
// in front of it where the unit is another.
func (v Voice) Degrees(c float64, remark string) (cell doc.Cell, unit, remarked string) {
	if !v.US {
		return doc.Cell{Text: doc.Text{S: v.Short(c)}, Exact: Exact(c)}, v.UnitName("C"), remark
	}
	remarked = v.Short(c) + speech.Hard + v.UnitName("C")
	if remark != "" {
		remarked = List([]string{remarked, remark})
	}
	return v.Num(c*9/5+32, 0), "°F", remarked
}

func (v Voice) MassUnit() string {
	if v.US {
		return "lb"
	}
	return "kg"
}

// KeyName is a key of the site file or the catalog in words; what stands behind it, as the hours of a capacity, stays.
func (v Voice) KeyName(key string) string {
	if part := strings.Fields(key); len(part) == 3 && part[0] == "input" { // one of several, with a key of its own
		return v.Headed(v.KeyName("input")+" "+part[1], v.KeyName(part[2]))
	}
	base, more, found := strings.Cut(key, " ")
	text, ok := v.Words["key."+base]
	if !ok {
		return speech.Clean(key)
	}
	if found {
		text += ", " + more
	}
	return text
}

// Exact writes a number for CSV.
func Exact(x float64) string { return record.Decimal(x) }

// AsGiven writes a number that somebody gave for CSV: with the digits that he gave.
func AsGiven(x float64) string { return strconv.FormatFloat(x, 'f', -1, 64) }

// Num is the cell of a number: printed with so many decimals, with more of them in CSV.
func (v Voice) Num(x float64, decimals int) doc.Cell {
	return doc.Cell{Text: doc.Text{S: v.Fixed(x, decimals)}, Exact: Exact(x)}
}

// Given is the cell of a number that may not be given (0): printed as it was given.
func (v Voice) Given(x float64) doc.Cell {
	if x == 0 {
		return doc.Plain("–")
	}
	return doc.Cell{Text: doc.Text{S: v.Short(x)}, Exact: AsGiven(x)}
}

// Conductor is the cell of a cross-section: mm², or the American size that is not smaller with mm² beside it.
func (v Voice) Conductor(mm2 float64) doc.Cell {
	c := v.Given(mm2)
	if mm2 > 0 {
		// American sizes come from circular mils: 33.6318 mm² are 33.6 for everybody.
		c.S = v.Short(math.Round(mm2*100) / 100)
		if mm2 >= 10 {
			c.S = v.Short(math.Round(mm2*10) / 10)
		}
	}
	if v.US && mm2 > 0 {
		if name, ok := awg(mm2); ok {
			c = doc.Plain(name + " (" + c.S + speech.Hard + "mm²)")
		}
	}
	return c
}

// Size is the cell of a conductor of a table: a size of the American ones is told by its own name too.
func (v Voice) Size(s wiring.Size) doc.Cell {
	c := v.Conductor(s.MM2)
	if !v.US && s.CircularMils > 0 {
		c.S += " (" + s.Name + ")"
	}
	return c
}

// awg is the smallest American size that is not smaller than a cross-section, a rounding of catalogues apart. ok is
// false beyond the largest.
func awg(mm2 float64) (name string, ok bool) {
	sizes := wiring.Sizes(wiring.US)
	i, _ := slices.BinarySearchFunc(sizes, mm2*(1-wiring.SizeTolerance),
		func(s wiring.Size, want float64) int { return cmp.Compare(s.MM2, want) })
	if i == len(sizes) || math.IsNaN(mm2) {
		return "", false
	}
	return sizes[i].Name, true
}
