package paper

import (
	"slices"
	"strings"

	"outlast/backup/calendar"
	"outlast/backup/facts"
	"outlast/backup/sheet/paper/doc"
	"outlast/backup/sheet/paper/findings"
	"outlast/backup/sheet/speech"
	"outlast/backup/site"
	"outlast/backup/verdict"
	"outlast/backup/wording"
	"outlast/loads"
)

// room is how many things of a kind the owner's page names, and how much of each name; the schedule has them all, and
// the calculation sheet the whole order of the restart.
type room struct{ stay, grouped, leave, main, order, worry, relays, letters int }

// roomyPage is for most homes, tightPage for one whose page would be set too small with so much on it.
var (
	roomyPage = room{stay: 16, grouped: 60, leave: 8, main: 8, order: 24, worry: 5, relays: 6, letters: 60}
	tightPage = room{stay: 12, grouped: 20, leave: 5, main: 4, order: 12, worry: 3, relays: 3, letters: 44}
)

// brief is a name for the owner's page: as much of it as tells what is meant.
func (r *report) brief(s string) string {
	s = r.Called(s)
	if runes := []rune(speech.Clean(s)); len(runes) > r.room.letters {
		s = strings.TrimRight(string(runes[:r.room.letters-1]), " ,") + "…"
	}
	return speech.Name(s)
}

// owner is one page for the people who live with it: what stays on, what to leave off, what to do, whom to call.
func (r *report) owner() doc.Part {
	size := sizeOf(r.options.Paper, r.Plan.Site.Units)
	r.room = roomyPage
	part := r.ownersPage()
	part.Fit(size, r.Plan.Site.Name)
	if part.Type < doc.EasyType {
		r.room = tightPage
		part = r.ownersPage()
		part.Fit(size, r.Plan.Site.Name)
	}
	return part
}

func (r *report) ownersPage() doc.Part {
	if r.Plan.Verdict() == verdict.Fail {
		return r.notYet()
	}
	part := doc.Part{ID: "owner", Title: r.Say("owner.title"), Lead: r.Say("owner.lead"), OnePage: true}
	part.Sections = append(part.Sections, doc.Section{ID: "verdict", Class: "full",
		Blocks: []doc.Block{{Box: r.verdict()}}})
	part.Sections = append(part.Sections, r.medicalBox()...)
	part.Sections = append(part.Sections, r.staysOn(), r.leaveOff(), r.whenItGoes(), r.whenItComesBack(),
		r.whenAllWentDark(), r.whomToCall(), r.plainSafety())
	return part
}

// verdict says in plain words how the plan came out, and for how long it carries.
func (r *report) verdict() *doc.Box {
	p := r.Plan
	box := &doc.Box{Kind: string(p.Verdict()), Title: r.Say("verdict." + string(p.Verdict()))}
	month := r.MonthName(p.Month)
	text := r.Say("verdict.lasts", month, r.lasts(), r.Exactly(p.Site.Outage.AutonomyH))
	switch p.Proviso() {
	case facts.NothingRuns:
		box.Kind, box.Title = string(verdict.Caution), r.Say("verdict.nothing", month)
		box.Texts = []doc.Text{{S: r.Say("verdict.nothing-runs", month)}}
		box.Items = r.worries(p.With(verdict.Caution), r.room.worry)
		return box
	case facts.OneStart:
		box.Kind, box.Title = string(verdict.Caution), r.Say("verdict.one-start", calendar.ClockAt(p.StartMin()))
	case facts.OneMonth:
		other, _ := p.NotIn()
		box.Kind, box.Title = string(verdict.Caution), r.Say("verdict.one-month", month, r.MonthName(other))
	}
	if other, hours, err := p.ShortestMonth(); err == nil && other > 0 {
		text += r.OtherMonth(other, hours, r.Hours(hours), r.lasts())
	}
	if p.Bank.AutonomyNewH > p.Bank.AutonomyH && !p.Bank.AutonomyCap {
		text += " " + r.Say("verdict.new")
	}
	if slices.ContainsFunc(p.Site.Loads, func(l loads.Load) bool { return l.RestsOnClass() }) {
		text += " " + r.Say("verdict.typical")
	}
	box.Texts = []doc.Text{{S: text}}
	box.Items = r.worries(p.With(verdict.Caution), r.room.worry)
	return box
}

