package paper

import (
	"cmp"
	"math"
	"slices"

	"outlast/backup/wiring"
)

// conductor is the cell of a cross-section: mm², or the American size that is not smaller with mm² beside it.
func (v voice) conductor(mm2 float64) Cell {
	c := v.given(mm2)
	if mm2 > 0 {
		// American sizes come from circular mils: 33.6318 mm² are 33.6 for everybody.
		c.S = v.Short(math.Round(mm2*100) / 100)
		if mm2 >= 10 {
			c.S = v.Short(math.Round(mm2*10) / 10)
		}
	}
	if v.US && mm2 > 0 {
		if name, ok := awg(mm2); ok {
			c = cell(name + " (" + c.S + hard + "mm²)")
		}
	}
	return c
}

// size is the cell of a conductor of a table: a size of the American ones is told by its own name too.
func (v voice) size(s wiring.Size) Cell {
	c := v.conductor(s.MM2)
	if !v.US && s.CircularMils > 0 {
		c.S += " (" + s.Name + ")"
	}
	return c
}

// awg is the smallest American size that is not smaller than a cross-section, a rounding of catalogues apart. ok is false beyond the
// largest.
func awg(mm2 float64) (name string, ok bool) {
	sizes := wiring.Sizes(wiring.US)
	i, _ := slices.BinarySearchFunc(sizes, mm2*(1-wiring.SizeTolerance), func(s wiring.Size, want float64) int { return cmp.Compare(s.MM2, want) })
	if i == len(sizes) || math.IsNaN(mm2) {
		return "", false
	}
	return sizes[i].Name, true
}
