package trace

import (
	"math"
	"slices"
	"sort"

	"outlast/backup/phrase"
)

// A Load is what a trace tells of an appliance. Powers are of the one that was logged.
type Load struct {
	RunningW    float64
	Steady      bool // it runs at one power; else RunningW is what it stays under 95 % of its time
	MedianW     float64
	StandbyW    float64
	HighestW    float64
	StartingW   float64 // 0: no start above the running power was seen
	StartingVA  float64 // 0: not logged
	StartingS   float64
	Starts      int     // with a start above the running power
	LeastStartW float64 // the smallest of them
	OnMin       float64 // 0: no steady rhythm
	OffMin      float64
	HoursPerDay float64
	WhPerDay    float64
	PowerFactor float64 // 0: not logged
	StepS       float64 // between readings
	CoveredS    float64
	Runs        int // times that it went on
	Basis       phrase.Phrase
	Doubts      []phrase.Phrase

	trace *Trace
	spots []spot
	days  []day
	runs  []run
	onW   float64   // above which it is on
	spare []float32 // room for sorting, taken once
}

// A run is a time on: readings from..to, to excluded. whole: it was seen to go on, and to go off.
type run struct {
	from, to      int
	began, ended  bool
	levelW, peakW float64
	startS        float64 // 0: it starts with no more than it runs at
	peakAt        int
}

const (
	dayS  = 86_400.0
	hourS = 3_600.0

	// slowS: readings that are farther apart show no start. Starts of motors last 0.5 to 3 s, common practice.
	slowS = 5.0
	// startW, startTimes: a start is told from noise by so much more than the running power.
	startW, startTimes = 5.0, 1.2
	// startWithinS is how long after it went on the peak of a start is looked for.
	startWithinS = 10.0
	// settledS to settledEndS after it went on is where the power at which a compressor runs is taken.
	settledS, settledEndS = 30.0, 120.0
	// steadyTimes: at one power if it stays under so many times its median for 95 % of its time on.
	steadyTimes = 1.25
)

// Load finds what the trace tells.
func (tr *Trace) Load() *Load {
	l := &Load{trace: tr}
	l.sample()
	l.threshold()
	l.findRuns()
	l.levels()
	l.findStarts()
	l.rhythm()
	l.findDays()
	l.daily()
	l.apparent()
	l.doubts()
	return l
}

// sample finds how far readings are apart, and how long each holds: until the next, but not across a gap.
func (l *Load) sample() {
	tr := l.trace
	n := len(tr.at)
	l.spare = make([]float32, 0, n)
	steps := l.spare
	for i := 1; i < n; i++ {
		if d := tr.at[i] - tr.at[i-1]; d > 0 {
			steps = append(steps, float32(d))
		}
	}
	if len(steps) == 0 {
		steps = []float32{1}
	}
	slices.Sort(steps)
	l.StepS = math.Round(float64(steps[len(steps)/2])*1000) / 1000
	l.StepS = max(l.StepS, 0.001)
	for i := range n {
		l.CoveredS += l.hold(i)
	}
}

// hold is for how many seconds a reading counts.
func (l *Load) hold(i int) float64 {
	at := l.trace.at
	if i+1 < len(at) {
		if next := at[i+1] - at[i]; next <= l.gapS() {
			return next
		}
	}
	return l.StepS
}

// gapS: readings that are farther apart are a gap. Some may be lost in between, but for no longer than a whole day may miss.
func (l *Load) gapS() float64 { return max(10, min(5*l.StepS, longestGapS), 2*l.StepS) }

func (l *Load) gapAfter(i int) bool {
	return i+1 < len(l.trace.at) && l.trace.at[i+1]-l.trace.at[i] > l.gapS()
}

// threshold finds the power above which it is on: a tenth of the way from what it always draws to where half of its
// energy is used.
func (l *Load) threshold() {
	sorted := append(l.spare[:0], l.trace.w...)
	slices.Sort(sorted)
	l.HighestW = float64(sorted[len(sorted)-1])
	base := float64(sorted[len(sorted)/50])
	sum, half := 0.0, 0.0
	for _, w := range sorted {
		sum += max(0, float64(w)-base)
	}
	level := base
	for _, w := range sorted {
		if half += max(0, float64(w)-base); half >= sum/2 {
			level = float64(w)
			break
		}
	}
	if level-base <= max(2, 0.15*level) { // it is never off
		l.onW = -1
		return
	}
	l.StandbyW = base
	l.onW = base + max(0.1*(level-base), min(3, 0.5*(level-base)))
}

