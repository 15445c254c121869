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

func circuitRows(p *backup.Plan, text func(section, item, name, value, unit string),
	number func(section, item, name string, v float64, unit string)) {
	for _, c := range circuitsMovedJSON(p) {
		text("circuit", c.ID, "label", c.Label, "")
		text("circuit", c.ID, "board", c.Board, "")
		way := ""
		if c.Way != nil {
			way = strconv.Itoa(*c.Way)
		}
		text("circuit", c.ID, "way", way, "")
		text("circuit", c.ID, "phase", PhaseText(c.Phase, c.AnyPhase && c.Way == nil).String(), "")
		number("circuit", c.ID, "breaker_a", orNaN(c.BreakerA, c.BreakerA > 0), "A")
		if c.Assumed {
			text("circuit", c.ID, "assumed", "true", "")
		}
		text("circuit", c.ID, "loads", strings.Join(c.Loads, "; "), "")
		number("circuit", c.ID, "running_w", c.RunningW, "W")
		number("circuit", c.ID, "starting_va", c.StartingVA, "VA")
		number("circuit", c.ID, "energy_wh_per_day", c.Energy, "Wh")
		number("circuit", c.ID, "share_of_day", 100*orEmpty(c.Share), "%")
		number("circuit", c.ID, "moved_h", orEmpty(c.MovedH), "h")
		text("circuit", c.ID, "reason", c.Reason, "")
	}
	if b := p.Balancing; b != nil {
		text("balancing", "", "suggestion", b.Text(Labels(p)).String(), "")
	}
}

func stayOnRows(p *backup.Plan, o Options, number func(section, item, name string, v float64, unit string)) {
	for _, l := range levelsJSON(p) {
		number("stays on", fmt.Sprintf("up to priority %d", l.Priority), "hours", l.Hours, "h")
	}
	if shed := shedToJSON(p, o); shed != nil {
		number("shedding", "", "wished_h", shed.WishedH, "h")
		number("shedding", "", "now_h", shed.NowH, "h")
		for i, d := range shed.Drops {
			number("shedding", fmt.Sprintf("%d %s", i+1, d.Load), "hours", d.Hours, "h")
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

func sensitivityRows(p *backup.Plan, text func(section, item, name, value, unit string),
	number func(section, item, name string, v float64, unit string)) {
	list, err := study.Sensitivity(p.Facts)
	if err != nil {
		text("sensitivity", "", "error", err.Error(), "")
		return
	}
	for _, f := range list {
		item := f.Input.String() + " " + f.Step.String()
		number("sensitivity", item, "change_h", f.ChangeH, "h")
		if f.Check != "" {
			text("sensitivity", item, "check", f.Check, "")
			times, unit := 100.0, "%"
			if c := slices.IndexFunc(p.Checks, func(c verdict.Check) bool { return c.ID == f.Check }); c >= 0 &&
				p.Checks[c].Unit == "C" {
				times, unit = 1, "K"
			}
			number("sensitivity", item, "margin_was", times*f.MarginWas, unit)
			number("sensitivity", item, "margin_is", times*f.MarginIs, unit)
		}
		text("sensitivity", item, "fails", strings.Join(f.Fails, ", "), "")
	}
}
