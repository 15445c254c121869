// Package facts works out what follows for a home whose circuits are settled: demand, starts, what flows while the grid
// is there, the bank and how long it lasts, charging, arrays, conductors, the generator, and every check, with the
// working behind each figure.
package facts

import (
	"cmp"
	"math"
	"slices"
	"sync"

	"outlast/backup/conductors"
	"outlast/backup/generator"
	"outlast/backup/inverter"
	"outlast/backup/phrase"
	"outlast/backup/site"
	"outlast/backup/verdict"
	"outlast/backup/wiring"
	"outlast/backup/workers"
	"outlast/battery"
	"outlast/loads"
)

// Facts is what follows for a home whose circuits are settled. It does not change once it is returned.
type Facts struct {
	Site  *site.Site
	Month int // 1 to 12, of the outage

	Demand   Demand
	Starts   Starts
	Grid     Grid
	Inverter inverter.Group
	Bank     Bank
	Details  BankDetails
	Circuits []Circuit
	HeldOff  []loads.Load // on backup circuits, promised not to be used

	Runs      []conductors.Run // conductors and their devices
	WireNotes []phrase.Phrase
	Questions []wiring.Question // for the electrician
	Generator *generator.Plan   // nil: the home has none

	GeneratorRuns *generator.Runs // nil: the home has no generator

	Checks   []verdict.Check
	Cautions []phrase.Phrase
	// ClassCaution is the place in Cautions of the one that figures are those of classes of appliances; -1: none are.
	ClassCaution int
	Asked        *Asked
	Shared       *Shared
	effort       Effort
	settled      bool // Effort.Enough found so: checks of conductors and generator are not made
	floored      floored
	promised     func() (promise, error)  // nil for a plan that is tried only
	seasons      func() (season, error)   // likewise
	recharged    func() (Recharge, error) // likewise
	wireCautions []phrase.Phrase
	slipCautions []phrase.Phrase // of held-off loads that ask too much of the bank if they are used
	slipsBeyond  []string        // their names
	fromMonths   []phrase.Phrase // what other months bring
	Rated        generator.Rated
}

// Demand is what the backup circuits ask for in an outage, without the held-off loads.
type Demand struct {
	Connected, Scheduled loads.Demand
	ProbableW            float64
	EnergyWhPerDay       float64
	Profile              loads.Profile
}

// Starts is what starting does.
type Starts struct {
	All     []Start
	Worst   int // index in All of the one with the smallest margin; -1: nothing starts
	Restart loads.Restart
}

// A Start is one load's worst start against the rating for its time: of the total or of one phase, whichever is worse.
type Start struct {
	loads.Surge
	DemandVA, LimitVA float64
}

// Grid is what flows while the grid is there.
type Grid struct {
	Demand       loads.Demand // scheduled, held-off loads included
	PassThroughA float64      // the largest phase
	InputA       float64      // the same plus the chargers at full current
	LimitA       float64      // of the current from the grid, to enter in each inverter, per phase; 0: not known
}

// Bank is the bank that the plan installs and what it is asked for.
type Bank struct {
	battery.Bank
	Sizing       battery.Sizing
	EnergyACWh   float64
	EnergyDCWh   float64
	StartMin     float64 // minute of the day at which the outage starts
	DoD          float64 // deepest discharge that the practice and the battery allow
	CutoffV      float64 // low-voltage cut-off to set, of the whole bank under load
	FloorSoC     float64 // lowest charge of the plan: 1 - DoD, or more where the cut-off would come before
	NeverAbove   bool    // not even a full bank carries everything at once above the cut-off
	DoDClamped   bool    // the practice allows more, the unit's own limit holds
	DoDDeeper    bool    // the practice goes deeper than is usual for the chemistry
	Sized        bool    // the planner chose the number of strings
	KRate        float64
	AutonomyH    float64 // simulated, at the end of its life
	AutonomyCap  bool    // AutonomyH is where the simulation was ended, not the bank
	AutonomyNewH float64 // simulated, new
	EndSoC       float64 // charge left when the autonomy at the end of its life is over
	EndsBy       End     // and what ended it

	AirOnFloat, AirOnBoost battery.Ventilation // both zero for lithium
}

// Circuit is one circuit with what runs on it in an outage.
type Circuit struct {
	loads.Circuit
	OnBackup       bool
	Way            int         // number on the backup board, from 1; 0 on the main board
	Asked          loads.Board // what the site file says
	Running        loads.Demand
	StartingVA     float64 // 0: nothing on it starts
	EnergyWhPerDay float64
	Priority       int
	Loads          []loads.Load
	reason         func() phrase.Phrase
}

