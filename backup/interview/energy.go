package interview

import (
	"cmp"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"outlast/backup/measured/tabular"
	"outlast/backup/pattern"
	"outlast/backup/phrase"
	"outlast/catalog"
	"outlast/catalog/strict"
)

// panels are the solar panels of a home.
type panels struct {
	count  int
	watts  float64
	module catalog.Module // of the catalog, nearest in watts
}

var panelForm = pattern.Of(`(?i)^(\d{1,5})(?: ?(?:x|×|\*|of)? ?(?:(?:panels?|modulen?|paneles|modulos|módulos|panneaux|modules) )?(?:(?:of|zu|je|de|à) )?(\d+(?:[.,]\d+)?) ?w?p?)?$`)

// parsePanels reads "12 x 440 W".
func (in *Interview) parsePanels(text string) (p panels, err error) {
	if text == "" || IsNone(text) || text == "0" {
		return panels{}, nil
	}
	m := panelForm.FindStringSubmatch(text)
	if m == nil {
		return panels{}, refuse(phrase.Symbols("12 x 440 W"), phrase.Of("found %q, want none, or how many panels of how many watts",
			strict.Clip(text)))
	}
	if p.count, _ = strconv.Atoi(m[1]); p.count < 1 || p.count > mostPanels {
		return panels{}, refuse(noHint, phrase.Of("found %s panels, want 1 to %d", m[1], mostPanels))
	}
	modules := in.cat.Modules()
	if len(modules) == 0 {
		return panels{}, refuse(noHint, phrase.Of("the catalog has no solar panels"))
	}
	if m[2] == "" { // the smallest of those for roofs give least
		p.module = slices.MinFunc(modules, func(a, b catalog.Module) int { return cmp.Compare(offRoof(a), offRoof(b)) })
		p.watts = p.module.RatedW
		return p, nil
	}
	if p.watts, err = number(m[2]); err != nil {
		return panels{}, err
	}
	off := func(c catalog.Module) float64 { return max(c.RatedW/p.watts, p.watts/c.RatedW) }
	if p.watts <= 0 {
		return panels{}, refuse(noHint, phrase.Of("found panels of %s W, want a power above 0", m[2]))
	}
	p.module = slices.MinFunc(modules, func(a, b catalog.Module) int { return cmp.Compare(off(a), off(b)) })
	if off(p.module) > nearWatts {
		return panels{}, refuse(phrase.Of("give the watts of one panel"),
			phrase.Of("found panels of %s W, want about %s W, as the catalog has them", m[2], or(named(wattsOf(modules)))))
	}
	return p, nil
}

const (
	mostPanels = 1000
	// nearWatts is how far the panels of a home may be from those of the catalog: beyond it a string of them has other
	// volts. Own planning rule.
	nearWatts = 1.25
	// unknownPanelW is what a panel is taken to have: older roofs have about so much. Own planning rule.
	unknownPanelW = 275.0
)

func offRoof(m catalog.Module) float64 { return max(m.RatedW/unknownPanelW, unknownPanelW/m.RatedW) }

func wattsOf(modules []catalog.Module) (out []string) {
	for _, m := range modules {
		out = append(out, fmt.Sprintf("%g", m.RatedW))
	}
	return out
}

// layouts are the ways to part panels into equal strings, the longest strings first.
func (p panels) layouts() (perString []int) {
	const longest = 200 // modules_per_string of a site file
	for n := min(p.count, longest); n >= 1; n-- {
		if p.count%n == 0 {
			perString = append(perString, n)
		}
	}
	return perString
}

// parseFacing reads a direction, in degrees clockwise from north.
func parseFacing(text string) (float64, error) {
	if deg, ok := direction(text); ok {
		return deg, nil
	}
	v, err := withUnit(text, "°")
	if err != nil || v < 0 || v > 360 {
		return 0, refuse(didYouMean(slug(text), directionWords()),
			phrase.Of("found %q, want a direction such as south, or degrees from 0 to 360", strict.Clip(text)))
	}
	return v, nil
}

// parseSun reads the sun of twelve months.
func parseSun(text string) ([]float64, error) {
	fields := strings.FieldsFunc(text, func(r rune) bool { return r == ' ' || r == ';' })
	if len(fields) == 1 {
		fields = strings.Split(text, ",")
	}
	if len(fields) != 12 {
		return nil, refuse(phrase.Of("0.6 1.1 2.2 3.5 4.6 5.1 4.9 4.1 2.9 1.7 0.8 0.5"),
			phrase.Of("found %d figures, want 12, January first", len(fields)))
	}
	var out []float64
	for _, f := range fields {
		v, err := number(strings.TrimSuffix(f, ","))
		if err != nil {
			return nil, err
		}
		if v < 0 || v > 15 {
			return nil, refuse(phrase.Of("the mean day of each month on level ground"),
				phrase.Of("found %g kWh/m2 a day, want 0 to 15", v))
		}
		out = append(out, v)
	}
	return out, nil
}

// generator is a generator that a home has, or plans.
type generator struct {
	id      string // of the catalog; "": by its figures
	ratedVA float64
	fuel    string
}

var generatorForm = pattern.Of(
	`(?i)^(\d+(?:[.,]\d+)?) ?(k)?(va|w)(?: (\pL+))?$`)

// parseGenerator reads "6.5 kVA petrol", or an id of the catalog.
func (in *Interview) parseGenerator(text string) (g generator, err error) {
	if text == "" || IsNone(text) {
		return g, nil
	}
	m := generatorForm.FindStringSubmatch(text)
	if m == nil || m[4] != "" && fuels[tabular.Plain(m[4])] == "" {
		id := slug(text)
		if _, err := in.cat.Generator(id); err == nil {
			return generator{id: id}, nil
		}
		var ids []string
		for _, c := range in.cat.Generators() {
			ids = append(ids, c.ID)
		}
		hint := didYouMean(id, ids)
		if hint.Empty() {
			hint = phrase.Of("6.5 kVA petrol, or one of %s", or(named(ids)))
		}
		return g, refuse(hint, phrase.Of("found %q, want none, VA and what it burns, or a name of the catalog", strict.Clip(text)))
	}
	if g.ratedVA, err = number(m[1]); err != nil {
		return g, err
	}
	if m[2] != "" {
		g.ratedVA *= 1000
	}
	if g.ratedVA <= 0 || g.ratedVA > mostW {
		return g, refuse(noHint, phrase.Of("found %q, want a power above 0, at most %.0f VA", strict.Clip(text), mostW))
	}
	word := tabular.Plain(m[4])
	if word == "gas" {
		if in.supplied().american() {
			return g, refuse(phrase.Of("write gasoline or propane"),
				phrase.Of("found gas, which may be meant for gasoline or for propane"))
		}
	}
	g.fuel = fuels[word]
	return g, nil
}
