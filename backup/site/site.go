// Package site says what a site file says: its keys, how it is read, and what holds where it is silent.
//
// [Read] reads the file into a [Site]: one home, its loads and circuits, and the equipment chosen for it. Powers are W
// or VA, energies Wh, charge Ah, potentials V, currents A, times h, s or minutes of the day as named, temperatures
// degrees C.
package site

import (
	"cmp"
	"slices"

	"outlast/backup/measured/meter"
	"outlast/backup/solar"
	"outlast/backup/verdict"
	"outlast/backup/wiring"
	"outlast/battery"
	"outlast/catalog"
	"outlast/catalog/strict"
	"outlast/loads"
)

// A Site is one home as its file describes it, checked: every reference holds and every number is in range.
type Site struct {
	File, Name         string
	NominalV           float64 // line to neutral
	Phases             int     // 1, 2 (split-phase) or 3
	FrequencyHz        float64
	AltitudeM          float64
	ColdestC, HottestC float64  // battery space in winter, inverter space in summer
	ColdestAirC        *float64 // lowest of the air outdoors; nil: not told, see [Site.ColdAir]
	Latitude           *float64 // nil: not given
	Longitude          *float64
	UTCOffsetH         *float64
	Meter              string     // name of a meter file; see [Site.ReadMeter]
	Use                *meter.Use // what it tells; nil: not read
	Units              string     // "metric", or "us": the papers speak American: Fahrenheit, feet, AWG

	Outage   Outage
	Practice Practice

	Inverter      catalog.Inverter
	InverterCount int
	Unit          battery.Unit // defaults by chemistry filled in
	Series        int          // units in a string
	SeriesFits    bool         // false: no number of units suits the inverter's DC window
	Strings       int          // 0: the planner sizes the bank

	Wiring Wiring

	Ways      int // circuits that the backup board takes; 0: unlimited
	Circuits  []loads.Circuit
	Loads     []loads.Load
	Arrays    []Array
	Generator *Generator
	Options   []Option

	Defaults []strict.Default // what the file left to the planner

	VentCM2  float64 // opening for air to the battery space, inlet and outlet each; 0: not given
	VentRule string  // "iec", or "au": the Australian rule counts too; "": a bank that gives off no gas

	unitDefaults []battery.Default // of Unit

	meterAt strict.Pos
	catalog *catalog.Catalog // where larger equipment is looked for
	under   *firmament       // shared with the options

	reader    *reader // of the file, for [Site.Changed]
	equipment equipment
}

// Outage is the outage to plan for.
type Outage struct {
	AutonomyH float64
	Start     int  // minute of the day; WorstStart: the one that needs most energy
	Month     int  // 1 to 12; 0: the month with the highest daily energy
	MonthOpen bool // the file leaves the month open: an outage of any month is meant
	Reserve   float64
}

// WorstStart stands for the start that needs the most energy.
const WorstStart = -1

// Practice is the designer's own margins.
type Practice struct {
	Margin, Growth, EndOfLife float64
	Headroom                  float64 // share of the inverter's ratings that is kept free
	MaxDoD                    float64 // 0: the unit's
	Confidence                float64
	Wiring                    wiring.Practice     // 0: a default, see wiring.Practice
	GeneratorRule             wiring.DeratingRule // "": those of the generator's engine
}

// Array is one PV array on one tracker input.
type Array struct {
	Module                    catalog.Module
	ModulesPerString, Strings int
	TiltDeg, AzimuthDeg       float64 // clockwise from north
	Input                     int     // from 1
	MonthlyKWhM2Day           []float64
	Weather                   string // name of a weather file; see [Site.ReadWeather]

	weatherAt strict.Pos
	Hours     *solar.Weather // of the weather file
}

// Generator is the site's generator and when it runs.
type Generator struct {
	catalog.Generator
	StartSoC, StopSoC float64
	StartGiven        bool // false: StartSoC is only what is usual; a plan may raise it, see [GeneratorRuns]
}

// Option is a variant of the site: the same home with other equipment or another outage.
type Option struct {
	Name string
	Site *Site
}

