package outage

import "slices"

// A Result is what became of an outage.
type Result struct {
	Minutes int // that it lasted
	// DarkMin counts the minutes in which not everything was carried, FirstDarkMin is the first of them, from 0; it is
	// 0 where DarkMin is.
	DarkMin, FirstDarkMin int
	Circuits              []CircuitResult // in the order of their first loads
	Events                []Event         // in order of time
	SoC                   []float64       // at the beginning of each minute and at the end: Minutes + 1 values
	Energy                Energy
	FuelL                 float64 // burnt
	GeneratorMin          int     // minutes that the generator ran
}

// HoursUntilDark is the time until the first dark minute; dark false says that there was none, and the hours are those
// of the whole outage.
func (r *Result) HoursUntilDark() (hours float64, dark bool) {
	if r.DarkMin == 0 {
		return float64(r.Minutes) / 60, false
	}
	return float64(r.FirstDarkMin) / 60, true
}

// A CircuitResult is what became of one circuit.
type CircuitResult struct {
	ID         string
	DemandWh   float64 // asked by its loads, less what was dropped
	UnservedWh float64 // part of DemandWh that was not served
	DroppedWh  float64 // what its loads would have asked while they were dropped: switched off on purpose
}

// AskedWh is all that the loads of the circuit ask: ServedWh + UnservedWh + DroppedWh.
func (c CircuitResult) AskedWh() float64 { return c.DemandWh + c.DroppedWh }

// ServedWh is what they get of it.
func (c CircuitResult) ServedWh() float64 { return c.DemandWh - c.UnservedWh }

// Energy sums up an outage. PVUsedWh + GeneratorWh + BankOutWh = ServedWh + BankInWh + LossWh.
type Energy struct {
	DemandWh, ServedWh      float64 // of the loads, less what was dropped
	DroppedWh               float64 // what the dropped loads would have asked
	PVUsedWh, PVCurtailedWh float64 // on the bank's side
	GeneratorWh             float64 // given by the generator
	BankInWh, BankOutWh     float64 // at its terminals; its own losses lie between them
	LossWh                  float64 // in the inverter and in the generator's charger
}

// AskedWh is all that the loads ask, had nothing been switched off: ServedWh + UnservedWh + DroppedWh.
func (e Energy) AskedWh() float64 { return e.DemandWh + e.DroppedWh }

// UnservedWh is what they ask and do not get, though nobody switched them off.
func (e Energy) UnservedWh() float64 { return e.DemandWh - e.ServedWh }

// An EventKind says what happened.
type EventKind string

// The kinds of events.
const (
	EventDark            EventKind = "dark"     // a circuit is not carried in full any more
	EventReturn          EventKind = "return"   // it is again
	EventDropped         EventKind = "dropped"  // a load is switched off by its state of charge
	EventRestored        EventKind = "restored" // it is switched on again
	EventGeneratorStarts EventKind = "generator starts"
	EventGeneratorStops  EventKind = "generator stops"
)

// An Event is something that happened at the beginning of a minute.
type Event struct {
	Min       int // since the grid failed
	Kind      EventKind
	CircuitID string // of dark and return; of the load
	Load      string // name, of dropped and restored
}

// Result tells what became of the outage so far.
func (s *Sim) Result() Result {
	r := s.out
	r.Minutes = s.minute
	r.SoC = append(slices.Clone(r.SoC), s.s.Bank.SoC())
	r.Circuits = slices.Clone(r.Circuits)
	r.Events = slices.Clone(r.Events)
	return r
}
