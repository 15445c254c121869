package split

import (
	"cmp"
	"slices"

	"outlast/backup/facts"
	"outlast/backup/phrase"
	"outlast/backup/site"
	"outlast/backup/verdict"
	"outlast/backup/wording"
	"outlast/loads"

	"gonum.org/v1/gonum/stat/combin"
)

// What keeps a circuit out, by what helps against it.
const (
	byWays = 1 << iota
	byTheBank
	byTheInverter
)

// against says what the failing checks of a split call for.
func against(broken []*verdict.Check) (kinds int) {
	for _, c := range broken {
		switch {
		case verdict.Depends(c.ID, verdict.OnWays):
			kinds |= byWays
		case verdict.Depends(c.ID, verdict.OnStrings):
			kinds |= byTheBank
		default:
			kinds |= byTheInverter
		}
	}
	return kinds
}

// A remedy is a change of the site that may let a circuit in.
type remedy struct {
	words   phrase.Phrase
	apply   func(*site.Site)
	ofLoads bool // it changes what is asked for; others only change what serves it
}

// helps looks for the changes with which a split that fails would pass: loads held off, the next larger inverter or
// more of them, more strings, one more way; where none of them is enough alone, two of them together.
func (d *Decider) helps(picks []int, n int) []phrase.Phrase {
	t := trials{d: d, site: d.Split(picks)}
	p, err := d.work(t.site)
	if err != nil {
		return nil
	}
	t.asked = p.Asked
	kinds := against(d.broken(p))
	if kinds&byWays != 0 {
		way := remedy{words: phrase.Of("one more way"), apply: func(v *site.Site) { v.Ways++ }}
		if kinds == byWays && t.passes(way) {
			return []phrase.Phrase{way.words}
		}
		t.beside = append(t.beside, way)
	}
	var out []phrase.Phrase
	if r, ok := t.first(d.holdOff(t.site, n)); ok {
		out = append(out, t.words(r))
	}
	return append(out, t.equipment(kinds, d.strongerInverters(t.site), d.moreStrings(t.site))...)
}

// trials tries remedies on a split that fails.
type trials struct {
	d      *Decider
	site   *site.Site
	asked  *facts.Asked // by its circuits
	beside []remedy     // what every trial needs too
}

// equipment looks for what of the inverters and strings would help against failures of such kinds: one of them, else
// one of each.
func (t trials) equipment(kinds int, stronger, more []remedy) (out []phrase.Phrase) {
	if kinds&byTheInverter != 0 || kinds&byTheBank != 0 && t.site.Strings > 0 { // a current may be the inverter's limit as well
		if r, ok := t.first(stronger); ok {
			out = append(out, t.words(r))
		}
	}
	if kinds&byTheInverter == 0 {
		if r, ok := t.first(more); ok {
			out = append(out, t.words(r))
		}
	}
	if kinds&byTheInverter == 0 || kinds&byTheBank == 0 || len(out) > 0 {
		return out
	}
	for _, inv := range stronger {
		if r, ok := t.first(more, inv); ok {
			return append(out, t.words(inv, r))
		}
	}
	return out
}

// first is the first of some remedies with which the split passes, with others beside it.
func (t trials) first(list []remedy, with ...remedy) (remedy, bool) {
	for _, r := range list {
		if t.passes(slices.Concat([]remedy{r}, t.beside, with)...) {
			return r, true
		}
	}
	return remedy{}, false
}

// passes says whether the split passes with some changes.
func (t trials) passes(changes ...remedy) bool {
	v, a := *t.site, t.asked
	for _, c := range changes {
		c.apply(&v)
		if c.ofLoads {
			a = nil
		}
	}
	broken, err := t.d.shared.Breaks(&v, a, facts.Trial(&v), t.d.breaks)
	return err == nil && !broken
}

// words tells changes, with what every trial needs too.
func (t trials) words(changes ...remedy) phrase.Phrase {
	var out []phrase.Phrase
	for _, c := range append(changes, t.beside...) {
		out = append(out, c.words)
	}
	return phrase.List(out)
}

// mostHeldOff is how many loads of one circuit a remedy holds off; mostElsewhere how many other loads are tried.
const (
	mostHeldOff   = 3
	mostElsewhere = 12
)

