// Package battery sizes a battery bank and models how it behaves.
//
// Start with a [Unit], one battery as its data sheet describes it; [Unit.Check] says what in it contradicts itself and
// [Unit.WithDefaults] fills what the sheet leaves out and says from where. [Series] then decides how many of them make
// a string, [Size] how many strings carry the need, and a [Bank] is the result. [Bank.Model] is that bank through time;
// the rest of Bank tells its volts, charge stages, gas, fault current and life. [Unit.DutyCycle] and [AutonomyMethod]
// size once more by published methods, to check against.
//
// Charge is in Ah at the unit's rated hours and 25 C, energy in Wh at the DC terminals, potential in V, current in A
// (one unit's or the bank's, as named), temperature in degrees C of the electrolyte or the cells, time in h.
// Constants of the trade carry their source and a mark: SEEN was read in that source, memory was not.
//
// Left out: what the inverter takes (the caller gives energy at the DC terminals), wiring, and cost. Ageing is a factor
// given by the caller; [Unit.Life] only estimates how long it takes to get there. A [State] keeps one temperature.
package battery

import "outlast/backup/fault"

// errs makes the errors of this package.
const errs = fault.In("battery")
