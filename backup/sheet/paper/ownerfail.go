package paper

import (
	"slices"

	"outlast/backup/facts"
	"outlast/backup/sheet/paper/doc"
	"outlast/backup/verdict"
)

// mostWorries is how many points the page of a plan that fails holds.
const mostWorries = 14

// notYet is the page of a plan that fails. It tells what stands in the way, what would happen, what must change and
// what is meant, and gives no advice for an outage: whatever it said of what stays on, for how long and in which order
// would speak of a home that does not work like this.
func (r *report) notYet() doc.Part {
	p := r.Plan
	part := doc.Part{ID: "owner", Title: r.Say("owner.title-fail"), Lead: r.Say("owner.lead-fail"), OnePage: true}
	failing := p.With(verdict.Fail)
	box := &doc.Box{Kind: string(verdict.Fail), Title: r.Say("verdict.fail"),
		Texts: []doc.Text{{S: r.Say("verdict.failing", r.Exactly(p.Site.Outage.AutonomyH))}}}
	box.Items = r.worries(failing, mostWorries)
	part.Sections = append(part.Sections, doc.Section{ID: "verdict", Class: "full", Blocks: []doc.Block{{Box: box}}})
	part.Sections = append(part.Sections, r.medicalBox()...)
	would, change := &doc.List{}, &doc.List{}
	for _, kind := range r.kinds(failing) {
		would.Items = append(would.Items, item(r.Say("would."+kind)))
		change.Items = append(change.Items, item(r.changeFor(kind)))
	}
	stays := doc.Section{ID: "stays-on", Title: r.Say("owner.meant")}
	if circuits := r.staying(); len(circuits) > 0 {
		stays.Blocks = []doc.Block{doc.Para(r.Say("owner.meant-text")), {List: r.circuitList(circuits, r.room.stay)}}
	} else {
		stays.Blocks = []doc.Block{doc.Para(r.Say("owner.nothing-stays"))}
	}
	now := doc.Section{ID: "now", Title: r.Say("now.title"),
		Blocks: []doc.Block{{List: &doc.List{Ordered: true, Items: []doc.Item{
			item(r.Say("now.not")), item(r.Say("now.points")), item(r.Say("now.again")),
		}}}}}
	part.Sections = append(part.Sections,
		doc.Section{ID: "would", Title: r.Say("would.title"), Blocks: []doc.Block{{List: would}}},
		doc.Section{ID: "change", Title: r.Say("change.title"), Blocks: []doc.Block{{List: change}}},
		stays, now, r.plainSafety())
	return part
}

// kinds are what failing checks mean in daily life, each once, in the order of the checks.
func (r *report) kinds(failing []verdict.Check) []string {
	var out []string
	for _, c := range failing {
		if kind := r.kindOf(c.ID); !slices.Contains(out, kind) {
			out = append(out, kind)
		}
	}
	return out
}

// changeFor is what must change against a kind of trouble. A battery that is too small in the cold alone may stay.
func (r *report) changeFor(kind string) string {
	if _, warm := r.Plan.WarmEnoughC(); warm && kind == string(verdict.TroubleBattery) {
		return r.Say("change.battery-warmer")
	}
	return r.Say("change." + kind)
}

func (r *report) kindOf(id string) string {
	kind, _ := verdict.KindOf(id)
	switch {
	case kind.Means != verdict.TroubleBattery || id == "bank-capacity" || !r.fallsAtOnce():
		return string(kind.Means)
	case r.Plan.Bank.EndsBy == facts.EndCold:
		return string(verdict.TroubleCold) // nothing that is taken off the board helps a bank that is too cold
	}
	return string(verdict.TroublePower) // it is not the charge that ends it
}