// holdOff are the ways of not using some loads: the fewest of the circuit itself, as long as something is left on it;
// then one load elsewhere on the backup board that counts for less than anything on the circuit.
func (d *Decider) holdOff(s *site.Site, n int) []remedy {
	id := s.Circuits[d.Open[n]].ID
	var own, elsewhere []int // indices of loads
	best := Levels
	on := map[string]bool{}
	for _, c := range s.Circuits {
		on[c.ID] = c.Board == loads.BoardBackup && c.ID != id
	}
	for i, l := range s.Loads {
		if l.HeldOff || !l.Months.Has(s.Outage.Month) {
			continue
		}
		if l.CircuitID == id {
			own = append(own, i)
			best = min(best, l.Priority)
		}
	}
	for i, l := range s.Loads {
		if on[l.CircuitID] && !l.HeldOff && !l.Medical && l.Priority > best && l.Months.Has(s.Outage.Month) {
			elsewhere = append(elsewhere, i)
		}
	}
	hold := func(list []int) remedy {
		var names []string
		for _, i := range list {
			names = append(names, s.Loads[i].Name)
		}
		return remedy{phrase.Of("%s not used in an outage", phrase.List(wording.Quoted(names))), func(v *site.Site) {
			v.Loads = slices.Clone(v.Loads)
			for _, i := range list {
				v.Loads[i].HeldOff = true
			}
		}, true}
	}
	var out []remedy
	// What counts least goes first, of that the largest.
	slices.SortFunc(own, func(a, b int) int { return compareHeldOff(&s.Loads[a], &s.Loads[b]) })
	// The loads for which the circuit is wanted stay on, unless all of it counts the same.
	same := len(own) > 0 && s.Loads[own[0]].Priority == best
	may := slices.DeleteFunc(slices.Clone(own), func(i int) bool {
		return s.Loads[i].Medical ||
			s.Loads[i].Priority == best && !same
	})
	for size := 1; size <= min(mostHeldOff, len(may), len(own)-1); size++ {
		for _, list := range subsets(may, size) {
			out = append(out, hold(list))
		}
	}
	slices.SortFunc(elsewhere, func(a, b int) int { return compareHeldOff(&s.Loads[a], &s.Loads[b]) })
	for _, i := range elsewhere[:min(mostElsewhere, len(elsewhere))] {
		out = append(out, hold([]int{i}))
	}
	return out
}

// compareHeldOff orders loads by what people would rather do without.
func compareHeldOff(a, b *loads.Load) int {
	return cmp.Or(cmp.Compare(b.Priority, a.Priority), cmp.Compare(b.RunningAll().VA(), a.RunningAll().VA()),
		cmp.Compare(a.Name, b.Name))
}

// subsets lists all subsets of a size, in the order of the list; of long lists only those of the first few.
func subsets(list []int, size int) [][]int {
	const longest = 8
	return Combinations(list[:min(longest, len(list))], size)
}

// mostMoreStrings is how many strings a remedy adds to a given bank.
const mostMoreStrings = 4

func (d *Decider) moreStrings(s *site.Site) []remedy {
	if s.Strings == 0 {
		return nil
	}
	var out []remedy
	for more := 1; more <= mostMoreStrings; more++ {
		out = append(out, remedy{words: phrase.Count(more, "%d more string", "%d more strings"),
			apply: func(v *site.Site) { v.Strings += more }})
	}
	return out
}

// strongerInverters are more of the site's inverters, and the larger ones of the catalog, the smallest first.
func (d *Decider) strongerInverters(s *site.Site) []remedy {
	type candidate struct {
		va float64
		remedy
	}
	var list []candidate
	for count := s.InverterCount + 1; count <= s.InverterCount+s.Phases; count++ {
		if s.Inverter.Phases*count%s.Phases == 0 {
			words := phrase.Of("%d inverters instead of %d", count, s.InverterCount)
			list = append(list, candidate{s.Inverter.RatedVA * float64(count),
				remedy{words: words, apply: func(v *site.Site) { v.InverterCount = count }}})
			break
		}
	}
	for _, inv := range s.LargerInverters() {
		words := phrase.Of("an inverter of %s (%s)", wording.Amount(inv.RatedVA, "VA"), inv.ID)
		if s.InverterCount > 1 {
			words = phrase.Of("inverters of %s (%s)", wording.Amount(inv.RatedVA, "VA"), inv.ID)
		}
		list = append(list, candidate{inv.RatedVA * float64(s.InverterCount),
			remedy{words: words, apply: func(v *site.Site) { v.Inverter = inv }}})
	}
	slices.SortStableFunc(list, func(a, b candidate) int { return cmp.Compare(a.va, b.va) })
	var out []remedy
	for _, c := range list {
		out = append(out, c.remedy)
	}
	return out
}

// Combinations lists all choices of so many of a list, each and all of them in its order.
func Combinations[T any](list []T, size int) [][]T {
	var out [][]T
	for _, chosen := range combin.Combinations(len(list), size) {
		some := make([]T, size)
		for i, k := range chosen {
			some[i] = list[k]
		}
		out = append(out, some)
	}
	return out
}
