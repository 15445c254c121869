package solar

import (
	"math"
	"math/rand/v2"
)

// The days of a month are told apart by their clearness index: global over extraterrestrial irradiation, horizontal.

// drawMonths, drawWithin: a drawn month is drawn again until its mean clearness is this near the wanted one, so that
// the correction which follows hardly bends the days; at most so often, then the nearest is taken. Own choice.
const (
	drawMonths = 200
	drawWithin = 0.01
)

// clearestDay is the most that an ordered day is scaled to; the clearest drawn ones reach 0.865. Own choice.
const clearestDay = 0.9

// drawnMonth returns daily clearness indices of a month with mean clearness kt, each day following from the one
// before by the class's probabilities. start is the clearness on the eve. weights are the days' extraterrestrial
// irradiation; the mean is weighted by them.
//
// Source: Aguiar, Collares-Pereira & Conde, Solar Energy 40 (1988) 269-279.
func drawnMonth(kt, start float64, weights []float64, rng *rand.PCG) []float64 {
	class := classOf(kt)
	days := class.nearestMonth(kt, start, weights, rng)
	meetMean(days, weights, kt, max(kt, class.kMax))
	return days
}

// nearestMonth draws months until one has nearly the mean kt.
func (c *clearnessClass) nearestMonth(kt, start float64, weights []float64, rng *rand.PCG) []float64 {
	best, days := make([]float64, len(weights)), make([]float64, len(weights))
	least := math.Inf(1)
	for range drawMonths {
		k := start
		for i := range days {
			row := c.row(k)
			sum := 0.0
			for _, p := range row {
				sum += p
			}
			k = c.step(row, sum*uniform(rng)) // times the sum: a row adds to 1 within rounding only
			days[i] = k
		}
		if off := math.Abs(weightedMean(days, weights) - kt); off < least {
			best, days, least = days, best, off
		}
		if least <= drawWithin {
			break
		}
	}
	return best
}

// uniform returns a number in [0, 1) that depends on the generator alone, not on a library's choice of conversion.
func uniform(rng *rand.PCG) float64 { return float64(rng.Uint64()>>11) / (1 << 53) }

// classOf returns the class of a month's mean clearness.
func classOf(kt float64) *clearnessClass {
	for i := range clearnessClasses {
		if kt <= clearnessClasses[i].upTo {
			return &clearnessClasses[i]
		}
	}
	return &clearnessClasses[len(clearnessClasses)-1]
}

// row returns the probabilities of tomorrow for a day of clearness k; beyond the class's range its end bins count.
func (c *clearnessClass) row(k float64) *[10]float64 {
	bin := int((k - c.kMin) / (c.kMax - c.kMin) * 10)
	return &c.next[min(9, max(0, bin))]
}

// step returns tomorrow's clearness from the row and a number from 0 to below the row's sum: the first bin whose
// cumulative probability exceeds it, and within the bin in proportion.
func (c *clearnessClass) step(row *[10]float64, r float64) float64 {
	width := (c.kMax - c.kMin) / 10
	before := 0.0
	for j, p := range row {
		if r < before+p {
			return c.kMin + width*(float64(j)+(r-before)/p)
		}
		before += p
	}
	return c.kMax // r at the sum, by rounding
}

// daySequences are three orders of the ranks 1 (dullest day) to 31: for a mean clearness up to 0.45, between, and from
// 0.55. Source: Knight, Klein & Duffie, Solar Energy 46 (1991). SEEN-S: an R package carries the three sequences.
var daySequences = [3][31]int{
	{24, 28, 11, 19, 18, 3, 2, 4, 9, 20, 14, 23, 8, 16, 21, 26, 15, 10, 22, 17, 5, 1, 6, 29, 12, 7, 31, 30, 27, 13, 25},
	{24, 27, 11, 19, 18, 3, 2, 4, 9, 20, 14, 23, 8, 16, 21, 7, 22, 10, 28, 6, 5, 1, 26, 29, 12, 17, 31, 30, 15, 13, 25},
	{24, 27, 11, 4, 18, 3, 2, 19, 9, 25, 14, 23, 8, 16, 21, 26, 22, 10, 15, 17, 5, 1, 6, 29, 12, 7, 31, 20, 28, 13, 30},
}

// orderedMonth returns daily clearness indices of a month with mean clearness kt that follow the usual distribution in
// a fixed realistic order. Nothing is random: it is the same typical month each time.
//
// Source: order, Knight, Klein & Duffie, Solar Energy 46 (1991); distribution, see [clearnessOfRank].
func orderedMonth(kt float64, weights []float64) []float64 {
	seq := &daySequences[0]
	switch {
	case kt >= 0.55:
		seq = &daySequences[2]
	case kt > 0.45:
		seq = &daySequences[1]
	}
	days := make([]float64, 0, len(weights))
	for _, rank := range seq {
		if rank <= len(weights) {
			days = append(days, clearnessOfRank(kt, rank, len(weights)))
		}
	}
	meetMean(days, weights, kt, max(kt, clearestDay))
	return days
}

// clearnessOfRank returns the clearness of the rank-th dullest of n days of a month with mean clearness kt. Outside
// 0.2 to 0.75 the formulas lose their sense, and the nearest end is used.
//
// Source: Bendt, Collares-Pereira & Rabl, Solar Energy 27 (1981), with the greatest clearness of Hollands & Huget and
// the exponent of Herzog; Duffie & Beckman, section 2.9 (memory; the mean comes back within 0.003 for 0.3 to 0.7).
func clearnessOfRank(kt float64, rank, n int) float64 {
	const kMin = 0.05
	kt = min(0.75, max(0.2, kt))
	kMax := 0.6313 + 0.267*kt - 11.9*math.Pow(kt-0.75, 8)
	xi := (kMax - kMin) / (kMax - kt)
	gamma := -1.498 + (1.184*xi-27.182*math.Exp(-1.5*xi))/(kMax-kMin)
	below := float64(2*rank-1) / float64(2*n) // share of duller days
	// The distribution solved for k. An exponent near 0 makes it even.
	if math.Abs(gamma) < 1e-6 {
		return kMin + below*(kMax-kMin)
	}
	return math.Log((1-below)*math.Exp(gamma*kMin)+below*math.Exp(gamma*kMax)) / gamma
}

// meetMean scales days so that their weighted mean is mean, none above most. With mean <= most and days above 0 it
// always succeeds: what the ceiling takes from the brightest goes to the others.
func meetMean(days, weights []float64, mean, most float64) {
	wanted := 0.0
	for _, w := range weights {
		wanted += w * mean
	}
	if wanted <= 0 { // polar night, or no sun in the table: no day differs from another
		for i := range days {
			days[i] = mean
		}
		return
	}
	capped := make([]bool, len(days))
	for range days { // each round puts at least one more day at the ceiling, or is the last
		rest, open := wanted, 0.0
		for i, w := range weights {
			if capped[i] {
				rest -= w * most
			} else {
				open += w * days[i]
			}
		}
		again := false
		for i := range days {
			if !capped[i] && open > 0 && days[i]*rest/open > most {
				capped[i], again = true, true
			}
		}
		if again {
			continue
		}
		for i := range days {
			if capped[i] {
				days[i] = most
			} else if open > 0 {
				days[i] *= max(0, rest) / open
			}
		}
		return
	}
	for i := range days { // the ceiling is the mean
		days[i] = most
	}
}

func weightedMean(days, weights []float64) float64 {
	sum, weight := 0.0, 0.0
	for i, w := range weights {
		sum += w * days[i]
		weight += w
	}
	if weight == 0 {
		return 0
	}
	return sum / weight
}
