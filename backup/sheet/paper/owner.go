package paper

import (
	"cmp"
	"fmt"
	"slices"

	"outlast/backup"
	"outlast/loads"
)

// The owner's page holds so many names of a kind; the schedule has them all.
const (
	mostStay   = 16
	mostLeave  = 8
	mostMain   = 8
	mostOrder  = 12
	mostWorry  = 4
	mostRelays = 6
)

// roomyLines is how many lines fit on the page at the usual size.
const roomyLines = 80

// owner is one page for the people who live with it: what stays on, what to leave off, what to do, whom to call.
func (r *report) owner() Part {
	part := Part{ID: "owner", Title: r.say("owner.title"), Lead: r.say("owner.lead"), OnePage: true}
	part.Sections = append(part.Sections, Section{ID: "verdict", Class: "full", Blocks: []Block{{Box: r.verdict()}}})
	part.Sections = append(part.Sections, r.medicalBox()...)
	part.Sections = append(part.Sections, r.staysOn(), r.leaveOff(), r.whenItGoes(), r.whenItComesBack(), r.whomToCall(), r.safety())
	part.Full = part.length() > roomyLines
	return part
}

// verdict says in plain words how the plan came out, and for how long it carries.
func (r *report) verdict() *Box {
	p := r.plan
	box := &Box{Kind: string(p.Verdict()), Title: r.say("verdict." + string(p.Verdict()))}
	text := r.say("verdict.lasts", r.say(monthID(p.Month)), r.lasts(), r.exactly(p.Site.Outage.AutonomyH))
	if r.fallsAtOnce() {
		text = r.say("verdict.not", r.say(monthID(p.Month)), r.exactly(p.Site.Outage.AutonomyH))
	} else if p.Bank.AutonomyNewH >= p.Bank.AutonomyH*1.05 && !p.Bank.AutonomyCap {
		text += " " + r.say("verdict.new", r.hours(p.Bank.AutonomyNewH))
	}
	box.Texts = []Text{{S: text}}
	worry := p.With(backup.Fail)
	if len(worry) == 0 {
		worry = p.With(backup.Caution)
	}
	var said []string
	for _, c := range worry {
		if text := r.checkTrouble(c.ID); !slices.Contains(said, text) {
			said = append(said, text)
		}
	}
	for i, text := range said {
		if i == mostWorry {
			text = r.count(len(said)-i, "owner.more-points")
		}
		if i <= mostWorry {
			box.Items = append(box.Items, Item{Text: Text{S: text}})
		}
	}
	return box
}

// fallsAtOnce tells whether the backup circuits cannot be carried even for a few minutes: too much for the inverter, not too long for
// the bank.
func (r *report) fallsAtOnce() bool {
	return !r.plan.Bank.AutonomyCap && r.plan.Bank.AutonomyH < 5.0/60
}

// lasts is how long the bank carries everything, old.
func (r *report) lasts() string {
	if r.plan.Bank.AutonomyCap {
		return r.say("time.year")
	}
	return r.hours(r.plan.Bank.AutonomyH)
}

func monthID(month int) string { return fmt.Sprintf("month.%d", month) }

// staysOn lists the circuits that the bank carries, and the loads that are switched off before it is empty.
func (r *report) staysOn() Section {
	s := Section{ID: "stays-on", Title: r.say("owner.stays")}
	var labels []string
	for _, c := range r.plan.Circuits {
		if c.OnBackup {
			labels = append(labels, name(c.Label))
		}
	}
	if len(labels) == 0 {
		s.Blocks = append(s.Blocks, para(r.say("owner.nothing-stays")))
		return s
	}
	intro := r.say("owner.stays-for", r.lasts())
	if r.fallsAtOnce() {
		intro = r.say("owner.stays-not")
	}
	s.Blocks = append(s.Blocks, para(intro), Block{List: r.plainList(labels, mostStay)})
	if r.recharge != nil && len(r.plan.Site.Arrays) > 0 && r.sunKnown() {
		month := r.recharge.Months[r.plan.Month-1]
		if month.Carries {
			s.Blocks = append(s.Blocks, para(r.say("owner.array-carries", r.say(monthID(r.plan.Month)))))
		} else {
			s.Blocks = append(s.Blocks, para(r.say("owner.array-part", r.say(monthID(r.plan.Month)), r.fixed(100*sunShare(month), 0))))
		}
	}
	var early []Item
	for _, l := range r.relays() {
		if h, ok := r.outage.dropped(l.Name); ok && !l.HeldOff {
			early = append(early, Item{Lead: name(l.Name) + ":", Text: Text{S: r.say("owner.early", r.hours(h), r.fixed(100*l.DropBelow, 0))}})
		}
	}
	if len(early) > 0 {
		early = early[:min(len(early), mostRelays)]
		s.Blocks = append(s.Blocks, para(r.say("owner.stays-less")), Block{List: &List{Items: early}})
	}
	return s
}

