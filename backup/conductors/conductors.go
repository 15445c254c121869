// Package conductors chooses or tests the cables and protective devices of a home whose circuits are settled.
//
// [Size] takes the figures of the home and gives every run with its check; [CheckBreakers] holds the circuits against
// the breakers that the site file gives. The rules themselves, ampacity tables, drops and devices, are those of package
// wiring.
package conductors

import (
	"outlast/backup/inverter"
	"outlast/backup/phrase"
	"outlast/backup/site"
	"outlast/backup/verdict"
	"outlast/backup/wiring"
	"outlast/backup/wording"
	"outlast/backup/workers"
	"outlast/backup/working"
	"outlast/battery"
	"outlast/loads"
)

// A Run is one conductor of the plan with its protective device: what the site file gives of them, and for the rest the
// smallest that pass.
type Run struct {
	ID    string // of its check: "cable-bank", "cable-kitchen"
	Kind  Kind
	Of    string // the id of the circuit
	Array int    // the number of the array, from 0
	Label phrase.Phrase
	Count int // equal ones: one for each inverter, one for each string of an array; 1 for a circuit

	Conductor       wiring.Size
	ConductorChosen bool    // by the planner
	NoneDoes        bool    // no single conductor of the tables does: the largest was chosen
	LengthM         float64 // one way; 0: not given
	CarriesA        float64 // as it is laid
	NeedsA          float64 // factors included

	Device       wiring.DeviceKind
	DeviceA      float64 // 0: none
	DeviceChosen bool
	BearsA       float64 // what the device protects beside the conductor: input or relay of an inverter; 0: nothing, or not known
	DeviceNeeds  Ratings // beside its current
	LimitShort   bool    // of the grid input: the limit that is entered is below what passes through, of which its check cautions

	// What else a run of direct current takes. StringsWantFuses is false where a fuse in each string is advised only.
	Isolator, StringFuse Ratings
	StringsWantFuses     bool

	Drop, StartDrop float64 // fractions of the voltage, while it runs and at the largest start; 0 without a length
	TotalDrop       float64 // with the runs before it

	Check verdict.Check
	Laid  Laid

	steps func() ([]wiring.Step, working.Sides) // the working, and what the check compares
	worst *wiring.Check                         // the comparison that Check tells; nil: none

	tooSmallA, tooLargeA float64 // the standard ratings on both sides of a window in which there is none
}

// Laid is a conductor as it is laid, for who works its run out in full.
type Laid struct {
	Ampacity wiring.Ampacity
	OhmPerKm float64 // of one conductor, warm
	System   wiring.System
	VoltageV float64
	// LoadA and StartA are the currents that the drops are counted with; of their power factors 0 is not known.
	LoadA, StartA                 float64
	PowerFactor, StartPowerFactor float64
	Upstream                      float64        // fraction of the voltage lost before it
	SurgeA, SurgeS                float64        // of the start that heats it most; 0: none
	OneSecondA                    float64        // heats it within a second by as much as a start may
	Compared                      []wiring.Check // all comparisons that its check is the worst of
}

// Ratings are the least that the label of a device must have; 0: not known, or of no concern.
type Ratings struct{ A, V, BreaksA float64 }

// A Kind is what a run leads from or to.
type Kind string

// The kinds of runs. They are the names of the runs that every home has, too; an array goes by its number behind its
// kind, a circuit by its id.
const (
	Bank    Kind = "bank"
	Feeder  Kind = "feeder" // from the inverter to the backup board
	Input   Kind = "input"  // of the inverter, from the main board
	Array   Kind = "array"
	Circuit Kind = "circuit"
)

// A Home is what conductors must serve.
type Home struct {
	Site     *site.Site
	Inverter inverter.Group
	Bank     battery.Bank
	Currents *Currents // what was worked out of these circuits before

	PassThroughA float64 // the largest phase while the grid is there
	InputA       float64 // the same plus the chargers at full current
	OnGrid       *loads.Set
	GridLoads    []loads.Load // of that set: held-off loads included
	Starts       []Start
	Brief        bool    // without the working
	Curt         bool    // without notes, and without words of what does not fail
	Behind       *Behind // of these inverters; nil: nothing is shared
}

// A Behind keeps the runs that no bank changes, for the trials of many banks behind the same inverters: by what the
// inverters take from the grid, which the volts of a bank change with what its chargers do.
type Behind struct{ runs workers.Memo[float64, Sized] }