// worries says in plain words what is the matter with checks, each matter once: first what is wrong, then what is not
// known, which is no fault but a question to whoever sells or builds the home's equipment.
func (r *report) worries(checks []verdict.Check, most int) []doc.Item {
	var wrong []doc.Item
	questions := map[string][]string{}
	var said []string
	for _, c := range checks {
		text := r.CheckTrouble(c)
		whom, question := r.question(c)
		switch {
		case whom != "":
			text = question
		case c.ID == "inverter-restart" && c.Status == verdict.Fail: // there is no order to keep to
			say := "trouble.restart-blocked"
			if r.Plan.BlockedAlone() {
				say = "trouble.blocked-alone"
			}
			text = r.Say(say, r.brief(r.Plan.Starts.Restart.Blocked))
		}
		if slices.Contains(said, text) {
			continue
		}
		if said = append(said, text); whom != "" {
			questions[whom] = append(questions[whom], text)
		} else {
			wrong = append(wrong, item(text))
		}
	}
	if len(wrong) > most+1 {
		wrong = append(wrong[:most:most], item(r.Count(len(wrong)-most, "owner.more-points")))
	}
	for _, whom := range []string{"whom.supplier", "whom.electrician"} {
		if list := questions[whom]; len(list) > 0 {
			wrong = append(wrong, doc.Item{Lead: r.Say(whom), Text: doc.Text{S: strings.Join(list, " ")}})
		}
	}
	return wrong
}

// question is what to ask about a check that could not be made for want of a figure, and whom; "" where nothing is
// missing.
func (r *report) question(c verdict.Check) (whom, text string) {
	if c.Status != verdict.Caution || !unanswered(c) {
		return "", ""
	}
	id := c.ID
	if f := verdict.Family(id); f != "" {
		id = f
	}
	text, ok := r.Words["ask."+id]
	if more, is := r.Words["ask.more."+id]; is && c.HasLimit {
		text = more // its limit is known
	}
	switch {
	case !ok:
		return "", ""
	case verdict.Depends(c.ID, verdict.AskElectrician):
		return "whom.electrician", text
	}
	return "whom.supplier", text
}

// unanswered tells whether a check is a caution only because a figure is missing: all of it, or beside a comparison
// that is met.
func unanswered(c verdict.Check) bool {
	return !c.HasLimit || c.Lacks || verdict.Depends(c.ID, verdict.MetThoughOpen) && c.Margin >= 0
}

// fallsAtOnce tells whether the backup circuits cannot be carried even for a few minutes: too much for the inverter,
// not too long for the bank.
func (r *report) fallsAtOnce() bool {
	return !r.Plan.Bank.AutonomyCap && r.LeastH < 5.0/60
}

// lasts is how long the bank carries everything, old, whenever the grid fails.
func (r *report) lasts() string {
	if r.Plan.Bank.AutonomyCap {
		return r.Say("time.year")
	}
	return r.Hours(r.LeastH)
}

// staying are the circuits on the backup board of which something is in use.
func (r *report) staying() []facts.Circuit {
	var out []facts.Circuit
	for _, c := range r.Plan.Circuits {
		if c.OnBackup && c.CountedOn() {
			out = append(out, c)
		}
	}
	return out
}

// at is a load with the number of its breaker.
func (r *report) at(l loads.Load) string { return r.brief(l.Name) + " (" + r.Ref(l.CircuitID) + ")" }

// circuitList names circuits with their breakers; more than fit by their importance, those of a kind behind each other.
func (r *report) circuitList(circuits []facts.Circuit, most int) *doc.List {
	out := &doc.List{}
	if len(circuits) <= most {
		for _, c := range circuits {
			out.Items = append(out.Items, doc.Item{Lead: r.Ref(c.ID), Text: doc.Text{S: r.counted(c)}})
		}
		return out
	}
	names, left := map[string][]string{}, map[string]int{}
	for _, c := range circuits {
		id := importance(c.Priority)
		if len(names[id]) == r.room.grouped {
			left[id]++
			continue
		}
		names[id] = append(names[id], r.Ref(c.ID)+speech.Hard+r.counted(c))
	}
	for _, id := range []string{"rank.first", "rank.middle", "rank.last"} {
		text := findings.List(names[id])
		if left[id] > 0 {
			text += ", " + r.Count(left[id], "owner.more")
		}
		if text != "" {
			out.Items = append(out.Items, doc.Item{Lead: r.Say(id), Text: doc.Text{S: text}})
		}
	}
	return out
}