// plainList lists names, at most so many of them, and counts the rest.
func (r *report) plainList(names []string, most int) *List {
	out := &List{}
	for i, n := range names {
		if i == most-1 && len(names) > most {
			out.Items = append(out.Items, Item{Text: Text{S: r.count(len(names)-i, "owner.more")}})
			break
		}
		out.Items = append(out.Items, Item{Text: Text{S: n}})
	}
	return out
}

// relays are the loads of the outage that are switched off by the state of charge, the first to go first.
func (r *report) relays() []loads.Load {
	var out []loads.Load
	for _, l := range loads.InMonth(backup.InUse(r.plan.Site.OnBoard(loads.BoardBackup)), r.plan.Month) {
		if l.DropBelow > 0 {
			out = append(out, l)
		}
	}
	slices.SortStableFunc(out, func(a, b loads.Load) int { return cmp.Compare(b.DropBelow, a.DropBelow) })
	return out
}

// leaveOff lists what people promised not to use, with what happens otherwise, and what is dark anyway.
func (r *report) leaveOff() Section {
	s := Section{ID: "leave-off", Title: r.say("owner.leave")}
	var items []Item
	for i, l := range r.plan.HeldOff {
		if i == mostLeave-1 && len(r.plan.HeldOff) > mostLeave {
			items = append(items, Item{Text: Text{S: r.count(len(r.plan.HeldOff)-i, "owner.more")}})
			break
		}
		items = append(items, Item{Lead: name(l.Name) + ".", Text: Text{S: r.otherwise(l)}})
	}
	if len(items) > 0 {
		s.Blocks = append(s.Blocks, para(r.say("owner.leave-text")), Block{List: &List{Items: items}})
	} else {
		s.Blocks = append(s.Blocks, para(r.say("owner.leave-none")))
	}
	var main []string
	for _, c := range r.plan.Circuits {
		if !c.OnBackup {
			main = append(main, name(c.Label))
		}
	}
	if len(main) > 0 {
		s.Blocks = append(s.Blocks, para(r.say("owner.main")), Block{List: r.plainList(main, mostMain)})
	}
	return s
}

// otherwise says what happens when somebody switches a held-off load on all the same.
func (r *report) otherwise(l loads.Load) string {
	for _, c := range r.plan.Checks {
		if c.ID == "slip-"+l.Name && c.Status != backup.Pass {
			return r.say("owner.slip-dark")
		}
	}
	if minutes := r.costMinutes(l); minutes >= 1 {
		return r.say("owner.slip-costs", r.fixed(minutes, 0))
	}
	return r.say("owner.slip-fits")
}

// costMinutes is by how many minutes everything goes dark earlier when a load runs for ten minutes: what it draws against the mean
// of the rest.
func (r *report) costMinutes(l loads.Load) float64 {
	p := r.plan
	mean := p.Bank.EnergyDCWh / p.Site.Outage.AutonomyH
	extra := l.RunningW * float64(l.Quantity) / p.Inverter.EfficiencyAt(l.RunningW*float64(l.Quantity))
	if mean <= 0 {
		return 0
	}
	return 10 * extra / mean
}

func item(s string) Item { return Item{Text: Text{S: s}} }

