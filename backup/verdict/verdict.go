// Package verdict compares a demand with a limit, and says how that came out.
package verdict

import (
	"math"

	"outlast/backup/phrase"
)

// Status is how a comparison came out.
type Status string

// The statuses, from good to bad.
const (
	Pass    Status = "pass"
	Caution Status = "caution"
	Fail    Status = "fail"
)

// Word is the status for a sentence.
func (s Status) Word() phrase.Phrase {
	switch s {
	case Fail:
		return phrase.Of("fail")
	case Caution:
		return phrase.Of("caution")
	}
	return phrase.Of("pass")
}

// Worse gives the worse of two statuses.
func Worse(a, b Status) Status {
	rank := map[Status]int{Pass: 0, Caution: 1, Fail: 2}
	if rank[b] > rank[a] {
		return b
	}
	return a
}

// A Check is one comparison of a demand with a limit.
//
// Margin is what is left of the limit, as a share of it: negative when the limit is broken. For temperatures it is in
// kelvin. Without a limit (HasLimit false) there is nothing to compare: Reason names the key that would allow it, or
// says why nothing is asked.
type Check struct {
	ID       string
	Status   Status
	Demand   float64
	Limit    float64
	HasLimit bool
	Unit     string
	Margin   float64
	AtLeast  bool // the demand must not be below the limit, instead of not above
	Times    int  // Demand is so many times the phase with the most load, and not what all draw together; 0: it is no such
	Reason   phrase.Phrase
	Concern  phrase.Phrase // of the reason, what makes it no better than a caution whatever its figures; empty: nothing does
	// Lacks says that it is a caution only for want of a figure beside a comparison that is met, where that is not so of
	// every one of its kind (MetThoughOpen).
	Lacks bool
	// InMonth is another month than that of the plan, 1 to 12, in which it fails, which makes it a caution where nobody
	// asked for one month alone; 0: none. There is the reason of that.
	InMonth int
	There   phrase.Phrase
}

// Shown gives demand and limit as people read them, with their unit: a share is in per cent.
func (c Check) Shown() (demand, limit float64, unit string) {
	if Depends(c.ID, OfShare) {
		return 100 * c.Demand, 100 * c.Limit, "%"
	}
	return c.Demand, c.Limit, c.Unit
}

// Told is the same where figures are rounded: the least size of what is built or bought is rounded up, but of one that
// is reached no more is told than there is.
func (c Check) Told() (demand, limit float64, unit string) {
	demand, limit, unit = c.Shown()
	if unit != "cm2" && unit != "Ah" {
		return demand, limit, unit
	}
	least := Enough(demand)
	if c.HasLimit && c.Status != Fail && least > limit {
		least = max(demand, limit)
	}
	return least, limit, unit
}

// Elsewhere says whether it is a caution because it fails in another month.
func (c Check) Elsewhere() bool { return c.Status == Caution && c.InMonth > 0 }

// KeepsLimit says whether it is a caution though the demand keeps the limit: one for something that the two figures do
// not tell.
func (c Check) KeepsLimit() bool {
	return c.Status == Caution && c.HasLimit && c.Margin >= 0 && !c.Elsewhere()
}

// Ranks says whether its margin may be set beside those of other checks, to find the tightest. Kelvin are no share; and
// the volts of a lithium bank span a twentieth from full to nearly empty, so that of those there is never much left.
func (c Check) Ranks() bool {
	return c.HasLimit && c.Unit != "C" && !Depends(c.ID, NarrowScale)
}

// Slack forgives what floating point adds to sums of decimals; a rating may be used in full.
const Slack = 1e-9

// AtMost compares a demand with a limit that it must not exceed.
func AtMost(id string, demand, limit float64, unit string) Check {
	c := Check{ID: id, Demand: demand, Limit: limit, HasLimit: true, Unit: unit, Status: Pass,
		Margin: Share(limit-demand, limit)}
	if !(demand <= limit+Slack*math.Abs(limit)) {
		c.Status = Fail
	} else if c.Margin < 0 {
		c.Margin = 0
	}
	return c
}

// AtLeast compares a demand with a limit that it must reach.
func AtLeast(id string, demand, limit float64, unit string) Check {
	c := Check{ID: id, Demand: demand, Limit: limit, HasLimit: true, Unit: unit, Status: Pass, AtLeast: true,
		Margin: Share(demand-limit, limit)}
	if unit == "C" {
		c.Margin = demand - limit
	}
	if !(demand >= limit-Slack*math.Abs(limit)) {
		c.Status = Fail
	} else if c.Margin < 0 {
		c.Margin = 0
	}
	return c
}

// Settable is a limit as it is entered: rounded down to what can be set, so that it holds. Whole numbers from 10 on,
// tenths below.
func Settable(limit float64) float64 {
	if limit < 10 {
		return math.Floor(10*limit+Slack) / 10
	}
	return math.Floor(limit + Slack)
}

// Enough is what is required at least, as it is built or entered: rounded up, so that it does. Whole numbers from 10 on,
// tenths below.
func Enough(least float64) float64 {
	if least < 10 {
		return math.Ceil(10*least-Slack) / 10
	}
	return math.Ceil(least - Slack)
}

// Share is part over whole; of a whole that is nothing, everything is used up or, if nothing is asked, nothing is
// missing.
func Share(part, whole float64) float64 {
	switch {
	case whole != 0:
		return part / math.Abs(whole)
	case part < 0:
		return -1
	default:
		return 0
	}
}

// Unknown is a check that can't be made for want of data.
func Unknown(id string, demand float64, unit string, reason phrase.Phrase) Check {
	return Check{ID: id, Status: Caution, Demand: demand, Unit: unit, Reason: reason}
}

// Because adds the reason: one text for a check that passes, one for one that does not.
func (c Check) Because(good, bad phrase.Phrase) Check {
	c.Reason = good
	if c.Status != Pass {
		c.Reason = bad
	}
	return c
}

// AtWorst turns a failure into a caution, for what is worth saying but forbids nothing.
func (c Check) AtWorst(s Status) Check {
	if c.Status == Fail {
		c.Status = s
	}
	return c
}

// Lacking adds words to a check that make it no better than a caution, for a figure that is missing.
func (c Check) Lacking(more phrase.Phrase) Check {
	c.Lacks = c.Lacks || c.Status == Pass
	return c.WithCaution(more)
}

// WithCaution adds words to a check that make it no better than a caution.
func (c Check) WithCaution(more phrase.Phrase) Check {
	c.Status = Worse(c.Status, Caution)
	c.Reason, c.Concern = c.Reason.Then(more), c.Concern.Then(more)
	return c
}