// counted is the name of a circuit on the backup board, and whether what is used of it is of another season.
func (r *report) counted(c facts.Circuit) string {
	name := r.brief(c.Label)
	if c.IdleIn(r.Plan.Month) {
		return r.Say("owner.not-in", name, r.MonthName(r.Plan.Month))
	}
	return name
}

// importance is the group of a priority.
func importance(priority int) string {
	switch {
	case priority <= 1:
		return "rank.first"
	case priority <= 3:
		return "rank.middle"
	}
	return "rank.last"
}

// staysOn lists the circuits that the bank carries for the whole time, and apart from them the loads that are switched
// off on the way.
func (r *report) staysOn() doc.Section {
	s := doc.Section{ID: "stays-on", Title: r.Say("owner.stays")}
	early, dropped := r.early()
	whole := slices.DeleteFunc(r.staying(), func(c facts.Circuit) bool {
		used := site.InUse(c.Loads)
		return len(used) > 0 && !slices.ContainsFunc(used, func(l loads.Load) bool { return !dropped[l.Name] })
	})
	switch {
	case len(whole) > 0:
		s.Blocks = append(s.Blocks, doc.Para(r.staysFor()),
			doc.Block{List: r.circuitList(whole, r.room.stay)})
	case len(early) == 0:
		s.Blocks = append(s.Blocks, doc.Para(r.Say("owner.nothing-stays")))
		return s
	}
	if len(early) > 0 {
		s.Blocks = append(s.Blocks, doc.Para(r.Say("owner.stays-less")), doc.Block{List: &doc.List{Items: early}})
	}
	if r.Recharge != nil && len(r.Plan.Site.Arrays) > 0 && r.SunKnown() {
		month := r.Recharge.Months[r.Plan.Month-1]
		switch share := sunShare(month); {
		case month.Carries:
			s.Blocks = append(s.Blocks, doc.Para(r.Say("owner.array-carries", r.MonthName(r.Plan.Month))))
		case share >= 1:
			s.Blocks = append(s.Blocks, doc.Para(r.Say("owner.array-lossy", r.MonthName(r.Plan.Month))))
		default:
			s.Blocks = append(s.Blocks, doc.Para(r.Say("owner.array-part", r.MonthName(r.Plan.Month),
				r.Fixed(100*share, 0))))
		}
	}
	return s
}

// staysFor says how long the battery carries what stays on; with the month, where another one has fewer hours.
func (r *report) staysFor() string {
	if other, _, err := r.Plan.ShortestMonth(); err == nil && other > 0 {
		return r.Say("owner.stays-for-in", r.lasts(), r.MonthName(r.Plan.Month))
	}
	return r.Say("owner.stays-for", r.lasts())
}

// early lists the loads that are switched off on the way, those of one charge together: at which charge, and when the
// battery comes to it if it does. dropped are those of which it does.
func (r *report) early() (items []doc.Item, dropped map[string]bool) {
	dropped = map[string]bool{}
	relays := r.Relays()
	for i := 0; i < len(relays); {
		var names []string
		at, when := relays[i].DropBelow, ""
		for ; i < len(relays) && relays[i].DropBelow == at; i++ {
			names = append(names, r.at(relays[i]))
			if h, ok := r.Outage.Dropped(relays[i].Name); ok {
				dropped[relays[i].Name], when = true, r.Say("owner.early-when", r.Hours(h))+" "
			}
		}
		if more := len(names) - r.room.relays; more > 0 {
			names = append(names[:r.room.relays], r.Count(more, "owner.more"))
		}
		if len(items) < r.room.relays {
			items = append(items, doc.Item{Lead: r.Say("owner.early-at", r.Fixed(100*at, 0)),
				Text: doc.Text{S: when + findings.List(names) + "."}})
		}
	}
	return items, dropped
}

