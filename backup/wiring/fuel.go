package wiring

import (
	"slices"

	"outlast/backup/phrase"
	"outlast/backup/working"
)

// A fuelRow is one set of the chart; its columns are the loads 0.25, 0.5, 0.75 and 1.
type fuelRow struct {
	kW  float64
	lph [4]float64
}

// fuelChart: diesel consumption of generator sets, L/h at quarter, half, three-quarter and full load; 0 where the chart
// has no figure. Published charts in litres and, for 10, 15 and 60 kW, in US gallons as another page quotes them (times
// 3.78541). A second copy prints 2.7 L/h for 20 kW at a quarter.
var fuelChart = []fuelRow{
	{8, [4]float64{0, 1.48, 2.05, 2.61}},
	{10, [4]float64{0, 0.53 * litresPerGallon, 0.65 * litresPerGallon, 0.88 * litresPerGallon}},
	{15, [4]float64{0, 0.69 * litresPerGallon, 0.94 * litresPerGallon, 1.22 * litresPerGallon}},
	{20, [4]float64{2.3, 3.4, 4.9, 6.1}},
	{30, [4]float64{4.9, 6.8, 9.1, 11.0}},
	{40, [4]float64{6.1, 8.7, 12.1, 15.1}},
	{60, [4]float64{1.8 * litresPerGallon, 2.9 * litresPerGallon, 3.8 * litresPerGallon, 4.8 * litresPerGallon}},
	{75, [4]float64{9.1, 12.9, 17.4, 23.1}},
	{100, [4]float64{9.8, 15.5, 22.0, 28.0}},
}

// FuelCharts is the chart of diesel sets: their ratings, the loads of its columns, and for each rating the L/h at each
// load; 0 where the chart has no figure.
func FuelCharts() (setKW, loads []float64, flows [][]float64) {
	for i := range fuelChart[0].lph {
		loads = append(loads, columnLoad(i))
	}
	for _, r := range fuelChart {
		setKW, flows = append(setKW, r.kW), append(flows, slices.Clone(r.lph[:]))
	}
	return setKW, loads, flows
}

// LeastChartKW is the least rating that [FuelChart] takes.
const LeastChartKW = 0.1

const litresPerGallon = 3.78541 // US gallon

var fittedLine = working.From(phrase.Of("straight-line fit to the 20 kW row of the published charts"), working.Read)

// fuelLine: straight line through the 20 kW row, L/h per rated kW and per kW of output.
var fuelLine = struct{ perRatedKW, perOutputKW sourced }{
	known(0.0473, fittedLine),
	known(0.2574, fittedLine),
}

// FuelLine is the straight-line estimate of a diesel set's consumption in L/h: 0.0473 per rated kW and 0.2574 per kW of
// output. Both 0 to 100,000 kW; output at most the rating.
func FuelLine(ratedKW, outputKW float64) (float64, error) {
	if err := fuelRange(ratedKW, outputKW); err != nil {
		return 0, err
	}
	return fuelLine.perRatedKW.value*ratedKW + fuelLine.perOutputKW.value*outputKW, nil
}

// FuelChart reads a diesel set's consumption in L/h from the published chart; ratedKW 0.1 to 100,000, outputKW up to
// it.
//
// Between loads and between ratings it is read in straight lines. Below the first load of a row the flow is held: an
// engine that idles burns more per kWh, and the chart does not say how much. A rating outside 8 to 100 kW takes the
// flow per kW of the nearest row. The chart is of diesel sets: petrol sets burn more. Use it only where the maker gives
// no figure.
func FuelChart(ratedKW, outputKW float64) (float64, error) {
	if err := fuelRange(ratedKW, outputKW); err != nil {
		return 0, err
	}
	load := outputKW / ratedKW
	first, last := fuelChart[0], fuelChart[len(fuelChart)-1]
	var lph float64
	switch {
	case ratedKW <= first.kW:
		lph = first.flow(load) * (ratedKW / first.kW)
	case ratedKW >= last.kW:
		lph = last.flow(load) * (ratedKW / last.kW)
	default:
		i := slices.IndexFunc(fuelChart, func(r fuelRow) bool { return r.kW >= ratedKW })
		a, b := fuelChart[i-1], fuelChart[i]
		w := (ratedKW - a.kW) / (b.kW - a.kW)
		lph = (1-w)*a.flow(load) + w*b.flow(load)
	}
	return lph, nil
}

// typicalFuel: L/h per rated kW of small sets that burn no diesel, at quarter, half, three-quarter and full load: no less
// than any class of the catalog. Gas is counted in litres of liquid gas. Common practice (MEM): about half a litre of
// petrol for a kWh near full load, and near one at a quarter.
var typicalFuel = map[string][4]float64{
	"petrol": {0.235, 0.335, 0.45, 0.57},
	"gas":    {0.30, 0.43, 0.57, 0.71},
}

