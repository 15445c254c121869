package record

import (
	"outlast/backup"
	"outlast/backup/calendar"
	"outlast/backup/study"
)

// levelJSON is one line of what stays on how long.
type levelJSON struct {
	Priority int     `json:"up_to_priority" doc:"loads of this priority and more important ones"`
	Loads    int     `json:"loads" doc:"how many"`
	Energy   float64 `json:"energy_wh_per_day"`
	Hours    float64 `json:"hours"`
	AtLeast  bool    `json:"at_least" doc:"hours is where the simulation was ended"`
	From     string  `json:"from"`
}

type shedJSON struct {
	WishedH float64    `json:"wished_h"`
	NowH    float64    `json:"now_h"`
	Reached bool       `json:"reached"`
	Drops   []dropJSON `json:"drops"`
}

type dropJSON struct {
	Load     string  `json:"load"`
	Circuit  string  `json:"circuit"`
	Priority int     `json:"priority"`
	Energy   float64 `json:"energy_wh_per_day"`
	Hours    float64 `json:"hours"`
	AtLeast  bool    `json:"at_least" doc:"hours is where the simulation was ended"`
}

func levelsJSON(p *backup.Plan) []levelJSON {
	out := []levelJSON{}
	list, err := study.Levels(p.Facts)
	if err != nil {
		return out
	}
	for _, l := range list {
		out = append(out, levelJSON{Priority: l.Priority, Loads: l.Loads, Energy: l.EnergyWhPerDay, Hours: l.Hours,
			AtLeast: l.Capped,
			From:    calendar.Moment(l.StartMin)})
	}
	return out
}

// shedToJSON is nil where nothing is asked.
func shedToJSON(p *backup.Plan, o Options) *shedJSON {
	hours := Wished(p, o.HoursWished)
	if hours == 0 {
		return nil
	}
	shed, err := study.Shed(p.Facts, hours)
	if err != nil {
		return nil
	}
	out := &shedJSON{WishedH: shed.WishedH, NowH: shed.NowH, Reached: shed.Reached, Drops: []dropJSON{}}
	for _, d := range shed.Drops {
		out.Drops = append(out.Drops, dropJSON{Load: d.Load, Circuit: d.CircuitID, Priority: d.Priority,
			Energy: d.EnergyWhPerDay, Hours: d.Hours, AtLeast: d.Capped})
	}
	return out
}

// Wished is the time for which loads are to be switched off: the one asked for, or, where the plan does not reach it,
// the outage's own. 0: nothing is to be told.
func Wished(p *backup.Plan, hours float64) float64 {
	if hours > 0 {
		return hours
	}
	if h, _, err := p.LeastAutonomy(); err == nil && h < p.Site.Outage.AutonomyH*(1-1e-9) {
		return p.Site.Outage.AutonomyH
	}
	return 0
}