// leaveOff lists what people promised not to use, with what happens otherwise, and what has no power anyway.
func (r *report) leaveOff() doc.Section {
	s := doc.Section{ID: "leave-off", Title: r.Say("owner.leave")}
	var items []doc.Item
	for i, l := range r.Plan.HeldOff {
		if i == r.room.leave-1 && len(r.Plan.HeldOff) > r.room.leave {
			items = append(items, doc.Item{Text: doc.Text{S: r.Count(len(r.Plan.HeldOff)-i, "owner.more")}})
			break
		}
		items = append(items, doc.Item{Lead: r.Say("lead.colon", r.at(l)), Text: doc.Text{S: r.otherwise(l)}})
	}
	if len(items) > 0 {
		s.Blocks = append(s.Blocks, doc.Para(r.Say("owner.leave-text")), doc.Block{List: &doc.List{Items: items}})
	} else {
		s.Blocks = append(s.Blocks, doc.Para(r.Say("owner.leave-none")))
	}
	var main []string
	for _, c := range r.Plan.Circuits {
		if !c.OnBackup {
			main = append(main, r.Ref(c.ID)+speech.Hard+r.brief(c.Label))
		}
	}
	if more := len(main) - r.room.main; more > 1 {
		main = append(main[:r.room.main], r.Count(more, "owner.more"))
	}
	if len(main) > 0 {
		s.Blocks = append(s.Blocks, doc.Para(r.Say("owner.main", findings.List(main))))
	}
	return s
}

// otherwise says what happens when somebody switches a held-off load on all the same.
func (r *report) otherwise(l loads.Load) string {
	if r.Plan.SlipGoesDark(l) {
		return r.Say("owner.slip-dark")
	}
	if minutes := r.costMinutes(l); minutes >= 1 {
		return r.Say("owner.slip-costs", r.Fixed(minutes, 0))
	}
	return r.Say("owner.slip-fits")
}

// costMinutes is by how many minutes the bank lasts less when a load runs for ten minutes: what it draws against the
// mean of the rest.
func (r *report) costMinutes(l loads.Load) float64 {
	p := r.Plan
	mean := p.Bank.EnergyDCWh / p.Site.Outage.AutonomyH
	extra := l.RunningW * float64(l.Quantity) / p.Inverter.EfficiencyAt(l.RunningW*float64(l.Quantity))
	if mean <= 0 {
		return 0
	}
	return 10 * extra / mean
}

func item(s string) doc.Item { return doc.Item{Text: doc.Text{S: s}} }

// whenItGoes is what to do in an outage, first things first. Nothing is to be switched off in two of the steps.
func (r *report) whenItGoes() doc.Section {
	p := r.Plan
	var steps []doc.Item
	wait := r.Say("goes.wait")
	if !p.Starts.Restart.FitsAtOnce { // whatever comes back at once loses power again
		wait = r.Say("goes.wait-order")
	}
	steps = append(steps, item(wait))
	if len(r.medical()) > 0 {
		steps = append(steps, item(r.Say("goes.medical")))
	}
	if len(p.HeldOff) > 0 {
		steps = append(steps, item(r.Say("goes.leave-off", r.Quoted(r.Say("owner.leave")))))
	}
	steps = append(steps, item(r.Say("goes.report")))
	relays := r.Relays()
	if len(relays) > 0 {
		steps = append(steps, item(r.Say("goes.watch")))
	} else {
		steps = append(steps, item(r.Say("goes.watch-only")))
	}
	if names, h := r.sparing(); h != "" {
		switch {
		case len(relays) == 0:
			steps = append(steps, item(r.Say("goes.longer", findings.List(names), h)))
		case len(names) > 0:
			steps = append(steps, item(r.Say("goes.longer-too", findings.List(names), h)))
		default:
			steps = append(steps, item(r.Say("goes.longer-those", h)))
		}
	}
	if g := p.GeneratorRuns; g != nil {
		steps = append(steps, item(r.Say("goes.generator", r.Fixed(100*g.StartSoC, 0), r.Fixed(100*g.StopSoC, 0))))
	}
	return doc.Section{ID: "goes", Title: r.Say("goes.title"),
		Blocks: []doc.Block{{List: &doc.List{Ordered: true, Items: steps}}}}
}

