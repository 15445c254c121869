package inventory

import (
	"strconv"
	"strings"

	"outlast/backup/measured/tabular"
	"outlast/backup/pattern"
	"outlast/backup/phrase"
	"outlast/catalog"
)

// Names are the words by which classes of appliances are known.
type Names struct {
	classes  []catalog.Appliance
	byName   map[string]int             // in classes; unclear for a name of several
	also     map[string][]phrase.Phrase // by id: what else a class gives, in words
	families map[string]string          // of classes that come by the output of a motor: "well pump" is well-pump
}

const unclear = -1

var (
	sizedID = pattern.Of(`^(.+)-(\d+)w$`)
	size    = pattern.Of(`(?i)^(.*?)[ ,(]+(\d+ \d/\d|\d/\d|\d+(?:[.,]\d+)?|[¼½¾]) ?(kw|w|hp|ps|cv|ch)\)?$`)
)

// NewNames gathers the words of a catalog's classes: ids, labels, and what translated makes of a label in other
// languages.
func NewNames(cat *catalog.Catalog, translated func(label string) []string) *Names {
	n := &Names{classes: cat.Appliances(), byName: map[string]int{}, families: map[string]string{},
		also: map[string][]phrase.Phrase{}}
	add := func(name string, i int) {
		name = tabular.Plain(name)
		if was, there := n.byName[name]; there && was != i {
			i = unclear
		}
		n.byName[name] = i
	}
	for i, c := range n.classes {
		for _, label := range append(translated(c.Label), c.Label) {
			add(label, i)
			if m := sizedID.FindStringSubmatch(c.ID); m != nil {
				if kind := strings.IndexAny(label, "0123456789"); kind > 0 {
					n.families[tabular.Plain(label[:kind])] = m[1]
				}
				n.families[tabular.Plain(m[1])] = m[1]
			}
		}
	}
	for _, c := range n.classes {
		for line := range strings.Lines(cat.TOML(c.ID)) {
			key, _, _ := strings.Cut(line, " ")
			for _, k := range []struct {
				key  string
				says phrase.Phrase
			}{{"cycle", phrase.Of("rhythm")}, {"when", phrase.Of("times of day")}, {"months", phrase.Of("months")},
				{"priority", phrase.Of("priority")}, {"medical", phrase.Of("that somebody depends on it")}} {
				if key == k.key {
					n.also[c.ID] = append(n.also[c.ID], k.says)
				}
			}
		}
	}
	for i, c := range n.classes { // an id goes before a label
		n.byName[tabular.Plain(c.ID)] = i
	}
	return n
}

// find is the class of a name, in the singular or the plural.
func (n *Names) find(name string) (catalog.Appliance, bool) {
	for _, form := range tabular.Forms(name) {
		if i, ok := n.byName[form]; ok && i != unclear {
			return n.classes[i], true
		}
	}
	return catalog.Appliance{}, false
}

func (n *Names) family(name string) string {
	for _, form := range tabular.Forms(name) {
		if kind := n.families[form]; kind != "" {
			return kind
		}
	}
	return ""
}

// sizes are the classes of a family.
func (n *Names) sizes(kind string) (ids []string) {
	for _, c := range n.classes {
		if m := sizedID.FindStringSubmatch(c.ID); m != nil && m[1] == kind {
			ids = append(ids, c.ID)
		}
	}
	return ids
}

// sizeSlack is how far a motor's output may be from its class and still be of it: half a horsepower is 373 W, its class
// 370 W.
const sizeSlack = 1.02

// ofSize is the class of a family for a motor of so many W at the shaft.
func (n *Names) ofSize(kind string, outputW float64) (catalog.Appliance, bool) {
	for _, c := range n.classes {
		if m := sizedID.FindStringSubmatch(c.ID); m != nil && m[1] == kind {
			if w, err := strconv.ParseFloat(m[2], 64); err == nil && outputW <= w*sizeSlack && outputW >= w/sizeSlack {
				return c, true
			}
		}
	}
	return catalog.Appliance{}, false
}

// near are some classes whose words a name has.
func (n *Names) near(name string) (ids []string) {
	for _, word := range strings.Fields(tabular.Plain(name)) {
		for _, form := range tabular.Forms(word) {
			for _, c := range n.classes {
				if len(form) > 2 && len(ids) < 5 && strings.Contains(" "+tabular.Plain(c.ID+" "+c.Label)+" ",
					" "+form+" ") && !contains(ids, c.ID) {
					ids = append(ids, c.ID)
				}
			}
		}
	}
	return ids
}