// whenItGoes is what to do in an outage, first things first.
func (r *report) whenItGoes() Section {
	p := r.plan
	var steps []Item
	steps = append(steps, item(r.say("goes.wait")))
	if len(r.medical()) > 0 {
		steps = append(steps, item(r.say("goes.medical")))
	}
	if len(p.HeldOff) > 0 {
		var off []string
		for _, l := range p.HeldOff[:min(len(p.HeldOff), mostLeave)] {
			off = append(off, name(l.Name))
		}
		steps = append(steps, item(r.say("goes.leave-off", list(off))))
	}
	steps = append(steps, item(r.say("goes.report")))
	if relays := r.relays(); len(relays) > 0 {
		var parts []string
		for _, l := range relays[:min(len(relays), mostRelays)] {
			parts = append(parts, r.say("goes.at-charge", r.fixed(100*l.DropBelow, 0), name(l.Name)))
		}
		steps = append(steps, item(r.say("goes.watch", list(parts))))
	} else {
		steps = append(steps, item(r.say("goes.watch-only")))
	}
	if g := p.Site.Generator; g != nil {
		steps = append(steps, item(r.say("goes.generator", r.fixed(100*g.StartSoC, 0), r.fixed(100*g.StopSoC, 0))))
	}
	s := Section{ID: "goes", Title: r.say("goes.title"), Blocks: []Block{{List: &List{Ordered: true, Items: steps}}}}
	return s
}

// whenItComesBack is what to do afterwards, and the order in which things are switched on again when everything went dark.
func (r *report) whenItComesBack() Section {
	p := r.plan
	steps := []Item{item(r.say("back.wait"))}
	if len(p.HeldOff) > 0 || slices.ContainsFunc(p.Circuits, func(c backup.Circuit) bool { return !c.OnBackup }) {
		steps = append(steps, item(r.say("back.switch-on")))
	}
	charge := r.say("back.charge")
	if h, ok := r.rechargeH(); ok {
		charge += " " + r.say("back.charge-hours", r.hours(h))
	}
	steps = append(steps, item(charge))
	s := Section{ID: "back", Title: r.say("back.title"), Blocks: []Block{{List: &List{Ordered: true, Items: steps}}}}
	restart := p.Starts.Restart
	dark := []Item{item(r.say("dark.off")), item(r.say("dark.reset"))}
	s.Blocks = append(s.Blocks, Block{Head: r.say("dark.title")})
	switch {
	case restart.FitsAtOnce || restart.VA == 0:
		dark = append(dark, item(r.say("dark.any-order")))
	case len(restart.Order) > 0:
		order := restart.Order
		text := list(names(order[:min(len(order), mostOrder)]))
		if more := len(order) - mostOrder; more > 0 {
			text += ", " + r.count(more, "owner.more")
		}
		dark = append(dark, Item{Text: Text{S: r.say("dark.order", text)}})
	default:
		dark = append(dark, item(r.say("dark.blocked", name(restart.Blocked))))
	}
	s.Blocks = append(s.Blocks, Block{List: &List{Ordered: true, Items: dark}})
	return s
}

// rechargeH is how long the grid charger needs for the empty bank.
func (r *report) rechargeH() (h float64, ok bool) {
	for _, c := range r.plan.Details.Charges {
		if c.By == "grid" && c.Problem == "" {
			return c.Hours, true
		}
	}
	return 0, false
}

// whomToCall leaves room for the numbers, which no plan can know.
func (r *report) whomToCall() Section {
	rows := []Item{
		{Lead: r.say("call.danger"), Text: Text{S: r.say("call.danger-for")}},
		{Lead: r.say("call.grid"), Text: Text{S: r.say("call.grid-for")}},
		{Lead: r.say("call.electrician"), Text: Text{S: r.say("call.electrician-for")}},
	}
	if len(r.medical()) > 0 {
		rows = append(rows, Item{Lead: r.say("call.medical"), Text: Text{S: r.say("call.medical-for")}})
	}
	return Section{ID: "call", Title: r.say("call.title"), Class: "full", Blocks: []Block{{Fields: &Fields{Rows: rows}}}}
}
