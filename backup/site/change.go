package site

import (
	"errors"
	"slices"
	"strings"

	"outlast/catalog"
	"outlast/catalog/strict"
)

// A Change is a variant that is set beside any site, as an option is beside its own: values for keys of the tables that
// an option may change.
type Change struct {
	given []string // as it was given: "bank.strings=2"
	src   []byte   // as TOML, one value a line
}

// changeKeys are those of an option, without its name.
var changeKeys = strict.Keys{List: slices.DeleteFunc(slices.Clone(optionKeys.List),
	func(k strict.Key) bool { return k.Kind != strict.Group })}

// ParseChange reads a change: KEY=VALUE, the key with its table, such as bank.strings=2. A text needs no quotation
// marks. Ids of equipment are looked up in cat. The error is of type [strict.Problems]; its places are the items of
// given.
func ParseChange(given []string, cat *catalog.Catalog) (*Change, error) {
	c := &Change{given: given}
	var lines []string
	for i, g := range given {
		key, value, ok := strings.Cut(g, "=")
		key, value = strings.TrimSpace(key), strings.TrimSpace(value)
		if !ok || key == "" || value == "" || strings.ContainsFunc(g, func(r rune) bool { return r < ' ' }) {
			return nil, strict.Problems{{File: c.name(i), Msg: "want KEY=VALUE, such as bank.strings=2"}}
		}
		if isText(key) && !strings.HasPrefix(value, `"`) && !strings.HasPrefix(value, "'") {
			value = `"` + strings.NewReplacer(`\`, `\\`, `"`, `\"`).Replace(value) + `"`
		}
		lines = append(lines, key+" = "+value+"\n")
	}
	c.src = []byte(strings.Join(lines, ""))
	t, err := strict.Parse("", c.src, &changeKeys)
	if err == nil {
		if bank := t.Table("bank"); bank != nil && bank.Has("use") {
			lookup(bank, nil, cat.Battery)
		}
		if inverter := t.Table("inverter"); inverter != nil && inverter.Has("use") {
			lookup(inverter, nil, cat.Inverter)
		}
		if ps := t.Problems(); ps != nil {
			err = ps
		}
	}
	return c, c.placed(err)
}

// isText tells whether a key, with its table, takes a text. One that there is not may have any value: only the key is
// wrong.
func isText(key string) bool {
	table, name, _ := strings.Cut(key, ".")
	for _, group := range changeKeys.List {
		if group.Name != table {
			continue
		}
		for _, k := range group.Keys.List {
			if k.Name == name {
				return k.Kind == strict.Text
			}
		}
	}
	return true
}

// placed puts the items of the change in the place of the lines of its TOML.
func (c *Change) placed(err error) error {
	var problems strict.Problems
	if !errors.As(err, &problems) {
		return err
	}
	for i, p := range problems {
		problems[i] = strict.Problem{File: c.name(p.Line - 1), Msg: p.Msg, Hint: p.Hint}
	}
	return problems
}

// name is an item of the change, for messages.
func (c *Change) name(item int) string {
	if item < 0 || item >= len(c.given) {
		item = 0
	}
	return "change " + c.given[item]
}

// String is the change in the words of the site file.
func (c *Change) String() string { return strings.Join(c.given, ", ") }

// Changed is the site with the change, without options. The error, of type [strict.Problems], says why the change does
// not suit the site.
func (s *Site) Changed(c *Change) (*Site, error) {
	t, err := strict.Parse("", c.src, &changeKeys)
	if err != nil {
		return nil, c.placed(err)
	}
	variant := *s
	variant.Options = nil
	e := s.equipment.over(t)
	s.reader.equip(&variant, e, s.equipment)
	if ps := t.Problems(); ps != nil {
		return nil, c.placed(ps)
	}
	checkSizable(&variant, e, s.equipment)
	if ps := t.Problems(); ps != nil {
		return nil, c.placed(ps)
	}
	return &variant, nil
}
