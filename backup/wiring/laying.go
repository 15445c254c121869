package wiring

import (
	"math"

	"outlast/backup/phrase"
	"outlast/backup/working"
)

// A Laying is a cable's surroundings: everything that decides how much current a size may carry.
type Laying struct {
	Tables Tables
	System System
	Method Method // IEC only; "" means InConduit for AC, OnWall for bank and array cables
	Strand Strand
	// InsulationC is what the insulation stands: 60, 75 or 90 under the US tables (0 means 75), 70 under the IEC tables
	// (0 means 70).
	InsulationC float64
	// TerminalC limits the current to that column of the US tables without correction: 60, 75 or 90, 0 means 75. Unused
	// with IEC.
	TerminalC float64
	AmbientC  float64 // air around the cable, -60 to 60; there is no default, 0 is freezing
	Grouped   int     // circuits bunched together, this one included, up to 20; 0 means 1
}

// An Ampacity is what one size may carry as it is laid.
//
// Sources: IEC 60364-5-52 Tables B.52.2, B.52.4, B.52.14, B.52.17; NEC Table 310.16 (2023) with its corrections,
// 240.4(D).
type Ampacity struct {
	TableA        float64 // of the table, in 30 C air, alone
	AmbientFactor float64
	GroupFactor   float64
	A             float64 // after both factors, and no more than the terminals allow
	// DeviceA is the most that a protective device may be rated for this reason alone: A, less where a rule for small
	// sizes says so.
	DeviceA float64
}

// place is a Laying with its defaults filled in and its two factors found, the same for all sizes.
type place struct {
	Laying
	ambient, group             factorRow
	ambientSource, groupSource working.Source
	column                     *iecColumn // nil for US
}

// place checks the laying; method stands for an empty Method.
func (l Laying) place(method Method) (place, error) {
	if err := firstError(l.Tables.check(), l.System.check(), l.Strand.check(l.Tables)); err != nil {
		return place{}, err
	}
	if l.Grouped == 0 {
		l.Grouped = 1
	}
	if err := within(phrase.Of("circuits grouped"), float64(l.Grouped), 1, maxGrouped, ""); err != nil {
		return place{}, err
	}
	p := place{Laying: l}
	if l.Tables == US {
		for _, c := range []*float64{&p.InsulationC, &p.TerminalC} {
			if *c == 0 {
				*c = defaultUSColumnC
			}
			if *c != 60 && *c != 75 && *c != 90 {
				return place{}, errs.Errorf("insulation or terminal %g C, want 60, 75 or 90 C", *c)
			}
		}
	} else {
		if p.Method == "" {
			p.Method = method
		}
		if p.column = iecColumnOf(p.Method, l.System.loaded()); p.column == nil {
			return place{}, errs.Errorf("method %q, want one of %q", string(l.Method),
				[]Method{CoresInConduit, InConduit, OnWall})
		}
		if p.InsulationC == 0 {
			p.InsulationC = iecInsulationC
		}
		if p.InsulationC != iecInsulationC {
			return place{}, errs.Errorf("insulation %g C, want %g C with the iec tables", l.InsulationC, iecInsulationC)
		}
	}
	var err error
	if p.ambient, p.ambientSource, err = ambientFactor(l.Tables, p.InsulationC, l.AmbientC); err != nil {
		return place{}, err
	}
	p.group, p.groupSource = groupFactor(l.Tables, l.Grouped, l.System.loaded())
	return p, nil
}

// ampacity says what the size of an index may carry; its working is of steps, since the search for a size throws most
// of them away.
func (p *place) ampacity(i int) Ampacity {
	a := Ampacity{AmbientFactor: p.ambient.factor, GroupFactor: p.group.factor}
	if p.Tables == US {
		a.TableA = usColumn(i, p.InsulationC)
		// The terminals' column is not corrected: it is about the heat of the joint (NEC 110.14(C)).
		a.A = min(a.TableA*a.AmbientFactor*a.GroupFactor, usColumn(i, p.TerminalC))
		a.DeviceA = min(a.A, smallConductor(p.Tables, i))
		return a
	}
	a.TableA = p.column.a[i]
	a.A = a.TableA * a.AmbientFactor * a.GroupFactor
	a.DeviceA = a.A
	return a
}

// tableSource cites where TableA stands.
func (p *place) tableSource(i int) working.Source {
	if p.Tables == US {
		return usSource(i, p.InsulationC)
	}
	return p.column.source(i)
}

