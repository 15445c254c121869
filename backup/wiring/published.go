package wiring

// ReactanceOhmPerKm is the reactance of one conductor that AC voltage drops are counted with, in ohm/km.
func ReactanceOhmPerKm() float64 { return acReactance.value }

// Paths is how many conductors in series the current of a system goes through, seen from the voltage that a drop is a
// fraction of.
func (s System) Paths() float64 { return s.paths() }
