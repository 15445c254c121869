package wiring

import "outlast/backup/phrase"

// Practice holds the factors that codes and offices differ in. A zero field means its default, which [Practice.Filled] shows.
type Practice struct {
	ContinuousFactor float64 // on the current of loads that last 3 h or more, for device and conductor; 1 to 2, default 1.25
	DCFuseFactor     float64 // on the current between bank and inverter, for conductor and fuse; 1 to 2, default 1.25
	PVFactor         float64 // on the short-circuit current of modules, applied twice for ratings; 1 to 2, default 1.25

	DCDropLimit    float64 // fraction lost in a DC run; up to 0.5, default 0.02
	ACDropLimit    float64 // fraction lost in one AC run; up to 0.5, default 0.03
	TotalDropLimit float64 // fraction lost in an AC run and those before it; up to 0.5, default 0.05
	StartDropLimit float64 // fraction lost in an AC run while the hardest motor starts; up to 0.5, default 0.15
	// LongRunPerM is what each metre beyond 100 m adds to the AC limits, in all at most LongRunMost; up to 0.001, default 0: nothing.
	LongRunPerM float64

	// NextSizeUp allows a device that is the next standard rating above what the conductor carries (NEC 240.4(B), MEM: not on circuits
	// of several sockets). Default: not, so that no device exceeds its conductor.
	NextSizeUp bool
	// UnfusedStrings is how many strings may be paralleled without a fuse in each; 1 to 100, default 2.
	UnfusedStrings int
	SurgeRiseK     float64 // heating of a conductor allowed in one surge, kelvin; up to 60, default 10
	FaultPerAh     float64 // A of short-circuit current per Ah of lead-acid of unknown resistance; up to 20, default 10

	GeneratorShare     float64 // part of a generator's rating that may run without a caution; up to 1, default 0.90
	GeneratorStart     float64 // starting power over the rating without a caution; 1 to 3, default 1.50
	GeneratorDip       float64 // fraction of voltage that a generator may lose at a start; up to 0.5, default 0.35
	GeneratorReactance float64 // transient reactance of its alternator, per unit of its rating; up to 1, default 0.25
}

// Published long-run figures: a code that adds them is followed by giving LongRunPerM = BS7671LongRunPerM.
const (
	BS7671LongRunPerM = 0.00005 // BS 7671 Appendix 4 Table 4Ab (SEEN-S)
	LongRunMost       = 0.005   // the same
	longRunFromM      = 100     // the same
)

// practiceDefaults: what stands for a zero field, and why.
var practiceDefaults = struct {
	continuous, dcFuse, pv                 sourced
	dcDrop, acDrop, totalDrop, startDrop   sourced
	unfusedStrings, surgeRise, faultPerAh  sourced
	genShare, genStart, genDip, genReactor sourced
}{
	continuous: sourced{1.25, phrase.Symbols("NEC 210.20(A)"), published},
	dcFuse:     sourced{1.25, phrase.Of("PV training page following NEC 690.8"), quoted},
	pv:         sourced{1.25, phrase.Symbols("NEC 690.8(A)(1), 690.8(B)"), quoted},
	// Practice is 2 to 3 %; the lower, because at 12 V the inverter's own low-voltage limit is near.
	dcDrop:    sourced{0.02, phrase.Of("common practice"), fromMemory},
	acDrop:    sourced{0.03, phrase.Of("NEC 210.19 informational note; BS 7671 Appendix 4 Table 4Ab, lighting"), quoted},
	totalDrop: sourced{0.05, phrase.Of("NEC 215.2 informational note; BS 7671 Appendix 4 Table 4Ab; AS/NZS 3000"), quoted},
	startDrop: sourced{0.15, phrase.Of("supply dip at motor start, commonly accepted"), published},
	// The rule is published for PV strings; parallel battery strings feed a faulty one in the same way.
	unfusedStrings: sourced{2, phrase.Of("course page on PV string fuses"), quoted},
	// Far below what a short circuit may heat a cable to (160 C for PVC), because a start comes back every hour.
	surgeRise:  sourced{10, phrase.Of("planning rule of this program"), published},
	faultPerAh: sourced{10, phrase.Of("circuit-breaker maker's DC guide"), quoted},
	genShare:   sourced{0.90, phrase.Of("Twin Valleys Public Power District sizing sheet"), published},
	genStart:   sourced{1.50, phrase.Of("Twin Valleys Public Power District sizing sheet"), published},
	genDip:     sourced{0.35, phrase.Of("two pump makers' installation manuals, ratings of generators"), published},
	// With it the published pump table (35 % dip, external regulation) comes out within 6 points of dip for 1/2 to 5 hp.
	genReactor: sourced{0.25, phrase.Of("fitted to the pump makers' table of generators"), published},
}

// Filled is p with each zero field replaced by its default. A field out of its range is an error.
func (p Practice) Filled() (Practice, error) {
	d := practiceDefaults
	for _, f := range []struct {
		field  *float64
		what   phrase.Phrase
		def    sourced
		lo, hi float64
		unit   string
	}{
		{&p.ContinuousFactor, phrase.Of("continuous factor"), d.continuous, 1, 2, ""},
		{&p.DCFuseFactor, phrase.Of("DC fuse factor"), d.dcFuse, 1, 2, ""},
		{&p.PVFactor, phrase.Of("PV factor"), d.pv, 1, 2, ""},
		{&p.DCDropLimit, phrase.Of("DC drop limit"), d.dcDrop, 1e-4, 0.5, ""},
		{&p.ACDropLimit, phrase.Of("AC drop limit"), d.acDrop, 1e-4, 0.5, ""},
		{&p.TotalDropLimit, phrase.Of("total drop limit"), d.totalDrop, 1e-4, 0.5, ""},
		{&p.StartDropLimit, phrase.Of("start drop limit"), d.startDrop, 1e-4, 0.5, ""},
		{&p.LongRunPerM, phrase.Of("long-run allowance"), sourced{}, 0, 0.001, "per m"},
		{&p.SurgeRiseK, phrase.Of("surge rise"), d.surgeRise, 0.1, 60, "K"},
		{&p.FaultPerAh, phrase.Of("short-circuit current"), d.faultPerAh, 1, mostFaultPerAh.value, "A/Ah"},
		{&p.GeneratorShare, phrase.Of("generator share"), d.genShare, 0.1, 1, ""},
		{&p.GeneratorStart, phrase.Of("generator start factor"), d.genStart, 1, 3, ""},
		{&p.GeneratorDip, phrase.Of("generator dip"), d.genDip, 0.01, 0.5, ""},
		{&p.GeneratorReactance, phrase.Of("generator reactance"), d.genReactor, 0.01, 1, "per unit"},
	} {
		if *f.field == 0 {
			*f.field = f.def.value
		}
		if err := within(f.what, *f.field, f.lo, f.hi, f.unit); err != nil {
			return Practice{}, err
		}
	}
	if p.UnfusedStrings == 0 {
		p.UnfusedStrings = int(d.unfusedStrings.value)
	}
	return p, within(phrase.Of("unfused strings"), float64(p.UnfusedStrings), 1, 100, "")
}

// whose says where a factor comes from: the default's source while the value is the default, else the practice given.
func whose(v float64, def sourced) phrase.Phrase {
	if v == def.value {
		return def.cite()
	}
	return phrase.Of("practice given")
}

// longRun is what a run's length adds to the AC drop limits.
func (p Practice) longRun(lengthM float64) float64 {
	return min(LongRunMost, p.LongRunPerM*max(0, lengthM-longRunFromM))
}
