package wiring

import (
	"slices"

	"outlast/backup/phrase"
	"outlast/backup/working"
)

// DeviceKind is a fuse or a circuit-breaker.
type DeviceKind string

// The kinds of protective device.
const (
	Fuse    DeviceKind = "fuse"
	Breaker DeviceKind = "breaker"
)

func (k DeviceKind) check() error {
	if k == Fuse || k == Breaker {
		return nil
	}
	return errs.Errorf("device %q, want %q or %q", string(k), Fuse, Breaker)
}

// A Device is a protective device or an isolator as its label has it. A zero field is unknown.
type Device struct {
	RatedA    float64
	RatedV    float64 // for the kind of current that it sees: a DC rating on the DC side
	BreakingA float64 // interrupting rating at that voltage; an isolator has none
}

func (d Device) check() error {
	return firstError(optional(phrase.Of("device"), d.RatedA, 0.1, maxA, "A"),
		optional(phrase.Of("device voltage"), d.RatedV, minV, maxV, "V"),
		optional(phrase.Of("breaking capacity"), d.BreakingA, 1, 1e6, "A"))
}

// The standard ratings, A, smallest first.
var (
	// usRatings: NEC 240.6(A), fuses and inverse-time breakers (SEEN-S).
	usRatings = []float64{15, 20, 25, 30, 35, 40, 45, 50, 60, 70, 80, 90, 100, 110, 125, 150, 175, 200, 225, 250, 300,
		350, 400, 450, 500,
		600, 700, 800, 1000, 1200, 1600, 2000, 2500, 3000, 4000, 5000, 6000}
	// usFuseRatings, usBreakerRatings: with what NEC 240.6(A) adds for one kind only (MEM); the 10 A breaker since
	// 2023.
	usFuseRatings    = merged(usRatings, 1, 3, 6, 10, 601)
	usBreakerRatings = merged(usRatings, 10)
	// iecBreakerRatings: IEC 60898-1 preferred values of miniature breakers (SEEN-S).
	iecBreakerRatings = []float64{6, 10, 13, 16, 20, 25, 32, 40, 50, 63, 80, 100, 125}
	// iecFuseRatings: IEC 60269-1 preferred values (memory).
	iecFuseRatings = []float64{2, 4, 6, 8, 10, 12, 16, 20, 25, 32, 40, 50, 63, 80, 100, 125, 160, 200, 250, 315, 400,
		500, 630, 800, 1000, 1250}
)

func merged(all []float64, more ...float64) []float64 {
	out := slices.Concat(all, more)
	slices.Sort(out)
	return out
}

// ratingSource cites the list of a family and kind.
func ratingSource(t Tables, k DeviceKind) working.Source {
	switch {
	case t == US:
		return working.NEC.At(phrase.Name("240.6(A)"), working.Quoted)
	case k == Fuse:
		return working.IEC60269.At(phrase.Of("preferred values"), working.Memory)
	default:
		return working.IEC60898.At(phrase.Of("preferred values"), working.Quoted)
	}
}

// ratings lists the standard ratings of a kind of device in A, smallest first; nil for unknown words. Nobody may change
// them.
//
// Sources: NEC 240.6(A); IEC 60898-1 for breakers, which ends at 125 A; IEC 60269-1 for fuses.
func ratings(t Tables, k DeviceKind) []float64 {
	switch {
	case t == IEC && k == Breaker:
		return iecBreakerRatings
	case t == IEC && k == Fuse:
		return iecFuseRatings
	case t == US && k == Breaker:
		return usBreakerRatings
	case t == US && k == Fuse:
		return usFuseRatings
	}
	return nil
}

// Ratings are the standard ratings of a device in A, the smallest first.
func Ratings(t Tables, k DeviceKind) []float64 { return slices.Clone(ratings(t, k)) }

// NextRating is the smallest standard rating of at least needA, or false when the list ends below it.
func NextRating(t Tables, k DeviceKind, needA float64) (float64, bool) {
	for _, a := range ratings(t, k) {
		if fits(needA, a) {
			return a, true
		}
	}
	return 0, false
}

// nextSizeUp is the largest device on a conductor that carries carriesA where the next standard rating above is
// allowed.
func nextSizeUp(t Tables, i int, carriesA float64) float64 {
	next, ok := NextRating(t, Breaker, carriesA)
	if !ok { // an IEC breaker list that ends below the conductor
		next = carriesA
	}
	return min(next, smallConductor(t, i))
}

// RequiredDeviceA is the smallest rating that a device on continuousA (3 h or more) and otherA may have: all of the
// second and ContinuousFactor times the first. Source: NEC 210.20(A); IEC 60364-4-43 433.1 has no such factor, see
// [ContinuousFactor].
func RequiredDeviceA(continuousA, otherA float64, p Practice) (float64, error) {
	p, err := p.Filled()
	if err := firstError(err, currentRange(phrase.Of("continuous current"), continuousA),
		currentRange(phrase.Of("other current"), otherA)); err != nil {
		return 0, err
	}
	return p.ContinuousFactor*continuousA + otherA, nil
}

// voltCheck holds the device's rated voltage against the highest voltage of its place.
func (d Device) voltCheck(of Comparison, what string, word phrase.Phrase, placeV float64) Check {
	if d.RatedV == 0 {
		return unknown(of, placeV, "V", "rated voltage of the "+what,
			phrase.Of("the %s must be rated for at least %s V of this kind of current", word, enough(placeV)))
	}
	return compare(of, placeV, d.RatedV, "V", phrase.Of("rated voltage of the %s", word))
}

// breakCheck holds the device's breaking capacity against the short-circuit current of its place.
func (d Device) breakCheck(of Comparison, what string, word phrase.Phrase, placeV float64, fault ShortCircuit) Check {
	switch {
	case !fault.Known:
		return unknown(of, 0, "A", "short-circuit current of the bank",
			phrase.Of("the prospective short-circuit current is not known, so the breaking capacity is not checked"))
	case d.BreakingA == 0:
		return unknown(of, fault.MaximumA, "A", "breaking capacity of the "+what,
			phrase.Of("the %s must have a breaking capacity of at least %s A at %s V DC", word, enough(fault.MaximumA),
				enough(placeV)))
	}
	c := compare(of, fault.MaximumA, d.BreakingA, "A",
		phrase.Of("prospective short-circuit current against the breaking capacity"))
	if fault.Assumed && c.Status == Fail { // what nobody knows proves nothing
		return unknown(of, fault.MaximumA, "A", "short-circuit current of the bank",
			phrase.Of("the %s must have a breaking capacity of at least %s A at %s V DC", word, enough(fault.MaximumA),
				enough(placeV)))
	}
	return c
}

// Word is the kind in a sentence.
func (k DeviceKind) Word() phrase.Phrase {
	if k == Breaker {
		return phrase.Of("circuit breaker")
	}
	return phrase.Of("fuse")
}
