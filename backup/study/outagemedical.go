package study

import (
	"cmp"
	"slices"

	"outlast/backup/calendar"
	"outlast/backup/facts"
	"outlast/backup/outage"
	"outlast/loads"
)

// A MedicalLoss is a load that someone depends on and that loses power in an outage, at a time at which it may be
// wanted.
type MedicalLoss struct {
	Load      string
	CircuitID string
	Why       LossReason
	FirstMin  int // since the grid failed
	Minutes   int // without power, of those in which it may be wanted
}

// A LossReason is why a load loses power.
type LossReason string

// The reasons.
const (
	LossDark    LossReason = "dark"     // the backup board loses power
	LossMain    LossReason = "main"     // its circuit is on the main board
	LossHeldOff LossReason = "held off" // people promised not to use it
)

// medicalLosses lists what loses power of the loads that someone depends on, the first to lose it before the others. p
// is the plan of the outage's month. measured says that the home is told as one.
func medicalLosses(p *facts.Facts, startMin int, r *outage.Result, measured bool) (out []MedicalLoss) {
	for _, l := range loads.InMonth(p.Site.Loads, p.Month) {
		if !l.Medical || l.HoursPerDay == 0 || l.Quantity == 0 {
			continue
		}
		loss := MedicalLoss{Load: l.Name, CircuitID: l.CircuitID, Why: LossDark}
		id := l.CircuitID
		if measured {
			id = WholeHome
		}
		gone := darkTimes(id, r)
		i := slices.IndexFunc(p.Site.Circuits, func(c loads.Circuit) bool { return c.ID == l.CircuitID })
		switch {
		case i < 0 || p.Site.Circuits[i].Board != loads.BoardBackup:
			loss.Why, gone = LossMain, []span{{0, r.Minutes}}
		case l.HeldOff:
			loss.Why, gone = LossHeldOff, []span{{0, r.Minutes}}
		}
		for _, s := range gone {
			for m := s.from; m < s.to; m++ {
				if l.ActiveAt((startMin + m) % calendar.DayMin) {
					if loss.Minutes == 0 {
						loss.FirstMin = m
					}
					loss.Minutes++
				}
			}
		}
		if loss.Minutes > 0 {
			out = append(out, loss)
		}
	}
	slices.SortStableFunc(out, func(a, b MedicalLoss) int { return cmp.Compare(a.FirstMin, b.FirstMin) })
	return out
}

// A span is a time of an outage, in minutes since the grid failed; its end is not in it.
type span struct{ from, to int }

// darkTimes are when a circuit is not carried in full.
func darkTimes(circuit string, r *outage.Result) (out []span) {
	for _, e := range r.Events {
		if e.CircuitID != circuit {
			continue
		}
		switch e.Kind {
		case outage.EventDark:
			out = append(out, span{e.Min, r.Minutes})
		case outage.EventReturn:
			out[len(out)-1].to = e.Min
		}
	}
	return out
}
