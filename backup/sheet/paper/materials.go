package paper

import (
	"cmp"
	"fmt"
	"slices"

	"outlast/backup/facts"
	"outlast/backup/sheet/paper/doc"
	"outlast/backup/sheet/paper/findings"
	"outlast/backup/sheet/speech"
)

// materialTable is what is bought or made for the plan: equipment, boards, conductors with their lengths, devices with
// their ratings. What is not chosen stands there too, with what it must have.
func (r *report) materialTable() *doc.Table {
	p := r.Plan
	t := &doc.Table{ID: "materials", Caption: r.Say("materials.caption"), Note: r.Say("materials.note"),
		Columns: []doc.Column{
			doc.Head(r.Say("col.item")), doc.Right(r.Say("col.pieces"), ""), doc.Tight(r.Say("col.unit")),
			{Head: r.Say("col.rating"), Whole: true}, doc.Head(r.Say("col.mark")), doc.Head(r.Say("col.for")),
		}}
	group := ""
	add := func(what string, count doc.Cell, unit, rating, mark, use string) {
		t.Rows = append(t.Rows, doc.Row{Group: group, Cells: []doc.Cell{doc.Plain(what), count, doc.Plain(unit),
			doc.Plain(rating), doc.Plain(mark), doc.Plain(use)}})
		group = ""
	}
	pieces := func(n int) doc.Cell { return r.Num(float64(n), 0) }
	each := r.Say("materials.pieces")

	group = r.Say("materials.equipment")
	inv, bank := p.Inverter.Unit, p.Bank
	add(r.itemNamed(inv.ID, inv.Label, r.Say("group.inverter")), pieces(p.Inverter.Count), each,
		r.Amount(inv.RatedVA, "VA")+", "+r.Amount(inv.NominalDCV, "V"), "", r.Say("group.inverter"))
	add(r.itemNamed(bank.Unit.ID, bank.Unit.Label, r.Say("group.bank")), pieces(bank.Units()), each,
		r.Amount(bank.Unit.NominalV, "V")+", "+r.Amount(bank.Unit.RatedAh, "Ah"), "", r.Say("group.bank"))
	for i, a := range p.Site.Arrays {
		add(r.itemNamed(a.Module.ID, a.Module.Label, r.Say("group.array")), pieces(a.ModulesPerString*a.Strings), each,
			r.Amount(a.Module.RatedW, "W"), "", r.Say("materials.array", i+1))
	}
	if g := p.Site.Generator; g != nil {
		add(r.itemNamed(g.ID, g.Label, r.Say("group.generator")), pieces(1), each, r.Amount(g.RatedVA, "VA"), "", r.Say("group.generator"))
	}
	carried := len(p.Carried())
	ways := max(p.Site.Ways, carried)
	add(r.Say("line.backup-board"), pieces(1), each, r.Say("materials.ways", ways, carried), "", "")

	group = r.Say("materials.devices")
	for _, d := range r.allDevices() {
		rating := ""
		for _, c := range []struct {
			doc.Cell
			unit string
		}{{d.rated, "A"}, {d.volts, "V"}, {d.breaks, "A"}} {
			if c.S != "" && c.S != doc.None {
				if rating != "" {
					rating += ", "
				}
				rating += c.S + speech.Hard + c.unit
			}
		}
		if d.poles != "" {
			rating += ", " + r.polesOf(d.poles)
		}
		add(d.what, pieces(d.pieces), each, rating, d.mark, "")
	}
	for _, b := range r.breakers() {
		add(r.Say("materials.breaker"), pieces(len(b.refs)), each, b.rating, findings.List(b.refs),
			r.Say("line.backup-board"))
	}

	group = r.Say("materials.conductors")
	for _, c := range r.conductors() {
		length := doc.Plain(doc.None)
		if c.lengthM > 0 {
			length = r.Length(c.lengthM)
		}
		add(r.Say("materials.cable"), length, r.LengthUnit(), c.size, "", findings.List(c.runs))
	}
	return t
}

// A conductorNeed is what is bought of one kind of cable, and for which runs.
type conductorNeed struct {
	size    string
	lengthM float64
	runs    []string
}

// conductors puts the runs of one number of cores and one cross-section together. A run whose length nobody gave is
// named as such.
func (r *report) conductors() []conductorNeed {
	var out []conductorNeed
	for _, run := range r.Plan.Runs {
		if run.Conductor.MM2 == 0 || r.OfMainBoard(run) {
			continue
		}
		size := fmt.Sprintf("%d × %s%smm²", r.Cores(run), r.Size(run.Conductor).S, speech.Hard)
		if r.US {
			size = fmt.Sprintf("%d × %s", r.Cores(run), r.Size(run.Conductor).S)
		}
		i := slices.IndexFunc(out, func(c conductorNeed) bool { return c.size == size })
		if i < 0 {
			i = len(out)
			out = append(out, conductorNeed{size: size})
		}
		label := r.Mark(run)
		if run.LengthM == 0 {
			label += " (" + r.Say("materials.no-length") + ")"
		}
		out[i].lengthM += run.LengthM * float64(max(1, run.Count))
		out[i].runs = append(out[i].runs, speech.Clean(label))
	}
	return out
}

// breakerNeed is the circuits of the backup board whose breakers are alike.
type breakerNeed struct {
	rating string
	refs   []string
}

// breakers are those of the circuits of the backup board, the small ones first; those without a rating come last.
func (r *report) breakers() []breakerNeed {
	var on []facts.Circuit
	for _, c := range r.Plan.Circuits {
		if c.OnBackup {
			on = append(on, c)
		}
	}
	slices.SortStableFunc(on, func(a, b facts.Circuit) int {
		return cmp.Or(-cmp.Compare(min(a.BreakerA, 1), min(b.BreakerA, 1)), cmp.Compare(a.BreakerA, b.BreakerA))
	})
	var out []breakerNeed
	for _, c := range on {
		rating := r.breakerText(c.BreakerA)
		if len(out) == 0 || out[len(out)-1].rating != rating {
			out = append(out, breakerNeed{rating: rating})
		}
		b := &out[len(out)-1]
		b.refs = append(b.refs, r.Ref(c.ID))
	}
	return out
}

// breakerText is the rating of a breaker, or that there is none in the file.
func (r *report) breakerText(a float64) string {
	if a == 0 {
		return r.Say("device.open")
	}
	return r.Amount(a, "A")
}

// polesOf says how many poles a device has: one of them is no plural.
func (r *report) polesOf(poles string) string {
	if poles == "1" {
		return r.Say("materials.pole")
	}
	return r.Say("materials.poles", poles)
}

// itemNamed is the name of equipment, or what it is where it has none: its rating stands in the row.
func (r *report) itemNamed(id, label, is string) string {
	if findings.Nameless(id, label) {
		return is
	}
	return r.EquipmentName(id, label)
}