// OnBoard gives the loads of the circuits on a board, in the order of the file.
func (s *Site) OnBoard(boards ...loads.Board) []loads.Load {
	on := make(map[string]bool, len(s.Circuits))
	for _, c := range s.Circuits {
		on[c.ID] = slices.Contains(boards, c.Board)
	}
	return loads.Where(s.Loads, func(l *loads.Load) bool { return on[l.CircuitID] })
}

// OnCircuit gives the loads of one circuit, in the order of the file.
func (s *Site) OnCircuit(id string) []loads.Load {
	return loads.Where(s.Loads, func(l *loads.Load) bool { return l.CircuitID == id })
}

// InUse leaves out the loads that are held off in an outage, as [loads.Among] does.
func InUse(ls []loads.Load) []loads.Load {
	return loads.Among(ls, func(l *loads.Load) bool { return !l.HeldOff })
}

// CountedOn tells whether something of a circuit's loads is to be used in an outage. A circuit whose loads must all be
// left off has power, but nobody is to count on it.
func CountedOn(ls []loads.Load) bool { return len(ls) == 0 || len(InUse(ls)) > 0 }

// RestsOnClass tells whether figures of the load of that name are those of its class of appliances.
func (s *Site) RestsOnClass(name string) bool {
	i := slices.IndexFunc(s.Loads, func(l loads.Load) bool { return l.Name == name })
	return i >= 0 && s.Loads[i].RestsOnClass()
}

// AustralianVent is the word for the Australian rule in vent_rule of [bank].
const AustralianVent = "au"

// outputTolerance is how far an inverter's volts may be from the site's: farther ones are of another system. Own
// planning rule.
const outputTolerance = 0.2

// Takes says whether an output of so many volts, line to neutral, suits the site; 0 is not given.
func (s *Site) Takes(outputV float64) bool {
	return outputV <= 0 || s.NominalV <= 0 || outputV >= (1-outputTolerance)*s.NominalV &&
		outputV <= (1+outputTolerance)*s.NominalV
}

// SetMonth settles the month of the outage where the file leaves it open.
func (s *Site) SetMonth() {
	if s.Outage.Month == 0 {
		s.Outage.MonthOpen = true
		s.Outage.Month = hungriestMonth(InUse(s.OnBoard(loads.BoardBackup, loads.BoardEither)))
	}
}

// hungriestMonth is the month with the highest daily energy; of equal ones the first.
func hungriestMonth(ls []loads.Load) int {
	best, most := 1, -1.0
	for month := 1; month <= 12; month++ {
		wh := 0.0
		for i := range ls {
			if ls[i].Months.Has(month) {
				wh += ls[i].EnergyWhPerDay()
			}
		}
		if wh > most*(1+verdict.Slack) {
			best, most = month, wh
		}
	}
	return best
}

// Label gives the words for a circuit's id.
func (s *Site) Label(id string) string {
	for _, c := range s.Circuits {
		if c.ID == id {
			return c.Label
		}
	}
	return id
}

// Of a generator that shall prevent darkness: how far above the charge at which the circuits lose power it starts at
// least, and where it starts if nobody says. Common practice.
const (
	GeneratorAbove = 0.05
	UsualStartSoC  = 0.3
)

// LargerInverters are the catalog's inverters that could take the place of the site's and carry more, smallest first:
// the same bank voltage, phases and output.
func (s *Site) LargerInverters() []catalog.Inverter {
	if s.catalog == nil {
		return nil
	}
	var out []catalog.Inverter
	for _, v := range s.catalog.Inverters() {
		if v.RatedVA > s.Inverter.RatedVA && v.NominalDCV == s.Inverter.NominalDCV && v.Phases == s.Inverter.Phases &&
			v.OutputV == s.Inverter.OutputV {
			out = append(out, v)
		}
	}
	slices.SortStableFunc(out, func(a, b catalog.Inverter) int { return cmp.Compare(a.RatedVA, b.RatedVA) })
	return out
}