// Reason is why it is on its board.
func (c Circuit) Reason() phrase.Phrase { return c.reason() }

// CountedOn tells whether something on it is to be used in an outage.
func (c Circuit) CountedOn() bool { return site.CountedOn(c.Loads) }

// IdleIn tells whether what is to be used of it is of other months than that one, 1 to 12.
func (c Circuit) IdleIn(month int) bool {
	used := site.InUse(c.Loads)
	return len(used) > 0 && len(loads.InMonth(used, month)) == 0
}

// New works out what follows for a site whose month is set and whose circuits all have a board and a phase. An error
// means that the site cannot be planned at all; facts whose checks fail are no error.
//
// The facts keep the context of sh for what is only worked out when it is asked for, such as [Facts.LeastAutonomy]: it
// ends with it too.
func New(sh *Shared, s *site.Site, settled Settled) (*Facts, error) {
	circuits := workers.Beside(func() []Circuit { return circuitsOf(s, settled) })
	f, err := sh.Full(s, complete)
	if err != nil {
		return nil, err
	}
	f.Circuits = circuits()
	if err := f.otherMonths(); err != nil {
		return nil, err
	}
	if err := f.details(); err != nil {
		return nil, err
	}
	f.cautions(settled)
	return f, nil
}

// AlikeIn tells whether the backup board has the same loads in another month, 1 to 12, as in that of the plan: all that
// follows for the outage is then the same.
func (p *Facts) AlikeIn(month int) bool {
	return !slices.ContainsFunc(p.Site.OnBoard(loads.BoardBackup), func(l loads.Load) bool {
		return l.Months.Has(month) != l.Months.Has(p.Month)
	})
}

// On is what follows for another site for which the same follows, such as one in a month that is [Facts.AlikeIn].
func (p *Facts) On(s *site.Site) *Facts {
	f := *p
	f.Site, f.Month = s, s.Outage.Month
	return &f
}

// Settled is how the circuits came to their boards.
type Settled struct {
	File     *site.Site                         // the site before the undecided circuits were given a board
	LeftOut  func(circuit string) phrase.Phrase // why a circuit that may go on either board is left out
	Unproven bool                               // a better split may exist
}

// Serve sets the equipment of a site, whose month is set and whose circuits all have a board and a phase, against what
// its circuits ask for.
func (sh *Shared) Serve(s *site.Site, a *Asked, e Effort) (*Facts, error) {
	p, err := sh.serving(s, a, e)
	if err != nil {
		return nil, err
	}
	p.meetInverter()
	alone := p.inverterChecks
	if e.full {
		alone = workers.Beside(alone)
	}
	if err := p.sizeBank(); err != nil {
		return nil, err
	}
	return p, p.finish(alone)
}

// serving begins with the equipment of a site: of what serves it only the inverters are known.
func (sh *Shared) serving(s *site.Site, a *Asked, e Effort) (*Facts, error) {
	if err := sh.Ctx.Err(); err != nil {
		return nil, err
	}
	p := &Facts{Site: s, Month: s.Outage.Month, Demand: a.demand, HeldOff: a.heldOff, Asked: a, Shared: sh, effort: e}
	var err error
	p.Inverter, err = InvertersOf(s)
	return p, err
}

// finish installs the bank that was sized, and makes the checks; alone gives those that no bank changes.
func (p *Facts) finish(alone func() inverterChecks) error {
	if err := p.installBank(); err != nil {
		return err
	}
	if !p.effort.Curt {
		p.promised, p.recharged = sync.OnceValues(p.promise), sync.OnceValues(p.recharge)
		p.seasons = sync.OnceValues(p.season)
	}
	if as := p.effort.As; as != nil {
		p.GeneratorRuns = as.GeneratorRuns
	} else if p.Site.Generator != nil {
		p.GeneratorRuns = generator.When(p.Site.Generator, p.darkSoC())
	}
	if err := p.check(alone); err != nil {
		return err
	}
	if p.settled = p.effort.Enough != nil && p.effort.Enough(p); !p.settled {
		p.conductors()
		p.generator()
	}
	return nil
}

// AllChecks are the checks, those among them that the effort found were not needed any more: whoever tells of what fails
// tells all of it.
func (p *Facts) AllChecks() []verdict.Check {
	if p.settled {
		p.settled = false
		p.conductors()
		p.generator()
	}
	return p.Checks
}

