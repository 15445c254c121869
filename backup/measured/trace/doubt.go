package trace

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"outlast/backup/draft"
	"outlast/backup/phrase"
)

// doubts names every spot that is doubtful.
func (l *Load) doubts() {
	tr := l.trace
	if len(l.runs) == 0 {
		l.doubt(phrase.Of("it never went on: there is nothing to take a running power from"))
		return
	}
	if tr.isVA {
		l.doubt(phrase.Of("no W are logged: VA count as W, the safe side"))
	}
	l.timing()
	f := tr.faults
	if f.missing.n > 0 {
		l.doubt(phrase.Of("%s without a power, the first in line %d", readings(f.missing.n), f.missing.line))
		l.spotAtLine(f.missing.line)
	}
	if f.negative.n > 0 {
		l.doubt(phrase.Of("%s below 0, the first in line %d, counted as 0: is the clamp turned round?",
			readings(f.negative.n), f.negative.line))
		l.spotAtLine(f.negative.line)
	}
	l.stuck()
	l.severalLevels()
	l.startDoubts()
	l.dayDoubts()
}

func readings(n int) phrase.Phrase { return phrase.Count(n, "%d reading", "%d readings") }

func starts(n int) phrase.Phrase { return phrase.Count(n, "%d start", "%d starts") }

// printed is a number that is printed already, as a phrase.
func printed(text string) phrase.Phrase { return phrase.Symbols("%s", phrase.Number(text)) }

func duration(s float64) phrase.Phrase {
	three := func(v float64) phrase.Number { return phrase.Number(fmt.Sprintf("%.3g", v)) }
	switch {
	case s >= 2*dayS:
		return phrase.Of("%s days", three(s/dayS))
	case s >= 2*hourS:
		return phrase.Symbols("%s h", three(s/hourS))
	case s >= 120:
		return phrase.Symbols("%s min", three(s/60))
	}
	return phrase.Symbols("%s s", three(s))
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
		l.doubt(phrase.Of("%s, %s altogether, the longest of %s before line %d: what was drawn then is not counted",
			phrase.Count(n, "%d gap", "%d gaps"), duration(lost), duration(tr.at[longest+1]-tr.at[longest]),
			tr.lineOf(longest+1)))
		for i := range tr.at {
			if l.gapAfter(i) {
				l.spot(i, i+1)
			}
		}
	}
	if b := tr.faults.back; b.n > 0 {
		l.doubt(phrase.Of("the clock goes back %s, first in line %d: taken as set back, and the readings as following one another",
			times(b.n), b.line))
		l.spotAtLine(b.line)
	}
	if t := tr.faults.twice; t.n > 0 {
		l.doubt(phrase.Of("%s with the time of the one before, the first in line %d", readings(t.n), t.line))
		l.spotAtLine(t.line)
	}
}

func times(n int) phrase.Phrase {
	if n == 1 {
		return phrase.Of("once")
	}
	return phrase.Of("%d times", n)
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
		l.doubt(phrase.Of("%s W stays the same to the last digit from line %d for %s, while other readings vary: "+
			"the logger may have been stuck",
			printed(draft.Num(round(float64(tr.w[longest.from]), 2))), tr.lineOf(longest.from),
			duration(tr.at[longest.to-1]-tr.at[longest.from])))
		l.spot(longest.from, longest.to-1)
	}
	below := 0
	for _, n := range near {
		below += n
	}
	const least, times = 5, 3 // as often as the powers just below it
	if top >= least && len(near) >= least && top*len(near) > times*below {
		l.doubt(phrase.Of("the highest power, %s W, was read %d times, far more than any just below it: the logger may end there",
			printed(draft.Num(round(l.HighestW, 1))), top))
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
					l.doubt(phrase.Of("it stays at %s and at %s W, and at their sum, %s W: two appliances at once? Log one of them alone",
						watts(a.w), watts(b.w), watts(c.w)))
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
	var list []phrase.Phrase
	for _, v := range all[:min(len(all), 4)] {
		list = append(list, phrase.Of("%s W for %s", watts(v.w), duration(v.s)))
	}
	l.doubt(phrase.Of("it stays at several powers, %s: a programme, a heater that helps, or a second appliance",
		phrase.Separated(list, ", ")))
}

// watts are W or Wh with the digits that a reader can use.
func watts(w float64) phrase.Phrase { return printed(wattsText(w)) }

func wattsText(w float64) string {
	if math.Abs(w) < 100 {
		return draft.Num(round(w, 1))
	}
	return draft.Num(round(w, 0))
}

// startDoubts tells how far the readings can tell a start.
func (l *Load) startDoubts() {
	switch {
	case l.StepS > slowS:
		l.doubt(phrase.Of("readings %s apart show no start: a motor or a compressor takes several times its running "+
			"power for a second or so; measure it, take it from the plate (motor = …), or name a class with --class",
			duration(l.StepS)))
	case l.Starts > 0:
		l.doubt(phrase.Of("the start is a lower bound: between readings %s apart it may be higher, and shorter than %s s",
			duration(l.StepS), printed(draft.Num(l.StartingS))))
		if l.LeastStartW < 0.7*l.StartingW {
			l.doubt(phrase.Of("%s differ, from %s to %s W, as the readings meet them or not", starts(l.Starts),
				watts(l.LeastStartW), watts(l.StartingW)))
		}
	default:
		l.doubt(phrase.Of("no start above the running power was seen; one that is shorter than the %s between readings would not show",
			duration(l.StepS)))
	}
}
