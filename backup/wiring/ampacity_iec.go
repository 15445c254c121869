package wiring

import (
	"outlast/backup/phrase"
	"outlast/backup/working"
)

// Method is how a cable is laid, by the reference methods of IEC 60364-5-52. The US tables have one way only: in
// raceway or cable.
type Method string

// The reference methods that are carried. For AC runs the zero value means InConduit, the safest of them; for bank and
// array cables, which lie open, it means OnWall.
const (
	InConduit      Method = "B2" // multi-core cable in conduit on a wall
	CoresInConduit Method = "B1" // single cores in conduit on a wall
	OnWall         Method = "C"  // cable clipped direct to a wall
)

// iecInsulationC and what it stands at the end of a short circuit: PVC, the only insulation whose IEC tables are
// carried.
const iecInsulationC = 70.0

// An iecColumn is one column of an ampacity table, parallel to iecConductors: PVC 70 C, copper, 30 C air, A.
type iecColumn struct {
	method Method
	loaded int
	table  string
	// basis holds up to 120 mm2; the rows from 150 mm2 on, and whole columns where it says so, are from memory.
	basis working.Basis
	a     [len(iecConductors)]float64
}

// iecAmpacity: IEC 60364-5-52, PVC copper. Hole: methods A, D to G, 90 C insulation and aluminium are not carried.
var iecAmpacity = [...]iecColumn{
	{CoresInConduit, 2, "B.52.2", working.Quoted,
		[...]float64{17.5, 24, 32, 41, 57, 76, 101, 125, 151, 192, 232, 269, 300, 341, 400}},
	{InConduit, 2, "B.52.2", working.Quoted,
		[...]float64{16.5, 23, 30, 38, 52, 69, 90, 111, 133, 168, 201, 232, 258, 294, 344}},
	{OnWall, 2, "B.52.2", working.Quoted,
		[...]float64{19.5, 27, 36, 46, 63, 85, 112, 138, 168, 213, 258, 299, 344, 392, 461}},
	{CoresInConduit, 3, "B.52.4", working.Memory,
		[...]float64{15.5, 21, 28, 36, 50, 68, 89, 110, 134, 171, 207, 239, 262, 296, 346}},
	{InConduit, 3, "B.52.4", working.Memory,
		[...]float64{15, 20, 27, 34, 46, 62, 80, 99, 118, 149, 179, 206, 225, 255, 297}},
	{OnWall, 3, "B.52.4", working.Quoted,
		[...]float64{17.5, 24, 32, 41, 57, 76, 96, 119, 144, 184, 223, 259, 299, 341, 403}},
}

// iecColumnOf finds the column, nil for an unknown method.
func iecColumnOf(m Method, loaded int) *iecColumn {
	for i := range iecAmpacity {
		if c := &iecAmpacity[i]; c.method == m && c.loaded == loaded {
			return c
		}
	}
	return nil
}

// source cites where the current of a size stands.
func (c *iecColumn) source(i int) working.Source {
	basis := c.basis
	if iecConductors[i].basis == working.Memory {
		basis = working.Memory
	}
	return working.IECPart552.At(phrase.Of("%s, method %s", working.InTable(c.table), string(c.method)), basis)
}
