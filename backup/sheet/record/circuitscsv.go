package record

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"outlast/backup"
	"outlast/backup/study"
	"outlast/backup/verdict"
)

// The rows of a plan's list that tell of the circuits, of what stays on how long, and of what the plan depends on.

func (w *figureRows) circuits(p *backup.Plan) {
	for _, c := range circuitsMovedJSON(p) {
		w.text("circuit", c.ID, "label", c.Label, "")
		w.text("circuit", c.ID, "board", c.Board, "")
		way := ""
		if c.Way != nil {
			way = strconv.Itoa(*c.Way)
		}
		w.text("circuit", c.ID, "way", way, "")
		w.text("circuit", c.ID, "phase", PhaseText(c.Phase, c.AnyPhase && c.Way == nil).String(), "")
		w.number("circuit", c.ID, "breaker_a", orNaN(c.BreakerA, c.BreakerA > 0), "A")
		if c.Assumed {
			w.text("circuit", c.ID, "assumed", "true", "")
		}
		w.text("circuit", c.ID, "loads", strings.Join(c.Loads, "; "), "")
		w.number("circuit", c.ID, "running_w", c.RunningW, "W")
		w.number("circuit", c.ID, "starting_va", c.StartingVA, "VA")
		w.number("circuit", c.ID, "energy_wh_per_day", c.Energy, "Wh")
		w.number("circuit", c.ID, "share_of_day", 100*orEmpty(c.Share), "%")
		w.number("circuit", c.ID, "moved_h", orEmpty(c.MovedH), "h")
		w.text("circuit", c.ID, "reason", c.Reason, "")
	}
	if b := p.Balancing(); b != nil {
		w.text("balancing", "", "suggestion", b.Text(Labels(p)).String(), "")
	}
}

func (w *figureRows) stayOn(p *backup.Plan, o Options) {
	for _, l := range levelsJSON(p) {
		w.number("stays on", fmt.Sprintf("up to priority %d", l.Priority), "hours", l.Hours, "h")
	}
	if shed := shedToJSON(p, o); shed != nil {
		w.number("shedding", "", "wished_h", shed.WishedH, "h")
		w.number("shedding", "", "now_h", shed.NowH, "h")
		for i, d := range shed.Drops {
			w.number("shedding", fmt.Sprintf("%d %s", i+1, d.Load), "hours", d.Hours, "h")
		}
	}
}

// orEmpty is a number where there is one; [Decimal] leaves the place of the other empty.
func orEmpty(v *float64) float64 {
	if v == nil {
		return math.NaN()
	}
	return *v
}

func (w *figureRows) sensitivity(p *backup.Plan) {
	list, err := study.Sensitivity(p.Facts)
	if err != nil {
		w.text("sensitivity", "", "error", err.Error(), "")
		return
	}
	for _, f := range list {
		item := f.Input.String() + " " + f.Step.String()
		w.number("sensitivity", item, "change_h", f.ChangeH, "h")
		if f.Check != "" {
			w.text("sensitivity", item, "check", f.Check, "")
			times, unit := 100.0, "%"
			if c := slices.IndexFunc(p.Checks, func(c verdict.Check) bool { return c.ID == f.Check }); c >= 0 &&
				p.Checks[c].Unit == "C" {
				times, unit = 1, "K"
			}
			w.number("sensitivity", item, "margin_was", times*f.MarginWas, unit)
			w.number("sensitivity", item, "margin_is", times*f.MarginIs, unit)
		}
		w.text("sensitivity", item, "fails", strings.Join(f.Fails, ", "), "")
	}
}
