package trace

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"outlast/backup/draft"
)

// doubts names every spot that is doubtful.
func (l *Load) doubts() {
	tr := l.trace
	if len(l.runs) == 0 {
		l.doubt("it never went on: there is nothing to take a running power from")
		return
	}
	if tr.isVA {
		l.doubt("no W are logged: VA count as W, the safe side")
	}
	l.timing()
	f := tr.faults
	if f.missing.n > 0 {
		l.doubt("%s without a power, the first in line %d", count(f.missing.n, "reading"), f.missing.line)
	}
	if f.negative.n > 0 {
		l.doubt("%s below 0, the first in line %d, counted as 0: is the clamp turned round?",
			count(f.negative.n, "reading"), f.negative.line)
	}
	l.stuck()
	l.severalLevels()
	l.startDoubts()
	if l.CoveredS < nearlyDay*dayS {
		l.doubt("the readings cover %s: a whole day tells more", duration(l.CoveredS))
	}
}

func count(n int, what string) string {
	if n == 1 {
		return "1 " + what
	}
	return fmt.Sprintf("%d %ss", n, what)
}

func duration(s float64) string {
	switch {
	case s >= 2*dayS:
		return fmt.Sprintf("%.3g days", s/dayS)
	case s >= 2*hourS:
		return fmt.Sprintf("%.3g h", s/hourS)
	case s >= 120:
		return fmt.Sprintf("%.3g min", s/60)
	}
	return fmt.Sprintf("%.3g s", s)
}

// timing looks at gaps and at the clock.
func (l *Load) timing() {
	tr := l.trace
	n, longest, lost := 0, 0, 0.0
	for i := range tr.at {
		if !l.gapAfter(i) {
			continue
		}
		d := tr.at[i+1] - tr.at[i]
		n++
		lost += d
		if n == 1 || d > tr.at[longest+1]-tr.at[longest] {
			longest = i
		}
	}
	if n > 0 {
		l.doubt("%s, %s altogether, the longest of %s before line %d: what was drawn then is not counted",
			count(n, "gap"), duration(lost), duration(tr.at[longest+1]-tr.at[longest]), tr.lineOf(longest+1))
	}
	if b := tr.faults.back; b.n > 0 {
		l.doubt("the clock goes back %s, first in line %d: taken as set back, and the readings as following one another",
			times(b.n), b.line)
	}
	if t := tr.faults.twice; t.n > 0 {
		l.doubt("%s with the time of the one before, the first in line %d", count(t.n, "reading"), t.line)
	}
}

func times(n int) string {
	if n == 1 {
		return "once"
	}
	return fmt.Sprintf("%d times", n)
}

// stuck looks for a value that stays the same to the last digit, and for a top that is cut, in readings that vary else.
func (l *Load) stuck() {
	tr := l.trace
	var lengths []float64
	type same struct{ from, to int }
	var longest same
	top, near := 0, map[float32]int{}
	for _, r := range l.runs {
		for i := r.from; i < r.to; {
			j := i + 1
			for j < r.to && tr.w[j] == tr.w[i] && !l.gapAfter(j-1) {
				j++
			}
			lengths = append(lengths, float64(j-i))
			if j-i > longest.to-longest.from {
				longest = same{i, j}
			}
			i = j
		}
	}
	for _, w := range tr.w {
		switch {
		case float64(w) == l.HighestW:
			top++
		case float64(w) > 0.9*l.HighestW:
			near[w]++
		}
	}
	if len(lengths) < 10 || median(lengths) > 2 {
		return // it is so even that being the same says nothing
	}
	const stuckS, stuckN = 600.0, 20
	if n := longest.to - longest.from; n >= stuckN && tr.at[longest.to-1]-tr.at[longest.from] >= stuckS {
		l.doubt("%s W stays the same to the last digit from line %d for %s, while other readings vary: the logger may have been stuck",
			draft.Num(round(float64(tr.w[longest.from]), 2)), tr.lineOf(longest.from),
			duration(tr.at[longest.to-1]-tr.at[longest.from]))
	}
	below := 0
	for _, n := range near {
		below += n
	}
	const least, times = 5, 3 // as often as the powers just below it
	if top >= least && len(near) >= least && top*len(near) > times*below {
		l.doubt("the highest power, %s W, was read %d times, far more than any just below it: the logger may end there",
			draft.Num(round(l.HighestW, 1)), top)
	}
}

