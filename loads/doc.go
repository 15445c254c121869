// Package loads is the inventory of a home and what it asks of a supply.
//
// A [Load] is one appliance or a group of equal ones on one circuit. Put the loads that belong together
// into a set with [NewSet] and ask it for its demand ([Set.Connected], [Set.Scheduled], [Set.Probable]),
// its worst starts ([Set.Surges]), the restart after a break ([Set.Restart]) and its energy
// ([Set.EnergyWhPerDay], [Set.Profile]). [Motor.StartingVA] turns a motor's nameplate into a starting power.
//
// Powers are W, VA and VAr, energy is Wh, times of day are minutes from midnight (0 to 1439, ends up to
// 1440), lengths of time are hours or seconds as named. Real and reactive powers add as a vector, per
// phase and over all phases.
//
// A set holds exactly the loads that it was given: which of them count (the month, the board, those that
// are held off) is the caller's choice, see [InMonth]. Nothing here knows inverters or banks; a rating
// comes in as a function. Equal loads give equal results bit for bit, in whatever order they are listed.
package loads
