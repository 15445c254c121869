package record

import (
	"outlast/backup"
	"outlast/backup/phrase"
	"outlast/backup/study"
)

// circJSON is one circuit. Its phase is the one that was picked where the file leaves it open; on the main board, where
// nobody picked one, it is 1 and any_phase is true.
type circJSON struct {
	ID         string   `json:"id"`
	Label      string   `json:"label"`
	Board      string   `json:"board"`
	Way        *int     `json:"way" doc:"null on the main board"`
	Phase      int      `json:"phase" doc:"0: all"`
	AnyPhase   bool     `json:"any_phase" doc:"the file gives no phase: the planner picked it; on the main board of several phases nobody did"`
	Assumed    bool     `json:"assumed" doc:"by the planner: the site file names no circuit for its load"`
	BreakerA   float64  `json:"breaker_a"`
	RunningW   float64  `json:"running_w"`
	StartingVA float64  `json:"starting_va"`
	Energy     float64  `json:"energy_wh_per_day"`
	Share      *float64 `json:"share_of_day" doc:"of the backup board's energy; null on the main board"`
	Priority   int      `json:"priority" doc:"of its most important load; 1 must stay on"`
	Loads      []string `json:"loads"`
	Reason     string   `json:"reason"`
}

// circMovedJSON is a circuit, and what it costs.
type circMovedJSON struct {
	circJSON
	MovedH  *float64 `json:"moved_h" doc:"hours of autonomy gained (or lost) on the other board; null: not known"`
	AtLeast bool     `json:"moved_at_least" doc:"moved_h is a lower bound"`
}

func circuitsMovedJSON(p *backup.Plan) []circMovedJSON {
	moves, err := study.Moves(p.Facts)
	if err != nil {
		moves = nil
	}
	out := []circMovedJSON{}
	for _, c := range circuitsJSON(p) {
		js := circMovedJSON{circJSON: c}
		if m, ok := moves[c.ID]; ok {
			js.MovedH, js.AtLeast = known(m.Hours, true), m.Capped
		}
		out = append(out, js)
	}
	return out
}

func circuitsJSON(p *backup.Plan) []circJSON {
	out := []circJSON{}
	for _, c := range p.Circuits {
		js := circJSON{ID: c.ID, Label: c.Label, Board: board(c), Phase: c.Phase, AnyPhase: c.AnyPhase,
			Assumed: c.Assumed, BreakerA: c.BreakerA, RunningW: c.Running.W,
			StartingVA: c.StartingVA, Energy: c.EnergyWhPerDay, Priority: c.Priority, Loads: []string{},
			Reason: c.Reason().String()}
		if c.OnBackup {
			js.Way = &c.Way
			if all := p.Demand.EnergyWhPerDay; all > 0 {
				js.Share = known(c.EnergyWhPerDay/all, true)
			}
		}
		for _, l := range c.Loads {
			js.Loads = append(js.Loads, l.Name)
		}
		out = append(out, js)
	}
	return out
}

// splitJSON is how the circuits were decided that the file leaves to the planner.
type splitJSON struct {
	Proven  bool          `json:"proven" doc:"no split is better"`
	Checked int           `json:"checked" doc:"splits that were worked through"`
	Served  []int         `json:"served" doc:"loads by priority 1 to 5 on the circuits that may go on either board"`
	Of      []int         `json:"of" doc:"as served, of all loads"`
	Picked  []string      `json:"phases_picked"`
	LeftOut []leftOutJSON `json:"left_out"`
}

type leftOutJSON struct {
	ID        string   `json:"id"`
	Why       string   `json:"why"`
	Check     string   `json:"check" doc:"that keeps it on the main board"`
	By        float64  `json:"by" doc:"how much is lacking, in unit"`
	Unit      string   `json:"unit"`
	InPlaceOf []string `json:"in_place_of"`
	Helps     []string `json:"helps"`
}

// splitToJSON is nil where there was nothing to decide.
func splitToJSON(p *backup.Plan) *splitJSON {
	a := p.Allocation
	if a == nil {
		return nil
	}
	out := &splitJSON{Proven: a.Proven, Checked: a.Checked, Served: a.Served, Of: a.Of,
		Picked: append([]string{}, a.Picked...), LeftOut: []leftOutJSON{}}
	for _, o := range a.LeftOut() {
		out.LeftOut = append(out.LeftOut, leftOutJSON{ID: o.ID, Why: string(o.Why), Check: o.Check, By: o.By,
			Unit:      o.Unit,
			InPlaceOf: append([]string{}, o.InPlaceOf...), Helps: phrase.Strings(o.Helps)})
	}
	return out
}

// balanceJSON is a suggestion for the phases.
type balanceJSON struct {
	Before float64    `json:"before" doc:"imbalance: the largest phase less the smallest, over the mean"`
	After  float64    `json:"after"`
	Best   bool       `json:"best" doc:"no other arrangement with as few moves is more even"`
	Moves  []moveJSON `json:"moves"`
}

type moveJSON struct {
	ID   string `json:"id"`
	From int    `json:"from"`
	To   int    `json:"to"`
}

// balanceToJSON is nil where nothing is suggested.
func balanceToJSON(p *backup.Plan) *balanceJSON {
	b := p.Balancing()
	if b == nil {
		return nil
	}
	out := &balanceJSON{Before: b.Before, After: b.After, Best: b.Best}
	for _, m := range b.Moves {
		out.Moves = append(out.Moves, moveJSON(m))
	}
	return out
}
