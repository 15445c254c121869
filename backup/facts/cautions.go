package facts

import (
	"math"
	"slices"

	"outlast/backup/conductors"
	"outlast/backup/phrase"
	"outlast/backup/site"
	"outlast/backup/wiring"
	"outlast/backup/wording"
	"outlast/loads"
)

// cautions collects what is worth saying beside the checks: first what concerns this home, and of that what somebody
// has to find out before what was chosen, then what concerns every home.
func (p *Facts) cautions(settled Settled) {
	say := func(text phrase.Phrase) { p.Cautions = append(p.Cautions, text) }
	p.ClassCaution = -1
	s := p.Site
	for _, text := range MedicalTexts(s, s.Loads) {
		say(text)
	}
	p.sayTypical(say)
	if settled.Unproven {
		say(phrase.Of("The search for the best allocation of the circuits ended before it was proved optimal: a better one may exist."))
	}
	if p.Bank.DoDClamped {
		say(phrase.Of("[practice] allows a deeper discharge (%g) than the battery (%g); the limit of the battery applies.",
			s.Practice.MaxDoD, p.Bank.DoD))
	}
	if p.Bank.DoDDeeper {
		say(phrase.Of("[practice] allows a deeper discharge (%g) than is usual for %s (%g), "+
			"and the battery gives no max_dod of its own: ask its maker.",
			p.Bank.DoD, s.Unit.Chemistry.Word(), s.Unit.Chemistry.UsualDoD()))
	}
	for _, text := range p.Bank.Sizing.Cautions {
		say(phrase.Of("Bank: %s.", text))
	}
	p.doubtfulInput(say)
	for _, text := range p.slipCautions {
		say(text)
	}
	p.sayOtherMonths(say)
	for _, text := range conductors.BreakersOfOtherMonths(p.Site, &p.Shared.Currents) {
		say(text)
	}
	p.sayWires(say)
	p.sayArrays(say)
	if g := s.Practice.Growth; g > 0 && s.Practice.Headroom == 0 {
		say(phrase.Of("The growth of %.3g %% is of the energy, on the bank: "+
			"simultaneous load and starts are counted as today. headroom keeps power free for more.", 100*g))
	}
	p.Cautions = append(p.Cautions, safety...)
}

// sayTypical tells what of the plan is no figure of this home: what rests on classes of appliances, and circuits that
// nobody has named.
func (p *Facts) sayTypical(say func(phrase.Phrase)) {
	typical, assumed := 0, 0
	for i := range p.Site.Loads {
		if p.Site.Loads[i].RestsOnClass() {
			typical++
		}
	}
	for _, c := range p.Site.Circuits {
		if c.Assumed {
			assumed++
		}
	}
	if typical > 0 {
		p.ClassCaution = len(p.Cautions)
		say(phrase.Count(typical,
			"Figures of %d load are typical of its class of appliances, not of the appliance in hand: "+
				"a nameplate or a clamp meter tells more.",
			"Figures of %d loads are typical of their classes of appliances, not of the appliances in hand: "+
				"a nameplate or a clamp meter tells more."))
	}
	if assumed > 0 {
		say(phrase.Count(assumed,
			"The file names no circuit for %d load: the plan assumes one on the backup board. "+
				"The electrician tells which circuits there are.",
			"The file names no circuit for %d loads: the plan assumes one for each on the backup board. "+
				"The electrician tells which circuits there are."))
	}
}

// doubtfulInput names what the file allows and few homes mean.
func (p *Facts) doubtfulInput(say func(phrase.Phrase)) {
	s := p.Site
	if p.Idle() {
		say(phrase.Of("Nothing on the backup board runs in an outage in %s: the plan has no load to supply, whatever its checks say.",
			wording.MonthWord(p.Month)))
	}
	onBackup := slices.Concat(p.Asked.InUse, p.Asked.heldOff)
	named, reactive := site.WithoutStart(onBackup)
	if len(named) > 0 {
		say(phrase.Of("No starting figure in the file: %s. Motors and compressors take three to eight times their "+
			"running power while they start, and are counted here as if they did not: give starting_va or motor.",
			phrase.List(wording.Quoted(named))))
	}
	if len(reactive) > 0 {
		say(phrase.Of("Counted without a start, as no starting figure is given: %s. "+
			"Give starting_va or motor for whatever has a motor or a compressor.",
			phrase.List(wording.Quoted(reactive))))
	}
	var against []phrase.Phrase
	for _, l := range onBackup {
		if h, ok := rhythmHours(&l); ok {
			against = append(against, phrase.Of("%q (%s by its cycle, %s given)", l.Name, wording.Amount(h, "h"),
				wording.Amount(l.HoursPerDay, "h")))
		}
	}
	if len(against) > 0 {
		say(phrase.Of("The cycle does not agree with hours_per_day: %s. The hours decide the energy, "+
			"and the simulation changes the off times to suit them.",
			phrase.List(against)))
	}
	for _, c := range loads.Crowds(p.Asked.InUse) {
		say(phrase.Of("Of %s only one runs at a time, and they are given %.4g h a day in all, but may run in only %.4g h "+
			"of the day: they cannot all run that long. The energy counts all of their hours.",
			phrase.List(wording.Quoted(c.Names)), c.HoursPerDay, c.Hours))
	}
	if toNeutralV, ok := betweenLines(s); ok {
		say(phrase.Of("nominal_v is from a line to neutral, and %s is the voltage between two lines of many grids with %d "+
			"phases. If it is so here, it is about %s to neutral, and currents are counted too small now.",
			wording.Amount(s.NominalV, "V"), s.Phases, wording.Amount(toNeutralV, "V")))
	}
	if s.ColdestC > s.HottestC {
		say(phrase.Of("coldest_c (%s) is above hottest_c (%s): if they were swapped, cold and heat are both underrated.",
			wording.Amount(s.ColdestC, "C"), wording.Amount(s.HottestC, "C")))
	}
}

