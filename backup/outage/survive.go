package outage

import "math/bits"

// Survive follows an outage from every start hour of the year.
//
// usableWh is the store between empty and full, soc the share of it that is there when the grid fails, 0 to 1. A start
// survives the whole hours before the first hour in which some step is not served in full, at most the study's longest.
// The time does not depend on the length of a step, and grows with the hours of the year plus the longest outage.
func (s *Study) Survive(usableWh, soc float64) (Starts, error) {
	if err := checkStore(usableWh, soc); err != nil {
		return Starts{}, err
	}
	full := s.quanta(usableWh)
	out := Starts{Hours: s.reachFull(full), MaxH: s.maxH}
	if start := s.quanta(soc * usableWh); start < full {
		s.cutDry(out.Hours, start)
	}
	return out, nil
}

// reachFull returns the hours of each start at full: the first hour j in which a drop from some earlier peak, not
// before the start, exceeds the bank. That end never moves back when the start moves on, so one window slides over the
// year; peaks holds the falling maxima of hi in it, the highest first, in a ring.
func (s *Study) reachFull(full int64) []int {
	hours := make([]int, s.hours)
	type peak struct {
		hi   int64
		hour int
	}
	mask := 1<<bits.Len(uint(s.maxH)) - 1 // a window has maxH hours at most
	peaks := make([]peak, mask+1)
	head, tail := 0, 0 // peaks[n&mask] for n from head, below tail
	end := 0           // first hour that is not known to be served
	for i := range hours {
		if head < tail && peaks[head&mask].hour < i {
			head++
		}
		for end = max(end, i); end < i+s.maxH; end++ {
			a := &s.spans[end]
			if a.drop > full || head < tail && peaks[head&mask].hi-a.lo > full {
				break
			}
			for head < tail && peaks[(tail-1)&mask].hi <= a.hi {
				tail--
			}
			peaks[tail&mask] = peak{a.hi, end}
			tail++
		}
		hours[i] = end - i
	}
	return hours
}

// cutDry shortens hours to those of a start with only start quanta in the store: the first hour whose lo lies more than
// start below the sum at the start. Going backwards, lows holds the hours from i on that are lower than all between,
// nearest last, so that lo falls towards the front of the stack and the hour sought is found by bisection.
func (s *Study) cutDry(hours []int, start int64) {
	type low struct {
		lo   int64
		hour int
	}
	lows := make([]low, 0, 1024)
	for i := len(s.spans) - 1; i >= 0; i-- {
		lo := s.spans[i].lo
		for len(lows) > 0 && lows[len(lows)-1].lo >= lo {
			lows = lows[:len(lows)-1]
		}
		lows = append(lows, low{lo, i})
		if i >= s.hours {
			continue
		}
		floor := s.before[i] - start
		// Those below k lie below the floor; the last of them is the nearest. No call of a function an hour.
		k, above := 0, len(lows)
		for k < above {
			if half := int(uint(k+above) / 2); lows[half].lo < floor {
				k = half + 1
			} else {
				above = half
			}
		}
		if k > 0 {
			hours[i] = min(hours[i], lows[k-1].hour-i)
		}
	}
}
