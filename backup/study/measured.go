package study

import (
	"context"
	"slices"

	"outlast/backup/facts"
	"outlast/backup/measured/meter"
	"outlast/backup/outage"
	"outlast/backup/verdict"
	"outlast/loads"
)

// Measured sets the list of loads beside what the home's meter has measured.
type Measured struct {
	Use *meter.Use
	// Months are those of which the meter knows whole days.
	Months []MeasuredMonth
	// ListBaseW is the least hour of the whole list in the month of the plan, UnlistedW how much of the measured base
	// load is on no list.
	ListBaseW, UnlistedW float64
	// WholeHome says that every circuit is on the backup board: the meter counts what the bank must supply.
	WholeHome bool
	Rule      *MeasuredDemand   // nil: the meter file does not allow it
	Autonomy  *MeasuredAutonomy // nil: not the whole home, power of its own behind the meter, or no days of the month
}

// MeasuredMonth is one month of the year. Nights are the hours from 22:00 to 5:00, in which no sun hides what is used.
type MeasuredMonth struct {
	Month                    int
	Days                     int
	MeasuredWh, ListWh       float64 // a day; with an array behind the meter only the night's
	NightMeasuredWh          float64
	NightListWh              float64
	NightExplained           float64 // share of the night's measured energy that the list accounts for, hour by hour, 0 to 1
	MeasuredHourW, ListHourW [24]float64
}

// MeasuredDemand is the rule of measured demand (NEC 220.87): 125 % of the highest quarter of an hour of a year, or of
// thirty days recorded by the quarter of an hour, against what supplies it.
type MeasuredDemand struct {
	HighestW, DemandW, LimitW float64
	Seconds                   int
	Holds                     bool
}

// measuredFactor is the factor of the rule.
const measuredFactor = 1.25

// MeasuredAutonomy is how long the bank alone, at the end of its life, supplies the measured days of the plan's month,
// from the plan's moment on each of them.
type MeasuredAutonomy struct {
	LeastH, MedianH float64
	StartMin        int // minute of the day
	Starts          int
	AtLeast         bool // some starts ran out of measured days or of the longest time that is followed: they last longer
}

// measuredDays is the longest run of days that is followed.
const measuredDays = 15

// OfMeter sets the list beside the meter. ok is false for a home without a meter file.
func OfMeter(ctx context.Context, p *facts.Facts) (m Measured, ok bool, err error) {
	s := p.Site
	if s.Use == nil {
		return Measured{}, false, nil
	}
	m = Measured{Use: s.Use, WholeHome: len(s.OnBoard(loads.BoardMain)) == 0}
	all := s.OnBoard(loads.BoardBackup, loads.BoardMain)
	for i, month := range s.Use.Months {
		list := loads.NewSet(s.Phases, loads.InMonth(all, i+1)).Profile().HourlyW()
		if i+1 == p.Month {
			m.ListBaseW = slices.Min(list[:])
			m.UnlistedW = max(0, s.Use.BaseW-m.ListBaseW)
		}
		if month.Days > 0 {
			m.Months = append(m.Months, measuredMonth(i+1, month, list))
		}
	}
	if s.Use.WholeDays() == 0 {
		m.UnlistedW = 0
	}
	if w, seconds, known := s.Use.HighestDemandW(); known && s.Use.YearOfDemand() {
		r := MeasuredDemand{HighestW: w, DemandW: measuredFactor * w, LimitW: p.Inverter.DeratedW(), Seconds: seconds}
		r.Holds = r.DemandW <= r.LimitW*(1+verdict.Slack)
		m.Rule = &r
	}
	if m.WholeHome && !s.Use.NetOfSolar() {
		m.Autonomy, err = measuredAutonomy(ctx, p)
	}
	return m, true, err
}

func measuredMonth(month int, of meter.Month, list [24]float64) MeasuredMonth {
	out := MeasuredMonth{Month: month, Days: of.Days, MeasuredWh: of.WhPerDay, MeasuredHourW: of.HourW, ListHourW: list}
	for _, w := range list {
		out.ListWh += w
	}
	explained := 0.0
	for h := range list {
		if h >= meter.NightEndH && h < meter.NightStartH {
			continue
		}
		out.NightMeasuredWh += of.HourW[h]
		out.NightListWh += list[h]
		explained += min(of.HourW[h], list[h])
	}
	out.NightExplained = verdict.Share(explained, out.NightMeasuredWh)
	return out
}

// measuredAutonomy follows the bank through the measured days of the month.
func measuredAutonomy(ctx context.Context, p *facts.Facts) (*MeasuredAutonomy, error) {
	days := p.Site.Use.Days
	sc, err := p.Scenario(p.Site.Practice.EndOfLife)
	if err != nil {
		return nil, err
	}
	if sc.StartMin, err = worstMinute(p); err != nil {
		return nil, err
	}
	sc.Loads = nil
	out := MeasuredAutonomy{StartMin: sc.StartMin}
	var hours []float64
	for i, d := range days {
		if d.Month != p.Month || !d.Whole {
			continue
		}
		sc.BaseW = sc.BaseW[:0]
		n := 0
		for ; n < measuredDays && i+n < len(days) && days[i+n].Whole; n++ {
			for _, w := range days[i+n].HourW {
				sc.BaseW = append(sc.BaseW, slices.Repeat([]float64{w * (1 + p.Site.Practice.Growth)}, 60)...)
			}
		}
		known := n*24 - (sc.StartMin+59)/60 // whole hours that are measured from the start on
		if known < 1 {
			continue
		}
		a, err := outage.AutonomyOf(ctx, sc, known, 1)
		if err != nil {
			return nil, err
		}
		out.AtLeast = out.AtLeast || a.Capped
		hours = append(hours, a.EvenH)
	}
	if len(hours) == 0 {
		return nil, nil
	}
	slices.Sort(hours)
	out.Starts, out.LeastH, out.MedianH = len(hours), hours[0], hours[(len(hours)-1)/2]
	return &out, nil
}

// Of is one month; ok is false if the meter does not know it.
func (m *Measured) Of(month int) (MeasuredMonth, bool) {
	for _, x := range m.Months {
		if x.Month == month {
			return x, true
		}
	}
	return MeasuredMonth{}, false
}
