package interview

import (
	"strings"

	"outlast/backup/measured/tabular"
)

// otherNames are what classes are called in other languages, as [tabular.Plain] writes names: with accents or without.
type otherNames struct {
	byName   map[string]int      // in classes; unclear for a name of several
	byClass  map[string][]string // by id
	families map[string]string   // the kind of classes that come in sizes: "brunnenpumpe" is well-pump
}

const unclear = -1

// CallAlso has classes of appliances known by what translated makes of their labels in other languages, too.
func (in *Interview) CallAlso(translated func(label string) []string) {
	o := &otherNames{byName: map[string]int{}, byClass: map[string][]string{}, families: map[string]string{}}
	for i, c := range in.classes {
		kind, _, inSizes := sizeOf(c.ID)
		for _, label := range translated(c.Label) {
			name := tabular.Plain(label)
			if was, there := o.byName[name]; there && was != i {
				o.byName[name] = unclear
			} else {
				o.byName[name] = i
			}
			o.byClass[c.ID] = append(o.byClass[c.ID], name)
			if digits := strings.IndexAny(label, "0123456789"); inSizes && digits > 0 {
				o.families[familyName(label[:digits])] = kind
			}
		}
	}
	in.others = o
}

// familyName is a name without the word that leads to the size: "Bomba de pozo de 1.1 kW".
func familyName(text string) string { return strings.TrimSuffix(tabular.Plain(text), " de") }

// class finds a class by a name in another language.
func (o *otherNames) class(text string) (i int, ok bool) {
	if o == nil {
		return 0, false
	}
	for _, form := range tabular.Forms(text) {
		if i, ok := o.byName[form]; ok && i != unclear {
			return i, true
		}
	}
	return 0, false
}

// family is the kind of a name in another language, or "".
func (o *otherNames) family(text string) string {
	if o == nil {
		return ""
	}
	for _, form := range tabular.Forms(familyName(text)) {
		if kind := o.families[form]; kind != "" {
			return kind
		}
	}
	return ""
}

// of are the names of a class.
func (o *otherNames) of(id string) []string {
	if o == nil {
		return nil
	}
	return o.byClass[id]
}
