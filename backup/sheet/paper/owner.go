package paper

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"outlast/backup/facts"
	"outlast/backup/site"
	"outlast/backup/verdict"
	"outlast/loads"
)

// room is how many names of a kind the owner's page holds, and how much of each; the schedule has them all, and the calculation sheet the
// whole order of the restart.
type room struct{ stay, leave, main, order, worry, relays, letters int }

// roomyPage is for most homes, tightPage for one whose page would not hold so much.
var (
	roomyPage = room{stay: 16, leave: 8, main: 8, order: 24, worry: 4, relays: 6, letters: 60}
	tightPage = room{stay: 12, leave: 5, main: 4, order: 12, worry: 3, relays: 3, letters: 40}
)

// roomyLines is how many lines fit on the page at each size of type, from the usual one down; mostLines is too many for any.
var roomyLines = [...]int{80, 106, 124}

const mostLines = 140

// brief is a name for the owner's page: as much of it as tells what is meant.
func (r *report) brief(s string) string {
	s = r.called(s)
	if runes := []rune(clean(s)); len(runes) > r.room.letters {
		s = strings.TrimRight(string(runes[:r.room.letters-1]), " ,") + "…"
	}
	return name(s)
}

// owner is one page for the people who live with it: what stays on, what to leave off, what to do, whom to call.
func (r *report) owner() Part {
	r.room = roomyPage
	part := r.ownersPage()
	if part.length() > mostLines {
		r.room = tightPage
		part = r.ownersPage()
	}
	for _, most := range roomyLines {
		if part.length() > most {
			part.Density++
		}
	}
	return part
}

func (r *report) ownersPage() Part {
	if r.plan.Verdict() == verdict.Fail {
		return r.notYet()
	}
	part := Part{ID: "owner", Title: r.say("owner.title"), Lead: r.say("owner.lead"), OnePage: true}
	part.Sections = append(part.Sections, Section{ID: "verdict", Class: "full", Blocks: []Block{{Box: r.verdict()}}})
	part.Sections = append(part.Sections, r.medicalBox()...)
	part.Sections = append(part.Sections, r.staysOn(), r.leaveOff(), r.whenItGoes(), r.whenItComesBack(), r.whomToCall(), r.safety())
	return part
}

// worries is how many points the page of a plan that fails holds: there is little else on it.
const worries = 14

// notYet is the page of a plan that fails. It tells what is meant and what stands in the way, and gives no advice for an outage: whatever it
// said of what stays on, for how long and in which order would speak of a home that does not work like this.
func (r *report) notYet() Part {
	r.room.worry = worries
	part := Part{ID: "owner", Title: r.say("owner.title-fail"), Lead: r.say("owner.lead-fail"), OnePage: true}
	part.Sections = append(part.Sections, Section{ID: "verdict", Class: "full", Blocks: []Block{{Box: r.verdict()}}})
	part.Sections = append(part.Sections, r.medicalBox()...)
	stays := Section{ID: "stays-on", Title: r.say("owner.meant")}
	if labels := r.staying(); len(labels) > 0 {
		stays.Blocks = []Block{para(r.say("owner.meant-text")), {List: r.plainList(labels, r.room.stay)}}
	} else {
		stays.Blocks = []Block{para(r.say("owner.nothing-stays"))}
	}
	now := Section{ID: "now", Title: r.say("now.title"), Blocks: []Block{{List: &List{Ordered: true, Items: []Item{
		item(r.say("now.not")), item(r.say("now.points")), item(r.say("now.again")),
	}}}}}
	part.Sections = append(part.Sections, stays, now, r.safety())
	return part
}

// verdict says in plain words how the plan came out, and for how long it carries.
func (r *report) verdict() *Box {
	p := r.plan
	box := &Box{Kind: string(p.Verdict()), Title: r.say("verdict." + string(p.Verdict()))}
	text := r.say("verdict.lasts", r.say(monthID(p.Month)), r.lasts(), r.exactly(p.Site.Outage.AutonomyH))
	if r.fallsAtOnce() {
		text = r.say("verdict.not", r.say(monthID(p.Month)), r.exactly(p.Site.Outage.AutonomyH))
	} else if p.Verdict() == verdict.Fail {
		text = r.say("verdict.failing", r.exactly(p.Site.Outage.AutonomyH))
	} else if p.Bank.AutonomyNewH > p.Bank.AutonomyH && !p.Bank.AutonomyCap {
		text += " " + r.say("verdict.new")
	}
	if slices.ContainsFunc(p.Site.Loads, func(l loads.Load) bool { return l.RestsOnClass() }) {
		text += " " + r.say("verdict.typical")
	}
	box.Texts = []Text{{S: text}}
	worry := p.With(verdict.Fail)
	if len(worry) == 0 {
		worry = p.With(verdict.Caution)
	}
	var said []string
	for _, c := range worry {
		text := r.checkTrouble(c.ID)
		if c.ID == "inverter-restart" && c.Status == verdict.Fail { // there is no order to keep to
			text = r.say("trouble.restart-blocked", r.brief(p.Starts.Restart.Blocked))
		}
		if !slices.Contains(said, text) {
			said = append(said, text)
		}
	}
	for i, text := range said {
		if i == r.room.worry {
			text = r.count(len(said)-i, "owner.more-points")
		}
		if i <= r.room.worry {
			box.Items = append(box.Items, Item{Text: Text{S: text}})
		}
	}
	return box
}