// conductors takes over what package conductors finds for this home.
func (p *Facts) conductors() {
	h := conductors.Home{Site: p.Site, Inverter: p.Inverter, Bank: p.Bank.Bank, Currents: &p.Shared.Currents,
		PassThroughA: p.Grid.PassThroughA, InputA: p.Grid.InputA,
		OnGrid: p.Asked.GridSet, GridLoads: p.Asked.GridLoads, Brief: !p.effort.full, Curt: p.effort.Curt}
	if known := p.effort.Behind; known != nil {
		h.Behind = &known.wires
	}
	h.Starts = make([]conductors.Start, 0, len(p.Starts.All))
	for _, st := range p.Starts.All {
		h.Starts = append(h.Starts, conductors.Start{Surge: st.Surge, BankA: p.DCStartA(st)})
	}
	sized := conductors.Size(h)
	p.Runs, p.WireNotes, p.wireCautions, p.Grid.LimitA = sized.Runs, sized.Notes, sized.Cautions, sized.GridLimitA
	p.Checks = append(p.Checks, sized.Checks...)
	if !p.effort.Curt {
		p.Questions = wiring.HandOver(wiring.Scope{Grid: true, Generator: p.Site.Generator != nil,
			Array: len(p.Site.Arrays) > 0})
	}
}

// generator holds the generator, if there is one, against what this home asks of it.
func (p *Facts) generator() {
	if p.Site.Generator == nil {
		return
	}
	rated := generator.Rate(p.generatorAsked())
	p.Generator, p.Rated = rated.Plan, rated
	p.Checks, p.wireCautions = append(p.Checks, rated.Checks...), append(p.wireCautions, rated.Cautions...)
}

// generatorAsked is what this home asks of its generator.
func (p *Facts) generatorAsked() generator.Asked {
	leastA, _, _ := p.Bank.ChargeRange()
	return generator.Asked{LeastChargeA: leastA, BankAh: p.Bank.CapacityAh(), Site: p.Site, Inverter: p.Inverter,
		Scheduled: p.Demand.Scheduled, EnergyWhPerDay: p.Demand.EnergyWhPerDay,
		Surges: p.Asked.surges, InUse: p.Asked.InUse, Runs: p.GeneratorRuns, LimitA: p.enteredLimitA()}
}

// enteredLimitA is the limit of the AC input current that is entered, as that of [Grid].
func (p *Facts) enteredLimitA() float64 {
	if as := p.effort.As; as != nil {
		return as.enteredLimitA()
	}
	return p.Grid.LimitA
}

// generatorCharge is the charge current that is entered for the generator.
func (p *Facts) generatorCharge() generator.ChargeSetting {
	switch {
	case p.effort.As != nil:
		return p.effort.As.generatorCharge()
	case p.Generator != nil:
		return p.Generator.ChargeSetting()
	}
	return generator.ChargeSetting{}
}

// InvertersOf is the site's inverters where they stand.
func InvertersOf(s *site.Site) (inverter.Group, error) {
	g, err := inverter.New(s.Inverter, s.InverterCount, s.Phases, s.HottestC, s.AltitudeM)
	g.Headroom = s.Practice.Headroom
	return g, err
}

// InOutage is what the backup circuits carry in the outage: their loads of the month, without the held-off ones.
func (p *Facts) InOutage() []loads.Load { return slices.Clone(p.Asked.InUse) }

// NoConductorDoes tells whether no conductor of the tables does for some run, so that the largest was chosen.
func (p *Facts) NoConductorDoes() bool {
	return slices.ContainsFunc(p.Runs, func(r conductors.Run) bool { return r.NoneDoes })
}

// ByID gives the checks by their ids.
func (p *Facts) ByID() map[string]verdict.Check {
	out := make(map[string]verdict.Check, len(p.Checks))
	for _, c := range p.Checks {
		out[c.ID] = c
	}
	return out
}

// meetInverter sets what is asked for against the inverters: what starts, and what passes through them while the grid
// is there.
func (p *Facts) meetInverter() {
	if known := p.effort.Behind; known != nil {
		p.Starts = known.starts
	} else {
		p.starts()
	}
	p.grid()
}

