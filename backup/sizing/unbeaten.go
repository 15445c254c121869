package sizing

import (
	"cmp"
	"fmt"
	"slices"

	"outlast/backup/facts"
	"outlast/backup/verdict"
)

// rank sorts combinations: by price, those without one after them by energy installed; then by the number of inverters
// and batteries, and by id.
func rank(list []Fit) {
	sorted := make([]*Fit, len(list)) // moved about in their place: a fit is large
	for i := range list {
		sorted[i] = &list[i]
	}
	slices.SortStableFunc(sorted, func(a, b *Fit) int { return compareFits(a, b) })
	out := make([]Fit, len(list))
	for i, f := range sorted {
		out[i] = *f
	}
	copy(list, out)
}

func compareFits(a, b *Fit) int {
	if (a.Price == nil) != (b.Price == nil) {
		if a.Price != nil {
			return -1
		}
		return 1
	}
	c := cmp.Compare(a.EnergyWh, b.EnergyWh)
	if a.Price != nil {
		c = cmp.Compare(*a.Price, *b.Price)
	}
	return cmp.Or(c, cmp.Compare(a.Count+a.Units(), b.Count+b.Units()), cmp.Compare(a.Inverter.ID, b.Inverter.ID),
		cmp.Compare(a.Unit.ID, b.Unit.ID))
}

// beats says whether a is at least as good as b in price, autonomy and weight, and better in one of them.
func (f Fit) beats(o Fit) bool {
	// Two simulations that differ in rounding only are equally long.
	longer := f.AutonomyH > o.AutonomyH*(1+verdict.Slack)
	if *f.Price > *o.Price || f.AutonomyH < o.AutonomyH*(1-verdict.Slack) || f.MassKg > o.MassKg {
		return false
	}
	return *f.Price < *o.Price || longer || f.MassKg < o.MassKg
}

// unbeaten keeps what nothing beats, the cheapest first. What has no price or no weight cannot be compared and is left
// out.
func unbeaten(list []Fit) []Fit {
	list = slices.DeleteFunc(slices.Clone(list), func(f Fit) bool { return f.Price == nil || f.MassKg == 0 })
	// Nothing is beaten by what costs more; of equal prices the one that lasts longer comes first, then the lighter
	// one.
	slices.SortStableFunc(list, func(a, b Fit) int {
		return cmp.Or(cmp.Compare(*a.Price, *b.Price), cmp.Compare(b.AutonomyH, a.AutonomyH),
			cmp.Compare(a.MassKg, b.MassKg), compareFits(&a, &b))
	})
	var out []Fit
	for _, f := range list {
		if !slices.ContainsFunc(out, func(o Fit) bool { return o.beats(f) }) {
			out = append(out, f)
		}
	}
	return out
}

// front finds the combinations that nothing beats. The larger banks have not met the checks of the wires and the
// generator yet: those that come to the front do now, and leave it if they fail.
func (z *sizer) front() {
	candidates := slices.Concat(z.out.Passing, z.larger)
	sound := map[string]bool{}
	for _, f := range z.out.Passing {
		sound[f.key()] = true
	}
	for {
		z.out.Front = unbeaten(candidates)
		i := slices.IndexFunc(z.out.Front, func(f Fit) bool {
			if sound[f.key()] {
				return false
			}
			sound[f.key()] = z.passes(f)
			return !sound[f.key()]
		})
		if i < 0 {
			return
		}
		gone := z.out.Front[i].key()
		candidates = slices.DeleteFunc(candidates, func(f Fit) bool { return f.key() == gone })
	}
}

func (f Fit) key() string {
	return fmt.Sprintf("%s %d %s %d", f.Inverter.ID, f.Count, f.Unit.ID, f.Strings)
}

// passes makes all checks of a combination.
func (z *sizer) passes(f Fit) bool {
	v, a, err := z.placed(f.Apply(z.site))
	if err != nil {
		return false
	}
	e := facts.Trial(v)
	e.Curt = true
	p, err := z.shared.Serve(v, a, e)
	return err == nil && len(p.With(verdict.Fail)) == 0
}
