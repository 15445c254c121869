package split

import (
	"cmp"
	"math"
	"slices"

	"outlast/backup/phrase"
	"outlast/backup/verdict"
	"outlast/backup/wording"
)

// A LeftOut is a circuit that may go on either board, was left on the main board, and why.
type LeftOut struct {
	ID  string
	Why Keeping
	// Check is the first check that fails with the circuit added, and By how far beyond its limit, in Unit; Short says
	// that it is below it. Times is of a demand that is so many times the phase with the most load. Empty where none
	// fails.
	Check string
	By    float64
	Unit  string
	Short bool
	Times int
	// InPlaceOf are the circuits that would have to go for it: fewest first, then those that matter least. Only with
	// Displaces.
	InPlaceOf []string
	// Helps are the changes with which it would be let in beside all others, the mildest first; in words that follow
	// "with".
	Helps []phrase.Phrase
}

// Keeping is the way in which a circuit is kept out.
type Keeping string

// The ways of being kept out.
const (
	NeverFits Keeping = "never fits" // it fails even beside nothing but the circuits that must be on the backup board
	Displaces Keeping = "displaces"  // it would fit only by dropping something more important
	NoGain    Keeping = "no gain"    // nothing on it is used in an outage in the month
	Unproven  Keeping = "unproven"   // the search was ended before it could tell
)

// leftOut explains why an open circuit is not in the chosen split.
func (d *Decider) leftOut(picks []int, n int) LeftOut {
	out := LeftOut{ID: d.site.Circuits[d.Open[n]].ID}
	if len(d.used(n)) == 0 {
		out.Why = NoGain
		return out
	}
	chosen := make([]bool, len(picks))
	for m, pick := range picks {
		chosen[m] = pick != onMain
	}
	with := d.Place(plus(chosen, n))
	broken := with.broken
	if broken == nil {
		out.Why = Unproven
		return out
	}
	out.Check, out.Unit, out.By = broken.ID, broken.Unit, math.Abs(broken.Demand-broken.Limit)
	out.Times = broken.Times
	out.Short = broken.AtLeast || verdict.Depends(broken.ID, verdict.Reach)
	if d.Place(plus(d.Must, n)).broken != nil {
		out.Why = NeverFits
	} else {
		out.Why = Displaces
		out.InPlaceOf = d.inPlaceOf(chosen, n)
	}
	if broken.ID != verdict.Unworkable {
		out.Helps = d.helps(with.Picks, n)
	}
	return out
}

// plus is a set with one more in it.
func plus(set []bool, n int) []bool {
	set = slices.Clone(set)
	set[n] = true
	return set
}

// inPlaceOf finds the fewest chosen circuits, at most two, without which an open one fits; of as many those with the
// loads that matter least, and then those of least energy.
func (d *Decider) inPlaceOf(set []bool, n int) []string {
	var chosen []int
	for m, in := range set {
		if in && !d.Must[m] {
			chosen = append(chosen, m)
		}
	}
	worth := map[int][]float64{}
	for _, m := range chosen {
		energy := 0.0
		for _, l := range d.used(m) {
			energy += l.EnergyWhPerDay()
		}
		worth[m] = append(d.values(m), energy)
	}
	id := func(m int) string { return d.site.Circuits[d.Open[m]].ID }
	slices.SortFunc(chosen, func(a, b int) int {
		return cmp.Or(slices.Compare(worth[a], worth[b]),
			cmp.Compare(id(a), id(b)))
	})
	fits := func(gone ...int) bool {
		next := plus(set, n)
		for _, m := range gone {
			next[m] = false
		}
		return d.Place(next).broken == nil
	}
	for _, a := range chosen {
		if fits(a) {
			return []string{id(a)}
		}
	}
	for j, b := range chosen {
		for _, a := range chosen[:j] {
			if fits(a, b) {
				return []string{id(a), id(b)}
			}
		}
	}
	return nil
}

// Brief says in a few words why a circuit is left out.
func (o LeftOut) Brief() phrase.Phrase {
	switch {
	case o.Why == NoGain:
		return phrase.Of("left out: nothing on it is used in an outage in this month")
	case o.Why == Unproven:
		return phrase.Of("left out: the search was ended before it could tell")
	case o.Check == verdict.Unworkable:
		return phrase.Of("left out: with it no plan can be worked out")
	case o.Short:
		return phrase.Of("left out because of %s, %s short", phrase.Check(o.Check), wording.Amount(o.By, o.Unit))
	}
	if o.Times > 0 {
		return phrase.Of("left out because of %s, %s over, counted as %d times the phase with the most load",
			phrase.Check(o.Check), wording.Amount(o.By, o.Unit), o.Times)
	}
	return phrase.Of("left out because of %s, %s over", phrase.Check(o.Check), wording.Amount(o.By, o.Unit))
}

// Text adds in a sentence what it would take; label gives the words for a circuit's id.
func (o LeftOut) Text(label func(id string) string) phrase.Phrase {
	text := o.Brief()
	if o.Check == "" || o.Check == verdict.Unworkable {
		return text
	}
	if o.Why == NeverFits {
		text = phrase.Of("%s, even beside the fixed circuits alone", text)
	}
	switch {
	case len(o.InPlaceOf) > 0:
		var names []string
		for _, id := range o.InPlaceOf {
			names = append(names, label(id))
		}
		if len(names) == 1 {
			text = phrase.Of("%s; it would fit in place of %q, which counts for more", text, names[0])
		} else {
			text = phrase.Of("%s; it would fit in place of %s, which together count for more", text,
				phrase.List(wording.Quoted(names)))
		}
	case o.Why == Displaces:
		text = phrase.Of("%s; it would fit in place of several others, which together count for more", text)
	}
	if len(o.Helps) > 0 {
		text = phrase.Of("%s; it would fit with %s", text, o.Helps[0])
		for _, help := range o.Helps[1:] {
			text = phrase.Of("%s, or with %s", text, help)
		}
	}
	return text
}