func (p *Facts) starts() {
	p.Starts.Worst = -1
	for _, surge := range p.Asked.surges {
		st := p.start(surge, p.Inverter.StartLimitVA)
		p.Starts.All = append(p.Starts.All, st)
		if p.Starts.Worst < 0 || st.tighter(p.Starts.All[p.Starts.Worst]) {
			p.Starts.Worst = len(p.Starts.All) - 1
		}
	}
	p.Starts.Restart = p.Asked.Set.Restart(p.Inverter.StartLimitVA)
}

// RestartDay is the order in which the circuits of the backup board are switched on again after a break, whatever the
// time of the day, where they do not start at once. Circuits on which nothing is in use are none of it.
func (p *Facts) RestartDay() loads.RestartDay { return p.Asked.Set.RestartDay(p.Inverter.StartLimitVA) }

// start sets a surge against what may be used, or is rated, for its time.
func (p *Facts) start(surge loads.Surge, limitVA func(seconds float64) float64) Start {
	st := Start{Surge: surge, DemandVA: surge.VA, LimitVA: limitVA(surge.Seconds)}
	if surge.Phase > 0 {
		st.DemandVA, st.LimitVA = surge.PhaseVA, st.LimitVA/float64(p.Site.Phases)
	}
	return st
}

// tighter says whether a start has the smaller margin; ties: more VA, then the earlier minute, then the order of the
// file.
func (a Start) tighter(b Start) bool {
	ma, mb := verdict.Share(a.LimitVA-a.DemandVA, a.LimitVA), verdict.Share(b.LimitVA-b.DemandVA, b.LimitVA)
	switch {
	case math.Abs(ma-mb) > verdict.Slack:
		return ma < mb
	case math.Abs(a.VA-b.VA) > verdict.Slack*math.Abs(b.VA):
		return a.VA > b.VA
	default:
		return a.AtMin < b.AtMin
	}
}

// hardestFirst is the starts with the most VA first, so that of equal watts the same one is named whatever the order of
// the file.
func (p *Facts) hardestFirst() []Start {
	if known := p.effort.Behind; known != nil {
		return known.hardest
	}
	return slices.SortedFunc(slices.Values(p.Starts.All),
		func(a, b Start) int { return cmp.Or(cmp.Compare(b.VA, a.VA), cmp.Compare(a.Load, b.Load)) })
}

func (p *Facts) grid() {
	p.Grid.Demand = p.Asked.grid
	for _, va := range p.Grid.Demand.PhaseVA {
		p.Grid.PassThroughA = max(p.Grid.PassThroughA, va/p.Site.NominalV)
	}
	chargerW := p.Inverter.ChargerInputW(float64(p.Site.Series) * p.Site.Unit.ChargeV)
	p.Grid.InputA = p.Grid.PassThroughA + chargerW/float64(p.Site.Phases)/p.Site.NominalV
}

// said is a reason that is known.
func said(p phrase.Phrase) func() phrase.Phrase { return func() phrase.Phrase { return p } }

// circuitsOf describes every circuit with its board.
func circuitsOf(s *site.Site, settled Settled) []Circuit {
	all, way := make([]Circuit, 0, len(s.Circuits)), 0
	for i, c := range s.Circuits {
		out := Circuit{Circuit: c, OnBackup: c.Board == loads.BoardBackup, Asked: settled.File.Circuits[i].Board,
			Priority: 3, Loads: s.OnCircuit(c.ID)}
		if out.OnBackup {
			way++
			out.Way = way
		}
		used := site.InUse(out.Loads)
		set := loads.NewSet(s.Phases, loads.InMonth(used, s.Outage.Month))
		out.Running, out.EnergyWhPerDay = set.Connected(), set.EnergyWhPerDay()
		for _, surge := range set.Surges() {
			out.StartingVA = max(out.StartingVA, surge.VA)
		}
		counted := used // what is held off gives a circuit its priority only where nothing else does
		if len(used) == 0 {
			counted = out.Loads
		}
		for i, l := range counted {
			if i == 0 || l.Priority < out.Priority {
				out.Priority = l.Priority
			}
		}
		switch out.Asked {
		case loads.BoardBackup, loads.BoardMain:
			out.reason = said(phrase.Of("as the site file says"))
			if c.Assumed {
				out.reason = said(phrase.Of("assumed: no circuit in the file"))
			}
		default:
			out.reason = said(phrase.Of("chosen: it fits, and nothing more important has to go for it"))
			if !out.OnBackup {
				out.reason = func() phrase.Phrase { return settled.LeftOut(c.ID) }
			}
		}
		all = append(all, out)
	}
	return all
}