// expr is what [place.ampacity] computes, and terminal the column that the terminals allow of a size.
func (p *place) expr(i int) (expr string, terminal []working.Input) {
	const product = "tabulated_a * ambient_factor * group_factor"
	if p.Tables != US {
		return product, nil
	}
	return "min(" + product + ", terminal_a)", []working.Input{working.Told("terminal_a", usColumn(i, p.TerminalC), "A",
		usSource(i, p.TerminalC).Phrase())}
}

// factors adds the two factors, which are the same for all sizes.
func (p *place) factors(w *working.Part) {
	w.Add(Step{Name: "ambient_factor", Title: phrase.Of("Ambient factor"),
		Inputs: []working.Input{in("ambient_c", p.AmbientC, "C"), in("insulation_c", p.InsulationC, "C")},
		Value:  p.ambient.factor, Sources: []working.Source{p.ambientSource}})
	w.Add(Step{Name: "group_factor", Title: phrase.Of("Grouping factor"),
		Inputs: []working.Input{in("grouped", float64(p.Grouped), ""),
			working.Told("loaded", float64(p.System.loaded()), "", p.System.word())},
		Value: p.group.factor, Sources: []working.Source{p.groupSource}})
}

// steps adds what a size carries. nextUp says that its device is the next standard rating above that.
func (p *place) steps(w *working.Part, i int, a Ampacity, nextUp bool) {
	size := sizes(p.Tables)[i]
	w.Add(Step{Name: "tabulated_a", Title: phrase.Of("Tabulated current"),
		Formula: phrase.Symbols("%s, %s", phrase.Measure(size.Name), p.System.word()),
		Value:   a.TableA, Unit: "A", Sources: []working.Source{p.tableSource(i)}})
	expr, terminal := p.expr(i)
	w.Add(Step{Name: "ampacity_a", Title: phrase.Of("Current-carrying capacity"), Expr: expr,
		Inputs: append([]working.Input{in("tabulated_a", a.TableA, "A"),
			in("ambient_factor", a.AmbientFactor, ""), in("group_factor", a.GroupFactor, "")}, terminal...),
		Value: a.A, Unit: "A"})
	small := smallConductor(p.Tables, i)
	switch title := phrase.Of("Largest protective device"); {
	case nextUp && a.DeviceA > a.A:
		next(w, "device_limit_a", title, "ampacity_a", p.Tables, Breaker, a.A, a.DeviceA)
		w.Steps[len(w.Steps)-1].Sources = append(w.Steps[len(w.Steps)-1].Sources,
			working.NEC.At(phrase.Name("240.4(B)"), working.Memory))
	case a.DeviceA < a.A:
		rule := working.NEC.At(phrase.Name("240.4(D)"), working.Quoted)
		w.Add(Step{Name: "device_limit_a", Title: title, Expr: "min(ampacity_a, small_conductor_a)",
			Inputs: []working.Input{in("ampacity_a", a.A, "A"),
				working.Told("small_conductor_a", small, "A", rule.Phrase())},
			Value: a.DeviceA, Unit: "A", Sources: []working.Source{rule}})
	}
}

// Heating of a copper conductor that gives off nothing: (k = 226 A s^0.5 / mm2, zero at -234.5 C).
var copperHeat = known(226, working.IECPart554.At(phrase.Of("%s, adiabatic heating of copper", working.InAnnex("A")),
	working.Memory))

// adiabaticK is what a conductor of 1 mm2 carries for 1 s while it heats up, A.
func adiabaticK(fromC, toC float64) float64 {
	return copperHeat.value * math.Sqrt(math.Log1p((toC-fromC)/(copperZeroC.value+fromC)))
}

// What the insulation stands at the end of a short circuit.
var (
	iecFaultC = known(160, working.IECPart443.At(phrase.Of("%s, PVC up to %s", working.InTable("43A"),
		phrase.Measure("300 mm2")),
		working.Memory))
	usFaultC = known(150, working.ICEA32.At(phrase.Of("thermoplastic"), working.Memory))
)

func (p *place) faultC() sourced {
	if p.Tables == US {
		return usFaultC
	}
	return iecFaultC
}

// oneSecondA is the current that heats the conductor by riseK within a second, from its full working temperature. For
// longer it is as much less as the root of the seconds is more, and never below what it may carry for ever.
func (p *place) oneSecondA(mm2, riseK float64) float64 {
	return mm2 * adiabaticK(p.InsulationC, p.InsulationC+riseK)
}