// fallsAtOnce tells whether the backup circuits cannot be carried even for a few minutes: too much for the inverter, not too long for
// the bank.
func (r *report) fallsAtOnce() bool {
	return !r.plan.Bank.AutonomyCap && r.leastH < 5.0/60
}

// lasts is how long the bank carries everything, old, whenever the grid fails.
func (r *report) lasts() string {
	if r.plan.Bank.AutonomyCap {
		return r.say("time.year")
	}
	return r.hours(r.leastH)
}

func monthID(month int) string { return fmt.Sprintf("month.%d", month) }

// staying are the circuits on the backup board of which something is in use.
func (r *report) staying() []string {
	var labels []string
	for _, c := range r.plan.Circuits {
		if leftOff := len(c.Loads) > 0 && len(site.InUse(c.Loads)) == 0; c.OnBackup && !leftOff {
			labels = append(labels, r.brief(c.Label))
		}
	}
	return labels
}

// staysOn lists the circuits that the bank carries, and the loads that are switched off before it is empty.
func (r *report) staysOn() Section {
	s := Section{ID: "stays-on", Title: r.say("owner.stays")}
	labels := r.staying()
	if len(labels) == 0 {
		s.Blocks = append(s.Blocks, para(r.say("owner.nothing-stays")))
		return s
	}
	s.Blocks = append(s.Blocks, para(r.say("owner.stays-for", r.lasts())), Block{List: r.plainList(labels, r.room.stay)})
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
			early = append(early, Item{Lead: r.say("owner.early-lead", r.brief(l.Name)), Text: Text{S: r.say("owner.early", r.hours(h), r.fixed(100*l.DropBelow, 0))}})
		}
	}
	if len(early) > 0 {
		early = early[:min(len(early), r.room.relays)]
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
	for _, l := range loads.InMonth(site.InUse(r.plan.Site.OnBoard(loads.BoardBackup)), r.plan.Month) {
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
		if i == r.room.leave-1 && len(r.plan.HeldOff) > r.room.leave {
			items = append(items, Item{Text: Text{S: r.count(len(r.plan.HeldOff)-i, "owner.more")}})
			break
		}
		items = append(items, Item{Lead: r.brief(l.Name) + ".", Text: Text{S: r.otherwise(l)}})
	}
	if len(items) > 0 {
		s.Blocks = append(s.Blocks, para(r.say("owner.leave-text")), Block{List: &List{Items: items}})
	} else {
		s.Blocks = append(s.Blocks, para(r.say("owner.leave-none")))
	}
	var main []string
	for _, c := range r.plan.Circuits {
		if !c.OnBackup {
			main = append(main, r.brief(c.Label))
		}
	}
	if len(main) > 0 {
		s.Blocks = append(s.Blocks, para(r.say("owner.main")), Block{List: r.plainList(main, r.room.main)})
	}
	return s
}