// A level is a power at which it stays for a while.
type level struct{ w, s float64 }

// stays finds the powers at which it stays for a while, those with most time first.
func (l *Load) stays() (out []level) {
	tr := l.trace
	least := max(20, 3*l.StepS)
	var all []level
	for _, r := range l.runs {
		for i := r.from; i < r.to; {
			mean, j := float64(tr.w[i]), i+1
			sum := mean
			for j < r.to && math.Abs(float64(tr.w[j])-mean) <= max(5, 0.06*mean) {
				sum += float64(tr.w[j])
				j++
				mean = sum / float64(j-i)
			}
			if s := tr.at[j-1] + l.hold(j-1) - tr.at[i]; s >= least && mean > l.onW {
				all = append(all, level{mean, s})
			}
			i = j
		}
	}
	slices.SortFunc(all, func(a, b level) int { return cmp.Compare(a.w, b.w) })
	for _, v := range all {
		if n := len(out); n > 0 && v.w-out[n-1].w <= max(8, 0.08*out[n-1].w) {
			last := &out[n-1]
			last.w = (last.w*last.s + v.w*v.s) / (last.s + v.s)
			last.s += v.s
			continue
		}
		out = append(out, v)
	}
	total := 0.0
	for _, v := range out {
		total += v.s
	}
	out = slices.DeleteFunc(out, func(v level) bool { return v.s < 0.03*total })
	slices.SortStableFunc(out, func(a, b level) int { return cmp.Compare(b.s, a.s) })
	return out
}

// severalLevels looks for two appliances at once: two powers that stand alone, and their sum.
func (l *Load) severalLevels() {
	all := l.stays()
	if len(all) < 2 {
		return
	}
	for i, a := range all {
		for _, b := range all[i+1:] {
			for _, c := range all {
				if math.Abs(a.w+b.w-c.w) <= 0.05*c.w && min(a.w, b.w) > 0.07*c.w {
					l.doubt("it stays at %s and at %s W, and at their sum, %s W: two appliances at once? Log one of them alone",
						watts(a.w), watts(b.w), watts(c.w))
					return
				}
			}
		}
	}
	least, most := all[0].w, all[0].w
	for _, v := range all {
		least, most = min(least, v.w), max(most, v.w)
	}
	const apart = 1.5 // a compressor draws more while it is warm
	if most < apart*least {
		return
	}
	var list []string
	for _, v := range all[:min(len(all), 4)] {
		list = append(list, fmt.Sprintf("%s W for %s", watts(v.w), duration(v.s)))
	}
	l.doubt("it stays at several powers, %s: a programme, a heater that helps, or a second appliance",
		strings.Join(list, ", "))
}

// watts are W or Wh with the digits that a reader can use.
func watts(w float64) string {
	if math.Abs(w) < 100 {
		return draft.Num(round(w, 1))
	}
	return draft.Num(round(w, 0))
}

// startDoubts tells how far the readings can tell a start.
func (l *Load) startDoubts() {
	switch {
	case l.StepS > slowS:
		l.doubt("readings %s apart show no start: a motor or a compressor takes several times its running power for a second or so; measure it, take it from the plate (motor = …), or name a class with --class",
			duration(l.StepS))
	case l.Starts > 0:
		l.doubt("the start is a lower bound: between readings %s apart it may be higher, and shorter than %s s",
			duration(l.StepS), draft.Num(l.StartingS))
		if l.LeastStartW < 0.7*l.StartingW {
			l.doubt("%s differ, from %s to %s W, as the readings meet them or not", count(l.Starts, "start"),
				watts(l.LeastStartW), watts(l.StartingW))
		}
	default:
		l.doubt("no start above the running power was seen; one that is shorter than the %s between readings would not show",
			duration(l.StepS))
	}
}