// TypicalFuel is what a small set burns that runs on petrol or gas: L/h per rated kW by load. A fuel that is not known
// is taken as petrol; of diesel there is a chart, see [FuelChart].
func TypicalFuel(fuel string) (loads, perRatedKW []float64, ok bool) {
	if fuel == "" {
		fuel = "petrol"
	}
	flows, ok := typicalFuel[fuel]
	for i, flow := range flows {
		loads, perRatedKW = append(loads, columnLoad(i)), append(perRatedKW, flow)
	}
	return loads, perRatedKW, ok
}

// chartSteps adds how the chart is read: of each of the sets beside the rating, the flows at the loads beside the
// output, and straight lines between them.
func chartSteps(w *working.Part, ratedKW, outputKW, lph float64) {
	chart := working.From(phrase.Of("published diesel consumption charts"), working.Read)
	load := in("load", outputKW/ratedKW, "")
	w.Add(Step{Name: "load", Title: phrase.Of("Load of the generator"), Expr: "output_kw / rated_kw",
		Inputs: []working.Input{
			in("output_kw", outputKW, "kW"), in("rated_kw", ratedKW, "kW")}, Value: load.Value})
	rows, expr := setsAround(ratedKW), "last(flow_l_h) / last(set_kw) * rated_kw"
	if len(rows) == 2 {
		expr = "first(flow_l_h) + (last(flow_l_h) - first(flow_l_h)) * (rated_kw - first(set_kw)) / (last(set_kw) - first(set_kw))"
	}
	table := &working.Table{Columns: []working.Column{{Name: "set_kw", Unit: "kW"},
		{Name: "load_below"}, {Name: "flow_below_l_h", Unit: "L/h"}, {Name: "load_above"},
		{Name: "flow_above_l_h", Unit: "L/h"},
		{Name: "flow_l_h", Unit: "L/h",
			Expr: "flow_below_l_h + (flow_above_l_h - flow_below_l_h) * max(0, load - load_below) / (load_above - load_below)"}}}
	for _, r := range rows {
		below, above := r.around(load.Value)
		table.Rows = append(table.Rows, working.Row{Label: phrase.Symbols("%s", phrase.Amount{Value: r.kW, Unit: "kW"}),
			Values: []float64{r.kW, columnLoad(below), r.lph[below], columnLoad(above), r.lph[above],
				r.flow(load.Value)}})
	}
	w.Add(Step{Name: "flow_l_h", Title: phrase.Of("Fuel consumption"), Formula: phrase.Of("chart at rating and load"),
		Expr: expr, Table: table,
		Inputs: []working.Input{in("rated_kw", ratedKW, "kW"), load}, Value: lph, Unit: "L/h",
		Sources: []working.Source{chart}})
}

// setsAround are the sets of the chart beside a rating: one beyond its ends.
func setsAround(ratedKW float64) []fuelRow {
	last := len(fuelChart) - 1
	switch {
	case ratedKW <= fuelChart[0].kW:
		return fuelChart[:1]
	case ratedKW >= fuelChart[last].kW:
		return fuelChart[last:]
	}
	i := slices.IndexFunc(fuelChart, func(r fuelRow) bool { return r.kW >= ratedKW })
	return fuelChart[i-1 : i+1]
}

// columnLoad is the load of a column.
func columnLoad(i int) float64 { return float64(i+1) / 4 }

func fuelRange(ratedKW, outputKW float64) error {
	return firstError(within(phrase.Of("rated power"), ratedKW, LeastChartKW, 1e5, "kW"),
		within(phrase.Of("output"), outputKW, 0, ratedKW, "kW"))
}

// around gives the columns between which a load lies: the first two that have a figure where it is less.
func (r *fuelRow) around(load float64) (below, above int) {
	first := slices.IndexFunc(r.lph[:], func(lph float64) bool { return lph > 0 })
	below = max(first, min(int(4*load-1), len(r.lph)-2))
	return below, below + 1
}

// flow reads the row at a load of 0 to 1, L/h; below its first load the flow is held.
func (r *fuelRow) flow(load float64) float64 {
	below, above := r.around(load)
	w := max(0, 4*load-1-float64(below))
	return (1-w)*r.lph[below] + w*r.lph[above]
}

// TankH is how many hours a tank of tankL (0 to 1e7) lasts at a flow of lph (above 0, at most 1e6).
func TankH(tankL, lph float64) (float64, error) {
	if err := firstError(within(phrase.Of("tank"), tankL, 0, 1e7, "L"),
		within(phrase.Of("flow"), lph, 1e-3, 1e6, "L/h")); err != nil {
		return 0, err
	}
	return tankL / lph, nil
}
