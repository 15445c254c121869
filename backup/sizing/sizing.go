// Package sizing finds which equipment of a catalog would do for a home.
package sizing

import (
	"context"

	"outlast/backup/facts"
	"outlast/backup/inverter"
	"outlast/backup/site"
	"outlast/backup/split"
	"outlast/backup/verdict"
	"outlast/battery"
	"outlast/catalog"
	"outlast/loads"
)

// Options say what to size for. The zero value sizes for the site's own autonomy, with all circuits that may go on the
// backup board.
type Options struct {
	AutonomyH float64 // 0: the site's
	// Essential leaves the circuits that may go on either board on the main board. Else as many of the most important
	// ones are carried as the board has ways.
	Essential bool
	MaxCount  int // inverters of one kind; 0 is DefaultMaxCount
	// MoreStrings takes banks with more strings side by side than are usual for the battery (max_parallel) too. They
	// are a caution of the plan, and few people want to look after them.
	MoreStrings bool
	// Progress is told how many of how many pairs of inverters and batteries have been looked at; nil: nobody asks.
	Progress func(done, of int)
}

// DefaultMaxCount is how many equal inverters are tried side by side: makers rarely allow more than two on each of
// three phases.
const DefaultMaxCount = 6

// A Fit is a combination of equipment on which no check of the plan fails, but for those that fail with any
// ([Sizes].Standing).
type Fit struct {
	Inverter        catalog.Inverter
	Count           int
	Unit            battery.Unit
	Series, Strings int

	AutonomyH float64 // at the end of the bank's life, as the check autonomy counts it
	Capped    bool    // AutonomyH is where the simulation was ended
	EnergyWh  float64 // rated, of the bank
	Price     *float64
	MassKg    float64 // of inverters and bank; 0: not given

	// Cautions are the ids of the checks that want a look; slips of held-off loads are not looked at.
	Cautions []string
	Tightest string // the check of inverters and bank with the least left of its limit; "" where nothing is compared
	Margin   float64
}

// Units is the number of batteries.
func (f Fit) Units() int { return f.Series * f.Strings }

// Apply gives the site with the combination in the place of its own equipment.
func (f Fit) Apply(s *site.Site) *site.Site {
	v := *s
	v.Inverter, v.InverterCount = f.Inverter, f.Count
	v.Unit, v.Series, v.Strings, v.SeriesFits = f.Unit, f.Series, f.Strings, true
	v.Options = nil
	return &v
}

// A Miss is a combination that fails, and by which checks.
type Miss struct {
	Inverter catalog.Inverter
	Count    int
	Unit     *battery.Unit // nil: no bank could help, the inverter fails by itself
	Series   int
	Strings  int
	Failing  []verdict.Check // without those that fail with any equipment
}

// An Own is the site's own design, as its plan has it: with the circuits that the plan chooses for that equipment,
// which may be others than those that are sized for.
type Own struct {
	Miss          // what of it fails, with what fails with any equipment; nothing: it passes
	Cautions  int // checks that want a look
	AutonomyH float64
	Capped    bool     // AutonomyH is where the simulation was ended
	Price     *float64 // of inverters and bank
	MassKg    float64  // 0: not given
	Carried   []string // labels of its circuits on the backup board of which something is to be used
	LeavesOut []string // of those that are sized for
	Besides   []string // beyond those that are sized for
}

// Sizes is what a catalog offers for a site and one autonomy.
type Sizes struct {
	Site      *site.Site // with every circuit on a board
	AutonomyH float64
	// Standing are the checks that fail whatever inverters and batteries are chosen: what passes passes all others, and
	// the home does not.
	Standing []verdict.Check
	// Passing holds for each pair of inverters and batteries the smallest bank that passes: the cheapest first, those
	// without a price after them by energy installed; then by the number of inverters and batteries, and by id.
	Passing []Fit
	// Front holds what nothing beats in price, autonomy and weight at once, larger banks included, the cheapest first.
	// Only what has a price and a weight is on it.
	Front  []Fit
	Misses []Miss // the nearest first: the fewest failing checks, then the least missing
	Own    Own    // the site's own equipment

	Pairs  int // of inverters and batteries that make a bank
	Worked int // combinations that were worked through
}

// A PlanFunc plans a site by itself, without its options.
type PlanFunc func(context.Context, *site.Site) (*facts.Facts, error)

// Search looks for every combination of a catalog's inverters and batteries on which no check of the plan fails, but
// for those that no equipment cures ([verdict.Stands]), and sets the site's own equipment beside them, as plan has it.
// It ends early, with the error of ctx, when that is done.
//
// What the circuits ask for depends on no equipment and is worked out once. An inverter that fails by itself needs no
// bank; and of a pair the number of strings grows from what the capacity needs, because fewer always fail, until the
// checks pass or more would not help.
func Search(ctx context.Context, s *site.Site, cat *catalog.Catalog, plan PlanFunc, o Options) (*Sizes, error) {
	home := *s
	home.Options = nil
	if o.AutonomyH > 0 {
		home.Outage.AutonomyH = o.AutonomyH
	}
	home.SetMonth()
	if o.MaxCount == 0 {
		o.MaxCount = DefaultMaxCount
	}
	sh := facts.NewShared(ctx)
	decided, err := split.ForEquipment(&home, o.Essential, sh)
	if err != nil {
		return nil, err
	}
	z := &sizer{ctx: ctx, plan: plan, file: &home, site: decided, options: o, shared: sh,
		out: &Sizes{Site: decided, AutonomyH: home.Outage.AutonomyH}}
	if err := z.run(cat); err != nil {
		return nil, err
	}
	return z.out, ctx.Err() // what was ended early does not get out
}

// Suits says whether so many inverters can feed the site at all: their volts and their phases.
func Suits(s *site.Site, inv catalog.Inverter, count int) bool {
	return s.Takes(inv.OutputV) && inverter.Fits(inv.Phases, s.Phases) && inv.Phases*count%s.Phases == 0
}

// Carried are the labels of the circuits that are sized for, of those on the backup board on which everything must be
// left off in an outage, and of those that may go there and are not.
func (z *Sizes) Carried(asked *site.Site) (carried, heldOff, left []string) {
	for i, c := range z.Site.Circuits {
		switch {
		case c.Board == loads.BoardBackup && site.CountedOn(z.Site.OnCircuit(c.ID)):
			carried = append(carried, c.Label)
		case c.Board == loads.BoardBackup:
			heldOff = append(heldOff, c.Label)
		case asked.Circuits[i].Board == loads.BoardEither:
			left = append(left, c.Label)
		}
	}
	return carried, heldOff, left
}
