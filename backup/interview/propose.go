package interview

import (
	"context"
	"errors"
	"fmt"
	"maps"
	"slices"

	"outlast/backup"
	"outlast/backup/phrase"
	"outlast/backup/site"
	"outlast/backup/sizing"
	"outlast/backup/verdict"
	"outlast/catalog/strict"
)

// Equipment is inverters and bank of a site file, and how panels are parted into strings.
type Equipment struct {
	Inverter    string // id in the catalog
	Count       int
	Battery     string
	Strings     int           // 0: the planner sizes the bank
	PerString   int           // panels in series; 0: as it comes
	Note        phrase.Phrase // why this, for the site file
	StringsNote phrase.Phrase
	ArrayNote   phrase.Phrase // where no way to part the panels fits the inverter
	Panels      int           // of those that were answered, planned with where not all fit; 0: all
	PanelsOut   bool          // no few of them fit: planned without any
}

// wished is what was answered about equipment: ids, and numbers where they were told.
type wished struct {
	inverter, battery string
	count, units      int
}

func (in *Interview) wished() (w wished) {
	w.inverter, w.count, _ = pieceKind{}.read(in.known(keyInverter))
	w.battery, w.units, _ = pieceKind{}.read(in.known(keyBattery))
	return w
}

// suits says whether a combination is of what was answered. How many batteries there are is no matter: the plan says
// whether they are enough.
func (w wished) suits(f sizing.Fit) bool {
	return (w.inverter == "" || w.inverter == f.Inverter.ID) && (w.count == 0 || w.count == f.Count) &&
		(w.battery == "" || w.battery == f.Unit.ID)
}

// standIn is equipment that the supply takes, what was answered of it included: the rest of the answers is tried with
// it.
func (in *Interview) standIn() (Equipment, error) {
	w, s := in.wished(), in.supplied()
	if e := in.stand; e.Inverter != "" && (w.inverter == "" || w.inverter == e.Inverter) &&
		(w.battery == "" || w.battery == e.Battery) &&
		(w.count == 0 || w.count == e.Count) {
		if _, err := in.bare(e, s); err == nil {
			return e, nil
		}
	}
	batteries := []string{w.battery}
	if w.battery == "" {
		batteries = nil
		for _, u := range in.cat.Batteries() {
			batteries = append(batteries, u.ID)
		}
	}
	var first error
	for _, inverters := range in.inverters(w, s) {
		for _, unit := range batteries {
			e := inverters
			e.Battery = unit
			_, err := in.bare(e, s)
			if err == nil {
				in.stand = e
				return e, nil
			}
			if first == nil {
				first = err
			}
		}
	}
	if first == nil || w.inverter == "" && w.battery == "" {
		return Equipment{},
			refuse(noHint, phrase.Of("no inverter and battery of the catalog suit a supply of %g V, phases: %d", s.volts,
				s.phases))
	}
	var ps strict.Problems
	if errors.As(first, &ps) {
		return Equipment{}, refuse(phrase.Foreign(ps[0].Hint), phrase.Foreign(ps[0].Msg))
	}
	return Equipment{}, first
}

// inverters are those that may feed a supply: what was answered, whether it can or not, or all of the catalog that can.
func (in *Interview) inverters(w wished, s supply) (out []Equipment) {
	home := &site.Site{NominalV: s.volts, Phases: s.phases}
	for _, c := range in.cat.Inverters() {
		for _, count := range []int{1, s.phases} { // of those of one phase, one for each
			if w.count > 0 {
				count = w.count
			}
			if w.inverter == c.ID || w.inverter == "" && sizing.Suits(home, c, count) {
				out = append(out, Equipment{Inverter: c.ID, Count: count})
			}
		}
	}
	return out
}

// bare reads a home that has nothing but a supply, a place for the battery and equipment.
func (in *Interview) bare(e Equipment, s supply) (*site.Site, error) {
	w := &writer{say: in.say}
	in.writeClimate(w)
	return site.Read("", fmt.Appendf(nil,
		"[site]\nname = \"bare\"\nnominal_v = %s\nphases = %d\n%s[outage]\nautonomy_h = 1\n[inverter]\nuse = %q\n"+
			"count = %d\n[bank]\nuse = %q\n",
		num(s.volts), s.phases, w.String(), e.Inverter, e.Count, e.Battery), in.cat)
}

