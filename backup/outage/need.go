package outage

import (
	"math"
	"math/bits"
	"slices"
	"sort"
	"sync"
)

// windows tells the spans of the d hours from each start hour, for some starts that follow each other at a time; the
// spans are gone at the next. The hours are cut in blocks of d: a window is the tail of one block and the head of the
// next, so two joins a start do for any d.
func (s *Study) windows(d int, each func(start int, spans []span)) {
	tails := make([]span, d) // of a block: from an hour of it to its end; then its windows
	for block := 0; block < s.hours; block += d {
		hours := s.spans[block : block+d]
		tail := hours[d-1]
		tails[d-1] = tail
		for i := d - 2; i >= 0; i-- {
			tail = hours[i].then(tail)
			tails[i] = tail
		}
		starts := min(d, s.hours-block)
		next := s.spans[block+d:]
		if starts > 1 {
			heads := next[0] // from the beginning of the next block to the window's end
			tails[1] = tails[1].then(heads)
			for i := 2; i < starts; i++ {
				heads = heads.then(next[i-1])
				tails[i] = tails[i].then(heads)
			}
		}
		each(block, tails[:starts])
	}
}

// needsRoom keeps the room for the needs of all starts, which whoever looks for a bank asks for again and again: taking it
// anew costs more than half of what is put into it.
var needsRoom = sync.Pool{New: func() any { return new([]float64) }}

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
	room := needsRoom.Get().(*[]float64)
	defer needsRoom.Put(room)
	*room = slices.Grow((*room)[:0], s.hours)
	needs := (*room)[:s.hours]
	s.windows(d, func(start int, spans []span) {
		before, out := s.before[start:start+len(spans)], needs[start:start+len(spans)]
		for i := range spans {
			a := &spans[i]
			if a.drop == unserved {
				out[i] = math.MaxFloat64
				continue
			}
			// Which of the two banks is the larger one is seldom close: then only that one is rounded to the last digit.
			start := max(0, before[i]-a.lo)
			switch drop := soc * float64(a.drop); {
			case float64(start) > drop*(1+muchRounding):
				out[i] = s.bankFor(start, soc)
			case float64(start) < drop*(1-muchRounding):
				out[i] = s.wh(a.drop)
			default:
				out[i] = max(s.wh(a.drop), s.bankFor(start, soc))
			}
		}
	})
	wh := quantile(needs, chance)
	if wh > maxEnergyWh {
		return 0, false, nil
	}
	return wh, true, nil
}

// muchRounding is far more than a few roundings change a number by, as a share of it.
const muchRounding = 1e-12

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
	for m := range socs {
		socs[m] = make([]float64, 0, 31*24)
	}
	s.windows(d, func(start int, spans []span) {
		for i, a := range spans {
			soc := math.MaxFloat64
			if need := max(0, s.before[start+i]-a.lo); a.drop <= full {
				soc = s.socFor(need, usableWh)
			}
			m := month[(start+i)/24]
			socs[m] = append(socs[m], soc)
		}
	})
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

// quantile returns the smallest of values such that no less than the share of all is no larger. It moves values about.
func quantile(values []float64, share float64) float64 {
	// Counted by the division that Chance makes: ceil(share * n) may differ from it by one.
	return nth(values, sort.Search(len(values)-1, func(k int) bool {
		return float64(k+1)/float64(len(values)) >= share
	}))
}

// nth returns the value that would stand at place k if values were sorted, without sorting more of them than it takes.
// No value is NaN. Whatever the order of the values, the middle one of three is seldom a bad guess; should it be again
// and again, the rest is sorted.
func nth(values []float64, k int) float64 {
	for tries := 2 * bits.Len(uint(len(values))); len(values) > 12 && tries > 0; tries-- {
		a, b, c := values[0], values[len(values)/2], values[len(values)-1]
		guess := middle(a, b, c)
		i, j := 0, len(values)-1
		for i <= j { // what is left of i is no larger than the guess, what is right of j no smaller
			for values[i] < guess {
				i++
			}
			for values[j] > guess {
				j--
			}
			if i <= j {
				values[i], values[j] = values[j], values[i]
				i++
				j--
			}
		}
		switch {
		case k <= j:
			values = values[:j+1]
		case k >= i:
			values, k = values[i:], k-i
		default:
			return guess // between them all are equal to it
		}
	}
	slices.Sort(values)
	return values[k]
}

// middle is the one of three that lies between the others. Comparisons cost less than the built-in min and max of
// floats.
func middle(a, b, c float64) float64 {
	if a > b {
		a, b = b, a
	}
	switch {
	case c < a:
		return a
	case c > b:
		return b
	}
	return c
}

func checkChance(chance float64) error {
	if !(chance > 0 && chance <= 1) {
		return errs.Errorf("chance %g, want above 0 to 1", chance)
	}
	return nil
}