// A Start is one load's start, and what the bank gives meanwhile.
type Start struct {
	loads.Surge
	BankA float64
}

// Sized is every conductor and device, the bank's first, then those of the inverters, the arrays and the circuits.
type Sized struct {
	Runs            []Run
	Checks          []verdict.Check
	Notes, Cautions []phrase.Phrase
	GridLimitA      float64 // of the current from the grid, as it is entered in each inverter, per phase; 0: not known
}

// wirer works the runs out.
type wirer struct {
	Home
	practice wiring.Practice
	feeding  float64 // fraction of the voltage lost on the way to the backup board, by what the plan's loads draw
	sized    Sized
}

// Size works out every conductor and device: the bank's, the feeder and the grid input of the inverters, the strings of
// the arrays, and the circuits of which the file gives a cable or a length.
func Size(h Home) Sized {
	w := &wirer{Home: h, practice: h.Site.Practice.Wires()}
	w.sized.Checks = make([]verdict.Check, 0, 3+len(h.Site.Arrays)+len(h.Site.Circuits))
	w.bankRun()
	if h.Behind == nil {
		w.behindBank()
		return w.sized
	}
	known := h.Behind.runs.Of(h.InputA, func() Sized {
		other := &wirer{Home: h, practice: w.practice}
		other.behindBank()
		return other.sized
	})
	w.sized.Checks, w.sized.GridLimitA = append(w.sized.Checks, known.Checks...), known.GridLimitA
	return w.sized
}

// behindBank are the runs that know nothing of the bank.
func (w *wirer) behindBank() {
	w.inverterRuns()
	for i := range w.Site.Arrays {
		w.arrayRun(i)
	}
	for _, c := range w.Site.Circuits {
		if c.CableMM2 > 0 || c.LengthM > 0 {
			w.circuitRun(c)
		}
	}
}

func (w *wirer) done(r Run) {
	if !w.Brief { // of a trial nobody looks at them
		w.sized.Runs = append(w.sized.Runs, r)
	}
	w.sized.Checks = append(w.sized.Checks, r.Check)
}

// fail notes a run that cannot be worked out; that is never a reason to refuse the whole plan.
func (w *wirer) fail(r Run, err error) {
	r.Check = verdict.Unknown(r.ID, 0, "A", phrase.Of("not worked out: %s", wording.ReasonOf(err)))
	if c := w.Site.Wiring.AmbientC; c > 60 {
		r.Check.Reason = phrase.Of("not worked out: no table reaches %s around a cable; give ambient_c of [wiring], "+
			"or lead the cables where it is cooler",
			wording.Amount(c, "C"))
	}
	w.sized.Checks = append(w.sized.Checks, r.Check)
}

func (w *wirer) note(text phrase.Phrase) { w.sized.Notes = append(w.sized.Notes, text) }

func (r *Run) fromChoice(c wiring.Choice, givenMM2, lengthM float64) {
	r.Conductor, r.ConductorChosen, r.LengthM = c.Size, givenMM2 == 0, lengthM
	r.CarriesA, r.Drop, r.StartDrop = c.Ampacity.A, c.Drop.Fraction, c.StartDrop.Fraction
	r.Laid.Ampacity, r.Laid.OhmPerKm, r.Laid.OneSecondA = c.Ampacity, c.OhmPerKm, c.OneSecondA
}

// UncheckedDrops names the lengths without which a voltage drop is not checked; one sentence for all of them, empty
// where none is missing. Circuits say it in their own check.
func UncheckedDrops(s *site.Site) phrase.Phrase {
	var missing []string
	w := s.Wiring
	for _, k := range []struct {
		key    string
		length float64
		there  bool
	}{{"bank_m", w.Bank.LengthM, true}, {"input_m", w.Input.LengthM, true}, {"feeder_m", w.Feeder.LengthM, true},
		{"array_m", w.Array.LengthM, len(s.Arrays) > 0}} {
		if k.there && k.length == 0 {
			missing = append(missing, k.key)
		}
	}
	if len(missing) == 0 {
		return phrase.Phrase{}
	}
	return phrase.Of("The voltage drop of some cable runs is not checked: give %s in [wiring].",
		phrase.List(wording.Names(missing)))
}