// chosen counts strings where the number of batteries was answered.
func (in *Interview) chosen(e Equipment) Equipment {
	w := in.wished()
	if w.units == 0 || w.battery == "" || e.Strings > 0 {
		return e
	}
	series := in.series(e)
	e.Strings = max(1, w.units/max(1, series))
	if left := w.units - e.Strings*series; left != 0 {
		e.StringsNote = phrase.Of("%d batteries in strings of %d", w.units, series)
	}
	return e
}

// series is how many batteries stand in a string; 0 where none fits.
func (in *Interview) series(e Equipment) int {
	site, err := in.bare(e, in.supplied())
	if err != nil {
		return 0
	}
	return site.Series
}

// Propose finds equipment for what was not answered: the first of what sizing lists, of what was answered, and that
// takes the panels; what fails with any equipment, such as a generator that is too small for the loads, keeps nothing
// from being proposed. Where nothing passes it is what misses by least, and the plan of it says what is missing.
// Of panels that no strings of fit, so many are planned with as do fit, or none: a string that the inverter does not bear is
// never proposed. progress is told how much of the work is done.
func (in *Interview) Propose(ctx context.Context, progress func(done, of int)) (Equipment, error) {
	e, err := in.proposed(ctx, progress)
	if err != nil || !in.hasPanels() {
		return e, err
	}
	return in.fitted(ctx, e)
}

func (in *Interview) proposed(ctx context.Context, progress func(done, of int)) (Equipment, error) {
	stand, err := in.standIn()
	if err != nil {
		return Equipment{}, err
	}
	w := in.wished()
	if w.inverter != "" && w.battery != "" {
		e, _, err := in.laidOut(ctx, in.chosen(stand), nil)
		return e, err
	}
	home, err := in.without(keyPanels).site(stand) // no panel makes an inverter stronger, and strings are many
	if err != nil {
		return Equipment{}, err
	}
	sizes, err := backup.Size(ctx, home, in.cat, sizing.Options{Progress: progress})
	if err != nil {
		return Equipment{}, err
	}
	passing := slices.DeleteFunc(sizes.Passing, func(f sizing.Fit) bool { return !w.suits(f) })
	if in.hasPanels() {
		if takes := slices.DeleteFunc(slices.Clone(passing),
			func(f sizing.Fit) bool { return len(f.Inverter.Inputs) == 0 }); len(takes) > 0 {
			passing = takes
		}
	}
	if len(passing) == 0 {
		e, _, err := in.laidOut(ctx, in.nearest(stand, w, sizes.Misses), sizes.Standing)
		return e, err
	}
	var best Equipment
	least := -1
	tried := map[string]bool{} // strings depend on the inverters alone
	for _, f := range passing {
		inverters := fmt.Sprint(f.Count, f.Inverter.ID)
		if tried[inverters] {
			continue
		}
		tried[inverters] = true
		e := Equipment{Inverter: f.Inverter.ID, Count: f.Count, Battery: f.Unit.ID, Strings: f.Strings,
			Note: phrase.Of("chosen here: the first that outlast size lists")}
		if in.hasPanels() {
			e.Note = phrase.Of("chosen here: the first that outlast size lists and that takes the panels")
		}
		e, fails, err := in.laidOut(ctx, in.owned(e, w), sizes.Standing)
		if err != nil {
			return e, err
		}
		if least < 0 || fails < least {
			best, least = e, fails
		}
		if fails == 0 {
			break
		}
	}
	return best, nil
}

// site reads the site file with some equipment.
func (in *Interview) site(e Equipment) (*site.Site, error) {
	return site.Read("the interview", []byte(in.SiteText(e)), in.cat)
}

// without is the interview as if one question had not been answered.
func (in *Interview) without(key string) *Interview {
	other := *in
	other.answers = maps.Clone(in.answers)
	delete(other.answers, key)
	return &other
}

// nearest is the equipment that misses by least of what was answered.
func (in *Interview) nearest(stand Equipment, w wished, misses []sizing.Miss) Equipment {
	out := stand
	out.Note = phrase.Of("nothing passes: outlast size lists what misses by least")
	i := slices.IndexFunc(misses, func(m sizing.Miss) bool {
		return m.Unit != nil && w.suits(sizing.Fit{Inverter: m.Inverter, Count: m.Count, Unit: *m.Unit})
	})
	if i >= 0 {
		m := misses[i]
		out.Inverter, out.Count, out.Battery, out.Strings = m.Inverter.ID, m.Count, m.Unit.ID, m.Strings
	}
	return in.owned(out, w)
}

