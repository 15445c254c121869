package battery

import (
	"math"

	"outlast/backup/phrase"
	"outlast/backup/working"
)

// A loadedRow is the volts of one lithium cell at 25 C and a state of charge: at rest and under currents that have
// lasted, in parts of the capacity per hour. 0: not known.
type loadedRow struct {
	soc                              float64
	rest, fifthC, halfC, capacityInH float64
}

// Cells of the Faraday Institution's published BPX examples (25 C, 2022): LFP 2 Ah 18650, and NMC111 12.5 Ah pouch.
// Volts at rest come from their published electrode functions. Volts under load of LFP and of NMC at C/5 and C/2 are
// a particle model run on the published parameters, which meets the measured C/20 and 1C curves of the NMC cell
// within 0.03 V from 90 to 10 % (0.08 V, on the low side, at 5 %); NMC at 1C is measured. Large prismatic cells sag
// less.
var (
	lfpLoaded = []loadedRow{
		{0.50, 3.278, 3.250, 3.212, 3.161},
		{0.30, 3.267, 3.235, 3.191, 3.129},
		{0.20, 3.230, 3.190, 3.137, 3.064},
		{0.15, 3.204, 3.162, 3.107, 3.034},
		{0.10, 3.188, 3.141, 3.078, 2.977},
		{0.07, 3.170, 3.112, 3.016, 2.81},
		{0.05, 3.140, 3.045, 2.893, 2.52},
		{0.03, 3.040, 2.891, 2.647, 0},
	}
	nmcLoaded = []loadedRow{
		{0.50, 3.673, 3.65, 3.62, 3.56},
		{0.30, 3.598, 3.57, 3.54, 3.46},
		{0.20, 3.531, 3.50, 3.46, 3.41},
		{0.15, 3.495, 3.46, 3.42, 3.37},
		{0.10, 3.463, 3.42, 3.38, 3.32},
		{0.07, 3.420, 3.37, 3.32, 3.26},
		{0.05, 3.350, 3.29, 3.22, 3.20},
		{0.03, 3.220, 3.15, 3.06, 3.06},
	}
)

// LoadedSource says where the volts of lithium under load come from.
func LoadedSource() []working.Source {
	return []working.Source{working.BPX.At(phrase.Of("particle model on their parameters, NMC at 1C measured"),
		working.Read)}
}

// sagRates are the currents of a sagTable's columns, in parts of the capacity per hour.
var sagRates = [...]float64{0, 0.2, 0.5, 1}

// A sagTable is by how much the volts of a cell fall below those at rest under a current that lasts: rows by state of
// charge, the fullest first, columns by sagRates. What falls does so no less at a lower charge or a higher current:
// where a row reads otherwise, by hundredths of a volt, it is taken as deep as its neighbour, the safe side.
type sagTable []sagRow

type sagRow struct {
	soc  float64
	sagV [len(sagRates)]float64
}

func sagsOf(rows []loadedRow) sagTable {
	var t sagTable
	for i, r := range rows {
		row := sagRow{soc: r.soc}
		for k, v := range []float64{r.rest, r.fifthC, r.halfC, r.capacityInH} {
			sag := r.rest - v
			if v == 0 { // in the proportion of the row above
				above := t[i-1].sagV
				sag = row.sagV[k-1] * above[k] / above[k-1]
			}
			if k > 0 {
				sag = max(sag, row.sagV[k-1])
			}
			if i > 0 {
				sag = max(sag, t[i-1].sagV[k])
			}
			row.sagV[k] = sag
		}
		t = append(t, row)
	}
	return t
}

var lfpSag, nmcSag = sagsOf(lfpLoaded), sagsOf(nmcLoaded)

// sagTable is the chemistry's; nil for lead-acid, of which none was found.
func (c Chemistry) sagTable() sagTable {
	switch c {
	case LFP:
		return lfpSag
	case NMC:
		return nmcSag
	}
	return nil
}

// at is the row at a state of charge, straight between rows, held above the first and below the last.
func (t sagTable) at(soc float64) sagRow {
	i := 0
	for i < len(t) && soc < t[i].soc {
		i++
	}
	if i == 0 || i == len(t) {
		return t[min(i, len(t)-1)]
	}
	a, b := t[i-1], t[i]
	part := (a.soc - soc) / (a.soc - b.soc)
	row := sagRow{soc: soc}
	for k := range row.sagV {
		row.sagV[k] = a.sagV[k] + (b.sagV[k]-a.sagV[k])*part
	}
	return row
}

// line is a piece of volts over current that is straight: v - ohm*current up to mostA.
type line struct{ v, ohm, mostA float64 }

// sagLines is how the volts of a lithium bank fall with a current that lasts, at a state of charge and a temperature:
// pieces of rising current, the last without an end, in which the fall goes on in proportion to the current.
func (b Bank) sagLines(soc, tempC float64) (lines [len(sagRates)]line, ok bool) {
	return b.sagLinesFrom(b.SourceV(soc, tempC), soc, tempC)
}

// sagLinesFrom is sagLines with the volts at rest.
func (b Bank) sagLinesFrom(rest, soc, tempC float64) (lines [len(sagRates)]line, ok bool) {
	table := b.Unit.Chemistry.sagTable()
	if len(table) == 0 || !(b.CapacityAh() > 0) {
		return lines, false
	}
	row, scale := table.at(soc), float64(b.Cells())*coldFactor(lithiumColdResistance, tempC)
	for k := range lines {
		from, to := 0.0, math.Inf(1)
		var at, ohm float64
		if k == len(sagRates)-1 { // through the origin
			ohm = scale * row.sagV[k] / (sagRates[k] * b.CapacityAh())
		} else {
			from, to = sagRates[k]*b.CapacityAh(), sagRates[k+1]*b.CapacityAh()
			ohm = scale * (row.sagV[k+1] - row.sagV[k]) / (to - from)
			at = scale*row.sagV[k] - ohm*from
		}
		lines[k] = line{v: rest - at, ohm: ohm, mostA: to}
	}
	return lines, true
}

