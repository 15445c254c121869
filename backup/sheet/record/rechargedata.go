package record

import (
	"fmt"
	"math"

	"outlast/backup"
)

// rechargeJSON is one month in the JSON of a plan.
type rechargeJSON struct {
	Month       int      `json:"month"`
	LoadWh      float64  `json:"load_wh"`
	ArrayWh     float64  `json:"array_wh" doc:"of a mean day"`
	ArrayP10Wh  *float64 `json:"array_p10_wh" doc:"that 10 % of the days do not exceed"`
	ArrayP50Wh  *float64 `json:"array_p50_wh"`
	ArrayP90Wh  *float64 `json:"array_p90_wh"`
	Carries     bool     `json:"array_carries"`
	RefillDays  *float64 `json:"refill_days" doc:"in the middle of all cases"`
	RefillP10   *float64 `json:"refill_p10_days"`
	RefillP90   *float64 `json:"refill_p90_days"`
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
		sun := r.Draws > 0
		days := func(v float64) *float64 {
			if !sun {
				return nil
			}
			return finite(v)
		}
		out[m] = rechargeJSON{Month: m + 1, LoadWh: v.LoadWh, ArrayWh: v.ArrayWh,
			ArrayP10Wh: known(v.ArrayDays.P10, sun), ArrayP50Wh: known(v.ArrayDays.P50, sun),
			ArrayP90Wh: known(v.ArrayDays.P90, sun), Carries: v.Carries,
			RefillDays: days(v.RefillDays.P50), RefillP10: days(v.RefillDays.P10), RefillP90: days(v.RefillDays.P90),
			GeneratorH: known(v.GeneratorH, r.Generator),
			GeneratorL: known(v.GeneratorL, r.Generator), GeneratorOK: v.GeneratorOK}
	}
	return out
}

// recharge is the recharge in the list of figures.
func (w *figureRows) recharge(p *backup.Plan) {
	r, ok, err := p.Recharge()
	if err != nil || !ok {
		return
	}
	for m, v := range r.Months {
		item := fmt.Sprintf("%02d", m+1)
		w.number("recharge", item, "load_wh", v.LoadWh, "Wh")
		w.number("recharge", item, "array_wh", v.ArrayWh, "Wh")
		if r.Draws > 0 {
			w.number("recharge", item, "array_p10_wh", v.ArrayDays.P10, "Wh")
			w.number("recharge", item, "array_p50_wh", v.ArrayDays.P50, "Wh")
			w.number("recharge", item, "array_p90_wh", v.ArrayDays.P90, "Wh")
			for _, d := range []struct {
				name string
				v    float64
			}{{"refill_p10_days", v.RefillDays.P10}, {"refill_p50_days", v.RefillDays.P50},
				{"refill_p90_days", v.RefillDays.P90}} {
				if !math.IsInf(d.v, 1) {
					w.number("recharge", item, d.name, d.v, "d")
				}
			}
		}
		if r.Generator {
			w.number("recharge", item, "generator_h", v.GeneratorH, "h")
			w.number("recharge", item, "generator_l", v.GeneratorL, "l")
		}
	}
}