// sparing names the loads that are not of the highest priority and that no charge switches off, and how long the bank
// lasts without either of them from the beginning; nothing where that is not much longer, or takes too many names.
func (r *report) sparing() (names []string, lasts string) {
	if len(r.Levels) < 2 || r.fallsAtOnce() {
		return nil, ""
	}
	few := r.Levels[0]
	for _, l := range loads.InMonth(site.InUse(r.Plan.Site.OnBoard(loads.BoardBackup)), r.Plan.Month) {
		if l.Priority > few.Priority && !l.Medical && l.DropBelow == 0 {
			names = append(names, r.brief(l.Name))
		}
	}
	if few.Hours < r.LeastH*1.2 || len(names) > r.room.leave {
		return nil, ""
	}
	if few.Capped {
		return names, r.Say("time.weeks")
	}
	return names, r.Hours(few.Hours)
}

// whenItComesBack is what to do afterwards.
func (r *report) whenItComesBack() doc.Section {
	p := r.Plan
	wait, charge := "back.wait", "back.charge"
	if p.Inverter.Unit.TransferMs == nil { // of one that is not known to change over, nobody may promise it
		wait = "back.wait-and-look"
	}
	if p.Inverter.ChargerA() == 0 && len(p.Site.Arrays) == 0 {
		charge = "back.charge-ask"
	}
	steps := []doc.Item{item(r.Say(wait))}
	if len(p.HeldOff) > 0 || slices.ContainsFunc(p.Circuits, func(c facts.Circuit) bool { return !c.OnBackup }) {
		steps = append(steps, item(r.Say("back.switch-on")))
	}
	fills := r.Say(charge)
	if h, ok := r.rechargeH(); ok {
		fills += " " + r.Say("back.charge-hours", r.Wait(h))
	}
	steps = append(steps, item(fills))
	return doc.Section{ID: "back", Title: r.Say("back.title"),
		Blocks: []doc.Block{{List: &doc.List{Ordered: true, Items: steps}}}}
}

// whenAllWentDark is how everything is switched on again, breaker by breaker: none is left out, by its own line or as
// one that may follow in any order. Of loads that never run together it says so, wherever their breakers stand in the
// list.
func (r *report) whenAllWentDark() doc.Section {
	restart := r.Plan.Starts.Restart
	order, rest := r.restartSteps()
	steps := []doc.Item{item(r.Say("dark.off"))}
	if rest == restByLoad {
		steps = append(steps, item(r.Say("dark.unplug")), item(r.Say("dark.reset")), item(r.Say("dark.breakers")))
	} else {
		steps = append(steps, item(r.Say("dark.reset")))
	}
	switch {
	case restart.FitsAtOnce || restart.VA == 0 || len(order) == 0 && rest != restByLoad:
		steps = append(steps, item(r.inAnyOrder("dark.one", "dark.any-order", nil)))
	default:
		steps = append(steps, item(r.Say("dark.in-order")))
		shown := order[:min(len(order), r.room.order)]
		for _, step := range shown {
			steps = append(steps, doc.Item{Lead: r.Ref(step.circuitID), Text: doc.Text{S: r.brief(step.label)}})
		}
		switch {
		case len(shown) < len(order):
			steps = append(steps, item(r.Say("dark.go-on")))
		case rest == restAnyOrder:
			steps = append(steps, item(r.inAnyOrder("dark.rest-one", "dark.rest", order)))
		case rest == restByLoad:
			steps = append(steps, item(r.Say("dark.rest-loads")))
		}
	}
	for _, mates := range r.interlocked() {
		var names []string
		for _, l := range mates {
			names = append(names, r.at(l))
		}
		id := "dark.one-of-two"
		if len(mates) > 2 {
			id = "dark.one-of"
		}
		steps = append(steps, item(r.Say(id, findings.List(names))))
	}
	return doc.Section{ID: "dark", Title: r.Say("dark.title"),
		Blocks: []doc.Block{{List: &doc.List{Ordered: true, Items: steps}}}}
}

// inAnyOrder says that the breakers that are not among steps are switched on: one, or several in any order.
func (r *report) inAnyOrder(one, several string, steps []restartStep) string {
	refs := r.otherRefs(steps)
	if !strings.ContainsAny(refs, ",–") {
		several = one
	}
	return r.Say(several, refs)
}

