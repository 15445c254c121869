package sheet

import (
	"fmt"
	"math"

	"outlast/backup"
)

// rechargeSection is what refills the bank, by month; ok is false where nothing does.
func rechargeSection(p *backup.Plan) (s section, ok bool) {
	r, ok, err := p.Recharge()
	s = section{title: "Recharge in an outage, a mean day of each month"}
	if err != nil {
		s.lines = []string{"It cannot be worked out: " + Clean(err.Error())}
		return s, true
	}
	if !ok {
		return s, false
	}
	array := len(p.Site.Arrays) > 0
	s.table = table{[]string{"Month", "Bank gives Wh"}, []bool{false, true}, nil}
	if array {
		s.table.head, s.table.right = append(s.table.head, "Array Wh", "Carries", "Refill days"), append(s.table.right, true, false, true)
	}
	if r.Generator {
		s.table.head, s.table.right = append(s.table.head, "Engine h", "Fuel l"), append(s.table.right, true, true)
	}
	for m, month := range r.Months {
		carries, refill := "no", "-"
		if month.Carries {
			carries = "yes"
		}
		if !math.IsInf(month.RefillDays, 1) {
			refill = tenth(month.RefillDays)
		}
		row := []string{monthShort[m], whole(month.LoadWh)}
		if array {
			row = append(row, whole(month.ArrayWh), carries, refill)
		}
		if r.Generator {
			h, l := tenth(month.GeneratorH), tenth(month.GeneratorL)
			if !month.GeneratorOK {
				h, l = "too weak", "-"
			}
			row = append(row, h, l)
		}
		s.table.rows = append(s.table.rows, row)
	}
	if array {
		s.lines = append(s.lines, "Carries: the array covers the day by itself. Refill: days of sun until the emptied bank is full again while the loads run on.")
	}
	if r.Generator {
		s.lines = append(s.lines, "Engine and fuel: hours and litres a day of the generator, for what nothing else covers.")
	}
	for _, c := range r.Cautions {
		s.lines = append(s.lines, Clean(c))
	}
	return s, true
}

// rechargeJSON is one month in the JSON of a plan.
type rechargeJSON struct {
	Month       int      `json:"month"`
	LoadWh      float64  `json:"load_wh"`
	ArrayWh     float64  `json:"array_wh"`
	Carries     bool     `json:"array_carries"`
	RefillDays  *float64 `json:"refill_days"`
	GeneratorH  *float64 `json:"generator_h"`
	GeneratorL  *float64 `json:"generator_l"`
	GeneratorOK bool     `json:"generator_carries"`
}

func rechargeToJSON(p *backup.Plan) []rechargeJSON {
	r, ok, err := p.Recharge()
	if err != nil || !ok {
		return nil
	}
	out := make([]rechargeJSON, len(r.Months))
	for m, v := range r.Months {
		out[m] = rechargeJSON{m + 1, v.LoadWh, v.ArrayWh, v.Carries, finite(v.RefillDays), known(v.GeneratorH, r.Generator), known(v.GeneratorL, r.Generator), v.GeneratorOK}
	}
	return out
}

// rechargeRows is the recharge in the list of figures.
func rechargeRows(p *backup.Plan, number func(section, item, name string, v float64, unit string)) {
	r, ok, err := p.Recharge()
	if err != nil || !ok {
		return
	}
	for m, v := range r.Months {
		item := fmt.Sprintf("%02d", m+1)
		number("recharge", item, "load_wh", v.LoadWh, "Wh")
		number("recharge", item, "array_wh", v.ArrayWh, "Wh")
		if r.Generator {
			number("recharge", item, "generator_h", v.GeneratorH, "h")
			number("recharge", item, "generator_l", v.GeneratorL, "l")
		}
	}
}
