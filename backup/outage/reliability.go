package outage

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/stat"
)

// SustainedMin is the dividing line between a momentary and a sustained interruption in minutes: the sustained ones last
// longer. IEEE Std 1366 reporters in the US use 5; Germany and Australian tables use 3.
const SustainedMin = 5 // source: US Energy Information Administration, Today in Energy 43915 and 45796. Mark: SEEN

// An Interruption is one event of a supply network.
type Interruption struct {
	Customers float64 // that lost supply, at least 0
	Minutes   float64 // until they had it back, at least 0
}

// Indices are the yearly figures of a supply network's reliability, as IEEE Std 1366 defines them. They are means over
// all customers: SAIFI is about the outages that one home can expect in a year and CAIDI their mean length, but neither is
// a length to design for, and rural ends of lines see several times the mean.
type Indices struct {
	SAIFI    float64 // interruptions per customer
	SAIDIMin float64 // minutes without supply per customer
	CAIDIMin float64 // minutes per interruption, SAIDI / SAIFI; 0 without interruptions
	ASAI     float64 // share of the time with supply, at most 1
}

// Reliability returns the indices of one period of periodH hours (8,760, or 8,784 in a leap year) from its interruptions.
//
// served is the number of customers, above 0. Interruptions of no more than sustainedMin minutes (see [SustainedMin]) are
// momentary and do not count. Source: IEEE Std 1366 definitions as given in US Energy Information Administration FAQ 1194
// (SAIFI, SAIDI, CAIDI). Mark: SEEN.
func Reliability(events []Interruption, served, sustainedMin, periodH float64) (Indices, error) {
	switch {
	case !(served > 0) || math.IsInf(served, 1):
		return Indices{}, fmt.Errorf("outage: %g customers served, want a finite number above 0", served)
	case !(sustainedMin >= 0) || math.IsInf(sustainedMin, 1):
		return Indices{}, fmt.Errorf("outage: momentary up to %g min, want a finite number, at least 0", sustainedMin)
	case !(periodH > 0) || math.IsInf(periodH, 1):
		return Indices{}, fmt.Errorf("outage: period %g h, want a finite number above 0", periodH)
	}
	var interrupted, minutes float64 // customers, customer minutes
	for i, e := range events {
		if !(e.Customers >= 0 && e.Customers <= maxPowerW && e.Minutes >= 0 && e.Minutes <= maxPowerW) {
			return Indices{}, fmt.Errorf("outage: interruption %d of %g customers for %g min, want finite numbers, at least 0",
				i, e.Customers, e.Minutes)
		}
		if e.Minutes > sustainedMin {
			interrupted += e.Customers
			minutes += e.Customers * e.Minutes
		}
	}
	x := Indices{
		SAIFI:    interrupted / served,
		SAIDIMin: minutes / served,
		ASAI:     1 - minutes/60/(served*periodH),
	}
	if interrupted > 0 {
		x.CAIDIMin = minutes / interrupted
	}
	return x, nil
}

// MajorEventBeta is the number of standard deviations above the mean log at which a day counts as a major event.
const MajorEventBeta = 2.5 // source: IEEE Std 1366, the "2.5 beta method". Mark: SEEN

// A MajorEvent is the threshold that parts days of ordinary operation from major event days.
type MajorEvent struct {
	Alpha        float64 // mean of ln(daily SAIDI in min)
	Beta         float64 // standard deviation of the same, of a sample (n - 1)
	ThresholdMin float64 // T_MED = exp(alpha + 2.5 beta): days above it are major event days
}

// MajorEventDay returns the threshold from the SAIDI of each day, in minutes; the standard takes five years of them.
//
// Days of 0 are left out, for they have no logarithm; at least two others are needed. Whether beta is the standard
// deviation of a sample or of a population is not told by everybody alike: here it is that of a sample. Source: IEEE Std
// 1366, as in utilities' public accounts of it. Mark: SEEN.
func MajorEventDay(dailySAIDIMin []float64) (MajorEvent, error) {
	logs := make([]float64, 0, len(dailySAIDIMin))
	for i, m := range dailySAIDIMin {
		if !(m >= 0) || math.IsInf(m, 1) {
			return MajorEvent{}, fmt.Errorf("outage: day %d: SAIDI %g min, want a finite number, at least 0", i, m)
		}
		if m > 0 {
			logs = append(logs, math.Log(m))
		}
	}
	if len(logs) < 2 {
		return MajorEvent{}, fmt.Errorf("outage: %d days with interruptions, want at least 2", len(logs))
	}
	var e MajorEvent
	e.Alpha, e.Beta = stat.MeanStdDev(logs, nil)
	// Only days from one end of floating point to the other could overflow it.
	e.ThresholdMin = min(math.Exp(e.Alpha+MajorEventBeta*e.Beta), math.MaxFloat64)
	return e, nil
}