// interlocked are the loads in use of each interlock that has several on the backup board, in the order of the file.
func (r *report) interlocked() [][]loads.Load {
	var out [][]loads.Load
	place := map[string]int{}
	for _, l := range site.InUse(r.Plan.Site.OnBoard(loads.BoardBackup)) {
		if l.Interlock == "" {
			continue
		}
		i, known := place[l.Interlock]
		if !known {
			i = len(out)
			place[l.Interlock], out = i, append(out, nil)
		}
		out[i] = append(out[i], l)
	}
	return slices.DeleteFunc(out, func(mates []loads.Load) bool { return len(mates) < 2 })
}

// otherRefs are the breakers of the backup board that are not among steps, neighbours put together: "B1, B3–B5".
func (r *report) otherRefs(steps []restartStep) string {
	var ways []int
	n := 0
	for _, c := range r.Plan.Circuits {
		if !c.OnBackup {
			continue
		}
		n++
		if !slices.ContainsFunc(steps, func(s restartStep) bool { return s.circuitID == c.ID }) {
			ways = append(ways, n)
		}
	}
	var out []string
	for i := 0; i < len(ways); {
		last := i
		for last+1 < len(ways) && ways[last+1] == ways[last]+1 {
			last++
		}
		switch text := findings.BoardRef(true, ways[i]); last - i {
		case 0:
			out = append(out, text)
		case 1:
			out = append(out, text, findings.BoardRef(true, ways[last]))
		default:
			out = append(out, text+wording.RangeDash+findings.BoardRef(true, ways[last]))
		}
		i = last + 1
	}
	return findings.List(out)
}

// What follows the steps of a restart that keep to their order.
type restOfRestart int

const (
	restNone     restOfRestart = iota
	restAnyOrder               // other circuits: each can start while all else runs
	restByLoad                 // no order of circuits does; the steps are loads
)

// A restartStep is one circuit or, where no order of circuits does, one load of it.
type restartStep struct{ circuitID, label string }

// restartSteps are the circuits that keep to the order of the restart, and what follows them; or loads, where no order
// of circuits does.
func (r *report) restartSteps() (order []restartStep, rest restOfRestart) {
	day := r.Plan.RestartDay()
	if day.Circuits == nil {
		for _, n := range r.Plan.Starts.Restart.Order {
			for _, l := range r.Plan.Site.Loads {
				if l.Name == n {
					order = append(order, restartStep{l.CircuitID, n})
				}
			}
		}
		return order, restByLoad
	}
	onBackup := 0
	label := map[string]string{}
	for _, c := range r.Plan.Circuits {
		label[c.ID] = c.Label
		if c.OnBackup {
			onBackup++
		}
	}
	for _, id := range day.Circuits[:day.First] {
		order = append(order, restartStep{id, label[id]})
	}
	if day.First < onBackup { // those on which nothing is in use start nothing
		rest = restAnyOrder
	}
	return order, rest
}

// rechargeH is how long the grid charger needs for the bank at its lowest charge, in the coldest battery space.
func (r *report) rechargeH() (h float64, ok bool) {
	for _, c := range r.Plan.Details.Charges {
		if c.By == "grid" && c.Problem.Empty() {
			return c.LongestH(), true
		}
	}
	return 0, false
}

// whomToCall leaves room for the numbers, which no plan can know.
func (r *report) whomToCall() doc.Section {
	rows := []doc.Item{
		{Lead: r.Say("call.danger"), Text: doc.Text{S: r.Say("call.danger-for")}},
		{Lead: r.Say("call.grid"), Text: doc.Text{S: r.Say("call.grid-for")}},
		{Lead: r.Say("call.electrician"), Text: doc.Text{S: r.Say("call.electrician-for")}},
	}
	if len(r.medical()) > 0 {
		rows = append(rows, doc.Item{Lead: r.Say("call.medical"), Text: doc.Text{S: r.Say("call.medical-for")}})
	}
	return doc.Section{ID: "call", Title: r.Say("call.title"), Class: "full",
		Blocks: []doc.Block{{Fields: &doc.Fields{Rows: rows}}}}
}

// plainSafety is what every paper ends with, in plain words.
func (r *report) plainSafety() doc.Section {
	box := &doc.Box{Kind: "safety", Title: r.Say("safety.title")}
	for _, id := range []string{"plain.aid", "plain.wiring", "plain.bank", "plain.life"} {
		box.Texts = append(box.Texts, doc.Text{S: r.Say(id)})
	}
	return doc.Section{ID: "safety", Class: "full", Blocks: []doc.Block{{Box: box}}}
}