// owned puts the batteries that were answered in the place of as many as would do.
func (in *Interview) owned(e Equipment, w wished) Equipment {
	if w.units == 0 {
		return e
	}
	enough := e.Strings
	e.Strings = 0
	if e = in.chosen(e); enough > 0 && e.StringsNote.Empty() && e.Strings != enough {
		e.StringsNote = phrase.Of("as answered; %d would do", enough)
	}
	return e
}

// mostStringV is more than strings of homes have without load: 1000 V DC, from which on other rules hold (common
// practice).
const mostStringV = 1000

// hasPanels says whether there are panels that the site file tells of.
func (in *Interview) hasPanels() bool {
	p, err := in.parsePanels(in.known(keyPanels))
	return err == nil && p.count > 0 && in.known(keyLatitude) != ""
}

// layouts are the ways to part the panels into strings.
func (in *Interview) layouts() []int {
	p, _ := in.parsePanels(in.known(keyPanels))
	all := p.layouts()
	if some := slices.DeleteFunc(slices.Clone(all),
		func(n int) bool { return float64(n)*p.module.VocV > mostStringV }); len(some) > 0 {
		return some
	}
	return all
}

// laidOut parts the panels so that least of the checks fails behind the inverter, and tells how many do besides those
// that stand with any equipment; without panels there is nothing to try.
func (in *Interview) laidOut(ctx context.Context, e Equipment, standing []verdict.Check) (Equipment, int, error) {
	if !in.hasPanels() {
		return e, 0, nil
	}
	least := -1
	for _, n := range in.layouts() {
		tried := e
		tried.PerString = n
		home, err := in.site(tried)
		if err != nil {
			return e, 0, err
		}
		p, err := backup.NewPlan(ctx, home)
		if err != nil {
			return e, 0, err
		}
		failing := slices.DeleteFunc(p.With(verdict.Fail), func(c verdict.Check) bool {
			return slices.ContainsFunc(standing, func(s verdict.Check) bool { return s.ID == c.ID })
		})
		if fails := len(failing); least < 0 || fails < least {
			least, e.PerString = fails, n
		}
	}
	return e, least, nil
}

// fitted is the equipment with panels that fit: where no strings of all of them do, with as many a little fewer as do, or
// with none. The note says with how many a little fewer or more some strings would fit.
func (in *Interview) fitted(ctx context.Context, e Equipment) (Equipment, error) {
	if fits, err := in.fits(ctx, e); err != nil || fits {
		return e, err
	}
	const farthest = 4 // panels fewer or more: what is farther away is another plan
	p, err := in.parsePanels(in.known(keyPanels))
	if err != nil {
		return e, err
	}
	said := phrase.Of("no way to part %d panels into equal strings fits the inverter", p.count)
	if p.count == 1 {
		said = phrase.Of("one panel alone does not fit the inverter")
	}
	e.ArrayNote = said
	noted := false
	for off := 1; off <= farthest; off++ {
		for _, n := range []int{p.count - off, p.count + off} {
			if n < 1 || n > mostPanels || n > p.count && noted {
				continue
			}
			other := in.without(keyPanels)
			other.answers[keyPanels] = fmt.Sprintf("%d x %g W", n, p.watts)
			for _, perString := range other.layouts() {
				fits, err := other.fits(ctx, Equipment{Inverter: e.Inverter, Count: e.Count, Battery: e.Battery,
					Strings: e.Strings, PerString: perString})
				if err != nil {
					return e, err
				}
				if !fits {
					continue
				}
				if !noted {
					noted = true
					e.ArrayNote = phrase.Of("%s; %d panels do fit it, in strings of %d", said, n, perString)
				}
				if n < p.count {
					e.Panels, e.PerString = n, perString
					return e, nil
				}
				break
			}
		}
	}
	e.PanelsOut = true
	return e, nil
}

// fits says whether the strings suit the tracker input: no check of them fails, and they reach the volts at which it
// works. An inverter that names no input has none that they do not fit.
func (in *Interview) fits(ctx context.Context, e Equipment) (bool, error) {
	home, err := in.site(e)
	if err != nil {
		return false, err
	}
	p, err := backup.NewPlan(ctx, home)
	if err != nil {
		return false, err
	}
	return !slices.ContainsFunc(p.Checks, func(c verdict.Check) bool {
		tooLow := c.AtLeast && c.HasLimit && c.Margin < 0
		return verdict.GroupOf(c.ID) == verdict.OfArray && (c.Status == verdict.Fail || tooLow)
	}), nil
}