// betweenLines is what a nominal voltage is about from line to neutral if it was told between two lines; ok says that it
// may have been. Public grids have 100 to 277 and 347 V from line to neutral on three phases, so that 220, 230 and 240 V,
// which some have between lines, are not doubted; on split phase they have 100 to 127 V, or 230 V on long rural lines.
// Source: IEC 60038, ANSI C84.1.
func betweenLines(s *site.Site) (toNeutralV float64, ok bool) {
	const aboveNeutralV = 350 // what is above lies between lines: 380, 400, 415, 480, 600 V
	v := s.NominalV
	switch {
	case s.Phases > 1 && v == 208, s.Phases == 3 && v > aboveNeutralV:
		return math.Round(v / math.Sqrt(3)), true // two legs of a three-phase grid have 208 V too
	case s.Phases == 2 && (v == 200 || v == 220 || v == 240 || v > aboveNeutralV):
		return math.Round(v / 2), true
	}
	return 0, false
}

// A rhythm may give a little less than the hours of a load: people round. It may well give more, as a pump that runs
// when water is drawn waits longer than its pause; beyond three times it is no rhythm of that load. Own planning rules.
const (
	mostOverRhythm  = 1.1
	leastOverRhythm = 1.0 / 3
)

// rhythmHours is how long a load would be on in a day by its rhythm; ok says that its hours contradict that.
func rhythmHours(l *loads.Load) (hours float64, ok bool) {
	if l.Cycle == nil || l.HoursPerDay == 0 {
		return 0, false
	}
	hours = l.WindowHours() * l.Cycle.OnMin / (l.Cycle.OnMin + l.Cycle.OffMin)
	return hours, l.HoursPerDay > hours*mostOverRhythm || l.HoursPerDay < hours*leastOverRhythm
}

// facesAway is how much more of the year's sun an array must get when it is turned round before it is said to look the
// wrong way: less is within what the method knows, and lies in the nature of flat roofs. Own choice.
const facesAway = 0.10

// sayArrays warns of an array that looks away from the sun: often its azimuth was counted from south.
func (p *Facts) sayArrays(say func(phrase.Phrase)) {
	for i, a := range p.Site.Arrays {
		turned := a
		turned.AzimuthDeg = math.Mod(a.AzimuthDeg+180, 360)
		as, is := p.Site.YearInPlane(turned), p.Site.YearInPlane(a)
		if is > 0 && as > is*(1+facesAway) {
			say(phrase.Of("Array %d faces away from the sun: turned round, with azimuth_deg = %g, "+
				"it would get %.0f %% more irradiation in a year. azimuth_deg counts clockwise from north: 0 is north, 90 east, 180 south.",
				i+1, turned.AzimuthDeg, 100*(as/is-1)))
		}
	}
}

// sayWires adds the cautions of the wires and the generator, the break of the changeover, and the two questions that no
// plan decides.
func (p *Facts) sayWires(say func(phrase.Phrase)) {
	for _, text := range p.wireCautions {
		say(text)
	}
	if text := conductors.UncheckedDrops(p.Site); !text.Empty() {
		say(text)
	}
	p.curveCaution(say)
	for _, q := range p.Questions {
		if q.Urgent {
			say(phrase.Of("%s, for the electrician: %s", q.Name, q.Text))
		}
	}
}

// ToleratedMS is the longest break that electronics are made to stand.
func ToleratedMS() float64 {
	ms, _, err := wiring.ToleratedMS(0)
	if err != nil {
		panic(err) // 0 is a voltage
	}
	return ms
}

// curveCaution warns of a break that is longer than electronics are made to stand. Loads that say what they ride
// through have their own check.
func (p *Facts) curveCaution(say func(phrase.Phrase)) {
	if t := p.Inverter.Unit.TransferMs; t != nil && *t > ToleratedMS() {
		say(phrase.Of("The transfer time of the inverter is %s; electronics are made to ride through %s without "+
			"voltage (ITIC curve), so that whatever does not state rides_through_ms may restart.",
			wording.Amount(*t, "ms"), wording.Amount(ToleratedMS(), "ms")))
	}
}
