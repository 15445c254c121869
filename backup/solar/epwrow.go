package solar

import (
	"fmt"
	"math"
	"strconv"
	"strings"
)

// An epwNumber is a cell that must hold a number in a range.
type epwNumber struct {
	column   int // from 1
	name     string
	min, max float64
	into     *float64
}

// epwMeasure is a column that may be missing.
type epwMeasure struct {
	column      int // from 1
	name        string
	min, max    float64
	missingFrom float64 // this value and above mean "no value"
	bit         EPWField
}

// epwMeasures: EnergyPlus data dictionary, field list (SEEN-P: columns, marks, the temperature's range). The upper end
// of radiation is ours: it refuses a shifted column or another unit. So is the lower end: night readings of a few
// watts below zero come from the sensor, which cools towards the sky, and count as 0.
var epwMeasures = [...]epwMeasure{
	{7, "dry bulb, C", -70, 70, 99.9, EPWAir},
	{14, "global horizontal radiation, Wh/m2", -10, maxIrradianceWm2, 9999, EPWGlobal},
	{15, "direct normal radiation, Wh/m2", -10, maxIrradianceWm2, 9999, EPWDirect},
	{16, "diffuse horizontal radiation, Wh/m2", -10, maxIrradianceWm2, 9999, EPWDiffuse},
}

// row reads one line of data.
func (l *epwLines) row(text string) (h EPWHour, err error) {
	cells := strings.Split(text, ",")
	if len(cells) != epwColumns {
		return h, l.fault(0, fmt.Sprintf("%d columns", len(cells)), strconv.Itoa(epwColumns))
	}
	for _, f := range [...]struct {
		column int
		name   string
		lo, hi int
		into   *int
	}{
		{1, "year", 0, 9999, &h.Year}, {2, "month", 1, 12, &h.Month},
		{3, "day", 1, 31, &h.Day}, {4, "hour", 1, 24, &h.Hour},
	} {
		v, ok := number(cells[f.column-1])
		if !ok || v != math.Trunc(v) || v < float64(f.lo) || v > float64(f.hi) {
			return h, l.fault(f.column, quoted(cells[f.column-1]), fmt.Sprintf("%s, %d to %d", f.name, f.lo, f.hi))
		}
		*f.into = int(v)
	}
	for _, m := range epwMeasures {
		cell := cells[m.column-1]
		v, ok := number(cell)
		if ok && v >= m.missingFrom {
			h.Missing |= m.bit
			continue
		}
		if !ok || v < m.min || v > m.max {
			return h, l.fault(m.column, quoted(cell), fmt.Sprintf("%s, %g to %g, or %g for none", m.name, m.min, m.max,
				m.missingFrom))
		}
		switch m.bit {
		case EPWAir:
			h.AirC = v
		case EPWGlobal:
			h.GlobalWhM2 = notBelow0(v)
		case EPWDirect:
			h.DirectWhM2 = notBelow0(v)
		case EPWDiffuse:
			h.DiffuseWhM2 = notBelow0(v)
		}
	}
	return h, nil
}

// numbers reads cells of a header row.
func (l *epwLines) numbers(cells []string, fields []epwNumber) error {
	for _, f := range fields {
		v, ok := number(cells[f.column-1])
		if !ok || v < f.min || v > f.max {
			want := fmt.Sprintf("%g (%s)", f.min, f.name)
			if f.min < f.max {
				want = fmt.Sprintf("%s, %g to %g", f.name, f.min, f.max)
			}
			return l.fault(f.column, quoted(cells[f.column-1]), want)
		}
		*f.into = v
	}
	return nil
}

// number reads a finite decimal number. The parser alone would also take "nan", "inf" and hexadecimal.
func number(cell string) (float64, bool) {
	cell = strings.TrimSpace(cell)
	if strings.Trim(cell, "+-.0123456789eE") != "" {
		return 0, false
	}
	v, err := strconv.ParseFloat(cell, 64)
	return v, err == nil
}

// notBelow0 also turns -0 into 0, which max alone may not.
func notBelow0(v float64) float64 {
	if v > 0 {
		return v
	}
	return 0
}
