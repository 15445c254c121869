package outage

import "math"

// Outages that began at different hours come to be one and the same where the bank was full in all of them and nothing
// else differs: whatever becomes of one then becomes of the others. So each leaves word at midnight, and a later one
// that finds it goes on from where the earlier one ended, or goes dark with it.

// A meeting is all that the rest of an outage depends on.
type meeting struct {
	at    int // step, counted from the beginning of the year in which the outage began
	state int // of what is switched
	held  [2]float64
	leftL float64
}

// A course is what became of an outage.
type course struct {
	done      bool
	dark      bool
	meeting           // at its end, or where it went dark
	fuelOffL  float64 // how far the tank may be off then
	continued int     // the latest outage that met it: it went the same way, and further
}

// courses are those of outages that begin one after the other.
type courses struct {
	from int // the first start
	all  []course
	left []meeting // by whom: words
	by   []int32   // by word: which outage left it
	slot []int32   // by hash: which word, from 1; 0: none. A map of Go's takes several times as long
}

// slots is where a block of outages begins: a word at each of some midnights.
const slots = 1 << 14

// find is the slot of a meeting: that with its word, or a free one.
func (c *courses) find(m *meeting) int {
	h := math.Float64bits(m.held[0])*0x9e3779b97f4a7c15 ^ math.Float64bits(m.held[1])*0xc2b2ae3d27d4eb4f ^
		math.Float64bits(m.leftL)*0x165667b19e3779f9 ^ uint64(m.at)*0x27d4eb2f165667c5 ^ uint64(m.state)
	h *= 0x9e3779b97f4a7c15
	at := int(h>>32) & (len(c.slot) - 1)
	for c.slot[at] != 0 && c.left[c.slot[at]-1] != *m {
		at = (at + 1) & (len(c.slot) - 1)
	}
	return at
}

// begin is called before each outage. Those that do not follow the last one begin anew.
func (c *courses) begin(start int) {
	if c.slot == nil {
		c.slot = make([]int32, slots)
	}
	if start != c.from+len(c.all) {
		c.from, c.all, c.left, c.by = start, c.all[:0], c.left[:0], c.by[:0]
		clear(c.slot)
	}
	c.all = append(c.all, course{continued: len(c.all)})
}

// met is the furthest course of an outage that was the same at a meeting, nil where there is none; then the last one
// leaves word.
func (c *courses) met(m meeting) *course {
	at, last := c.find(&m), int32(len(c.all)-1)
	word := c.slot[at] - 1
	switch {
	case word < 0:
		c.left, c.by = append(c.left, m), append(c.by, last)
		if c.slot[at] = int32(len(c.left)); 2*len(c.left) > len(c.slot) {
			c.slot = make([]int32, 2*len(c.slot))
			for i := range c.left {
				c.slot[c.find(&c.left[i])] = int32(i + 1)
			}
		}
	case !c.all[c.by[word]].done: // it was left in doubt
		c.by[word] = last
	default:
		no := int(c.by[word])
		for c.all[no].continued != no {
			next := c.all[no].continued
			c.all[no].continued = c.all[next].continued
			no = next
		}
		return &c.all[no]
	}
	return nil
}

// meeting is where the outage is at a step.
func (r *homeRun) meeting(at int) meeting {
	m := meeting{at: at, state: r.state(), held: r.leaper.Held()}
	if r.engine != nil {
		m.leftL = r.engine.leftL
	}
	return m
}

// goesOn goes on from the end of another course.
func (r *homeRun) goesOn(c *course) {
	r.leaper.Hold(c.held)
	for i := range r.off {
		r.off[i] = c.state&(2<<i) != 0
	}
	if r.engine != nil {
		r.engine.running, r.engine.leftL = c.state&1 != 0, c.leftL
		r.fuelBlurL += c.fuelOffL
	}
}

// courseEnds keeps what became of the outage, and where it was the same as another one.
func (r *homeRun) courseEnds(at meeting, with *course, dark bool) {
	all := r.courses.all
	last := len(all) - 1
	all[last] = course{done: true, dark: dark, meeting: at, continued: last}
	if r.engine != nil {
		all[last].fuelOffL = r.fuelBlurL - fuelSlack*r.engine.FuelL
	}
	if with != nil && !dark {
		with.continued = last
	}
}