func (l *Load) on(i int) bool { return float64(l.trace.w[i]) > l.onW }

// findRuns parts the trace into times on. What is off for two readings only is no end of a run.
func (l *Load) findRuns() {
	n := len(l.trace.at)
	for i := 0; i < n; {
		if !l.on(i) {
			i++
			continue
		}
		r := run{from: i, began: i > 0 && !l.gapAfter(i-1)}
		off := 0
		j := i
		for ; j < n; j++ {
			if j > i && l.gapAfter(j-1) {
				break
			}
			if l.on(j) {
				off = 0
				r.to = j + 1
				continue
			}
			if off++; off > 2 || l.StepS > slowS {
				break
			}
		}
		r.ended = r.to < n && !l.gapAfter(r.to-1)
		l.runs = append(l.runs, r)
		i = max(j, r.to)
	}
	l.Runs = len(l.runs)
}

// median of some values, which are sorted; 0 for none. Of two in the middle it is the mean.
func median(v []float64) float64 {
	if len(v) == 0 {
		return 0
	}
	slices.Sort(v)
	if n := len(v); n%2 == 0 {
		return (v[n/2-1] + v[n/2]) / 2
	}
	return v[len(v)/2]
}

// levels finds the power at which it runs, in each run and altogether.
func (l *Load) levels() {
	tr := l.trace
	all := l.spare[:0]
	for k := range l.runs {
		r := &l.runs[k]
		begin := tr.at[r.from]
		length := tr.at[r.to-1] + l.hold(r.to-1) - begin
		skip, end := 0.0, math.Inf(1)
		if r.began {
			if skip = min(settledS, length/3); l.StepS <= slowS && length > 1.5*settledS {
				end = settledEndS
			}
		}
		var some []float64
		for i := r.from; i < r.to; i++ {
			since := tr.at[i] - begin
			if since < skip && r.to-r.from > 2 {
				continue
			}
			if since <= end && (i < r.to-1 || r.to-r.from <= 3 || !r.ended) { // the last reading may be half off
				some = append(some, float64(tr.w[i]))
			}
			all = append(all, tr.w[i])
		}
		if some == nil {
			some = append(some, float64(tr.w[r.to-1]))
		}
		r.levelW = median(some)
	}
	if len(all) == 0 {
		return
	}
	slices.Sort(all)
	l.MedianW = float64(all[len(all)/2])
	high := float64(all[int(math.Ceil(0.95*float64(len(all))))-1])
	l.RunningW = l.MedianW
	if l.Steady = high <= steadyTimes*l.MedianW; !l.Steady {
		l.RunningW = high
	}
}

// findStarts finds what it draws while it starts, and for how long.
func (l *Load) findStarts() {
	if l.StepS > slowS {
		return
	}
	tr := l.trace
	best := -1
	for k := range l.runs {
		r := &l.runs[k]
		if !r.began || r.to-r.from < 3 {
			continue
		}
		begin := tr.at[r.from]
		for i := r.from; i < r.to && tr.at[i]-begin <= startWithinS; i++ {
			if w := float64(tr.w[i]); w > r.peakW {
				r.peakW, r.peakAt = w, i
			}
		}
		if r.peakW <= startTimes*r.levelW+startW {
			continue
		}
		settled := r.levelW + 0.1*(r.peakW-r.levelW)
		i := r.peakAt
		for i < r.to && float64(tr.w[i]) > settled {
			i++
		}
		end := tr.at[min(i, len(tr.at)-1)]
		r.startS = max(end-begin, l.StepS)
		l.Starts++
		l.StartingS = max(l.StartingS, math.Round(r.startS*1000)/1000)
		if l.LeastStartW == 0 || r.peakW < l.LeastStartW {
			l.LeastStartW = r.peakW
		}
		if best < 0 || r.peakW > l.runs[best].peakW {
			best = k
		}
	}
	if best >= 0 {
		r := l.runs[best]
		l.StartingW = r.peakW
		if tr.va != nil {
			for i := r.from; i <= r.peakAt; i++ {
				l.StartingVA = max(l.StartingVA, float64(tr.va[i]))
			}
			l.StartingVA = max(l.StartingVA, l.StartingW)
		}
	}
}

