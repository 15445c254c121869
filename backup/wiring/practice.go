package wiring

import (
	"outlast/backup/phrase"
	"outlast/backup/working"
	"outlast/battery"
)

// Practice holds the factors that codes and offices differ in. A zero field means its default, which [Practice.Filled]
// shows.
type Practice struct {
	// ContinuousFactor is on the current of loads that last 3 h or more, for device and conductor; 1 to 2, default by
	// the tables ([ContinuousFactor]).
	ContinuousFactor float64
	DCFuseFactor     float64 // on the current between bank and inverter, for conductor and fuse; 1 to 2, default 1.25
	PVFactor         float64 // on the short-circuit current of modules, applied twice for ratings; 1 to 2, default 1.25

	DCDropLimit    float64 // fraction lost in a DC run; up to 0.5, default 0.02
	ACDropLimit    float64 // fraction lost in one AC run; up to 0.5, default 0.03
	TotalDropLimit float64 // fraction lost in an AC run and those before it; up to 0.5, default 0.05
	StartDropLimit float64 // fraction lost in an AC run while the largest motor starts; up to 0.5, default 0.15
	// LongRunPerM is what each metre beyond 100 m adds to the AC limits, in all at most LongRunMost; up to 0.001,
	// default 0: nothing.
	LongRunPerM float64

	// NextSizeUp allows a device that is the next standard rating above what the conductor carries (NEC 240.4(B), MEM:
	// not on circuits of several sockets). Default: not, so that no device exceeds its conductor.
	NextSizeUp bool
	// UnfusedStrings is how many strings may be paralleled without a fuse in each; 1 to 100. 0: two of an array or of
	// lead-acid, and one of lithium, whose packs have a device each.
	UnfusedStrings int
	SurgeRiseK     float64 // heating of a conductor allowed in one surge, kelvin; up to 60, default 10
	// A of short-circuit current per Ah of lead-acid of unknown resistance; up to 35; 0: by chemistry, 15 or 30
	FaultPerAh float64

	GeneratorShare     float64 // part of a generator's rating that may run without a caution; up to 1, default 0.90
	GeneratorStart     float64 // starting power over the rating without a caution; 1 to 3, default 1.50
	GeneratorDip       float64 // fraction of voltage that a generator may lose at a start; up to 0.5, default 0.35
	GeneratorReactance float64 // transient reactance of its alternator, per unit of its rating; up to 1, default 0.25
}

// Published long-run figures: a code that adds them is followed by giving LongRunPerM = BS7671LongRunPerM.
const (
	BS7671LongRunPerM = 0.00005 // BS 7671 Appendix 4 Table 4Ab (SEEN-S)
	LongRunMost       = 0.005   // the same
	LongRunFromM      = 100     // the same
)

// practiceDefaults: what stands for a zero field, and why.
var practiceDefaults = struct {
	continuous, dcFuse, pv                 sourced
	dcDrop, acDrop, totalDrop, startDrop   sourced
	unfusedArray, unfusedLead              sourced
	unfusedLithium, uneven, surgeRise      sourced
	genShare, genStart, genDip, genReactor sourced
}{
	continuous: known(1.25, working.NEC.At(phrase.Name("210.20(A)"), working.Quoted)),
	dcFuse:     known(1.25, working.From(phrase.Of("PV training page following NEC 690.8"), working.Quoted)),
	pv:         known(1.25, working.NEC.At(phrase.Name("690.8(A)(1), 690.8(B)"), working.Quoted)),
	// Practice is 2 to 3 %; the lower, because at 12 V the inverter's own low-voltage limit is near.
	dcDrop: known(0.02, tradeRule),
	acDrop: known(0.03, working.NEC.At(phrase.Of("%s, informational note", "210.19"), working.Quoted),
		working.BS7671.At(phrase.Of("appendix %s, %s, lighting", "4", working.InTable("4Ab")),
			working.Quoted)),
	totalDrop: known(0.05, working.NEC.At(phrase.Of("%s, informational note", "215.2"), working.Quoted),
		working.BS7671.At(phrase.Of("appendix %s, %s", "4", working.InTable("4Ab")), working.Quoted),
		working.ASNZS3000.At(phrase.Phrase{}, working.Quoted)),
	startDrop: known(0.15, working.Plainly(phrase.Of("supply dip at motor start, commonly accepted"),
		working.Practice)),
	unfusedArray: known(2, working.From(phrase.Of("course page on PV string fuses"), working.Quoted)),
	// Parallel battery strings feed a faulty one as those of an array do.
	unfusedLead: known(2, working.From(phrase.Of("course page on PV string fuses"), working.Quoted)),
	unfusedLithium: known(1, working.Plainly(phrase.Of("common practice: each pack has a device of its own"),
		working.Practice)),
	// Of strings side by side, one a fifth under the mean in resistance takes 1.16 (two strings) to 1.26 (four) of its
	// even share, by the current divider; a new string among old ones took 1.18 of it in a study.
	uneven: known(1.25, working.Plainly(phrase.Of("planning rule of this program: strings share unevenly"),
		working.Practice)),
	// Far below what a short circuit may heat a cable to (160 C for PVC), because a start comes back every hour.
	surgeRise: known(10, planningRule),
	genShare:  known(0.90, working.TwinValley.At(phrase.Phrase{}, working.Read)),
	genStart:  known(1.50, working.TwinValley.At(phrase.Phrase{}, working.Read)),
	genDip: known(0.35, working.From(phrase.Of("two pump makers' installation manuals, ratings of generators"),
		working.Read)),
	// With it the published pump table (35 % dip, external regulation) comes out within 6 points of dip for 1/2 to 5
	// hp.
	genReactor: known(0.25, working.From(phrase.Of("fitted to the pump makers' table of generators"), working.Read)),
}