// PowerV returns the bank's volts under a power of at least 0 W at the terminals that has lasted for some minutes, as
// an inverter takes it: sagging volts draw more current. They are those at rest less current times resistance
// ([Bank.ResistanceOhmAt]) or, for lithium, less the fall of published cells under load, whichever is lower. A data
// sheet's resistance is that of an instant, and knows nothing of what comes slowly, above all when little charge is
// left. Without resistance_mohm lead-acid does not sag here. ok is false where the bank cannot give that power at half
// its volts at rest, which are then returned, or above.
func (b Bank) PowerV(powerW, soc, tempC float64) (v float64, ok bool) {
	soc = fraction(soc)
	rest := b.SourceV(soc, tempC)
	v, ok = powerOn(line{v: rest, ohm: b.ResistanceOhmAt(soc, tempC), mostA: math.Inf(1)}, powerW)
	if lines, lithium := b.sagLinesFrom(rest, soc, tempC); lithium {
		loaded, carries := rest/2, false
		for _, l := range lines {
			if on, good := powerOn(l, powerW); good && powerW <= on*l.mostA*(1+slack) {
				loaded, carries = on, true
				break
			}
		}
		v, ok = min(v, loaded), ok && carries
	}
	if !ok || v < rest/2 {
		return rest / 2, false
	}
	return v, true
}

// powerOn is the volts at which a line gives a power, the upper root of V = v - ohm P/V; its product form keeps the
// digits that a small resistance would cancel. ok is false where there is none.
func powerOn(l line, powerW float64) (v float64, ok bool) {
	root := 1 - 4*l.ohm*powerW/(l.v*l.v)
	if !(root >= 0) || l.v <= 0 {
		return max(0, l.v) / 2, false
	}
	return l.v * (1 + math.Sqrt(root)) / 2, true
}

// StartV returns the bank's volts while it gives startW for some seconds at its terminals, when it has given runningW
// (0 to startW) for long before: from what [Bank.PowerV] leaves under runningW, what comes on top falls by the
// resistance alone. ok is false where the bank cannot give that power at any voltage; the volts are then those of its
// greatest power. Without resistance_mohm there is no such fall.
func (b Bank) StartV(runningW, startW, soc, tempC float64) (v float64, ok bool) {
	behind, r, ok := b.behind(runningW, soc, tempC)
	if !ok {
		return behind / 2, false
	}
	return powerOn(line{v: behind, ohm: r}, startW)
}

// BehindV returns the volts behind the bank's resistance when it has given runningW for long: those at rest, less
// what the resistance does not tell of the fall under load. ok is false where it cannot give so much.
func (b Bank) BehindV(runningW, soc, tempC float64) (v float64, ok bool) {
	v, _, ok = b.behind(runningW, soc, tempC)
	return v, ok
}

func (b Bank) behind(runningW, soc, tempC float64) (v, ohm float64, ok bool) {
	r := b.ResistanceOhmAt(soc, tempC)
	loaded, ok := b.PowerV(runningW, soc, tempC)
	if !ok {
		return b.SourceV(soc, tempC), r, false
	}
	return loaded + r*runningW/loaded, r, true
}

// LowestStartSoC returns the lowest state of charge at which the bank still gives startW on top of a long runningW
// (see [Bank.StartV]) without sagging below minV; ok is false where not even a full one does. It is exact to a
// thousandth.
func (b Bank) LowestStartSoC(runningW, startW, minV, tempC float64) (soc float64, ok bool) {
	return lowestSoC(func(soc float64) bool {
		v, ok := b.StartV(runningW, startW, soc, tempC)
		return ok && v >= minV
	})
}

// LowestLoadedSoC returns the lowest state of charge at which the bank still gives powerW for long without sagging
// below minV, as [Bank.LowestStartSoC].
func (b Bank) LowestLoadedSoC(powerW, minV, tempC float64) (soc float64, ok bool) {
	return lowestSoC(func(soc float64) bool {
		v, ok := b.PowerV(powerW, soc, tempC)
		return ok && v >= minV
	})
}

// lowestSoC halves its way to the border: volts at rest rise and what pulls them down falls with the charge, so there
// is one.
func lowestSoC(carries func(soc float64) bool) (soc float64, ok bool) {
	switch {
	case !carries(1):
		return 1, false
	case carries(0):
		return 0, true
	}
	lo, hi := 0.0, 1.0
	for hi-lo > 0.001 {
		if mid := (lo + hi) / 2; carries(mid) {
			hi = mid
		} else {
			lo = mid
		}
	}
	return hi, true
}

// mostLoadedA returns the greatest current that lasts and leaves the bank at least volts of those at rest, in A; +Inf
// where nothing is known to pull it down.
func (b Bank) mostLoadedA(volts, rest, soc, tempC float64) float64 {
	if rest <= volts {
		return 0
	}
	most := math.Inf(1)
	if r := b.ResistanceOhmAt(soc, tempC); r > 0 {
		most = (rest - volts) / r
	}
	lines, _ := b.sagLinesFrom(rest, soc, tempC)
	for _, l := range lines {
		if l.mostA == 0 { // no lithium
			break
		}
		if a := (l.v - volts) / l.ohm; a <= l.mostA {
			return min(most, a)
		}
	}
	return most
}