// A span is readings from..to, to excluded.
type span struct{ from, to int }

// spells are the times on and off of which both ends were seen, and no gap lies between.
func (l *Load) spells() (on, off []span) {
	for k, r := range l.runs {
		if r.began && r.ended {
			on = append(on, span{r.from, r.to})
		}
		if k > 0 && r.began && l.runs[k-1].ended && !l.gapBetween(l.runs[k-1].to, r.from) {
			off = append(off, span{l.runs[k-1].to, r.from})
		}
	}
	return on, off
}

// rhythm finds how long it is on and off, where that is steady.
func (l *Load) rhythm() {
	ons, offs := l.spells()
	const least = 3
	if len(ons) < least || len(offs) < least {
		return
	}
	lengths := func(spans []span) (out []float64) {
		for _, s := range spans {
			out = append(out, l.trace.at[s.to]-l.trace.at[s.from])
		}
		return out
	}
	on, off := lengths(ons), lengths(offs)
	m, o := median(on), median(off)
	quarters := func(v []float64) bool { return v[3*(len(v)-1)/4] <= 2*v[(len(v)-1)/4] }
	if !quarters(on) || !quarters(off) || m < 6 || o < 6 || m > dayS || o > dayS {
		return
	}
	l.OnMin, l.OffMin = round(m/60, 2), round(o/60, 2)
}

// cycles are those that were seen from one time that it went on to the next. One with a gap is none: what it drew in it is
// not known, and who logs by radio loses readings rather while a motor runs.
func (l *Load) cycles() (whole []span) {
	for k := 1; k < len(l.runs); k++ {
		if a, b := l.runs[k-1], l.runs[k]; a.began && b.began && !l.gapBetween(a.from, b.from) {
			whole = append(whole, span{a.from, b.from})
		}
	}
	return whole
}

func (l *Load) gapBetween(from, to int) bool {
	for i := from; i < to; i++ {
		if l.gapAfter(i) {
			return true
		}
	}
	return false
}

func round(v float64, decimals int) float64 {
	p := math.Pow(10, float64(decimals))
	return math.Round(v*p) / p
}

// apparent finds the power factor while it runs, its starts left out.
func (l *Load) apparent() {
	tr := l.trace
	if tr.va == nil {
		return
	}
	w, va := 0.0, 0.0
	for _, r := range l.runs {
		for i := r.from; i < r.to; i++ {
			if tr.va[i] > 0 && tr.at[i] >= tr.at[r.from]+r.startS {
				w += float64(tr.w[i]) * l.hold(i)
				va += float64(tr.va[i]) * l.hold(i)
			}
		}
	}
	if va > 0 && w > 0 {
		l.PowerFactor = min(1, max(0.01, round(w/va, 3)))
		if w > 1.02*va {
			l.doubt(phrase.Of("the VA are fewer than the W: one of the two is scaled wrongly, and the power factor is taken as 1"))
		}
	}
}

func (l *Load) doubt(text phrase.Phrase) { l.Doubts = append(l.Doubts, text) }

// A spot is where the last doubt was found, in seconds from the first reading.
type spot struct {
	fromS, toS float64
	doubt      int // its place in the list, from 0
}

// spot marks where the last doubt was found: readings from to to, to included.
func (l *Load) spot(from, to int) {
	at := l.trace.at
	l.spots = append(l.spots, spot{at[from] - at[0], at[min(to, len(at)-1)] - at[0], len(l.Doubts) - 1})
}

// spotAtLine marks the reading of a line, or the next one where that line has none.
func (l *Load) spotAtLine(line int) {
	i := sort.Search(len(l.trace.at)-1, func(i int) bool { return l.trace.lineOf(i) >= line })
	l.spot(i, i)
}