// iecContinuous: the current of the load may be the rating of its device, however long it flows; there is no factor.
var iecContinuous = known(1, working.IECPart443.At(phrase.Name("433.1"), working.Memory))

// continuousOf is the factor on loads of 3 h or more: a rule of the US code, which the IEC standard does not have.
func continuousOf(t Tables) sourced {
	if t == IEC {
		return iecContinuous
	}
	return practiceDefaults.continuous
}

// ContinuousFactor is the default factor on the current of loads that last 3 h or more: 1.25 with the US tables, 1 with
// the IEC ones.
func ContinuousFactor(t Tables) float64 { return continuousOf(t).value }

// FilledFor is [Practice.Filled] with the continuous factor that belongs to the tables.
func (p Practice) FilledFor(t Tables) (Practice, error) {
	if p.ContinuousFactor == 0 {
		p.ContinuousFactor = ContinuousFactor(t)
	}
	return p.Filled()
}

// practiceFields are the fields that have a default, and their ranges.
var practiceFields = [...]struct {
	field  func(*Practice) *float64
	what   phrase.Phrase
	def    sourced
	lo, hi float64
	unit   string
}{
	{func(p *Practice) *float64 { return &p.ContinuousFactor }, phrase.Of("continuous factor"),
		practiceDefaults.continuous, 1, 2, ""},
	{func(p *Practice) *float64 { return &p.DCFuseFactor }, phrase.Of("DC fuse factor"),
		practiceDefaults.dcFuse, 1, 2, ""},
	{func(p *Practice) *float64 { return &p.PVFactor }, phrase.Of("PV factor"),
		practiceDefaults.pv, 1, 2, ""},
	{func(p *Practice) *float64 { return &p.DCDropLimit }, phrase.Of("DC drop limit"),
		practiceDefaults.dcDrop, 1e-4, 0.5, ""},
	{func(p *Practice) *float64 { return &p.ACDropLimit }, phrase.Of("AC drop limit"),
		practiceDefaults.acDrop, 1e-4, 0.5, ""},
	{func(p *Practice) *float64 { return &p.TotalDropLimit }, phrase.Of("total drop limit"),
		practiceDefaults.totalDrop, 1e-4, 0.5, ""},
	{func(p *Practice) *float64 { return &p.StartDropLimit }, phrase.Of("start drop limit"),
		practiceDefaults.startDrop, 1e-4, 0.5, ""},
	{func(p *Practice) *float64 { return &p.LongRunPerM }, phrase.Of("long-run allowance"),
		sourced{}, 0, 0.001, "per m"},
	{func(p *Practice) *float64 { return &p.SurgeRiseK }, phrase.Of("temperature rise in a start"),
		practiceDefaults.surgeRise, 0.1, 60, "K"},
	{func(p *Practice) *float64 { return &p.GeneratorShare }, phrase.Of("generator share"),
		practiceDefaults.genShare, 0.1, 1, ""},
	{func(p *Practice) *float64 { return &p.GeneratorStart }, phrase.Of("generator start factor"),
		practiceDefaults.genStart, 1, 3, ""},
	{func(p *Practice) *float64 { return &p.GeneratorDip }, phrase.Of("generator dip"),
		practiceDefaults.genDip, 0.01, 0.5, ""},
	{func(p *Practice) *float64 { return &p.GeneratorReactance }, phrase.Of("generator reactance"),
		practiceDefaults.genReactor, 0.01, 1, "per unit"},
}

// Filled is p with each zero field replaced by its default; for want of tables the larger continuous factor. A field
// out of its range is an error.
func (p Practice) Filled() (Practice, error) {
	for i := range practiceFields {
		f := &practiceFields[i]
		v := f.field(&p)
		if *v == 0 {
			*v = f.def.value
		}
		if err := within(f.what, *v, f.lo, f.hi, f.unit); err != nil {
			return Practice{}, err
		}
	}
	return p, firstError(optional(phrase.Of("short-circuit current"), p.FaultPerAh, 1, MostFaultPerAh, "A/Ah"),
		optional(phrase.Of("unfused strings"), float64(p.UnfusedStrings), 1, 100, ""))
}

// UnfusedOf is how many strings of a bank of a chemistry may be paralleled without a fuse in each, where the practice
// does not say.
func UnfusedOf(c battery.Chemistry) int { return int(unfusedOf(c).value) }

func unfusedOf(c battery.Chemistry) sourced {
	if c.LeadAcid() {
		return practiceDefaults.unfusedLead
	}
	return practiceDefaults.unfusedLithium
}

// UnfusedOfArray is the same for the strings of an array.
func UnfusedOfArray() int { return int(practiceDefaults.unfusedArray.value) }

// unfused takes the practice's number of unfused strings, or the usual one.
func (p Practice) unfused(usual sourced) sourced {
	if p.UnfusedStrings == 0 {
		return usual
	}
	return known(float64(p.UnfusedStrings), givenFactor)
}

// whose says where a factor comes from: the default's source while the value is the default, else the practice given.
func whose(v float64, def sourced) []working.Source {
	if v == def.value {
		return def.sources()
	}
	return []working.Source{givenFactor}
}

// longRun is what a run's length adds to the AC drop limits.
func (p Practice) longRun(lengthM float64) float64 {
	return min(LongRunMost, p.LongRunPerM*max(0, lengthM-LongRunFromM))
}
