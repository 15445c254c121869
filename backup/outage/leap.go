package outage

import "math"

// A leaper is a runner that goes through many different steps at once: see package battery. It is blurred from there
// on, by no more than it says; what could come out otherwise for that is not decided by it.
type leaper interface {
	runner
	// Sum is what a readied step comes to that is done so many times; Join what follows each other.
	Sum(step [4]float64, times int32, dtH float64) [10]float64
	Join(a, b *[10]float64) [10]float64
	// Leap does the steps of a sum if it is sure that each is done in full and that none begins at a state of charge of
	// no more than low or no less than high.
	Leap(sum *[10]float64, low, high float64) bool
	// Blur is how far the state of charge may be off, BlurW the power of a step that takes as much as it can; 0 where it
	// has not leapt since Reset.
	Blur() (soc float64)
	BlurW(dtH float64) (powerW float64)
	// Sure says whether it is beyond doubt that a step gives powerW in full, or that it does not.
	Sure(powerW, dtH float64) bool
	// Settle rounds what a blurred bank holds, so that banks that hold nearly the same hold the same; false: it is not
	// blurred. Held is what it holds, for Hold of another.
	Settle() bool
	Held() [2]float64
	Hold(held [2]float64)
}

// sum puts the stretches of a day together, in pairs of pairs: a node of the tree is what its two halves come to, one
// behind the other; the stretches themselves are the second half of the list.
func (d *homeDay) sum(bank leaper, times []int32, stepH float64) {
	n := len(d.steps)
	for d.wide = 1; d.wide < n; d.wide *= 2 {
	}
	d.sums, d.sumL = make([][10]float64, d.wide+n), make([]float64, d.wide+n)
	for i := range n {
		at := d.wide + i
		d.sums[at], d.sumL[at] = bank.Sum(d.steps[i], times[i], stepH), d.burnL[i]*float64(times[i])
	}
	for from, to := d.wide/2, (d.wide+n)/2; from > 0; from, to = from/2, to/2 {
		for at := from; at < to; at++ { // only where both halves are within the day
			d.sums[at], d.sumL[at] = bank.Join(&d.sums[2*at], &d.sums[2*at+1]), d.sumL[2*at]+d.sumL[2*at+1]
		}
	}
}

// A leaping is what may be leapt over.
type leaping struct {
	most      int     // steps
	low, high float64 // charge
	fuelL     float64 // what may be taken from the tank; +Inf: as much as it takes
}

// leap goes on from the beginning of a stretch of a day, large parts at a time, of which it is sure; first holds the
// first steps of its stretches and, behind them, the end. It returns how many stretches and steps these are, and the
// fuel that they take. Where parts were too large it tries smaller ones at once the next time, and where they were not,
// larger ones.
func (r *homeRun) leap(d *homeDay, from int, first []int32, may leaping) (stretches, steps int, burntL float64) {
	at, n := from, len(d.steps)
	for at < n {
		node, size := d.wide+at, 1
		for node&1 == 0 && at+2*size <= n && 2*size <= r.largest {
			node, size = node/2, 2*size
		}
		for {
			long := int(first[at+size] - first[at])
			if steps+long <= may.most && burntL+d.sumL[node] <= may.fuelL &&
				r.leaper.Leap(&d.sums[node], may.low, may.high) {
				at, steps, burntL, r.largest = at+size, steps+long, burntL+d.sumL[node], 4*size
				break
			}
			if size == 1 {
				r.largest = 1
				return at - from, steps, burntL
			}
			node, size = 2*node, size/2
		}
	}
	return at - from, steps, burntL
}

// wholeDay is more stretches than any day has.
const wholeDay = 2 * minutesPerDay

// fuelSlack is far more than what a million subtractions from a full tank round.
const fuelSlack = 1e-9

// unsure says whether what is switched at this moment could be otherwise, because the bank is blurred.
func (r *homeRun) unsure(soc float64) bool {
	blur := r.leaper.Blur()
	if blur == 0 {
		return false
	}
	near := func(limit float64) bool { return math.Abs(soc-limit) <= blur }
	if e := r.engine; e != nil {
		if e.FuelL > 0 && math.Abs(e.leftL-e.maxLPH*e.stepH) <= r.fuelBlurL {
			return true
		}
		if limit := e.StartSoC; !e.running && near(limit) || e.running && near(e.StopSoC) {
			return true
		}
	}
	for i, off := range r.off {
		if d := &r.Dropped[i]; off && near(d.BackAt) || !off && near(d.Below) {
			return true
		}
	}
	return false
}

// unsureDark says whether the next step could be dark or not.
func (r *homeRun) unsureDark(at int) bool {
	w := r.wants(r.asks(at), r.sun(at))
	return w.spareW < 0 && !r.leaper.Sure(w.bankW, r.stepH)
}

// burnsBlurred adds to how far the tank may be off what a step can burn more or less with a blurred bank.
func (r *homeRun) burnsBlurred() {
	if powerW := r.leaper.BlurW(r.stepH); powerW > 0 {
		r.fuelBlurL += r.engine.steepest() * powerW / r.engine.ChargerEfficiency * r.stepH
	}
}

// steepest is the most that a watt more burns, in l/h.
func (e *engine) steepest() float64 {
	most := 0.0
	for i := 1; i < len(e.fuel); i++ {
		a, b := e.fuel[i-1], e.fuel[i]
		most = max(most, math.Abs(b.LPerH-a.LPerH)/(b.Load-a.Load)/e.RatedW)
	}
	return most
}