// otherwise says what happens when somebody switches a held-off load on all the same.
func (r *report) otherwise(l loads.Load) string {
	for _, c := range r.plan.Checks {
		if c.ID == "slip-"+l.Name && c.Status != verdict.Pass {
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
	wait := r.say("goes.wait")
	if !p.Starts.Restart.FitsAtOnce { // whatever comes back at once goes dark again
		wait = r.say("goes.wait-order")
	}
	steps = append(steps, item(wait))
	if len(r.medical()) > 0 {
		steps = append(steps, item(r.say("goes.medical")))
	}
	if len(p.HeldOff) > 0 {
		var off []string
		for _, l := range p.HeldOff[:min(len(p.HeldOff), r.room.leave)] {
			off = append(off, r.brief(l.Name))
		}
		steps = append(steps, item(r.say("goes.leave-off", list(off))))
	}
	steps = append(steps, item(r.say("goes.report")))
	if names, h := r.sparing(); len(names) > 0 {
		steps = append(steps, item(r.say("goes.longer", list(names), h)))
	}
	if relays := r.relays(); len(relays) > 0 {
		var parts []string
		for _, l := range relays[:min(len(relays), r.room.relays)] {
			parts = append(parts, r.say("goes.at-charge", r.fixed(100*l.DropBelow, 0), r.brief(l.Name)))
		}
		steps = append(steps, item(r.say("goes.watch", list(parts))))
	} else {
		steps = append(steps, item(r.say("goes.watch-only")))
	}
	if g := p.GeneratorRuns; g != nil {
		steps = append(steps, item(r.say("goes.generator", r.fixed(100*g.StartSoC, 0), r.fixed(100*g.StopSoC, 0))))
	}
	s := Section{ID: "goes", Title: r.say("goes.title"), Blocks: []Block{{List: &List{Ordered: true, Items: steps}}}}
	return s
}

// sparing names the loads that are not of the highest priority, and how long the bank lasts without them from the beginning; nothing
// where that is not much longer, or takes too many names.
func (r *report) sparing() (names []string, lasts string) {
	if len(r.levels) < 2 || r.fallsAtOnce() {
		return nil, ""
	}
	few := r.levels[0]
	for _, l := range loads.InMonth(site.InUse(r.plan.Site.OnBoard(loads.BoardBackup)), r.plan.Month) {
		if l.Priority > few.Priority && !l.Medical {
			names = append(names, r.brief(l.Name))
		}
	}
	if few.Hours < r.leastH*1.2 || len(names) > r.room.leave {
		return nil, ""
	}
	if few.Capped {
		return names, r.say("time.weeks")
	}
	return names, r.hours(few.Hours)
}

// whenItComesBack is what to do afterwards, and the order in which things are switched on again when everything went dark.
func (r *report) whenItComesBack() Section {
	p := r.plan
	steps := []Item{item(r.say("back.wait"))}
	if len(p.HeldOff) > 0 || slices.ContainsFunc(p.Circuits, func(c facts.Circuit) bool { return !c.OnBackup }) {
		steps = append(steps, item(r.say("back.switch-on")))
	}
	charge := r.say("back.charge")
	if h, ok := r.rechargeH(); ok {
		charge += " " + r.say("back.charge-hours", r.hours(h))
	}
	steps = append(steps, item(charge))
	s := Section{ID: "back", Title: r.say("back.title"), Blocks: []Block{{List: &List{Ordered: true, Items: steps}}}}
	dark := []Item{item(r.say("dark.off")), item(r.say("dark.reset")), item(r.inOrder())}
	s.Blocks = append(s.Blocks, Block{Head: r.say("dark.title")})
	s.Blocks = append(s.Blocks, Block{List: &List{Ordered: true, Items: dark}})
	return s
}

// inOrder says how all circuits are switched on again after all were switched off: none is left out of it, by name or as one that may follow
// in any order.
func (r *report) inOrder() string {
	restart := r.plan.Starts.Restart
	if restart.FitsAtOnce || restart.VA == 0 {
		return r.say("dark.any-order")
	}
	switch order, rest := r.restartSteps(r.brief); {
	case rest == restByLoad && len(order) > r.room.order:
		return r.say("dark.loads-go-on", inTurn(order[:r.room.order]))
	case rest == restByLoad:
		return r.say("dark.loads", inTurn(order))
	case len(order) == 0:
		return r.say("dark.any-order")
	case len(order) > r.room.order:
		return r.say("dark.order-goes-on", inTurn(order[:r.room.order]))
	case rest == restAnyOrder:
		return r.say("dark.order-rest", inTurn(order))
	default:
		return r.say("dark.order", inTurn(order))
	}
}

// inTurn puts names in a row that are taken one after the other; many of them hold commas.
func inTurn(names []string) string { return strings.Join(names, "; ") }

// What follows the steps of a restart that keep to their order.
type restOfRestart int

const (
	restNone     restOfRestart = iota
	restAnyOrder               // other circuits: each can start while all else runs
	restByLoad                 // no order of circuits does; the steps are loads
)

// restartSteps are the circuits that keep to the order of the restart, as called says them, and what follows them; or loads, where no order of
// circuits does.
func (r *report) restartSteps(called func(string) string) (order []string, rest restOfRestart) {
	day := r.plan.RestartDay()
	if day.Circuits == nil {
		for _, l := range r.plan.Starts.Restart.Order {
			order = append(order, called(l))
		}
		return order, restByLoad
	}
	onBackup := 0
	label := map[string]string{}
	for _, c := range r.plan.Circuits {
		label[c.ID] = c.Label
		if c.OnBackup {
			onBackup++
		}
	}
	for _, id := range day.Circuits[:day.First] {
		order = append(order, called(label[id]))
	}
	if day.First < onBackup { // those on which nothing is in use start nothing
		rest = restAnyOrder
	}
	return order, rest
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
