package outage

import (
	"math"
	"slices"
	"sort"
)

// windows returns the span of the d hours from each start hour. The hours are cut in blocks of d: a window is the tail
// of one block and the head of the next, so two joins a start do for any d.
func (s *Study) windows(d int) []span {
	tails := slices.Clone(s.spans[:min(len(s.spans), s.hours+d)]) // tails[i]: hour i to the end of its block
	for i := len(tails) - 2; i >= 0; i-- {
		if (i+1)%d != 0 {
			tails[i] = tails[i].then(tails[i+1])
		}
	}
	out := make([]span, s.hours)
	var heads span // from the beginning of the block up to the window's end
	for i := range out {
		last := i + d - 1
		if i%d == 0 {
			out[i] = tails[i] // the window is a block
			continue
		}
		if i%d == 1 {
			heads = s.spans[last]
		} else {
			heads = heads.then(s.spans[last])
		}
		out[i] = tails[i].then(heads)
	}
	return out
}

// SmallestBank returns the smallest usable bank in Wh with which at least the share chance of all starts outlasts d
// hours, when outages start at soc.
//
// d is 1 to the study's longest outage, soc and chance in (0, 1]. possible is false, and the bank 0, when no bank does
// it, because too many starts meet a step over the discharge limit.
func (s *Study) SmallestBank(d int, soc, chance float64) (bankWh float64, possible bool, err error) {
	if err := s.checkSpan(d); err != nil {
		return 0, false, err
	}
	if !(soc > 0 && soc <= 1) {
		return 0, false, errs.Errorf("state of charge %g, want above 0 to 1", soc)
	}
	if err := checkChance(chance); err != nil {
		return 0, false, err
	}
	needs := make([]float64, s.hours)
	for i, a := range s.windows(d) {
		needs[i] = math.MaxFloat64
		if a.drop != unserved {
			needs[i] = max(s.wh(a.drop), s.bankFor(max(0, s.before[i]-a.lo), soc))
		}
	}
	wh := quantile(needs, chance)
	if wh > maxEnergyWh {
		return 0, false, nil
	}
	return wh, true, nil
}

// bankFor returns the smallest bank in Wh that holds start quanta at soc.
func (s *Study) bankFor(start int64, soc float64) float64 {
	wh := s.wh(start) / soc
	for s.quanta(soc*wh) < start { // the division may have rounded down
		wh = math.Nextafter(wh, math.MaxFloat64)
	}
	return wh
}

// A Reserve is the state of charge to keep in one month.
type Reserve struct {
	SoC      float64 // 0 to 1
	Possible bool    // false: not even a full bank keeps the chance; SoC is then 1
}

// Reserves returns, for each month (January is 0), the least state of charge at which the grid may fail so that at
// least the share chance of the month's starts outlasts d hours.
//
// usableWh is above 0, d 1 to the study's longest outage, chance in (0, 1]. The year must be a calendar year of 8,760
// or 8,784 hours that begins on 1 January at midnight.
func (s *Study) Reserves(usableWh float64, d int, chance float64) (reserves [12]Reserve, err error) {
	if err := checkStore(usableWh, 1); err != nil || usableWh == 0 {
		return reserves, errs.Errorf("bank %g Wh, want a finite number above 0", usableWh)
	}
	if err := s.checkSpan(d); err != nil {
		return reserves, err
	}
	if err := checkChance(chance); err != nil {
		return reserves, err
	}
	month, err := months(s.hours)
	if err != nil {
		return reserves, err
	}
	full := s.quanta(usableWh)
	var socs [12][]float64
	for i, a := range s.windows(d) {
		soc := math.MaxFloat64
		if start := max(0, s.before[i]-a.lo); a.drop <= full {
			soc = s.socFor(start, usableWh)
		}
		m := month[i/24]
		socs[m] = append(socs[m], soc)
	}
	for m := range reserves {
		if soc := quantile(socs[m], chance); soc <= 1 {
			reserves[m] = Reserve{SoC: soc, Possible: true}
		} else {
			reserves[m] = Reserve{SoC: 1}
		}
	}
	return reserves, nil
}

// socFor returns the least state of charge at which a bank of usableWh, no less than start, holds start quanta.
func (s *Study) socFor(start int64, usableWh float64) float64 {
	soc := min(1, s.wh(start)/usableWh)
	for soc < 1 && s.quanta(soc*usableWh) < start {
		soc = math.Nextafter(soc, 1)
	}
	return soc
}

// quantile sorts values and returns the smallest of them such that no less than the share of all is no larger.
func quantile(values []float64, share float64) float64 {
	slices.Sort(values)
	// Counted by the division that Chance makes: ceil(share * n) may differ from it by one.
	return values[sort.Search(len(values)-1, func(k int) bool { return float64(k+1)/float64(len(values)) >= share })]
}

func checkChance(chance float64) error {
	if !(chance > 0 && chance <= 1) {
		return errs.Errorf("chance %g, want above 0 to 1", chance)
	}
	return nil
}
