package generator

import (
	"outlast/backup/outage"
	"outlast/backup/phrase"
	"outlast/backup/site"
	"outlast/backup/wiring"
	"outlast/backup/working"
)

// FuelFrom is where the fuel of a generator is known from.
type FuelFrom int

// Where it is known from, best first.
const (
	FuelOfSheet FuelFrom = iota // fuel_l_per_h of the site file or the catalog
	FuelOfChart                 // published charts of diesel sets
	FuelOfKind                  // typical of small sets that burn petrol or gas
)

// FuelByChart says whether its fuel is read off the chart of diesel sets.
func (g *Plan) FuelByChart() bool { return g.FuelFrom == FuelOfChart }

// FuelByKind says whether its fuel is what is typical of sets that burn the same.
func (g *Plan) FuelByKind() bool { return g.FuelFrom == FuelOfKind }

// Fuel is what the generator burns by load: as its data sheet says or, without one, as is published or typical of its fuel.
// Below the first load the flow is held, as nobody says how much less an idling engine burns; beyond the last the line
// is drawn on.
func Fuel(g *site.Generator) (points []outage.FuelPoint, from FuelFrom) {
	ratedKW := g.RatedVA * g.PowerFactor / 1000
	for _, f := range g.FuelLPerH {
		points = append(points, outage.FuelPoint{Load: f.Load, LPerH: f.LPerH})
	}
	if len(points) == 0 {
		if loads, perKW, ok := wiring.TypicalFuel(g.Fuel); ok {
			from = FuelOfKind
			for i, load := range loads {
				points = append(points, outage.FuelPoint{Load: load, LPerH: perKW[i] * ratedKW})
			}
		} else {
			from = FuelOfChart
			for load := 0.25; load <= 1; load += 0.25 {
				lPerH, err := wiring.FuelChart(ratedKW, load*ratedKW)
				if err != nil { // smaller than any chart
					return outage.DefaultFuel(1000 * ratedKW), from
				}
				points = append(points, outage.FuelPoint{Load: load, LPerH: lPerH})
			}
		}
	}
	if first := points[0]; first.Load > 0 {
		points = append([]outage.FuelPoint{{Load: 0, LPerH: first.LPerH}}, points...)
	}
	return points, from
}

// FuelCaution is what the reader is told of fuel that the data sheet does not give; empty where there is nothing to say.
func FuelCaution(g *site.Generator) phrase.Phrase {
	if _, from := Fuel(g); from != FuelOfKind {
		return phrase.Phrase{}
	}
	switch g.Fuel {
	case "":
		return phrase.Of("Generator: nothing says what it burns: fuel is counted as of small petrol sets, the safe side; " +
			"give fuel, and fuel_l_per_h from its data sheet.")
	case "gas":
		return phrase.Of("Generator: fuel is counted as is typical of small gas sets, in litres of liquid gas; " +
			"give fuel_l_per_h from its data sheet.")
	default:
		return phrase.Of("Generator: fuel is counted as is typical of small petrol sets; give fuel_l_per_h from its data sheet.")
	}
}

// fuelStep adds how the fuel is read off points: straight lines between them.
func fuelStep(p *working.Part, gen *site.Generator, meanW, lPerH float64) {
	points, from := Fuel(gen)
	ratedKW := gen.RatedVA * gen.PowerFactor / 1000
	load := meanW / 1000 / ratedKW
	p.Add(wiring.Step{Name: "load", Title: phrase.Of("Load of the generator"),
		Expr: "output_kw / rated_kw", Inputs: []working.Input{in("output_kw", meanW/1000, "kW"),
			in("rated_kw", ratedKW, "kW")}, Value: load})
	s := wiring.Step{Name: "flow_l_h", Title: phrase.Of("Fuel consumption"), Value: lPerH, Unit: "L/h",
		Sources: []working.Source{working.From(phrase.Of("data sheet"), working.Definition)}}
	flow, unit, per := "_l_h", "L/h", 1.0
	if from == FuelOfKind {
		s.Formula = phrase.Of("typical of small sets with this fuel")
		s.Sources = []working.Source{working.Plainly(phrase.Of("common practice"), working.Practice)}
		flow, unit, per = "_l_h_per_kw", "L/h", ratedKW
	}
	point := func(name string, at outage.FuelPoint) {
		for _, of := range []working.Input{in("load_"+name, at.Load, ""), in("flow_"+name+flow, at.LPerH/per, unit)} {
			if from == FuelOfSheet && (of.Value != 0 || gen.FuelLPerH[0].Load == 0) { // else held below the first load
				of.From = key("generator", "fuel_l_per_h")
			}
			s.Inputs = append(s.Inputs, of)
		}
	}
	times := ""
	if from == FuelOfKind {
		times = " * rated_kw"
		s.Inputs = append(s.Inputs, in("rated_kw", ratedKW, "kW"))
	}
	if len(points) == 1 {
		s.Expr = "flow_below" + flow + times
		point("below", points[0])
		p.Add(s)
		return
	}
	i := 1
	for i < len(points)-1 && load > points[i].Load {
		i++
	}
	below, above := "flow_below"+flow, "flow_above"+flow
	s.Expr = "max(0, " + below + " + (" + above + " - " + below + ") * (load - load_below) / (load_above - load_below))" + times
	point("below", points[i-1])
	point("above", points[i])
	s.Inputs = append(s.Inputs, in("load", load, ""))
	p.Add(s)
}
