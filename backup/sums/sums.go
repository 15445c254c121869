// Package sums lays out what adds up to a power, load by load, for a reader who wants to add it up himself.
package sums

import (
	"math"

	"outlast/backup/phrase"
	"outlast/backup/working"
	"outlast/loads"
)

// Table is the loads that add up to a power; nil where nothing does. Reactive powers stand in it where they count:
// columns are then w and var, else w. A weight, if there is one, counts each load so many times.
func Table(list []loads.Load, parts []loads.Part, apparent bool, weight func(loads.Load) float64) *working.Table {
	if len(parts) == 0 {
		return nil
	}
	spread := false
	for _, part := range parts {
		spread = spread || part.Share != 1
	}
	t := &working.Table{Columns: []working.Column{{Name: "units"}, {Name: "running_w", Unit: "W"}}}
	expr := "units * running_w"
	if spread {
		t.Columns = append(t.Columns, working.Column{Name: "share", Title: phrase.Of("of it on this phase")})
		expr += " * share"
	}
	if weight != nil {
		t.Columns = append(t.Columns, working.Column{Name: "weight", Title: phrase.Of("how often it counts")})
		expr += " * weight"
	}
	if apparent {
		t.Columns = append(t.Columns, working.Column{Name: "power_factor"})
	}
	t.Columns = append(t.Columns, working.Column{Name: "w", Unit: "W", Expr: expr})
	if apparent {
		t.Columns = append(t.Columns, working.Column{Name: "var", Unit: "var",
			Expr: "w * sqrt(1 - power_factor^2) / power_factor"})
	}
	for _, part := range parts {
		l := list[part.Index]
		row := []float64{float64(part.Units), l.RunningW}
		watts := float64(part.Units) * l.RunningW * part.Share
		if spread {
			row = append(row, part.Share)
		}
		if weight != nil {
			row = append(row, weight(l))
			watts *= weight(l)
		}
		pf := PowerFactor(l.PowerFactor)
		if apparent {
			row = append(row, pf)
		}
		if row = append(row, watts); apparent {
			row = append(row, Reactive(watts, pf))
		}
		t.Rows = append(t.Rows, working.Row{Label: phrase.Name(l.Name), Values: row})
	}
	return t
}

// PowerFactor is that of a load; one that is not given counts as 1.
func PowerFactor(pf float64) float64 {
	if pf == 0 {
		return 1
	}
	return pf
}

// Reactive is the reactive power of watts, var.
func Reactive(watts, pf float64) float64 { return watts * math.Sqrt(max(0, 1-pf*pf)) / pf }
